//! A choice without its reason.

use crate::check::Context;
use crate::diag::{Diagnostic, Rule, Severity};
use crate::model::case::CaseSyntax;

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "option-without-reason",
    severity: Severity::Error,
    what: r"An option of a decision has no `because`.",
    why: r"Telling a learner only that a choice was wrong can do harm; each option needs the reason that teaches.",
    instead_of: r"- {choice: Withdraw at once, verdict: harmful}",
    write: r"- {choice: Withdraw at once, verdict: harmful, because: The chamber collapses and vitreous follows the tip.}",
    source: r"errors with elaborated feedback helped, with bare right or wrong they impaired learning (Medical Education 2008 and 2009, studies of 153 and 124 students; cited from a digest)",
    quotes: true,
};

/// Every option of every decision.
pub(crate) fn check(case: &CaseSyntax, _: &Context<'_>, out: &mut Vec<Diagnostic>) {
    for choice in case.body.decisions.iter().flat_map(|decision| &decision.options) {
        if choice.because.is_none() {
            out.push(
                Diagnostic::at(&RULE, choice.choice.span, "this option has no reason")
                    .mend("add `because: …` saying why it is good or bad"),
            );
        }
    }
}
