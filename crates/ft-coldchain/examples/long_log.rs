//! Writes a long log to standard output, or reads one from standard input and tells its memory.
//!
//! ```text
//! cargo build --release -p ft-coldchain --example long_log
//! long_log write 1000000000 | long_log read
//! ```

use std::io::{BufWriter, Write};

use ft_coldchain::{ColdchainView, History, Mapping, import};
use ft_units::{Temperature, TemperatureUnit};
use jiff::{SignedDuration, Timestamp};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let words: Vec<String> = std::env::args().skip(1).collect();
    match words.iter().map(String::as_str).collect::<Vec<_>>()[..] {
        ["write", bytes] => write(bytes.parse()?),
        ["read"] => read(),
        _ => Err("write BYTES, or read".into()),
    }
}

/// One reading every ten seconds; each thousandth row is wrong.
fn write(bytes: u64) -> Result<(), Box<dyn std::error::Error>> {
    let mut out = BufWriter::new(std::io::stdout().lock());
    let header = "time,temp\n";
    out.write_all(header.as_bytes())?;
    let mut written = header.len() as u64;
    let mut row = 0_i64;
    let start: Timestamp = "1990-01-01T00:00:00Z".parse()?;
    while written < bytes {
        let at = start.checked_add(SignedDuration::from_secs(10 * row))?;
        let temperature = if row % 1000 == 999 {
            "?".to_owned()
        } else {
            format!("{:.1}", 38.0 + (row % 97) as f64 / 16.0)
        };
        let line = format!("{at},{temperature}\n");
        out.write_all(line.as_bytes())?;
        written += line.len() as u64;
        row += 1;
    }
    Ok(())
}

fn read() -> Result<(), Box<dyn std::error::Error>> {
    let mapping = Mapping {
        time: "time".into(),
        date: None,
        temperature: "temp".into(),
        unit: Some("°F".into()),
        unit_column: None,
        zone: "UTC".into(),
        format: None,
        delimiter: None,
        decimal_comma: false,
    };
    let mut history = History::new(1800.0, [Temperature::new(41.0, TemperatureUnit::Fahrenheit)]);
    let import = import(std::io::stdin().lock(), &mapping, |reading| history.push(reading))?;
    let mut view = ColdchainView::new(&import, history.summary(), &[]);
    view.listed.truncate(3);
    println!("{}", view.text());
    // Linux tells the most memory that was ever used; elsewhere the line is missing.
    if let Ok(status) = std::fs::read_to_string("/proc/self/status") {
        status.lines().filter(|line| line.starts_with("VmHWM")).for_each(|line| println!("{line}"));
    }
    Ok(())
}
