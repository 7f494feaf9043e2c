//! Parts: what is looked at and lubricated before it goes in, what comes due, what to order.

use maud::{Markup, PreEscaped, html};

use crate::shell::{Shell, document, machine_tabs};

/// A part that is looked at before it is fitted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct InspectLine {
    /// Its name in the machine file.
    pub part: String,
    /// Its side.
    pub side: Option<String>,
    /// Which of several equal ones.
    pub number: Option<u32>,
    /// What it is called.
    pub label: String,
    /// Its slot on the tray.
    pub slot: Option<String>,
    /// What it is lubricated with; `None`: never.
    pub lubricant: Option<String>,
    /// Whether it was found good, and who looked when, in words.
    pub seen: Option<(bool, String)>,
}

/// A part that comes due.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DueLine {
    /// The kind of part.
    pub part: String,
    /// The machine and the place in it.
    pub place: String,
    /// How old it is, in words.
    pub age: String,
    /// Its last day, if there is one.
    pub due: Option<String>,
    /// Whether that day has passed.
    pub is_over: bool,
    /// Chance of a failure in the time ahead, in words.
    pub chance: Option<String>,
}

/// Spares of a kind.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OrderLine {
    /// The kind of part.
    pub part: String,
    /// How many to hold.
    pub hold: u64,
    /// How many to order now.
    pub order: u64,
    /// Why, in a sentence.
    pub why: String,
}

/// The life of a kind.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LifeLine {
    /// The kind of part.
    pub part: String,
    /// What the record says of it, a sentence each.
    pub told: Vec<String>,
    /// The life curve, SVG of our own making.
    pub picture: String,
}

/// What the page shows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PartsView {
    /// What is looked at before it is fitted, of the machine that is looked at.
    pub inspect: Vec<InspectLine>,
    /// What comes due, the most urgent first.
    pub due: Vec<DueLine>,
    /// What to hold and to order.
    pub orders: Vec<OrderLine>,
    /// Life curves.
    pub lives: Vec<LifeLine>,
    /// Kinds of parts that the machine has, by name.
    pub kinds: Vec<String>,
    /// Rows of the table of the past that could not be used, a sentence each.
    pub left_out: Vec<String>,
    /// Said with it.
    pub caution: String,
    /// Whether this person may tell of parts.
    pub may_write: bool,
    /// Whether this person may say what a change costs, and bring a table of the past.
    pub may_lead: bool,
}

/// The page of parts and spares.
pub fn parts(shell: &Shell, view: &PartsView) -> String {
    let main = html! {
        (machine_tabs(shell))
        h1 { (shell.say("page.parts")) }
        (inspect(shell, view))
        section {
            h2 { (shell.say("parts.due")) }
            @if view.due.is_empty() { p { (shell.say("parts.no-lives")) } }
            @else { (due(shell, view)) }
        }
        section {
            h2 { (shell.say("parts.orders")) }
            @if view.orders.iter().all(|line| line.order == 0) { p { (shell.say("parts.no-order")) } }
            ul .orders {
                @for line in &view.orders {
                    li {
                        strong { (line.part) } " " (shell.say("parts.hold")) " " (line.hold)
                        @if line.order > 0 { " · " strong { (shell.say("parts.order")) " " (line.order) } }
                        " " span .small { (line.why) }
                    }
                }
            }
        }
        @for life in &view.lives {
            section {
                h2 { (life.part) }
                ul .sentences { @for one in &life.told { li { (one) } } }
                div .wide tabindex="0" role="region" aria-label=(life.part) { (PreEscaped(&life.picture)) }
            }
        }
        @if view.may_lead { (figures(shell, view)) }
        p .caution { (view.caution) }
    };
    document(shell, shell.say("page.parts"), &main)
}

fn inspect(shell: &Shell, view: &PartsView) -> Markup {
    let seen = view.inspect.iter().filter(|line| line.seen.is_some()).count();
    html! {
        section {
            h2 { (shell.say("parts.inspect")) }
            p { (shell.say("parts.inspect-how")) }
            (crate::tonight::meter(shell.say("parts.looked-at"), (seen, view.inspect.len())))
            ul .inspect {
                @for line in &view.inspect {
                    li data-part=(line.part) {
                        @if let Some(slot) = &line.slot { span .slot-name { (slot) } " " }
                        strong { (line.label) }
                        p {
                            @match &line.lubricant {
                                Some(lubricant) => { (shell.say("parts.lubricate")) " " (lubricant) },
                                None => { (shell.say("parts.never-lubricate")) },
                            }
                        }
                        @match &line.seen {
                            Some((true, seen)) => p .good { "✓ " (shell.say("parts.good")) " " span .small { (seen) } },
                            Some((false, seen)) => p .bad { "✗ " (shell.say("parts.bad")) " " span .small { (seen) } },
                            None => {},
                        }
                        @if view.may_write { (look(shell, line)) }
                    }
                }
            }
        }
    }
}

fn look(shell: &Shell, line: &InspectLine) -> Markup {
    let part = html! {
        input type="hidden" name="part" value=(line.part) data-part="part";
        @if let Some(side) = &line.side { input type="hidden" name="side" value=(side) data-part="side"; }
        @if let Some(number) = line.number { input type="hidden" name="number" value=(number) data-part="number"; }
    };
    let told = |good: &str, lubricated: bool, word: &str| {
        html! {
            form .tell .inline method="dialog" data-what="part-inspected" data-machine=[shell.machine.as_deref()] {
                (part)
                input type="hidden" name="good" value=(good) data-flag="yes";
                input type="hidden" name="lubricated" value=(if lubricated { "yes" } else { "no" }) data-flag="yes";
                button type="submit" { (shell.say(word)) }
            }
        }
    };
    html! {
        div .looks {
            @if line.lubricant.is_some() { (told("yes", true, "parts.good-lubricated")) }
            @else { (told("yes", false, "parts.good")) }
            (told("no", false, "parts.bad"))
            details .acts {
                summary { (shell.say("parts.replace")) }
                form .tell .form method="dialog" data-what="part-replaced" data-machine=[shell.machine.as_deref()] {
                    (part)
                    label { span { (shell.say("parts.why-replaced")) }
                        select name="failed" data-flag="yes" {
                            option value="yes" { (shell.say("parts.failed")) }
                            option value="no" { (shell.say("parts.planned")) }
                        } }
                    label { span { (shell.say("parts.supplier-lot")) } input name="supplier_lot" maxlength="60"; }
                    button type="submit" { (shell.say("parts.replace")) }
                }
            }
        }
    }
}

/// What a lead adds to what the record tells: costs and spares, and lives from before it began.
fn figures(shell: &Shell, view: &PartsView) -> Markup {
    let number = |name: &str, word: &str, value: &str, step: &str| {
        html! {
            label { span { (shell.say(word)) }
                input name=(name) type="number" inputmode="decimal" min="0" step=(step) value=(value) required data-number="yes"; }
        }
    };
    html! {
        section .tells {
            h2 { (shell.say("parts.figures")) }
            details {
                summary { (shell.say("parts.costs")) }
                form .tell .form data-post="/api/parts/costs" {
                    label { span { (shell.say("parts.part")) }
                        select name="part" { @for kind in &view.kinds { option value=(kind) { (kind) } } } }
                    (number("planned", "parts.cost-planned", "", "0.01"))
                    (number("failure", "parts.cost-failure", "", "0.01"))
                    (number("lead_days", "parts.lead-days", "14", "1"))
                    (number("have", "parts.have", "0", "1"))
                    button type="submit" { (shell.say("parts.costs")) }
                }
            }
            details {
                summary { (shell.say("parts.past")) }
                form .tell .form data-post="/api/parts/past" {
                    label { span { (shell.say("parts.past-how")) }
                        textarea name="table" rows="8" spellcheck="false" autocapitalize="off" {} }
                    button type="submit" { (shell.say("parts.past")) }
                }
                @if !view.left_out.is_empty() { ul { @for one in &view.left_out { li { (one) } } } }
            }
        }
    }
}

fn due(shell: &Shell, view: &PartsView) -> Markup {
    html! {
        div .wide tabindex="0" role="region" aria-label=(shell.say("parts.due")) {
            table {
                thead { tr {
                    th scope="col" { (shell.say("parts.part")) }
                    th scope="col" { (shell.say("tonight.where")) }
                    th scope="col" { (shell.say("parts.age")) }
                    th scope="col" { (shell.say("parts.last-day")) }
                    th scope="col" { (shell.say("parts.chance")) }
                } }
                tbody {
                    @for line in &view.due {
                        tr {
                            td { (line.part) } td { (line.place) } td { (line.age) }
                            td {
                                @if line.is_over { strong { "✗ " (shell.say("parts.overdue")) " " } }
                                (line.due.as_deref().unwrap_or("–"))
                            }
                            td { (line.chance.as_deref().unwrap_or("–")) }
                        }
                    }
                }
            }
        }
    }
}
