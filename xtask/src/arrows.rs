//! The arrows between crates against the table in ARCHITECTURE.md, the only place that allows one.
//!
//! A row of the table is `| crate | uses | in tests also | … |`; further columns are for people. The table stands
//! between the lines `<!-- arrows -->` and `<!-- end of arrows -->`.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use crate::Findings;
use crate::metadata::{Arrows, Workspace};

const PAGE: &str = "ARCHITECTURE.md";

/// Every arrow that is used and not allowed, or allowed and not used, and every crate without a row.
///
/// # Errors
/// When the page cannot be read or holds no table.
pub fn check(root: &Path, workspace: &Workspace) -> Result<Findings, String> {
    let text = std::fs::read_to_string(root.join(PAGE)).map_err(|error| format!("{PAGE}: {error}"))?;
    Ok(compare(&read(&text)?, &workspace.members))
}

fn read(text: &str) -> Result<BTreeMap<String, Arrows>, String> {
    let table = text
        .split_once("<!-- arrows -->")
        .and_then(|(_, rest)| rest.split_once("<!-- end of arrows -->"))
        .map(|(table, _)| table)
        .ok_or_else(|| {
            format!("{PAGE} has no table between `<!-- arrows -->` and `<!-- end of arrows -->`")
        })?;
    let rows = table.lines().filter(|line| line.starts_with("| `")).map(|line| {
        let cells: Vec<&str> = line.split('|').collect();
        let cell = |index: usize| cells.get(index).map_or_else(BTreeSet::new, |text| names(text));
        (cell(1), Arrows { built: cell(2), tested: cell(3) })
    });
    Ok(rows.filter_map(|(name, arrows)| Some((name.into_iter().next()?, arrows))).collect())
}

/// The words of a cell that stand in backquotes.
fn names(cell: &str) -> BTreeSet<String> {
    cell.split('`').skip(1).step_by(2).map(str::to_owned).collect()
}

fn compare(allowed: &BTreeMap<String, Arrows>, used: &BTreeMap<String, Arrows>) -> Findings {
    let mut found = Vec::new();
    for (name, arrows) in used {
        match allowed.get(name) {
            None => {
                found.push(format!("{PAGE} has no row for `{name}`; it would be\n    {}", row(name, arrows)));
            }
            Some(row) => {
                differences(&mut found, name, "", &row.built, &arrows.built);
                differences(&mut found, name, " in its tests", &row.tested, &arrows.tested);
            }
        }
    }
    for name in allowed.keys().filter(|name| !used.contains_key(*name)) {
        found.push(format!("{PAGE} has a row for `{name}`, which is no crate of this workspace"));
    }
    found
}

fn differences(
    found: &mut Findings,
    name: &str,
    place: &str,
    allowed: &BTreeSet<String>,
    used: &BTreeSet<String>,
) {
    for other in used.difference(allowed) {
        found.push(format!(
            "`{name}` uses `{other}`{place}, which its row in {PAGE} does not allow: \
             take the arrow out, or allow it there in a commit of its own that says why"
        ));
    }
    for other in allowed.difference(used) {
        found.push(format!(
            "`{name}` may use `{other}`{place} and does not: take it out of its row in {PAGE}"
        ));
    }
}

/// The row that a crate would have.
fn row(name: &str, arrows: &Arrows) -> String {
    let list = |names: &BTreeSet<String>| {
        let quoted: Vec<String> = names.iter().map(|name| format!("`{name}`")).collect();
        quoted.join(" ")
    };
    format!("| `{name}` | {} | {} |", list(&arrows.built), list(&arrows.tested))
}

#[cfg(test)]
mod tests {
    use super::*;

    const PAGE: &str = "\
before
<!-- arrows -->
| crate | uses | in tests also | must not know |
| --- | --- | --- | --- |
| `a` | `b` `c` | `d` | `e` |
| `b` | | | |
| `gone` | | | |
<!-- end of arrows -->
| `z` | `b` | | |
";

    fn arrows(built: &[&str], tested: &[&str]) -> Arrows {
        let set = |names: &[&str]| names.iter().map(|name| (*name).to_owned()).collect();
        Arrows { built: set(built), tested: set(tested) }
    }

    #[test]
    fn an_arrow_too_many_and_one_too_few_are_told() {
        let allowed = read(PAGE).expect("the page above has a table");
        let used = [("a".to_owned(), arrows(&["b", "x"], &["d"])), ("b".to_owned(), arrows(&[], &["a"]))];
        let found = compare(&allowed, &BTreeMap::from(used)).join("\n");
        assert!(found.contains("`a` uses `x`, which its row"), "{found}");
        assert!(found.contains("`a` may use `c` and does not"), "{found}");
        assert!(found.contains("`b` uses `a` in its tests"), "{found}");
        assert!(found.contains("row for `gone`"), "{found}");
        assert_eq!(found.lines().count(), 4, "{found}");
    }

    #[test]
    fn what_is_allowed_and_used_is_not_told() {
        let allowed = read(PAGE).expect("the page above has a table");
        let used = read(PAGE).expect("the page above has a table");
        assert_eq!(compare(&allowed, &used), Vec::<String>::new());
    }

    #[test]
    fn a_new_crate_gets_its_row_written_for_it() {
        let used = BTreeMap::from([("n".to_owned(), arrows(&["b", "c"], &[]))]);
        let found = compare(&BTreeMap::new(), &used).join("\n");
        assert!(found.contains("| `n` | `b` `c` |  |"), "{found}");
    }

    #[test]
    fn a_page_without_a_table_is_an_error() {
        assert!(read("nothing here").is_err());
    }
}
