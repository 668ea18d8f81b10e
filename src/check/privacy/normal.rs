//! Text as a detector reads it: one form for characters that look alike, and a way back to what was written.
//!
//! An identifier is easily missed, and easily hidden, behind a no-break space, a soft hyphen, digits of another script or an
//! entity. All of these are brought to one form first; every byte of that form knows where it came from.

use std::ops::Range;
use unicode_normalization::UnicodeNormalization;
use unicode_normalization::char::is_combining_mark;

/// How many bytes of a line are looked at to either side of a place.
const LINE: usize = 1000;

/// A text in one form, with the way back.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Normal {
    /// NFKC; one blank for a run of blanks, one line feed for a line break and two for an empty line; ASCII digits, hyphens
    /// and slashes; no marks of Markdown and no invisible characters.
    pub text: String,
    /// For each byte of the text, where in the source its character began, and the end of the source.
    at: Vec<u32>,
    /// For each byte of the text, where in the source its character ended.
    end: Vec<u32>,
}

/// The zeros of the decimal digits of scripts, as far as NFKC leaves them. Source: Unicode 15, general category Nd.
const ZEROS: &[u32] = &[
    0x0660, 0x06F0, 0x07C0, 0x0966, 0x09E6, 0x0A66, 0x0AE6, 0x0B66, 0x0BE6, 0x0C66, 0x0CE6, 0x0D66, 0x0DE6, 0x0E50,
    0x0ED0, 0x0F20, 0x1040, 0x1090, 0x17E0, 0x1810, 0x1946, 0x19D0, 0x1A80, 0x1A90, 0x1B50, 0x1BB0, 0x1C40, 0x1C50,
    0xA620, 0xA8D0, 0xA900, 0xA9D0, 0xA9F0, 0xAA50, 0xABF0, 0x104A0, 0x10D30, 0x11066, 0x110F0, 0x11136, 0x111D0,
    0x112F0, 0x11450, 0x114D0, 0x11650, 0x116C0, 0x11730, 0x118E0, 0x11C50, 0x11D50, 0x16A60, 0x16B50, 0x1E140,
    0x1E2F0, 0x1E950,
];

impl Normal {
    /// Brings a text to its one form.
    pub fn of(source: &str) -> Self {
        Self::read(source, plain)
    }

    /// `plain` tells how many letters at the start of a text need not be looked at one by one.
    fn read(source: &str, plain: fn(&[u8]) -> usize) -> Self {
        let mut normal = Self::default();
        normal.text.reserve(source.len());
        normal.at.reserve(source.len());
        normal.end.reserve(source.len());
        let mut rest = source;
        let mut cluster = String::new();
        while let Some(first) = rest.chars().next() {
            let plain = plain(rest.as_bytes());
            if plain > 0 {
                normal.push_plain(&rest[..plain], source.len() - rest.len());
                rest = &rest[plain..];
                continue;
            }
            let begin = source.len() - rest.len();
            let before = source[..begin].chars().next_back();
            let (letter, mut len) = entity(rest).or_else(|| percent(before, rest)).unwrap_or((first, first.len_utf8()));
            cluster.clear();
            cluster.push(letter);
            // A letter and the marks above it are one: composed, they are one again.
            for mark in rest[len..].chars().take_while(|mark| is_combining_mark(*mark)) {
                cluster.push(mark);
                len += mark.len_utf8();
            }
            let next = rest[len..].chars().next();
            // The mark of a quotation at a line's start.
            let quotes = letter == '>' && (normal.text.is_empty() || normal.text.ends_with('\n'));
            if !quotes && !is_markup(before, letter, next) {
                for letter in cluster.nfkc() {
                    normal.push(letter, begin, begin + len);
                }
            }
            rest = &rest[len..];
        }
        normal
    }

    /// Adds letters that stay as they are.
    fn push_plain(&mut self, letters: &str, begin: usize) {
        let clip = |at: usize| u32::try_from(at).unwrap_or(u32::MAX);
        self.text.push_str(letters);
        self.at.extend((begin..begin + letters.len()).map(clip));
        self.end.extend((begin + 1..=begin + letters.len()).map(clip));
    }

    fn push(&mut self, letter: char, begin: usize, end: usize) {
        let letter = match letter {
            // Marks that show nothing: zero width, soft hyphen, directions, joiners.
            '\u{ad}'
            | '\u{180e}'
            | '\u{200b}'..='\u{200f}'
            | '\u{202a}'..='\u{202e}'
            | '\u{2060}'..='\u{206f}'
            | '\u{34f}'
            | '\u{fe00}'..='\u{fe0f}'
            | '\u{e0100}'..='\u{e01ef}'
            | '\u{feff}'
            | '\r' => return,
            '\n' | '\u{2028}' | '\u{2029}' => '\n',
            letter if letter.is_whitespace() => ' ',
            '\u{2010}'..='\u{2015}' | '\u{2212}' => '-',
            '\u{2044}' | '\u{2215}' => '/',
            // Cells of a table stand beside each other.
            '|' => ' ',
            letter => digit(letter).unwrap_or(letter),
        };
        match (letter, self.text.as_bytes().last()) {
            (' ', Some(b' ' | b'\n') | None) => return,
            ('\n', Some(b' ')) => self.pop(),
            _ => {}
        }
        if letter == '\n' && (self.text.is_empty() || self.text.ends_with("\n\n")) {
            return;
        }
        let clip = |at: usize| u32::try_from(at).unwrap_or(u32::MAX);
        self.text.push(letter);
        self.at.resize(self.text.len(), clip(begin));
        self.end.resize(self.text.len(), clip(end));
    }

    fn pop(&mut self) {
        self.text.pop();
        self.at.truncate(self.text.len());
        self.end.truncate(self.text.len());
    }

    /// The bytes of the source from which these bytes of the text were made.
    pub fn source(&self, range: Range<usize>) -> Range<usize> {
        let start = self.at.get(range.start).copied().unwrap_or(0) as usize;
        let last = range.end.saturating_sub(1).max(range.start);
        let end = self.end.get(last).copied().unwrap_or(0) as usize;
        start..end.max(start)
    }

    /// The line of the text around a byte of it, without blanks at its ends; of a very long line only the nearer part.
    pub fn line(&self, at: usize) -> &str {
        let at = at.min(self.text.len());
        let (mut from, mut to) = (at.saturating_sub(LINE), (at + LINE).min(self.text.len()));
        while !self.text.is_char_boundary(from) {
            from += 1;
        }
        while !self.text.is_char_boundary(to) {
            to -= 1;
        }
        let start = self.text[from..at].rfind('\n').map_or(from, |before| from + before + 1);
        let end = self.text[at..to].find('\n').map_or(to, |after| at + after);
        self.text[start..end].trim()
    }
}

/// How many letters at the start can be neither changed nor joined with what follows: ASCII letters, digits and commas that a
/// further ASCII character follows, and single blanks between them. Nearly all of a text is made of them.
fn plain(text: &[u8]) -> usize {
    let is_plain =
        |letter: u8| letter.is_ascii_alphanumeric() || matches!(letter, b',' | b'.' | b'(' | b')' | b':' | b'-');
    let mut end = 0;
    loop {
        let run = text[end..].iter().take_while(|letter| is_plain(**letter)).count();
        end += run;
        // A blank before a blank or a line break would be dropped, and one at the start may stand behind another.
        if run > 0 && text.get(end) == Some(&b' ') && text.get(end + 1).is_some_and(|next| is_plain(*next)) {
            end += 1;
        } else {
            break;
        }
    }
    // A mark may follow the last letter, and would be composed with it.
    if text.get(end).is_none_or(u8::is_ascii) { end } else { end.saturating_sub(1) }
}

/// Whether this letter only marks up the text: emphasis, code, or the backslash before a sign.
fn is_markup(before: Option<char>, letter: char, next: Option<char>) -> bool {
    match letter {
        '*' | '`' => true,
        // Struck out.
        '~' => before == Some('~') || next == Some('~'),
        // A hard line break.
        '\\' if matches!(next, Some('\n' | '\r')) => true,
        // Within a word, as in a file name, it belongs to the word.
        '_' => !(before.is_some_and(char::is_alphanumeric) && next.is_some_and(char::is_alphanumeric)),
        // Before another backslash, or after a drive's colon, it is part of a path.
        '\\' => next.is_some_and(|next| next.is_ascii_punctuation() && next != '\\') && before != Some('\\'),
        _ => false,
    }
}

fn digit(letter: char) -> Option<char> {
    let code = u32::from(letter);
    let zero = ZEROS[..ZEROS.partition_point(|zero| *zero <= code)].last()?;
    char::from_digit(code - zero, 10)
}

/// The printable ASCII character that a percent sign and two digits at the start stand for, as in an address; behind a letter
/// alone, since `5 %` is a share.
fn percent(before: Option<char>, text: &str) -> Option<(char, usize)> {
    let code = text.strip_prefix('%')?.get(..2)?;
    let letter = char::from(u8::from_str_radix(code, 16).ok()?);
    (before.is_some_and(char::is_alphabetic)
        && (letter == ' ' || letter.is_ascii_graphic() && !matches!(letter, '%' | '&')))
    .then_some((letter, 3))
}

/// The character that an HTML entity at the start stands for, and how long the entity is.
fn entity(text: &str) -> Option<(char, usize)> {
    let name = text.strip_prefix('&')?;
    let end = name.bytes().take(24).position(|byte| byte == b';')?;
    let name = &name[..end];
    let letter = match name {
        "nbsp" | "NonBreakingSpace" => '\u{a0}',
        "Tab" => '\t',
        "NewLine" => '\n',
        "amp" => '&',
        "lt" => '<',
        "gt" => '>',
        "quot" => '"',
        "apos" => '\'',
        "commat" => '@',
        "period" => '.',
        "sol" => '/',
        "colon" => ':',
        "num" => '#',
        "plus" => '+',
        "shy" => '\u{ad}',
        "zwj" | "zwnj" => '\u{200c}',
        "ndash" | "mdash" | "hyphen" | "dash" | "minus" => '-',
        "thinsp" | "ensp" | "emsp" | "ThinSpace" | "MediumSpace" | "hairsp" | "numsp" | "puncsp" => ' ',
        "ZeroWidthSpace" | "NoBreak" => '\u{200b}',
        _ => {
            let code = match name.strip_prefix("#x").or_else(|| name.strip_prefix("#X")) {
                Some(hex) => u32::from_str_radix(hex, 16).ok()?,
                None => name.strip_prefix('#')?.parse().ok()?,
            };
            char::from_u32(code)?
        }
    };
    Some((letter, end + 2))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_looks_alike_is_one() {
        for (written, read) in [
            ("12\u{a0}March", "12 March"),
            ("12\u{200b}/\u{ad}03", "12/03"),
            ("१२/०३/२०२४", "12/03/2024"),
            ("١٢", "12"),
            ("１２", "12"),
            ("&#49;2&nbsp;March", "12 March"),
            ("a&#x40;b", "a@b"),
            ("Mr **Smith**", "Mr Smith"),
            ("Mr _Smith_", "Mr Smith"),
            ("IMG_2024", "IMG_2024"),
            ("12\\/03", "12/03"),
            ("D:\\Users\\anna", "D:\\Users\\anna"),
            ("020\u{2011}7946", "020-7946"),
            ("Jose\u{301}", "José"),
            ("a  \t b", "a b"),
            ("a \n  b\r\n\r\n\n c", "a\nb\n\nc"),
            ("&none; &", "&none; &"),
            ("| Patient name | Anna |", "Patient name Anna "),
            ("> Mr\n > Smith", "Mr\nSmith"),
            ("Mr ~~Smith~~", "Mr Smith"),
            ("Mr\\\nSmith", "Mr\nSmith"),
            ("M\u{fe0f}r\u{34f} Smith", "Mr Smith"),
            ("Mr&Tab;Smith&NonBreakingSpace;", "Mr Smith "),
            ("a%40b, 10%20", "a@b, 10%20"),
            ("", ""),
        ] {
            assert_eq!(Normal::of(written).text, read, "{written:?}");
        }
    }

    #[test]
    fn letters_that_need_no_look_come_out_as_if_each_had_been_looked_at() {
        let pieces = [
            "Mr Smith", " ", "  ", "\n", " \n", "e\u{301}", "12/03, ", "&nbsp;", "a_b", "**x**", "a%40b", "-", "‑",
            "|", ">", "\\", "é", ". ",
        ];
        let mut state = 7_u64;
        for _ in 0..2000 {
            let mut text = String::new();
            for _ in 0..state % 12 {
                state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
                text.push_str(pieces[(state >> 33) as usize % pieces.len()]);
            }
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(99_991) >> 1;
            assert_eq!(Normal::of(&text), Normal::read(&text, |_| 0), "{text:?}");
        }
    }

    #[test]
    fn every_range_leads_back_to_whole_characters() {
        let source = "seen on १२&nbsp;\u{200b}March **2024**.";
        let normal = Normal::of(source);
        let at = normal.text.find("12 March 2024").expect("it is there");
        let range = normal.source(at..at + "12 March 2024".len());
        assert_eq!(&source[range], "१२&nbsp;\u{200b}March **2024");
        for start in 0..normal.text.len() {
            for end in start..=normal.text.len() {
                let range = normal.source(start..end);
                assert!(source.is_char_boundary(range.start) && source.is_char_boundary(range.end), "{range:?}");
            }
        }
    }

    #[test]
    fn a_line_is_the_line_around_a_byte() {
        let normal = Normal::of("one\n two three \nfour");
        assert_eq!(normal.line(5), "two three");
        assert_eq!(normal.line(0), "one");
        assert_eq!(normal.line(99), "four");
    }
}
