//! How a solution weakens as it stands.

use crate::BadSolution;

/// What is left of a strength after `elapsed_min` minutes, with a half-life in minutes; first-order loss.
///
/// The half-life belongs to the site: 140 min was measured in a pipe with sewage (Olivieri et al. 1986,
/// Environ. Health Perspect. 69:15) and serves as a check of the formula, not as a figure for a bucket.
///
/// # Errors
/// [`BadSolution`] for a negative strength or time, or a half-life of 0 or less.
pub fn half_life_strength(
    start_mg_per_l: f64,
    half_life_min: f64,
    elapsed_min: f64,
) -> Result<f64, BadSolution> {
    let sound = start_mg_per_l >= 0.0 && half_life_min > 0.0 && elapsed_min >= 0.0;
    if !sound || !(start_mg_per_l + half_life_min + elapsed_min).is_finite() {
        return Err(BadSolution::new(
            format!(
                "no loss follows from {start_mg_per_l} mg/L, a half-life of {half_life_min} min and {elapsed_min} min"
            ),
            "give a strength and a time of 0 or more, and a half-life above 0",
        ));
    }
    Ok(start_mg_per_l * ft_maths::pow(2.0, -elapsed_min / half_life_min))
}

/// The half-life in minutes that two strip readings allow at worst: the first read at the top of its band, the
/// second at the bottom of its own. `None` where the second could be as strong as the first, so nothing follows.
pub fn least_half_life(first_high: f64, second_low: f64, between_min: f64) -> Option<f64> {
    let falls = 0.0 < second_low && second_low < first_high && between_min > 0.0;
    falls.then(|| between_min * std::f64::consts::LN_2 / ft_maths::ln(first_high / second_low))
}

/// Minutes until a strength has fallen to `least`, by the same law; 0 where it is there already.
///
/// # Errors
/// [`BadSolution`] for strengths or a half-life of 0 or less.
pub fn good_for_min(
    start_mg_per_l: f64,
    least_mg_per_l: f64,
    half_life_min: f64,
) -> Result<f64, BadSolution> {
    let sound = start_mg_per_l > 0.0 && least_mg_per_l > 0.0 && half_life_min > 0.0;
    if !sound || !(start_mg_per_l + least_mg_per_l + half_life_min).is_finite() {
        return Err(BadSolution::new(
            format!(
                "no life follows from {start_mg_per_l} to {least_mg_per_l} mg/L and a half-life of {half_life_min} min"
            ),
            "give strengths and a half-life above 0",
        ));
    }
    let halvings = ft_maths::ln(start_mg_per_l / least_mg_per_l) / std::f64::consts::LN_2;
    Ok(half_life_min * halvings.max(0.0))
}
