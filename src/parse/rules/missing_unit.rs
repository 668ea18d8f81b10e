//! A bare number where a unit is needed.

use crate::diag::{Diagnostic, Rule, Severity};
use crate::text::Span;

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "missing-unit",
    severity: Severity::Error,
    what: r"A number stands where a number with its unit is needed.",
    why: r"15 may be mmHg or kPa; a reader must not have to guess.",
    instead_of: r"iop: 15",
    write: r"iop: 15 mmHg",
    source: r"",
    quotes: true,
};

/// A number without unit at `span`; each of `mends` could stand in its place.
pub(crate) fn found(span: Span, message: impl Into<String>, mends: &[String]) -> Diagnostic {
    Diagnostic::at(&RULE, span, message).or_write(mends)
}
