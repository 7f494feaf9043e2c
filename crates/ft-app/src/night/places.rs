//! The places of a kitchen and of its machines as one list, with the time to walk between each two.
//!
//! A machine's place that the kitchen has too, such as the sink, is the kitchen's; its other places are its own,
//! and are reached from where it stands.

use std::collections::BTreeMap;

use ft_machine::{Kitchen, Walk};
use ft_night::{Place, Words};
use ft_units::TimeUnit;

use super::MachineNight;

/// All places of the night.
pub struct Places {
    titles: Vec<Words>,
    of_machine: BTreeMap<(usize, usize), usize>,
    first_of_machine: Vec<usize>,
    ways: Vec<(usize, usize, f64)>,
}

impl Places {
    /// Joins the places of a kitchen and its machines.
    pub fn new(kitchen: &Kitchen, machines: &[MachineNight<'_>]) -> Self {
        let mut places = Self {
            titles: kitchen.places.iter().map(|place| place.label.clone()).collect(),
            of_machine: BTreeMap::new(),
            first_of_machine: Vec::new(),
            ways: Vec::new(),
        };
        let identity: Vec<usize> = (0..kitchen.places.len()).collect();
        places.add_ways(&kitchen.walks, &identity);
        for (index, machine) in machines.iter().enumerate() {
            places.add_machine(index, machine, kitchen);
        }
        if places.titles.is_empty() {
            places.titles.push(Words::from([("en".to_owned(), "kitchen".to_owned())]));
        }
        places
    }

    fn add_machine(&mut self, index: usize, machine: &MachineNight<'_>, kitchen: &Kitchen) {
        let Some(model) = machine.file.machine.as_ref() else { return };
        let mut numbers = Vec::new();
        let mut own = None;
        for (id, place) in model.places.iter().enumerate() {
            let shared = kitchen.places.iter().position(|known| known.name == place.named.name);
            let number = shared.unwrap_or_else(|| {
                self.titles.push(super::joined(&machine.label, &place.named.label));
                self.titles.len() - 1
            });
            if shared.is_none() && own.is_none() {
                own = Some(number);
            }
            self.of_machine.insert((index, id), number);
            numbers.push(number);
        }
        self.add_ways(&model.walks, &numbers);
        if let (Some(own), Some(stands)) = (own, machine.place) {
            self.ways.push((own, stands, 0.0));
        }
        self.first_of_machine.push(own.or(machine.place).unwrap_or(0));
    }

    fn add_ways(&mut self, walks: &[Walk], numbers: &[usize]) {
        for walk in walks {
            self.ways.push((numbers[walk.from], numbers[walk.to], walk.time.in_unit(TimeUnit::Second)));
        }
    }

    /// Titles, by number.
    pub fn list(&self) -> Vec<Place> {
        self.titles.iter().map(|title| Place { title: title.clone() }).collect()
    }

    /// A machine's place; where it stands if a step names none.
    pub fn of(&self, machine: usize, place: Option<usize>) -> usize {
        let own = self.first_of_machine.get(machine).copied().unwrap_or(0);
        place.and_then(|place| self.of_machine.get(&(machine, place)).copied()).unwrap_or(own)
    }

    /// Shortest times, whole seconds; places that no way joins count as next to each other.
    pub fn walks(&self) -> Vec<Vec<u32>> {
        let count = self.titles.len();
        let mut best = vec![vec![f64::INFINITY; count]; count];
        for (place, row) in best.iter_mut().enumerate() {
            row[place] = 0.0;
        }
        for &(a, b, time) in &self.ways {
            best[a][b] = best[a][b].min(time);
            best[b][a] = best[b][a].min(time);
        }
        for by in 0..count {
            for from in 0..count {
                for to in 0..count {
                    best[from][to] = best[from][to].min(best[from][by] + best[by][to]);
                }
            }
        }
        let whole = |time: f64| if time.is_finite() { time.ceil() as u32 } else { 0 };
        best.into_iter().map(|row| row.into_iter().map(whole).collect()).collect()
    }
}
