//! Exact decimal numbers, as written by hand.

use serde::{Deserialize, Serialize};
use std::cmp::Ordering;
use std::fmt;
use std::hash::{Hash, Hasher};

/// Most digits after the point.
pub(super) const PLACES: usize = 6;
/// Most digits before the point.
pub(super) const WHOLE_DIGITS: usize = 9;
/// Millionths in one.
const ONE: i64 = 1_000_000;

/// A decimal number held exactly, in millionths, that remembers how many places were written.
///
/// `21.0` and `21` are equal, and each is written back as it stood. A number that was read lies within
/// ±999 999 999.999 999.
#[derive(Debug, Clone, Copy, Serialize, Deserialize)]
pub struct Number {
    micro: i64,
    places: u8,
}

impl Number {
    /// A whole number.
    pub const fn whole(value: i32) -> Self {
        Self { micro: value as i64 * ONE, places: 0 }
    }

    /// A number of millionths, written with as few places as it needs.
    pub(super) fn from_micro(micro: i64) -> Self {
        let mut places = PLACES as u8;
        let mut rest = micro;
        while places > 0 && rest % 10 == 0 {
            rest /= 10;
            places -= 1;
        }
        Self { micro, places }
    }

    /// From the digits before and after the point; `None` when there are too many.
    pub(super) fn from_digits(negative: bool, whole: &str, fraction: &str) -> Option<Self> {
        if whole.len() > WHOLE_DIGITS || fraction.len() > PLACES {
            return None;
        }
        let micro = format!("{whole}{fraction:0<PLACES$}").parse::<i64>().ok()?;
        Some(Self { micro: if negative { -micro } else { micro }, places: fraction.len() as u8 })
    }

    /// The nearest float. A number of at most 15 digits gives the same float as its decimal text.
    pub fn value(self) -> f64 {
        self.micro as f64 / ONE as f64
    }

    /// The number in millionths.
    pub fn micro(self) -> i64 {
        self.micro
    }

    /// The number when it has no part after the point.
    pub fn as_whole(self) -> Option<i64> {
        (self.micro % ONE == 0).then_some(self.micro / ONE)
    }

    /// Whether the number is below nought.
    pub fn is_negative(self) -> bool {
        self.micro < 0
    }

    /// Whether the number is nought.
    pub fn is_zero(self) -> bool {
        self.micro == 0
    }

    /// The sum of two numbers, written with the more places of the two.
    pub(super) fn plus(self, other: Self) -> Self {
        Self { micro: self.micro.saturating_add(other.micro), places: self.places.max(other.places) }
    }

    /// Half of one in the last place written, in millionths: how far a number that is "about" so may lie away.
    pub(super) fn half_last(self) -> i64 {
        ONE / 10_i64.pow(u32::from(self.places).min(PLACES as u32)) / 2
    }

    /// The number moved by so many millionths; from nought or above it stays there.
    pub(super) fn moved(self, by: i64) -> Self {
        let micro = self.micro.saturating_add(by);
        Self { micro: if self.micro < 0 { micro } else { micro.max(0) }, places: self.places }
    }

    /// The number with the other sign.
    pub(super) fn negated(self) -> Self {
        Self { micro: -self.micro, places: self.places }
    }

    /// With a sign always and at least two places, as lens powers are written: `+1.00`, `-0.25`.
    pub(super) fn signed(self) -> String {
        let places = self.places.max(2);
        let sign = if self.micro < 0 { "" } else { "+" };
        format!("{sign}{}", Self { micro: self.micro, places })
    }
}

impl fmt::Display for Number {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sign = if self.micro < 0 { "-" } else { "" };
        let size = self.micro.unsigned_abs();
        let (whole, fraction) = (size / ONE as u64, size % ONE as u64);
        if self.places == 0 {
            return write!(out, "{sign}{whole}");
        }
        let digits = format!("{fraction:06}");
        write!(out, "{sign}{whole}.{}", &digits[..usize::from(self.places).min(PLACES)])
    }
}

impl PartialEq for Number {
    fn eq(&self, other: &Self) -> bool {
        self.micro == other.micro
    }
}

impl Eq for Number {}

impl PartialOrd for Number {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Number {
    fn cmp(&self, other: &Self) -> Ordering {
        self.micro.cmp(&other.micro)
    }
}

impl Hash for Number {
    fn hash<H: Hasher>(&self, state: &mut H) {
        self.micro.hash(state);
    }
}
