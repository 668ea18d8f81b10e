//! Lists longer than any case needs.

use crate::check::Context;
use crate::diag::{Diagnostic, Rule, Severity};
use crate::model::case::CaseSyntax;
use crate::text::{Span, count};

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "too-many",
    severity: Severity::Error,
    what: r"A list of the case is longer than any operation needs.",
    why: r"A page with hundreds of decisions or ports is read by nobody, and each decision repeats what was known before it.",
    instead_of: r"a decision for every step",
    write: r"the two or three moments at which the case could have gone another way",
    source: r"common practice, no source",
    quotes: true,
};

/// The length of every list that a page repeats or draws. The limits are far above what real write-ups hold.
pub(crate) fn check(case: &CaseSyntax, _: &Context<'_>, out: &mut Vec<Diagnostic>) {
    let operation = &case.operation;
    let mut limit = |most: usize, noun: &str, spans: Vec<Span>| {
        if let Some(&first) = spans.get(most) {
            let held = format!("{} stand here; at most {most} are read", count(spans.len(), noun));
            out.push(Diagnostic::at(&RULE, first, held).mend("keep those that teach something"));
        }
    };
    limit(80, "finding", case.findings.iter().map(|it| it.is.span).collect());
    limit(80, "absent finding", case.absent.iter().map(|it| it.span).collect());
    limit(40, "visit", case.before.iter().map(|it| it.when.span).collect());
    limit(12, "operator", operation.operators.iter().map(|it| it.grade.span).collect());
    limit(12, "side port", operation.ports.iter().map(|it| it.at.span).collect());
    limit(24, "device", operation.devices.iter().map(|it| it.is.span).collect());
    limit(150, "step", operation.steps.iter().map(|it| it.id.span).collect());
    limit(40, "complication", case.complications.iter().map(|it| it.span).collect());
    limit(60, "outcome", case.outcomes.iter().map(|it| it.after.span).collect());
    limit(20, "later operation", case.later.iter().map(|it| it.after.span).collect());
    limit(40, "lesson", case.lessons.iter().map(|it| it.span).collect());
    limit(20, "contrast", case.contrast.iter().map(|it| it.case.span).collect());
    limit(60, "picture or film", case.media.iter().map(|it| it.file.span).collect());
    limit(12, "decision", case.body.decisions.iter().map(|it| it.id.span).collect());
    for decision in &case.body.decisions {
        limit(9, "option", decision.options.iter().map(|it| it.choice.span).collect());
    }
}
