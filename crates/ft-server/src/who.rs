//! Who asks: from the cookies of a request to a person with roles.

use axum::http::HeaderMap;
use axum::http::header::{COOKIE, ORIGIN};
use ft_record::{Role, SignedAs};

use crate::ids;
use crate::problem::Problem;
use crate::site::Site;

/// The cookie of a session.
pub const SESSION: &str = "fulltray";
/// The cookie that names a browser, from its first sign-in on.
pub const BROWSER: &str = "fulltray-browser";
/// The cookie of the language.
pub const LANGUAGE: &str = "fulltray-language";

/// Whoever asks.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Who {
    /// Their name; `None` where nobody is signed in.
    pub name: Option<String>,
    /// What they may do.
    pub roles: Vec<Role>,
    /// The language that they read.
    pub language: String,
    /// The browser's own name, if it has one.
    pub browser: Option<String>,
    /// Whether the connection is encrypted.
    pub is_secure: bool,
}

impl Who {
    /// Reads the cookies of a request.
    pub fn of(site: &Site, headers: &HeaderMap, is_secure: bool) -> Self {
        let token = cookie(headers, SESSION);
        let name = token.and_then(|token| site.sessions().who(&token, ids::now_ms()));
        let known = site.known();
        let person = name.as_ref().and_then(|name| known.people.get(name));
        let language = cookie(headers, LANGUAGE)
            .or_else(|| person.map(|person| person.language.clone()))
            .unwrap_or_else(|| preferred(headers));
        Self {
            roles: person.map(|person| person.roles.clone()).unwrap_or_default(),
            language,
            browser: cookie(headers, BROWSER),
            is_secure,
            name,
        }
    }

    /// Their name, behind a gate that lets only people in who have one.
    pub fn name(&self) -> &str {
        self.name.as_deref().unwrap_or_default()
    }

    /// Whether they lead.
    pub fn is_lead(&self) -> bool {
        self.roles.contains(&Role::Lead)
    }

    /// Whether they may open a run: a lead any, an opener the opening, so that a morning needs no lead to begin.
    pub fn may_open(&self, procedure: &str) -> bool {
        self.is_lead() || (procedure == "opening" && self.roles.contains(&Role::Opener))
    }

    /// As what they sign a run of a procedure: as what the release asks for. A lead may sign either, and then signs as
    /// whoever does that work.
    ///
    /// # Errors
    /// [`Problem`]: neither is theirs to sign.
    pub fn signs(&self, procedure: &str) -> Result<SignedAs, Problem> {
        let (r#as, role) = if procedure == "opening" {
            (SignedAs::Opener, Role::Opener)
        } else {
            (SignedAs::Closer, Role::Closer)
        };
        if self.is_lead() || self.roles.contains(&role) {
            Ok(r#as)
        } else {
            Err(Problem::not_yours("whoever does this work, or a lead"))
        }
    }
}

/// A cookie of a request.
pub fn cookie(headers: &HeaderMap, name: &str) -> Option<String> {
    let all = headers.get_all(COOKIE).iter().filter_map(|value| value.to_str().ok());
    all.flat_map(|value| value.split(';'))
        .filter_map(|pair| pair.trim().split_once('='))
        .find(|(key, _)| *key == name)
        .map(|(_, value)| value.to_owned())
}

/// A cookie that no script reads and no other site sends.
pub fn set_cookie(name: &str, value: &str, max_age_s: u64, is_secure: bool) -> String {
    let secure = if is_secure { "; Secure" } else { "" };
    format!("{name}={value}; Path=/; HttpOnly; SameSite=Strict; Max-Age={max_age_s}{secure}")
}

fn preferred(headers: &HeaderMap) -> String {
    let wanted = headers.get("accept-language").and_then(|value| value.to_str().ok()).unwrap_or("en");
    let mut codes = wanted.split(',').map(|part| part.split(';').next().unwrap_or(part).trim());
    codes.find_map(ft_pages::Language::of).map_or("en", ft_pages::Language::code).to_owned()
}

/// Whether a request that changes something comes from a page of this site: the header that a form of another site
/// cannot set, and, where the browser tells it, the same origin.
pub fn is_own(headers: &HeaderMap, is_secure: bool) -> bool {
    let marked = headers.get("x-fulltray").is_some_and(|value| value == "1");
    let scheme = if is_secure { "https" } else { "http" };
    let host = headers.get("host").and_then(|value| value.to_str().ok()).unwrap_or_default();
    let same = match headers.get(ORIGIN) {
        Some(origin) => origin.to_str().is_ok_and(|origin| origin == format!("{scheme}://{host}")),
        None => true,
    };
    marked && same
}
