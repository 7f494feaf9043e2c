//! Prints a drawn procedure: `cargo run -p ft-prove --example draw SEED SIDES PARTS RINSES PEOPLE LOOSE`.
use ft_testkit::kiosk;

fn main() {
    let numbers: Vec<usize> =
        std::env::args().skip(1).map(|text| text.parse().expect("six whole numbers")).collect();
    let [seed, sides, parts, rinses, people, loose] = numbers[..] else { panic!("six whole numbers") };
    let size = kiosk::Size { sides, parts, rinses, people, is_loose: loose == 1 };
    println!("{}", ft_form::json::print(&kiosk::form(seed as u64, size)));
}
