//! A finding both present and absent.

use crate::check::Context;
use crate::diag::{Diagnostic, Rule, Severity};
use crate::model::case::CaseSyntax;
use crate::model::vocabulary::ConceptId;
use std::collections::{BTreeMap, BTreeSet};

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
    // The first finding that makes a concept present; a narrower finding makes the wider ones present too.
    let mut first: BTreeMap<ConceptId, usize> = BTreeMap::new();
    let mut seen: BTreeSet<ConceptId> = BTreeSet::new();
    for (at, finding) in case.findings.iter().enumerate() {
        for &id in context.vocabulary.by_term(&finding.is.value) {
            if seen.insert(id) {
                for &wider in context.vocabulary.upwards(id) {
                    first.entry(wider).or_insert(at);
                }
            }
        }
    }
    for absent in &case.absent {
        let ids = context.vocabulary.by_term(&absent.value);
        let present = ids.iter().filter_map(|id| first.get(id)).min().map(|&at| &case.findings[at]);
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
