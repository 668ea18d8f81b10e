//! A complication whose ending nobody learns.

use crate::check::Context;
use crate::diag::{Diagnostic, Rule, Severity};
use crate::model::case::CaseSyntax;

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "open-ending",
    severity: Severity::Error,
    what: r"A case with a complication has neither an outcome nor `follow_up`.",
    why: r"What it cost the eye is the lesson.",
    instead_of: r"complications: [{is: vitreous loss, during: s5}]",
    write: r"complications: [{is: vitreous loss, during: s5}]
outcomes: [{after: 1 day, acuity: {unaided: 6/12}}]",
    source: r"CARE guideline, item 10 (follow-up and outcomes), Gagnier et al. 2013, doi:10.1186/1752-1947-7-223",
    quotes: true,
};

/// Cases with complications.
pub(crate) fn check(case: &CaseSyntax, _: &Context<'_>, out: &mut Vec<Diagnostic>) {
    if case.outcomes.is_empty() && case.follow_up.is_none() {
        for complication in &case.complications {
            out.push(
                Diagnostic::at(
                    &RULE,
                    complication.is.span,
                    "the case does not say how the eye ended after this complication",
                )
                .mend("add `outcomes:`, or say in `follow_up:` that the patient was lost"),
            );
        }
    }
}
