//! Draws the order of a core form: `cargo run -p ft-draw --example order_svg FILE > order.svg`
use ft_prove::tell::Language;

fn main() {
    let path = std::env::args().nth(1).expect("the path of a core form");
    let text = std::fs::read_to_string(&path).expect("a readable file");
    let form = ft_form::json::parse(&text).expect("a core form");
    let order = ft_prove::order(&form, &ft_prove::Limits::default()).expect("it can be made safe");
    print!("{}", ft_draw::order::svg(&form, &order, Language::En));
}
