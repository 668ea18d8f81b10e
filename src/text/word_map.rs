//! A table by words that is read far more often than it is written.

use foldhash::fast::FixedState;
use std::collections::HashMap;

/// Most bytes of a word that is kept in the table itself.
const SHORT: usize = 15;

/// A table by words, of which nothing is read in its order. Nearly all words are short, and these are compared where they
/// stand: to follow a pointer for each word of each text takes longer than all else.
#[derive(Debug, Clone)]
pub struct WordMap<V> {
    short: HashMap<u128, V, FixedState>,
    long: HashMap<Box<str>, V, FixedState>,
}

impl<V> Default for WordMap<V> {
    fn default() -> Self {
        Self { short: HashMap::default(), long: HashMap::default() }
    }
}

impl<V> WordMap<V> {
    /// What stands for a word.
    pub fn get(&self, word: &str) -> Option<&V> {
        match packed(word) {
            Some(word) => self.short.get(&word),
            None => self.long.get(word),
        }
    }

    /// Puts something for a word, in the place of what stood there.
    pub fn insert(&mut self, word: &str, value: V) {
        match packed(word) {
            Some(word) => self.short.insert(word, value),
            None => self.long.insert(word.into(), value),
        };
    }

    /// How many words there are.
    pub fn len(&self) -> usize {
        self.short.len() + self.long.len()
    }

    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }
}

/// The bytes of a short word as one number, with their count, so that no two words give the same.
fn packed(word: &str) -> Option<u128> {
    let mut bytes = [0; 16];
    bytes.get_mut(..word.len()).filter(|_| word.len() <= SHORT)?.copy_from_slice(word.as_bytes());
    bytes[SHORT] = word.len() as u8;
    Some(u128::from_le_bytes(bytes))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_of_any_length_are_told_apart() {
        let words =
            ["", "a", "a\0", "iris", "irid", "capsulorhexis", "fifteen-letters", "sixteen-letters!", "œdème", "a"];
        let mut map = WordMap::default();
        for (at, word) in words.iter().enumerate() {
            map.insert(word, at);
        }
        assert_eq!(map.len(), words.len() - 1);
        for (at, word) in words.iter().enumerate().skip(2) {
            assert_eq!(map.get(word), Some(&at), "{word:?}");
        }
        assert_eq!(
            (map.get(""), map.get("a"), map.get("b"), map.get("another-long-word")),
            (Some(&0), Some(&9), None, None)
        );
    }
}
