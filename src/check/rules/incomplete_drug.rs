//! A drug without strength or dose.

use crate::check::Context;
use crate::diag::{Diagnostic, Rule, Severity};
use crate::model::case::CaseSyntax;

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "incomplete-drug",
    severity: Severity::Error,
    what: r"A drug has no strength, or no dose, where its route needs them.",
    why: r"A learner may copy it. Drops need a strength; tablets and injections into a vein a dose; all others both.",
    instead_of: r"gives: [{substance: cefuroxime, route: intracameral}]",
    write: r"gives: [{substance: cefuroxime, strength: 10 mg/mL, dose: 0.1 mL, route: intracameral}]",
    source: r"common practice, no source",
    quotes: true,
};

/// Every drug of a case.
pub(crate) fn check(case: &CaseSyntax, _: &Context<'_>, out: &mut Vec<Diagnostic>) {
    for drug in case.drugs() {
        let (strength, dose) = match drug.route.value.as_str() {
            "" => continue,
            "topical" => (true, false),
            "oral" | "intravenous" | "intramuscular" => (false, true),
            _ => (true, true),
        };
        let mut lacking = Vec::new();
        if strength && drug.strength.is_none() {
            lacking.push("strength");
        }
        if dose && drug.dose.is_none() {
            lacking.push("dose");
        }
        if !lacking.is_empty() {
            out.push(
                Diagnostic::at(
                    &RULE,
                    drug.substance.span,
                    format!(
                        "`{}` by the {} route has no {}",
                        drug.substance.value,
                        drug.route.value,
                        lacking.join(" and no ")
                    ),
                )
                .mend(format!("add `{}: …`", lacking.join(": …` and `"))),
            );
        }
    }
}
