//! A case whose consent was withdrawn.

use crate::check::Context;
use crate::diag::{Diagnostic, Rule, Severity};
use crate::model::case::CaseSyntax;
use crate::model::case::ConsentStatus;

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "consent-withdrawn",
    severity: Severity::Warning,
    what: r"The patient took consent back.",
    why: r"The case is left out and removed from the site at the next compile. Copies elsewhere must be deleted by hand.",
    instead_of: r"consent: {status: withdrawn}",
    write: r"Keep the file with this status, or delete it.",
    source: r"",
    quotes: true,
};

/// Consent that was withdrawn.
pub(crate) fn check(case: &CaseSyntax, _: &Context<'_>, out: &mut Vec<Diagnostic>) {
    if case.consent.status.value == ConsentStatus::Withdrawn {
        out.push(
            Diagnostic::at(&RULE, case.consent.status.span, "consent was withdrawn: the case is left out")
                .mend("compile, and delete what it then lists wherever the site was copied to; pages that stay change as well, so put the whole new site in the place of every copy")
                .mend("then empty the file but for this line between its fences: the name stays taken, and nothing of the patient is kept"),
        );
    }
}
