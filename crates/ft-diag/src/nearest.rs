//! Finds the name that a misspelling was probably meant to be.

/// The candidate nearest to `word`, if one is near enough to be what was meant.
///
/// Near enough is: the same but for capitals, spaces, hyphens and underscores; or at most a third of the
/// longer one's letters put in, left out, exchanged or swapped with a neighbour (two for six letters).
/// Among equally near ones those with the same first letter win, then the first in `candidates`.
pub fn nearest<'c>(word: &str, candidates: impl IntoIterator<Item = &'c str>) -> Option<&'c str> {
    let wanted: String = plain(word).collect();
    let (length, letters) = count(plain(word));
    let mut best: Option<((usize, bool), &str)> = None;
    for candidate in candidates {
        let (offered_length, offered_letters) = count(plain(candidate));
        let most = length.max(offered_length) / 3;
        let least = best.map_or(most + 1, |((distance, _), _)| (distance + 1).min(most + 1));
        // Most names are too far off by their letters alone; the distance itself costs a hundred times more.
        if at_least(&letters, &offered_letters) >= least {
            continue;
        }
        let offered: String = plain(candidate).collect();
        let distance = strsim::osa_distance(&wanted, &offered);
        let rank = (distance, offered.chars().next() != wanted.chars().next());
        if distance <= most && best.is_none_or(|(best, _)| rank < best) {
            best = Some((rank, candidate));
        }
    }
    best.map(|(_, candidate)| candidate)
}

fn plain(word: &str) -> impl Iterator<Item = char> {
    word.chars().filter(|c| !matches!(c, ' ' | '-' | '_')).flat_map(char::to_lowercase)
}

/// How often each letter comes; letters 32 apart share a place, which only makes words look more alike.
type Letters = [i32; 32];

fn count(word: impl Iterator<Item = char>) -> (usize, Letters) {
    let mut letters = [0; 32];
    let mut length = 0;
    for letter in word {
        letters[letter as usize % 32] += 1;
        length += 1;
    }
    (length, letters)
}

/// A distance that two words have at least: each change puts in one letter, takes out one, or both.
fn at_least(one: &Letters, other: &Letters) -> usize {
    let (mut more, mut fewer) = (0, 0);
    for (a, b) in one.iter().zip(other) {
        more += (a - b).max(0);
        fewer += (b - a).max(0);
    }
    more.max(fewer) as usize
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

    /// The bound by letters never leaves out what the distance alone would find.
    #[test]
    fn leaving_out_by_letters_changes_no_answer() {
        let words = [
            "barrel", "barell", "abc", "acb", "cab", "Ünit", "unit", "piece 12", "piece 21", "x", "", "xy z",
        ];
        for one in words {
            for other in words {
                let (a, b): (String, String) = (plain(one).collect(), plain(other).collect());
                let distance = strsim::osa_distance(&a, &b);
                let (letters, others) = (count(plain(one)).1, count(plain(other)).1);
                assert!(at_least(&letters, &others) <= distance, "{one} and {other}");
                let is_near = distance <= a.chars().count().max(b.chars().count()) / 3;
                assert_eq!(nearest(one, [other]).is_some(), is_near, "{one} and {other}");
            }
        }
    }
}
