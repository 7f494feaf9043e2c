//! Small parts that decide: O-ring sizes and their look-alikes, counts out and in, and how much lubricant is much.
//!
//! Knows no machine: which ring belongs where is for the machine file to say.

/// An O-ring size of AS568; both figures in inches.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ORing {
    /// The dash number, such as 10 for -010.
    pub dash: u16,
    /// Inner diameter.
    pub inner_in: f64,
    /// Diameter of the section.
    pub section_in: f64,
}

/// Sections by series. Source: public AS568 charts (read; one chart had wrong inner diameters in the 300 series, so
/// only sizes that two sources agree on are in `SIZES`).
pub const SECTIONS: &[(u16, f64)] = &[(0, 0.070), (100, 0.103), (200, 0.139), (300, 0.210), (400, 0.275)];

/// Inner diameters that two sources agree on.
const SIZES: &[(u16, f64)] = &[(10, 0.239), (12, 0.364), (110, 0.362), (210, 0.734), (214, 0.984)];

/// The section of a dash number, in inches; `None` beyond the 400 series.
///
/// Numbers -001 to -003 have thinner sections of their own and get no answer.
pub fn section_in(dash: u16) -> Option<f64> {
    if !(4..500).contains(&dash) {
        return None;
    }
    SECTIONS.iter().rev().find(|(series, _)| *series <= dash).map(|(_, section)| *section)
}

/// The size of a dash number, where its inner diameter is known for sure.
pub fn o_ring(dash: u16) -> Option<ORing> {
    let (_, inner_in) = SIZES.iter().find(|(known, _)| *known == dash)?;
    Some(ORing { dash, inner_in: *inner_in, section_in: section_in(dash)? })
}

impl ORing {
    /// Outer diameter in inches: inner diameter and two sections.
    pub fn outer_in(self) -> f64 {
        self.inner_in + 2.0 * self.section_in
    }
}

/// How two rings compare.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Alike {
    /// The same size.
    Same,
    /// They go over the same shaft and seal differently: the pair that gets mixed up.
    LookAlike,
    /// The eye tells them apart.
    Different,
}

/// Compares two sizes: inner diameters within 0.010 in and sections that differ are a look-alike pair.
///
/// Source of the pair: -012 and -110 (0.364/0.070 and 0.362/0.103); the 0.010 in is our choice, what fingers miss.
pub fn alike(one: ORing, other: ORing) -> Alike {
    let same_section = (one.section_in - other.section_in).abs() < 1e-9;
    let near = (one.inner_in - other.inner_in).abs() <= 0.010;
    match (same_section, one.dash == other.dash, near) {
        (_, true, _) => Alike::Same,
        (false, false, true) => Alike::LookAlike,
        _ => Alike::Different,
    }
}

/// What a count says about release.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Count {
    /// As many in as out.
    Complete,
    /// Some are missing: the machine is not released, and neither is what it made.
    Missing(u32),
    /// More than came out: something from elsewhere is in the machine.
    TooMany(u32),
}

/// Counts out and in. House rule, from memory: anything but the same number blocks release.
pub fn count(taken_out: u32, put_in: u32) -> Count {
    match taken_out.cmp(&put_in) {
        std::cmp::Ordering::Equal => Count::Complete,
        std::cmp::Ordering::Greater => Count::Missing(taken_out - put_in),
        std::cmp::Ordering::Less => Count::TooMany(put_in - taken_out),
    }
}

/// Lubricant in food, in ppm by mass, if all of it ended there; grams of lubricant, kilograms of food above 0.
///
/// `None` for a negative mass or no food. Hold it against the limits of 21 CFR 178.3570.
pub fn lubricant_ppm(lubricant_g: f64, food_kg: f64) -> Option<f64> {
    (0.0 <= lubricant_g && 0.0 < food_kg).then(|| lubricant_g / (food_kg * 1000.0) * 1e6)
}

#[cfg(test)]
mod tests {
    use super::{Alike, Count, alike, count, lubricant_ppm, o_ring, section_in};

    /// Source: public AS568 charts: -012 and -110 fit the same shaft with different sections.
    #[test]
    fn the_dangerous_pair() {
        assert_eq!(alike(o_ring(12).unwrap(), o_ring(110).unwrap()), Alike::LookAlike);
        assert_eq!(alike(o_ring(10).unwrap(), o_ring(12).unwrap()), Alike::Different);
        assert_eq!(alike(o_ring(10).unwrap(), o_ring(10).unwrap()), Alike::Same);
    }

    /// Source: public AS568 charts, millimetres beside the inches.
    #[test]
    fn sections_in_millimetres() {
        for (dash, millimetres) in [(10, 1.78), (110, 2.62), (210, 3.53), (310, 5.33), (410, 6.99)] {
            assert!((section_in(dash).unwrap() * 25.4 - millimetres).abs() < 0.006, "-{dash}");
        }
        assert_eq!(section_in(2), None);
        assert_eq!(section_in(901), None);
        assert!((o_ring(210).unwrap().outer_in() - 1.012).abs() < 1e-9);
    }

    #[test]
    fn counts_and_lubricant() {
        assert_eq!(count(7, 7), Count::Complete);
        assert_eq!(count(7, 6), Count::Missing(1));
        assert_eq!(count(7, 8), Count::TooMany(1));
        assert!((lubricant_ppm(0.2, 20.0).unwrap() - 10.0).abs() < 1e-9);
        assert_eq!(lubricant_ppm(-0.2, 20.0), None);
    }
}
