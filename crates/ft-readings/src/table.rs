//! Readings from a table with a heading: one column holds the values, in order of time.
//!
//! An empty cell is a gap and stays one. A cell that is not a number is left out of the readings, counted as a gap
//! too, and listed; nothing is dropped in silence.

use ft_diag::Problem;

/// A column that was read.
#[derive(Debug, Clone, PartialEq)]
pub struct Column {
    /// One for each row: a reading, or a gap.
    pub readings: Vec<Option<f64>>,
    /// The cells as they were written, for columns that hold more than numbers.
    pub cells: Vec<String>,
    /// What is wrong with rows or with the table.
    pub problems: Vec<Problem>,
}

/// Reads the column headed `name`.
pub fn column(text: &str, name: &str) -> Column {
    let mut column = Column { readings: Vec::new(), cells: Vec::new(), problems: Vec::new() };
    let mut reader =
        csv::ReaderBuilder::new().flexible(true).trim(csv::Trim::All).from_reader(text.as_bytes());
    let heading = match reader.headers() {
        Ok(heading) => heading.clone(),
        Err(error) => {
            let message = format!("the table cannot be read: {error}");
            column.problems.push(Problem::error("R0101", 0..0, message));
            return column;
        }
    };
    let Some(index) = heading.iter().position(|cell| cell.eq_ignore_ascii_case(name)) else {
        let cells: Vec<_> = heading.iter().collect();
        let message = format!("no column `{name}` among `{}`", cells.join("`, `"));
        let remedy = format!("head the column with the values `{name}`, or name the column that holds them");
        column.problems.push(Problem::error("R0102", 0..0, message).with_remedy(remedy));
        return column;
    };
    for result in reader.records() {
        let number = column.readings.len() + 1;
        let (cell, start) = match &result {
            Ok(row) => {
                (row.get(index).unwrap_or_default(), row.position().map_or(0, |at| at.byte() as usize))
            }
            Err(error) => {
                let message = format!("row {number} cannot be read: {error}");
                column.problems.push(Problem::error("R0101", 0..0, message));
                ("", 0)
            }
        };
        let reading = cell.parse::<f64>().ok().filter(|value| value.is_finite());
        if reading.is_none() && !cell.is_empty() {
            let start = start.min(text.len());
            let message = format!("row {number}: `{cell}` is not a number");
            let remedy = "write a number with a dot, such as 3.5, or leave the cell empty for a gap";
            column.problems.push(Problem::error("R0103", start..start, message).with_remedy(remedy));
        }
        column.readings.push(reading);
        column.cells.push(cell.to_owned());
    }
    column
}
