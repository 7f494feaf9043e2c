//! How long the prover takes on drawn procedures: `cargo run --release -p ft-prove --example sweep FROM TO`.
use ft_testkit::{chance::Chance, kiosk};

fn main() {
    let range: Vec<u64> =
        std::env::args().skip(1).map(|text| text.parse().expect("two whole numbers")).collect();
    for seed in range[0]..range[1] {
        let size = kiosk::large(&mut Chance::new(seed ^ 0xabcd));
        let form = kiosk::form(seed, size);
        let start = std::time::Instant::now();
        let limits = ft_prove::Limits { states: 3_000_000, ..ft_prove::Limits::default() };
        let verdict = ft_prove::check(&form, &limits);
        let took = start.elapsed();
        let told: Vec<_> =
            verdict.flaws().iter().map(|flaw| (flaw.kind.text(&form), flaw.story.len())).collect();
        println!("{seed} {size:?} {} events: {} {took:?} {told:?}", form.events.len(), verdict.text());
        if let ft_prove::Verdict::TooLarge(covered) = verdict {
            println!("    {:?}", covered.undecided);
        }
    }
}
