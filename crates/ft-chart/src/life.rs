//! A life curve: the share of parts that still work at each age, and the age at which to change them.

use crate::plane::{Plane, Stroke};

/// What a life curve shows; ages in the one unit that `unit` names, shares from 0 to 1.
#[derive(Debug, Clone, PartialEq)]
pub struct Life {
    /// What wears, such as "Scraper blade".
    pub title: String,
    /// Unit of the ages, such as "days".
    pub unit: String,
    /// Age and share that survives just after it, sorted by age: the steps that the record itself shows.
    pub steps: Vec<(f64, f64)>,
    /// Age, lower bound, upper bound of the share: sorted by age; may be empty.
    pub bounds: Vec<(f64, f64, f64)>,
    /// Age and share of the fitted curve, sorted by age; may be empty.
    pub fitted: Vec<(f64, f64)>,
    /// Ages of parts that were taken out or are still fitted without having failed.
    pub censored: Vec<f64>,
    /// The age at which to change the part, with a word on why.
    pub change_at: Option<(f64, String)>,
}

/// The curve as SVG.
///
/// Steps are solid, the fitted curve is dashed, what is uncertain about it is a pale band, and parts that had not
/// failed when last seen are upright ticks on the steps.
pub fn life(curve: &Life) -> String {
    let ages = curve.steps.iter().map(|step| step.0).chain(curve.fitted.iter().map(|point| point.0));
    let last = ages
        .chain(curve.censored.iter().copied())
        .chain(curve.change_at.iter().map(|change| change.0))
        .filter(|age| age.is_finite())
        .fold(0.0, f64::max);
    let mut plane = Plane::new(0.0..=last.max(1.0) * 1.02, 0.0..=1.0);
    let lower: Vec<_> = curve.bounds.iter().map(|(age, low, _)| (*age, *low)).collect();
    let upper: Vec<_> = curve.bounds.iter().map(|(age, _, high)| (*age, *high)).collect();
    if !lower.is_empty() {
        plane.band(&lower, &upper);
    }
    plane.line(&stairs(&curve.steps, last), Stroke::Solid);
    plane.line(&curve.fitted, Stroke::Dashed);
    for age in &curve.censored {
        plane.tick(*age, share_at(&curve.steps, *age));
    }
    if let Some((age, why)) = &curve.change_at {
        plane.line(&[(*age, 0.0), (*age, 1.0)], Stroke::Dotted);
        plane.ring(*age, share_at(&curve.fitted, *age), why);
    }
    plane.finish(&curve.title, &described(curve), &format!("age, {}", curve.unit), "share still working")
}

/// Level pieces and falls from the steps, starting at a share of 1.
fn stairs(steps: &[(f64, f64)], last: f64) -> Vec<(f64, f64)> {
    let mut points = vec![(0.0, 1.0)];
    let mut share = 1.0;
    for (age, after) in steps {
        points.push((*age, share));
        points.push((*age, *after));
        share = *after;
    }
    points.push((last, share));
    points
}

/// The share at an age: that of the last point at or before it.
fn share_at(points: &[(f64, f64)], age: f64) -> f64 {
    points.iter().take_while(|point| point.0 <= age).last().map_or(1.0, |point| point.1)
}

fn described(curve: &Life) -> String {
    let failures = curve.steps.len();
    let change = curve.change_at.as_ref().map_or_else(String::new, |(age, why)| {
        format!(" The line at {age:.0} {} is the age to change it: {why}.", curve.unit)
    });
    format!(
        "Share of parts still working against their age: {failures} ages with a failure, {} parts seen without.{change}",
        curve.censored.len()
    )
}

#[cfg(test)]
mod tests {
    use super::{Life, life, share_at, stairs};

    #[test]
    fn steps_fall_at_their_ages() {
        let steps = [(10.0, 0.9), (20.0, 0.5)];
        assert_eq!(
            stairs(&steps, 30.0),
            [(0.0, 1.0), (10.0, 1.0), (10.0, 0.9), (20.0, 0.9), (20.0, 0.5), (30.0, 0.5)]
        );
        assert_eq!([9.9, 10.0].map(|age| share_at(&steps, age).to_string()), ["1", "0.9"]);
    }

    #[test]
    fn the_change_is_told_in_words_and_each_censored_part_has_its_tick() {
        let svg = life(&Life {
            title: "Invented".into(),
            unit: "days".into(),
            steps: vec![(10.0, 0.9)],
            bounds: vec![(0.0, 1.0, 1.0), (20.0, 0.5, 0.9)],
            fitted: vec![(0.0, 1.0), (20.0, 0.7)],
            censored: vec![5.0, 15.0],
            change_at: Some((12.0, "least cost".into())),
        });
        assert!(svg.contains("age to change it: least cost") && svg.contains("<polygon"));
        assert_eq!(svg.matches(r#"stroke-width="1.5"/>"#).count(), 2);
    }
}
