//! The machines of a run, with the loads that the plan made and the order that was proved for them.

use ft_app::night::Origins;
use ft_app::play;
use ft_app::tonight::{Ready, Tonight};
use ft_compile::Lowered;
use ft_compile::lower::Group;
use ft_form::{EventId, Form};
use ft_machine::Kitchen;
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
    /// Brings a planned night to life: each machine with the plan's loads, proved and ordered once more.
    ///
    /// # Errors
    /// The first machine that is not safe with these loads, or too large to be decided.
    pub fn of(night: Tonight) -> Result<Self, NotLive> {
        let Tonight { kitchen, problem, plan, origins, view, machines, crew, remarks: _ } = night;
        let mut live = Vec::new();
        for (index, ready) in machines.into_iter().enumerate() {
            live.push(bring_to_life(ready, crew, play::groups(index, &origins, &plan))?);
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

    /// What the machine is called in a language.
    pub fn label(&self, language: &str) -> &str {
        ft_app::tonight::pick(&self.ready.label, language).unwrap_or(&self.ready.name)
    }
}

fn bring_to_life(ready: Ready, crew: u32, loads: Vec<(usize, Group)>) -> Result<Live, NotLive> {
    let wrong = |why: Vec<String>| NotLive { machine: ready.name.clone(), why };
    let parts: Vec<Group> = loads.iter().map(|(_, parts)| parts.clone()).collect();
    let mut lowered = ft_compile::compile_freely(&ready.file, ready.procedure, &ready.variant, crew, &parts)
        .map_err(|problems| wrong(problems.iter().map(|problem| problem.message.clone()).collect()))?;
    play::share_sinks(&mut lowered);
    let order = ft_prove::order(&lowered.form, &Limits::default()).map_err(|none| {
        wrong(match none {
            ft_prove::NoOrder::Unsafe { missing } => missing,
            ft_prove::NoOrder::TooLarge => vec!["it could not be decided within the limits".into()],
        })
    })?;
    let form = ft_prove::with_order(&lowered.form, &order);
    Ok(Live { ready, loads, lowered, order, form })
}
