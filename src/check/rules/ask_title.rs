//! A case with decisions and no title that keeps them open.

use crate::check::Context;
use crate::diag::{Diagnostic, Rule, Severity};
use crate::model::case::CaseSyntax;

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "missing-ask-title",
    severity: Severity::Error,
    what: r"A case has decisions but no `ask_title`.",
    why: r"The title tells what happened; the page that asks needs one that gives nothing away.",
    instead_of: r"title: A plaque that would not let go",
    write: r"title: A plaque that would not let go
ask_title: A dense opacity at the back of the lens",
    source: r"",
    quotes: true,
};

/// Cases with decisions.
pub(crate) fn check(case: &CaseSyntax, _: &Context<'_>, out: &mut Vec<Diagnostic>) {
    if case.ask_title.is_none() && !case.body.decisions.is_empty() && !case.title.value.is_empty() {
        out.push(
            Diagnostic::at(
                &RULE,
                case.title.span,
                "this case has decisions and no title for readers who have not answered yet",
            )
            .mend("add `ask_title: …` that says what can be known before the first cut"),
        );
    }
}
