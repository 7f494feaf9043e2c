//! What has to be mixed tonight, and how much of what goes into it.

use std::collections::BTreeMap;

use ft_machine::Solution;
use ft_solution::{DoseAsked, ProductStrength, dose};
use ft_units::{Range, Strength, StrengthUnit, Volume, VolumeUnit};
use serde::Serialize;

use crate::night::MachineNight;

/// A solution of one machine for tonight.
#[derive(Debug, Clone, Serialize)]
pub struct Mixed {
    /// The machine.
    pub machine: String,
    /// The solution.
    pub solution: String,
    /// Litres that are poured into the machine, and one batch for each sink that holds it.
    pub litres: f64,
    /// What to do, in a sentence.
    pub how: String,
}

/// Batch for a sink where the file gives none. Source: common practice, no source.
const SINK_BATCH_L: f64 = 10.0;

/// Everything that is mixed tonight, by machine in the order of the kitchen.
pub fn mixed(machines: &[MachineNight<'_>], language: &str) -> Vec<Mixed> {
    let mut list = Vec::new();
    for machine in machines {
        let Some(model) = machine.file.machine.as_ref() else { continue };
        let mut litres: BTreeMap<usize, (f64, bool)> = BTreeMap::new();
        for task in &machine.lowered.tasks {
            for &(solution, poured) in &task.solutions {
                let entry = litres.entry(solution).or_default();
                entry.0 += poured.unwrap_or(0.0);
                entry.1 |= poured.is_none();
            }
        }
        for (id, (poured, sink)) in litres {
            let solution = &model.solutions[id];
            let batch = solution.batch.map_or(SINK_BATCH_L, |batch| batch.in_unit(VolumeUnit::Litre));
            let litres = poured + if sink { batch } else { 0.0 };
            list.push(Mixed {
                machine: machine.label.get(language).unwrap_or(&machine.name).clone(),
                solution: ft_compile::lower::text(&solution.named, language).to_owned(),
                litres,
                how: how(solution, litres, language),
            });
        }
    }
    list
}

fn how(solution: &Solution, litres: f64, language: &str) -> String {
    let spanish = language == "es";
    let (Some(target), Some(stock)) = (solution.target, &solution.stock) else {
        return if spanish { "según la etiqueta" } else { "as its label says" }.to_owned();
    };
    let asked = DoseAsked {
        product: ProductStrength::AvailableByWeight {
            percent: stock.available_percent,
            density: stock.density_kg_l,
        },
        target: middle(target),
        volume: Volume::new(litres, VolumeUnit::Litre),
    };
    match dose(asked) {
        Ok(dose) if spanish => format!(
            "{:.0} mL de {} hasta {litres:.0} L de agua: {} ({}); la tira decide",
            dose.product_ml,
            stock.name,
            middle(target),
            target
        ),
        Ok(dose) => format!(
            "{:.0} mL of {} made up to {litres:.0} L with water: {} ({}); the strip decides",
            dose.product_ml,
            stock.name,
            middle(target),
            target
        ),
        Err(bad) => format!("{bad}"),
    }
}

/// The middle of the range that is wanted.
fn middle(target: Range<StrengthUnit>) -> Strength {
    Strength::new(f64::midpoint(target.low.value, target.high.in_unit(target.low.unit)), target.low.unit)
}
