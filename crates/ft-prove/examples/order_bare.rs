//! Orders from guards, hazards and goal alone: `cargo run --release -p ft-prove --example order_bare FILE...`
use ft_form::EventKind;

fn main() {
    for path in std::env::args().skip(1) {
        let text = std::fs::read_to_string(&path).expect("a readable file");
        let mut form = ft_form::json::parse(&text).expect("a core form");
        for event in &mut form.events {
            // A step's end still comes after its start.
            if event.kind != EventKind::End {
                event.pre.clear();
            }
        }
        let begin = std::time::Instant::now();
        match ft_prove::order(&form, &ft_prove::Limits::default()) {
            Ok(order) => {
                let (edges, minimal) = (order.edges.len(), order.is_minimal);
                println!("{path}: {edges} edges, minimal {minimal}, {:?}", begin.elapsed());
            }
            Err(no) => println!("{path}: {no:?} {:?}", begin.elapsed()),
        }
    }
}
