//! `F(T) = ∫ μ dT` as a table in hundredths of a degree: the dose of a straight stretch is `hours (F1 - F0)/(T1 - T0)`.

use ft_growth::RateCurve;
use ft_growth::history::PLAUSIBLE;

/// Hundredths of a degree Celsius; `-4500..=10000`, the range of [`PLAUSIBLE`].
pub type Centi = i16;

const LOWEST: i32 = PLAUSIBLE.0 as i32 * 100;
const HIGHEST: i32 = PLAUSIBLE.1 as i32 * 100;

/// A temperature in hundredths of a degree, rounded up; `None` outside the plausible range or if not a number.
pub fn centi_from_celsius(celsius: f64) -> Option<Centi> {
    let (centi, is_plausible) = rounded_up(celsius);
    is_plausible.then_some(centi)
}

/// The same for a whole log; `None` if one of them is not plausible.
pub fn centis_from_celsius(celsius: &[f64]) -> Option<Vec<Centi>> {
    let mut all_plausible = true;
    // Judged at the end rather than at each reading, so that the loop has no way out and runs several at a time.
    let centis = celsius
        .iter()
        .map(|celsius| {
            let (centi, is_plausible) = rounded_up(*celsius);
            all_plausible &= is_plausible;
            centi
        })
        .collect();
    all_plausible.then_some(centis)
}

/// Rounded up to a hundredth, and whether it is plausible; if it is not, the number means nothing.
fn rounded_up(celsius: f64) -> (Centi, bool) {
    // A log with two decimals is met exactly: 3.07 * 100 is 307.00000000000006, which is not 308.
    let centi = celsius * 100.0 - 1e-6;
    // Rounding up by hand: on the plainest processors `ceil` is a call, and this runs once for each reading.
    let down = centi as i32;
    let up = down + i32::from(f64::from(down) < centi);
    (up as Centi, f64::from(LOWEST - 1) < centi && centi <= f64::from(HIGHEST))
}

/// The table of one rate.
///
/// Exact for readings in hundredths of a degree up to rounding: the sums of an hour-long stretch are within 1e-11
/// of the curve's own dose (see the tests). Size: 230 kB.
#[derive(Debug, Clone)]
pub struct DoseTable {
    curve: RateCurve,
    /// `∫ μ dT` from the lowest temperature up, ln·hundredths of a degree/h.
    integral: Vec<f64>,
    /// The rate at each temperature, ln/h.
    rate: Vec<f64>,
}

impl DoseTable {
    /// Fills the table. Cost: one small integral for each hundredth of a degree, about a millisecond.
    pub fn new(curve: &RateCurve) -> Self {
        let celsius = |centi: i32| f64::from(centi) / 100.0;
        let mut integral = vec![0.0];
        let (mut sum, mut lost) = (0.0, 0.0);
        for centi in LOWEST..HIGHEST {
            // Kahan's sum: differences of neighbours are taken from it later, so its last digits matter.
            let cell = 100.0 * curve.integral(celsius(centi), celsius(centi + 1)) - lost;
            let next = sum + cell;
            lost = (next - sum) - cell;
            sum = next;
            integral.push(sum);
        }
        let rate = (LOWEST..=HIGHEST).map(|centi| curve.rate(celsius(centi))).collect();
        Self { curve: curve.clone(), integral, rate }
    }

    /// The rate that the table holds.
    pub fn curve(&self) -> &RateCurve {
        &self.curve
    }

    /// Mean rate along a straight stretch, ln/h; its dose is that times its hours.
    pub fn mean_rate(&self, from: Centi, to: Centi) -> f64 {
        let (first, last) = (index(from), index(to));
        if first == last {
            return self.rate[first];
        }
        (self.integral[last] - self.integral[first]) / f64::from(i32::from(to) - i32::from(from))
    }

    /// Dose of readings at equal steps of `step_h` hours, in natural logs; sums in reading order.
    pub fn dose(&self, readings: &[Centi], step_h: f64) -> f64 {
        let Some((first, rest)) = readings.split_first() else { return 0.0 };
        let mut before = *first;
        let mut sum = 0.0;
        for reading in rest {
            sum += self.mean_rate(before, *reading);
            before = *reading;
        }
        sum * step_h
    }
}

/// Place of a temperature in the tables; the type can hold more than the tables do, so the ends stand for what is
/// beyond them, which [`centi_from_celsius`] does not let in.
fn index(centi: Centi) -> usize {
    (i32::from(centi).clamp(LOWEST, HIGHEST) - LOWEST) as usize
}

#[cfg(test)]
mod tests {
    use super::{DoseTable, centi_from_celsius};
    use ft_growth::{RateCurve, SecondaryModel};

    #[test]
    fn two_decimals_are_met_and_a_third_is_rounded_up() {
        for centi in -4500..=10_000_i16 {
            assert_eq!(centi_from_celsius(f64::from(centi) / 100.0), Some(centi));
        }
        assert_eq!(centi_from_celsius(3.071), Some(308));
        assert_eq!(centi_from_celsius(-3.079), Some(-307));
        assert_eq!(centi_from_celsius(100.01), None);
        assert_eq!(centi_from_celsius(f64::NAN), None);
    }

    #[test]
    fn the_table_is_the_curve() {
        let models = [
            SecondaryModel::SquareRoot { b: 0.024, t_min: -2.3251 },
            SecondaryModel::ExtendedSquareRoot { b: 0.03, t_min: -3.0, c: 0.25, t_max: 42.0 },
            SecondaryModel::Cardinal { t_min: 3.7, t_opt: 40.8, t_max: 46.6, mu_opt: 2.3 },
        ];
        for model in models {
            let curve = RateCurve::new(vec![model]).unwrap();
            let table = DoseTable::new(&curve);
            for (from, to) in [(300, 301), (300, 2500), (-500, 5000), (500, 300), (370, 370), (4200, 4199)] {
                let expected = curve.dose_of_stretch(f64::from(from) / 100.0, f64::from(to) / 100.0, 1.0);
                let error = (table.mean_rate(from, to) - expected).abs();
                assert!(error < 1e-11, "{model:?} {from}..{to}: {error:e}");
            }
        }
    }
}
