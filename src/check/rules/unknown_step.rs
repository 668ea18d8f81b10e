//! A reference to a step that does not exist.

use crate::check::Context;
use crate::diag::{Diagnostic, Rule, Severity};
use crate::model::case::CaseSyntax;
use crate::model::case::{Arose, Moment};
use crate::text::{Span, list, nearest};
use std::collections::BTreeSet;

/// Most steps that a finding lists; an operation has fewer.
const LISTED: usize = 60;

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "unknown-step",
    severity: Severity::Error,
    what: r"A field names a step that the operation does not have.",
    why: r"The complication, takeover or decision could not be put in its place.",
    instead_of: r"complications: [{is: …, during: s9}]",
    write: r"complications: [{is: …, during: s4}]",
    source: r"",
    quotes: true,
};

/// Every field that names a step.
pub(crate) fn check(case: &CaseSyntax, _: &Context<'_>, out: &mut Vec<Diagnostic>) {
    let steps: Vec<&str> =
        case.operation.steps.iter().map(|step| step.id.value.as_str()).filter(|id| !id.is_empty()).collect();
    let mut named: Vec<(&str, Span)> = Vec::new();
    let operation = &case.operation;
    named.extend(
        operation
            .operators
            .iter()
            .filter_map(|operator| operator.from.as_ref())
            .map(|step| (step.value.as_str(), step.span)),
    );
    named.extend(
        operation
            .incision
            .iter()
            .filter_map(|incision| incision.step.as_ref())
            .chain(operation.ports.iter().filter_map(|port| port.step.as_ref()))
            .map(|step| (step.value.as_str(), step.span)),
    );
    named.extend(
        operation.devices.iter().filter_map(|device| device.step.as_ref()).map(|step| (step.value.as_str(), step.span)),
    );
    named.extend(
        operation.converted.iter().filter(|it| !it.at.value.is_empty()).map(|it| (it.at.value.as_str(), it.at.span)),
    );
    named.extend(case.media.iter().filter_map(|media| media.at.as_ref()).map(|step| (step.value.as_str(), step.span)));
    for complication in &case.complications {
        if let Some(Arose::During(step)) = &complication.arose {
            named.push((&step.value, step.span));
        }
        named.extend(complication.noticed.iter().map(|step| (step.value.as_str(), step.span)));
        named.extend(
            complication.managed.iter().filter_map(|it| it.step.as_ref()).map(|step| (step.value.as_str(), step.span)),
        );
    }
    for decision in &case.body.decisions {
        if let Moment::Step(step) = &decision.at.value {
            named.push((step, decision.at.span));
        }
    }
    let known: BTreeSet<&str> = steps.iter().copied().collect();
    let few = &steps[..steps.len().min(LISTED)];
    for (step, span) in named {
        if known.contains(step) {
            continue;
        }
        let diagnostic = Diagnostic::at(&RULE, span, format!("the operation has no step `{step}`"));
        // Short names such as s4 are all near to one another.
        let near = if step.len() > 3 { nearest(step, few.iter().copied()) } else { None };
        out.push(match near {
            Some(near) => diagnostic.mend(format!("write `{near}`")),
            None if steps.is_empty() => diagnostic.mend("give the operation steps with an `id` each"),
            None if few.len() < steps.len() => {
                diagnostic.mend(format!("its steps are {} and {} more", few.join(", "), steps.len() - few.len()))
            }
            None => diagnostic.mend(format!("its steps are {}", list(&steps, "and"))),
        });
    }
}
