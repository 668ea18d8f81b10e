//! A concept that lacks what its kind needs.

use crate::diag::{Diagnostic, Rule, Severity};
use crate::model::vocabulary::{Concept, Kind};

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "incomplete-concept",
    severity: Severity::Error,
    what: r"A new concept has no label or no definition; a technique no level; a complication no severity, no phase, or neither a technique that answers it nor `refer`.",
    why: r"Its page would not answer what a resident asks.",
    instead_of: r"- {name: wound-burn, label: wound burn, definition: …}",
    write: r"- {name: wound-burn, label: wound burn, definition: …, severity: serious, phases: [during surgery]}",
    source: r"",
    quotes: true,
};

/// What a resolved concept lacks; `answered` says whether any technique answers it.
pub(crate) fn check(concept: &Concept, answered: bool, out: &mut Vec<Diagnostic>) {
    let mut lacking = Vec::new();
    if concept.label.value.is_empty() {
        lacking.push("label");
    }
    if concept.definition.value.is_empty() {
        lacking.push("definition");
    }
    match concept.kind {
        Kind::Technique if concept.level.is_none() => lacking.push("level"),
        Kind::Complication => {
            if concept.harm.is_none() {
                lacking.push("severity");
            }
            if concept.periods.is_empty() {
                lacking.push("phases");
            }
            if !answered && concept.refer.is_none() {
                lacking.push("refer");
            }
        }
        _ => {}
    }
    for field in lacking {
        out.push(
            Diagnostic::at(
                &RULE,
                concept.name.span,
                format!("the {} `{}` has no `{field}`", concept.kind.word(), concept.name.value),
            )
            .mend(match field {
                "refer" => {
                    "name it under `answers` of a technique, or say in `refer` to whom the patient goes".to_owned()
                }
                _ => format!("add `{field}: …`"),
            }),
        );
    }
}
