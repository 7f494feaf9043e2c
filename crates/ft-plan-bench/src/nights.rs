//! Closing nights of an invented kiosk, by seed.
//!
//! The steps, times and machines are made up; they have the shape of the job: sides that go out of service, buckets
//! that stay taken until they are emptied, flushes that run by themselves, parts that share the sinks.

use ft_night::{
    Hold, Item, Journey, KitPool, Lag, Person, Phase, Place, Point, Problem, Room, Serving, Side, Stage,
    Task, WashWork, Words,
};

use crate::wild::Dice;

const FRONT: usize = 0;
const SINK: usize = 1;
const COLD_ROOM: usize = 2;
const RACK: usize = 3;
const FIRST_REAR: usize = 4;

/// How large a night is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Size {
    /// Machines, each with two sides.
    pub machines: usize,
    /// People.
    pub people: usize,
    /// Whether people need time to walk.
    pub walking: bool,
}

fn words(en: &str, es: &str) -> Words {
    Words::from([("en".to_owned(), en.to_owned()), ("es".to_owned(), es.to_owned())])
}

/// The night of a seed. The same seed gives the same night.
pub fn night(size: Size, seed: u64) -> Problem {
    let mut dice = Dice::new(seed);
    let mut problem =
        Problem { name: format!("night {seed} of {} machines", size.machines), ..Problem::default() };
    problem.places = vec![
        Place { title: words("front", "frente") },
        Place { title: words("sink", "fregadero") },
        Place { title: words("cold room", "cámara fría") },
        Place { title: words("rack", "estante") },
    ];
    problem.skills = vec![words("lifts the beater", "levanta el batidor")];
    for index in 0..size.people {
        problem.people.push(Person {
            name: ["Ana", "Ben", "Caro", "Dev"][index % 4].to_owned(),
            skills: if index == 0 || dice.one_in(2) { vec![0] } else { Vec::new() },
            pace_percent: [100, 100, 110, 130][dice.below(4)],
            keeps_side: Some(index % (2 * size.machines)),
            ..Person::default()
        });
    }
    problem.kit = vec![KitPool { title: words("bucket", "cubo"), count: 2 + size.machines as u32 }];
    problem.rooms = vec![
        Room { title: words("wash sink", "pila de lavado"), bays: 1, units: 12 },
        Room { title: words("rinse sink", "pila de enjuague"), bays: 1, units: 12 },
        Room { title: words("sanitise sink", "pila de desinfección"), bays: 1, units: 12 },
    ];
    problem.wash.journeys = journeys();
    for machine in 0..size.machines {
        add_machine(&mut problem, machine, &mut dice);
    }
    problem.walk_s = if size.walking { walks(problem.places.len(), &mut dice) } else { Vec::new() };
    problem.wash = WashWork { given: Vec::new(), ..problem.wash };
    problem
}

fn walks(places: usize, dice: &mut Dice) -> Vec<Vec<u32>> {
    // Points on a floor plan, so that a way round is never shorter.
    let points: Vec<(i32, i32)> =
        (0..places).map(|_| (dice.below(18) as i32, dice.below(12) as i32)).collect();
    let walk = |a: (i32, i32), b: (i32, i32)| ((a.0 - b.0).abs() + (a.1 - b.1).abs()) as u32;
    points.iter().map(|&a| points.iter().map(|&b| walk(a, b)).collect()).collect()
}

fn journeys() -> Vec<Journey> {
    let at = |hands_s, place| Phase { hands_s, people: 1, place, ..Phase::default() };
    let stages = |soak_s: u32| {
        vec![
            Stage { phase: at(40, SINK), each_s: 15, room: Some(0) },
            Stage { phase: at(10, SINK), each_s: 5, room: Some(1) },
            Stage { phase: Phase { late_s: Some(20), ..at(10, SINK) }, each_s: 2, room: None },
            Stage {
                phase: Phase { wait_s: soak_s, place: SINK, late_s: Some(0), ..Phase::default() },
                each_s: 0,
                room: Some(2),
            },
            Stage { phase: Phase { late_s: Some(900), ..at(15, RACK) }, each_s: 5, room: None },
        ]
    };
    let journey = |en, es, class, soak_s| Journey {
        title: words(en, es),
        class: Some(class),
        units: 12,
        stages: stages(soak_s),
    };
    vec![
        journey("Wash plastic", "Lavar plástico", 0, 60),
        journey("Wash metal", "Lavar metal", 1, 60),
        journey("Wash blades", "Lavar cuchillas", 2, 90),
    ]
}

/// Adds tasks in card order; gives each its position.
struct Card<'a> {
    problem: &'a mut Problem,
    side: Option<usize>,
    name: String,
}

impl Card<'_> {
    fn add(&mut self, en: &str, es: &str, phases: Vec<Phase>, after: &[usize]) -> usize {
        let task = self.problem.tasks.len();
        let title = words(&format!("{en} ({})", self.name), &format!("{es} ({})", self.name));
        self.problem.tasks.push(Task { title, side: self.side, phases, ..Task::default() });
        for &before in after {
            self.lag(Point::end(before), Point::begin(task), 0, None);
        }
        task
    }

    fn lag(&mut self, from: Point, to: Point, min_s: i64, max_s: Option<i64>) {
        self.problem.lags.push(Lag { from, to, min_s, max_s, because: Words::new() });
    }
}

fn add_machine(problem: &mut Problem, machine: usize, dice: &mut Dice) {
    let rear = problem.places.len();
    problem
        .places
        .push(Place { title: words(&format!("rear {machine}"), &format!("parte trasera {machine}")) });
    let front = if machine == 0 { FRONT } else { problem.places.len() };
    if machine > 0 {
        problem
            .places
            .push(Place { title: words(&format!("front {machine}"), &format!("frente {machine}")) });
    }
    debug_assert!(rear >= FIRST_REAR);
    let mut ends = Vec::new();
    for number in 0..2 {
        let side = problem.sides.len();
        let name = ["left", "right"][number];
        problem.sides.push(Side {
            title: words(name, ["izquierda", "derecha"][number]),
            machine,
            serves_until_s: 0,
        });
        let name = format!("{name} {machine}");
        ends.push(add_side(problem, Some(side), name, (front, rear), dice));
    }
    problem.serving.push(Serving { machine, keep: 1, until_s: dice.between(300, 1200) });
    let mut card = Card { problem, side: None, name: format!("machine {machine}") };
    let last = card.add("Wipe down", "Limpiar por fuera", vec![hands(90, front)], &ends);
    let check = card.add("Check the tray", "Revisar la bandeja", vec![hands(60, RACK)], &[last]);
    for item in &mut problem.wash.items {
        if item.before.is_empty() {
            item.before.push(check);
        }
    }
}

fn hands(hands_s: u32, place: usize) -> Phase {
    Phase { hands_s, people: 1, place, ..Phase::default() }
}

fn add_side(
    problem: &mut Problem,
    side: Option<usize>,
    name: String,
    places: (usize, usize),
    dice: &mut Dice,
) -> usize {
    let (front, rear) = places;
    let mut card = Card { problem, side, name };
    let mut about = |seconds: u32| seconds * (80 + dice.below(50) as u32) / 100;
    let alone = |wait_s: u32| Phase { wait_s, place: front, late_s: Some(0), ..Phase::default() };
    let stop = card.add("Stop the drive", "Parar el motor", vec![hands(about(10), front)], &[]);
    card.problem.tasks[stop].ends_service = true;
    let lines = card.add(
        "Take off the syrup lines",
        "Quitar las líneas de jarabe",
        vec![hands(about(40), front)],
        &[stop],
    );
    let drained = vec![
        hands(about(20), front),
        alone(about(80)),
        Phase { late_s: Some(120), ..hands(about(10), front) },
    ];
    let down = card.add("Let the barrel down", "Vaciar el cilindro", drained, &[stop]);
    let keep = card.add("Keep the rerun", "Guardar el sobrante", vec![hands(about(60), COLD_ROOM)], &[down]);
    card.problem.holds.push(Hold { kit: 0, count: 1, from_task: down, to_task: keep });
    let rinse =
        card.add("Rinse the barrel", "Enjuagar el cilindro", vec![hands(about(70), front)], &[down, lines]);
    let mix =
        card.add("Mix the sanitiser", "Mezclar el desinfectante", vec![hands(about(45), SINK)], &[stop]);
    let flushed =
        vec![hands(about(40), front), alone(180), Phase { late_s: Some(300), ..hands(about(15), front) }];
    let flush = card.add("Flush", "Circular", flushed, &[rinse, mix]);
    card.lag(Point::end(mix), Point::begin(flush), 0, Some(1800));
    let drain = card.add("Drain", "Desaguar", vec![hands(about(50), front)], &[flush]);
    let empty = card.add("Empty the bucket", "Vaciar el cubo", vec![hands(about(20), SINK)], &[drain]);
    card.problem.holds.push(Hold { kit: 0, count: 1, from_task: mix, to_task: empty });
    let door = card.add("Door off", "Quitar la puerta", vec![hands(about(60), front)], &[drain]);
    let valve = card.add("Valve core out", "Sacar la válvula", vec![hands(about(30), front)], &[door]);
    let lift = Phase { skill: Some(0), ..hands(about(50), front) };
    let beater = card.add("Beater out", "Sacar el batidor", vec![lift], &[door]);
    let blades = card.add("Blades off", "Quitar las cuchillas", vec![hands(about(40), SINK)], &[beater]);
    let pump = card.add("Pump apart", "Desmontar la bomba", vec![hands(about(120), rear)], &[drain]);
    let rings = card.add("Rings off", "Quitar los anillos", vec![hands(about(70), SINK)], &[valve, pump]);
    let brush =
        card.add("Brush the barrel", "Cepillar el cilindro", vec![hands(about(80), front)], &[beater, valve]);
    let parts: [(&str, &str, usize, u32, usize); 11] = [
        ("door", "puerta", 0, 4, door),
        ("draw handle", "palanca", 1, 1, door),
        ("spinner", "agitador", 0, 1, door),
        ("valve core", "válvula", 0, 2, rings),
        ("core rings", "anillos de válvula", 0, 1, rings),
        ("beater", "batidor", 1, 6, blades),
        ("blades", "cuchillas", 2, 2, blades),
        ("pump", "bomba", 0, 3, rings),
        ("pump rings", "anillos de bomba", 0, 1, rings),
        ("piston", "pistón", 0, 2, pump),
        ("suction hose", "manguera", 0, 3, pump),
    ];
    for (en, es, journey, size, after) in parts {
        let title = words(en, es);
        card.problem.wash.items.push(Item {
            title,
            journey,
            size,
            after: vec![after],
            before: Vec::new(),
            within_s: None,
        });
    }
    brush
}
