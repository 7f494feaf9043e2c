//! The benchmark.
use ft_plan_bench::wild::wild;
fn main() {
    let args: Vec<u64> = std::env::args().skip(1).map(|a| a.parse().unwrap_or(0)).collect();
    for seed in args[0]..args[1] {
        eprintln!("{seed}");
        let t = std::time::Instant::now();
        let plan = ft_plan::plan(&wild(seed), &ft_plan::Budget::units(60, 1));
        let e = t.elapsed().as_millis();
        if e > 20 {
            println!("{seed} {e} ms {:?}", plan.word);
        }
    }
}
