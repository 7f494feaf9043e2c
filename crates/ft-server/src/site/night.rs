//! The night of a site: planned, opened with the texts that it was proved with, and taken up again after a restart.

use std::collections::BTreeMap;
use std::sync::PoisonError;

use ft_app::Source;
use ft_app::tonight::{Asked, tonight};
use ft_night::Plan;
use ft_odds::lengths::Run as TimedRun;
use ft_plan::Budget;
use ft_record::{Fact, Installed};
use ft_run::Run;
use ft_store::Store;

use super::lengths::basis;
use super::{NoSite, Read, Site, sha256};
use crate::config::Config;
use crate::current::Current;
use crate::ids;
use crate::problem::Problem;

/// What is kept of an open night beside the record, to go on with it after a restart.
#[derive(serde::Serialize, serde::Deserialize)]
pub struct Kept {
    pub kitchen: String,
    pub begins_ms: i64,
    pub plan: Plan,
}

impl Site {
    /// Opens a night.
    ///
    /// # Errors
    /// [`Problem`]: one is open already, or there is no plan.
    pub fn open_run(&self, who: &str, procedure: &str, here: Option<&[String]>) -> Result<String, Problem> {
        let open = || {
            let current = self.current();
            current.id.clone().filter(|_| !current.is_signed())
        };
        if let Some(id) = open() {
            return Err(Problem::conflict(
                "W0411",
                "A night is open already.",
                format!("Sign the night {id} first, or go on with it."),
            ));
        }
        let _own = self.own.lock().unwrap_or_else(PoisonError::into_inner);
        let timed = self.timed()?;
        if !self.is_planned(procedure, here, &timed) {
            let night =
                planned(&self.config, &*self.read, procedure, here, &timed).map_err(NoSite::problem)?;
            let mut current = self.current.write().unwrap_or_else(PoisonError::into_inner);
            if current.id.is_none() || current.is_signed() {
                *current = night;
            }
        }
        if let Some(id) = open() {
            return Err(Problem::conflict("W0411", "A night is open already.", format!("Go on with {id}.")));
        }
        let (fact, kept) = {
            let current = self.current();
            if !current.plan.is_plan() {
                return Err(Problem::conflict(
                    "W0412",
                    "There is no plan for this night.",
                    "Ask for other people, or more time.",
                ));
            }
            // The texts lie on the shelf before the night begins: it goes on with what was proved.
            let kitchen = (self.read)(None).map_err(|error| NoSite::File(error).problem())?;
            for live in &current.run.machines {
                self.store.put("file", &sha256(&live.ready.source.text), &live.ready.source.text)?;
            }
            self.store.put("file", &sha256(&kitchen.text), &kitchen.text)?;
            let fact = Fact::RunOpened {
                procedure: procedure.to_owned(),
                machines: current.run.machines.iter().map(installed).collect(),
                people: current.crew.clone(),
                out_by_ms: None,
            };
            (fact, Kept { kitchen: sha256(&kitchen.text), begins_ms: 0, plan: current.plan.clone() })
        };
        let now = ids::now_ms();
        let event = self.own_event(now, fact, Some(who.to_owned()), None);
        let id = event.id.clone();
        let kept = Kept { begins_ms: now, ..kept };
        self.store.put("night", &id, &serde_json::to_string(&kept).expect("a plan is JSON"))?;
        {
            let mut current = self.current.write().unwrap_or_else(PoisonError::into_inner);
            current.begin(&id, now);
        }
        if let Err(error) = self.append(vec![event]) {
            // It was not opened: what could be is there again.
            self.current.write().unwrap_or_else(PoisonError::into_inner).id = None;
            return Err(error.into());
        }
        self.expect();
        Ok(id)
    }

    /// Whether the night that could be is the one that is asked for, from texts and lengths as they are now.
    fn is_planned(&self, procedure: &str, here: Option<&[String]>, timed: &[TimedRun]) -> bool {
        let current = self.current();
        let same_people = match here {
            None => true,
            Some(here) => {
                here.len() == current.crew.len() && here.iter().all(|name| current.crew.contains(name))
            }
        };
        let same_texts = || {
            current.run.machines.iter().all(|live| {
                let installed =
                    current.run.kitchen.machines.iter().find(|one| one.named.name == live.ready.name);
                let read = installed.and_then(|one| (self.read)(Some(&one.file)).ok());
                read.is_some_and(|source| source.text == live.ready.source.text)
            })
        };
        let same_kitchen = || {
            let text = (self.read)(None).map(|source| source.text);
            text.is_ok_and(|text| {
                ft_compile::read(&text).0.kitchen.is_some_and(|kitchen| {
                    // Who is here was chosen above; all else must be as it was planned.
                    kitchen.hours == current.run.kitchen.hours
                        && kitchen.machines == current.run.kitchen.machines
                        && (here.is_some() || kitchen.people == current.run.kitchen.people)
                })
            })
        };
        current.id.is_none()
            && current.procedure == procedure
            && current.timed == basis(timed)
            && same_people
            && same_texts()
            && same_kitchen()
    }

    /// Plans the same procedure with other people, and changes nothing.
    ///
    /// # Errors
    /// [`Problem`]: there is no such plan.
    pub fn other_people(&self, here: &[String]) -> Result<Current, Problem> {
        let procedure = self.current().procedure.clone();
        planned(&self.config, &*self.read, &procedure, Some(here), &self.timed()?).map_err(NoSite::problem)
    }
}

fn installed(live: &ft_run::Live) -> Installed {
    let machine = live.ready.file.machine.as_ref();
    let option = |option: &usize| machine.map(|machine| machine.options[*option].name.clone());
    Installed {
        machine: live.ready.name.clone(),
        file_sha256: sha256(&live.ready.source.text),
        fitted: live.ready.variant.options.iter().filter_map(option).collect(),
        due: live.ready.variant.due,
        loads: live
            .loads
            .iter()
            .map(|(_, parts)| parts.iter().map(|(part, side)| live.part_ref(*part, *side)).collect())
            .collect(),
    }
}

/// Tonight, planned and brought to life.
pub fn planned(
    config: &Config,
    read: &Read,
    procedure: &str,
    here: Option<&[String]>,
    timed: &[TimedRun],
) -> Result<Current, NoSite> {
    let kitchen = read(None).map_err(NoSite::File)?;
    let budget = Budget::units(config.work, 1);
    let asked = Asked { kitchen, procedure, budget, language: "en", here, timed };
    let night = tonight(&asked, &|name: &str| read(Some(name))).map_err(NoSite::Night)?;
    let plan = night.plan.clone();
    // Until it is begun, it stands at the kitchen's own hours.
    let begins_ms = crate::clock::today_at(night.view.begins_min, ids::now_ms());
    let run = Run::of(night).map_err(|not| NoSite::Machine(not.machine, not.why))?;
    Ok(Current { timed: basis(timed), ..Current::new(None, procedure, begins_ms, run, plan) })
}

/// The night that was open when the server ended: from the texts that it was proved with and its plan.
pub fn taken_up(
    store: &Store,
    id: &str,
    config: &Config,
    read: &Read,
    timed: &[TimedRun],
) -> Result<Current, NoSite> {
    let events = store.run(id)?;
    let opened = events.iter().find(|stored| stored.event.id == id).map(|stored| &stored.event);
    let Some((Fact::RunOpened { procedure, machines, people, .. }, at_ms)) =
        opened.map(|event| (event.fact.clone(), event.at_ms))
    else {
        return planned(config, read, &config.procedure, None, timed);
    };
    let kept: Option<Kept> = store.get("night", id)?.and_then(|text| serde_json::from_str(&text).ok());
    let kitchen = match kept.as_ref().map(|kept| store.get("file", &kept.kitchen)).transpose()?.flatten() {
        Some(text) => Source { name: "kitchen".into(), text },
        None => read(None).map_err(NoSite::File)?,
    };
    let kitchen_file = ft_compile::read(&kitchen.text).0;
    let mut texts: BTreeMap<String, String> = BTreeMap::new();
    for machine in kitchen_file.kitchen.iter().flat_map(|kitchen| &kitchen.machines) {
        let proved = machines.iter().find(|one| one.machine == machine.named.name);
        if let Some(text) = proved.map(|one| store.get("file", &one.file_sha256)).transpose()?.flatten() {
            texts.insert(machine.file.clone(), text);
        }
    }
    let text = |name: &str| match texts.get(name) {
        Some(text) => Ok(Source { name: name.to_owned(), text: text.clone() }),
        None => read(Some(name)),
    };
    // With a plan that was kept, one schedule is built for its problem alone.
    let budget = Budget::units(if kept.is_some() { 1 } else { config.work }, 1);
    let asked = Asked { kitchen, procedure: &procedure, budget, language: "en", here: Some(&people), timed };
    let mut night = tonight(&asked, &text).map_err(NoSite::Night)?;
    let begins_ms = kept.as_ref().map_or(at_ms, |kept| kept.begins_ms);
    if let Some(kept) = kept {
        night.plan = kept.plan;
    }
    let plan = night.plan.clone();
    let run = Run::of(night).map_err(|not| NoSite::Machine(not.machine, not.why))?;
    let mut current = Current::new(Some(id.to_owned()), &procedure, begins_ms, run, plan);
    current.timed = basis(timed);
    current.take(events);
    if let Some(plan) = current.again(ids::now_ms()).planned() {
        current.follow(plan);
    }
    Ok(current)
}
