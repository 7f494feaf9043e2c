//! What is around every page: its head, the way to the others, the language, and what is not sent yet.

use maud::{DOCTYPE, Markup, PreEscaped, html};

use crate::words::{Language, text};

/// Where somebody can go.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Page {
    /// The plan, the people, what if, start.
    Tonight,
    /// The one thing to do now.
    Step,
    /// The tray of a machine.
    Tray,
    /// A machine's state.
    Machine,
    /// Readings.
    Readings,
    /// Whether a machine may serve.
    Release,
    /// Lots of product.
    Lots,
    /// Practice.
    Practice,
    /// A machine file with live checking.
    File,
    /// People and what they may do.
    People,
    /// Parts: inspection, what comes due, what to order.
    Parts,
    /// The record.
    Record,
    /// What an inspector reads by a link.
    Inspect,
    /// Sign-in.
    SignIn,
    /// The first start.
    SetUp,
    /// The site's certificate.
    Trust,
}

impl Page {
    /// The first part of its path.
    pub fn path(self) -> &'static str {
        match self {
            Page::Tonight => "/",
            Page::Step => "/step",
            Page::Tray => "/tray",
            Page::Machine => "/machine",
            Page::Readings => "/readings",
            Page::Release => "/release",
            Page::Lots => "/lots",
            Page::Practice => "/practice",
            Page::File => "/file",
            Page::People => "/people",
            Page::Parts => "/parts",
            Page::Record => "/record",
            Page::Inspect => "/inspect",
            Page::SignIn => "/sign-in",
            Page::SetUp => "/set-up",
            Page::Trust => "/trust",
        }
    }

    /// Whether its path goes on with a machine's name.
    pub fn is_of_machine(self) -> bool {
        matches!(self, Page::Tray | Page::Machine | Page::File | Page::Parts)
    }

    fn word(self) -> &'static str {
        match self {
            Page::Tonight => "page.tonight",
            Page::Step => "page.step",
            Page::Tray => "page.tray",
            Page::Machine => "page.machine",
            Page::Readings => "page.readings",
            Page::Release => "page.release",
            Page::Lots => "page.lots",
            Page::Practice => "page.practice",
            Page::File => "page.file",
            Page::People => "page.people",
            Page::Parts => "page.parts",
            Page::Record => "page.record",
            Page::Inspect => "page.inspect",
            Page::SignIn => "page.sign-in",
            Page::SetUp => "page.set-up",
            Page::Trust => "page.trust",
        }
    }

    /// The name of its module in the browser, where it has one.
    fn module(self) -> Option<&'static str> {
        match self {
            Page::Tonight => Some("tonight"),
            Page::Step => Some("step"),
            Page::Tray => Some("tray"),
            Page::Machine => Some("machine"),
            Page::Readings => Some("readings"),
            Page::File => Some("file"),
            Page::SignIn | Page::SetUp => Some("sign-in"),
            Page::Trust => Some("trust"),
            Page::Practice => Some("practice"),
            Page::Release | Page::Lots | Page::People | Page::Parts => Some("tell"),
            Page::Record | Page::Inspect => None,
        }
    }
}

/// A machine of the kitchen.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MachineLink {
    /// Its name in the kitchen file.
    pub name: String,
    /// What it is called in the page's language.
    pub label: String,
}

/// Who is signed in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Person {
    /// Their name.
    pub name: String,
}

/// For whom and where a page is.
#[derive(Debug, Clone)]
pub struct Shell {
    /// The language of the page.
    pub language: Language,
    /// Which page it is.
    pub page: Page,
    /// The machine that it is about, if it is about one, by its name.
    pub machine: Option<String>,
    /// Who is signed in; `None` before.
    pub person: Option<Person>,
    /// The pages that this person may see, in any order; the way to others is not shown.
    pub pages: Vec<Page>,
    /// The kitchen's machines.
    pub machines: Vec<MachineLink>,
    /// The kitchen's title.
    pub kitchen: String,
}

impl Shell {
    /// A text of the page in its language.
    pub fn say(&self, key: &str) -> &'static str {
        text(self.language, key)
    }

    /// Where a page of this kitchen is: of the machine that is looked at, else of the first.
    fn href(&self, page: Page) -> String {
        let first = self.machines.first().map(|machine| machine.name.clone());
        match self.machine.clone().or(first) {
            Some(machine) if page.is_of_machine() => format!("{}/{}", page.path(), path_segment(&machine)),
            _ => page.path().to_owned(),
        }
    }
}

/// A name as one part of a path.
pub fn path_segment(name: &str) -> String {
    let mut safe = String::new();
    for byte in name.bytes() {
        if byte.is_ascii_alphanumeric() || b"-._~".contains(&byte) {
            safe.push(char::from(byte));
        } else {
            safe.push_str(&format!("%{byte:02X}"));
        }
    }
    safe
}

/// What is reached from the foot of every page, first what a closer needs.
const WAYS: [Page; 5] = [Page::Tonight, Page::Step, Page::Tray, Page::Machine, Page::Readings];
const MORE: [Page; 7] =
    [Page::Release, Page::Lots, Page::Parts, Page::Practice, Page::File, Page::People, Page::Record];

/// A whole document around the page's own part.
pub fn document(shell: &Shell, title: &str, main: &Markup) -> String {
    let language = shell.language;
    let person = shell.person.as_ref().map(|person| person.name.as_str());
    let page = html! {
        (DOCTYPE)
        html lang=(language.code()) dir=(language.direction()) {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                meta name="theme-color" content="#0b3b46";
                title { (title) " · Fulltray" }
                link rel="icon" href="/assets/icon.svg" type="image/svg+xml";
                link rel="manifest" href="/assets/app.webmanifest";
                link rel="stylesheet" href="/assets/fulltray.css";
                script type="module" src="/assets/shell.js" {}
                @if let Some(module) = shell.page.module() {
                    script type="module" src={ "/assets/" (module) ".js" } {}
                }
            }
            body data-page=(shell.page.word()) data-person=[person] data-machine=[shell.machine.as_deref()] {
                a .skip href="#main" { (shell.say("shell.skip")) }
                header .head {
                    a .mark href="/" aria-label="Fulltray" { (mark()) span { "Fulltray" } }
                    p .where { (shell.kitchen) }
                    p #sent .sent role="status" {}
                    @match person {
                        Some(name) => details .me {
                            summary { (name) }
                            (languages(shell))
                            button #sign-out type="button" { (shell.say("shell.sign-out")) }
                        },
                        None => (languages(shell)),
                    }
                }
                @if person.is_some() { (ways(shell)) }
                main #main tabindex="-1" { (main) }
                footer .foot { p { (shell.say("shell.caution")) } }
                div #notices .notices role="alert" {}
            }
        }
    };
    page.into_string()
}

fn ways(shell: &Shell) -> Markup {
    let link = |page: Page| {
        let current = (page == shell.page).then_some("page");
        html! { li { a href=(shell.href(page)) aria-current=[current] { (shell.say(page.word())) } } }
    };
    let may =
        |pages: &[Page]| pages.iter().copied().filter(|page| shell.pages.contains(page)).collect::<Vec<_>>();
    let more = may(&MORE);
    html! {
        nav .ways aria-label=(shell.say("shell.ways")) {
            ul { @for page in may(&WAYS) { (link(page)) } }
            @if !more.is_empty() {
                details open[more.contains(&shell.page)] {
                    summary { (shell.say("shell.more")) }
                    ul { @for page in more { (link(page)) } }
                }
            }
        }
    }
}

/// The way to the same page in each language; the server remembers the choice.
fn languages(shell: &Shell) -> Markup {
    html! {
        ul .languages aria-label=(shell.say("shell.language")) {
            @for language in Language::ALL {
                @let current = (language == shell.language).then_some("true");
                li {
                    a href={ "?language=" (language.code()) } hreflang=(language.code()) lang=(language.code())
                        aria-current=[current] { (language.own_name()) }
                }
            }
        }
    }
}

/// The machines as a row of ways to the same page of each.
pub(crate) fn machine_tabs(shell: &Shell) -> Markup {
    html! {
        @if shell.machines.len() > 1 {
            nav .tabs aria-label=(shell.say("shell.machines")) {
                ul {
                    @for machine in &shell.machines {
                        @let current = (shell.machine.as_ref() == Some(&machine.name)).then_some("page");
                        li {
                            a href={ (shell.page.path()) "/" (path_segment(&machine.name)) } aria-current=[current] {
                                (machine.label)
                            }
                        }
                    }
                }
            }
        }
    }
}

/// A tray with a ring in it: the mark of the program.
fn mark() -> Markup {
    PreEscaped(
        "<svg viewBox=\"0 0 32 32\" width=\"32\" height=\"32\" aria-hidden=\"true\" focusable=\"false\">\
         <rect x=\"2\" y=\"6\" width=\"28\" height=\"20\" rx=\"5\" fill=\"none\" stroke=\"currentColor\" \
         stroke-width=\"2.5\"/><circle cx=\"12\" cy=\"16\" r=\"5\" fill=\"none\" stroke=\"currentColor\" \
         stroke-width=\"2.5\"/><path d=\"M21 11v10M25.5 11v10\" stroke=\"currentColor\" stroke-width=\"2.5\" \
         stroke-linecap=\"round\"/></svg>"
            .to_owned(),
    )
}
