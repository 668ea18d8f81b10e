//! Where the samples of a film in fragments lie. Source: ISO/IEC 14496-12 (2022), 8.8.3, 8.8.7 and 8.8.8.

use super::mp4_played::signed;
use super::window::{Fault, big};
use std::collections::BTreeMap;
use std::ops::Range;

/// What is known while the fragments are read in order.
#[derive(Debug, Default)]
pub(super) struct Fragments {
    /// Size of a sample by track, where a fragment does not say.
    sizes: BTreeMap<u64, u64>,
    /// Where the head of this fragment begins.
    head: u64,
    /// What offsets of this track's runs are counted from, and the size of its samples.
    base: u64,
    size: u64,
    /// Where the last run ended.
    at: u64,
    /// The bytes of every run.
    pub(super) ranges: Vec<Range<u64>>,
}

impl Fragments {
    /// A fragment begins whose head stands there.
    pub(super) fn begin(&mut self, head: u64) {
        (self.head, self.at) = (head, head);
    }

    /// Takes over one box: `trex`, `tfhd` or `trun`.
    pub(super) fn read(&mut self, kind: &[u8; 4], body: &[u8]) -> Result<(), Fault> {
        const WRONG: Fault = Fault::Damaged("a table in it cannot be right");
        let flags = big(body, 0, 4);
        match kind {
            b"trex" => {
                self.sizes.insert(big(body, 4, 4), big(body, 16, 4));
            }
            b"tfhd" => {
                let mut field = 8;
                let mut take = |flag: u64, len: usize| {
                    (flags & flag != 0).then(|| {
                        field += len;
                        big(body, field - len, len)
                    })
                };
                let base = take(0x1, 8);
                // The entry that describes the samples, and how long each lasts.
                let _ = (take(0x2, 4), take(0x8, 4));
                let size = take(0x10, 4);
                self.base = base.unwrap_or(if flags & 0x2_0000 == 0 { self.at } else { self.head });
                self.at = self.base;
                self.size = size.or_else(|| self.sizes.get(&big(body, 4, 4)).copied()).unwrap_or(0);
            }
            _ => {
                let count = big(body, 4, 4);
                let mut field = 8;
                if flags & 0x1 != 0 {
                    let offset = signed(body, field, 4);
                    self.at = self.base.checked_add_signed(offset).ok_or(WRONG)?;
                    field += 4;
                }
                field += if flags & 0x4 == 0 { 0 } else { 4 };
                let width = |flag| if flags & flag == 0 { 0 } else { 4 };
                let (before, row) = (width(0x100), width(0x100) + width(0x200) + width(0x400) + width(0x800));
                let len = if flags & 0x200 == 0 {
                    self.size.checked_mul(count).ok_or(WRONG)?
                } else {
                    let rows = body.get(field..).unwrap_or(&[]).chunks_exact(row);
                    rows.take(usize::try_from(count).unwrap_or(usize::MAX)).map(|row| big(row, before, 4)).sum()
                };
                let end = self.at.checked_add(len).ok_or(WRONG)?;
                self.ranges.push(self.at..end);
                self.at = end;
            }
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn body(numbers: &[u32]) -> Vec<u8> {
        numbers.iter().flat_map(|number| number.to_be_bytes()).collect()
    }

    #[test]
    fn runs_lie_where_their_heads_say() {
        let mut fragments = Fragments::default();
        fragments.read(b"trex", &body(&[0, 1, 1, 0, 30, 0])).expect("it is sound");
        fragments.begin(1000);
        let mut read = |kind, numbers: &[u32]| fragments.read(kind, &body(numbers)).expect("it is sound");
        // Counted from the fragment's head; three samples of 30 bytes by default, then two of their own size and duration.
        read(b"tfhd", &[0x2_0000, 1]);
        read(b"trun", &[0x1, 3, 200]);
        read(b"trun", &[0x304, 2, 0, 5, 7, 5, 8]);
        // The next track goes on where the last one ended, with a size of its own.
        read(b"tfhd", &[0x18, 2, 9, 4]);
        read(b"trun", &[0, 2]);
        // From a place in the file, and back.
        read(b"tfhd", &[0x1, 1, 0, 5000]);
        read(b"trun", &[0x1, 1, 0_u32.wrapping_sub(100)]);
        assert_eq!(fragments.ranges, [1200..1290, 1290..1305, 1305..1313, 4900..4930]);
    }
}
