//! Licences of everything that the workspace builds on, tests included.

use spdx::ParseMode;
use spdx::expression::Expression;

use crate::Findings;
use crate::metadata::Workspace;

/// Licences that ask for no more than to be kept with what they cover.
const FREE: [&str; 14] = [
    "0BSD",
    "Apache-2.0",
    "Apache-2.0 WITH LLVM-exception",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "BSL-1.0",
    "CC0-1.0",
    "ISC",
    "MIT",
    "MIT-0",
    "Unicode-3.0",
    "Unicode-DFS-2016",
    "Unlicense",
    "Zlib",
];

/// Packages that name no licence in their manifest but hold its text, which a person has read: name, version, licence.
/// Another version is read anew.
const READ: [(&str, &str, &str); 1] = [("rs-fsrs", "1.2.1", "MIT")];

/// Every package whose licence is missing, unreadable, or not among the free ones.
pub fn check(workspace: &Workspace) -> Findings {
    let mut found = Vec::new();
    for package in &workspace.foreign {
        let read =
            READ.iter().find(|(name, version, _)| package.name == *name && package.version == *version);
        let licence = package.license.as_deref().or(read.map(|(.., licence)| *licence));
        if let Err(why) = judge(licence) {
            found.push(format!("{} {}: {why}", package.name, package.version));
        }
    }
    found.sort();
    found
}

fn judge(licence: Option<&str>) -> Result<(), String> {
    let text = licence.ok_or("names no licence")?;
    // Lax: older packages write `MIT/Apache-2.0` for `MIT OR Apache-2.0`.
    let expression = Expression::parse_mode(text, ParseMode::LAX)
        .map_err(|error| format!("`{text}` is no licence: {error}"))?;
    if expression.evaluate(|asked| FREE.contains(&asked.to_string().as_str())) {
        Ok(())
    } else {
        Err(format!("`{text}` is not among {}", FREE.join(", ")))
    }
}

#[cfg(test)]
mod tests {
    use super::judge;

    #[test]
    fn one_free_choice_is_enough_for_or() {
        for text in
            ["MIT", "GPL-3.0-only OR MIT", "MIT/Apache-2.0", "Apache-2.0 WITH LLVM-exception", "Zlib OR MIT"]
        {
            assert_eq!(judge(Some(text)), Ok(()), "{text}");
        }
    }

    #[test]
    fn every_part_of_and_must_be_free() {
        assert_eq!(judge(Some("(MIT OR Apache-2.0) AND Unicode-3.0")), Ok(()));
        for text in [
            "MIT AND GPL-3.0-only",
            "(MIT OR Apache-2.0) AND MPL-2.0",
            "GPL-2.0-only WITH Classpath-exception-2.0",
        ] {
            assert!(judge(Some(text)).is_err(), "{text}");
        }
    }

    #[test]
    fn none_and_nonsense_are_told_apart() {
        assert_eq!(judge(None), Err("names no licence".to_owned()));
        assert!(judge(Some("free as in beer")).is_err_and(|why| why.contains("is no licence")));
    }
}
