//! The rules that speak while a file is parsed, one a file. Each file holds the rule's explanation and words its findings.

pub(crate) mod alias;
pub(crate) mod code_fence;
pub(crate) mod duplicate_field;
pub(crate) mod fence;
pub(crate) mod missing_field;
pub(crate) mod missing_unit;
pub(crate) mod odd_cue;
pub(crate) mod too_deep;
pub(crate) mod unknown_field;
pub(crate) mod unreadable_cue;
pub(crate) mod unreadable_value;
pub(crate) mod word_processor;
pub(crate) mod wrong_type;
pub(crate) mod yaml_syntax;

use crate::diag::Rule;

/// Every rule of this phase.
pub static RULES: &[&Rule] = &[
    &alias::RULE,
    &code_fence::RULE,
    &duplicate_field::RULE,
    &fence::RULE,
    &missing_field::RULE,
    &missing_unit::RULE,
    &odd_cue::RULE,
    &too_deep::RULE,
    &unknown_field::RULE,
    &unreadable_cue::RULE,
    &unreadable_value::RULE,
    &word_processor::RULE,
    &wrong_type::RULE,
    &yaml_syntax::RULE,
];
