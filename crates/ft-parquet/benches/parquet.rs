//! Bulk growth from a Parquet table beside reading the same bytes and decoding the same columns, in one run.
//!
//! `cargo bench -p ft-parquet`: 20,000 histories of 24 h at 5 min as most writers pack them, then 100,000 in plain
//! columns, which is the most that storage can be asked to deliver; written to a folder that goes away. Before each
//! read of the plain table the operating system is asked to forget it, so that the bytes come from the disk.

use std::fs::File;
use std::io::Read as _;
use std::path::Path;
use std::sync::Arc;
use std::time::Instant;

use ft_bulk::{Columns, Subject};
use ft_growth::{GapRule, shipped};
use parquet::basic::Compression;
use parquet::column::reader::ColumnReader;
use parquet::data_type::{DoubleType, Int32Type, Int64Type};
use parquet::file::properties::{WriterProperties, WriterPropertiesBuilder};
use parquet::file::reader::{FileReader as _, SerializedFileReader};
use parquet::file::writer::SerializedFileWriter;
use parquet::schema::parser::parse_message_type;

const HISTORIES: i64 = 20_000;
const PLAIN_HISTORIES: i64 = 100_000;
const READINGS: i64 = 289;

type Outcome<T> = Result<T, Box<dyn std::error::Error>>;

fn main() -> Outcome<()> {
    if std::env::args().any(|argument| argument == "--test") {
        return Ok(());
    }
    let folder = tempfile::tempdir()?;
    let file = folder.path().join("fleet.parquet");
    let packed = WriterProperties::builder().set_compression(Compression::SNAPPY);
    write(&file, HISTORIES, packed)?;
    let bytes = std::fs::metadata(&file)?.len() as f64;
    let start = Instant::now();
    std::hint::black_box(std::fs::read(&file)?);
    let read = start.elapsed().as_secs_f64();
    let start = Instant::now();
    let values = decode(&file)?;
    let decoded = start.elapsed().as_secs_f64();
    println!("{HISTORIES} histories, {values} values, {:.1} MB of Parquet", bytes / 1e6);
    println!("reading the bytes             {read:>8.3} s");
    println!("decoding the columns, 1 core  {decoded:>8.3} s");
    for threads in [1, 2] {
        for count in [1, 3] {
            let (taken, done) = grow(&file, threads, count)?;
            println!(
                "growth of {count} organisms, {threads} threads {taken:>6.3} s, {:>9.0} histories/s, {:.2} of decoding alone",
                done as f64 / taken,
                taken / decoded
            );
        }
    }
    plain(folder.path())?;
    println!("peak memory {} kB", peak_kb().unwrap_or(0));
    Ok(())
}

/// Seconds that a table takes, and its histories.
fn grow(file: &Path, threads: usize, organisms: usize) -> Outcome<(f64, u64)> {
    let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build()?;
    let subjects: Vec<Subject> = Subject::all(&shipped()).into_iter().take(organisms).collect();
    let mut done = 0;
    let start = Instant::now();
    pool.install(|| {
        ft_parquet::run_table(file, "history", &Columns::usual(), &subjects, GapRule::USUAL, |_, _, _| {
            done += 1;
            Ok(())
        })
    })?;
    Ok((start.elapsed().as_secs_f64(), done))
}

/// A table that is not packed at all, from the disk: what it takes beside reading its bytes.
fn plain(folder: &Path) -> Outcome<()> {
    let file = folder.join("plain.parquet");
    let unpacked =
        WriterProperties::builder().set_compression(Compression::UNCOMPRESSED).set_dictionary_enabled(false);
    write(&file, PLAIN_HISTORIES, unpacked)?;
    let megabytes = std::fs::metadata(&file)?.len() as f64 / 1e6;
    File::open(&file)?.sync_all()?;
    let place = if forget() { "from the disk" } else { "from memory: caches may not be dropped here" };
    println!("{PLAIN_HISTORIES} histories in plain columns, {megabytes:.0} MB, {place}");
    let mut buffer = vec![0; 1 << 20];
    let mut source = File::open(&file)?;
    let start = Instant::now();
    while source.read(&mut buffer)? > 0 {}
    let read = start.elapsed().as_secs_f64();
    println!("reading the bytes             {read:>8.3} s, {:>6.0} MB/s", megabytes / read);
    for threads in [1, 2] {
        forget();
        let (taken, _) = grow(&file, threads, 3)?;
        println!(
            "growth of 3 organisms, {threads} threads {taken:>6.3} s, {:>6.0} MB/s, {:.2} of reading the bytes",
            megabytes / taken,
            taken / read
        );
    }
    Ok(())
}

/// Asks the operating system to forget what it has read of files; only an administrator may.
fn forget() -> bool {
    std::fs::write("/proc/sys/vm/drop_caches", "1").is_ok()
}

fn write(file: &Path, histories: i64, properties: WriterPropertiesBuilder) -> Outcome<()> {
    let schema = parse_message_type(
        "message log { required int64 history; required int32 minute; required double temp_c; }",
    )?;
    let mut writer =
        SerializedFileWriter::new(File::create(file)?, Arc::new(schema), Arc::new(properties.build()))?;
    for first in (0..histories).step_by(1000) {
        let rows = || (first..first + 1000).flat_map(|history| (0..READINGS).map(move |n| (history, n)));
        let names: Vec<i64> = rows().map(|(history, _)| history).collect();
        let minutes: Vec<i32> = rows().map(|(_, n)| 5 * n as i32).collect();
        let celsius: Vec<f64> =
            rows().map(|(history, n)| 3.0 + ((history * 31 + n * 7919) % 900) as f64 / 100.0).collect();
        let mut group = writer.next_row_group()?;
        let mut column = group.next_column()?.ok_or("no column")?;
        column.typed::<Int64Type>().write_batch(&names, None, None)?;
        column.close()?;
        let mut column = group.next_column()?.ok_or("no column")?;
        column.typed::<Int32Type>().write_batch(&minutes, None, None)?;
        column.close()?;
        let mut column = group.next_column()?.ok_or("no column")?;
        column.typed::<DoubleType>().write_batch(&celsius, None, None)?;
        column.close()?;
        group.close()?;
    }
    writer.close()?;
    Ok(())
}

/// Decodes the three columns and does nothing with them.
fn decode(file: &Path) -> Outcome<usize> {
    let reader = SerializedFileReader::new(File::open(file)?)?;
    let mut values = 0;
    for index in 0..reader.num_row_groups() {
        let group = reader.get_row_group(index)?;
        for column in 0..3 {
            values += match group.get_column_reader(column)? {
                ColumnReader::Int32ColumnReader(mut c) => drain(|v| c.read_records(8192, None, None, v))?,
                ColumnReader::Int64ColumnReader(mut c) => drain(|v| c.read_records(8192, None, None, v))?,
                ColumnReader::DoubleColumnReader(mut c) => drain(|v| c.read_records(8192, None, None, v))?,
                _ => 0,
            };
        }
    }
    Ok(values)
}

fn drain<T>(
    mut next: impl FnMut(&mut Vec<T>) -> parquet::errors::Result<(usize, usize, usize)>,
) -> Outcome<usize> {
    let mut all = 0;
    loop {
        let mut values = Vec::with_capacity(8192);
        let (_, count, _) = next(&mut values)?;
        if count == 0 {
            return Ok(all);
        }
        all += std::hint::black_box(values).len();
    }
}

fn peak_kb() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    line.split_whitespace().nth(1)?.parse().ok()
}
