//! A field that the format does not have.

use crate::diag::{Diagnostic, Rule, Severity};
use crate::text::{Span, list, nearest};

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "unknown-field",
    severity: Severity::Error,
    what: r"A field is not one that the case format knows.",
    why: r"A misspelt field would be left out without a word, and with it what it says.",
    instead_of: r"complicatons: []",
    write: r"complications: []",
    source: r"",
    quotes: true,
};

/// `key` at `span` is not a field of `record`, which knows `known`. A key without value is often the rest of a
/// sentence: inside braces a comma ends a text.
pub(crate) fn found(span: Span, key: &str, record: &str, known: &[&str], bare: bool) -> Diagnostic {
    let shown: String = key.chars().take(60).collect();
    let diagnostic = Diagnostic::at(&RULE, span, format!("{record} has no field `{shown}`"));
    match nearest(key, known.iter().copied()) {
        Some(near) => diagnostic.mend(format!("write `{near}`, if that is what you mean")),
        None if bare => diagnostic.mend("put quotes around the whole text: inside braces a comma ends it"),
        None => diagnostic.mend(format!("the fields here are {}", list(known, "and"))),
    }
}
