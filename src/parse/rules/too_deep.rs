//! Files that are nested beyond reason.

use crate::diag::{Diagnostic, Rule, Severity};
use crate::text::Span;

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "too-deep",
    severity: Severity::Error,
    what: r"Lists and mappings stand inside one another more than 24 deep.",
    why: r"No write-up needs it, and such files are made to exhaust the program that reads them.",
    instead_of: r"[[[[[[[[…",
    write: r"[a, b]",
    source: r"",
    quotes: true,
};

/// Nesting at `span` goes too deep.
pub(crate) fn nested(span: Span) -> Diagnostic {
    Diagnostic::at(&RULE, span, "lists and mappings are nested too deep here").mend("write the values side by side")
}
