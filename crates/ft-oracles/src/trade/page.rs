//! The page of the rows of rules and trade.

use std::fmt::Write as _;

use super::{TradeRow, check};

/// The page as Markdown, made from the rows; the same rows give the same bytes.
pub fn page(rows: &[TradeRow]) -> String {
    let met = rows.iter().filter(|row| check(row).is_ok()).count();
    let mut page = format!(
        "# Check values of rules and trade\n\n\
         Made by `cargo run -p ft-oracles --example trade_coverage`; a test fails when it is out of date.\n\
         Each row of `tests/oracles/rules-and-trade.csv` is a test under its id; {} rows, {met} met.\n\n\
         | row | given | expected | tolerance | source | status |\n|---|---|---|---|---|---|\n",
        rows.len()
    );
    for row in rows {
        let cell = |text: &str| text.replace('|', "\\|");
        let _ = writeln!(
            page,
            "| {} | {} | {} | {} | {} | {} |",
            cell(&row.id),
            cell(&row.input),
            cell(&row.expected),
            cell(&row.tolerance),
            cell(&row.source),
            cell(&row.status)
        );
    }
    page
}
