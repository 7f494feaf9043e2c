//! The built-in hazards: what must never be, whatever the author wrote.
//!
//! [`BUILT_IN`] is the list as data. Hazards of a state are made here from the machine; hazards of an act
//! (pouring, wetting, washing, fitting) are made where the act is lowered, in `acts`, with [`id`] and
//! [`sentence`] from here.

use ft_form::{Allowed, Cond, Hazard};
use ft_machine::{Condition, Liquid, Machine, Named, SideId, SideRef, Subject, SwitchRole, Test, Words};

use super::speak::{fill, frame, words};
use super::vars::{Key, Scope, Vars, inside, litres, part, side_of, side_text};

/// One built-in hazard.
#[derive(Debug, Clone, Copy)]
pub struct BuiltIn {
    /// Its number, such as `H1`.
    pub number: &'static str,
    /// What it is called, in English and Spanish.
    pub title: [&'static str; 2],
    /// Why it matters, one plain sentence.
    pub why: &'static str,
    /// Whether it is a hazard, or a need: something that the hands cannot do.
    pub need: bool,
}

const fn hazard(number: &'static str, title: [&'static str; 2], why: &'static str) -> BuiltIn {
    BuiltIn { number, title, why, need: false }
}

/// All of them. Sources: common practice, no source, unless a page of the manual says else; local code and the
/// equipment's own instructions come first.
pub const BUILT_IN: &[BuiltIn] = &[
    hazard(
        "H1",
        [
            "a part comes off, or a line comes apart, under pressure",
            "se quita una pieza o se abre una línea con presión",
        ],
        "What is under pressure throws the part, or sprays, when it is opened.",
    ),
    BuiltIn {
        number: "H2",
        title: [
            "a part comes off while something it is behind, or held by, is still on",
            "se quita una pieza con algo que la tapa o la sujeta todavía puesto",
        ],
        why: "The metal itself stops the hands, so it is a need and not a hazard.",
        need: true,
    },
    hazard(
        "H3",
        [
            "hands or parts in a space where something moves or can be switched on",
            "manos o piezas donde algo se mueve o puede ponerse en marcha",
        ],
        "A drive that starts takes the hand with it; its switch has to be in the safe position first.",
    ),
    hazard(
        "H4",
        ["a vessel gets more than it holds", "un recipiente recibe más de lo que cabe"],
        "What runs over makes the floor slippery and soils what was clean.",
    ),
    hazard(
        "H5",
        [
            "product reaches a cleaned surface before release, or a chemical reaches product",
            "el producto toca una superficie limpia antes de tiempo, o un químico toca el producto",
        ],
        "A cleaned surface that product touches has to be cleaned again; product that a chemical touches is lost, or harms whoever eats it.",
    ),
    hazard(
        "H6",
        ["two substances meet that never may", "se juntan dos sustancias que nunca deben juntarse"],
        "Chlorine with acid or ammonia gives off a poisonous gas.",
    ),
    hazard(
        "H7",
        [
            "a stage of a journey is skipped, or reversed by something dirty",
            "se salta una etapa de la limpieza, o algo sucio la deshace",
        ],
        "Sanitiser does not work on soil or on cleaner that was not rinsed off.",
    ),
    hazard(
        "H8",
        [
            "sanitiser leaves before it has stood its contact time",
            "el desinfectante sale antes de cumplir su tiempo de contacto",
        ],
        "It needs its time on every surface of the circuit; the label says how long.",
    ),
    hazard(
        "H9",
        [
            "plastic and metal, or sharp and loose, in one sink load",
            "plástico con metal, o algo cortante suelto, en la misma tina",
        ],
        "Metal scratches plastic, where soil then stays; a blade under foam cuts.",
    ),
    hazard(
        "H10",
        ["a part is nowhere", "una pieza no está en ninguna parte"],
        "A part that is not on the machine, in a sink, on the bench or in its slot may be in the product, or the machine leaks in the morning.",
    ),
    hazard(
        "H11",
        ["water or solution on something live", "agua o solución sobre algo con corriente"],
        "Switch off and isolate before anything gets wet.",
    ),
    hazard(
        "H12",
        [
            "product is out of its temperature limit longer than its limit",
            "el producto pasa demasiado tiempo fuera de su temperatura",
        ],
        "What can grow in it grows while it is warm.",
    ),
    hazard(
        "H13",
        [
            "a seal is left on a part that is washed, or fitted dry, or lubricated where it must not be",
            "un sello se queda puesto al lavar, se monta seco o se lubrica donde no se debe",
        ],
        "Soil stays under a seal that is left on; a dry seal leaks and tears; the wrong lubricant swells it or gets into the product.",
    ),
    hazard(
        "H14",
        [
            "a part that closes a vessel comes off while something is in it",
            "se quita una pieza que cierra un recipiente con algo dentro",
        ],
        "What is inside runs over hands and floor.",
    ),
];

/// The built-in hazard of a number.
pub fn built_in(number: &str) -> &'static BuiltIn {
    BUILT_IN.iter().find(|hazard| hazard.number == number).expect("numbers are written in this crate only")
}

/// The name of a hazard in the form: its number and what it is about.
pub fn id(number: &str, about: &str) -> String {
    format!("{number} {about}")
}

/// The hazard's sentence with what it is about.
pub fn sentence(machine: &Machine, number: &str, english: impl Fn(&str) -> String) -> Words {
    let hazard = built_in(number);
    words(&machine.languages, |language| {
        format!("{}: {} ({})", number, frame(language, hazard.title[0], hazard.title[1]), english(language))
    })
}

/// Hazards of a state: the machine's own, and the author's.
pub fn of_state(scope: &Scope<'_>, vars: &Vars) -> Vec<Hazard> {
    let mut hazards = Hazards { scope, vars, list: Vec::new() };
    hazards.parts();
    hazards.lines();
    hazards.vessels();
    hazards.switches();
    hazards.authors();
    hazards.list
}

struct Hazards<'a> {
    scope: &'a Scope<'a>,
    vars: &'a Vars,
    list: Vec<Hazard>,
}

impl Hazards<'_> {
    fn push(&mut self, number: &str, about: &str, say: impl Fn(&str) -> String, when: Vec<Option<Allowed>>) {
        let Some(when) = when.into_iter().collect::<Option<Cond>>() else { return };
        let words = sentence(self.scope.machine, number, say);
        let mut name = id(number, about);
        let mut twin = 2;
        while self.list.iter().any(|hazard| hazard.id == name) {
            name = id(number, &format!("{about}, {twin}"));
            twin += 1;
        }
        self.list.push(Hazard { id: name, on: None, when, words, origin: None });
    }

    /// H1 and H14: a part that closes a vessel is off while there is pressure or something in it.
    fn parts(&mut self) {
        let machine = self.scope.machine;
        for (id, part) in machine.parts.iter().enumerate() {
            let closed: Vec<_> = part.closes.iter().filter(|_| self.scope.has(&part.named)).collect();
            for (&vessel, (side, vessel_side)) in closed.into_iter().flat_map(|vessel| {
                pairs(self.scope, &part.named, &machine.vessels[*vessel].named)
                    .into_iter()
                    .map(move |pair| (vessel, pair))
            }) {
                let off = self.vars.none_of(Key::Part(id, side), &[part::FITTED]);
                let name = side_text(machine, &part.named, side, "");
                let say = |language: &str| {
                    fill(
                        frame(language, "{}, {}", "{}, {}"),
                        &[
                            &side_text(machine, &part.named, side, language),
                            &side_text(machine, &machine.vessels[vessel].named, vessel_side, language),
                        ],
                    )
                };
                let subject = Subject::Vessel(vessel);
                let pressed = self.vars.one_of(Key::Pressure(subject, vessel_side), &[1]);
                self.push("H1", &name, say, vec![off, pressed]);
                let full = self.vars.none_of(Key::Contents(subject, vessel_side), &[0]);
                self.push("H14", &name, say, vec![off, full]);
            }
        }
    }

    /// H1: a line comes apart at the wrong end, or under pressure.
    fn lines(&mut self) {
        let machine = self.scope.machine;
        for (id, line) in machine.lines.iter().enumerate().filter(|(_, line)| self.scope.has(&line.named)) {
            for side in self.scope.sides_of(&line.named) {
                for end in (0..line.ends.len()).filter(|end| line.first != Some(*end)) {
                    let off = self.vars.one_of(Key::End(id, end, side), &[1]);
                    let name =
                        format!("{}, {}", side_text(machine, &line.named, side, ""), line.ends[end].name);
                    let say = |language: &str| {
                        fill(
                            frame(language, "{}, {} end", "{}, extremo {}"),
                            &[
                                &side_text(machine, &line.named, side, language),
                                super::speak::text(&line.ends[end], language),
                            ],
                        )
                    };
                    if let Some(first) = line.first {
                        let still_on = self.vars.one_of(Key::End(id, first, side), &[0]);
                        self.push("H1", &name, say, vec![off, still_on]);
                    }
                    let pressed = self.vars.one_of(Key::Pressure(Subject::Line(id), side), &[1]);
                    self.push("H1", &format!("{name}, pressure"), say, vec![off, pressed]);
                }
            }
        }
    }

    /// H4: more than it holds.
    fn vessels(&mut self) {
        let machine = self.scope.machine;
        let amounts: Vec<_> = self
            .vars
            .keys()
            .filter_map(|(key, var)| match key {
                Key::Amount(vessel, side) => Some((vessel, side, var)),
                _ => None,
            })
            .collect();
        for (vessel, side, var) in amounts {
            let item = &machine.vessels[vessel];
            let capacity = self.vars.units(litres(item.capacity));
            if self.vars.list[var].hi > capacity {
                let over = self.vars.at_least(Key::Amount(vessel, side), capacity + 1);
                let name = side_text(machine, &item.named, side, "");
                self.push(
                    "H4",
                    &name,
                    |language| side_text(machine, &item.named, side, language),
                    vec![over],
                );
            }
        }
    }

    /// H3 and H12: what a switch moves, and what it keeps cold.
    fn switches(&mut self) {
        let machine = self.scope.machine;
        for (id, switch) in
            machine.switches.iter().enumerate().filter(|(_, switch)| self.scope.has(&switch.named))
        {
            let others = |positions: &[usize]| -> Vec<i32> {
                (0..switch.positions.len())
                    .filter(|position| !positions.contains(position))
                    .map(|p| p as i32)
                    .collect()
            };
            for role in &switch.roles {
                match role {
                    SwitchRole::Moves(moved, positions) => {
                        let moving: Vec<i32> = positions.iter().map(|position| *position as i32).collect();
                        self.moving(id, &switch.named, *moved, &moving, switch.safe as i32);
                    }
                    SwitchRole::Cools(vessel, positions) => {
                        let item = &machine.vessels[*vessel];
                        if item.out_of_cold.is_some() {
                            continue;
                        }
                        for (switch_side, side) in pairs(self.scope, &switch.named, &item.named) {
                            let warm = self.vars.one_of(Key::Switch(id, switch_side), &others(positions));
                            let product = self.product_in(Subject::Vessel(*vessel), side);
                            let name = side_text(machine, &item.named, side, "");
                            self.push(
                                "H12",
                                &name,
                                |language| side_text(machine, &item.named, side, language),
                                vec![warm, product],
                            );
                        }
                    }
                    SwitchRole::LivePart(..) | SwitchRole::LiveVessel(..) => {}
                }
            }
        }
    }

    /// H3: what stands in front of a moving part is off while its switch is not in the safe position; the moving
    /// part itself is off while its switch makes it move.
    fn moving(&mut self, switch: usize, switch_named: &Named, moved: usize, moving: &[i32], safe: i32) {
        let machine = self.scope.machine;
        let part = &machine.parts[moved];
        for (switch_side, side) in pairs(self.scope, switch_named, &part.named) {
            let runs = self.vars.one_of(Key::Switch(switch, switch_side), moving);
            let off = self.vars.none_of(Key::Part(moved, side), &[part::FITTED]);
            let name = format!("{}, {}", side_text(machine, &part.named, side, ""), switch_named.name);
            let say = |language: &str| {
                fill(
                    frame(language, "{}, switch {}", "{}, interruptor {}"),
                    &[
                        &side_text(machine, &part.named, side, language),
                        &side_text(machine, switch_named, switch_side, language),
                    ],
                )
            };
            self.push("H3", &name, say, vec![runs, off]);
            for &front in &part.behind {
                let front_named = &machine.parts[front].named;
                for front_side in self
                    .scope
                    .sides_of(front_named)
                    .into_iter()
                    .filter(|front_side| side.is_none() || front_side.is_none() || *front_side == side)
                {
                    let can_start = self.vars.none_of(Key::Switch(switch, switch_side), &[safe]);
                    let open = self.vars.none_of(Key::Part(front, front_side), &[part::FITTED]);
                    let name =
                        format!("{}, {}", side_text(machine, front_named, front_side, ""), switch_named.name);
                    let say = |language: &str| {
                        fill(
                            frame(language, "{} off, switch {}", "{} quitada, interruptor {}"),
                            &[
                                &side_text(machine, front_named, front_side, language),
                                &side_text(machine, switch_named, switch_side, language),
                            ],
                        )
                    };
                    self.push("H3", &name, say, vec![can_start, open]);
                }
            }
        }
    }

    /// The author's own: once for each side where it speaks of a side.
    fn authors(&mut self) {
        let machine = self.scope.machine;
        for never in self.scope.procedure.never.iter().filter(|never| self.scope.has(&never.named)) {
            let each = never.when.iter().any(|condition| condition.target.side == SideRef::This);
            let sides: Vec<Option<SideId>> =
                if each { (0..machine.sides.len()).map(Some).collect() } else { vec![None] };
            for side in sides {
                let when: Vec<Option<Allowed>> =
                    never.when.iter().map(|condition| self.vars.condition(condition, side)).collect();
                let Some(when) = when.into_iter().collect::<Option<Cond>>() else { continue };
                let id = side_text(machine, &never.named, side, "");
                let words =
                    words(&machine.languages, |language| side_text(machine, &never.named, side, language));
                self.list.push(Hazard { id, on: None, when, words, origin: None });
            }
        }
    }

    fn product_in(&self, subject: Subject, side: Option<SideId>) -> Option<Allowed> {
        self.vars.one_of(Key::Contents(subject, side), &self.vars.products())
    }
}

impl Vars {
    /// Contents that are products.
    pub fn products(&self) -> Vec<i32> {
        self.values(|liquid| matches!(liquid, Liquid::Product(_)))
    }

    /// Contents that are cleaners or sanitisers.
    pub fn chemicals(&self) -> Vec<i32> {
        self.values(|liquid| matches!(liquid, Liquid::Solution(_)))
    }

    /// Values of contents that satisfy a test.
    pub fn values(&self, test: impl Fn(Liquid) -> bool) -> Vec<i32> {
        self.liquids
            .iter()
            .enumerate()
            .filter(|(_, liquid)| test(**liquid))
            .map(|(index, _)| index as i32 + 1)
            .collect()
    }

    /// An author's condition for one side; none where its item does not exist in this variant.
    pub fn condition(&self, condition: &Condition, side: Option<SideId>) -> Option<Allowed> {
        let subject = condition.target.subject;
        let side = side_of(condition.target, side);
        let (key, values): (Key, Vec<i32>) = match (subject, condition.test) {
            (Subject::Switch(id), Test::Position(position)) => (Key::Switch(id, side), vec![position as i32]),
            (Subject::Fact(id), Test::Value(value)) => (Key::Fact(id, side), vec![value as i32]),
            (Subject::Valve(id), Test::Open) => (Key::Valve(id, side), vec![1]),
            (Subject::Part(id), Test::Fitted) => (Key::Part(id, side), vec![part::FITTED]),
            (Subject::Part(id), Test::Sanitised) => {
                (Key::Part(id, side), vec![part::SANITISED, part::IN_SLOT])
            }
            (Subject::Line(_) | Subject::Vessel(_), Test::Sanitised) => {
                (Key::Inside(subject, side), vec![inside::SANITISED])
            }
            (_, Test::Pressure) => (Key::Pressure(subject, side), vec![1]),
            (_, Test::Empty) => (Key::Contents(subject, side), vec![0]),
            (_, Test::Holds(liquid)) => (Key::Contents(subject, side), vec![self.liquid_value(liquid)]),
            (Subject::Line(id), Test::Connected(end)) => (Key::End(id, end, side), vec![0]),
            _ => return None,
        };
        if condition.is { self.one_of(key, &values) } else { self.none_of(key, &values) }
    }
}

/// The pairs of sides on which two items belong together: same side, or all where one exists once.
pub fn pairs(scope: &Scope<'_>, a: &Named, b: &Named) -> Vec<(Option<SideId>, Option<SideId>)> {
    let mut pairs = Vec::new();
    for a_side in scope.sides_of(a) {
        for b_side in scope.sides_of(b) {
            if a_side.is_none() || b_side.is_none() || a_side == b_side {
                pairs.push((a_side, b_side));
            }
        }
    }
    pairs
}
