//! Shows the syntax problems of a file: `cargo run -p ft-syntax --example problems -- FILE`.

use std::time::Instant;

use ft_diag::{Colour, Lines, render};

fn main() -> std::io::Result<()> {
    for path in std::env::args().skip(1) {
        let text = std::fs::read_to_string(&path)?;
        let begin = Instant::now();
        let parsed = ft_syntax::parse(&text);
        let took = begin.elapsed();
        print!("{}", render(&parsed.problems, &path, &Lines::new(&text), Colour::Never));
        eprintln!(
            "{path}: {} top-level nodes, {} problems, {took:.1?}",
            parsed.document.nodes.len(),
            parsed.problems.len()
        );
    }
    Ok(())
}
