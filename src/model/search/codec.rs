//! How lists of cases are packed: bits, least significant first, cases grouped by impact and their gaps in Rice codes.
//!
//! A list is: γ(groups − 1), then for each group from the highest level down γ(drop of the level − 1), γ(cases − 1), four
//! bits k, and the gaps between the case numbers in Rice codes with k low bits. γ(v) is v + 1 with its length in unary
//! before it; a Rice code is the high bits in unary and k low bits. Source: Witten, Moffat and Bell, "Managing
//! Gigabytes", 2nd edition 1999, chapter 3 (γ and Golomb–Rice codes); Anh and Moffat, "Impact transformation: effective
//! and efficient web retrieval", SIGIR 2002 (lists grouped by impact).

/// Highest level of impact: five bits, and no case has level 0.
pub const LEVELS: u8 = 31;

/// Writes a number in bytes of seven bits, low ones first; the eighth says that more follow.
pub fn number(mut value: u32, out: &mut Vec<u8>) {
    while value >= 128 {
        out.push(value as u8 | 128);
        value >>= 7;
    }
    out.push(value as u8);
}

/// Writes bits.
#[derive(Default)]
struct Bits {
    bytes: Vec<u8>,
    used: u32,
}

impl Bits {
    fn bit(&mut self, bit: u32) {
        if self.used.is_multiple_of(8) {
            self.bytes.push(0);
        }
        if let Some(last) = self.bytes.last_mut() {
            *last |= ((bit & 1) << (self.used & 7)) as u8;
        }
        self.used += 1;
    }

    fn low(&mut self, value: u32, width: u32) {
        (0..width).for_each(|at| self.bit(value >> at));
    }

    fn unary(&mut self, value: u32) {
        (0..value).for_each(|_| self.bit(1));
        self.bit(0);
    }

    fn gamma(&mut self, value: u32) {
        let width = (value + 1).ilog2();
        self.unary(width);
        self.low(value + 1, width);
    }

    fn rice(&mut self, value: u32, low: u32) {
        self.unary(value >> low);
        self.low(value, low);
    }
}

/// Packs cases with their levels, 1 to [`LEVELS`]. Cases come in order of number, each once; there is at least one.
pub fn pack(cases: &[(u32, u8)]) -> Vec<u8> {
    let mut groups: Vec<Vec<u32>> = vec![Vec::new(); usize::from(LEVELS) + 1];
    for &(case, level) in cases {
        groups[usize::from(level)].push(case);
    }
    let mut bits = Bits::default();
    bits.gamma(groups.iter().filter(|group| !group.is_empty()).count().saturating_sub(1) as u32);
    let mut above = u32::from(LEVELS) + 1;
    for (level, group) in groups.iter().enumerate().rev().filter(|(_, group)| !group.is_empty()) {
        let level = level as u32;
        bits.gamma(above - level - 1);
        above = level;
        bits.gamma(group.len() as u32 - 1);
        let gaps: Vec<u32> = std::iter::once(group[0]).chain(group.windows(2).map(|two| two[1] - two[0] - 1)).collect();
        let low = best_low(&gaps);
        bits.low(low, 4);
        gaps.iter().for_each(|&gap| bits.rice(gap, low));
    }
    bits.bytes
}

/// The number of low bits with which gaps take least room.
fn best_low(gaps: &[u32]) -> u32 {
    let size = |low: u32| gaps.iter().map(|gap| u64::from((gap >> low) + 1 + low)).sum::<u64>();
    (0..16).min_by_key(|&low| (size(low), low)).unwrap_or(0)
}

/// Reads bits; beyond the end there are zeros.
struct Reader<'b> {
    bytes: &'b [u8],
    at: usize,
}

impl Reader<'_> {
    fn bit(&mut self) -> u32 {
        let bit = self.bytes.get(self.at >> 3).map_or(0, |byte| byte >> (self.at & 7) & 1);
        self.at += 1;
        u32::from(bit)
    }

    fn low(&mut self, width: u32) -> u32 {
        (0..width).fold(0, |value, at| value | self.bit() << at)
    }

    fn unary(&mut self) -> u32 {
        let mut value = 0;
        while self.bit() == 1 {
            value += 1;
        }
        value
    }

    fn gamma(&mut self) -> u32 {
        let width = self.unary();
        (1 << width | self.low(width)) - 1
    }
}

/// Calls `each` with every case of a packed list and its level, highest level first.
pub fn unpack(bytes: &[u8], mut each: impl FnMut(u32, u32)) {
    let mut reader = Reader { bytes, at: 0 };
    let mut level = u32::from(LEVELS) + 1;
    for _ in 0..=reader.gamma() {
        level -= reader.gamma() + 1;
        let last = reader.gamma();
        let width = reader.low(4);
        let mut case = 0;
        for _ in 0..=last {
            case += reader.unary() << width | reader.low(width);
            each(case, level);
            case += 1;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn what_is_packed_comes_back(cases in proptest::collection::btree_map(0u32..70_000, 1u8..=LEVELS, 1..300)) {
            let cases: Vec<(u32, u8)> = cases.into_iter().collect();
            let mut back = Vec::new();
            unpack(&pack(&cases), |case, level| back.push((case, level as u8)));
            back.sort_unstable();
            prop_assert_eq!(back, cases);
        }
    }

    #[test]
    fn a_common_term_takes_less_than_a_byte_a_case() {
        let cases: Vec<(u32, u8)> = (0..10_000).map(|at| (at * 5, 1 + (at % 9) as u8)).collect();
        assert!(pack(&cases).len() < 10_000, "{}", pack(&cases).len());
    }
}
