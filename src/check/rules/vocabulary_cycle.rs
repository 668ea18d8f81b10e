//! Concepts that are wider than themselves.

use crate::diag::{Diagnostic, Rule, Severity};
use crate::text::{Span, Spanned};

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "concept-cycle",
    severity: Severity::Error,
    what: r"A concept is, by way of others, broader than itself, or needs itself to be learnt first.",
    why: r"No page could say which is the wider one, and no ladder where to begin.",
    instead_of: r"broader: b at a, and broader: a at b",
    write: r"broader: b at a only",
    source: r"",
    quotes: true,
};

/// `path` leads from a concept back to itself along `field`, which stands at `span`.
pub(crate) fn found(span: Span, field: &str, path: &[&Spanned<String>]) -> Diagnostic {
    let names: Vec<&str> = path.iter().map(|name| name.value.as_str()).collect();
    Diagnostic::at(&RULE, span, format!("`{field}` runs in a circle: {}", names.join(" → ")))
        .mend("take one of these links out")
}
