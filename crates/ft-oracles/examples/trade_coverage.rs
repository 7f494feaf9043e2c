//! Writes docs/oracle-coverage-trade.md from the rows of this repository.

fn main() -> Result<(), String> {
    let folder = ft_oracles::rows::folder();
    let rows = ft_oracles::trade::read(&folder.join("rules-and-trade.csv"))?;
    let page = folder.join("../../docs/oracle-coverage-trade.md");
    std::fs::write(&page, ft_oracles::trade::page(&rows))
        .map_err(|error| format!("{}: {error}", page.display()))
}
