//! Consent that does not reach as far as the audience.

use crate::check::Context;
use crate::diag::{Diagnostic, Rule, Severity};
use crate::model::case::CaseSyntax;
use crate::model::case::ConsentStatus;
use crate::model::site::Audience;

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "consent-too-narrow",
    severity: Severity::Error,
    what: r"The audience is wider than the consent: a case needs consent for teaching, a public case for publication; where none is required, the policy must be named.",
    why: r"Consent for the department is not consent for the world.",
    instead_of: r"audience: public
consent: {status: obtained, scope: teaching}",
    write: r"audience: public
consent: {status: obtained, scope: [teaching, publication]}",
    source: r"",
    quotes: true,
};

/// The scope of consent against the audience.
pub(crate) fn check(case: &CaseSyntax, _: &Context<'_>, out: &mut Vec<Diagnostic>) {
    let consent = &case.consent;
    let covers = |scope: &str| consent.scope.iter().any(|covered| covered.value == scope);
    match consent.status.value {
        ConsentStatus::Obtained => {
            let (needed, wide) = match case.audience.value {
                Audience::Public => ("publication", covers("publication")),
                Audience::Department => ("teaching", covers("teaching") || covers("publication")),
            };
            if !wide {
                out.push(
                    Diagnostic::at(
                        &RULE,
                        consent.status.span,
                        format!(
                            "the audience is `{}`, and consent does not cover {needed}",
                            case.audience.value.word()
                        ),
                    )
                    .mend(format!("add {needed} to `scope` if the patient agreed to it, or narrow the audience")),
                );
            }
        }
        ConsentStatus::NotRequired if consent.policy.is_none() => out.push(
            Diagnostic::at(&RULE, consent.status.span, "no policy says why consent is not required")
                .mend("add `policy: …` that names it"),
        ),
        ConsentStatus::NotRequired | ConsentStatus::Pending | ConsentStatus::Withdrawn => {}
    }
}
