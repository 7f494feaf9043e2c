//! A check of the product as it is shown: plain numbers and words, for JSON and for text.

use std::fmt::Write as _;

use serde::Serialize;

use crate::{
    BadProduct, CAUTION, Composition, cup_check, dilution_water_kg, explain_reported, freezing_point_c,
    water_frozen_share,
};

/// A cup check, as shown.
#[derive(Debug, Clone, Serialize)]
pub struct ProductView {
    /// Overrun, %.
    pub overrun_percent: f64,
    /// The site's band of overrun, %.
    pub band_percent: (f64, f64),
    /// Gross weights between which the cup should be, g.
    pub gross_band_g: (f64, f64),
    /// Whether it is.
    pub within: bool,
    /// The usual mistake that explains the figure that was reported, if one does.
    pub mistake: Option<&'static str>,
    /// Where the arithmetic comes from.
    pub source: &'static str,
    /// What to keep in mind.
    pub caution: &'static str,
}

impl ProductView {
    /// Weighs a cup: gross, net mix and tare in g, the band in per cent, and the figure that somebody reported.
    ///
    /// # Errors
    /// As [`cup_check`].
    pub fn of_cup(
        gross_g: f64,
        net_mix_g: f64,
        tare_g: f64,
        band_percent: (f64, f64),
        reported_percent: Option<f64>,
    ) -> Result<Self, BadProduct> {
        let check = cup_check(gross_g, net_mix_g, tare_g, band_percent)?;
        let explain = |reported| explain_reported(net_mix_g, gross_g - tare_g, Some(tare_g), reported);
        let mistake = reported_percent.map(explain).transpose()?.flatten();
        Ok(Self {
            overrun_percent: check.overrun_percent,
            band_percent,
            gross_band_g: check.gross_band,
            within: check.within,
            mistake: mistake.map(crate::Mistake::says),
            source: "overrun by weight: University of Guelph, overrun calculations",
            caution: CAUTION,
        })
    }

    /// The view as text for a terminal or paper.
    pub fn text(&self) -> String {
        let word = if self.within { "within" } else { "OUTSIDE" };
        let mut text = format!(
            "Overrun {:.1} %, {word} the band of {} to {} %\n  cup      {:.1} to {:.1} g gross\n",
            self.overrun_percent,
            self.band_percent.0,
            self.band_percent.1,
            self.gross_band_g.0,
            self.gross_band_g.1
        );
        if let Some(mistake) = self.mistake {
            let _ = writeln!(text, "  mistake  {mistake}");
        }
        let _ = writeln!(text, "  source   {}\n{}", self.source, self.caution);
        text
    }
}

/// Freezing of a mix, as shown.
#[derive(Debug, Clone, Serialize)]
pub struct FreezingView {
    /// Sucrose equivalents, g in 100 g.
    pub sucrose_equivalents_g: f64,
    /// Freezing point, °C.
    pub freezing_point_c: f64,
    /// The temperature that was asked for, °C.
    pub at_c: Option<f64>,
    /// Share of the water that is ice at that temperature, 0 to 1.
    pub frozen_share: Option<f64>,
    /// Where the arithmetic comes from.
    pub source: &'static str,
    /// What to keep in mind.
    pub caution: &'static str,
}

impl FreezingView {
    /// Freezing point of a mix, and how much of its water is ice at a temperature in °C.
    ///
    /// # Errors
    /// As [`freezing_point_c`] and [`water_frozen_share`].
    pub fn new(mix: &Composition, at_c: Option<f64>) -> Result<Self, BadProduct> {
        Ok(Self {
            sucrose_equivalents_g: mix.sucrose_equivalents_g(),
            freezing_point_c: freezing_point_c(mix)?,
            at_c,
            frozen_share: at_c.map(|at| water_frozen_share(mix, at)).transpose()?,
            source: "sucrose equivalents: Goff, University of Guelph; table of sucrose from memory, to about 0.1 °C",
            caution: CAUTION,
        })
    }

    /// The view as text for a terminal or paper.
    pub fn text(&self) -> String {
        let mut text = format!("Freezes at {:.2} °C\n", self.freezing_point_c);
        if let (Some(at), Some(share)) = (self.at_c, self.frozen_share) {
            let _ = writeln!(text, "  at {at:.1} °C {:.0} % of its water is ice", share * 100.0);
        }
        let _ = writeln!(text, "  sucrose equivalents {:.2} g in 100 g", self.sucrose_equivalents_g);
        let _ = writeln!(text, "  source   {}\n{}", self.source, self.caution);
        text
    }
}

/// A syrup brought to another Brix, as shown.
#[derive(Debug, Clone, Serialize)]
pub struct SyrupView {
    /// Water to add, kg.
    pub water_kg: f64,
    /// Where the arithmetic comes from.
    pub source: &'static str,
}

impl SyrupView {
    /// Water for a syrup in kg from one Brix to another.
    ///
    /// # Errors
    /// As [`dilution_water_kg`].
    pub fn new(syrup_kg: f64, from_brix: f64, to_brix: f64) -> Result<Self, BadProduct> {
        Ok(Self {
            water_kg: dilution_water_kg(syrup_kg, from_brix, to_brix)?,
            source: "mass balance of sugar",
        })
    }

    /// The view as text for a terminal or paper.
    pub fn text(&self) -> String {
        format!("Add {:.3} kg of water\n  source   {}\n", self.water_kg, self.source)
    }
}
