//! Prints the Promela of a core form given as a file: `cargo run -p ft-form --example promela FILE`.
fn main() {
    let path = std::env::args().nth(1).expect("a core form file");
    let text = std::fs::read_to_string(path).expect("readable");
    let form = ft_form::json::parse(&text).expect("a core form");
    print!("{}", ft_form::promela::print(&form, ft_form::promela::Ask::All));
}
