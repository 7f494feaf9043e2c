//! The machines of a run, with the loads that the plan made and the order that was proved for them.

use ft_app::night::Origins;
use ft_app::play;
use ft_app::tonight::{Ready, Tonight};
use ft_compile::Lowered;
use ft_compile::lower::{Group, TaskFrom};
use ft_form::{EventId, Form};
use ft_machine::{Kitchen, Statement};
use ft_night::{Plan, Problem};
use ft_prove::{Limits, Order};

/// A machine of a run.
pub struct Live {
    /// The machine as it was read.
    pub ready: Ready,
    /// Its loads: the position of each in the plan, and its parts.
    pub loads: Vec<(usize, Group)>,
    /// Its procedure with those loads; events keep their numbers in `form`.
    pub lowered: Lowered,
    /// The proved loosest order of that.
    pub order: Order,
    /// The form whose `pre` is the order: what may happen on it is safe.
    pub form: Form,
}

/// A night that can be carried out: the plan that it begins with and its machines.
pub struct Run {
    /// The kitchen.
    pub kitchen: Kitchen,
    /// The planning problem from the first second on.
    pub problem: Problem,
    /// The plan that it begins with.
    pub plan: Plan,
    /// Where tasks and items come from.
    pub origins: Origins,
    /// What is shown of the plan.
    pub view: ft_app::tonight::TonightView,
    /// The machines.
    pub machines: Vec<Live>,
}

/// Why a machine cannot be run.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NotLive {
    /// The machine.
    pub machine: String,
    /// What is in the way, one sentence each.
    pub why: Vec<String>,
}

impl Run {
    /// Brings a planned night to life: each machine with the plan's loads, proved and ordered once more. Where there is
    /// no plan, with those of its card: it can be looked at, and whoever asks is told why there is none.
    ///
    /// # Errors
    /// The first machine that is not safe with these loads, or too large to be decided.
    pub fn of(night: Tonight) -> Result<Self, NotLive> {
        let Tonight { kitchen, problem, plan, origins, view, machines, crew, remarks: _ } = night;
        let mut live = Vec::new();
        for (index, ready) in machines.into_iter().enumerate() {
            let loads = plan.is_plan().then(|| play::groups(index, &origins, &plan));
            live.push(bring_to_life(ready, crew, loads)?);
        }
        Ok(Self { kitchen, problem, plan, origins, view, machines: live })
    }

    /// A machine by the name that its kitchen gives it.
    pub fn machine(&self, name: &str) -> Option<&Live> {
        self.machines.iter().find(|live| live.ready.name == name)
    }
}

impl Live {
    /// An event by its name.
    pub fn event(&self, name: &str) -> Option<EventId> {
        self.form.events.iter().position(|event| event.name == name)
    }

    /// What an event is called in a language: an answer by its own words, all else by its step.
    pub fn title(&self, event: EventId, language: &str) -> String {
        let of = &self.form.events[event];
        let words = ft_app::tonight::pick(&of.words, language);
        if of.nature {
            return words.unwrap_or(of.name.rsplit(" → ").next().unwrap_or(&of.name)).to_owned();
        }
        let first = self.first_of_step(event);
        let words = ft_app::tonight::pick(&first.words, language).unwrap_or(&of.step);
        words.split_once(": ").map_or(words, |(title, _)| title).to_owned()
    }

    /// What the step of an event says to do in a language; empty where its file says nothing.
    pub fn sentence(&self, event: EventId, language: &str) -> String {
        let words = ft_app::tonight::pick(&self.first_of_step(event).words, language).unwrap_or_default();
        words.split_once(": ").map_or("", |(_, sentence)| sentence).to_owned()
    }

    /// What the step of an event wants to be measured: what, by language, and within which limit.
    pub fn measures(&self, event: EventId) -> impl Iterator<Item = (&ft_machine::Words, &str)> {
        let task = self.lowered.tasks.iter().find(|task| task.events.contains(&event));
        let step = task.and_then(|task| match task.from {
            TaskFrom::Step(step) => Some(&self.ready.file.procedures[self.ready.procedure].steps[step]),
            TaskFrom::Load(..) | TaskFrom::SignOff => None,
        });
        step.into_iter().flat_map(|step| &step.statements).filter_map(|statement| match statement {
            Statement::Measure { what, within, .. } => Some((what, within.as_str())),
            _ => None,
        })
    }

    /// The event that says what its step is: the first of it.
    fn first_of_step(&self, event: EventId) -> &ft_form::Event {
        let of = &self.form.events[event];
        self.form.events.iter().find(|one| one.step == of.step).unwrap_or(of)
    }

    /// What the machine is called in a language.
    pub fn label(&self, language: &str) -> &str {
        ft_app::tonight::pick(&self.ready.label, language).unwrap_or(&self.ready.name)
    }
}

fn bring_to_life(ready: Ready, crew: u32, loads: Option<Vec<(usize, Group)>>) -> Result<Live, NotLive> {
    let wrong = |why: Vec<String>| NotLive { machine: ready.name.clone(), why };
    let compiled = match &loads {
        Some(loads) => {
            let parts: Vec<Group> = loads.iter().map(|(_, parts)| parts.clone()).collect();
            ft_compile::compile_freely(&ready.file, ready.procedure, &ready.variant, crew, &parts)
        }
        None => ft_compile::compile(&ready.file, ready.procedure, &ready.variant, crew),
    };
    let mut lowered = compiled
        .map_err(|problems| wrong(problems.iter().map(|problem| problem.message.clone()).collect()))?;
    play::share_sinks(&mut lowered);
    let order = ft_prove::order(&lowered.form, &Limits::default()).map_err(|none| {
        wrong(match none {
            ft_prove::NoOrder::Unsafe { missing } => missing,
            ft_prove::NoOrder::TooLarge => vec!["it could not be decided within the limits".into()],
        })
    })?;
    let form = ft_prove::with_order(&lowered.form, &order);
    Ok(Live { ready, loads: loads.unwrap_or_default(), lowered, order, form })
}
