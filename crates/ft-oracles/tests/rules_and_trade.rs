//! Each row of tests/oracles/rules-and-trade.csv, or of the file that `FULLTRAY_TRADE_ORACLES` names, is a test
//! under its id.

use std::process::ExitCode;

use ft_oracles::trade;
use libtest_mimic::{Arguments, Trial};

fn main() -> ExitCode {
    let arguments = Arguments::from_args();
    let rows = match trade::read(&trade::chosen_file()) {
        Ok(rows) => rows,
        Err(why) => {
            eprintln!("{why}");
            return ExitCode::FAILURE;
        }
    };
    let trial =
        |row: trade::TradeRow| Trial::test(row.id.clone(), move || trade::check(&row).map_err(Into::into));
    libtest_mimic::run(&arguments, rows.into_iter().map(trial).collect()).exit_code()
}
