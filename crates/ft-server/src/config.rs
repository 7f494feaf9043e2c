//! What the site is told: a file in the program's own syntax, flags and environment over it.

/// How the site runs.
#[derive(Debug, Clone, PartialEq)]
pub struct Config {
    /// Where it listens, such as `127.0.0.1:8080`.
    pub listen: std::net::SocketAddr,
    /// Whether the next free port is taken where this one is not free.
    pub next_free: bool,
    /// Where the record is kept.
    pub store: String,
    /// Names under which it is reached, for its certificate; empty: plain HTTP.
    pub names: Vec<String>,
    /// The token that `/metrics` asks for, if a program reads it.
    pub metrics_token: Option<String>,
    /// How long a session lasts without a touch, minutes.
    pub session_min: u32,
    /// The procedure that is planned at the start.
    pub procedure: String,
    /// Schedules that may be built for the plan; by default as many as for `fulltray plan`, so that both say the same.
    pub work: u64,
    /// The probes that are followed, where there are any.
    pub probes: Option<crate::probes::ProbesConfig>,
}

impl Default for Config {
    fn default() -> Self {
        Self {
            listen: std::net::SocketAddr::from(([127, 0, 0, 1], 8080)),
            next_free: false,
            store: "fulltray.db".to_owned(),
            names: Vec::new(),
            metrics_token: None,
            session_min: 60,
            procedure: "closing".to_owned(),
            work: 20_000,
            probes: None,
        }
    }
}
