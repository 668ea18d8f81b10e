//! Decisions that stand in another order than their moments.

use crate::check::Context;
use crate::diag::{Diagnostic, Rule, Severity};
use crate::model::case::CaseSyntax;
use crate::model::moment::Steps;

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "decisions-out-of-order",
    severity: Severity::Error,
    what: r"The decisions of a narrative do not stand in the order of their moments.",
    why: r"On the page that asks, the earlier decision would be answered by what stands before it.",
    instead_of: r"A decision at s5, then one at s2",
    write: r"The decision at s2, then the one at s5",
    source: r"",
    quotes: true,
};

/// The moments of the decisions in the order in which they stand.
pub(crate) fn check(case: &CaseSyntax, _: &Context<'_>, out: &mut Vec<Diagnostic>) {
    let steps = Steps::of(&case.operation);
    for pair in case.body.decisions.windows(2) {
        let (Some(one), Some(other)) = (steps.rank(&pair[0].at.value), steps.rank(&pair[1].at.value)) else {
            continue;
        };
        if other < one {
            out.push(
                Diagnostic::at(
                    &RULE,
                    pair[1].at.span,
                    "this decision comes earlier in the operation than the one that stands before it",
                )
                .also(pair[0].at.span, "the one before it")
                .mend("put the decisions in order, each with the narrative that leads up to it"),
            );
        }
    }
}
