//! A leaf of a long list: so many of its places, the newest first, and where the leaves beside it begin.

/// Places of a record, first and last, both of them within; in order, and apart from each other.
pub type Spans = Vec<(u64, u64)>;

/// Puts the next place of a record to a list of spans.
pub fn extend(spans: &mut Spans, place: u64) {
    match spans.last_mut() {
        Some((_, last)) if *last + 1 == place => *last = place,
        _ => spans.push((place, place)),
    }
}

/// Where a leaf is looked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// The newest of all.
    Newest,
    /// The newest below a place.
    Before(u64),
    /// The oldest above a place.
    After(u64),
}

/// A leaf.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Leaf {
    /// What is on it, in order.
    pub spans: Spans,
    /// What is before this place is older; `None`: nothing is.
    pub older: Option<u64>,
    /// What is after this place is newer; `None`: nothing is.
    pub newer: Option<u64>,
}

/// The leaf of `count` places at most, out of those in `all`. Cost: one pass over the spans.
pub fn leaf(all: &[(u64, u64)], side: Side, count: u64) -> Leaf {
    let mut spans = Spans::new();
    let mut left = count;
    match side {
        Side::Newest | Side::Before(_) => {
            for &(first, last) in all.iter().rev() {
                let last =
                    if let Side::Before(place) = side { last.min(place.saturating_sub(1)) } else { last };
                if left > 0 && first <= last {
                    let from = first.max((last + 1).saturating_sub(left));
                    spans.push((from, last));
                    left -= last + 1 - from;
                }
            }
            spans.reverse();
        }
        Side::After(place) => {
            for &(first, last) in all {
                let first = first.max(place.saturating_add(1));
                if left > 0 && first <= last {
                    let until = last.min(first + (left - 1));
                    spans.push((first, until));
                    left -= until + 1 - first;
                }
            }
        }
    }
    let (Some(&(first, _)), Some(&(_, last))) = (spans.first(), spans.last()) else { return Leaf::default() };
    let older = all.first().filter(|(oldest, _)| *oldest < first).map(|_| first);
    let newer = all.last().filter(|(_, newest)| last < *newest).map(|_| last);
    Leaf { spans, older, newer }
}

#[cfg(test)]
mod tests {
    use super::{Side, Spans, extend, leaf};

    fn places(spans: &[(u64, u64)]) -> Vec<u64> {
        spans.iter().flat_map(|&(first, last)| first..=last).collect()
    }

    /// Every place stands on one leaf, whichever way they are turned, with holes in the list or without.
    #[test]
    fn leaves_cover_the_list_from_both_ends() {
        for hole in [0_u64, 1, 3, 7] {
            let mut all = Spans::new();
            let kept: Vec<u64> = (1..=50).filter(|place| hole == 0 || place % 10 >= hole).collect();
            for &place in &kept {
                extend(&mut all, place);
            }
            assert_eq!(places(&all), kept);
            for count in [1, 4, 7, 49, 50, 200] {
                let mut seen: Vec<Vec<u64>> = Vec::new();
                let mut side = Side::Newest;
                loop {
                    let one = leaf(&all, side, count);
                    seen.push(places(&one.spans));
                    let Some(older) = one.older else { break };
                    side = Side::Before(older);
                }
                assert_eq!(seen.iter().rev().flatten().copied().collect::<Vec<_>>(), kept, "{hole} {count}");
                // And back: from the oldest leaf on.
                let mut back = vec![leaf(&all, Side::After(0), count)];
                while let Some(newer) = back.last().and_then(|last| last.newer) {
                    back.push(leaf(&all, Side::After(newer), count));
                }
                let back: Vec<u64> = back.iter().flat_map(|one| places(&one.spans)).collect();
                assert_eq!(back, kept, "{hole} {count}");
            }
        }
        assert_eq!(leaf(&[], Side::Newest, 5), super::Leaf::default());
        assert_eq!(leaf(&[(3, 5)], Side::Before(3), 5), super::Leaf::default());
        assert_eq!(leaf(&[(3, 5)], Side::Before(0), 5), super::Leaf::default());
        assert_eq!(leaf(&[(3, 5)], Side::After(u64::MAX), 5), super::Leaf::default());
    }
}
