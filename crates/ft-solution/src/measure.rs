//! The measures that hang in a kitchen.

/// A measure with the finest step that people can read on it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Measure {
    /// How it is written.
    pub symbol: &'static str,
    /// Millilitres in one.
    pub millilitres: f64,
    /// Finest step, in its own unit.
    pub step: f64,
}

/// Millilitres in a US fluid ounce. Source: NIST Handbook 44, appendix C: 1/128 of a gallon of 3.785411784 L.
const FLUID_OUNCE: f64 = 3_785.411_784 / 128.0;

/// Measures from fine to coarse. The steps are our choice: what a syringe, a spoon set and a jug can show.
pub const KITCHEN: &[Measure] = &[
    Measure { symbol: "mL", millilitres: 1.0, step: 1.0 },
    Measure { symbol: "tsp", millilitres: FLUID_OUNCE / 6.0, step: 0.25 },
    Measure { symbol: "tbsp", millilitres: FLUID_OUNCE / 2.0, step: 0.5 },
    Measure { symbol: "fl oz", millilitres: FLUID_OUNCE, step: 0.25 },
];

/// The measure of this name.
pub fn measure_named(symbol: &str) -> Option<Measure> {
    KITCHEN.iter().copied().find(|measure| measure.symbol == symbol)
}

impl Measure {
    /// The whole steps around this many millilitres, in the measure's own unit: the nearer first, never none at all.
    pub fn around(self, millilitres: f64) -> Vec<f64> {
        let steps = millilitres / self.millilitres / self.step;
        let (below, above) = (steps.floor(), steps.ceil());
        let nearer_first = if steps - below <= above - steps { [below, above] } else { [above, below] };
        let mut amounts: Vec<f64> = nearer_first.into_iter().filter(|steps| *steps >= 1.0).collect();
        amounts.dedup();
        amounts.into_iter().map(|steps| steps * self.step).collect()
    }
}
