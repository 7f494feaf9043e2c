//! What cargo knows of the workspace: its crates, the arrows between them, and every package that they build on.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::process::Command;

use serde::Deserialize;

/// The workspace, names sorted.
pub struct Workspace {
    /// Each member with what it uses.
    pub members: BTreeMap<String, Arrows>,
    /// Everything that is not ours.
    pub foreign: Vec<Package>,
}

/// Members that one member uses.
#[derive(Default)]
pub struct Arrows {
    /// In its library or program.
    pub built: BTreeSet<String>,
    /// In its tests and benchmarks only.
    pub tested: BTreeSet<String>,
}

/// A package as `cargo metadata` describes it; only what is asked here.
#[derive(Deserialize)]
pub struct Package {
    pub name: String,
    pub version: String,
    pub license: Option<String>,
    id: String,
    dependencies: Vec<Dependency>,
}

#[derive(Deserialize)]
struct Dependency {
    name: String,
    kind: Option<String>,
}

#[derive(Deserialize)]
struct Metadata {
    packages: Vec<Package>,
    workspace_members: Vec<String>,
}

impl Workspace {
    /// Asks cargo about the workspace in `root`.
    ///
    /// # Errors
    /// What cargo said, or what of its answer could not be read.
    pub fn read(root: &Path) -> Result<Self, String> {
        let cargo = std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into());
        let output = Command::new(cargo)
            .args(["metadata", "--format-version", "1", "--locked"])
            .current_dir(root)
            .output()
            .map_err(|error| format!("failed to run cargo: {error}"))?;
        if !output.status.success() {
            return Err(String::from_utf8_lossy(&output.stderr).into_owned());
        }
        let metadata: Metadata = serde_json::from_slice(&output.stdout)
            .map_err(|error| format!("failed to read what cargo metadata printed: {error}"))?;
        Ok(Self::of(metadata))
    }

    fn of(metadata: Metadata) -> Self {
        let ids: BTreeSet<&String> = metadata.workspace_members.iter().collect();
        let (ours, foreign): (Vec<Package>, Vec<Package>) =
            metadata.packages.into_iter().partition(|package| ids.contains(&package.id));
        let names: BTreeSet<&str> = ours.iter().map(|package| package.name.as_str()).collect();
        let members = ours.iter().map(|package| (package.name.clone(), arrows(package, &names))).collect();
        Self { members, foreign }
    }
}

fn arrows(package: &Package, names: &BTreeSet<&str>) -> Arrows {
    let mut arrows = Arrows::default();
    for dependency in package.dependencies.iter().filter(|d| names.contains(d.name.as_str())) {
        let side = match dependency.kind.as_deref() {
            Some("dev") => &mut arrows.tested,
            _ => &mut arrows.built,
        };
        side.insert(dependency.name.clone());
    }
    // What the library uses anyway, its tests may use without saying so.
    arrows.tested.retain(|name| !arrows.built.contains(name));
    arrows
}
