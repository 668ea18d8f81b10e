//! How each kind of part is written. `themes/scripts/search-engine.js` reads it.

use super::{BLOCK, CARDS, INLINE, SHARD};
use crate::model::search::codec::number;
use crate::model::search::{Entry, SearchIndex, Spelling};
use crate::render::views::typeset;

const DIGITS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";

/// Bytes as base64 (RFC 4648, section 4): letters that every character set has, whatever a server says of a script.
pub(super) fn base64(bytes: &[u8]) -> String {
    let mut out = String::with_capacity(bytes.len() * 4 / 3 + 4);
    for three in bytes.chunks(3) {
        let byte = |at: usize| u32::from(three.get(at).copied().unwrap_or(0));
        let bits = byte(0) << 16 | byte(1) << 8 | byte(2);
        for at in 0..4 {
            let digit = char::from(DIGITS[(bits >> (18 - 6 * at) & 63) as usize]);
            out.push(if at <= three.len() { digit } else { '=' });
        }
    }
    out
}

/// Text as a template literal of JavaScript: tabs and line breaks stay as they are.
pub(super) fn literal(text: &str) -> String {
    format!("`{}`", text.replace('\\', "\\\\").replace('`', "\\`").replace("${", "\\${").replace('\r', ""))
}

/// A number in digits of five bits, low ones first; the sixth says that more follow.
fn digits(mut value: u32, out: &mut String) {
    loop {
        let more = if value >= 32 { 32 } else { 0 };
        out.push(char::from(DIGITS[(value & 31 | more) as usize]));
        value >>= 5;
        if more == 0 {
            return;
        }
    }
}

/// Words in order, each as what it does not share with the one before.
#[derive(Default)]
struct Front {
    bytes: Vec<u8>,
    last: Vec<u8>,
}

impl Front {
    /// One byte for the letters shared (at most 15) and the letters that follow (15: more, as the next number tells).
    fn push(&mut self, word: &str) {
        let shared = self.last.iter().zip(word.as_bytes()).take_while(|(one, other)| one == other).count().min(15);
        let rest = &word.as_bytes()[shared..];
        self.bytes.push((shared << 4 | rest.len().min(15)) as u8);
        if rest.len() >= 15 {
            number(rest.len() as u32 - 15, &mut self.bytes);
        }
        self.bytes.extend(rest);
        self.last = word.as_bytes().to_vec();
    }
}

/// As much of a term as tells it from the one before it, which is lower: enough to know the shard of either.
fn beginning(before: &str, term: &str) -> String {
    let shared = before.bytes().zip(term.bytes()).take_while(|(one, other)| one == other).count();
    let end = (shared + 1..term.len()).find(|&at| term.is_char_boundary(at)).unwrap_or(term.len());
    term[..end].to_owned()
}

/// Shards of the dictionary and blocks of lists by key, and how the first term of each shard begins.
///
/// A term is followed by its number of documents, then by twice the length of its list, and one more if the list itself
/// follows. The other lists of a shard are put into blocks in order; a new block begins where a list would make one too long.
pub(super) fn dictionary(entries: &[Entry]) -> (Vec<(String, Vec<u8>)>, Vec<String>) {
    let (mut parts, mut firsts): (Vec<(String, Vec<u8>)>, Vec<String>) = (Vec::new(), Vec::new());
    let (mut front, mut apart, mut last) = (Front::default(), Vec::new(), "");
    for entry in entries {
        if front.bytes.len() >= SHARD {
            close(firsts.len() - 1, &mut front, &mut apart, &mut parts);
        }
        if front.bytes.is_empty() {
            firsts.push(beginning(last, &entry.term));
        }
        last = &entry.term;
        front.push(&entry.term);
        number(entry.documents, &mut front.bytes);
        let inline = entry.list.len() <= INLINE;
        number((entry.list.len() as u32) << 1 | u32::from(inline), &mut front.bytes);
        if inline {
            front.bytes.extend(&entry.list);
        } else {
            apart.push(entry);
        }
    }
    if !front.bytes.is_empty() {
        close(firsts.len() - 1, &mut front, &mut apart, &mut parts);
    }
    (parts, firsts)
}

/// Ends a shard of the dictionary, and lays out the lists that do not stand in it.
fn close(shard: usize, front: &mut Front, apart: &mut Vec<&Entry>, parts: &mut Vec<(String, Vec<u8>)>) {
    parts.push((format!("d/{shard}"), std::mem::take(front).bytes));
    let (mut block, mut number) = (Vec::new(), 0);
    for entry in apart.drain(..) {
        if !block.is_empty() && block.len() + entry.list.len() > BLOCK {
            parts.push((format!("p/{shard}-{number}"), std::mem::take(&mut block)));
            number += 1;
        }
        block.extend(&entry.list);
    }
    if !block.is_empty() {
        parts.push((format!("p/{shard}-{number}"), block));
    }
}

/// Bits that tell, but for a few, which words begin a call: each sets three, which [`marks`] gives. As base64.
pub(super) fn sieve<'k>(keys: impl Iterator<Item = &'k str>) -> String {
    let first: std::collections::BTreeSet<&str> = keys.filter_map(|key| key.split(' ').next()).collect();
    // Eight bits for each word let about one in thirty of the others through.
    let mut bytes = vec![0u8; first.len() + 1];
    for word in first {
        for mark in marks(word) {
            let bit = mark as usize % (bytes.len() * 8);
            bytes[bit / 8] |= 1 << (bit % 8);
        }
    }
    base64(&bytes)
}

/// Three numbers that hang on a word: FNV-1a (Fowler, Noll and Vo) of its UTF-16 units, begun in three ways.
fn marks(word: &str) -> [u32; 3] {
    [0, 1, 2].map(|way| {
        word.encode_utf16()
            .fold(0x811c_9dc5 ^ way, |hash: u32, unit| (hash ^ u32::from(unit)).wrapping_mul(0x0100_0193))
    })
}

/// Words by their first letter, each with how often it is, and the letters there are.
pub(super) fn letters(spellings: &[Spelling]) -> (Vec<(String, Vec<u8>)>, String) {
    let (mut parts, mut letters) = (Vec::new(), String::new());
    for of_letter in spellings.chunk_by(|one, other| one.word.as_bytes()[0] == other.word.as_bytes()[0]) {
        let mut front = Front::default();
        for spelling in of_letter {
            front.push(&spelling.word);
            front.bytes.push(spelling.often);
        }
        let letter = char::from(of_letter[0].word.as_bytes()[0]);
        letters.push(letter);
        parts.push((format!("l/{letter}"), front.bytes));
    }
    (parts, letters)
}

/// Lines in order of their keys, cut into shards of about so many bytes, and how the first key of each begins.
pub(super) fn shards(lines: impl Iterator<Item = (String, String)>, size: usize) -> (Vec<String>, Vec<String>) {
    let (mut shards, mut firsts): (Vec<String>, Vec<String>) = (Vec::new(), Vec::new());
    let mut last = String::new();
    for (key, line) in lines {
        match shards.last_mut().filter(|shard| shard.len() < size) {
            Some(shard) => {
                shard.push('\n');
                shard.push_str(&line);
            }
            None => {
                firsts.push(beginning(&last, &key));
                shards.push(line);
            }
        }
        last = key;
    }
    (shards, firsts)
}

/// Lists one after another, each after its length.
pub(super) fn lists<'l>(lists: impl Iterator<Item = &'l [u8]>) -> Vec<u8> {
    let mut out = Vec::new();
    for list in lists {
        number(list.len() as u32, &mut out);
        out.extend(list);
    }
    out
}

/// Cards, a line each: name (`?` after it: with decisions), titles, lessons, values stated, neighbours. Lessons are parted by a sign that no text has.
pub(super) fn cards(index: &SearchIndex) -> impl Iterator<Item = String> {
    index.cards.chunks(CARDS).enumerate().map(|(part, cards)| {
        let lines = cards.iter().enumerate().map(|(at, card)| {
            let plain = |text: &str| typeset(text).replace(['\t', '\n', '\u{b6}'], " ");
            let lessons: Vec<String> = card.lessons.iter().map(|lesson| plain(lesson)).collect();
            let mut stated = String::new();
            let mut last = 0;
            for &value in &card.stated {
                digits(value - last, &mut stated);
                last = value;
            }
            let mut near = index.near.get(part * CARDS + at).cloned().unwrap_or_default();
            near.sort_unstable();
            let (mut neighbours, mut last) = (String::new(), 0);
            for (document, likeness) in near {
                digits(document - last, &mut neighbours);
                digits(u32::from(likeness), &mut neighbours);
                last = document;
            }
            let (title, ask_title) = (plain(&card.title), plain(&card.ask_title));
            let name = if card.asks { format!("{}?", card.name) } else { card.name.clone() };
            [&*name, &title, &ask_title, &lessons.join("\u{b6}"), &stated, &neighbours].join("\t")
        });
        lines.collect::<Vec<_>>().join("\n")
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn base64_is_that_of_the_standard() {
        // Source: RFC 4648, section 10.
        for (plain, coded) in [("", ""), ("f", "Zg=="), ("fo", "Zm8="), ("foo", "Zm9v"), ("foobar", "Zm9vYmFy")] {
            assert_eq!(base64(plain.as_bytes()), coded);
        }
    }

    #[test]
    fn as_much_of_a_term_as_tells_it_from_the_one_before() {
        for (before, term, begins) in [
            ("", "iris", "i"),
            ("iridectomi", "iris", "iris"),
            ("iris", "irish", "irish"),
            ("caf", "caf\u{e9}s", "caf\u{e9}"),
        ] {
            let told = beginning(before, term);
            assert_eq!(told, begins);
            assert!(before < &*told && &*told <= term);
        }
    }

    #[test]
    fn a_word_is_hashed_as_its_inventors_hash_it() {
        // Source: the published vectors of FNV-1a with 32 bits by Fowler, Noll and Vo, from memory.
        for (word, hash) in [("", 0x811c_9dc5), ("a", 0xe40c_292c), ("foobar", 0xbf9c_f968)] {
            assert_eq!(marks(word)[0], hash);
        }
    }

    #[test]
    fn nothing_in_a_text_can_end_the_literal() {
        assert_eq!(literal("a `b` ${c} \\ d"), "`a \\`b\\` \\${c} \\\\ d`");
    }
}
