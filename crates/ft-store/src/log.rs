//! What is asked of the tables, written once for both databases.

use std::collections::BTreeMap;

use ft_record::{Event, Fact, GENESIS, Hash, Link, Seal, Stored, hex, unhex};

use crate::error::{StoreError, Trouble};
use crate::sql::{Row, Sql, Value, over_rows};
use crate::{Accepted, Head};

/// The version of the tables.
const TABLES: &str = "1";

/// The text is what is hashed; the columns beside it are for finding it.
const SCHEMA: &str = "
CREATE TABLE IF NOT EXISTS meta (name TEXT PRIMARY KEY, value TEXT NOT NULL);
CREATE TABLE IF NOT EXISTS events (
    seq BIGINT PRIMARY KEY,
    id TEXT NOT NULL UNIQUE,
    run TEXT,
    prev TEXT NOT NULL,
    hash TEXT NOT NULL,
    text TEXT NOT NULL
);
CREATE INDEX IF NOT EXISTS events_of_run ON events (run, seq);
CREATE TABLE IF NOT EXISTS seals (
    seq BIGINT PRIMARY KEY,
    hash TEXT NOT NULL,
    key TEXT NOT NULL,
    signature TEXT NOT NULL,
    made_ms BIGINT NOT NULL
);
CREATE TABLE IF NOT EXISTS shelf (
    shelf TEXT NOT NULL,
    key TEXT NOT NULL,
    value TEXT NOT NULL,
    PRIMARY KEY (shelf, key)
);
";

/// Makes the tables where there are none; writes nothing where they are.
pub fn prepare(sql: &mut dyn Sql, epoch: &str) -> Result<(), StoreError> {
    if is_prepared(sql)? {
        return Ok(());
    }
    sql.batch(&format!("BEGIN; {SCHEMA} COMMIT;")).inspect_err(|_| {
        let _ = sql.batch("ROLLBACK");
    })?;
    transaction(sql, |sql| {
        for (name, value) in [("epoch", epoch), ("tables", TABLES)] {
            sql.run(
                "INSERT INTO meta (name, value) VALUES ($1, $2) ON CONFLICT (name) DO NOTHING",
                &[name.into(), value.into()],
            )?;
        }
        Ok(())
    })
}

/// Whether the tables are there, and of this version.
pub fn is_prepared(sql: &mut dyn Sql) -> Result<bool, StoreError> {
    match meta(sql, "tables") {
        Ok(Some(version)) if version != TABLES => Err(newer(&version)),
        Ok(version) => Ok(version.is_some()),
        Err(error) if error.trouble == Trouble::Other => Ok(false),
        Err(error) => Err(error),
    }
}

fn newer(version: &str) -> StoreError {
    StoreError::new(Trouble::Newer, format!("its tables are of version {version}"))
}

/// Does all of it or nothing.
pub fn transaction<T>(
    sql: &mut dyn Sql,
    work: impl FnOnce(&mut dyn Sql) -> Result<T, StoreError>,
) -> Result<T, StoreError> {
    let done = sql.begin().and_then(|()| work(sql)).and_then(|done| sql.batch("COMMIT").map(|()| done));
    if done.is_err() {
        // The first failure is the one to tell; where nothing is open this one fails too.
        let _ = sql.batch("ROLLBACK");
    }
    done
}

pub fn meta(sql: &mut dyn Sql, name: &str) -> Result<Option<String>, StoreError> {
    let rows = sql.run("SELECT value FROM meta WHERE name = $1", &[name.into()])?;
    rows.into_iter().next().map(|row| one(row).text()).transpose()
}

pub fn head(sql: &mut dyn Sql) -> Result<Head, StoreError> {
    let epoch = meta(sql, "epoch")?.ok_or_else(|| StoreError::new(Trouble::NotARecord, "it has no epoch"))?;
    let (seq, hash) = end(sql)?;
    Ok(Head { epoch, seq, hash })
}

/// The last place and its hash.
fn end(sql: &mut dyn Sql) -> Result<(u64, Hash), StoreError> {
    let rows = sql.run("SELECT seq, hash FROM events ORDER BY seq DESC LIMIT 1", &[])?;
    let Some(row) = rows.into_iter().next() else { return Ok((0, GENESIS)) };
    let [seq, hash] = columns(row)?;
    Ok((seq.int()? as u64, known_hash(&hash.text()?)?))
}

/// Appends events to the end of the chain, inside a transaction. One whose id is there already is not stored again.
pub fn append(sql: &mut dyn Sql, batch: Vec<(i64, Event)>) -> Result<Vec<Accepted>, StoreError> {
    let mut known = stored_already(sql, &batch)?;
    let (mut seq, mut prev) = end(sql)?;
    let mut rows = Vec::with_capacity(batch.len());
    let mut accepted = Vec::with_capacity(batch.len());
    for (received_ms, event) in batch {
        if let Some((seq, first)) = known.get(&event.id) {
            accepted.push(Accepted { is_same: *first == event, id: event.id, seq: *seq, is_new: false });
            continue;
        }
        seq += 1;
        let stored = Stored::link(prev, seq, received_ms, event);
        prev = stored.hash;
        accepted.push(Accepted { id: stored.event.id.clone(), seq, is_new: true, is_same: true });
        rows.push(row(&stored));
        known.insert(stored.event.id.clone(), (seq, stored.event));
    }
    insert(sql, &rows)?;
    Ok(accepted)
}

fn stored_already(
    sql: &mut dyn Sql,
    batch: &[(i64, Event)],
) -> Result<BTreeMap<String, (u64, Event)>, StoreError> {
    let ids: Vec<Row> = batch.iter().map(|(_, event)| vec![event.id.as_str().into()]).collect();
    let rows = over_rows(sql, "SELECT seq, prev, hash, text FROM events WHERE id IN (", ")", 1, &ids)?;
    let stored = rows.into_iter().map(|row| read(&link(row)?));
    stored.map(|stored| stored.map(|stored| (stored.event.id.clone(), (stored.seq, stored.event)))).collect()
}

fn row(link: &Stored) -> Row {
    let event = &link.event;
    // Whoever opens a run belongs to it.
    let run = match &event.fact {
        Fact::RunOpened { .. } => Some(&event.id),
        _ => event.run.as_ref(),
    };
    vec![
        link.seq.into(),
        event.id.as_str().into(),
        run.map_or(Value::Null, |run| run.as_str().into()),
        hex(&link.prev).as_str().into(),
        hex(&link.hash).as_str().into(),
        link.text.as_str().into(),
    ]
}

fn insert(sql: &mut dyn Sql, rows: &[Row]) -> Result<(), StoreError> {
    over_rows(sql, "INSERT INTO events (seq, id, run, prev, hash, text) VALUES ", "", 6, rows).map(|_| ())
}

/// Puts links where there are none, as they are.
pub fn insert_links(sql: &mut dyn Sql, links: &[Stored]) -> Result<(), StoreError> {
    let rows: Vec<Row> = links.iter().map(row).collect();
    insert(sql, &rows)
}

/// Links after a place, as they were found.
pub fn links(sql: &mut dyn Sql, after: u64, limit: usize) -> Result<Vec<Link>, StoreError> {
    let rows = sql.run(
        "SELECT seq, prev, hash, text FROM events WHERE seq > $1 ORDER BY seq LIMIT $2",
        &[after.into(), (limit as u64).into()],
    )?;
    rows.into_iter().map(link).collect()
}

pub fn since(sql: &mut dyn Sql, after: u64, limit: usize) -> Result<Vec<Stored>, StoreError> {
    links(sql, after, limit)?.iter().map(read).collect()
}

pub fn of_run(sql: &mut dyn Sql, run: &str) -> Result<Vec<Stored>, StoreError> {
    let rows =
        sql.run("SELECT seq, prev, hash, text FROM events WHERE run = $1 ORDER BY seq", &[run.into()])?;
    rows.into_iter().map(|row| read(&link(row)?)).collect()
}

fn link(row: Row) -> Result<Link, StoreError> {
    let [seq, prev, hash, text] = columns(row)?;
    Ok(Link { seq: seq.int()? as u64, prev: prev.text()?, hash: hash.text()?, text: text.text()? })
}

fn read(link: &Link) -> Result<Stored, StoreError> {
    let damaged = |why: String| {
        StoreError::new(Trouble::NotARecord, format!("event {} cannot be read: {why}", link.seq))
    };
    let prev = unhex(&link.prev).ok_or_else(|| damaged("its previous hash is not one".into()))?;
    let hash = unhex(&link.hash).ok_or_else(|| damaged("its hash is not one".into()))?;
    Stored::read(prev, hash, link.text.clone()).map_err(|error| damaged(error.to_string()))
}

fn known_hash(text: &str) -> Result<Hash, StoreError> {
    unhex(text).ok_or_else(|| StoreError::new(Trouble::NotARecord, "the last event's hash is not one"))
}

pub fn put_seal(sql: &mut dyn Sql, seal: &Seal) -> Result<(), StoreError> {
    sql.run(
        "INSERT INTO seals (seq, hash, key, signature, made_ms) VALUES ($1, $2, $3, $4, $5)
         ON CONFLICT (seq) DO NOTHING",
        &[
            seal.seq.into(),
            seal.hash.as_str().into(),
            seal.key.as_str().into(),
            seal.signature.as_str().into(),
            seal.made_ms.into(),
        ],
    )
    .map(|_| ())
}

pub fn seals(sql: &mut dyn Sql) -> Result<Vec<Seal>, StoreError> {
    let rows = sql.run("SELECT seq, hash, key, signature, made_ms FROM seals ORDER BY seq", &[])?;
    rows.into_iter()
        .map(|row| {
            let [seq, hash, key, signature, made_ms] = columns(row)?;
            Ok(Seal {
                seq: seq.int()? as u64,
                hash: hash.text()?,
                key: key.text()?,
                signature: signature.text()?,
                made_ms: made_ms.int()?,
            })
        })
        .collect()
}

pub fn put(sql: &mut dyn Sql, shelf: &str, key: &str, value: &str) -> Result<(), StoreError> {
    sql.run(
        "INSERT INTO shelf (shelf, key, value) VALUES ($1, $2, $3)
         ON CONFLICT (shelf, key) DO UPDATE SET value = excluded.value",
        &[shelf.into(), key.into(), value.into()],
    )
    .map(|_| ())
}

pub fn remove(sql: &mut dyn Sql, shelf: &str, key: &str) -> Result<(), StoreError> {
    sql.run("DELETE FROM shelf WHERE shelf = $1 AND key = $2", &[shelf.into(), key.into()]).map(|_| ())
}

pub fn get(sql: &mut dyn Sql, shelf: &str, key: &str) -> Result<Option<String>, StoreError> {
    let rows =
        sql.run("SELECT value FROM shelf WHERE shelf = $1 AND key = $2", &[shelf.into(), key.into()])?;
    rows.into_iter().next().map(|row| one(row).text()).transpose()
}

pub fn list(sql: &mut dyn Sql, shelf: &str) -> Result<Vec<(String, String)>, StoreError> {
    let rows = sql.run("SELECT key, value FROM shelf WHERE shelf = $1", &[shelf.into()])?;
    let found: Result<BTreeMap<String, String>, StoreError> = rows
        .into_iter()
        .map(|row| {
            let [key, value] = columns(row)?;
            Ok((key.text()?, value.text()?))
        })
        .collect();
    // Sorted here, since the two databases sort words differently.
    Ok(found?.into_iter().collect())
}

pub fn whole_shelf(sql: &mut dyn Sql) -> Result<Vec<Row>, StoreError> {
    sql.run("SELECT shelf, key, value FROM shelf", &[])
}

pub fn insert_shelf(sql: &mut dyn Sql, rows: &[Row]) -> Result<(), StoreError> {
    over_rows(sql, "INSERT INTO shelf (shelf, key, value) VALUES ", "", 3, rows).map(|_| ())
}

fn one(row: Row) -> Value {
    row.into_iter().next().unwrap_or(Value::Null)
}

fn columns<const N: usize>(row: Row) -> Result<[Value; N], StoreError> {
    <[Value; N]>::try_from(row)
        .map_err(|row| StoreError::new(Trouble::NotARecord, format!("a row has {} columns", row.len())))
}
