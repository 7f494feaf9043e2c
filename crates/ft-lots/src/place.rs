//! How the record names a vessel: `machine/vessel`, with its side in brackets where it has several.

/// The name of a vessel, such as `juice tower/bowl (berry)`.
pub fn vessel(machine: &str, vessel: &str, side: Option<&str>) -> String {
    match side {
        Some(side) => format!("{machine}/{vessel} ({side})"),
        None => format!("{machine}/{vessel}"),
    }
}

/// Machine, vessel and side of a vessel's name; `None` for the name of a lot.
pub fn of_vessel(place: &str) -> Option<(&str, &str, Option<&str>)> {
    let (machine, rest) = place.split_once('/')?;
    match rest.strip_suffix(')').and_then(|rest| rest.rsplit_once(" (")) {
        Some((vessel, side)) => Some((machine, vessel, Some(side))),
        None => Some((machine, rest, None)),
    }
}

#[cfg(test)]
mod tests {
    use super::{of_vessel, vessel};

    #[test]
    fn a_name_and_its_parts_agree() {
        for parts in [("juice tower", "bowl", Some("berry")), ("twist", "hopper", None)] {
            assert_eq!(of_vessel(&vessel(parts.0, parts.1, parts.2)), Some(parts));
        }
        assert_eq!(of_vessel("MIX-7 (opened)"), None);
    }
}
