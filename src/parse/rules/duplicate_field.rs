//! The same field twice.

use crate::diag::{Diagnostic, Rule, Severity};
use crate::text::Span;

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "duplicate-field",
    severity: Severity::Error,
    what: r"A field stands twice in one mapping.",
    why: r"One of the two values would be lost without a word.",
    instead_of: r"eye: left
eye: right",
    write: r"eye: left",
    source: r"",
    quotes: true,
};

/// `key` at `span` repeats the one at `first`.
pub(crate) fn found(span: Span, first: Span, key: &str) -> Diagnostic {
    Diagnostic::at(&RULE, span, format!("the field `{key}` stands here a second time"))
        .also(first, "it stands first at")
        .mend("keep one of the two")
}
