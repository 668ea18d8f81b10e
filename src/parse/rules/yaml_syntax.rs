//! YAML that does not parse.

use crate::diag::{Diagnostic, Rule, Severity};
use crate::text::Span;

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "yaml-syntax",
    severity: Severity::Error,
    what: r"The front matter is not YAML: a bracket is not closed, a colon or a quote is missing, or the indentation does not fit.",
    why: r"Nothing after the place can be trusted.",
    instead_of: r"findings: [glaucoma, small pupil",
    write: r"findings: [glaucoma, small pupil]",
    source: r"",
    quotes: true,
};

/// The parser stopped at `span` and says `message`.
pub(crate) fn found(span: Span, message: &str) -> Diagnostic {
    Diagnostic::at(&RULE, span, format!("this is not YAML: {message}")).mend(
        "look for a bracket, quote or colon on this line or the one before; text that holds `: ` or ` #` needs quotes",
    )
}

/// The top of the text at `span` is not a set of fields.
pub(crate) fn not_fields(span: Span) -> Diagnostic {
    Diagnostic::at(&RULE, span, "a line `field: value` is needed here")
        .mend("write the fields one a line, such as `eye: left`")
}
