//! A check of the product as it is shown: plain numbers and words, for JSON and for text.

use std::fmt::Write as _;

use serde::Serialize;

use crate::{BadProduct, CAUTION, cup_check, explain_reported};

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
