//! The demo kitchen's machines, with the order in which this year closes and opens them.

use ft_app::morning::{Made, expected};
use ft_form::walk::State;
use ft_form::{EventId, Form};
use ft_record::Installed;
use ft_release::Expected;
use sha2::{Digest as _, Sha256};

/// The machine files of the demo, by what the kitchen calls each machine.
const FILES: [(&str, &str); 4] = [
    ("shake freezer", include_str!("../../../demo/shake.machine.kdl")),
    ("twist machine", include_str!("../../../demo/twist.machine.kdl")),
    ("slicer", include_str!("../../../demo/slicer.machine.kdl")),
    ("juice tower", include_str!("../../../demo/juice.machine.kdl")),
];

/// The kitchen.
pub struct Site {
    /// Its machines.
    pub machines: Vec<Machine>,
}

/// A machine.
pub struct Machine {
    /// What a machine should go through.
    pub expected: Expected,
    /// The closing's events in an order that its card allows.
    pub closing: Vec<EventId>,
    /// The same of the opening.
    pub opening: Vec<EventId>,
    /// As a run says.
    pub installed: Installed,
}

/// Which run.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum At {
    /// The evening.
    Closing,
    /// The morning.
    Opening,
}

impl Site {
    /// The demo kitchen.
    ///
    /// # Panics
    /// If a demo file does not compile, which another test shows first.
    pub fn demo() -> Self {
        Self { machines: FILES.iter().map(|(name, text)| machine(name, text)).collect() }
    }
}

impl Machine {
    /// What the kitchen calls it.
    pub fn name(&self) -> &str {
        &self.expected.machine
    }
}

fn machine(name: &str, text: &str) -> Machine {
    let (file, problems) = ft_compile::read(text);
    assert!(!ft_compile::has_errors(&problems), "{name}: {problems:?}");
    let sha256 = ft_record::hex(&Sha256::digest(text.as_bytes()));
    let installed = Installed {
        machine: name.to_owned(),
        file_sha256: sha256.clone(),
        fitted: Vec::new(),
        due: false,
        loads: Vec::new(),
    };
    let made = Made { file: &file, sha256: &sha256, installed: Some(&installed) };
    let expected = expected(name, made, made).expect("the demo machines compile");
    let (closing, opening) = (walk(&expected.closing.form), walk(&expected.opening.form));
    Machine { expected, closing, opening, installed }
}

/// Every event in the first order that the card allows. Of each look the first answer counts, and the others are told
/// with it, as a tablet tells them.
fn walk(form: &Form) -> Vec<EventId> {
    let mut state = State::start(form);
    let mut order = Vec::new();
    while let Some(event) = state.open(form).first().copied() {
        order.push(event);
        state = state.after(form, event);
    }
    assert!(state.is_finished(), "{}: the card can be carried out", form.name);
    order
}
