//! A date of the calendar.

use crate::check::Context;
use crate::check::dates;
use crate::diag::{Diagnostic, Rule, Severity};
use crate::model::case::CaseSyntax;

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "calendar-date",
    severity: Severity::Error,
    what: r"A calendar date stands in the fields or the narrative.",
    why: r"A date of surgery helps to find the patient. Times are told from the operation on: after 1 day, 6 weeks.",
    instead_of: r"when: 12 March 2024",
    write: r"when: in clinic",
    source: r"US 45 CFR 164.514(b)(2)(i)(C): elements of dates except the year",
    quotes: false,
};

/// Full dates in the narrative and the fields, except in `review`, `references` and `consent.policy`.
pub(crate) fn check(case: &CaseSyntax, context: &Context<'_>, out: &mut Vec<Diagnostic>) {
    let mut allowed: Vec<crate::text::Span> = case
        .references
        .iter()
        .map(|reference| reference.span)
        .chain(case.review.iter().filter_map(|review| review.on.as_ref()).map(|on| on.span))
        .chain(case.consent.policy.iter().map(|policy| policy.span))
        .collect();
    // The spots do not overlap, so of each date only the last spot that begins before it has to be looked at.
    allowed.sort_unstable();
    for file in [case.body.span.file, case.span.file] {
        let Some(source) = context.sources.get(file) else { continue };
        for range in dates::find(&source.text) {
            let span = crate::text::Span::new(file, range.start, range.end);
            let spot = allowed[..allowed.partition_point(|spot| (spot.file, spot.start) <= (file, span.start))].last();
            if spot.is_some_and(|spot| spot.file == file && span.end <= spot.end) {
                continue;
            }
            out.push(
                Diagnostic::at(&RULE, span, "a calendar date stands here")
                    .mend("say how long before or after surgery: in clinic, after 6 weeks"),
            );
        }
        if case.body.span.file == case.span.file {
            break;
        }
    }
}
