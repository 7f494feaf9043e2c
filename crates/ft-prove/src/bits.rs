//! Sets of small numbers as rows of bits.

/// A set of numbers below a size that is fixed when it is made.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Default)]
pub(crate) struct Bits {
    words: Vec<u64>,
}

impl Bits {
    /// The empty set of numbers below `size`.
    pub(crate) fn new(size: usize) -> Self {
        Self { words: vec![0; size.div_ceil(64)] }
    }

    pub(crate) fn insert(&mut self, index: usize) {
        self.words[index / 64] |= 1 << (index % 64);
    }

    pub(crate) fn remove(&mut self, index: usize) {
        self.words[index / 64] &= !(1 << (index % 64));
    }

    pub(crate) fn has(&self, index: usize) -> bool {
        self.words[index / 64] >> (index % 64) & 1 == 1
    }

    /// Adds every member of `other`; says whether that changed anything.
    pub(crate) fn add_all(&mut self, other: &Self) -> bool {
        let mut changed = 0;
        for (mine, theirs) in self.words.iter_mut().zip(&other.words) {
            changed |= theirs & !*mine;
            *mine |= theirs;
        }
        changed != 0
    }

    /// Drops every member that `other` does not have.
    pub(crate) fn keep(&mut self, other: &Self) {
        self.words.iter_mut().zip(&other.words).for_each(|(mine, theirs)| *mine &= theirs);
    }

    /// Whether every member of `other` is a member.
    pub(crate) fn has_all(&self, other: &Self) -> bool {
        self.words.iter().zip(&other.words).all(|(mine, theirs)| theirs & !mine == 0)
    }

    pub(crate) fn count(&self) -> usize {
        self.words.iter().map(|word| word.count_ones() as usize).sum()
    }

    pub(crate) fn is_empty(&self) -> bool {
        self.words.iter().all(|&word| word == 0)
    }

    /// The members in rising order.
    pub(crate) fn iter(&self) -> impl Iterator<Item = usize> + '_ {
        self.words.iter().enumerate().flat_map(|(at, &word)| {
            std::iter::successors((word != 0).then_some(word), |rest| {
                let rest = rest & (rest - 1);
                (rest != 0).then_some(rest)
            })
            .map(move |rest| at * 64 + rest.trailing_zeros() as usize)
        })
    }

    pub(crate) fn words(&self) -> &[u64] {
        &self.words
    }
}
