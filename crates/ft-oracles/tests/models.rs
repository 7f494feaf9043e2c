//! Each row of the JSON files in tests/oracles, or of the file that `FULLTRAY_ORACLES` names, is a test under its id.

use std::process::ExitCode;

use libtest_mimic::{Arguments, Trial};

fn main() -> ExitCode {
    let arguments = Arguments::from_args();
    let rows = match ft_oracles::rows::read_all(&ft_oracles::rows::chosen_files()) {
        Ok(rows) => rows,
        Err(why) => {
            eprintln!("{why}");
            return ExitCode::FAILURE;
        }
    };
    let trials = rows
        .into_iter()
        .map(|row| Trial::test(row.id.clone(), move || ft_oracles::check(&row).map_err(Into::into)))
        .collect();
    libtest_mimic::run(&arguments, trials).exit_code()
}
