//! The clearance: consent and audience decide which cases may become part of a corpus.

use crate::model::case::{CaseOf, ConsentStatus};
use crate::model::corpus::Clearance;
use crate::model::site::Audience;

/// The clearance itself; the only place that grants it.
pub(crate) fn grant() -> Clearance {
    Clearance::granted()
}

/// Whether a case may be read by this audience.
pub(crate) fn may_read<T>(case: &CaseOf<T>, audience: Audience) -> bool {
    let consented = match case.consent.status.value {
        ConsentStatus::Obtained | ConsentStatus::NotRequired => true,
        ConsentStatus::Pending | ConsentStatus::Withdrawn => false,
    };
    consented && (audience == Audience::Department || case.audience.value == Audience::Public)
}
