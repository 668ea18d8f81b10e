//! Two steps or decisions of one name.

use crate::check::Context;
use crate::diag::{Diagnostic, Rule, Severity};
use crate::model::case::CaseSyntax;
use crate::text::Spanned;

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "repeated-id",
    severity: Severity::Error,
    what: r"Two steps, or two decisions, of one case have the same `id`.",
    why: r"A reference could mean either.",
    instead_of: r"steps: [{id: s1, …}, {id: s1, …}]",
    write: r"steps: [{id: s1, …}, {id: s2, …}]",
    source: r"",
    quotes: true,
};

/// Ids of steps and of decisions.
pub(crate) fn check(case: &CaseSyntax, _: &Context<'_>, out: &mut Vec<Diagnostic>) {
    repeats(case.operation.steps.iter().map(|step| &step.id), "step", out);
    repeats(case.body.decisions.iter().map(|decision| &decision.id), "decision", out);
}

fn repeats<'a>(ids: impl Iterator<Item = &'a Spanned<String>>, what: &str, out: &mut Vec<Diagnostic>) {
    let mut seen: std::collections::BTreeMap<&str, &Spanned<String>> = std::collections::BTreeMap::new();
    for id in ids.filter(|id| !id.value.is_empty()) {
        match seen.get(id.value.as_str()) {
            Some(first) => out.push(
                Diagnostic::at(&RULE, id.span, format!("a second {what} is called `{}`", id.value))
                    .also(first.span, "the first stands at")
                    .mend("give it a name of its own"),
            ),
            None => {
                seen.insert(&id.value, id);
            }
        }
    }
}
