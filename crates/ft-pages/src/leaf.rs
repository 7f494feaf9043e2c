//! Turning the leaves of a long list, and choosing a day of it.

use maud::{Markup, html};

use crate::shell::Shell;

/// Where the leaves beside this one are.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Leaves {
    /// Where a day is chosen: the page's own address.
    pub path: String,
    /// The day that is shown, such as 2026-11-25; empty: all of them.
    pub day: String,
    /// What the leaf is of beside the day, in words; empty: nothing else.
    pub of: String,
    /// The address of the next newer leaf.
    pub newer: Option<String>,
    /// The address of the next older leaf.
    pub older: Option<String>,
}

/// The choice of a day.
pub(crate) fn days(shell: &Shell, leaves: &Leaves) -> Markup {
    html! {
        form .form .inline action=(leaves.path) method="get" {
            label { span { (shell.say("leaf.day")) } input name="day" type="date" value=(leaves.day) required; }
            button type="submit" { (shell.say("leaf.show")) }
            @if !leaves.day.is_empty() || !leaves.of.is_empty() || leaves.newer.is_some() {
                " " a href=(leaves.path) { (shell.say("leaf.all")) }
            }
        }
    }
}

/// Links to the leaves beside this one.
pub(crate) fn turn(shell: &Shell, leaves: &Leaves) -> Markup {
    html! {
        @if leaves.newer.is_some() || leaves.older.is_some() {
            nav .links aria-label=(shell.say("leaf.leaves")) {
                @if let Some(newer) = &leaves.newer { a rel="prev" href=(newer) { "← " (shell.say("leaf.newer")) } }
                @if leaves.newer.is_some() && leaves.older.is_some() { " · " }
                @if let Some(older) = &leaves.older { a rel="next" href=(older) { (shell.say("leaf.older")) " →" } }
            }
        }
    }
}
