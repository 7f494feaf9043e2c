//! The page that says which check values there are and which crate each of them tests.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use crate::Row;
use crate::families::{self, GROUPS, input::family};

/// The page as Markdown, made from the rows alone; the same rows give the same bytes.
pub fn page(rows: &[Row]) -> String {
    let mut page = String::from(
        "# Check values and what they test\n\n\
         Made by `cargo run -p ft-oracles --example coverage`; a test fails when it is out of date.\n\
         Pass rule: |answer - expected| <= tolerance × max(1, |expected|), element by element.\n\n",
    );
    let mut by_group: BTreeMap<&str, Vec<&Row>> = BTreeMap::new();
    for row in rows {
        let group = GROUPS.iter().find(|g| (g.answer)(&row.id, &row.input).is_some());
        by_group.entry(group.map_or("nobody", |g| g.name)).or_default().push(row);
    }
    let understood = rows.iter().filter(|row| families::answer(&row.id, &row.input).is_some()).count();
    let _ = writeln!(
        page,
        "{} rows in the JSON files of `tests/oracles`, {understood} understood.\n",
        rows.len()
    );
    for (group, rows) in by_group {
        let tests = GROUPS.iter().find(|g| g.name == group).map_or("–", |g| g.tests);
        let _ = writeln!(page, "## {group} (`{tests}`), {} rows\n", rows.len());
        page.push_str("| row | family | tolerance | source | status |\n|---|---|---|---|---|\n");
        for row in rows {
            let cell = |text: &str| text.replace('|', "\\|");
            let _ = writeln!(
                page,
                "| {} | {} | {} | {} | {} |",
                cell(&row.id),
                family(&row.id),
                cell(row.tolerance.to_string().trim_matches('"')),
                cell(&row.source),
                cell(&row.status)
            );
        }
        page.push('\n');
    }
    page
}
