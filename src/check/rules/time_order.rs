//! Times that run backwards.

use crate::check::Context;
use crate::diag::{Diagnostic, Rule, Severity};
use crate::model::case::CaseSyntax;
use crate::model::case::{Arose, FollowUp};
use crate::model::measure::After;
use crate::model::moment::Steps;
use crate::text::Spanned;

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "times-out-of-order",
    severity: Severity::Error,
    what: r"Times of steps or of visits do not run forwards, or a complication was noticed or treated before it arose.",
    why: r"The strip of the operation and the course of acuity would be drawn wrong; usually one of the two times is a slip.",
    instead_of: r"outcomes: [{after: 6 weeks}, {after: 1 day}]",
    write: r"outcomes: [{after: 1 day}, {after: 6 weeks}]",
    source: r"",
    quotes: true,
};

/// Times of steps, visits and later operations.
pub(crate) fn check(case: &CaseSyntax, _: &Context<'_>, out: &mut Vec<Diagnostic>) {
    for (before, at) in backwards(case.operation.steps.iter().filter_map(|step| step.at.as_ref()), |at| *at) {
        out.push(
            Diagnostic::at(
                &RULE,
                at.span,
                format!("this step is at {}, before the step above at {}", at.value, before.value),
            )
            .also(before.span, "the step above")
            .mend("put the steps in order of time, or correct one of the two"),
        );
    }
    let steps = Steps::of(&case.operation);
    for complication in &case.complications {
        let Some(Arose::During(during)) = &complication.arose else { continue };
        let before =
            |step: &Spanned<String>| steps.step(&step.value).is_some_and(|rank| Some(rank) < steps.step(&during.value));
        if let Some(noticed) = complication.noticed.as_ref().filter(|step| before(step)) {
            out.push(
                Diagnostic::at(&RULE, noticed.span, "this complication was noticed before it arose")
                    .also(during.span, "it arose")
                    .mend("correct one of the two steps"),
            );
        }
        for step in complication.managed.iter().filter_map(|managed| managed.step.as_ref()).filter(|step| before(step))
        {
            out.push(
                Diagnostic::at(&RULE, step.span, "this was done before the complication arose")
                    .also(during.span, "it arose")
                    .mend("correct one of the two steps"),
            );
        }
    }
    afterwards(case.outcomes.iter().map(|outcome| &outcome.after), "visit", out);
    afterwards(case.later.iter().map(|later| &later.after), "later operation", out);
    if let Some(follow_up) = &case.follow_up
        && let FollowUp::LostAfter(lost) = &follow_up.value
        && let Some(seen) =
            case.outcomes.iter().map(|outcome| &outcome.after).find(|after| after.value.minutes() > lost.minutes())
    {
        out.push(
            Diagnostic::at(
                &RULE,
                follow_up.span,
                format!("the patient was lost after {lost}, and was seen {} after surgery", seen.value),
            )
            .also(seen.span, "the visit")
            .mend("correct one of the two"),
        );
    }
}

/// Each time that is earlier than the one before it, with that one.
fn backwards<'a, T: 'a, K: PartialOrd>(
    times: impl Iterator<Item = &'a Spanned<T>>,
    key: impl Fn(&T) -> K,
) -> impl Iterator<Item = (&'a Spanned<T>, &'a Spanned<T>)> {
    let mut last: Option<&Spanned<T>> = None;
    times.filter_map(move |time| {
        last.replace(time).filter(|before| key(&before.value) > key(&time.value)).map(|before| (before, time))
    })
}

fn afterwards<'a>(times: impl Iterator<Item = &'a Spanned<After>>, what: &str, out: &mut Vec<Diagnostic>) {
    for (before, after) in backwards(times, After::minutes) {
        out.push(
            Diagnostic::at(
                &RULE,
                after.span,
                format!("this {what} is after {}, and the one above after {}", after.value, before.value),
            )
            .also(before.span, "the one above")
            .mend("put them in order of time, or correct one of the two"),
        );
    }
}
