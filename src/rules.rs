//! Every rule of every phase, by name: what `explain` prints.

use crate::check;
use crate::diag::Rule;
use crate::discover;
use crate::parse;

/// All rules in order of name.
pub fn all() -> Vec<&'static Rule> {
    let mut rules: Vec<&'static Rule> =
        [discover::RULES, parse::RULES, check::RULES].into_iter().flatten().copied().collect();
    rules.sort_by_key(|rule| rule.name);
    rules
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_rule_has_a_name_of_its_own_and_an_explanation() {
        let rules = all();
        for pair in rules.windows(2) {
            assert_ne!(pair[0].name, pair[1].name);
        }
        for rule in rules {
            assert!(!rule.what.is_empty() && !rule.why.is_empty(), "{}", rule.name);
            assert!(
                rule.name.bytes().all(|byte| byte.is_ascii_lowercase() || byte == b'-' || byte.is_ascii_digit()),
                "{}",
                rule.name
            );
        }
    }
}
