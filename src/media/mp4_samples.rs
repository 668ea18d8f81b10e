//! Where the samples of a track lie. Source: ISO/IEC 14496-12, 8.7.

use super::window::{Fault, big};
use std::ops::Range;

/// The tables of one track.
#[derive(Debug, Default)]
pub(super) struct Samples {
    /// First chunk, counted from 1, and the samples in each from there on.
    runs: Vec<(u64, u64)>,
    /// One size for all, or 0.
    one_size: u64,
    count: u64,
    sizes: Vec<u32>,
    chunks: Vec<u64>,
}

impl Samples {
    /// Takes over one table.
    pub(super) fn read(&mut self, kind: &[u8; 4], table: &[u8]) -> Result<(), Fault> {
        let rows = |at: usize, width: usize| -> Result<std::slice::ChunksExact<'_, u8>, Fault> {
            let count = usize::try_from(big(table, at, 4)).unwrap_or(usize::MAX);
            let end = count.checked_mul(width).and_then(|len| len.checked_add(at + 4));
            let rows = end.and_then(|end| table.get(at + 4..end));
            rows.map(|rows| rows.chunks_exact(width)).ok_or(Fault::Damaged("a table in it is cut off"))
        };
        match kind {
            b"stsc" => self.runs = rows(4, 12)?.map(|row| (big(row, 0, 4), big(row, 4, 4))).collect(),
            b"stco" => self.chunks = rows(4, 4)?.map(|row| big(row, 0, 4)).collect(),
            b"co64" => self.chunks = rows(4, 8)?.map(|row| big(row, 0, 8)).collect(),
            b"stsz" => {
                self.one_size = big(table, 4, 4);
                self.count = big(table, 8, 4);
                if self.one_size == 0 {
                    self.sizes = rows(8, 4)?.map(|row| u32::from_be_bytes([row[0], row[1], row[2], row[3]])).collect();
                }
            }
            // Sizes of 4, 8 or 16 bits.
            _ => {
                let bits = usize::from(table.get(7).copied().unwrap_or(0));
                self.count = big(table, 8, 4);
                let body = table.get(12..).unwrap_or(&[]);
                self.sizes = match bits {
                    4 => body.iter().flat_map(|byte| [u32::from(byte >> 4), u32::from(byte & 15)]).collect(),
                    8 => body.iter().map(|byte| u32::from(*byte)).collect(),
                    16 => body.chunks_exact(2).map(|pair| u32::from(u16::from_be_bytes([pair[0], pair[1]]))).collect(),
                    _ => return Err(Fault::Damaged("a table in it is of an unknown kind")),
                };
            }
        }
        Ok(())
    }

    /// The bytes of each chunk.
    pub(super) fn ranges(&self) -> Result<Vec<Range<u64>>, Fault> {
        let mut ranges = Vec::with_capacity(self.chunks.len());
        let (mut run, mut sample) = (0, 0_u64);
        for (number, start) in (1..).zip(&self.chunks) {
            while self.runs.get(run + 1).is_some_and(|(first, _)| *first <= number) {
                run += 1;
            }
            let count = self.runs.get(run).map_or(0, |(_, count)| *count);
            let count = count.min(self.count.saturating_sub(sample));
            let len = if self.one_size > 0 {
                self.one_size.checked_mul(count)
            } else {
                let from = usize::try_from(sample).unwrap_or(usize::MAX);
                let to = from.saturating_add(usize::try_from(count).unwrap_or(usize::MAX));
                let sizes = self.sizes.get(from..to).ok_or(Fault::Damaged("a table in it is cut off"))?;
                Some(sizes.iter().map(|size| u64::from(*size)).sum())
            };
            let end = len.and_then(|len| start.checked_add(len));
            ranges.push(*start..end.ok_or(Fault::Damaged("a table in it cannot be right"))?);
            sample += count;
        }
        Ok(ranges)
    }
}

/// These bytes in order, touching ones as one.
pub(super) fn in_order(mut all: Vec<Range<u64>>, size: u64) -> Result<Vec<Range<u64>>, Fault> {
    if all.iter().any(|range| range.end > size) {
        return Err(Fault::Damaged("its index points beyond its end, as if it had been cut off"));
    }
    all.sort_by_key(|range| range.start);
    let mut kept: Vec<Range<u64>> = Vec::new();
    for range in all {
        match kept.last_mut() {
            Some(last) if range.start <= last.end => last.end = last.end.max(range.end),
            _ => kept.push(range),
        }
    }
    Ok(kept)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn table(numbers: &[u32]) -> Vec<u8> {
        numbers.iter().flat_map(|number| number.to_be_bytes()).collect()
    }

    #[test]
    fn chunks_of_different_lengths_are_laid_out() {
        let mut samples = Samples::default();
        // Two samples in the first chunk, one in each after it.
        samples.read(b"stsc", &table(&[0, 2, 1, 2, 1, 2, 1, 1])).expect("sound");
        samples.read(b"stsz", &table(&[0, 0, 4, 10, 20, 30, 40])).expect("sound");
        samples.read(b"stco", &table(&[0, 3, 100, 130, 500])).expect("sound");
        assert_eq!(samples.ranges(), Ok(vec![100..130, 130..160, 500..540]));
        let ranges = samples.ranges().expect("sound");
        assert_eq!(in_order(ranges.clone(), 540), Ok(vec![100..160, 500..540]));
        assert!(in_order(ranges, 539).is_err());
    }
}
