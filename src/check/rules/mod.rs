//! The rules over parsed cases and the vocabulary, one a file: explanation, check and wording together.

pub(crate) mod ask_title;
pub(crate) mod awkward_film;
pub(crate) mod broken_link;
pub(crate) mod case_name;
pub(crate) mod consent;
pub(crate) mod consent_scope;
pub(crate) mod contradiction;
pub(crate) mod decision_options;
pub(crate) mod decision_order;
pub(crate) mod dose;
pub(crate) mod identifier;
pub(crate) mod idle_waiver;
pub(crate) mod implausible;
pub(crate) mod incomplete_drug;
pub(crate) mod media_alt;
pub(crate) mod media_metadata;
pub(crate) mod media_missing;
pub(crate) mod missing_captions;
pub(crate) mod name_clash;
pub(crate) mod open_ending;
pub(crate) mod option_reason;
pub(crate) mod overfull_session;
pub(crate) mod raw_html;
pub(crate) mod repeated_id;
pub(crate) mod shared_term;
pub(crate) mod stale_review;
pub(crate) mod telling_name;
pub(crate) mod time_order;
pub(crate) mod too_many;
pub(crate) mod unattested_media;
pub(crate) mod unknown_step;
pub(crate) mod unknown_term;
pub(crate) mod unreviewed;
pub(crate) mod unreviewed_draft;
pub(crate) mod unsound_model;
pub(crate) mod unsuitable_media;
pub(crate) mod vocabulary_cycle;
pub(crate) mod vocabulary_incomplete;
pub(crate) mod vocabulary_reference;
pub(crate) mod withdrawn;
pub(crate) mod withdrawn_link;
pub(crate) mod withheld_link;
pub(crate) mod wrong_kind;

use super::{Context, Others, Ties};
use crate::diag::{Diagnostic, Rule};
use crate::model::case::CaseSyntax;

/// Every rule of this phase.
pub static RULES: &[&Rule] = &[
    &ask_title::RULE,
    &awkward_film::RULE,
    &broken_link::RULE,
    &case_name::RULE,
    &consent::RULE,
    &consent_scope::RULE,
    &contradiction::RULE,
    &decision_options::RULE,
    &decision_order::RULE,
    &dose::RULE,
    &identifier::age_over_89::RULE,
    &identifier::calendar_date::RULE,
    &identifier::device_number::RULE,
    &identifier::internal_address::RULE,
    &identifier::long_number::RULE,
    &identifier::lot_number::RULE,
    &identifier::mail_address::RULE,
    &identifier::month_and_year::RULE,
    &identifier::named_colleague::RULE,
    &identifier::national_number::RULE,
    &identifier::network_address::RULE,
    &identifier::personal_name::RULE,
    &identifier::place_of_residence::RULE,
    &identifier::possible_address::RULE,
    &identifier::possible_date::RULE,
    &identifier::possible_name::RULE,
    &identifier::possible_telephone_number::RULE,
    &identifier::postal_address::RULE,
    &identifier::record_number::RULE,
    &identifier::telephone_number::RULE,
    &identifier::unlisted_site::RULE,
    &identifier::user_path::RULE,
    &idle_waiver::RULE,
    &implausible::RULE,
    &implausible::UNUSUAL,
    &incomplete_drug::RULE,
    &media_alt::RULE,
    &media_metadata::RULE,
    &media_missing::RULE,
    &missing_captions::RULE,
    &name_clash::RULE,
    &open_ending::RULE,
    &option_reason::RULE,
    &overfull_session::RULE,
    &raw_html::RULE,
    &repeated_id::RULE,
    &shared_term::RULE,
    &stale_review::RULE,
    &telling_name::RULE,
    &time_order::RULE,
    &too_many::RULE,
    &unattested_media::RULE,
    &unknown_step::RULE,
    &unreviewed::RULE,
    &unsound_model::RULE,
    &unreviewed_draft::RULE,
    &unsuitable_media::RULE,
    &unknown_term::RULE,
    &vocabulary_cycle::RULE,
    &vocabulary_incomplete::RULE,
    &vocabulary_reference::RULE,
    &withdrawn::RULE,
    &withdrawn_link::RULE,
    &withheld_link::RULE,
    &wrong_kind::RULE,
];

/// A check of one case.
type Check = fn(&CaseSyntax, &Context<'_>, &mut Vec<Diagnostic>);

/// A check of what ties a case to others.
type LinkCheck = fn(&Ties, &Others, &mut Vec<Diagnostic>);

/// The checks that need to know of all cases, in no order that matters.
pub(crate) const LINK_CHECKS: &[LinkCheck] = &[broken_link::ties, withdrawn_link::check, withheld_link::check];

/// The checks that look at one case at a time, in no order that matters.
pub(crate) const CASE_CHECKS: &[Check] = &[
    ask_title::check,
    awkward_film::check,
    broken_link::check,
    consent::check,
    consent_scope::check,
    contradiction::check,
    decision_options::check,
    decision_order::check,
    dose::check,
    implausible::check,
    incomplete_drug::check,
    media_alt::check,
    media_metadata::check,
    media_missing::check,
    missing_captions::check,
    open_ending::check,
    option_reason::check,
    raw_html::check,
    repeated_id::check,
    stale_review::check,
    telling_name::check,
    time_order::check,
    too_many::check,
    unattested_media::check,
    unknown_step::check,
    unreviewed::check,
    unreviewed_draft::check,
    unsuitable_media::check,
    withdrawn::check,
];
