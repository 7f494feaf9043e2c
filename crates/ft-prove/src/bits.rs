//! Sets of small numbers as rows of bits.

/// A set of numbers below a size that is fixed when it is made.
///
/// Proving makes and copies a great many of these, so those below 256 take no memory of their own.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Default)]
pub(crate) struct Bits {
    /// How many words.
    size: usize,
    /// The words, where they are few.
    few: [u64; FEW],
    /// The words, where they are many.
    many: Vec<u64>,
}

/// Words that a set keeps in itself. Source: none, our choice; the largest demo machine has 157 events.
const FEW: usize = 4;

impl Bits {
    /// The empty set of numbers below `size`.
    pub(crate) fn new(size: usize) -> Self {
        let size = size.div_ceil(64);
        let many = if size > FEW { vec![0; size] } else { Vec::new() };
        Self { size, few: [0; FEW], many }
    }

    pub(crate) fn insert(&mut self, index: usize) {
        self.words_mut()[index / 64] |= 1 << (index % 64);
    }

    pub(crate) fn remove(&mut self, index: usize) {
        self.words_mut()[index / 64] &= !(1 << (index % 64));
    }

    /// Adds the numbers at which `are_members` is true, counted from 0.
    pub(crate) fn fill(&mut self, are_members: impl Iterator<Item = bool>) {
        let words = self.words_mut();
        are_members
            .enumerate()
            .for_each(|(at, is_member)| words[at / 64] |= u64::from(is_member) << (at % 64));
    }

    pub(crate) fn has(&self, index: usize) -> bool {
        self.words()[index / 64] >> (index % 64) & 1 == 1
    }

    /// Adds every member of `other`.
    pub(crate) fn add_all(&mut self, other: &Self) {
        self.words_mut().iter_mut().zip(other.words()).for_each(|(mine, theirs)| *mine |= theirs);
    }

    /// Drops every member of `other`.
    pub(crate) fn remove_all(&mut self, other: &Self) {
        self.words_mut().iter_mut().zip(other.words()).for_each(|(mine, theirs)| *mine &= !theirs);
    }

    /// Drops every member that `other` does not have.
    pub(crate) fn keep(&mut self, other: &Self) {
        self.words_mut().iter_mut().zip(other.words()).for_each(|(mine, theirs)| *mine &= theirs);
    }

    /// Whether every member of `other` is a member.
    pub(crate) fn has_all(&self, other: &Self) -> bool {
        self.words().iter().zip(other.words()).all(|(mine, theirs)| theirs & !mine == 0)
    }

    pub(crate) fn count(&self) -> usize {
        self.words().iter().map(|word| word.count_ones() as usize).sum()
    }

    pub(crate) fn is_empty(&self) -> bool {
        self.words().iter().all(|&word| word == 0)
    }

    /// The greatest member.
    pub(crate) fn last(&self) -> Option<usize> {
        let last = self.words().iter().rposition(|&word| word != 0)?;
        Some(last * 64 + self.words()[last].ilog2() as usize)
    }

    /// The least member.
    pub(crate) fn first(&self) -> Option<usize> {
        self.iter().next()
    }

    /// The members in rising order.
    pub(crate) fn iter(&self) -> impl Iterator<Item = usize> + '_ {
        members(self.words().iter().copied())
    }

    /// The members of both sets in rising order.
    pub(crate) fn both<'a>(&'a self, other: &'a Self) -> impl Iterator<Item = usize> + 'a {
        members(self.words().iter().zip(other.words()).map(|(mine, theirs)| mine & theirs))
    }

    pub(crate) fn words(&self) -> &[u64] {
        if self.size <= FEW { &self.few[..self.size] } else { &self.many }
    }

    fn words_mut(&mut self) -> &mut [u64] {
        if self.size <= FEW { &mut self.few[..self.size] } else { &mut self.many }
    }
}

/// The numbers of the bits that are set, in rising order.
pub(crate) fn members(words: impl Iterator<Item = u64>) -> impl Iterator<Item = usize> {
    words.enumerate().flat_map(|(at, mut left)| {
        std::iter::from_fn(move || {
            let bit = (left != 0).then(|| left.trailing_zeros() as usize)?;
            left &= left - 1;
            Some(at * 64 + bit)
        })
    })
}
