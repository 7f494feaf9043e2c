//! A dose as it is shown: plain numbers and words, for JSON and for text.

use std::fmt::Write as _;

use ft_units::StrengthUnit;
use serde::Serialize;

use crate::{Chemical, Dose, HoclShare, THE_STRIP_DECIDES, clashes};

/// How to make a solution, as shown.
#[derive(Debug, Clone, Serialize)]
pub struct DoseView {
    /// What the label says of the product.
    pub product: String,
    /// Strength that was asked for.
    pub target: String,
    /// Finished volume.
    pub volume: String,
    /// Product, mL.
    pub product_ml: f64,
    /// Water to make it up with.
    pub water: String,
    /// The same in measures of the kitchen.
    pub measured: Vec<MeasuredView>,
    /// Share of the free chlorine that is hypochlorous acid, 0 to 1, where pH and temperature are known.
    pub hocl_share: Option<f64>,
    /// Hypochlorous acid, mg/L.
    pub hocl_mg_per_l: Option<f64>,
    /// What it must never meet.
    pub never_meets: Vec<String>,
    /// What to keep in mind; the last is always that the strip decides.
    pub cautions: Vec<String>,
    /// Where the arithmetic comes from.
    pub sources: Vec<&'static str>,
}

/// One measured amount, as shown.
#[derive(Debug, Clone, Serialize)]
pub struct MeasuredView {
    /// How many of the measure.
    pub amount: f64,
    /// The measure.
    pub measure: &'static str,
    /// Strength that it gives, mg/L.
    pub gives_mg_per_l: f64,
}

impl DoseView {
    /// The view of a dose of `chemical`; `share` where pH and temperature were given.
    pub fn new(dose: &Dose, chemical: Chemical, share: Option<HoclShare>) -> Self {
        let measured = dose.measured.iter().map(|measured| MeasuredView {
            amount: measured.amount,
            measure: measured.measure.symbol,
            gives_mg_per_l: measured.gives.in_unit(StrengthUnit::MilligramPerLitre),
        });
        let target_mg_per_l = dose.asked.target.in_unit(StrengthUnit::MilligramPerLitre);
        let mut sources =
            vec!["volume × target / product strength (Kansas health department, chlorine page)"];
        let mut cautions = Vec::new();
        if let Some(share) = share {
            sources.push("hypochlorous acid: Morris 1966, J. Phys. Chem. 70:3798 (from memory)");
            cautions.extend(share.caution.map(str::to_owned));
        }
        cautions.push(THE_STRIP_DECIDES.to_owned());
        Self {
            product: dose.asked.product.to_string(),
            target: dose.asked.target.to_string(),
            volume: dose.asked.volume.to_string(),
            product_ml: dose.product_ml,
            water: dose.water.to_string(),
            measured: measured.collect(),
            hocl_share: share.map(|share| share.share),
            hocl_mg_per_l: share.map(|share| share.share * target_mg_per_l),
            never_meets: clashes(chemical).map(|clash| never_meets(chemical, clash)).collect(),
            cautions,
            sources,
        }
    }

    /// The view as text for a terminal or paper.
    pub fn text(&self) -> String {
        let mut text = format!("{} of {} from {}\n", self.volume, self.target, self.product);
        let _ = writeln!(text, "  product  {:.2} mL, made up with {} of water", self.product_ml, self.water);
        for measured in &self.measured {
            let _ = writeln!(
                text,
                "  or       {} {} (gives {:.1} mg/L)",
                measured.amount, measured.measure, measured.gives_mg_per_l
            );
        }
        if let (Some(share), Some(mg_per_l)) = (self.hocl_share, self.hocl_mg_per_l) {
            let _ = writeln!(text, "  of it    {:.1} % hypochlorous acid, {mg_per_l:.2} mg/L", share * 100.0);
        }
        for clash in &self.never_meets {
            let _ = writeln!(text, "  never    {clash}");
        }
        for source in &self.sources {
            let _ = writeln!(text, "  source   {source}");
        }
        for caution in &self.cautions {
            let _ = writeln!(text, "{caution}");
        }
        text
    }
}

fn never_meets(chemical: Chemical, clash: &crate::Clash) -> String {
    let other = if clash.one == chemical { clash.other } else { clash.one };
    let danger = if clash.harms_people { "DANGER: " } else { "" };
    format!("with {}: {danger}{} ({})", other.name(), clash.comes, clash.source)
}
