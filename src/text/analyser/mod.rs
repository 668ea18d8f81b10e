//! The analyser: text becomes the terms that the search compares.
//!
//! The page's script does the same (`themes/scripts/search-words.js`); shared vectors hold the two together. In order:
//! letters without marks in lower case, numbers kept whole, stop words left out, one spelling for British and American
//! words, then Snowball's English stem, unless the word has a form of its own in `data/word-forms.yaml`.

mod forms;
mod spelling;
mod stop;
mod tokens;

pub use forms::{FORMS, form_of};
pub use spelling::american;
pub use stop::{STOP_WORDS, is_stop_word};
pub use tokens::{Token, query_tokens, tokens};

use frostem::{Algorithm, Stemmer};

/// Longest word, in letters; longer runs of letters are no words.
const LONGEST: usize = 40;

/// The term under which a word is found; none for a stop word and for what is no word. The word is a token: lower case, without marks.
pub fn term(word: &str) -> Option<String> {
    term_of(word, &american(word))
}

/// The same for a word of which the American spelling is at hand.
pub fn term_of(word: &str, spelt: &str) -> Option<String> {
    if is_stop_word(word) || word.chars().count() > LONGEST {
        return None;
    }
    Some(match form_of(spelt) {
        Some(form) => form.to_owned(),
        None => stem(spelt),
    })
}

/// Snowball's English stem (Porter 2 as of Snowball 3) of a word in lower case.
pub fn stem(word: &str) -> String {
    Stemmer::new(Algorithm::English).stem(word).into_owned()
}

/// The terms of a text in order, stop words left out.
pub fn terms(text: &str) -> Vec<String> {
    query_tokens(text).iter().filter_map(|word| term(word)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_that_mean_one_thing_meet() {
        for (one, other) in [
            ("haemorrhage", "hemorrhages"),
            ("oedema", "edematous"),
            ("lens", "lenses"),
            ("iris", "irides"),
            ("nuclei", "nuclear"),
            ("capsule", "capsular"),
            ("Décentré".to_lowercase().as_str(), "decentre"),
            ("phacoemulsification", "phacoemulsified"),
            ("synechiae", "synechia"),
            ("centred", "centering"),
            ("leucocoria", "leukocoria"),
            ("pupils", "pupillary"),
        ] {
            assert_eq!(terms(one), terms(other), "{one} / {other}");
        }
    }

    #[test]
    fn words_that_mean_two_things_stay_apart() {
        for (one, other) in [
            ("positive", "position"),
            ("several", "severe"),
            ("lateral", "later"),
            ("internal", "interns"),
            ("decentred", "decent"),
            ("poet", "pet"),
            ("10-0", "9-0"),
            ("organ", "organism"),
        ] {
            assert_ne!(terms(one), terms(other), "{one} / {other}");
        }
    }

    #[test]
    fn stop_words_are_left_out_and_numbers_are_kept_whole() {
        assert_eq!(
            terms("Loss of the vitreous at 6/24 with a 10-0 suture"),
            ["loss", "vitreous", "6/24", "10-0", "sutur"]
        );
        assert!(terms("to be or not to be").is_empty());
    }
}
