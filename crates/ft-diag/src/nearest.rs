//! Finds the name that a misspelling was probably meant to be.

/// The candidate nearest to `word`, if one is near enough to be what was meant.
///
/// Near enough is: the same but for capitals, spaces, hyphens and underscores; or at most a third of the
/// longer one's letters put in, left out, exchanged or swapped with a neighbour (two for six letters).
/// Among equally near ones those with the same first letter win, then the first in `candidates`.
pub fn nearest<'c>(word: &str, candidates: impl IntoIterator<Item = &'c str>) -> Option<&'c str> {
    let wanted = plain(word);
    let length = wanted.chars().count();
    let mut best: Option<((usize, bool), &str)> = None;
    for candidate in candidates {
        let offered = plain(candidate);
        let offered_length = offered.chars().count();
        let most = length.max(offered_length) / 3;
        if length.abs_diff(offered_length) > most {
            continue; // the distance is at least the difference of the lengths
        }
        let distance = strsim::osa_distance(&wanted, &offered);
        let rank = (distance, offered.chars().next() != wanted.chars().next());
        if distance <= most && best.is_none_or(|(least, _)| rank < least) {
            best = Some((rank, candidate));
        }
    }
    best.map(|(_, candidate)| candidate)
}

fn plain(word: &str) -> String {
    word.chars().filter(|c| !matches!(c, ' ' | '-' | '_')).flat_map(char::to_lowercase).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn offers_what_was_meant_and_nothing_far_fetched() {
        let names = ["barrel", "bucket", "reservoir", "draw handle", "on"];
        assert_eq!(nearest("barell", names), Some("barrel"));
        assert_eq!(nearest("Draw_Handle", names), Some("draw handle"));
        assert_eq!(nearest("bukcet", names), Some("bucket"));
        assert_eq!(nearest("off", names), None);
        assert_eq!(nearest("spinner", names), None);
        assert_eq!(nearest("", names), None);
        assert_eq!(nearest("sonday", ["monday", "sunday"]), Some("sunday"));
    }
}
