//! The page in docs is the page that the rows make.

#[test]
fn the_coverage_page_is_current() {
    let folder = ft_oracles::rows::folder();
    let rows = ft_oracles::rows::read_all(&ft_oracles::rows::our_files()).unwrap();
    let written = std::fs::read_to_string(folder.join("../../docs/oracle-coverage.md")).unwrap_or_default();
    assert!(
        written == ft_oracles::coverage::page(&rows),
        "docs/oracle-coverage.md is out of date: run `cargo run -p ft-oracles --example coverage`"
    );
}

#[test]
fn the_page_of_rules_and_trade_is_up_to_date() {
    let folder = ft_oracles::rows::folder();
    let rows =
        ft_oracles::trade::read(&folder.join("rules-and-trade.csv")).expect("the rows are in the repository");
    let page =
        std::fs::read_to_string(folder.join("../../docs/oracle-coverage-trade.md")).expect("the page is too");
    assert!(
        page == ft_oracles::trade::page(&rows),
        "out of date; run `cargo run -p ft-oracles --example trade_coverage`"
    );
}
