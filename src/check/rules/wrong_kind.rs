//! A term of another kind than its field takes.

use crate::diag::{Diagnostic, Rule, Severity};
use crate::model::vocabulary::{Concept, Kind};
use crate::text::Spanned;

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "wrong-kind-of-term",
    severity: Severity::Error,
    what: r"A term is in the vocabulary, but under a kind that this field does not take.",
    why: r"A technique among the complications would be counted as something that went wrong.",
    instead_of: r"complications: [{is: anterior vitrectomy, during: s5}]",
    write: r"complications: [{is: vitreous loss, during: s5}]",
    source: r"",
    quotes: true,
};

/// `term` means `concept`, which is not of a kind that the field takes.
pub(crate) fn found(term: &Spanned<String>, concept: &Concept, kinds: &[Kind]) -> Diagnostic {
    let words: Vec<&str> = kinds.iter().map(|kind| kind.word()).collect();
    Diagnostic::at(
        &RULE,
        term.span,
        format!("`{}` is a {}, and this field takes a {}", term.value, concept.kind.word(), words.join(" or ")),
    )
    .mend(format!(
        "name a {} here, or move the term to the field for a {}",
        words.join(" or "),
        concept.kind.word()
    ))
}
