//! PostgreSQL by its address.

use std::collections::BTreeMap;
use std::error::Error;

use postgres::error::SqlState;
use postgres::types::{ToSql, Type};
use postgres::{Client, NoTls, Statement};

use crate::error::{StoreError, Trouble};
use crate::sql::{Row, Sql, Value};

/// A connection to a server.
pub struct Postgres {
    client: Client,
    prepared: BTreeMap<String, Statement>,
}

impl Postgres {
    /// Connects, and makes sure that a commit means that it is on the disk.
    pub fn open(address: &str) -> Result<Self, StoreError> {
        let mut client = Client::connect(address, NoTls)?;
        client.batch_execute("SET synchronous_commit = on; SET lock_timeout = '5s'")?;
        let row = client.query_one("SHOW fsync", &[])?;
        if row.get::<_, &str>(0) != "on" {
            return Err(StoreError::new(Trouble::NotDurable, ""));
        }
        Ok(Self { client, prepared: BTreeMap::new() })
    }
}

impl Sql for Postgres {
    fn run(&mut self, sql: &str, params: &[Value]) -> Result<Vec<Row>, StoreError> {
        if !self.prepared.contains_key(sql) {
            let statement = self.client.prepare(sql)?;
            self.prepared.insert(sql.to_owned(), statement);
        }
        let params: Vec<&(dyn ToSql + Sync)> = params.iter().map(parameter).collect();
        let rows = self.client.query(&self.prepared[sql], &params)?;
        rows.iter().map(values).collect()
    }

    fn batch(&mut self, sql: &str) -> Result<(), StoreError> {
        Ok(self.client.batch_execute(sql)?)
    }

    fn begin(&mut self) -> Result<(), StoreError> {
        // Readers go on; another program that writes waits, so that no two events get one place.
        self.batch("BEGIN; LOCK TABLE meta IN EXCLUSIVE MODE")
    }
}

fn parameter(value: &Value) -> &(dyn ToSql + Sync) {
    match value {
        Value::Int(number) => number,
        Value::Text(text) => text,
        Value::Null => &None::<String>,
    }
}

fn values(row: &postgres::Row) -> Result<Row, StoreError> {
    let value = |column: usize| {
        Ok(if *row.columns()[column].type_() == Type::INT8 {
            row.try_get::<_, Option<i64>>(column)?.map_or(Value::Null, Value::Int)
        } else {
            row.try_get::<_, Option<String>>(column)?.map_or(Value::Null, Value::Text)
        })
    };
    (0..row.len()).map(value).collect()
}

impl From<postgres::Error> for StoreError {
    fn from(error: postgres::Error) -> Self {
        let trouble = match error.code() {
            Some(code) if *code == SqlState::DISK_FULL => Trouble::Full,
            Some(code)
                if *code == SqlState::READ_ONLY_SQL_TRANSACTION
                    || *code == SqlState::INSUFFICIENT_PRIVILEGE =>
            {
                Trouble::ReadOnly
            }
            Some(code) if *code == SqlState::LOCK_NOT_AVAILABLE => Trouble::Locked,
            Some(code)
                if *code == SqlState::UNDEFINED_DATABASE
                    || *code == SqlState::CANNOT_CONNECT_NOW
                    || *code == SqlState::ADMIN_SHUTDOWN
                    || *code == SqlState::CRASH_SHUTDOWN =>
            {
                Trouble::NoSuch
            }
            Some(_) => Trouble::Other,
            None => Trouble::NoSuch,
        };
        // Its own words say only "db error"; the cause has the rest.
        let cause = error.source().map_or_else(|| error.to_string(), ToString::to_string);
        Self::new(trouble, cause)
    }
}
