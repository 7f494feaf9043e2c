//! Reads machine or kitchen files and says how many problems each has and how long that took:
//! `cargo run --release -p ft-compile --example problems -- FILE…`.

fn main() -> std::io::Result<()> {
    for path in std::env::args().skip(1) {
        let text = std::fs::read_to_string(&path)?;
        let begin = std::time::Instant::now();
        let (_, problems) = ft_compile::read(&text);
        println!("{path}: {} problems told, {} ms", problems.len(), begin.elapsed().as_millis());
    }
    Ok(())
}
