//! A control chart: values in their order, centre, limits, and the points that ask to be looked at.

use crate::plane::{Plane, Stroke, range_of};

/// What a control chart shows; all values in the one unit that `unit` names.
#[derive(Debug, Clone, PartialEq)]
pub struct Control {
    /// What is charted, such as "Draw temperature, left barrel".
    pub title: String,
    /// Unit of the values, such as "°C".
    pub unit: String,
    /// The plotted points in the order of time, each at its number, counted from 1; `None` is a gap, and breaks the
    /// line.
    pub values: Vec<Option<f64>>,
    /// Centre line.
    pub centre: f64,
    /// Lower and upper limit at each point, as long as `values`.
    pub limits: Vec<(f64, f64)>,
    /// Points that signal, counted from 1, with a word or two on why.
    pub signals: Vec<(usize, String)>,
    /// The limit of the rule or label, if there is one: not a control limit.
    pub rule: Option<(f64, String)>,
}

/// The chart as SVG.
///
/// The value is in no doubt without colour: limits are dashed, the centre is dotted, signals are ringed and say why.
pub fn control(chart: &Control) -> String {
    let ends = chart.limits.iter().flat_map(|(low, high)| [*low, *high]);
    let rule = chart.rule.iter().map(|(limit, _)| *limit);
    let y = range_of(chart.values.iter().flatten().copied().chain(ends).chain(rule).chain([chart.centre]));
    let count = chart.values.len().max(1) as f64;
    let mut plane = Plane::new(0.5..=count + 0.5, y);
    plane.level(chart.centre, "centre", Stroke::Dotted);
    let numbered = |side: fn(&(f64, f64)) -> f64| -> Vec<(f64, f64)> {
        chart.limits.iter().enumerate().map(|(i, pair)| (i as f64 + 1.0, side(pair))).collect()
    };
    plane.line(&numbered(|pair| pair.0), Stroke::Dashed);
    plane.line(&numbered(|pair| pair.1), Stroke::Dashed);
    if let Some((limit, whose)) = &chart.rule {
        plane.level(*limit, whose, Stroke::Solid);
    }
    let at = |index: usize, value: f64| (index as f64 + 1.0, value);
    let mut piece: Vec<(f64, f64)> = Vec::new();
    for (index, value) in chart.values.iter().enumerate() {
        match value {
            Some(value) => {
                piece.push(at(index, *value));
                plane.dot(index as f64 + 1.0, *value);
            }
            None => plane.line(&std::mem::take(&mut piece), Stroke::Solid),
        }
    }
    plane.line(&piece, Stroke::Solid);
    for (number, why) in &chart.signals {
        let value = number.checked_sub(1).and_then(|index| chart.values.get(index).copied().flatten());
        if let Some(value) = value {
            plane.ring(*number as f64, value, why);
        }
    }
    plane.finish(&chart.title, &described(chart), "number of the reading", &chart.unit)
}

fn described(chart: &Control) -> String {
    let gaps = chart.values.iter().filter(|value| value.is_none()).count();
    let readings = chart.values.len() - gaps;
    let list: Vec<_> = chart.signals.iter().map(|(number, why)| format!("{number} ({why})")).collect();
    let signals =
        if list.is_empty() { "none signals".to_owned() } else { format!("signals at {}", list.join(", ")) };
    format!("{readings} readings and {gaps} gaps around {:.3} {}; {signals}.", chart.centre, chart.unit)
}

#[cfg(test)]
mod tests {
    use super::{Control, control};

    #[test]
    fn a_signal_is_ringed_and_told_in_words() {
        let chart = Control {
            title: "Invented".into(),
            unit: "ppm".into(),
            values: vec![Some(50.0), None, Some(70.0)],
            centre: 50.0,
            limits: vec![(40.0, 60.0); 3],
            signals: vec![(3, "above".into()), (9, "not there".into())],
            rule: Some((45.0, "label".into())),
        };
        let svg = control(&chart);
        assert_eq!(svg.matches(r#"r="8""#).count(), 1);
        assert_eq!(svg.matches(r#"r="3""#).count(), 2);
        assert!(svg.contains("2 readings and 1 gaps"));
        assert!(svg.contains("signals at 3 (above)") && svg.contains(">label<"));
        assert_eq!(svg, control(&chart), "the same numbers give the same bytes");
    }
}
