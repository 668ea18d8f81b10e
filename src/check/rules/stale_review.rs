//! A review of other content than there is now.

use crate::check::Context;
use crate::diag::{Diagnostic, Rule, Severity};
use crate::model::case::CaseSyntax;

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "stale-review",
    severity: Severity::Advice,
    what: r"The content changed since a second surgeon read it, or the review does not say which content was read.",
    why: r"The page says whether a second surgeon has read the case as it stands.",
    instead_of: r"review: {by: second consultant, on: 2026-05}",
    write: r"review: {by: second consultant, on: 2026-05, of: 0123456789abcdef}",
    source: r"",
    quotes: true,
};

/// The review against the content.
pub(crate) fn check(case: &CaseSyntax, _: &Context<'_>, out: &mut Vec<Diagnostic>) {
    let Some(review) = &case.review else { return };
    let (span, message) = match &review.of {
        Some(of) if of.value == case.content_hash => return,
        Some(of) => (of.span, "the case changed since it was read"),
        None => (review.by.span, "the review does not say which content was read"),
    };
    out.push(
        Diagnostic::at(&RULE, span, message)
            .mend(format!("let the second reader read it as it is now, then write `of: {}`", case.content_hash)),
    );
}
