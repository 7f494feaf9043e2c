//! Reads `machine { … }`: first every name, then everything that refers to a name.

use std::collections::BTreeMap;

use ft_diag::Problem;
use ft_machine::{
    Caution, CautionKind, Fact, Groove, Journey, Line, Liquid, Lubricant, Machine, Material, Named, Part,
    PartId, Place, Product, Sink, Solution, SolutionKind, Span, Stock, Subject, Switch, SwitchRole, Valve,
    Vessel, VesselId, Walk,
};
use ft_syntax::Node;
use ft_units::{MassUnit, StrengthUnit, TemperatureUnit, TimeUnit, Volume, VolumeUnit};

use super::names::{ALWAYS_THERE, Names, Scope, unknown};
use super::read::{Reader, children, count, first_text, has_flag, number, quantity, range, text};
use crate::codes;

/// Reads a machine. The node was checked against the table already.
pub fn machine(reader: &mut Reader, node: &Node) -> (Machine, Scope) {
    let mut reading = Reading { reader, scope: Scope::default(), machine: Machine::default() };
    reading.head(node);
    let parts = reading.declare(node);
    reading.refer(node, &parts);
    reading.judge();
    (reading.machine, reading.scope)
}

struct Reading<'a> {
    reader: &'a mut Reader,
    scope: Scope,
    machine: Machine,
}

/// A part's node with its number and the part that it belongs to.
struct PartNode<'a> {
    node: &'a Node,
    of: Option<PartId>,
}

impl Reading<'_> {
    fn head(&mut self, node: &Node) {
        let (name, span) = first_text(node)
            .map_or((String::new(), node.name.span.clone()), |(n, s)| (n.to_owned(), s.clone()));
        let label = self.reader.words(node, "title", None);
        if !label.is_empty() {
            self.reader.complete(&label, "the title", &span);
        }
        self.machine.named = Named { name, label, span, per_side: false, only_with: None };
        self.machine.languages = self.reader.languages.clone();
    }

    /// What every item has; reports where it lacks a language.
    fn named(&mut self, node: &Node) -> Named {
        let named = self.reader.named(node, true);
        let per_side = text(node, "per").is_some_and(|(per, _)| per == "side");
        let only_with = text(node, "if")
            .and_then(|(option, span)| self.scope.options.find(self.reader, "option", option, span));
        Named { per_side, only_with, ..named }
    }

    fn declare<'a>(&mut self, node: &'a Node) -> Vec<PartNode<'a>> {
        self.declare_plain(node);
        self.declare_liquids(node);
        self.declare_items(node);
        let mut parts = Vec::new();
        for part in children(node, "part") {
            self.declare_part(part, None, false, &mut parts);
        }
        parts
    }

    fn declare_plain(&mut self, node: &Node) {
        for child in children(node, "side") {
            let named = self.named(child);
            self.scope.sides.add(self.reader, "side", &named.name, self.machine.sides.len(), &named.span);
            self.machine.sides.push(named);
        }
        for child in children(node, "option") {
            let named = self.named(child);
            self.scope.options.add(
                self.reader,
                "option",
                &named.name,
                self.machine.options.len(),
                &named.span,
            );
            self.machine.options.push(named);
        }
        for child in children(node, "place") {
            let named = self.named(child);
            self.scope.places.add(self.reader, "place", &named.name, self.machine.places.len(), &named.span);
            self.machine.places.push(Place { named });
        }
        self.machine.walks = walks(self.reader, &self.scope.places, node);
        for child in children(node, "sink") {
            let named = self.named(child);
            self.scope.sinks.add(self.reader, "sink", &named.name, self.machine.sinks.len(), &named.span);
            let place = self.place(child);
            let room = quantity(child, "room").unwrap_or(Volume::new(20.0, VolumeUnit::Litre));
            self.machine.sinks.push(Sink { named, room, place });
        }
    }

    fn declare_liquids(&mut self, node: &Node) {
        let span = node.name.span.clone();
        self.scope.liquids.add(self.reader, ALWAYS_THERE, "water", Liquid::Water, &span);
        self.scope.liquids.add(self.reader, ALWAYS_THERE, "waste", Liquid::Waste, &span);
        for child in children(node, "product") {
            let named = self.named(child);
            let id = self.machine.products.len();
            self.scope.liquids.add(self.reader, "product", &named.name, Liquid::Product(id), &named.span);
            let keep_below = quantity::<TemperatureUnit>(child, "keep-below");
            self.machine.products.push(Product { named, keep_below });
        }
        for child in children(node, "solution") {
            let named = self.named(child);
            let id = self.machine.solutions.len();
            self.scope.liquids.add(self.reader, "solution", &named.name, Liquid::Solution(id), &named.span);
            self.scope.solutions.add(self.reader, "solution", &named.name, id, &named.span);
            self.machine.solutions.push(solution(child, named));
        }
    }

    fn declare_items(&mut self, node: &Node) {
        for child in children(node, "vessel") {
            let named = self.named(child);
            let id = self.machine.vessels.len();
            self.item(&named, Subject::Vessel(id), "vessel");
            let vessel = self.vessel(child, named);
            if vessel.kit {
                self.scope.kit.insert(Subject::Vessel(id));
            }
            self.machine.vessels.push(vessel);
        }
        for child in children(node, "valve") {
            let named = self.named(child);
            let id = self.machine.valves.len();
            self.item(&named, Subject::Valve(id), "valve");
            let open = text(child, "starts").is_some_and(|(starts, _)| starts == "open");
            self.machine.valves.push(Valve { named, from: 0, to: None, open });
        }
        for child in children(node, "line") {
            let named = self.named(child);
            self.item(&named, Subject::Line(self.machine.lines.len()), "line");
            let ends = self.own_names(child, "end");
            let first = text(child, "first").and_then(|first| self.index_of(&ends, "end", first));
            self.machine.lines.push(Line {
                named,
                count: count(child, "count").unwrap_or(1),
                ends,
                first,
                pressure: child.property("pressure").is_some(),
                in_place: has_flag(child, "clean-in-place"),
            });
        }
        for child in children(node, "fact") {
            let named = self.named(child);
            self.item(&named, Subject::Fact(self.machine.facts.len()), "fact");
            let values = self.own_names(child, "value");
            let starts =
                text(child, "starts").and_then(|starts| self.index_of(&values, "value", starts)).unwrap_or(0);
            self.machine.facts.push(Fact { named, values, starts });
        }
        for child in children(node, "switch") {
            let named = self.named(child);
            self.item(&named, Subject::Switch(self.machine.switches.len()), "switch");
            let positions = self.own_names(child, "position");
            if positions.len() < 2 {
                self.reader.report(
                    Problem::error(
                        codes::ARGUMENTS,
                        named.span.clone(),
                        format!("the switch `{}` has fewer than two positions", named.name),
                    )
                    .with_remedy("write each as `position \"on\"` in its braces"),
                );
            }
            let mut at = |property| {
                text(child, property)
                    .and_then(|said| self.index_of(&positions, "position", said))
                    .unwrap_or(0)
            };
            let (starts, safe) = (at("starts"), at("safe"));
            self.machine.switches.push(Switch { named, positions, starts, safe, roles: Vec::new() });
        }
    }

    fn item(&mut self, named: &Named, subject: Subject, what: &str) {
        self.scope.items.add(self.reader, what, &named.name, subject, &named.span);
        self.scope.per_side.insert(subject, named.per_side);
        if named.per_side && self.machine.sides.is_empty() {
            self.reader.report(
                Problem::error(
                    codes::NO_SIDES,
                    named.span.clone(),
                    format!("`{}` is `per=\"side\"`, but the machine has no sides", named.name),
                )
                .with_remedy("declare them with `side \"left\"` and so on, or leave `per` out"),
            );
        }
    }

    /// Named children that belong to one item, such as positions or ends.
    fn own_names(&mut self, node: &Node, child: &str) -> Vec<Named> {
        let mut names: Names<()> = Names::default();
        let mut list = Vec::new();
        for child_node in children(node, child) {
            let named = self.named(child_node);
            names.add(self.reader, child, &named.name, (), &named.span);
            list.push(named);
        }
        list
    }

    fn index_of(&mut self, list: &[Named], what: &str, said: (&str, &Span)) -> Option<usize> {
        let found = list.iter().position(|named| named.name == said.0);
        if found.is_none() {
            self.reader.report_with(said.1, || {
                unknown(what, said.0, said.1, list.iter().map(|named| named.name.as_str()))
            });
        }
        found
    }

    fn vessel(&mut self, node: &Node, named: Named) -> Vessel {
        let capacity: Volume = quantity(node, "capacity").unwrap_or(Volume::new(1.0, VolumeUnit::Litre));
        let holds = text(node, "holds").and_then(|said| self.scope.liquid(self.reader, said));
        let amount: Option<Volume> = quantity(node, "amount");
        if let (Some(amount), Some(entry)) = (amount, node.property("amount")) {
            over_capacity(self.reader, amount, capacity, &named.name, &entry.span);
        }
        Vessel {
            holds: holds.map(|liquid| (liquid, amount.unwrap_or(capacity))),
            capacity,
            pressure: node.property("pressure").is_some(),
            count: count(node, "count").unwrap_or(1),
            kit: has_flag(node, "kit"),
            in_place: has_flag(node, "clean-in-place"),
            out_of_cold: quantity::<TimeUnit>(node, "out-of-cold"),
            place: self.place(node),
            named,
        }
    }

    fn place(&mut self, node: &Node) -> Option<usize> {
        let (name, span) = text(node, "at")?;
        self.scope.places.find(self.reader, "place", name, span)
    }

    fn declare_part<'a>(
        &mut self,
        node: &'a Node,
        of: Option<PartId>,
        per_side: bool,
        parts: &mut Vec<PartNode<'a>>,
    ) {
        let mut named = self.named(node);
        named.per_side |= per_side;
        if let Some(of) = of
            && named.only_with.is_none()
        {
            named.only_with = self.machine.parts[of].named.only_with;
        }
        let id = self.machine.parts.len();
        self.item(&named, Subject::Part(id), node.name.text.as_str());
        let inherits = named.per_side;
        let part = self.part(node, named, of);
        self.machine.parts.push(part);
        parts.push(PartNode { node, of });
        for child in
            node.children().iter().filter(|child| matches!(child.name.text.as_str(), "piece" | "seal"))
        {
            self.declare_part(child, Some(id), inherits, parts);
        }
    }

    fn part(&mut self, node: &Node, named: Named, of: Option<PartId>) -> Part {
        let seal = node.name.text == "seal";
        let grooves = count(node, "grooves");
        let material = match text(node, "material").map(|(material, _)| material) {
            Some("metal") => Material::Metal,
            Some("composite") => Material::Composite,
            Some("rubber") => Material::Rubber,
            _ if seal => Material::Rubber,
            _ => Material::Plastic,
        };
        let lubricant = text(node, "lubricant").map(|(kind, _)| match kind {
            "never" => Lubricant::Never,
            kind => Lubricant::Kind(kind.to_owned()),
        });
        let owned = |property| text(node, property).map(|(said, _)| said.to_owned());
        let parent = of.map(|of| &self.machine.parts[of]);
        let food_contact =
            has_flag(node, "food-contact") || (seal && parent.is_some_and(|parent| parent.food_contact));
        let place = self.place(node).or_else(|| of.and_then(|of| self.machine.parts[of].place));
        Part {
            count: count(node, "count").or(grooves).unwrap_or(1),
            material,
            food_contact,
            sharp: has_flag(node, "sharp"),
            weight: quantity::<MassUnit>(node, "weight"),
            room: quantity(node, "room")
                .unwrap_or(Volume::new(if seal { 0.05 } else { 0.2 }, VolumeUnit::Litre)),
            brush: owned("brush"),
            slot: owned("slot"),
            lasts: quantity::<TimeUnit>(node, "lasts"),
            soak: quantity::<TimeUnit>(node, "soak"),
            lubricant,
            behind: Vec::new(),
            held_by: Vec::new(),
            closes: Vec::new(),
            of,
            grooves: grooves.map(|count| Groove { count, order: owned("remove") }),
            cautions: cautions(self.reader, node),
            place,
            photo: owned("photo"),
            named,
        }
    }

    fn refer(&mut self, node: &Node, parts: &[PartNode<'_>]) {
        for (id, part) in parts.iter().enumerate() {
            self.machine.parts[id].behind = self.part_list(part.node, "behind");
            self.machine.parts[id].held_by = self.part_list(part.node, "held-by");
            self.machine.parts[id].closes = self.vessel_list(part.node, "closes");
            debug_assert_eq!(self.machine.parts[id].of, part.of, "parts are declared in one order");
        }
        for (id, child) in children(node, "valve").enumerate() {
            if let Some(from) = self.vessel_named(child, "from") {
                self.machine.valves[id].from = from;
            }
            self.machine.valves[id].to = self.vessel_named(child, "to");
        }
        for (id, child) in children(node, "switch").enumerate() {
            let roles = self.roles(id, child);
            self.machine.switches[id].roles = roles;
        }
        self.machine.journey = self.journey(node);
    }

    /// Parts named by a property or by child nodes of the same name.
    fn part_list(&mut self, node: &Node, name: &str) -> Vec<PartId> {
        let mut said: Vec<(&str, &Span)> = text(node, name).into_iter().collect();
        for child in children(node, name) {
            said.extend(
                child.arguments.iter().filter_map(|entry| entry.as_text().map(|text| (text, &entry.span))),
            );
        }
        said.into_iter()
            .filter_map(|(name, span)| match self.scope.item(self.reader, "part", name, span)? {
                Subject::Part(id) => Some(id),
                other => {
                    self.reader.report(self.scope.wrong_kind(name, other, "part", span));
                    None
                }
            })
            .collect()
    }

    /// Vessels named by a property or by child nodes of the same name.
    fn vessel_list(&mut self, node: &Node, name: &str) -> Vec<VesselId> {
        let mut said: Vec<(&str, &Span)> = text(node, name).into_iter().collect();
        for child in children(node, name) {
            said.extend(
                child.arguments.iter().filter_map(|entry| entry.as_text().map(|text| (text, &entry.span))),
            );
        }
        said.into_iter().filter_map(|said| self.vessel_called(said)).collect()
    }

    fn vessel_named(&mut self, node: &Node, property: &str) -> Option<VesselId> {
        let said = text(node, property)?;
        self.vessel_called(said)
    }

    fn vessel_called(&mut self, (name, span): (&str, &Span)) -> Option<VesselId> {
        match self.scope.item(self.reader, "vessel", name, span)? {
            Subject::Vessel(id) => Some(id),
            other => {
                self.reader.report(self.scope.wrong_kind(name, other, "vessel", span));
                None
            }
        }
    }

    fn roles(&mut self, switch: usize, node: &Node) -> Vec<SwitchRole> {
        let positions = self.machine.switches[switch].positions.clone();
        let mut roles = Vec::new();
        for child in node
            .children()
            .iter()
            .filter(|child| matches!(child.name.text.as_str(), "moves" | "cools" | "live"))
        {
            let mut said: Vec<(&str, &Span)> = text(child, "at").into_iter().collect();
            for at in children(child, "at") {
                said.extend(
                    at.arguments.iter().filter_map(|entry| entry.as_text().map(|text| (text, &entry.span))),
                );
            }
            if said.is_empty() {
                self.reader.report(
                    Problem::error(
                        codes::MISSING_PROPERTY,
                        child.name.span.clone(),
                        format!("this `{}` lacks `at`: the position", child.name.text),
                    )
                    .with_remedy("write `at=\"POSITION\"`"),
                );
            }
            let at: Vec<usize> =
                said.into_iter().filter_map(|said| self.index_of(&positions, "position", said)).collect();
            for entry in &child.arguments {
                let Some(name) = entry.as_text() else { continue };
                let what = match child.name.text.as_str() {
                    "cools" => "vessel",
                    "live" => "part or vessel",
                    _ => "part",
                };
                let Some(subject) = self.scope.item(self.reader, what, name, &entry.span) else {
                    continue;
                };
                match (child.name.text.as_str(), subject) {
                    ("moves", Subject::Part(part)) => roles.push(SwitchRole::Moves(part, at.clone())),
                    ("cools", Subject::Vessel(vessel)) => roles.push(SwitchRole::Cools(vessel, at.clone())),
                    ("live", Subject::Part(part)) => roles.push(SwitchRole::LivePart(part, at.clone())),
                    ("live", Subject::Vessel(vessel)) => {
                        roles.push(SwitchRole::LiveVessel(vessel, at.clone()));
                    }
                    (_, other) => self.reader.report(self.scope.wrong_kind(name, other, what, &entry.span)),
                }
            }
        }
        roles
    }

    fn journey(&mut self, node: &Node) -> Journey {
        let first = |kind| self.machine.solutions.iter().position(|solution| solution.kind == kind);
        let mut journey = Journey {
            cleaner: first(SolutionKind::Cleaner),
            sanitiser: first(SolutionKind::Sanitiser),
            ..Journey::default()
        };
        let Some(node) = children(node, "journey").next() else { return journey };
        let time = |name, usual| quantity(node, name).unwrap_or(usual);
        journey.wash = time("wash", journey.wash);
        journey.rinse = time("rinse", journey.rinse);
        journey.dip = time("dip", journey.dip);
        journey.lay_out = time("lay-out", journey.lay_out);
        let mut named = |name| {
            let (said, span) = text(node, name)?;
            self.scope.solutions.find(self.reader, "solution", said, span)
        };
        journey.cleaner = named("cleaner").or(journey.cleaner);
        journey.sanitiser = named("sanitiser").or(journey.sanitiser);
        journey
    }

    /// What can only be judged when all is read: circles of parts, parts too large for the sink.
    fn judge(&mut self) {
        for circle in circles(&self.machine.parts) {
            let names: Vec<String> = circle
                .iter()
                .chain(circle.first())
                .map(|id| format!("`{}`", self.machine.parts[*id].named.name))
                .collect();
            self.reader.report(
                Problem::error(
                    codes::CIRCLE,
                    self.machine.parts[circle[0]].named.span.clone(),
                    format!("none of these parts can ever come off first: {}", names.join(" behind ")),
                )
                .with_remedy("take one `behind` or `held-by` out of the circle"),
            );
        }
        let room = self
            .machine
            .sinks
            .iter()
            .map(|sink| sink.room.in_unit(VolumeUnit::Litre))
            .fold(f64::INFINITY, f64::min);
        for part in &self.machine.parts {
            if part.room.in_unit(VolumeUnit::Litre) > room {
                self.reader.report(
                    Problem::error(
                        codes::TOO_LARGE_FOR_SINK,
                        part.named.span.clone(),
                        format!(
                            "`{}` takes {}, more than the smallest sink holds",
                            part.named.name, part.room
                        ),
                    )
                    .with_remedy(format!(
                        "the sink holds {}: write the room that it takes, or a larger sink",
                        Volume::new(room, VolumeUnit::Litre)
                    )),
                );
            }
        }
    }
}

/// Reports an amount that a vessel does not hold.
pub fn over_capacity(reader: &mut Reader, amount: Volume, capacity: Volume, vessel: &str, span: &Span) {
    if amount.cmp_limit(capacity) == std::cmp::Ordering::Greater {
        reader.report(
            Problem::error(codes::OVER_CAPACITY, span.clone(), format!("{amount} do not fit in `{vessel}`"))
                .with_remedy(format!("it holds {capacity}: write less, or put its `capacity` right")),
        );
    }
}

/// Ways between places.
pub fn walks(reader: &mut Reader, places: &Names<usize>, node: &Node) -> Vec<Walk> {
    let mut walks = Vec::new();
    for child in children(node, "walk") {
        let said: Vec<(&str, &Span)> = child
            .arguments
            .iter()
            .filter_map(|entry| entry.as_text().map(|text| (text, &entry.span)))
            .collect();
        let [from, to, time] = said.as_slice() else { continue };
        let from = places.find(reader, "place", from.0, from.1);
        let to = places.find(reader, "place", to.0, to.1);
        if let (Some(from), Some(to), Ok(time)) = (from, to, ft_units::parse(time.0)) {
            walks.push(Walk { from, to, time });
        }
    }
    walks
}

/// Cautions of a part or a step: those of one kind are one caution in several languages.
pub fn cautions(reader: &mut Reader, node: &Node) -> Vec<Caution> {
    let mut by_kind: BTreeMap<CautionKind, (ft_machine::Words, Span)> = BTreeMap::new();
    let default = reader.languages.first().cloned().unwrap_or_else(|| "en".into());
    for child in children(node, "caution") {
        let said: Vec<&str> = child.arguments.iter().filter_map(ft_syntax::Entry::as_text).collect();
        let (kind, language, words) = match said.as_slice() {
            [kind, text] => (*kind, default.as_str(), *text),
            [kind, language, text] => (*kind, *language, *text),
            _ => continue,
        };
        let Some(kind) = caution_kind(kind) else { continue };
        let entry = by_kind.entry(kind).or_insert_with(|| (ft_machine::Words::new(), child.span.clone()));
        entry.0.insert(language.to_owned(), words.to_owned());
    }
    by_kind
        .into_iter()
        .map(|(kind, (words, span))| {
            reader.complete(&words, "this caution", &span);
            Caution { kind, words }
        })
        .collect()
}

fn caution_kind(word: &str) -> Option<CautionKind> {
    Some(match word {
        "pressure" => CautionKind::Pressure,
        "moving" => CautionKind::Moving,
        "sharp" => CautionKind::Sharp,
        "heavy" => CautionKind::Heavy,
        "fragile" => CautionKind::Fragile,
        "chemical" => CautionKind::Chemical,
        "electric" => CautionKind::Electric,
        "hot" => CautionKind::Hot,
        "wet" => CautionKind::Wet,
        _ => return None,
    })
}

fn solution(node: &Node, named: Named) -> Solution {
    let kind = match text(node, "kind").map(|(kind, _)| kind) {
        Some("cleaner") => SolutionKind::Cleaner,
        _ => SolutionKind::Sanitiser,
    };
    let stock = children(node, "stock").next().and_then(|stock| {
        Some(Stock {
            name: first_text(stock)?.0.to_owned(),
            available_percent: number(stock, "available")?,
            density_kg_l: number(stock, "density").unwrap_or(1.0),
        })
    });
    let never_meets = children(node, "never-meets")
        .flat_map(|child| child.arguments.iter().filter_map(|entry| entry.as_text().map(str::to_owned)))
        .collect();
    Solution {
        named,
        kind,
        active: text(node, "active").map(|(said, _)| said.to_owned()),
        target: range::<StrengthUnit>(node, "target"),
        contact: quantity::<TimeUnit>(node, "contact"),
        lasts: quantity::<TimeUnit>(node, "lasts"),
        batch: quantity(node, "batch"),
        stock,
        never_meets,
    }
}

/// Circles in which each part must be off before the next comes off, each told once.
fn circles(parts: &[Part]) -> Vec<Vec<PartId>> {
    let mut state = vec![0u8; parts.len()];
    let mut found = Vec::new();
    for start in 0..parts.len() {
        let mut path: Vec<(PartId, usize)> = vec![(start, 0)];
        if state[start] != 0 {
            continue;
        }
        state[start] = 1;
        while let Some((part, next)) = path.last_mut() {
            let (part, at) = (*part, *next);
            *next += 1;
            let waits = parts[part].behind.iter().chain(&parts[part].held_by).nth(at).copied();
            match waits {
                None => {
                    state[part] = 2;
                    path.pop();
                }
                Some(other) if state[other] == 1 => {
                    let from = path.iter().position(|(on_path, _)| *on_path == other).unwrap_or(0);
                    found.push(path[from..].iter().map(|(part, _)| *part).collect());
                }
                Some(other) if state[other] == 0 => {
                    state[other] = 1;
                    path.push((other, 0));
                }
                Some(_) => {}
            }
        }
    }
    found
}
