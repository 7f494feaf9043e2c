//! The site for one person at this computer's own keyboard: the same night, the same judge and the same record, without
//! HTTP. Whoever uses it says what time it is.

use std::sync::{Arc, PoisonError, RwLockReadGuard};

use ft_pages::{Language, ReadingWanted};
use ft_record::{Event, Fact, Role, VERSION};

use crate::api::events::{Sent, take};
use crate::api::run::{Search, against, missing};
use crate::config::Config;
use crate::current::Current;
use crate::ids;
use crate::pin::{self, Tried};
use crate::problem::Problem;
use crate::site::{NoSite, Read, Site};
use crate::who::Who;

/// Somebody's place at the keyboard.
pub struct Seat {
    site: Arc<Site>,
    who: Who,
    device: String,
}

impl Seat {
    /// Opens the record, plans tonight, and takes up the night that was open. Nobody is signed in yet.
    ///
    /// # Errors
    /// [`NoSite`].
    pub fn open(config: Config, read: Box<Read>) -> Result<Self, NoSite> {
        let site = Site::open(config, read, None)?;
        let device = if let Some(device) = site.store.get("server", "keyboard")? {
            device
        } else {
            let device = format!("keyboard-{}", ids::uuid7(ids::now_ms()));
            site.store.put("server", "keyboard", &device)?;
            device
        };
        let nobody =
            Who { name: None, roles: Vec::new(), language: "en".into(), browser: None, is_secure: true };
        Ok(Self { site, who: nobody, device })
    }

    /// Who works here and can sign in, by name.
    pub fn people(&self) -> Vec<String> {
        let known = self.site.known();
        let able = known.people.iter().filter(|(_, person)| !person.roles.is_empty());
        able.map(|(name, _)| name.clone()).collect()
    }

    /// Makes the first person, who leads; only while nobody exists. Whoever may write the record's file needs no code.
    ///
    /// # Errors
    /// [`Problem`]: somebody exists, name or PIN will not do.
    pub fn set_up(&mut self, name: &str, pin: &str, language: &str) -> Result<(), Problem> {
        use crate::api::people::{fit_language, fit_name, fit_pin};
        fit_name(name)?;
        fit_language(language)?;
        fit_pin(pin)?;
        if !self.site.known().people.is_empty() {
            return Err(Problem::conflict("W0409", "Somebody is set up already.", "Sign in, or ask a lead."));
        }
        pin::set(&self.site.store, name, pin)?;
        let roles = vec![Role::Lead, Role::Trainer, Role::Closer, Role::Opener];
        let fact = Fact::PersonAdded { who: name.to_owned(), roles, language: language.to_owned() };
        self.site.say(fact, Some(name.to_owned()), None)?;
        // A code that the server printed for the first start is worth nothing any more.
        *self.site.code() = None;
        Ok(())
    }

    /// Tries a PIN, and signs in with it where it is right. Limits on trying are the same as over HTTP, and shared.
    ///
    /// # Errors
    /// [`Problem`] of the store.
    pub fn sign_in(&mut self, name: &str, pin: &str) -> Result<Tried, Problem> {
        let tried = self.try_pin(name, pin)?;
        let known = self.site.known();
        let person = known.people.get(name).filter(|person| !person.roles.is_empty());
        let (Tried::Right, Some(person)) = (tried, person) else {
            return Ok(if tried == Tried::Right { Tried::Wrong } else { tried });
        };
        self.who.name = Some(name.to_owned());
        self.who.roles.clone_from(&person.roles);
        self.who.language.clone_from(&person.language);
        Ok(Tried::Right)
    }

    fn try_pin(&self, name: &str, pin: &str) -> Result<Tried, Problem> {
        let is_lead = self.site.known().roles(name).contains(&Role::Lead);
        let _one = self.site.trying.lock().unwrap_or_else(PoisonError::into_inner);
        Ok(pin::try_one(&self.site.store, name, pin, is_lead, ids::now_ms())?)
    }

    /// Who sits here; empty before the sign-in.
    pub fn name(&self) -> &str {
        self.who.name()
    }

    /// The language that they read.
    pub fn language(&self) -> &str {
        &self.who.language
    }

    /// The night.
    pub fn current(&self) -> RwLockReadGuard<'_, Current> {
        self.site.current()
    }

    /// The night as it would be for some people of the kitchen file; changes nothing.
    ///
    /// # Errors
    /// [`Problem`]: there is no such plan.
    pub fn preview(&self, here: &[String]) -> Result<Current, Problem> {
        self.site.other_people(here)
    }

    /// Opens a night for some people of the kitchen file.
    ///
    /// # Errors
    /// [`Problem`]: it is not theirs to open, one is open, or there is no plan.
    pub fn begin(&self, procedure: &str, here: &[String]) -> Result<(), Problem> {
        if !self.who.may_open(procedure) {
            return Err(Problem::not_yours("a lead; an opener too, for the opening"));
        }
        self.site.open_run(self.name(), procedure, Some(here)).map(|_| ())
    }

    /// Tells what happened in the open night; when this returns it is durable. What may not happen now is refused.
    ///
    /// # Errors
    /// [`Problem`]: it was refused and changes nothing, or the store cannot take it.
    pub fn tell(&self, machine: Option<&str>, fact: Fact, now_ms: i64) -> Result<(), Problem> {
        let event = Event {
            v: VERSION,
            id: ids::uuid7(now_ms),
            order: self.site.known().last_order(&self.device) + 1,
            device: self.device.clone(),
            at_ms: now_ms,
            zone: jiff::tz::TimeZone::system().iana_name().unwrap_or("Etc/UTC").to_owned(),
            person: self.who.name.clone(),
            run: self.current().id.clone(),
            machine: machine.map(str::to_owned),
            fact,
        };
        let value = serde_json::to_value(event).expect("an event is plain data");
        let outcome = take(&self.site, &self.who, Sent { events: vec![value], strict: true })?;
        match outcome.refused.into_iter().next() {
            Some(refused) => Err(Problem::conflict(refused.code, refused.sentence, "")),
            None => Ok(()),
        }
    }

    /// What stands against signing, a sentence each.
    pub fn against(&self, language: &str) -> Vec<String> {
        against(&self.current(), language)
    }

    /// Signs the night, after a PIN that is right, if nothing stands against it; the record is sealed.
    ///
    /// # Errors
    /// [`Problem`]: something stands against it, or the store cannot take it.
    pub fn sign(&self, pin: &str, now_ms: i64) -> Result<Tried, Problem> {
        let tried = self.try_pin(self.name(), pin)?;
        if tried == Tried::Right {
            let r#as = self.who.signs(&self.current().procedure)?;
            self.tell(None, Fact::Signed { r#as }, now_ms)?;
            self.site.store.seal(now_ms)?;
        }
        Ok(tried)
    }

    /// What is missing of a machine, and where to look for it.
    pub fn search(&self, machine: &str, language: &str) -> Vec<Search> {
        let current = self.current();
        current.run.machine(machine).map(|live| missing(&current, live, language)).unwrap_or_default()
    }

    /// What the night's steps want to be measured.
    pub fn wanted(&self, language: Language) -> Vec<ReadingWanted> {
        crate::readings::wanted(&self.current(), language)
    }
}
