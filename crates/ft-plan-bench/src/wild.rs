//! Small odd problems by seed: every kind of rule at once, tight enough that some have no plan.

use ft_night::{
    Edge, Hold, Item, Journey, KitPool, Lag, Person, Phase, Place, Point, Problem, Room, RoomUse, Serving,
    Side, Stage, Task, WashWork, Words,
};

/// Chance from a seed (`SplitMix64`).
pub struct Dice(u64);

impl Dice {
    /// The dice of a seed.
    pub fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0xD134_2543_DE82_EF95).wrapping_add(1))
    }

    /// A number in `0..count`.
    pub fn below(&mut self, count: usize) -> usize {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((u128::from(z ^ (z >> 31)) * count as u128) >> 64) as usize
    }

    /// True once in so many times.
    pub fn one_in(&mut self, times: usize) -> bool {
        self.below(times) == 0
    }

    /// A number in `low..=high`.
    pub fn between(&mut self, low: u32, high: u32) -> u32 {
        low + self.below((high - low + 1) as usize) as u32
    }
}

/// The problem of a seed: up to a dozen steps of short lengths.
pub fn wild(seed: u64) -> Problem {
    let mut dice = Dice::new(seed);
    let places = 1 + dice.below(4);
    let mut problem = Problem {
        name: format!("wild {seed}"),
        places: vec![Place::default(); places],
        walk_s: if dice.one_in(3) { Vec::new() } else { walks(places, &mut dice) },
        skills: vec![Words::new(); 2],
        kit: vec![KitPool { count: dice.between(1, 3), ..KitPool::default() }],
        rooms: (0..2)
            .map(|_| Room { bays: dice.between(1, 2), units: dice.between(3, 6), ..Room::default() })
            .collect(),
        sides: (0..2).map(|_| Side { machine: 0, serves_until_s: 0, ..Side::default() }).collect(),
        ..Problem::default()
    };
    for _ in 0..=dice.below(3) {
        let person = person(&problem, &mut dice);
        problem.people.push(person);
    }
    let tasks = 1 + dice.below(12);
    for index in 0..tasks {
        let task = task(&problem, &mut dice);
        problem.tasks.push(task);
        for _ in 0..2 {
            if index > 0 && dice.one_in(2) {
                let lag = lag(index, &mut dice);
                problem.lags.push(lag);
            }
        }
    }
    if tasks > 2 && dice.one_in(2) {
        let from_task = dice.below(tasks - 1);
        let to_task = from_task + dice.below(tasks - from_task);
        problem.holds.push(Hold { kit: 0, count: 1, from_task, to_task });
        problem.holds.push(Hold {
            kit: 0,
            count: dice.between(1, 2),
            from_task: dice.below(tasks),
            to_task: tasks - 1,
        });
    }
    if dice.one_in(3) {
        problem.serving.push(Serving { machine: 0, keep: dice.between(1, 2), until_s: dice.between(0, 30) });
    }
    if dice.one_in(3) {
        problem.wash = wash(&problem, &mut dice);
    }
    if dice.one_in(4) {
        problem.deadline_s = Some(dice.between(20, 120));
    }
    problem
}

fn walks(places: usize, dice: &mut Dice) -> Vec<Vec<u32>> {
    let points: Vec<i32> = (0..places).map(|_| dice.below(6) as i32).collect();
    points.iter().map(|a| points.iter().map(|b| (a - b).unsigned_abs()).collect()).collect()
}

fn person(problem: &Problem, dice: &mut Dice) -> Person {
    Person {
        name: format!("person {}", problem.people.len()),
        skills: (0..2).filter(|_| !dice.one_in(4)).collect(),
        from_s: if dice.one_in(4) { dice.between(0, 10) } else { 0 },
        to_s: dice.one_in(5).then(|| dice.between(40, 120)),
        pace_percent: [100, 80, 130][dice.below(3)],
        starts_at: dice.one_in(2).then(|| dice.below(problem.places.len())),
        keeps_side: dice.one_in(2).then(|| dice.below(2)),
    }
}

fn phase(problem: &Problem, dice: &mut Dice, is_first: bool) -> Phase {
    let people = if dice.one_in(3) { 0 } else { 1 + u32::from(dice.one_in(6)) };
    Phase {
        hands_s: if people == 0 { 0 } else { dice.between(1, 8) },
        wait_s: if people == 0 || dice.one_in(4) { dice.between(1, 8) } else { 0 },
        people,
        skill: dice.one_in(4).then(|| dice.below(2)),
        place: dice.below(problem.places.len()),
        late_s: (!is_first && dice.one_in(2)).then(|| dice.between(0, 10)),
        same_people: !is_first && dice.one_in(4),
    }
}

/// One to three phases; one that keeps its people needs as many as before.
fn phases(problem: &Problem, dice: &mut Dice) -> Vec<Phase> {
    let mut phases: Vec<Phase> = (0..=dice.below(3)).map(|index| phase(problem, dice, index == 0)).collect();
    let mut before = 0;
    for phase in phases.iter_mut().filter(|phase| phase.people > 0) {
        if phase.same_people && before > 0 {
            phase.people = before;
        }
        before = phase.people;
    }
    phases
}

fn task(problem: &Problem, dice: &mut Dice) -> Task {
    let phases = phases(problem, dice);
    let mut rooms = Vec::new();
    if dice.one_in(3) {
        let from_phase = dice.below(phases.len());
        let to_phase = from_phase + dice.below(phases.len() - from_phase);
        let class = dice.one_in(2).then(|| dice.below(2));
        rooms.push(RoomUse { room: dice.below(2), units: dice.between(1, 4), class, from_phase, to_phase });
    }
    Task {
        title: Words::new(),
        side: dice.one_in(2).then(|| dice.below(2)),
        ends_service: dice.one_in(4),
        release_s: if dice.one_in(5) { dice.between(0, 20) } else { 0 },
        due_s: dice.one_in(10).then(|| dice.between(10, 100)),
        phases,
        rooms,
    }
}

fn lag(task: usize, dice: &mut Dice) -> Lag {
    let edge = |dice: &mut Dice| if dice.one_in(3) { Edge::Begin } else { Edge::End };
    let from = Point { task: dice.below(task), edge: edge(dice) };
    let to = Point { task, edge: if dice.one_in(8) { Edge::End } else { Edge::Begin } };
    let min_s = if dice.one_in(6) { -i64::from(dice.between(0, 5)) } else { i64::from(dice.between(0, 5)) };
    let max_s = dice.one_in(4).then(|| min_s.max(0) + i64::from(dice.between(0, 20)));
    Lag { from, to, min_s, max_s, because: Words::new() }
}

fn wash(problem: &Problem, dice: &mut Dice) -> WashWork {
    let tasks = problem.tasks.len();
    let stage = |dice: &mut Dice, phase| Stage {
        phase,
        each_s: dice.between(0, 3),
        room: dice.one_in(2).then(|| dice.below(2)),
    };
    let journeys = (0..2)
        .map(|class| Journey {
            title: Words::new(),
            class: Some(class),
            units: 3,
            stages: phases(problem, dice).into_iter().map(|phase| stage(dice, phase)).collect(),
        })
        .collect();
    let item = |dice: &mut Dice| Item {
        title: Words::new(),
        journey: dice.below(2),
        size: dice.between(1, 2),
        after: vec![dice.below(tasks)],
        before: Vec::new(),
        within_s: dice.one_in(3).then(|| dice.between(5, 40)),
    };
    let items = (0..=dice.below(5)).map(|_| item(dice)).collect();
    WashWork { journeys, items, given: Vec::new() }
}
