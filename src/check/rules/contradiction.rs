//! A finding both present and absent.

use crate::check::Context;
use crate::diag::{Diagnostic, Rule, Severity};
use crate::model::case::CaseSyntax;

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "present-and-absent",
    severity: Severity::Error,
    what: r"A finding stands under `findings` and under `absent`.",
    why: r"Indices treat the two differently; one of them is a slip.",
    instead_of: r"findings: [glaucoma]
absent: [glaucoma]",
    write: r"absent: [glaucoma]",
    source: r"",
    quotes: true,
};

/// Findings against absent findings.
pub(crate) fn check(case: &CaseSyntax, context: &Context<'_>, out: &mut Vec<Diagnostic>) {
    for absent in &case.absent {
        let ids = context.vocabulary.by_term(&absent.value);
        let present = case.findings.iter().find(|finding| {
            // A narrower finding that is present makes the wider one present too.
            context
                .vocabulary
                .by_term(&finding.is.value)
                .iter()
                .any(|&id| context.vocabulary.upwards(id).iter().any(|wider| ids.contains(wider)))
        });
        if let Some(finding) = present {
            out.push(
                Diagnostic::at(
                    &RULE,
                    absent.span,
                    format!("`{}` cannot be absent while `{}` is present", absent.value, finding.is.value),
                )
                .also(finding.is.span, "it is present here")
                .mend("keep one of the two"),
            );
        }
    }
}
