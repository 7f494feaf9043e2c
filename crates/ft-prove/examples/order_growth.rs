//! How long orders of drawn machines take: `cargo run --release -p ft-prove --example order_growth`
use ft_testkit::kiosk::{self, Size};

fn main() {
    for (sides, parts, rinses, is_loose) in
        [(2, 3, 2, true), (3, 3, 2, true), (4, 3, 2, true), (3, 4, 4, true), (4, 3, 2, false)]
    {
        let form = kiosk::whole(3, Size { sides, parts, rinses, people: 4, is_loose });
        let begin = std::time::Instant::now();
        match ft_prove::order(&form, &ft_prove::Limits::default()) {
            Ok(order) => println!(
                "{} events, {} edges, minimal {}, {:?}",
                form.events.len(),
                order.edges.len(),
                order.is_minimal,
                begin.elapsed()
            ),
            Err(no) => println!("{no:?}"),
        }
    }
}
