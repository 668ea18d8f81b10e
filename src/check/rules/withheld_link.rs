//! A link to a case that this audience may not read.

use crate::check::{Others, Ties};
use crate::diag::{Diagnostic, Rule, Severity};
use crate::model::case::ConsentStatus;
use crate::model::site::Audience;
use crate::text::Span;

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "link-to-withheld-case",
    severity: Severity::Error,
    what: r"A public case or teaching session links to a case that is for the department only, or one of them links to a case whose consent is pending.",
    why: r"The link alone tells outsiders that the case exists, and it would lead nowhere.",
    instead_of: r"contrast: [{case: for-the-department-only, principle: …}]",
    write: r"contrast: [{case: a-public-one, principle: …}]",
    source: r"",
    quotes: true,
};

/// A link to a case whose consent is pending.
pub(crate) fn pending(span: Span) -> Diagnostic {
    Diagnostic::at(&RULE, span, "this links to a case whose consent is still pending")
        .mend("take the link out until consent is there")
}

/// A public session names a case for the department.
pub(crate) fn session(span: Span) -> Diagnostic {
    Diagnostic::at(&RULE, span, "this public session names a case for the department only")
        .mend("take the part out, or make the session one for the department")
}

/// Links and contrasts to cases that are withheld from the readers of this one.
pub(crate) fn check(ties: &Ties, others: &Others, out: &mut Vec<Diagnostic>) {
    for (span, name) in &ties.links {
        let Some(other) = others.get(name) else { continue };
        if ties.own.audience == Audience::Public && other.audience == Audience::Department {
            out.push(
                Diagnostic::at(&RULE, *span, "this public case links to a case for the department only")
                    .mend("take the link out, or make the other case public"),
            );
        }
        if other.consent == ConsentStatus::Pending {
            out.push(pending(*span));
        }
    }
}
