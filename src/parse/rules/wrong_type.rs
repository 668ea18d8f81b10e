//! A list where text is needed, text where a mapping is needed.

use crate::diag::{Diagnostic, Rule, Severity};
use crate::text::Span;

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "wrong-type",
    severity: Severity::Error,
    what: r"A value is text where a list is needed, a list where fields are needed, or the like.",
    why: r"The value cannot be understood.",
    instead_of: r"findings: glaucoma",
    write: r"findings: [glaucoma]",
    source: r"",
    quotes: true,
};

/// Found `found` at `span`, where `expected` is needed.
pub(crate) fn found(span: Span, found: &str, expected: &str) -> Diagnostic {
    Diagnostic::at(&RULE, span, format!("{expected} is needed here, and this is {found}"))
}

/// The field `key` at `span` has no value.
pub(crate) fn empty(span: Span, key: &str) -> Diagnostic {
    Diagnostic::at(&RULE, span, format!("the field `{key}` has no value"))
        .mend("give it a value, or leave the field out")
}

/// `written` at `span` is neither true nor false.
pub(crate) fn not_truth(span: Span, written: &str) -> Diagnostic {
    Diagnostic::at(&RULE, span, format!("`{written}` is neither true nor false")).mend("write true or false")
}
