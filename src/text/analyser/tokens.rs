//! Text becomes tokens: runs of letters and digits, lower case, without marks; a number keeps its joints.

use unicode_normalization::UnicodeNormalization;
use unicode_normalization::char::is_combining_mark;

/// A token and what a reader of the text sees of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Token<'w> {
    /// Lower case, without marks.
    pub word: &'w str,
    /// Whether it is written in capitals: an abbreviation.
    pub capitals: bool,
    /// Whether a new sentence or paragraph may begin before it.
    pub parted: bool,
    /// Whether it is a part of the number before it, and so no word of its own.
    pub part: bool,
}

/// Signs that join two numbers to one: `10-0`, `6/24`, `0.5`; all dashes are one.
fn joint(letter: char) -> Option<char> {
    match letter {
        '-' | '\u{2212}' | '\u{2013}' => Some('-'),
        '/' | '\u{2044}' => Some('/'),
        '.' => Some('.'),
        _ => None,
    }
}

/// Letters that have no decomposition in Unicode and yet are others with a mark, or two in one.
fn ligature(letter: char) -> Option<&'static str> {
    Some(match letter {
        'œ' => "oe",
        'Œ' => "OE",
        'æ' => "ae",
        'Æ' => "AE",
        'ø' => "o",
        'Ø' => "O",
        'ł' => "l",
        'Ł' => "L",
        'ß' => "ss",
        'ẞ' => "SS",
        _ => return None,
    })
}

/// Calls `each` with the tokens of a text in order. A joined number comes whole and then in its parts.
pub fn tokens(text: &str, each: impl FnMut(Token<'_>)) {
    if text.is_ascii() {
        return cut(text.chars(), each);
    }
    let plain: String = text
        .chars()
        .flat_map(|letter| {
            ligature(letter).map_or_else(|| letter.to_string(), str::to_owned).chars().collect::<Vec<_>>()
        })
        .nfkd()
        .filter(|letter| !is_combining_mark(*letter))
        .collect();
    cut(plain.chars(), each);
}

/// The words of a query: a joined number is one word.
pub fn query_tokens(text: &str) -> Vec<String> {
    let mut words = Vec::new();
    tokens(text, |token| {
        if !token.part {
            words.push(token.word.to_owned());
        }
    });
    words
}

/// Cuts text without marks.
fn cut(text: impl Iterator<Item = char>, each: impl FnMut(Token<'_>)) {
    let mut cutter =
        Cutter { each, word: String::new(), joints: Vec::new(), small: false, large: false, parted: false };
    let mut text = text.peekable();
    while let Some(letter) = text.next() {
        if letter.is_alphanumeric() {
            cutter.letter(letter);
            continue;
        }
        let next_is_digit = text.peek().is_some_and(char::is_ascii_digit);
        match joint(letter).filter(|_| next_is_digit && cutter.ends_in_digit()) {
            Some(joint) => cutter.join(joint),
            None => cutter.close(letter, text.peek().copied()),
        }
    }
    cutter.flush();
}

struct Cutter<E> {
    each: E,
    word: String,
    /// Where the parts of the word end that joints have closed.
    joints: Vec<usize>,
    small: bool,
    large: bool,
    parted: bool,
}

impl<E: FnMut(Token<'_>)> Cutter<E> {
    fn letter(&mut self, letter: char) {
        self.large |= letter.is_uppercase();
        self.small |= letter.is_lowercase();
        if letter.is_ascii() {
            self.word.push(letter.to_ascii_lowercase());
        } else {
            // Both forms of the small sigma are one, whatever stands after it. A letter may lower to itself and a mark.
            let lower = letter.to_lowercase().filter(|lower| !is_combining_mark(*lower));
            self.word.extend(lower.map(|lower| if lower == 'ς' { 'σ' } else { lower }));
        }
    }

    fn ends_in_digit(&self) -> bool {
        self.word.ends_with(|letter: char| letter.is_ascii_digit())
    }

    fn join(&mut self, joint: char) {
        self.joints.push(self.word.len());
        self.word.push(joint);
    }

    fn close(&mut self, sign: char, next: Option<char>) {
        self.flush();
        self.parted |= match sign {
            '.' | ':' => next.is_none_or(char::is_whitespace),
            '?' | '!' | ';' | '\n' | '|' => true,
            _ => false,
        };
    }

    fn flush(&mut self) {
        if self.word.is_empty() {
            return;
        }
        let capitals = self.large && !self.small;
        (self.each)(Token { word: &self.word, capitals, parted: self.parted, part: false });
        if !self.joints.is_empty() {
            let mut from = 0;
            for &end in self.joints.iter().chain([&self.word.len()]) {
                (self.each)(Token { word: &self.word[from..end], capitals: false, parted: false, part: true });
                from = end + 1;
            }
        }
        (self.large, self.small, self.parted) = (false, false, false);
        self.word.clear();
        self.joints.clear();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn words(text: &str) -> Vec<String> {
        let mut words = Vec::new();
        tokens(text, |token| words.push(token.word.to_owned()));
        words
    }

    #[test]
    fn numbers_keep_their_joints_and_their_parts() {
        assert_eq!(
            words("a 10-0 suture, 6/24 and 0.5 %"),
            ["a", "10-0", "10", "0", "suture", "6/24", "6", "24", "and", "0.5", "0", "5"]
        );
        assert_eq!(words("23G, 2.2mm; post-op. 3"), ["23g", "2.2mm", "2", "2mm", "post", "op", "3"]);
        assert_eq!(query_tokens("10–0 nylon at 4."), ["10-0", "nylon", "at", "4"]);
    }

    #[test]
    fn marks_and_ligatures_do_not_count() {
        assert_eq!(
            words("Élan œdème STRASSE Straße İris ΟΔΟΣ ½"),
            ["elan", "oedeme", "strasse", "strasse", "iris", "οδοσ", "1/2", "1", "2"]
        );
    }

    #[test]
    fn a_reader_sees_capitals_and_the_ends_of_sentences() {
        let mut seen = Vec::new();
        tokens("PCR. Then ICE e.g. it", |it| seen.push((it.word.to_owned(), it.capitals, it.parted)));
        let expected = [
            ("pcr", true, false),
            ("then", false, true),
            ("ice", true, false),
            ("e", false, false),
            ("g", false, false),
            ("it", false, true),
        ];
        assert_eq!(seen, expected.map(|(word, capitals, parted)| (word.to_owned(), capitals, parted)));
    }
}
