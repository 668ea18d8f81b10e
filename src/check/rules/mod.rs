//! The rules over parsed cases and the vocabulary, one a file: explanation, check and wording together.

pub(crate) mod ask_title;
pub(crate) mod broken_link;
pub(crate) mod calendar_date;
pub(crate) mod case_name;
pub(crate) mod consent;
pub(crate) mod consent_scope;
pub(crate) mod contradiction;
pub(crate) mod decision_options;
pub(crate) mod decision_order;
pub(crate) mod dose;
pub(crate) mod implausible;
pub(crate) mod incomplete_drug;
pub(crate) mod media_alt;
pub(crate) mod media_missing;
pub(crate) mod name_clash;
pub(crate) mod open_ending;
pub(crate) mod option_reason;
pub(crate) mod raw_html;
pub(crate) mod repeated_id;
pub(crate) mod shared_term;
pub(crate) mod stale_review;
pub(crate) mod telling_name;
pub(crate) mod time_order;
pub(crate) mod too_many;
pub(crate) mod unknown_step;
pub(crate) mod unknown_term;
pub(crate) mod vocabulary_cycle;
pub(crate) mod vocabulary_incomplete;
pub(crate) mod vocabulary_reference;
pub(crate) mod withdrawn;
pub(crate) mod withdrawn_link;
pub(crate) mod withheld_link;
pub(crate) mod wrong_kind;

use super::Context;
use crate::diag::{Diagnostic, Rule};
use crate::model::case::CaseSyntax;

/// Every rule of this phase.
pub static RULES: &[&Rule] = &[
    &ask_title::RULE,
    &broken_link::RULE,
    &calendar_date::RULE,
    &case_name::RULE,
    &consent::RULE,
    &consent_scope::RULE,
    &contradiction::RULE,
    &decision_options::RULE,
    &decision_order::RULE,
    &dose::RULE,
    &implausible::RULE,
    &implausible::UNUSUAL,
    &incomplete_drug::RULE,
    &media_alt::RULE,
    &media_missing::RULE,
    &name_clash::RULE,
    &open_ending::RULE,
    &option_reason::RULE,
    &raw_html::RULE,
    &repeated_id::RULE,
    &shared_term::RULE,
    &stale_review::RULE,
    &telling_name::RULE,
    &time_order::RULE,
    &too_many::RULE,
    &unknown_step::RULE,
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

/// The checks that look at one case at a time, in no order that matters.
pub(crate) const CASE_CHECKS: &[Check] = &[
    ask_title::check,
    broken_link::check,
    calendar_date::check,
    consent::check,
    consent_scope::check,
    contradiction::check,
    decision_options::check,
    decision_order::check,
    dose::check,
    implausible::check,
    incomplete_drug::check,
    media_alt::check,
    media_missing::check,
    open_ending::check,
    option_reason::check,
    raw_html::check,
    repeated_id::check,
    stale_review::check,
    telling_name::check,
    time_order::check,
    too_many::check,
    unknown_step::check,
    withdrawn::check,
    withdrawn_link::check,
    withheld_link::check,
];
