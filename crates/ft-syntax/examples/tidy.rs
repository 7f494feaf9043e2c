//! Formats a file to standard output: `cargo run -p ft-syntax --example tidy -- FILE`.

fn main() -> std::io::Result<()> {
    for path in std::env::args().skip(1) {
        let text = std::fs::read_to_string(&path)?;
        match ft_syntax::tidy(&text) {
            Ok(tidy) => print!("{tidy}"),
            Err(problems) => eprintln!("{path} has {} problems", problems.len()),
        }
    }
    Ok(())
}
