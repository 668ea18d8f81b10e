//! What may identify a person, one rule a file; the detectors are in [`crate::check::privacy`].
//!
//! A report names the rule and the place and never repeats the text.

pub(crate) mod age_over_89;
pub(crate) mod calendar_date;
pub(crate) mod device_number;
pub(crate) mod internal_address;
pub(crate) mod long_number;
pub(crate) mod lot_number;
pub(crate) mod mail_address;
pub(crate) mod month_and_year;
pub(crate) mod named_colleague;
pub(crate) mod national_number;
pub(crate) mod network_address;
pub(crate) mod personal_name;
pub(crate) mod place_of_residence;
pub(crate) mod possible_address;
pub(crate) mod possible_date;
pub(crate) mod possible_name;
pub(crate) mod possible_telephone_number;
pub(crate) mod postal_address;
pub(crate) mod record_number;
pub(crate) mod telephone_number;
pub(crate) mod unlisted_site;
pub(crate) mod user_path;

use crate::check::privacy::Class;
use crate::diag::Rule;

/// A rule about something that may identify a person.
pub(crate) struct Identifier {
    /// What the detector finds.
    pub(crate) class: Class,
    /// The rule that speaks of it.
    pub(crate) rule: &'static Rule,
    /// What it is, with an article.
    pub(crate) what: &'static str,
    /// How to mend it.
    pub(crate) mend: &'static str,
}

/// Every such rule.
pub(crate) static ALL: &[&Identifier] = &[
    &age_over_89::FOUND,
    &calendar_date::FOUND,
    &device_number::FOUND,
    &internal_address::FOUND,
    &long_number::FOUND,
    &lot_number::FOUND,
    &mail_address::FOUND,
    &month_and_year::FOUND,
    &named_colleague::FOUND,
    &national_number::FOUND,
    &network_address::FOUND,
    &personal_name::FOUND,
    &place_of_residence::FOUND,
    &possible_address::FOUND,
    &possible_date::FOUND,
    &possible_name::FOUND,
    &possible_telephone_number::FOUND,
    &postal_address::FOUND,
    &record_number::FOUND,
    &telephone_number::FOUND,
    &unlisted_site::FOUND,
    &user_path::FOUND,
];

/// The rule that speaks of this class.
pub(crate) fn of(class: Class) -> Option<&'static Identifier> {
    ALL.iter().find(|identifier| identifier.class == class).copied()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_rule_has_the_name_of_its_class_and_quotes_nothing() {
        for identifier in ALL {
            assert_eq!(identifier.rule.name, identifier.class.rule());
            assert!(!identifier.rule.quotes, "{}", identifier.rule.name);
        }
    }
}
