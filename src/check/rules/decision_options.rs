//! A decision that cannot be practised.

use crate::check::Context;
use crate::diag::{Diagnostic, Rule, Severity};
use crate::model::case::CaseSyntax;
use crate::model::case::Verdict;

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "decision-without-choice",
    severity: Severity::Error,
    what: r"A decision has fewer than two options, or none that is best.",
    why: r"There is nothing to decide, or no answer to learn.",
    instead_of: r"options: [{choice: Refill, verdict: best, …}]",
    write: r"options: [{choice: Refill, verdict: best, …}, {choice: Withdraw, verdict: harmful, …}]",
    source: r"",
    quotes: true,
};

/// The options of every decision.
pub(crate) fn check(case: &CaseSyntax, _: &Context<'_>, out: &mut Vec<Diagnostic>) {
    for decision in &case.body.decisions {
        if decision.options.len() < 2 {
            out.push(
                Diagnostic::at(&RULE, decision.id.span, "this decision has fewer than two options")
                    .mend("add the options that real people choose, each with its reason"),
            );
        } else if !decision.options.iter().any(|option| option.verdict.value == Verdict::Best) {
            out.push(
                Diagnostic::at(&RULE, decision.id.span, "no option of this decision is best")
                    .mend("give the option that you would choose the verdict `best`"),
            );
        }
    }
}
