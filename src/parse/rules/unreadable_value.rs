//! A value whose notation cannot be read.

use crate::diag::{Diagnostic, Rule, Severity};
use crate::text::Span;

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "unreadable-value",
    severity: Severity::Error,
    what: r"A value is not written in the notation that its field needs: an acuity, a clock hour, a range, a time.",
    why: r"A value that cannot be read cannot be drawn, compared or counted.",
    instead_of: r"at: half past two o'clock",
    write: r"at: 2:30 o'clock",
    source: r"",
    quotes: true,
};

/// The value at `span` cannot be read; each of `mends` could stand in its place.
pub(crate) fn found(span: Span, message: impl Into<String>, mends: &[String]) -> Diagnostic {
    Diagnostic::at(&RULE, span, message).or_write(mends)
}

/// `written` is not one of the words `allowed`.
pub(crate) fn not_one_of(span: Span, written: &str, allowed: &[&str]) -> Diagnostic {
    let diagnostic = Diagnostic::at(&RULE, span, format!("`{written}` cannot stand here"));
    match crate::text::nearest(written, allowed.iter().copied()) {
        Some(near) => diagnostic.mend(format!("write `{near}`; allowed are {}", crate::text::any_of(allowed))),
        None => diagnostic.mend(format!("write {}", crate::text::any_of(allowed))),
    }
}
