//! A public case that no second surgeon has read as it stands.

use crate::check::Context;
use crate::diag::{Diagnostic, Rule, Severity};
use crate::model::case::CaseSyntax;
use crate::model::site::Audience;

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "unreviewed",
    severity: Severity::Error,
    what: r"A site for the public is made, and a public case has no review that matches its content.",
    why: r"What is public cannot be taken back. A second pair of eyes sees what the author no longer sees.",
    instead_of: r"audience: public",
    write: r"audience: public
review: {by: second consultant, on: 2026-05, of: 0123456789abcdef}",
    source: r"",
    quotes: true,
};

/// Public cases, when a site for the public is made.
pub(crate) fn check(case: &CaseSyntax, context: &Context<'_>, out: &mut Vec<Diagnostic>) {
    let public = context.audience == Audience::Public && case.audience.value == Audience::Public;
    let read = case.review.as_ref().and_then(|review| review.of.as_ref()).map(|of| &of.value);
    if public && read != Some(&case.content_hash) {
        out.push(
            Diagnostic::at(&RULE, case.audience.span, "no second surgeon has read this case as it stands")
                .mend(format!("let a second surgeon read it, then add review: {{by: …, of: {}}}", case.content_hash)),
        );
    }
}
