//! Tonight: when everybody is out, who does what, what if somebody else were here, and the start.

use maud::{Markup, PreEscaped, html};

use crate::shell::{Shell, document, path_segment};

/// How far the night is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NightState {
    /// A plan, and nothing begun.
    Planned,
    /// Begun.
    Running,
    /// Everything has happened and nobody has signed.
    Finished,
    /// Signed.
    Signed,
}

/// Somebody of the crew.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Hand {
    /// Their name.
    pub name: String,
    /// Whether the plan counts on them.
    pub is_here: bool,
    /// From when to when, as `21:30 – 00:15`.
    pub hours: String,
    /// What they do now or first.
    pub now: Option<String>,
}

/// A machine of tonight.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MachineLine {
    /// Its name in the kitchen file.
    pub name: String,
    /// What it is called.
    pub label: String,
    /// How its card was proved, in a sentence.
    pub proof: String,
    /// Events that have happened, and all of them.
    pub done: (usize, usize),
    /// Parts that lie in their slots, and all of them.
    pub laid_out: (usize, usize),
}

/// One row of the plan.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PlanRow {
    /// When it begins, as `21:30`.
    pub start: String,
    /// When it ends.
    pub end: String,
    /// Who.
    pub people: Vec<String>,
    /// The machine's label.
    pub machine: String,
    /// What.
    pub title: String,
    /// Where.
    pub place: Option<String>,
    /// Whether it has happened.
    pub is_done: bool,
}

/// What the page shows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TonightView {
    /// The procedure, by its name in the machine files, such as `closing`.
    pub procedure: String,
    /// How far the night is.
    pub state: NightState,
    /// When it begins, as `21:30`.
    pub begins: String,
    /// When everybody is out.
    pub out: String,
    /// When everybody should be out.
    pub out_by: Option<String>,
    /// Chance of being out in time, percent.
    pub chance: Option<u8>,
    /// The crew.
    pub people: Vec<Hand>,
    /// The machines.
    pub machines: Vec<MachineLine>,
    /// The plan's rows by time.
    pub rows: Vec<PlanRow>,
    /// The timeline, as SVG of our own making.
    pub picture: Option<String>,
    /// Why it takes as long as it takes, a sentence each.
    pub why: Vec<String>,
    /// Solutions to mix, a sentence each.
    pub solutions: Vec<String>,
    /// What stands against signing, a sentence each.
    pub against: Vec<String>,
    /// The procedure that this person may start once this one is signed.
    pub next: Option<String>,
    /// Whether this person may start the procedure.
    pub may_start: bool,
    /// Whether this person may sign it from here.
    pub may_lead: bool,
}

/// The page of tonight.
pub fn tonight(shell: &Shell, view: &TonightView) -> String {
    let main = html! {
        section .lead {
            h1 { (headline(shell, view)) }
            p .big { (shell.say("tonight.out")) " " time .clock { (view.out) } }
            @if let Some(by) = &view.out_by {
                p { (shell.say("tonight.out-by")) " " (by)
                    @if let Some(chance) = view.chance { " · " (shell.say("tonight.chance")) " " (chance) " %" }
                }
            }
            p #begins .small { (begins(shell, view)) }
            (begin_or_sign(shell, view))
        }
        (crew(shell, view))
        (machines(shell, view))
        @if let Some(picture) = &view.picture {
            section {
                h2 { (shell.say("tonight.timeline")) }
                div .wide tabindex="0" role="region" aria-label=(shell.say("tonight.timeline")) { (PreEscaped(picture)) }
            }
        }
        (rows(shell, view))
        (sentences(shell.say("tonight.why"), &view.why))
        (sentences(shell.say("tonight.solutions"), &view.solutions))
    };
    document(shell, shell.say("page.tonight"), &main)
}

fn headline(shell: &Shell, view: &TonightView) -> &'static str {
    shell.say(match (view.state, is_opening(view)) {
        (NightState::Planned, false) => "tonight.planned",
        (NightState::Planned, true) => "opening.planned",
        (NightState::Running, false) => "tonight.running",
        (NightState::Running, true) => "opening.running",
        (NightState::Finished, false) => "tonight.finished",
        (NightState::Finished, true) => "opening.finished",
        (NightState::Signed, false) => "tonight.signed",
        (NightState::Signed, true) => "opening.signed",
    })
}

/// Which times these are: of a plan that waits, or of a night that began.
fn begins(shell: &Shell, view: &TonightView) -> String {
    match view.state {
        NightState::Planned => format!(
            "{} {}. {}",
            shell.say("tonight.as-planned"),
            view.begins,
            shell.say("tonight.counted-anew")
        ),
        NightState::Running | NightState::Finished | NightState::Signed => {
            format!("{} {}.", shell.say("tonight.as-run"), view.begins)
        }
    }
}

fn is_opening(view: &TonightView) -> bool {
    view.procedure == "opening"
}

fn begin_or_sign(shell: &Shell, view: &TonightView) -> Markup {
    html! {
        @match view.state {
            NightState::Planned => @if view.may_start {
                button #start .act type="button" data-procedure=(view.procedure) { (shell.say("tonight.start")) }
            } @else {
                p { (shell.say("tonight.lead-starts")) }
            },
            NightState::Running | NightState::Finished => {
                a .act href="/step" { (shell.say("tonight.to-step")) }
                // What comes after the last step of a morning is the question whether it may serve.
                @if view.state == NightState::Finished && is_opening(view) {
                    a .act href="/release" { (shell.say("opening.to-release")) }
                }
                @if !view.against.is_empty() {
                    details .against open[view.state == NightState::Finished] {
                        summary { (shell.say("tonight.against")) " (" (view.against.len()) ")" }
                        ul { @for reason in &view.against { li { (reason) } } }
                    }
                }
                @if view.may_lead {
                    button #sign .act .second type="button" disabled[!view.against.is_empty()] { (shell.say("tonight.sign")) }
                }
            },
            NightState::Signed => {
                p .good {
                    @if is_opening(view) { (shell.say("opening.is-signed")) " " a href="/release" { (shell.say("opening.to-release")) } }
                    @else { (shell.say("tonight.is-signed")) " " a href="/record" { (shell.say("tonight.see-record")) } }
                }
                @if let Some(next) = &view.next {
                    button #start .act .second type="button" data-procedure=(next) {
                        (shell.say(if next == "opening" { "opening.start" } else { "opening.close-again" }))
                    }
                }
            },
        }
    }
}

fn crew(shell: &Shell, view: &TonightView) -> Markup {
    html! {
        section {
            h2 { (shell.say("tonight.people")) }
            form #what-if {
                ul .crew {
                    @for hand in &view.people {
                        li {
                            label .tick {
                                input type="checkbox" name="people" value=(hand.name) checked[hand.is_here];
                                span { strong { (hand.name) } " " span .hours { (hand.hours) } }
                            }
                            @if let Some(now) = &hand.now { p .now { (now) } }
                        }
                    }
                }
                button type="submit" { (shell.say("tonight.what-if")) }
            }
            div #what-if-answer aria-live="polite" {}
        }
    }
}

fn machines(shell: &Shell, view: &TonightView) -> Markup {
    html! {
        section {
            h2 { (shell.say("tonight.machines")) }
            ul .machines {
                @for machine in &view.machines {
                    li {
                        h3 { a href={ "/machine/" (path_segment(&machine.name)) } { (machine.label) } }
                        (meter(shell.say("tonight.steps-done"), machine.done))
                        (meter(shell.say("tonight.parts-laid-out"), machine.laid_out))
                        p .small { (machine.proof) }
                    }
                }
            }
        }
    }
}

/// How much of how much, in words and as a bar that words do not depend on.
pub(crate) fn meter(label: &str, (done, all): (usize, usize)) -> Markup {
    html! {
        p .meter {
            span { (label) " " strong { (done) " / " (all) } }
            progress value=(done) max=(all.max(1)) aria-label=(label) {}
        }
    }
}

fn rows(shell: &Shell, view: &TonightView) -> Markup {
    html! {
        section {
            h2 { (shell.say("tonight.plan")) }
            div .wide tabindex="0" role="region" aria-label=(shell.say("tonight.plan")) {
                table .plan {
                    thead { tr {
                        th scope="col" { (shell.say("tonight.when")) }
                        th scope="col" { (shell.say("tonight.who")) }
                        th scope="col" { (shell.say("tonight.what")) }
                        th scope="col" { (shell.say("tonight.where")) }
                    } }
                    tbody {
                        @for row in &view.rows {
                            tr .done[row.is_done] {
                                td { (row.start) "–" (row.end) }
                                td { (row.people.join(", ")) }
                                td {
                                    @if row.is_done { span .done-mark { "✓ " span .only-read { (shell.say("tonight.done")) } } }
                                    (row.title) " " span .small { (row.machine) }
                                }
                                td { (row.place.as_deref().unwrap_or("")) }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn sentences(title: &str, sentences: &[String]) -> Markup {
    html! {
        @if !sentences.is_empty() {
            section { h2 { (title) } ul .sentences { @for sentence in sentences { li { (sentence) } } } }
        }
    }
}
