//! The one writer: a thread that takes all that waits, writes it in one transaction and answers when it is durable.
//!
//! While one transaction is on its way to the disk, the next ones gather; so many devices cost no more syncs
//! than one.

use std::sync::Arc;
use std::sync::mpsc::{Receiver, Sender, SyncSender, channel, sync_channel};
use std::thread::{self, JoinHandle};

use ft_record::{Event, Seal};

use crate::Accepted;
use crate::error::{StoreError, Trouble};
use crate::log;
use crate::place::Place;
use crate::sql::Sql;

/// The most events in one transaction: beyond this a sync costs little beside the rest.
const MOST: usize = 8192;

/// Something to be written.
pub enum Work {
    Append(Vec<(i64, Event)>),
    Put { shelf: String, key: String, value: String },
    Remove { shelf: String, key: String },
    Seal(Seal),
}

struct Job {
    work: Work,
    answer: SyncSender<Result<Vec<Accepted>, StoreError>>,
}

/// Hands work to the thread; when the last clone goes, it waits until the thread has closed the database.
#[derive(Clone)]
pub struct Writer(Arc<Inner>);

struct Inner {
    /// Taken when it ends.
    jobs: Option<Sender<Job>>,
    thread: Option<JoinHandle<()>>,
}

impl Drop for Inner {
    fn drop(&mut self) {
        drop(self.jobs.take());
        if let Some(thread) = self.thread.take() {
            // Whoever waited for an answer of a thread that panicked was told so.
            let _ = thread.join();
        }
    }
}

impl Writer {
    /// Starts the thread.
    pub fn start(place: Place, sql: Box<dyn Sql>) -> Result<Self, StoreError> {
        let (jobs, waiting) = channel();
        let thread = thread::Builder::new()
            .name("record".to_owned())
            .spawn(move || write_all(&place, sql, &waiting))
            .map_err(|error| StoreError::new(Trouble::Other, error))?;
        Ok(Self(Arc::new(Inner { jobs: Some(jobs), thread: Some(thread) })))
    }

    /// Writes; what it answers is durable.
    pub fn write(&self, work: Work) -> Result<Vec<Accepted>, StoreError> {
        let gone = || StoreError::new(Trouble::Other, "the writing thread has ended");
        let (answer, answered) = sync_channel(1);
        let jobs = self.0.jobs.as_ref().ok_or_else(gone)?;
        jobs.send(Job { work, answer }).map_err(|_| gone())?;
        answered.recv().map_err(|_| gone())?
    }
}

fn write_all(place: &Place, sql: Box<dyn Sql>, waiting: &Receiver<Job>) {
    let mut open = Some(sql);
    while let Ok(first) = waiting.recv() {
        let jobs = gather(first, waiting);
        let (works, answers): (Vec<Work>, Vec<_>) =
            jobs.into_iter().map(|job| (job.work, job.answer)).unzip();
        let done = connected(place, &mut open).and_then(|sql| {
            log::transaction(sql, |sql| {
                works.into_iter().map(|work| write(sql, work)).collect::<Result<Vec<_>, _>>()
            })
        });
        match done {
            Ok(all) => {
                for (answer, accepted) in answers.into_iter().zip(all) {
                    // Whoever asked may have gone; it is written all the same.
                    let _ = answer.send(Ok(accepted));
                }
            }
            Err(error) => {
                // A connection that failed is not trusted again.
                open = None;
                for answer in answers {
                    let _ = answer.send(Err(error.clone()));
                }
            }
        }
    }
}

fn connected<'a>(place: &Place, open: &'a mut Option<Box<dyn Sql>>) -> Result<&'a mut dyn Sql, StoreError> {
    let sql = match open.take() {
        Some(sql) => sql,
        None => place.connect(false)?,
    };
    Ok(open.insert(sql).as_mut())
}

fn gather(first: Job, waiting: &Receiver<Job>) -> Vec<Job> {
    let mut size = first.work.size();
    let mut jobs = vec![first];
    while size < MOST {
        let Ok(job) = waiting.try_recv() else { break };
        size += job.work.size();
        jobs.push(job);
    }
    jobs
}

impl Work {
    fn size(&self) -> usize {
        if let Self::Append(events) = self { events.len() } else { 1 }
    }
}

fn write(sql: &mut dyn Sql, work: Work) -> Result<Vec<Accepted>, StoreError> {
    match work {
        Work::Append(events) => return log::append(sql, events),
        Work::Put { shelf, key, value } => log::put(sql, &shelf, &key, &value)?,
        Work::Remove { shelf, key } => log::remove(sql, &shelf, &key)?,
        Work::Seal(seal) => log::put_seal(sql, &seal)?,
    }
    Ok(Vec::new())
}
