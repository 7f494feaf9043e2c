//! Lots of product: what is held, what has to go first, what may be done with it.

use maud::{Markup, PreEscaped, html};

use crate::shell::{Shell, document, path_segment};

/// Whether something has to go.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Due {
    /// It should have gone, or nobody knows: not to be served.
    Now,
    /// Today is its last day.
    Today,
    /// It may be kept beyond today.
    Later,
}

impl Due {
    /// Its word for style sheets and scripts.
    pub fn word(self) -> &'static str {
        match self {
            Due::Now => "now",
            Due::Today => "today",
            Due::Later => "later",
        }
    }
}

/// A lot's share of what is in a place.
#[derive(Debug, Clone, PartialEq)]
pub struct ShareLine {
    /// The lot.
    pub lot: String,
    /// What it is.
    pub product: Option<String>,
    /// Its share, above 0 to 1.
    pub share: f64,
    /// Its age in words; `None`: nobody knows.
    pub age: Option<String>,
    /// Whether it was called back.
    pub is_recalled: bool,
}

/// Something that holds product.
#[derive(Debug, Clone, PartialEq)]
pub struct HeldLine {
    /// The lot, or `machine/vessel`.
    pub place: String,
    /// What it is called.
    pub label: String,
    /// Whether it is a vessel of a machine, and so no lot that is stored or opened.
    pub is_vessel: bool,
    /// What kind of thing it is, where it stands, how much: in words.
    pub facts: Vec<String>,
    /// Its last day; `None`: it has to go now.
    pub last_day: Option<String>,
    /// Who says so.
    pub decides: String,
    /// Whether it has to go.
    pub due: Due,
    /// Advice on temperature and growth, a sentence each.
    pub advice: Vec<String>,
    /// Lots in it, the largest share first.
    pub shares: Vec<ShareLine>,
}

/// What the page shows.
#[derive(Debug, Clone, PartialEq)]
pub struct LotsView {
    /// Today, where the kitchen is.
    pub today: String,
    /// What is held, what has to go first at the top.
    pub held: Vec<HeldLine>,
    /// What else is due today by calendar or by age, a sentence each.
    pub duties: Vec<String>,
    /// Vessels of machines: name and what each is called.
    pub vessels: Vec<(String, String)>,
    /// Products of the machine files: name and what each is called.
    pub products: Vec<(String, String)>,
    /// Places where lots are put.
    pub places: Vec<String>,
    /// Draws of more than was told to be there, a sentence each.
    pub shortfalls: Vec<String>,
    /// Whether labels can be printed here.
    pub prints: bool,
    /// Whether this person may tell of lots.
    pub may_write: bool,
    /// Whether this person may call a lot back.
    pub may_recall: bool,
    /// Said with every date.
    pub caution: String,
}

/// The page of lots.
pub fn lots(shell: &Shell, view: &LotsView) -> String {
    let (due, kept): (Vec<_>, Vec<_>) = view.held.iter().partition(|held| held.due <= Due::Today);
    let main = html! {
        h1 { (shell.say("page.lots")) }
        p { (shell.say("lots.today")) " " (view.today) }
        section .due-first {
            h2 { (shell.say("lots.due")) " (" (due.len()) ")" }
            @if due.is_empty() { p { (shell.say("lots.nothing-due")) } }
            @for held in due { (line(shell, view, held)) }
            @if !view.duties.is_empty() {
                h3 { (shell.say("lots.duties")) }
                ul .duties { @for duty in &view.duties { li { (duty) } } }
            }
        }
        section {
            h2 { (shell.say("lots.kept")) " (" (kept.len()) ")" }
            @for held in kept { (line(shell, view, held)) }
        }
        @if view.may_write { (tell(shell, view)) }
        section {
            h2 { (shell.say("lots.trace")) }
            form .form action="/lots/glass" method="get" {
                p { (shell.say("lots.glass-how")) }
                label { span { (shell.say("lots.from")) }
                    select name="place" { @for (name, label) in &view.vessels { option value=(name) { (label) } } } }
                label { span { (shell.say("lots.at")) } input type="datetime-local" name="at" required; }
                button type="submit" { (shell.say("lots.glass")) }
            }
        }
        @if !view.shortfalls.is_empty() {
            section .caution { h2 { (shell.say("lots.shortfalls")) } ul { @for one in &view.shortfalls { li { (one) } } } }
        }
        p .caution { (view.caution) }
    };
    document(shell, shell.say("page.lots"), &main)
}

fn line(shell: &Shell, view: &LotsView, held: &HeldLine) -> Markup {
    html! {
        article .lot data-place=(held.place) data-due=(held.due.word()) {
            h3 { a href={ "/lots/lot/" (path_segment(&held.place)) } { (held.label) } }
            p .last-day {
                @match (held.due, &held.last_day) {
                    (Due::Now, _) => strong { "✗ " (shell.say("lots.must-go")) },
                    (Due::Today, _) => strong { "! " (shell.say("lots.last-today")) },
                    (Due::Later, Some(day)) => { (shell.say("lots.until")) " " strong { (day) } },
                    (Due::Later, None) => {},
                }
                " " span .small { (held.decides) }
            }
            p { (held.facts.join(" · ")) }
            (shares(shell, &held.label, &held.shares))
            @if !held.advice.is_empty() { ul .advice { @for one in &held.advice { li { (one) } } } }
            @if view.prints && !held.is_vessel && held.due != Due::Now { (label(shell, held)) }
            @if view.may_write { (acts(shell, view, held)) }
        }
    }
}

/// A label to print: how many, and on what. What has to go gets none.
fn label(shell: &Shell, held: &HeldLine) -> Markup {
    html! {
        details .acts {
            summary { (shell.say("lots.print")) }
            form .form action={ "/lots/label/" (path_segment(&held.place)) } method="get" target="_blank" {
                label { span { (shell.say("lots.copies")) }
                    input name="copies" type="number" inputmode="numeric" min="1" max="100" value="1" required; }
                label { span { (shell.say("lots.paper")) }
                    select name="paper" {
                        option value="a4" { "A4" }
                        option value="letter" { "Letter" }
                        option value="single" { (shell.say("lots.single")) }
                    } }
                button type="submit" { (shell.say("lots.print")) }
            }
        }
    }
}

/// What may be told of something that is held.
fn acts(shell: &Shell, view: &LotsView, held: &HeldLine) -> Markup {
    let lot = html! { input type="hidden" name="lot" value=(held.place); };
    html! {
        details .acts {
            summary { (shell.say("lots.do")) }
            form .tell .form method="dialog" data-what="discarded" {
                h4 { (shell.say("lots.discard")) }
                (lot)
                (because(shell, "because"))
                button type="submit" { (shell.say("lots.discard")) }
            }
            @if !held.is_vessel {
                form .tell .form method="dialog" data-what="stored" {
                    h4 { (shell.say("lots.store")) }
                    (lot)
                    label { span { (shell.say("lots.place")) } input name="place" list="places" required; }
                    button type="submit" { (shell.say("lots.store")) }
                }
                form .tell .form method="dialog" data-what="lot-opened" {
                    h4 { (shell.say("lots.open")) }
                    (lot)
                    label { span { (shell.say("lots.opened-as")) }
                        select name="reason" {
                            option value="pack" { (shell.say("lots.pack")) }
                            option value="thawed" { (shell.say("lots.thawed")) }
                        } }
                    button type="submit" { (shell.say("lots.open")) }
                }
            }
            @if !held.is_vessel && view.may_recall {
                form .tell .form method="dialog" data-what="recalled" {
                    h4 { (shell.say("lots.recall")) }
                    (lot)
                    (because(shell, "because"))
                    button .danger type="submit" { (shell.say("lots.recall")) }
                }
            }
        }
    }
}

/// What may be told of product that comes in or goes from one to another.
fn tell(shell: &Shell, view: &LotsView) -> Markup {
    html! {
        section .tells {
            h2 { (shell.say("lots.tell")) }
            datalist #places { @for place in &view.places { option value=(place) {} } }
            datalist #products { @for (name, label) in &view.products { option value=(name) { (label) } } }
            datalist #all-places {
                @for held in &view.held { option value=(held.place) { (held.label) } }
                @for (name, label) in &view.vessels { option value=(name) { (label) } }
            }
            details {
                summary { (shell.say("lots.receive")) }
                form .tell .form method="dialog" data-what="lot-received" {
                    label { span { (shell.say("lots.lot")) } input name="lot" required maxlength="60" autocapitalize="off"; }
                    label { span { (shell.say("lots.product")) } input name="product" list="products" required; }
                    (litres(shell))
                    label { span { (shell.say("lots.origin")) }
                        select name="origin" {
                            option value="delivered" { (shell.say("lots.delivered")) }
                            option value="made" { (shell.say("lots.made")) }
                        } }
                    label { span { (shell.say("lots.use-by")) } input type="date" name="use_by"; }
                    button .act type="submit" { (shell.say("lots.receive")) }
                }
            }
            details {
                summary { (shell.say("lots.blend")) }
                form .tell .form method="dialog" data-what="blended" {
                    (from(shell, "lots.from", "from")) (from(shell, "lots.into", "into")) (litres(shell))
                    button .act type="submit" { (shell.say("lots.blend")) }
                }
            }
            details {
                summary { (shell.say("lots.rerun-out")) }
                form .tell .form method="dialog" data-what="rerun-out" {
                    p { (shell.say("lots.rerun-how")) }
                    label { span { (shell.say("lots.can")) } input name="lot" required maxlength="60" autocapitalize="off"; }
                    label { span { (shell.say("lots.product")) } input name="product" list="products" required; }
                    (vessel(shell, view)) (litres(shell))
                    button .act type="submit" { (shell.say("lots.rerun-out")) }
                }
            }
            details {
                summary { (shell.say("lots.serve")) }
                form .tell .form method="dialog" data-what="served" {
                    (vessel(shell, view)) (litres(shell))
                    button .act type="submit" { (shell.say("lots.serve")) }
                }
            }
        }
    }
}

fn vessel(shell: &Shell, view: &LotsView) -> Markup {
    html! {
        label { span { (shell.say("lots.from")) }
            select name="from" { @for (name, label) in &view.vessels { option value=(name) { (label) } } } }
    }
}

fn from(shell: &Shell, word: &str, name: &str) -> Markup {
    html! { label { span { (shell.say(word)) } input name=(name) list="all-places" required autocapitalize="off"; } }
}

fn litres(shell: &Shell) -> Markup {
    html! {
        label { span { (shell.say("lots.litres")) }
            input name="litres" type="number" inputmode="decimal" min="0.01" max="10000" step="0.01" required data-number="yes"; }
    }
}

pub(crate) fn because(shell: &Shell, name: &str) -> Markup {
    html! { label { span { (shell.say("lots.because")) } input name=(name) required maxlength="200"; } }
}

/// Shares as a picture, each with its own hatch, and in words below it.
pub(crate) fn shares(shell: &Shell, label: &str, shares: &[ShareLine]) -> Markup {
    html! {
        @if !shares.is_empty() {
            div .shares {
                (picture(&format!("{}: {label}", shell.say("lots.shares")), shares))
                ul {
                    @for (index, share) in shares.iter().enumerate() {
                        li {
                            span class={ "swatch share-" (index % KINDS) } aria-hidden="true" { (mark_of(index)) }
                            " " strong { (percent(share.share)) } " "
                            a href={ "/lots/lot/" (path_segment(&share.lot)) } { (share.lot) }
                            @if let Some(product) = &share.product { " " span { (product) } }
                            " " span .small { (share.age.as_deref().unwrap_or(shell.say("lots.age-unknown"))) }
                            @if share.is_recalled { " " span .badge .bad { "✗ " (shell.say("lots.recalled")) } }
                        }
                    }
                }
            }
        }
    }
}

/// Looks that shares are told apart by; the letters tell apart what is more.
const KINDS: usize = 6;

fn mark_of(index: usize) -> char {
    u8::try_from(index).ok().filter(|index| *index < 26).map_or('+', |index| char::from(b'A' + index))
}

/// A share in percent: without decimals from ten on, and never nothing for something.
pub fn percent(share: f64) -> String {
    let percent = share * 100.0;
    if percent >= 10.0 {
        format!("{percent:.0} %")
    } else if percent >= 0.1 {
        format!("{percent:.1} %")
    } else {
        "< 0.1 %".to_owned()
    }
}

/// A bar as wide as its place: measures in percent, so that letters keep their shape.
fn picture(title: &str, shares: &[ShareLine]) -> Markup {
    let title = html! { (title) }.into_string();
    let mut svg = format!("<svg class=\"bar\" height=\"40\" role=\"img\" aria-label=\"{title}\">");
    let mut at = 0.0;
    for (index, share) in shares.iter().enumerate() {
        let width = (share.share * 100.0).clamp(0.0, 100.0 - at);
        let kind = index % KINDS;
        svg.push_str(&format!(
            "<rect class=\"share-{kind}\" x=\"{at:.2}%\" y=\"0\" width=\"{width:.2}%\" height=\"40\"/>"
        ));
        if width > 6.0 {
            svg.push_str(&format!("<text x=\"{:.2}%\" y=\"26\">{}</text>", at + 1.5, mark_of(index)));
        }
        at += width;
    }
    svg.push_str("</svg>");
    PreEscaped(svg)
}

#[cfg(test)]
mod tests {
    use super::percent;

    #[test]
    fn a_share_is_never_rounded_to_nothing() {
        assert_eq!(percent(0.666_67), "67 %");
        assert_eq!(percent(0.042), "4.2 %");
        assert_eq!(percent(0.000_01), "< 0.1 %");
    }
}
