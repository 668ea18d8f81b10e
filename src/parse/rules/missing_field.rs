//! A field that must be there.

use crate::diag::{Diagnostic, Rule, Severity};
use crate::text::Span;

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "missing-field",
    severity: Severity::Error,
    what: r"A field that every reader needs is not there.",
    why: r"A case without, say, its consent or its eye cannot be judged or published.",
    instead_of: r"patient: {age: 58}",
    write: r"patient: {age: 58, sex: female}",
    source: r"",
    quotes: true,
};

/// `key` is missing from `record`, whose first byte is at `span`.
pub(crate) fn found(span: Span, key: &str, record: &str, help: &str) -> Diagnostic {
    Diagnostic::at(&RULE, span, format!("{record} needs the field `{key}`, which is not here"))
        .mend(format!("add `{key}: …` ({})", help.trim_end_matches('.')))
}
