//! How words sound, roughly: consonants in classes, vowels left out. Two spellings of one sound meet; so do most mishearings.
//!
//! The idea of a key of consonant classes is that of Soundex (Russell, US patent 1,261,167, 1918); the classes here are our
//! own, by what recognisers of English confuse: voiced and voiceless, `c` and `s` before `e`, `i` and `y`, `ph` and `f`.

use crate::model::vocabulary::ConceptId;
use std::collections::BTreeMap;

/// Shortest key that is looked up with a sound missing: shorter ones meet by chance.
const SLACK_FROM: usize = 5;

/// Least likeness of spelling, 0 to 1: consonants alone meet by chance.
const SPELT: f64 = 0.55;

/// Terms by their key, and by their key with one sound left out.
#[derive(Debug, Default)]
pub(super) struct Index {
    whole: BTreeMap<String, Vec<(String, ConceptId)>>,
    slack: BTreeMap<String, Vec<(String, ConceptId)>>,
}

impl Index {
    /// Adds a term by its letters.
    pub(super) fn add(&mut self, letters: &str, id: ConceptId) {
        let key = key(letters);
        let entry = (letters.to_owned(), id);
        if key.len() >= SLACK_FROM {
            for less in without_one(&key) {
                push(&mut self.slack, less, entry.clone());
            }
        }
        push(&mut self.whole, key, entry);
    }

    /// Terms that sound like these letters, each with the likeness of sound and spelling from 0 to 1 and whether all its
    /// sounds are the same; the best come first.
    pub(super) fn like(&self, letters: &str) -> Vec<(f64, bool, ConceptId)> {
        let key = key(letters);
        let mut found: Vec<(f64, bool, ConceptId)> = Vec::new();
        let mut take = |entries: Option<&Vec<(String, ConceptId)>>, sound: f64| {
            for (term, id) in entries.into_iter().flatten() {
                let spelling = strsim::normalized_levenshtein(letters, term);
                if spelling < SPELT {
                    continue;
                }
                found.push(((sound + spelling) / 2.0, sound >= 1.0, *id));
            }
        };
        take(self.whole.get(&key), 1.0);
        if key.len() >= SLACK_FROM {
            let near = 1.0 - 1.0 / f64::from(u32::try_from(key.len()).unwrap_or(u32::MAX));
            take(self.slack.get(&key), near);
            for less in without_one(&key) {
                take(self.whole.get(&less), near);
                take(self.slack.get(&less), near * near);
            }
        }
        found.sort_by(|one, other| other.0.total_cmp(&one.0).then(one.2.cmp(&other.2)));
        let mut seen = std::collections::BTreeSet::new();
        found.retain(|(_, _, id)| seen.insert(*id));
        found
    }
}

fn push(map: &mut BTreeMap<String, Vec<(String, ConceptId)>>, key: String, entry: (String, ConceptId)) {
    let known = map.entry(key).or_default();
    if !known.contains(&entry) {
        known.push(entry);
    }
}

/// The key with each of its sounds left out in turn.
fn without_one(key: &str) -> Vec<String> {
    (0..key.len()).map(|at| [&key[..at], &key[at + 1..]].concat()).collect()
}

/// The key of some letters: `A` if they begin with a vowel, then a letter for each class of consonant, none twice in a row.
pub(super) fn key(letters: &str) -> String {
    let text: String = letters
        .chars()
        .filter(char::is_ascii_alphabetic)
        .map(|letter| letter.to_ascii_lowercase())
        .collect::<String>()
        .replace("sch", "x")
        .replace("tch", "x")
        .replace("ch", "x")
        .replace("sh", "x")
        .replace("ph", "f")
        .replace("gh", "")
        .replace("qu", "k")
        .replace("ck", "k")
        .replace("kn", "n")
        .replace("ps", "s")
        .replace('x', "ks");
    let letters: Vec<char> = text.chars().collect();
    let mut key = String::new();
    for (at, letter) in letters.iter().enumerate() {
        let soft = matches!(letters.get(at + 1), Some('e' | 'i' | 'y'));
        let class = match letter {
            'a' | 'e' | 'i' | 'o' | 'u' | 'y' if at == 0 => 'A',
            'b' | 'p' => 'P',
            'f' | 'v' => 'F',
            'c' if soft => 'S',
            'c' | 'k' | 'q' | 'g' => 'K',
            's' | 'z' | 'j' => 'S',
            'd' | 't' => 'T',
            'l' => 'L',
            'm' | 'n' => 'N',
            'r' => 'R',
            _ => continue,
        };
        if !key.ends_with(class) {
            key.push(class);
        }
    }
    key
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn mishearings_share_a_key() {
        for (term, heard) in [
            ("capsulorhexis", "capsularexis"),
            ("phacoemulsification", "fakeohmulsification"),
            ("utrataforceps", "youtrataforceps"),
            ("dispersive", "disperseif"),
            ("simcoe", "simco"),
            ("sulcus", "sulkus"),
            ("keratome", "keratom"),
        ] {
            assert_eq!(key(term), key(heard), "{term} {heard}");
        }
        assert_ne!(key("hydrodissection"), key("hydrodelineation"));
        assert_ne!(key("iris"), key("rexis"));
    }

    #[test]
    fn the_nearest_in_spelling_comes_first() {
        let mut index = Index::default();
        index.add("simcoe", ConceptId(1));
        index.add("hydrodissection", ConceptId(2));
        assert_eq!(index.like("simco").first().map(|(_, _, id)| *id), Some(ConceptId(1)));
        assert_eq!(index.like("hydrodisection").first().map(|(_, _, id)| *id), Some(ConceptId(2)));
        assert!(index.like("vectis").is_empty());
    }
}
