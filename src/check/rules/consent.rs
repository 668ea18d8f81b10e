//! Consent that does not stand.

use crate::check::Context;
use crate::diag::{Diagnostic, Rule, Severity};
use crate::model::case::CaseSyntax;
use crate::model::case::ConsentStatus;

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "consent-pending",
    severity: Severity::Error,
    what: r"Consent was asked for and is not there yet.",
    why: r"Nothing of a patient is published before the patient agreed.",
    instead_of: r"consent: {status: pending}",
    write: r"consent: {status: obtained, scope: teaching}",
    source: r"",
    quotes: true,
};

/// Consent that is pending.
pub(crate) fn check(case: &CaseSyntax, _: &Context<'_>, out: &mut Vec<Diagnostic>) {
    if case.consent.status.value == ConsentStatus::Pending && case.consent.status.span != case.span {
        out.push(
            Diagnostic::at(&RULE, case.consent.status.span, "consent is pending, so the case cannot be published")
                .mend("wait for it; meanwhile `--leave-out-faulty` publishes the other cases"),
        );
    }
}
