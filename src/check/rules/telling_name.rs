//! A name or asking title that gives the answer away.

use crate::check::Context;
use crate::diag::{Diagnostic, Rule, Severity};
use crate::model::case::CaseSyntax;
use crate::model::vocabulary::Kind;
use crate::text::fold_term;

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "telling-name",
    severity: Severity::Warning,
    what: r"The `ask_title` or the file name of a case with decisions names a complication of that case.",
    why: r"The name stands in the address and the title stands above the question: the reader knows before deciding.",
    instead_of: r"ask_title: A ruptured capsule",
    write: r"ask_title: A dense opacity at the back of the lens",
    source: r"",
    quotes: true,
};

/// The asking title and the name of cases with decisions.
pub(crate) fn check(case: &CaseSyntax, context: &Context<'_>, out: &mut Vec<Diagnostic>) {
    if case.body.decisions.is_empty() {
        return;
    }
    let padded = |text: &str| format!(" {} ", fold_term(text));
    let (name, title) = (padded(&case.name), case.ask_title.as_ref().map(|title| (padded(&title.value), title.span)));
    for complication in &case.complications {
        for &id in context.vocabulary.by_term(&complication.is.value) {
            let concept = context.vocabulary.get(id);
            if concept.kind != Kind::Complication {
                continue;
            }
            let told = |text: &str| concept.terms().any(|term| text.contains(&padded(term)));
            if let Some((text, span)) = &title
                && told(text)
            {
                out.push(
                    Diagnostic::at(
                        &RULE,
                        *span,
                        format!("this title tells of the {} before the reader has decided", concept.label.value),
                    )
                    .mend("say only what can be known before the first cut"),
                );
            }
            if told(&name) {
                out.push(
                    Diagnostic::at(
                        &RULE,
                        complication.is.span,
                        format!("the file's name `{}` tells of this complication", case.name),
                    )
                    .mend("rename the file to something that gives nothing away"),
                );
            }
        }
    }
}
