//! Where the kitchen is, what its machines are, and in which language a page is.

use ft_machine::{Machine, Words};
use ft_pages::Language;
use ft_record::{PartRef, Role};
use jiff::Timestamp;
use jiff::tz::TimeZone;

/// A machine where it stands.
#[derive(Debug, Clone, Copy)]
pub struct Place<'a> {
    /// What the kitchen calls it.
    pub name: &'a str,
    /// What people call it, by language.
    pub label: &'a Words,
    /// The machine.
    pub machine: &'a Machine,
}

/// The kitchen, for a page.
#[derive(Debug, Clone)]
pub struct Site<'a> {
    /// The page's language.
    pub language: Language,
    /// Where the kitchen is.
    pub zone: TimeZone,
    /// Its machines, in its order.
    pub machines: Vec<Place<'a>>,
}

impl Site<'_> {
    /// One of two texts, by the page's language.
    pub(crate) fn say<'t>(&self, english: &'t str, spanish: &'t str) -> &'t str {
        match self.language {
            Language::English => english,
            Language::Spanish => spanish,
        }
    }

    /// Words of a file in the page's language, else in English, else `otherwise`.
    pub(crate) fn pick<'w>(&self, words: &'w Words, otherwise: &'w str) -> &'w str {
        words.get(self.language.code()).or_else(|| words.get("en")).map_or(otherwise, String::as_str)
    }

    /// Day and time where the kitchen is, such as `2026-06-02 07:30`.
    pub fn clock(&self, at_ms: i64) -> String {
        let at = Timestamp::from_millisecond(at_ms).unwrap_or(Timestamp::UNIX_EPOCH);
        self.zone.to_datetime(at).strftime("%Y-%m-%d %H:%M").to_string()
    }

    /// The time alone.
    pub(crate) fn time(&self, at_ms: i64) -> String {
        let at = Timestamp::from_millisecond(at_ms).unwrap_or(Timestamp::UNIX_EPOCH);
        self.zone.to_datetime(at).strftime("%H:%M").to_string()
    }

    /// What a machine is called.
    pub(crate) fn label(&self, name: &str) -> String {
        let found = self.machines.iter().find(|place| place.name == name);
        found.map_or(name, |place| self.pick(place.label, place.name)).to_owned()
    }

    /// What a lot or a vessel (`machine/vessel`, with its side in brackets) is called.
    pub(crate) fn place(&self, place: &str) -> String {
        let Some((machine, vessel, side)) = ft_lots::of_vessel(place) else { return place.to_owned() };
        let of = self.machines.iter().find(|one| one.name == machine).map(|one| one.machine);
        let vessels = of.iter().flat_map(|machine| &machine.vessels);
        let named = vessels.map(|vessel| &vessel.named).find(|named| named.name == vessel);
        let name = named.map_or(vessel, |named| self.pick(&named.label, vessel));
        let side = side.map(|side| format!(" ({})", self.side(machine, side))).unwrap_or_default();
        format!("{}: {name}{side}", self.label(machine))
    }

    /// What a side of a machine is called.
    fn side(&self, machine: &str, side: &str) -> String {
        let of = self.machines.iter().find(|one| one.name == machine).map(|one| one.machine);
        let named = of.iter().flat_map(|machine| &machine.sides).find(|known| known.name == side);
        named.map_or(side, |named| self.pick(&named.label, side)).to_owned()
    }

    /// What a part of a machine is called.
    pub(crate) fn part(&self, machine: Option<&str>, part: &PartRef) -> String {
        let of = self.machines.iter().find(|one| Some(one.name) == machine);
        let parts = of.iter().flat_map(|one| &one.machine.parts);
        let named = parts.map(|known| &known.named).find(|named| named.name == part.part);
        let name = named.map_or(part.part.as_str(), |named| self.pick(&named.label, &part.part));
        let side =
            part.side.as_ref().map(|side| format!(" ({})", self.side(machine.unwrap_or_default(), side)));
        let number = part.number.map(|number| format!(" {number}"));
        format!("{name}{}{}", side.unwrap_or_default(), number.unwrap_or_default())
    }

    /// What a product is called.
    pub(crate) fn product(&self, product: &str) -> String {
        let known = self.machines.iter().flat_map(|place| &place.machine.products);
        let named = known.map(|known| &known.named).find(|named| named.name == product);
        named.map_or(product, |named| self.pick(&named.label, product)).to_owned()
    }

    /// A moment by which something has to be gone: midnight belongs to the day that it ends.
    pub(crate) fn until(&self, by_ms: i64) -> String {
        let before = self.clock(by_ms.saturating_sub(1));
        match before.strip_suffix(" 23:59") {
            Some(day) if self.time(by_ms) == "00:00" => format!("{day} 24:00"),
            _ => self.clock(by_ms),
        }
    }

    /// A role as people say it.
    pub(crate) fn role(&self, role: Role) -> &'static str {
        let (english, spanish) = match role {
            Role::Closer => ("closes", "cierra"),
            Role::Opener => ("opens", "abre"),
            Role::Lead => ("leads", "dirige"),
            Role::Trainer => ("teaches", "enseña"),
            Role::Inspector => ("inspects", "inspecciona"),
        };
        self.say(english, spanish)
    }
}

/// Litres as they are shown.
pub(crate) fn litres(amount: f64) -> String {
    format!("{amount:.2} L")
}
