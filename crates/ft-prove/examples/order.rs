//! Derives the order of a core form: `cargo run --release -p ft-prove --example order FILE...`
fn main() {
    for path in std::env::args().skip(1) {
        let text = std::fs::read_to_string(&path).expect("a readable file");
        let form = ft_form::json::parse(&text).expect("a core form");
        let limits = ft_prove::Limits::default();
        let start = std::time::Instant::now();
        let order = ft_prove::order(&form, &limits);
        println!("{path}: order in {:?}", start.elapsed());
        match order {
            Ok(order) => println!("  {} edges, minimal: {}", order.edges.len(), order.is_minimal),
            Err(no) => println!("  {no:?}"),
        }
        let start = std::time::Instant::now();
        let repair = ft_prove::repair(&form, &limits);
        println!("  repair in {:?}", start.elapsed());
        match repair {
            ft_prove::Repair::Add(added) => {
                for add in added {
                    let name = |event: usize| &form.events[event].name;
                    println!(
                        "  {} before {}: {}",
                        name(add.before),
                        name(add.after),
                        add.prevents.text(&form)
                    );
                }
            }
            other => println!("  {other:?}"),
        }
    }
}
