//! Tables, written here and by another writer, against the same histories as CSV logs.
// A helper of a test may stop the test.
#![allow(clippy::unwrap_used)]

use std::path::Path;
use std::process::{Command, Stdio};
use std::sync::Arc;

use ft_bulk::{Columns, Outcome, Subject, run_folder};
use ft_growth::{GapRule, shipped};
use ft_parquet::run_table;
use parquet::data_type::{ByteArray, ByteArrayType, DoubleType, Int32Type};
use parquet::file::properties::WriterProperties;
use parquet::file::writer::SerializedFileWriter;
use parquet::schema::parser::parse_message_type;

/// Name, minute, temperature.
type Row = (String, i32, f64);

fn rows(histories: usize) -> Vec<Row> {
    (0..histories)
        .flat_map(|history| {
            (0..20 + history % 7).map(move |n| {
                let celsius = 3.0 + ((history * 31 + n * 7919) % 900) as f64 / 100.0;
                (format!("log{history:03}"), 5 * n as i32, celsius)
            })
        })
        .collect()
}

/// Writes a table whose row groups hold `group` rows, so that histories run across their borders.
fn write(file: &Path, rows: &[Row], group: usize) {
    let message =
        "message log { required binary history (UTF8); required int32 minute; required double temp_c; }";
    let schema = Arc::new(parse_message_type(message).unwrap());
    let properties = Arc::new(WriterProperties::builder().build());
    let mut writer =
        SerializedFileWriter::new(std::fs::File::create(file).unwrap(), schema, properties).unwrap();
    for part in rows.chunks(group) {
        let names: Vec<ByteArray> = part.iter().map(|row| ByteArray::from(row.0.as_str())).collect();
        let minutes: Vec<i32> = part.iter().map(|row| row.1).collect();
        let celsius: Vec<f64> = part.iter().map(|row| row.2).collect();
        let mut group = writer.next_row_group().unwrap();
        let mut column = group.next_column().unwrap().unwrap();
        column.typed::<ByteArrayType>().write_batch(&names, None, None).unwrap();
        column.close().unwrap();
        let mut column = group.next_column().unwrap().unwrap();
        column.typed::<Int32Type>().write_batch(&minutes, None, None).unwrap();
        column.close().unwrap();
        let mut column = group.next_column().unwrap().unwrap();
        column.typed::<DoubleType>().write_batch(&celsius, None, None).unwrap();
        column.close().unwrap();
        group.close().unwrap();
    }
    writer.close().unwrap();
}

fn run(file: &Path, columns: &Columns) -> Result<Vec<Outcome>, String> {
    let subjects = Subject::all(&shipped());
    let mut outcomes = Vec::new();
    run_table(file, "history", columns, &subjects, GapRule::USUAL, |outcome, done, rows| {
        assert!(done <= rows);
        outcomes.push(outcome);
        Ok(())
    })
    .map_err(|why| why.to_string())?;
    Ok(outcomes)
}

#[test]
fn a_table_gives_what_its_histories_give_as_logs() {
    let folder = tempfile::tempdir().unwrap();
    let rows = rows(40);
    for row in &rows {
        let file = folder.path().join(format!("{}.csv", row.0));
        let before = std::fs::read_to_string(&file).unwrap_or_else(|_| "minute,temp_c\n".into());
        std::fs::write(file, format!("{before}{},{:.2}\n", row.1, row.2)).unwrap();
    }
    let mut logs = Vec::new();
    run_folder(
        folder.path(),
        &Columns::usual(),
        &Subject::all(&shipped()),
        GapRule::USUAL,
        |outcome, _, _| {
            logs.push(outcome.unwrap());
            Ok(())
        },
    )
    .unwrap();
    let file = folder.path().join("table.parquet");
    for group in [7, 33, 1000] {
        write(&file, &rows, group);
        let table = run(&file, &Columns::usual()).unwrap();
        assert_eq!(table.len(), logs.len());
        for (one, other) in table.iter().zip(&logs) {
            assert_eq!(
                (&one.name, one.readings, one.gaps, one.advice),
                (&other.name, other.readings, other.gaps, other.advice)
            );
            for (x, y) in one.increase_log10.iter().zip(&other.increase_log10) {
                assert!((x - y).abs() < 1e-12, "{}: {x} {y}", one.name);
            }
        }
    }
}

#[test]
fn a_history_in_two_pieces_and_a_missing_column_are_named() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("table.parquet");
    let mut rows = rows(3);
    let first = rows.remove(0);
    rows.push(first);
    write(&file, &rows, 1000);
    assert!(
        run(&file, &Columns::usual())
            .unwrap_err()
            .ends_with("the history `log000` is not in one piece; sort the table by history and time")
    );
    let other = Columns { temperature: "celsius".into(), ..Columns::usual() };
    assert!(
        run(&file, &other).unwrap_err().ends_with("no column `celsius`; there are: history, minute, temp_c")
    );
    std::fs::write(&file, "minute,temp_c\n").unwrap();
    assert!(run(&file, &Columns::usual()).is_err(), "not a Parquet file");
}

const OTHER_WRITER: &str = "
import sys, datetime
import pyarrow as pa, pyarrow.parquet as pq
start = datetime.datetime(2031, 6, 1, 22)
names, times, values = [], [], []
for history in range(30):
    for n in range(50):
        names.append(f'tub {history}')
        times.append(start + datetime.timedelta(minutes=5 * n))
        values.append(None if history == 3 and n == 10 else 3.0 + (history * 31 + n * 7919) % 900 / 100)
table = pa.table({'history': pa.array(names).dictionary_encode(), 'at': pa.array(times, pa.timestamp('us')), 'temp_c': pa.array(values, pa.float32())})
pq.write_table(table, sys.argv[1], row_group_size=333)
";

/// Another writer's table: dictionary of texts, timestamps, 32-bit temperatures, a null, Snappy.
#[test]
fn a_table_of_another_writer_is_read() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("other.parquet");
    let python = Command::new("python3").args(["-c", OTHER_WRITER]).arg(&file).stderr(Stdio::null()).status();
    if !python.is_ok_and(|status| status.success()) {
        eprintln!("SKIPPED: python3 with PyArrow is not installed, so no table of another writer was read");
        return;
    }
    let columns = Columns { time: "at".into(), ..Columns::usual() };
    let outcomes = run(&file, &columns).unwrap();
    assert_eq!(outcomes.len(), 30);
    assert_eq!(outcomes[0].name, "tub 0");
    assert!((outcomes[0].hours - 49.0 / 12.0).abs() < 1e-6);
    assert_eq!((outcomes[0].readings, outcomes[0].left_out_count), (50, 0));
    assert_eq!((outcomes[3].readings, outcomes[3].left_out_count), (49, 1));
    assert_eq!(outcomes[3].left_out[0].why, "no number under `temp_c`");
    assert_eq!(outcomes[3].left_out[0].line, 3 * 50 + 11);
    let exact = (0..50).map(|n| f64::from(n * 7919 % 900) / 100.0 + 3.0).fold(0.0, f64::max);
    assert_eq!(
        outcomes[0].warmest_c,
        Some((exact * 100.0).round() / 100.0),
        "32 bits do not add a hundredth"
    );
}
