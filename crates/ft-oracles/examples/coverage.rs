//! Writes docs/oracle-coverage.md.

fn main() -> Result<(), String> {
    let rows = ft_oracles::rows::read_all(&ft_oracles::rows::our_files())?;
    let file = ft_oracles::rows::folder().join("../../docs/oracle-coverage.md");
    std::fs::write(&file, ft_oracles::coverage::page(&rows)).map_err(|e| format!("{}: {e}", file.display()))
}
