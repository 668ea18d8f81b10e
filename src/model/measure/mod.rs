//! Measures as a surgeon writes them, parsed into pure values.
//!
//! Every type has `parse`, which takes the written words and gives a value or a [`Fault`], and a `Display` that
//! writes the canonical form; reading that form again gives the same value. Nothing here knows where in a case
//! the words stood. All arithmetic that is not exact goes through `libm`, so that it is equal on every platform.

mod acuity;
mod clock;
mod number;
mod person;
mod plausible;
mod quantity;
mod refraction;
mod scan;
mod sight;
mod time;
mod unit;

pub use acuity::{Acuity, Taken};
pub use clock::{Eye, Hour, Place, Side, span_hours};
pub use number::Number;
pub use person::{Age, Sex};
pub use plausible::{PLAUSIBLE, Plausible, Verdict, plausible};
pub use quantity::Quantity;
pub use refraction::{PowerVector, Refraction, Spherocylinder, vertex};
pub use sight::{
    CataractOutcome, Convention, GoodFrom, Impairment, Line, OffChart, decimal_from_logmar, letters_from_logmar,
    logmar_from_letters, nominal_line, snellen_denominator,
};
pub use time::{After, Clock, Period};
pub use unit::{Dimension, Unit};

use std::ops::Range;

/// Why written words could not be read as a measure.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// One sentence without a full stop; it quotes the words found and says what is allowed.
    pub message: String,
    /// The bytes of the input that are at fault.
    pub part: Range<usize>,
    /// Whole texts that could stand in place of the input; each of them can be read.
    pub mends: Vec<String>,
}

impl Fault {
    /// A fault without a mend.
    fn new(message: impl Into<String>, part: Range<usize>) -> Self {
        Self { message: message.into(), part, mends: Vec::new() }
    }

    /// The same fault with one more text to write instead.
    fn or(mut self, mend: impl Into<String>) -> Self {
        self.mends.push(mend.into());
        self
    }

    /// The same fault with more texts to write instead.
    fn or_any(mut self, mends: impl IntoIterator<Item = String>) -> Self {
        self.mends.extend(mends);
        self
    }
}
