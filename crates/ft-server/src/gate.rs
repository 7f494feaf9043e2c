//! Who may do what: one table of every route, and the gate that reads it.

use ft_record::Role;

/// Who may use a route.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum May {
    /// Anybody, signed in or not.
    Anybody,
    /// Anybody, but only while nobody has been set up.
    FirstStart,
    /// Whoever is signed in.
    SignedIn,
    /// Whoever has one of these roles.
    Roles(&'static [Role]),
    /// A lead, or whoever shows the token of the configuration.
    Measure,
}

/// A route.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Route {
    /// `GET` or `POST`. What is posted changes something, and needs the header `x-fulltray: 1` and the same origin.
    pub method: &'static str,
    /// Its path, as axum writes it.
    pub path: &'static str,
    /// Who may.
    pub may: May,
    /// Whether people look at it: who is not signed in is sent to sign in.
    pub page: bool,
}

/// Everybody who works: all but those who only read.
const CREW: May = May::Roles(&[Role::Closer, Role::Opener, Role::Lead, Role::Trainer]);
const LEADS: May = May::Roles(&[Role::Lead]);
/// Whoever writes procedures or looks after them.
const WRITERS: May = May::Roles(&[Role::Lead, Role::Trainer, Role::Inspector]);

const fn page(path: &'static str, may: May) -> Route {
    Route { method: "GET", path, may, page: true }
}

const fn get(path: &'static str, may: May) -> Route {
    Route { method: "GET", path, may, page: false }
}

const fn post(path: &'static str, may: May) -> Route {
    Route { method: "POST", path, may, page: false }
}

/// Every route there is. A route that is not here is not served: the router is made from the same list.
pub const ROUTES: &[Route] = &[
    page("/", May::SignedIn),
    page("/step", CREW),
    page("/tray/{machine}", May::SignedIn),
    page("/machine/{machine}", May::SignedIn),
    page("/readings", May::SignedIn),
    page("/file/{machine}", WRITERS),
    page("/record", May::SignedIn),
    page("/sign-in", May::Anybody),
    page("/set-up", May::FirstStart),
    page("/trust", May::Anybody),
    get("/trust/ca.crt", May::Anybody),
    get("/assets/{*path}", May::Anybody),
    get("/sw.js", May::Anybody),
    get("/health", May::Anybody),
    get("/metrics", May::Measure),
    get("/api/openapi.json", May::SignedIn),
    get("/api/run", May::SignedIn),
    get("/api/form/{mark}", May::SignedIn),
    get("/api/stream", May::SignedIn),
    get("/api/probes", May::SignedIn),
    get("/api/probes/cards", May::SignedIn),
    get("/api/people", May::Roles(&[Role::Lead, Role::Trainer, Role::Inspector])),
    get("/api/search/{machine}", May::SignedIn),
    post("/api/events", CREW),
    post("/api/run/open", May::Roles(&[Role::Opener, Role::Lead])),
    post("/api/run/close", May::Roles(&[Role::Closer, Role::Opener, Role::Lead])),
    post("/api/plan/what-if", May::SignedIn),
    post("/api/answer", May::SignedIn),
    post("/api/check", WRITERS),
    post("/api/product", CREW),
    post("/api/people", LEADS),
    post("/api/people/{name}/pin", LEADS),
    post("/api/people/{name}/roles", LEADS),
    post("/api/me/pin", May::SignedIn),
    post("/api/sign-in", May::Anybody),
    post("/api/sign-out", May::Anybody),
    post("/api/set-up", May::FirstStart),
];

/// Every route, the morning's too.
pub fn all() -> impl Iterator<Item = &'static Route> {
    ROUTES.iter().chain(crate::morning::ROUTES)
}

/// The row of a route.
pub fn route(method: &str, path: &str) -> Option<&'static Route> {
    // What answers GET answers HEAD.
    let method = if method == "HEAD" { "GET" } else { method };
    all().find(|route| route.method == method && route.path == path)
}

/// What the gate says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// Come in.
    Pass,
    /// Nobody is signed in.
    SignIn,
    /// Not with these roles.
    NotYours,
    /// It was for the first start, which is over.
    TooLate,
}

/// Whether somebody with these roles (`None`: nobody is signed in) may use a route.
pub fn judge(may: May, roles: Option<&[Role]>, is_first_start: bool, has_token: bool) -> Verdict {
    let has = |wanted: &[Role]| match roles {
        None => Verdict::SignIn,
        Some(roles) if roles.iter().any(|role| wanted.contains(role)) => Verdict::Pass,
        Some(_) => Verdict::NotYours,
    };
    match may {
        May::Anybody => Verdict::Pass,
        May::FirstStart if is_first_start => Verdict::Pass,
        May::FirstStart => Verdict::TooLate,
        May::SignedIn => match roles {
            None => Verdict::SignIn,
            Some([]) => Verdict::NotYours,
            Some(_) => Verdict::Pass,
        },
        May::Roles(wanted) => has(wanted),
        May::Measure if has_token => Verdict::Pass,
        May::Measure => has(&[Role::Lead]),
    }
}

/// The names of roles, for a sentence.
pub fn names(may: May) -> String {
    let name = |role: &Role| match role {
        Role::Closer => "closer",
        Role::Opener => "opener",
        Role::Lead => "lead",
        Role::Trainer => "trainer",
        Role::Inspector => "inspector",
    };
    match may {
        May::Roles(roles) => roles.iter().map(name).collect::<Vec<_>>().join(", "),
        May::Measure => "lead".to_owned(),
        May::Anybody | May::FirstStart | May::SignedIn => "whoever works here".to_owned(),
    }
}
