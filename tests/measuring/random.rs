//! Random numbers that are the same on every machine: SplitMix64, and draws made from it.
//!
//! Source of the generator: Steele, Lea and Flood, "Fast splittable pseudorandom number generators", OOPSLA 2014,
//! doi:10.1145/2660193.2660195.

/// The step between two states: 2⁶⁴ divided by the golden ratio.
const GOLDEN: u64 = 0x9e37_79b9_7f4a_7c15;

/// The mixing function: every bit of the result hangs on every bit of what it is given.
pub(crate) fn mix(mut bits: u64) -> u64 {
    bits = (bits ^ (bits >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    bits = (bits ^ (bits >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    bits ^ (bits >> 31)
}

/// A stream of random numbers.
#[derive(Debug, Clone)]
pub(crate) struct Random(u64);

impl Random {
    /// The stream with this number, of the given kind: no two share their numbers.
    pub(crate) fn new(seed: u64, kind: u64, number: u64) -> Self {
        Self(mix(mix(mix(seed ^ GOLDEN).wrapping_add(kind)).wrapping_add(number)))
    }

    /// Any number.
    pub(crate) fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(GOLDEN);
        mix(self.0)
    }

    /// A number from 0 up to `end`, which it never is.
    pub(crate) fn below(&mut self, end: u64) -> u64 {
        // The upper half of a long product: uneven by less than end / 2⁶⁴.
        ((u128::from(self.bits()) * u128::from(end)) >> 64) as u64
    }

    /// A place in a list of this length.
    pub(crate) fn place(&mut self, length: usize) -> usize {
        self.below(length as u64) as usize
    }

    /// A number from `least` to `most`, both of which it may be.
    pub(crate) fn from(&mut self, least: u64, most: u64) -> u64 {
        least + self.below(most - least + 1)
    }

    /// A fraction from 0 up to 1.
    pub(crate) fn fraction(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1u64 << 53) as f64
    }

    /// Whether something of this probability happens.
    pub(crate) fn happens(&mut self, probability: f64) -> bool {
        self.fraction() < probability
    }

    /// About normally distributed, with mean 0 and deviation 1: twelve fractions less six.
    pub(crate) fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.fraction()).sum::<f64>() - 6.0
    }

    /// One of several.
    pub(crate) fn one<'a, T>(&mut self, of: &'a [T]) -> &'a T {
        &of[self.place(of.len())]
    }
}

/// Places in a list whose frequencies follow Zipf's law: the place of rank r comes up 1/r times as often as the first.
#[derive(Debug)]
pub(crate) struct Zipf {
    /// Sums of the weights up to each place.
    sums: Vec<f64>,
}

impl Zipf {
    /// For a list of this length.
    pub(crate) fn new(length: usize) -> Self {
        let mut sum = 0.0;
        let sums = (1..=length).map(|rank| {
            sum += 1.0 / rank as f64;
            sum
        });
        Self { sums: sums.collect() }
    }

    /// A place.
    pub(crate) fn place(&self, random: &mut Random) -> usize {
        let wanted = random.fraction() * self.sums.last().copied().unwrap_or(0.0);
        self.sums.partition_point(|sum| *sum <= wanted).min(self.sums.len().saturating_sub(1))
    }
}
