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
            Ok(order) => println!(
                "  {} edges, minimal: {}, {} of {} pairs free",
                order.edges.len(),
                order.is_minimal,
                free(&form, &order),
                form.events.len() * (form.events.len() - 1) / 2
            ),
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

/// Pairs of events that may come in either order.
fn free(form: &ft_form::Form, order: &ft_prove::Order) -> usize {
    let size = form.events.len();
    let mut before = vec![vec![false; size]; size];
    order.edges.iter().for_each(|edge| before[edge.before][edge.after] = true);
    for middle in 0..size {
        let row = before[middle].clone();
        for first in before.iter_mut().filter(|first| first[middle]) {
            first.iter_mut().zip(&row).for_each(|(has, reaches)| *has |= reaches);
        }
    }
    size * (size - 1) / 2 - before.iter().flatten().filter(|has| **has).count()
}
