//! Live updates: what is stored, and the plan, to everybody who listens; a heartbeat, since an open stream does not
//! notice that the network is gone.

use std::collections::VecDeque;
use std::convert::Infallible;
use std::sync::Arc;
use std::sync::atomic::Ordering;
use std::time::Duration;

use axum::Extension;
use axum::body::{Body, Bytes};
use axum::extract::State;
use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};
use ft_record::Stored;
use serde::Deserialize;
use tokio::sync::broadcast::{self, error::RecvError};

use super::beside;
use super::run::language_of;
use crate::body::Asked;
use crate::problem::Problem;
use crate::sheet::Sheet;
use crate::site::{News, Site};
use crate::who::Who;

/// Seconds between heartbeats.
const BEAT: Duration = Duration::from_secs(5);
/// Events that are read from the record at once for somebody who is behind.
const PAGE: usize = 200;

/// Where a listener is.
#[derive(Debug, Deserialize)]
pub struct Since {
    epoch: Option<String>,
    #[serde(rename = "since")]
    after: Option<u64>,
    /// The mark of the plan that they have.
    plan: Option<String>,
    language: Option<String>,
}

/// Events after a place in the record, then each as it is stored.
///
/// # Errors
/// [`Problem`] of the store.
#[utoipa::path(get, path = "/api/stream", tag = "run",
    params(("epoch" = Option<String>, Query), ("since" = Option<u64>, Query), ("plan" = Option<String>, Query),
        ("language" = Option<String>, Query)),
    responses((status = 200, content_type = "text/event-stream", body = String), (status = "4XX", body = Problem)))]
pub async fn stream(
    State(site): State<Arc<Site>>,
    Extension(who): Extension<Who>,
    Asked(asked): Asked<Since>,
) -> Result<Response, Problem> {
    let is_same = asked.epoch.as_ref().is_none_or(|epoch| *epoch == site.epoch);
    // Whoever comes from another record, or from a later one than there is, reads all anew.
    let head = site.known().seq;
    let seq = asked.after.filter(|since| is_same && *since <= head).unwrap_or(head);
    let mut ready = VecDeque::from([Bytes::from_static(b"event: beat\ndata: {}\n\n")]);
    if !is_same || asked.after.is_some_and(|since| head < since) {
        ready.push_back(Bytes::from(format!("event: epoch\ndata: {{\"epoch\":\"{}\"}}\n\n", site.epoch)));
    }
    let language = language_of(asked.language.as_deref(), &who);
    // First subscribed, then compared: a plan that comes in between is told twice rather than not at all.
    let news = site.news.subscribe();
    if let Some(mark) = &asked.plan {
        let sheet = site.current().sheets[language].clone();
        if sheet.mark != *mark {
            ready.push_back(plan(&sheet));
        }
    }
    let listener = Listener {
        news,
        language,
        seq,
        is_behind: true,
        beat: tokio::time::interval_at(tokio::time::Instant::now() + BEAT, BEAT),
        ready,
        _counted: Counted::new(&site),
        site,
    };
    let frames = futures_util::stream::unfold(listener, |mut listener| async move {
        let frame = listener.next().await?;
        Some((Ok::<_, Infallible>(frame), listener))
    });
    let head = [(CONTENT_TYPE, "text/event-stream"), (CACHE_CONTROL, "no-store")];
    Ok((head, Body::from_stream(frames)).into_response())
}

struct Listener {
    site: Arc<Site>,
    news: broadcast::Receiver<News>,
    language: &'static str,
    /// The last place that was sent.
    seq: u64,
    /// Whether the record has to be read before the news count.
    is_behind: bool,
    beat: tokio::time::Interval,
    ready: VecDeque<Bytes>,
    _counted: Counted,
}

impl Listener {
    /// The next frame; `None` ends the stream.
    async fn next(&mut self) -> Option<Bytes> {
        loop {
            if let Some(frame) = self.ready.pop_front() {
                return Some(frame);
            }
            if self.is_behind {
                self.catch_up().await?;
                continue;
            }
            tokio::select! {
                news = self.news.recv() => match news {
                    Ok(News::Stored(seq, _)) if seq <= self.seq => {}
                    Ok(News::Stored(seq, message)) if seq == self.seq + 1 => {
                        self.seq = seq;
                        return Some(message);
                    }
                    // Something is missing in between: it is in the record.
                    Ok(News::Stored(..)) => self.is_behind = true,
                    // A plan may have been among what was missed.
                    Err(RecvError::Lagged(_)) => {
                        self.is_behind = true;
                        self.ready.push_back(plan(&self.site.current().sheets[self.language]));
                    }
                    Ok(News::Probes(message)) => return Some(message),
                    Ok(News::Plan(plans)) => return plans.get(self.language).cloned(),
                    Ok(News::End) | Err(RecvError::Closed) => return None,
                },
                _ = self.beat.tick() => return Some(Bytes::from_static(b"event: beat\ndata: {}\n\n")),
            }
        }
    }

    /// Reads on in the record; `None` where it cannot be read, and the device tries again.
    async fn catch_up(&mut self) -> Option<()> {
        let seq = self.seq;
        if self.site.known().seq <= seq {
            self.is_behind = false;
            return Some(());
        }
        let page = beside(&self.site, move |site| Ok(site.store.since(seq, PAGE)?)).await.ok()?;
        self.is_behind = page.len() == PAGE;
        for stored in page {
            self.seq = stored.seq;
            self.ready.push_back(self::stored(&stored));
        }
        Some(())
    }
}

/// An event as the stream tells it: its place and itself. When it was received is nobody's business on the tablet.
pub fn stored(stored: &Stored) -> Bytes {
    let event = serde_json::to_string(&stored.event).expect("an event is plain data");
    frame("stored", &format!("{{\"seq\":{},\"event\":{event}}}", stored.seq))
}

/// A plan as the stream tells it.
pub fn plan(sheet: &Sheet) -> Bytes {
    frame("plan", &format!("{{\"mark\":\"{}\",\"plan\":{}}}", sheet.mark, sheet.json))
}

/// What probes show now, as the stream tells it.
pub fn probes(json: &str) -> Bytes {
    frame("probes", json)
}

fn frame(kind: &str, data: &str) -> Bytes {
    Bytes::from(format!("event: {kind}\ndata: {data}\n\n"))
}

/// Counts a listener for as long as it lives.
struct Counted(Arc<Site>);

impl Counted {
    fn new(site: &Arc<Site>) -> Self {
        site.metrics.listeners.fetch_add(1, Ordering::Relaxed);
        Self(Arc::clone(site))
    }
}

impl Drop for Counted {
    fn drop(&mut self) {
        self.0.metrics.listeners.fetch_sub(1, Ordering::Relaxed);
    }
}
