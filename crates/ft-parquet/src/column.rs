//! One column of a row group, a batch of rows at a time.

use parquet::basic::{LogicalType, TimeUnit, Type};
use parquet::column::reader::{ColumnReader, ColumnReaderImpl};
use parquet::data_type::{ByteArray, DataType};
use parquet::schema::types::ColumnDescriptor;

/// Rows of a batch.
pub const BATCH: usize = 8192;

/// Whether a column holds numbers that are read here.
pub fn holds_numbers(column: &ColumnDescriptor) -> bool {
    matches!(column.physical_type(), Type::INT32 | Type::INT64 | Type::FLOAT | Type::DOUBLE)
}

/// Hours in one unit of a time column that says so itself: a timestamp.
pub fn hours_per_unit(column: &ColumnDescriptor) -> Option<f64> {
    let Some(LogicalType::Timestamp(timestamp)) = column.logical_type_ref() else { return None };
    let per_second = match timestamp.unit {
        TimeUnit::MILLIS => 1e3,
        TimeUnit::MICROS => 1e6,
        TimeUnit::NANOS => 1e9,
    };
    Some(1.0 / (3600.0 * per_second))
}

/// A value for each row of a batch.
#[derive(Debug, Clone, PartialEq)]
pub enum Values {
    /// Numbers; NaN where the row has none.
    Numbers(Vec<f64>),
    /// Texts; none where the row has none. They share the memory of their page.
    Texts(Vec<Option<ByteArray>>),
}

/// Reads the next rows of a column, at most [`BATCH`]; none at its end.
///
/// # Errors
/// The column is damaged, or of a kind that is not read.
pub fn next_values(column: &mut ColumnReader, highest_level: i16) -> Result<Values, String> {
    match column {
        ColumnReader::Int32ColumnReader(reader) => numbers(reader, highest_level, f64::from),
        ColumnReader::Int64ColumnReader(reader) => numbers(reader, highest_level, |value| value as f64),
        ColumnReader::FloatColumnReader(reader) => numbers(reader, highest_level, shortest),
        ColumnReader::DoubleColumnReader(reader) => numbers(reader, highest_level, |value| value),
        ColumnReader::ByteArrayColumnReader(reader) => {
            let texts = batch(reader, highest_level, None, Some)?;
            Ok(Values::Texts(texts))
        }
        ColumnReader::BoolColumnReader(_)
        | ColumnReader::Int96ColumnReader(_)
        | ColumnReader::FixedLenByteArrayColumnReader(_) => Err("a column of a kind that is not read".into()),
    }
}

/// A 32-bit temperature such as 3.07 is meant, not the 3.069999933 that it is as a wider number: settled to a
/// ten-thousandth, which is exact for all that a probe reads.
fn shortest(value: f32) -> f64 {
    (f64::from(value) * 1e4).round() / 1e4
}

fn numbers<T: DataType>(
    reader: &mut ColumnReaderImpl<T>,
    highest_level: i16,
    convert: impl Fn(T::T) -> f64,
) -> Result<Values, String> {
    batch(reader, highest_level, f64::NAN, convert).map(Values::Numbers)
}

fn batch<T: DataType, V: Clone>(
    reader: &mut ColumnReaderImpl<T>,
    highest_level: i16,
    missing: V,
    convert: impl Fn(T::T) -> V,
) -> Result<Vec<V>, String> {
    let mut levels = Vec::new();
    let mut values = Vec::with_capacity(BATCH);
    let levels_wanted = (highest_level > 0).then_some(&mut levels);
    reader.read_records(BATCH, levels_wanted, None, &mut values).map_err(|e| e.to_string())?;
    if highest_level == 0 {
        return Ok(values.into_iter().map(convert).collect());
    }
    let mut present = values.into_iter().map(convert);
    let row = |level: &i16| {
        if *level == highest_level {
            present.next().unwrap_or_else(|| missing.clone())
        } else {
            missing.clone()
        }
    };
    Ok(levels.iter().map(row).collect())
}
