//! A link to a withdrawn case.

use crate::check::{Others, Ties};
use crate::diag::{Diagnostic, Rule, Severity};
use crate::model::case::ConsentStatus;
use crate::text::Span;

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "link-to-withdrawn-case",
    severity: Severity::Warning,
    what: r"A case or a teaching session links to one whose consent was withdrawn.",
    why: r"The page is made without the link, so that the withdrawal does not wait; the words around it may still tell of the case.",
    instead_of: r"[as in that eye](case:withdrawn-one)",
    write: r"Take the sentence out.",
    source: r"",
    quotes: true,
};

/// A session names a withdrawn case.
pub(crate) fn session(span: Span) -> Diagnostic {
    Diagnostic::at(&RULE, span, "this names a case whose consent was withdrawn; the part is left out")
        .mend("take the part out of the session")
}

/// Links and contrasts to withdrawn cases.
pub(crate) fn check(ties: &Ties, others: &Others, out: &mut Vec<Diagnostic>) {
    for (span, name) in &ties.links {
        if others.get(name).is_some_and(|other| other.consent == ConsentStatus::Withdrawn) {
            out.push(
                Diagnostic::at(&RULE, *span, "this links to a case whose consent was withdrawn; the link is left out")
                    .mend("take the link out, and the words that tell of the case"),
            );
        }
    }
}
