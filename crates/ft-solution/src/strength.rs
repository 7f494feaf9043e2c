//! How strong a product is, in the words that its label uses.

use crate::BadSolution;

/// Grams of available chlorine in a gram of sodium hypochlorite: the ratio of the molar masses of `Cl2` and `NaOCl`.
///
/// Source: definitions in the Handbook of Chlorination (1972) as a producer's sheet quotes them; 70.906/74.442.
pub const AVAILABLE_OF_HYPOCHLORITE: f64 = 70.906 / 74.442;

/// The strength of a product as its label gives it. Every percentage lies above 0 and up to 100.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ProductStrength {
    /// A bare percentage, taken as grams in 100 mL, as public dilution tables take it; ignores density.
    Percent(f64),
    /// Trade per cent: grams of available chlorine in 100 mL.
    TradePercent(f64),
    /// Per cent by weight of available chlorine, with the density of the product relative to water.
    AvailableByWeight {
        /// Grams in 100 g.
        percent: f64,
        /// Relative density.
        density: f64,
    },
    /// Per cent by weight of sodium hypochlorite, with the density of the product relative to water.
    HypochloriteByWeight {
        /// Grams in 100 g.
        percent: f64,
        /// Relative density.
        density: f64,
    },
    /// Grams of active substance in a litre.
    GramsPerLitre(f64),
}

impl ProductStrength {
    /// Grams of active substance (for chlorine: available chlorine) in a litre of product.
    ///
    /// Formulas: trade % = g/L / 10 = weight % available × relative density;
    /// weight % available = weight % `NaOCl` × 70.906/74.442.
    /// Source: definitions of the Handbook of Chlorination (1972), as quoted in a producer's sheet.
    ///
    /// # Errors
    /// [`BadSolution`] where a percentage is not within 0 to 100 or a relative density not within 0.7 to 2.
    pub fn grams_per_litre(self) -> Result<f64, BadSolution> {
        match self {
            Self::Percent(percent) | Self::TradePercent(percent) => Ok(percent_within(percent)? * 10.0),
            Self::AvailableByWeight { percent, density } => {
                Ok(percent_within(percent)? * density_within(density)? * 10.0)
            }
            Self::HypochloriteByWeight { percent, density } => {
                Ok(percent_within(percent)? * AVAILABLE_OF_HYPOCHLORITE * density_within(density)? * 10.0)
            }
            Self::GramsPerLitre(grams) if 0.0 < grams && grams <= 2000.0 => Ok(grams),
            Self::GramsPerLitre(grams) => Err(BadSolution::new(
                format!("a product of {grams} g/L cannot be"),
                "give more than 0 and at most 2000 g/L",
            )),
        }
    }

    /// Per cent by weight of available chlorine in a product of this relative density.
    ///
    /// # Errors
    /// As [`ProductStrength::grams_per_litre`].
    pub fn available_by_weight(self, density: f64) -> Result<f64, BadSolution> {
        Ok(self.grams_per_litre()? / (10.0 * density_within(density)?))
    }

    /// Per cent by weight of sodium hypochlorite in a product of this relative density.
    ///
    /// # Errors
    /// As [`ProductStrength::grams_per_litre`].
    pub fn hypochlorite_by_weight(self, density: f64) -> Result<f64, BadSolution> {
        Ok(self.available_by_weight(density)? / AVAILABLE_OF_HYPOCHLORITE)
    }
}

impl ProductStrength {
    /// Reads what a label says: `5.25 %`, `12.5 % trade`, `10.8 % available`, `6 % hypochlorite`, `125 g/L`. The two by
    /// weight need the density of the product relative to water.
    ///
    /// # Errors
    /// [`BadSolution`] where the words are others, a density is missing, or the figure cannot be.
    pub fn read(text: &str, density: Option<f64>) -> Result<Self, BadSolution> {
        let end = text.find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | '-'))).unwrap_or(text.len());
        let (number, words) = (text[..end].trim(), text[end..].trim());
        let unclear = || {
            BadSolution::new(
                format!("`{text}` is not the strength of a product"),
                "write it such as `5.25 %`, `12.5 % trade`, `10.8 % available`, `6 % hypochlorite` or `125 g/L`",
            )
        };
        let figure: f64 = number.parse().map_err(|_| unclear())?;
        let by_weight = || {
            density.ok_or_else(|| {
                BadSolution::new(
                    format!("`{text}` is by weight, so the density of the product is needed"),
                    "give it relative to water, such as 1.16",
                )
            })
        };
        let strength = match words.split_whitespace().collect::<Vec<_>>()[..] {
            ["%"] => Self::Percent(figure),
            ["%", "trade"] => Self::TradePercent(figure),
            ["%", "available"] => Self::AvailableByWeight { percent: figure, density: by_weight()? },
            ["%", "hypochlorite"] => Self::HypochloriteByWeight { percent: figure, density: by_weight()? },
            ["g/L" | "g/l"] => Self::GramsPerLitre(figure),
            _ => return Err(unclear()),
        };
        strength.grams_per_litre().map(|_| strength)
    }
}

impl std::fmt::Display for ProductStrength {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Percent(percent) => write!(f, "{percent} %"),
            Self::TradePercent(percent) => write!(f, "{percent} % trade"),
            Self::AvailableByWeight { percent, density } => {
                write!(f, "{percent} % by weight available, density {density}")
            }
            Self::HypochloriteByWeight { percent, density } => {
                write!(f, "{percent} % by weight hypochlorite, density {density}")
            }
            Self::GramsPerLitre(grams) => write!(f, "{grams} g/L"),
        }
    }
}

fn percent_within(percent: f64) -> Result<f64, BadSolution> {
    if 0.0 < percent && percent <= 100.0 {
        return Ok(percent);
    }
    Err(BadSolution::new(
        format!("a product of {percent} % cannot be"),
        "give the percentage of the label, more than 0 and at most 100",
    ))
}

fn density_within(density: f64) -> Result<f64, BadSolution> {
    if (0.7..=2.0).contains(&density) {
        return Ok(density);
    }
    Err(BadSolution::new(
        format!("a relative density of {density} is not that of a liquid chemical"),
        "give it relative to water, between 0.7 and 2, such as 1.16",
    ))
}
