//! Words whose stem Snowball gets wrong for the trade, from `data/word-forms.yaml`.

use std::collections::BTreeMap;
use std::sync::LazyLock;

/// The list as it is written: a term, a colon, and the forms that become it.
static LIST: &str = include_str!("../../data/word-forms.yaml");

/// Form → term, in order of the forms.
pub static FORMS: LazyLock<BTreeMap<&'static str, &'static str>> = LazyLock::new(|| {
    let lines = LIST.lines().filter(|line| !line.starts_with('#'));
    let pairs = lines.filter_map(|line| line.split_once(": "));
    pairs.flat_map(|(term, forms)| forms.trim_matches(['[', ']']).split(", ").map(move |form| (form, term))).collect()
});

/// The term of a word that has one of its own. The word is spelt the American way.
pub fn form_of(word: &str) -> Option<&'static str> {
    FORMS.get(word).copied()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::text::analyser::{american, stem};

    #[test]
    fn every_form_is_written_once_in_american_spelling_and_is_needed() {
        let written = LIST.lines().filter(|line| !line.starts_with('#')).flat_map(|line| line.split(", ")).count();
        assert_eq!(written, FORMS.len(), "a form stands twice");
        for (form, term) in FORMS.iter() {
            assert_eq!(american(form), *form, "the form is looked up after spelling");
            assert!(form.bytes().chain(term.bytes()).all(|letter| letter.is_ascii_lowercase()), "{form}: {term}");
            let same = FORMS.iter().filter(|(_, other)| *other == term).count();
            assert!(stem(form) != *term || same > 1, "{form} has the stem {term} without the list");
        }
    }
}
