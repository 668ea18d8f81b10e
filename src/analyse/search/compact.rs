//! What was counted, in few bytes: before the index is made all of it lies in memory, for all documents together.
//!
//! Of numbers in order the gaps are written, each as [`number`] does.

use crate::model::search::codec::number;

/// Numbers as [`number`] wrote them.
struct Numbers<'b>(std::slice::Iter<'b, u8>);

impl Iterator for Numbers<'_> {
    type Item = u32;

    fn next(&mut self) -> Option<u32> {
        let (mut value, mut shift) = (0, 0);
        loop {
            let byte = *self.0.next()?;
            value |= u32::from(byte & 127) << shift;
            if byte < 128 {
                return Some(value);
            }
            shift += 7;
        }
    }
}

/// A term's documents with their weights, in order.
#[derive(Debug, Clone, Default)]
pub(super) struct Weights {
    bytes: Vec<u8>,
    last: u32,
    count: usize,
}

impl Weights {
    /// Adds a document after all that are there.
    pub(super) fn push(&mut self, document: u32, weight: u32) {
        number(document - self.last, &mut self.bytes);
        number(weight, &mut self.bytes);
        self.last = document;
        self.count += 1;
    }

    /// How many documents there are.
    pub(super) fn len(&self) -> usize {
        self.count
    }

    /// Whether there is none.
    pub(super) fn is_empty(&self) -> bool {
        self.count == 0
    }

    /// Each document with its weight.
    pub(super) fn iter(&self) -> impl Iterator<Item = (u32, u32)> {
        let mut numbers = Numbers(self.bytes.iter());
        let mut document = 0;
        std::iter::from_fn(move || {
            document += numbers.next()?;
            Some((document, numbers.next()?))
        })
    }
}

/// The pairs of neighbouring terms of a document, in order, each once.
#[derive(Debug)]
pub(super) struct Pairs(Box<[u8]>);

impl Pairs {
    /// From pairs in order.
    pub(super) fn new(pairs: &[(u32, u32)]) -> Self {
        let mut bytes = Vec::with_capacity(4 * pairs.len());
        let mut last = (0, 0);
        for &(one, other) in pairs {
            number(one - last.0, &mut bytes);
            number(if one == last.0 { other - last.1 } else { other }, &mut bytes);
            last = (one, other);
        }
        Self(bytes.into())
    }

    /// Each pair.
    pub(super) fn iter(&self) -> impl Iterator<Item = (u32, u32)> {
        let mut numbers = Numbers(self.0.iter());
        let mut last = (0, 0);
        std::iter::from_fn(move || {
            let (gap, other) = (numbers.next()?, numbers.next()?);
            last = (last.0 + gap, if gap == 0 { last.1 + other } else { other });
            Some(last)
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_read_is_what_was_written() {
        let numbers = [0, 1, 127, 128, 129, 16_383, 16_384, 2_097_151, 2_097_152, u32::MAX - 1, u32::MAX];
        let mut weights = Weights::default();
        assert!(weights.is_empty() && weights.iter().next().is_none());
        let documents: Vec<(u32, u32)> = numbers.into_iter().zip(numbers.into_iter().rev()).collect();
        documents.iter().for_each(|&(document, weight)| weights.push(document, weight));
        assert_eq!((weights.iter().collect::<Vec<_>>(), weights.len()), (documents, numbers.len()));

        let pairs: Vec<(u32, u32)> = numbers.into_iter().flat_map(|one| numbers.map(|other| (one, other))).collect();
        assert_eq!(Pairs::new(&pairs).iter().collect::<Vec<_>>(), pairs);
        assert_eq!(Pairs::new(&[]).iter().next(), None);
    }
}
