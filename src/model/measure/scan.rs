//! A cursor over written words, shared by all measures.

use std::ops::Range;

use super::Fault;
use super::number::{Number, PLACES, WHOLE_DIGITS};

/// Longest text that is read, in bytes: a measure is a few words.
const LONGEST: usize = 200;
/// Longest quotation in a message, in characters.
const QUOTED: usize = 40;

/// Reads a text with `read` and keeps, in a fault, only the mends that `read` itself accepts.
pub(super) fn judged<T>(text: &str, allowed: &str, read: impl Fn(&str) -> Result<T, Fault>) -> Result<T, Fault> {
    if text.len() > LONGEST {
        return Err(Fault::new(format!("this is longer than {LONGEST} bytes; allowed is {allowed}"), 0..text.len()));
    }
    if text.trim().is_empty() {
        return Err(Fault::new(format!("nothing is written; allowed is {allowed}"), 0..text.len()));
    }
    read(text).map_err(|mut fault| {
        let mut kept: Vec<String> = Vec::new();
        for mend in fault.mends {
            if mend.len() <= LONGEST && !kept.contains(&mend) && read(&mend).is_ok() {
                kept.push(mend);
            }
        }
        fault.mends = kept;
        fault
    })
}

/// Found words between backticks, cut short, without control characters or backticks of their own.
pub(super) fn quoted(words: &str) -> String {
    let words = words.trim();
    let mut out: String = words
        .chars()
        .take(QUOTED)
        .map(|letter| match letter {
            '`' => '\'',
            other if other.is_control() => ' ',
            other => other,
        })
        .collect();
    if words.chars().nth(QUOTED).is_some() {
        out.push('…');
    }
    format!("`{out}`")
}

/// The bytes of the text between its leading and trailing white space.
pub(super) fn body(text: &str) -> Range<usize> {
    let start = text.len() - text.trim_start().len();
    start..(start + text.trim().len())
}

/// The text with one part replaced.
pub(super) fn replaced(text: &str, part: Range<usize>, with: &str) -> String {
    format!("{}{with}{}", &text[..part.start], &text[part.end..])
}

/// Lower case, single spaces, straight apostrophes, hyphens as spaces, no full stop at the end: for comparing words.
pub(super) fn plain(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for letter in text.trim().trim_end_matches('.').chars().flat_map(char::to_lowercase) {
        match letter {
            '\u{2018}' | '\u{2019}' | '\u{2bc}' => out.push('\''),
            other if other.is_whitespace() || matches!(other, '-' | '\u{2010}' | '\u{2011}') => {
                if !out.is_empty() && !out.ends_with(' ') {
                    out.push(' ');
                }
            }
            other => out.push(other),
        }
    }
    out.trim_end().to_owned()
}

/// Whether the text holds a calendar date, or a year: three numbers joined by one sign, a month's name, or 1900–2099.
pub(super) fn looks_like_date(text: &str) -> bool {
    const MONTHS: [&str; 12] = ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"];
    let numbers: Vec<&str> =
        text.split(|letter: char| !letter.is_ascii_digit()).filter(|digits| !digits.is_empty()).collect();
    let year = |digits: &&str| digits.len() == 4 && (digits.starts_with("19") || digits.starts_with("20"));
    let joined = ['/', '-', '.'].iter().any(|&sign| {
        let parts: Vec<&str> = text.trim().split(sign).collect();
        parts.len() == 3 && parts.iter().all(|part| !part.is_empty() && part.bytes().all(|byte| byte.is_ascii_digit()))
    });
    let month = text.split(|letter: char| !letter.is_alphabetic()).any(|word| {
        let word = word.to_lowercase();
        MONTHS.iter().any(|month| word.starts_with(month) && (word.len() == 3 || is_month(&word)))
    });
    joined || numbers.iter().any(year) || (month && !numbers.is_empty())
}

fn is_month(word: &str) -> bool {
    [
        "january",
        "february",
        "march",
        "april",
        "june",
        "july",
        "august",
        "sept",
        "september",
        "october",
        "november",
        "december",
    ]
    .contains(&word)
}

/// A number with the sign that stood before it.
#[derive(Debug, Clone)]
pub(super) struct Written {
    /// The number, sign applied.
    pub(super) number: Number,
    /// Whether a plus or minus was written.
    pub(super) signed: bool,
    /// Its bytes, sign included.
    pub(super) part: Range<usize>,
}

/// A place in a text, moving forward.
#[derive(Debug, Clone, Copy)]
pub(super) struct Cursor<'a> {
    text: &'a str,
    at: usize,
}

impl<'a> Cursor<'a> {
    /// At the start of the text, past white space.
    pub(super) fn new(text: &'a str) -> Self {
        let mut cursor = Self { text, at: 0 };
        cursor.spaces();
        cursor
    }

    /// The byte it stands at.
    pub(super) fn at(&self) -> usize {
        self.at
    }

    /// What is left, without white space at the end.
    pub(super) fn rest(&self) -> &'a str {
        self.text[self.at..].trim_end()
    }

    /// The bytes of what is left, without white space around it; when nothing is left, of the whole text.
    pub(super) fn rest_part(&self) -> Range<usize> {
        let rest = body(&self.text[self.at..]);
        if rest.is_empty() { body(self.text) } else { self.at + rest.start..self.at + rest.end }
    }

    /// Whether nothing is left.
    pub(super) fn done(&self) -> bool {
        self.rest().is_empty()
    }

    /// The next character.
    pub(super) fn peek(&self) -> Option<char> {
        self.text[self.at..].chars().next()
    }

    /// Steps over one character.
    pub(super) fn step(&mut self) {
        self.at += self.peek().map_or(0, char::len_utf8);
    }

    /// Steps over white space of any kind; tells whether there was any.
    pub(super) fn spaces(&mut self) -> bool {
        let from = self.at;
        while let Some(letter) = self.peek().filter(|letter| letter.is_whitespace()) {
            self.at += letter.len_utf8();
        }
        self.at > from
    }

    /// Steps over one of these characters.
    pub(super) fn eat(&mut self, letters: &[char]) -> Option<char> {
        let letter = self.peek().filter(|letter| letters.contains(letter))?;
        self.at += letter.len_utf8();
        Some(letter)
    }

    /// Steps over a word without regard to ASCII case, if no letter follows it.
    pub(super) fn word(&mut self, word: &str) -> bool {
        let rest = &self.text[self.at..];
        let Some(head) = rest.get(..word.len()) else { return false };
        let ends = rest[word.len()..].chars().next().is_none_or(|letter| !letter.is_alphabetic());
        if head.eq_ignore_ascii_case(word) && ends {
            self.at += word.len();
            return true;
        }
        false
    }

    /// Steps over any word of a list and the white space after it.
    pub(super) fn any_word(&mut self, words: &[&str]) -> bool {
        let found = words.iter().any(|word| self.word(word));
        if found {
            self.spaces();
        }
        found
    }

    /// Steps over `about` or another way to say so, and the white space after it.
    pub(super) fn about(&mut self) -> bool {
        let found = self.eat(&['~', '≈', '∼']).is_some()
            || ["approximately", "approx.", "approx", "about", "around", "roughly", "circa", "c."]
                .iter()
                .any(|word| self.word(word));
        if found {
            self.spaces();
        }
        found
    }

    /// Digits without sign.
    pub(super) fn digits(&mut self) -> &'a str {
        let rest = &self.text[self.at..];
        let digits = &rest[..rest.bytes().take_while(u8::is_ascii_digit).count()];
        self.at += digits.len();
        digits
    }

    /// A decimal number with an optional sign; `None`, without moving, when no number stands here.
    pub(super) fn number(&mut self) -> Result<Option<Written>, Fault> {
        let start = *self;
        let sign = self.eat(&['+', '-', '\u{2212}', '\u{2013}']);
        if sign.is_some() {
            self.spaces();
        }
        let from = self.at;
        let whole = self.digits();
        let mut fraction = "";
        let point = *self;
        if let Some(mark) = self.eat(&['.', ',', '\u{b7}']) {
            let after = self.digits();
            let part = start.at..self.at;
            match (mark, whole.is_empty(), after.is_empty()) {
                ('.', false, false) => fraction = after,
                ('.', true, false) => {
                    return Err(Fault::new(
                        format!(
                            "{} begins with a point; a nought before the point is needed",
                            quoted(&self.text[part.clone()])
                        ),
                        part,
                    )
                    .or(replaced(self.text, from..from, "0")));
                }
                ('.', false, true) if !self.text[self.at..].starts_with(char::is_alphabetic) => {
                    return Err(Fault::new(
                        format!(
                            "{} ends in a point; a digit after it or no point is allowed",
                            quoted(&self.text[part.clone()])
                        ),
                        part,
                    )
                    .or(replaced(self.text, point.at..self.at, "")));
                }
                (',' | '\u{b7}', false, false) => return Err(self.comma(part, point.at, mark, whole, after)),
                _ => *self = point,
            }
        }
        if whole.is_empty() {
            *self = start;
            return Ok(None);
        }
        let part = start.at..self.at;
        let negative = !matches!(sign, None | Some('+'));
        match Number::from_digits(negative, whole, fraction) {
            Some(number) => Ok(Some(Written { number, signed: sign.is_some(), part })),
            None => Err(Fault::new(
                format!(
                    "{} has more digits than anything measured; at most {WHOLE_DIGITS} before the point and {PLACES} after it are allowed",
                    quoted(&self.text[part.clone()])
                ),
                part,
            )),
        }
    }

    /// The fault of a number with a comma or a raised point: it may part thousands or stand for the point.
    fn comma(&self, part: Range<usize>, at: usize, mark: char, whole: &str, after: &str) -> Fault {
        let thousands = mark == ',' && after.len() == 3 && whole.len() <= 3 && !whole.starts_with('0');
        let mark = at..at + mark.len_utf8();
        let name = if self.text[mark.clone()].starts_with(',') { "a comma" } else { "a raised point" };
        let joined = thousands.then(|| replaced(self.text, mark.clone(), ""));
        let message = format!(
            "{} is written with {name}; a decimal point is allowed and nothing between thousands",
            quoted(&self.text[part.clone()])
        );
        Fault::new(message, part).or_any(joined).or(replaced(self.text, mark, "."))
    }

    /// Steps over a sign or word between two ends of a range (`to`, a dash) if a number follows, and gives it.
    pub(super) fn range_sign(&mut self) -> Option<RangeSign> {
        let start = *self;
        let space_before = self.spaces();
        let dash = self.eat(&['-', '\u{2010}', '\u{2011}', '\u{2212}', '\u{2013}', '\u{2014}']);
        if dash.is_none() && !self.word("to") {
            *self = start;
            return None;
        }
        let space_after = self.spaces();
        let ahead = self.rest().trim_start_matches(['-', '+', '\u{2212}', '\u{2013}', '.', ' ']);
        if !ahead.starts_with(|letter: char| letter.is_ascii_digit()) {
            *self = start;
            return None;
        }
        Some(match dash {
            None => RangeSign::To,
            Some('-' | '\u{2212}') if space_before && !space_after => RangeSign::LikeMinus,
            Some('-' | '\u{2212}') => RangeSign::Hyphen,
            Some(_) => RangeSign::Dash,
        })
    }
}

/// What stood between the two ends of a range.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum RangeSign {
    /// The word `to`.
    To,
    /// An en dash or a longer one.
    Dash,
    /// A hyphen or minus sign.
    Hyphen,
    /// A hyphen or minus sign set like the sign of a second number: ` -1`.
    LikeMinus,
}
