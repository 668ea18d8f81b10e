//! Tables by words that are read far more often than they are written.

use foldhash::fast::FixedState;
use std::collections::HashMap;
use std::hash::BuildHasher;
use std::sync::{Mutex, PoisonError};

/// A table of which nothing is read in its own order. What it holds comes from the library alone, so a quick hash will do.
pub type Map<K, V> = HashMap<K, V, FixedState>;

/// Most bytes of a word that is kept in the table itself.
const SHORT: usize = 15;

/// A table by words, of which nothing is read in its order. Nearly all words are short, and these are compared where they
/// stand: to follow a pointer for each word of each text takes longer than all else.
#[derive(Debug, Clone)]
pub struct WordMap<V> {
    short: Map<u128, V>,
    long: Map<Box<str>, V>,
}

impl<V> Default for WordMap<V> {
    fn default() -> Self {
        Self { short: Map::default(), long: Map::default() }
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

/// What was found out about words, for all threads together: cases say the same words over and over, so that finding it out
/// anew for each took longer than what it is needed for.
#[derive(Debug)]
pub struct KnownWords<V> {
    /// In parts, so that threads seldom wait for each other.
    parts: Vec<Mutex<WordMap<V>>>,
}

/// In how many parts, as a power of two.
const PARTS: u32 = 6;
/// How many words a part may hold: more than a hundred thousand in all are those of a large library and its slips.
const HELD: usize = 2048;

impl<V> Default for KnownWords<V> {
    fn default() -> Self {
        Self { parts: (0..1 << PARTS).map(|_| Mutex::default()).collect() }
    }
}

impl<V: Clone> KnownWords<V> {
    /// What is known of a word; found out if nothing is.
    pub fn of(&self, word: &str, find_out: impl FnOnce() -> V) -> V {
        let part = FixedState::default().hash_one(word) >> (u64::BITS - PARTS);
        let mut known = self.parts[part as usize].lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(value) = known.get(word) {
            return value.clone();
        }
        let value = find_out();
        if known.len() < HELD {
            known.insert(word, value.clone());
        }
        value
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
    fn what_is_known_is_not_found_out_again_while_there_is_room() {
        let known = KnownWords::default();
        assert_eq!((known.of("iris", || 1), known.of("iris", || 2), known.of("irid", || 3)), (1, 1, 3));
        for number in 0..(4 * HELD) << PARTS {
            known.of(&number.to_string(), || number);
        }
        assert!(known.parts.iter().all(|part| part.lock().expect("nobody panicked").len() == HELD));
        assert_eq!(known.of("a word behind the last", || 7), 7);
    }

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
