//! Checks a core form: `cargo run --release -p ft-prove --example prove FILE...`
fn main() {
    for path in std::env::args().skip(1) {
        let text = std::fs::read_to_string(&path).expect("a readable file");
        let form = ft_form::json::parse(&text).expect("a core form");
        let start = std::time::Instant::now();
        let verdict = ft_prove::check(&form, &ft_prove::Limits::default());
        let took = start.elapsed();
        println!("{path}: {} in {took:?}", verdict.text());
        match &verdict {
            ft_prove::Verdict::Proved(proof) => println!("  {} states", proof.states),
            ft_prove::Verdict::TooLarge(large) => println!("  {} states {:?}", large.states, large.undecided),
            ft_prove::Verdict::Flaw(_) => {}
        }
        for flaw in verdict.flaws() {
            println!("  {} {}", flaw.kind.text(&form), flaw.story.len());
        }
    }
}
