//! One row group: three columns in step, cut into runs of one history each.

use ft_bulk::{Accumulator, Columns};
use parquet::column::reader::ColumnReader;
use parquet::data_type::ByteArray;
use parquet::file::reader::{FileReader, RowGroupReader};

use crate::column::{Values, holds_numbers, hours_per_unit, next_values};

/// Where the three columns are.
pub struct Places {
    name: Place,
    time: Place,
    temperature: Place,
    hours_per_unit: f64,
}

struct Place {
    column: usize,
    /// Definition level of a row that has a value; 0 where every row must have one.
    highest_level: i16,
}

/// Rows in a row that belong to one history.
pub struct Run<'a> {
    pub name: String,
    pub sums: Accumulator<'a>,
}

impl Places {
    /// Finds the columns by their headings.
    pub fn find(reader: &dyn FileReader, name: &str, columns: &Columns) -> Result<Self, String> {
        let time = place(reader, &columns.time, true)?;
        let own_unit = hours_per_unit(&schema(reader).column(time.column));
        Ok(Self {
            name: place(reader, name, false)?,
            temperature: place(reader, &columns.temperature, true)?,
            time,
            hours_per_unit: own_unit.unwrap_or(columns.hours_per_unit),
        })
    }
}

fn schema(reader: &dyn FileReader) -> &parquet::schema::types::SchemaDescriptor {
    reader.metadata().file_metadata().schema_descr()
}

fn place(reader: &dyn FileReader, heading: &str, must_be_number: bool) -> Result<Place, String> {
    let all = schema(reader).columns();
    let Some(column) = all.iter().position(|column| column.path().string() == heading) else {
        let there: Vec<String> = all.iter().map(|column| column.path().string()).collect();
        return Err(format!("no column `{heading}`; there are: {}", there.join(", ")));
    };
    let descriptor = &all[column];
    if descriptor.max_rep_level() > 0 {
        return Err(format!("the column `{heading}` holds lists; write one reading in each row"));
    }
    if must_be_number && !holds_numbers(descriptor) {
        return Err(format!("the column `{heading}` does not hold numbers"));
    }
    Ok(Place { column, highest_level: descriptor.max_def_level() })
}

/// The runs of one row group, whose first row has the number `first_row`.
pub fn decode<'a>(
    reader: &dyn FileReader,
    index: usize,
    first_row: u64,
    places: &Places,
    columns: &Columns,
    empty: impl Fn() -> Accumulator<'a>,
) -> Result<Vec<Run<'a>>, String> {
    let group = reader.get_row_group(index).map_err(|e| e.to_string())?;
    let open = |place: &Place| group_column(group.as_ref(), place);
    let (mut names, mut times, mut temperatures) =
        (open(&places.name)?, open(&places.time)?, open(&places.temperature)?);
    let mut runs: Vec<Run> = Vec::new();
    let mut row = first_row;
    let mut current: Option<Key> = None;
    loop {
        let name = next_values(&mut names, places.name.highest_level)?;
        let time = numbers(&mut times, &places.time)?;
        let temperature = numbers(&mut temperatures, &places.temperature)?;
        if time.len() != temperature.len() || time.len() != len(&name) {
            return Err(format!("row group number {} has columns of unequal length", index + 1));
        }
        if time.is_empty() {
            return Ok(runs);
        }
        let hours: Vec<f64> = time.into_iter().map(|time| time * places.hours_per_unit).collect();
        let celsius: Vec<f64> = temperature.into_iter().map(|value| celsius(value, columns)).collect();
        let mut from = 0;
        while from < hours.len() {
            if current.as_ref().is_none_or(|key| !key.is_at(&name, from)) {
                let key = Key::at(&name, from);
                runs.push(Run { name: key.text(), sums: empty() });
                current = Some(key);
            }
            let to = current.as_ref().map_or(from + 1, |key| key.end(&name, from));
            if let Some(run) = runs.last_mut() {
                push(&mut run.sums, row + from as u64, &hours[from..to], &celsius[from..to], columns);
            }
            from = to;
        }
        row += hours.len() as u64;
    }
}

fn group_column(group: &dyn RowGroupReader, place: &Place) -> Result<ColumnReader, String> {
    group.get_column_reader(place.column).map_err(|e| e.to_string())
}

fn numbers(reader: &mut ColumnReader, place: &Place) -> Result<Vec<f64>, String> {
    match next_values(reader, place.highest_level)? {
        Values::Numbers(numbers) => Ok(numbers),
        Values::Texts(_) => Err("a column of texts where numbers are needed".into()),
    }
}

fn len(values: &Values) -> usize {
    match values {
        Values::Numbers(numbers) => numbers.len(),
        Values::Texts(texts) => texts.len(),
    }
}

fn celsius(value: f64, columns: &Columns) -> f64 {
    if columns.is_fahrenheit { (value - 32.0) / 1.8 } else { value }
}

/// Hands on the rows of one history; those without a number are left out by the heading that lacks it.
fn push(sums: &mut Accumulator, first_row: u64, hours: &[f64], celsius: &[f64], columns: &Columns) {
    let has_missing = hours.iter().any(|value| value.is_nan()) || celsius.iter().any(|value| value.is_nan());
    if !has_missing {
        return sums.push_all(first_row, hours, celsius);
    }
    for (row, (hours, celsius)) in (first_row..).zip(hours.iter().zip(celsius)) {
        if hours.is_nan() {
            sums.leave_out(row, format!("no number under `{}`", columns.time));
        } else if celsius.is_nan() {
            sums.leave_out(row, format!("no number under `{}`", columns.temperature));
        } else {
            sums.push(row, *hours, *celsius);
        }
    }
}

/// The name of a history as it stands in the table, compared without making a text of it.
enum Key {
    Number(u64),
    Text(Option<ByteArray>),
}

impl Key {
    fn at(values: &Values, place: usize) -> Self {
        match values {
            Values::Numbers(numbers) => Self::Number(numbers[place].to_bits()),
            Values::Texts(texts) => Self::Text(texts[place].clone()),
        }
    }

    fn is_at(&self, values: &Values, place: usize) -> bool {
        match (self, values) {
            (Self::Number(bits), Values::Numbers(numbers)) => *bits == numbers[place].to_bits(),
            (Self::Text(text), Values::Texts(texts)) => *text == texts[place],
            (Self::Number(_), Values::Texts(_)) | (Self::Text(_), Values::Numbers(_)) => false,
        }
    }

    /// The first row from `from` on that is of another history, or the end of the batch.
    fn end(&self, values: &Values, from: usize) -> usize {
        let same = match (self, values) {
            (Self::Number(bits), Values::Numbers(numbers)) => {
                numbers[from..].iter().take_while(|number| number.to_bits() == *bits).count()
            }
            (Self::Text(text), Values::Texts(texts)) => {
                texts[from..].iter().take_while(|t| *t == text).count()
            }
            (Self::Number(_), Values::Texts(_)) | (Self::Text(_), Values::Numbers(_)) => 0,
        };
        from + same.max(1)
    }

    fn text(&self) -> String {
        match self {
            Self::Number(bits) => f64::from_bits(*bits).to_string(),
            Self::Text(None) => "(no name)".into(),
            Self::Text(Some(text)) => String::from_utf8_lossy(text.data()).into_owned(),
        }
    }
}
