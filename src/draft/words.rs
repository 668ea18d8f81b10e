//! Running speech as words and sentences, whatever stops its writer set.

use crate::check::privacy;
use crate::model::narration::Narration;
use crate::text::fold_word;
use std::ops::Range;

/// A silence between two cues that ends a sentence where no stop does, in seconds. Judged on the demo narrations.
const PAUSE: f64 = 0.3;
/// What stands in a quotation for a word that may identify a person.
pub(super) const HIDDEN: &str = "…";

/// What stands after a word.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Stop {
    /// The next word.
    None,
    /// A comma or colon.
    Comma,
    /// The end of a sentence.
    End,
    /// The end of a question.
    Question,
}

/// One word.
#[derive(Debug)]
pub(super) struct Word {
    /// The cue in which it was said.
    pub(super) cue: usize,
    /// Its bytes within that cue's words.
    pub(super) at: Range<usize>,
    /// As heard, in lower case, with straight apostrophes.
    pub(super) low: String,
    /// Its folded form, in which spellings and plurals meet.
    pub(super) key: String,
    /// What stands after it.
    pub(super) stop: Stop,
    /// Whether all its letters are capitals.
    pub(super) capitals: bool,
    /// Whether it may identify a person: it is understood, and never quoted.
    pub(super) hidden: bool,
}

/// A narration in words.
#[derive(Debug)]
pub(super) struct Speech<'n> {
    /// Where the words come from.
    pub(super) narration: &'n Narration,
    /// All words in order.
    pub(super) words: Vec<Word>,
    /// The sentences in order; together they hold every word.
    pub(super) sentences: Vec<Sentence>,
}

/// Some words that belong together.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Sentence {
    /// Its words.
    pub(super) words: Range<usize>,
    /// Whether a question mark ends it.
    pub(super) asks: bool,
}

impl<'n> Speech<'n> {
    /// Parts a narration into words and sentences.
    pub(super) fn new(narration: &'n Narration) -> Self {
        let mut words = Vec::new();
        let mut pauses = Vec::new();
        for (number, cue) in narration.cues.iter().enumerate() {
            let before = number.checked_sub(1).and_then(|before| narration.cues.get(before));
            if before.is_some_and(|before| before.to.is_none_or(|to| cue.from - to >= PAUSE)) {
                pauses.push(words.len());
            }
            let hidden: Vec<Range<usize>> =
                privacy::find_written(&cue.words).into_iter().map(|hit| hit.range).collect();
            split(&cue.words, |at, stop| {
                let hidden = hidden.iter().any(|hit| hit.start < at.end && at.start < hit.end);
                words.push(Word { hidden, ..word(&cue.words, number, at, stop) });
            });
        }
        let sentences = sentences(&words, &pauses);
        // A silence is a stop: nothing reads on over it.
        for sentence in &sentences {
            if let Some(last) =
                words.get_mut(sentence.words.end - 1).filter(|it| matches!(it.stop, Stop::None | Stop::Comma))
            {
                last.stop = Stop::End;
            }
        }
        Self { narration, words, sentences }
    }

    /// The words of a range as they were heard; what may identify a person is left out.
    pub(super) fn heard(&self, range: Range<usize>) -> String {
        let mut out = String::new();
        let mut last: Option<&Word> = None;
        for word in &self.words[range] {
            let text = &self.narration.cues[word.cue].words;
            match last {
                Some(before) if before.cue == word.cue => out.push_str(&text[before.at.end..word.at.start]),
                Some(_) => out.push(' '),
                None => {}
            }
            out.push_str(if word.hidden { HIDDEN } else { &text[word.at.clone()] });
            last = Some(word);
        }
        out
    }

    /// When a word's cue begins, in seconds.
    pub(super) fn time(&self, word: usize) -> f64 {
        self.words.get(word).map_or(0.0, |word| self.narration.cues[word.cue].from)
    }

    /// The number of the sentence that holds a word.
    pub(super) fn sentence_of(&self, word: usize) -> usize {
        self.sentences.partition_point(|sentence| sentence.words.end <= word)
    }

    /// A word in lower case, or nothing beyond the ends.
    pub(super) fn low(&self, at: usize) -> &str {
        self.words.get(at).map_or("", |word| &word.low)
    }

    /// Whether these words stand at a place, one after the other.
    pub(super) fn says(&self, at: usize, phrase: &str) -> bool {
        self.end_of(at, phrase).is_some()
    }

    /// Where these words end, if they stand at a place; one may be longer by that of somebody: `her sister` and `her
    /// sister's`. It is asked of hundreds of phrases for every word.
    fn end_of(&self, at: usize, phrase: &str) -> Option<usize> {
        let (mut at, mut left) = (at, phrase.as_bytes());
        loop {
            let low = self.words.get(at)?.low.as_bytes();
            let more = left.iter().zip(low).take_while(|(one, other)| one == other).count();
            let (rest, own) = (left.get(more..)?, low.get(more..)?);
            if !(own.is_empty() || own == b"'s" && more > 3) {
                return None;
            }
            at += 1;
            match rest {
                [] => return Some(at),
                [b' ', next @ ..] => left = next,
                _ => return None,
            }
        }
    }

    /// Where a phrase begins within a range, if it stands there.
    pub(super) fn find(&self, range: Range<usize>, phrase: &str) -> Option<usize> {
        let end = range.end;
        range.into_iter().find(|&at| self.end_of(at, phrase).is_some_and(|last| last <= end))
    }

    /// Whether any of some phrases stands in a range.
    pub(super) fn any(&self, range: &Range<usize>, phrases: &[&str]) -> bool {
        phrases.iter().any(|phrase| self.find(range.clone(), phrase).is_some())
    }
}

/// The folded words of a term, parted as speech is.
pub(super) fn keys(term: &str) -> Vec<String> {
    let mut keys = Vec::new();
    split(term, |at, _| keys.push(key(&term[at].to_lowercase())));
    keys
}

fn key(low: &str) -> String {
    let low = low.replace('’', "'");
    fold_word(low.strip_suffix("'s").or_else(|| low.strip_suffix("s'")).unwrap_or(&low))
}

fn word(text: &str, cue: usize, at: Range<usize>, stop: Stop) -> Word {
    let heard = &text[at.clone()];
    let low = heard.to_lowercase().replace('’', "'");
    let capitals = heard.chars().any(char::is_alphabetic) && !heard.chars().any(char::is_lowercase);
    Word { cue, key: key(&low), low, at, stop, capitals, hidden: false }
}

/// Calls `each` with the bytes of every word and what stands after it. A hyphen or stroke parts words, not digits.
fn split(text: &str, mut each: impl FnMut(Range<usize>, Stop)) {
    let letters: Vec<(usize, char)> = text.char_indices().collect();
    let digit = |at: usize| letters.get(at).is_some_and(|(_, letter)| letter.is_ascii_digit());
    let inner = |at: usize, letter: char| {
        letter.is_alphanumeric()
            || letter == '%'
            || (matches!(letter, '\'' | '’')
                && at > 0
                && letters[at - 1].1.is_alphabetic()
                && letters.get(at + 1).is_some_and(|(_, next)| next.is_alphabetic()))
            || (matches!(letter, '.' | ',' | '-' | '/' | ':') && at > 0 && digit(at - 1) && digit(at + 1))
            || (matches!(letter, '-' | '−' | '+') && (at == 0 || letters[at - 1].1 == ' ') && digit(at + 1))
    };
    let mut at = 0;
    while at < letters.len() {
        if !inner(at, letters[at].1) {
            at += 1;
            continue;
        }
        let start = at;
        // "2%" are two words: the number, and its unit.
        at += 1;
        while letters[start].1 != '%' && at < letters.len() && letters[at].1 != '%' && inner(at, letters[at].1) {
            at += 1;
        }
        let end = letters.get(at).map_or(text.len(), |(byte, _)| *byte);
        let mut stop = Stop::None;
        for (_, letter) in letters[at..].iter().take_while(|(_, letter)| !letter.is_alphanumeric() && *letter != '%') {
            stop = match (letter, stop) {
                ('?', _) => Stop::Question,
                ('.' | '!' | ';' | '…', Stop::None | Stop::Comma) => Stop::End,
                (',' | ':' | '–' | '—', Stop::None) => Stop::Comma,
                _ => stop,
            };
        }
        each(letters[start].0..end, stop);
    }
}

fn sentences(words: &[Word], pauses: &[usize]) -> Vec<Sentence> {
    let mut sentences = Vec::new();
    let mut start = 0;
    for (at, word) in words.iter().enumerate() {
        let ends = matches!(word.stop, Stop::End | Stop::Question) || pauses.binary_search(&(at + 1)).is_ok();
        if ends || at + 1 == words.len() {
            sentences.push(Sentence { words: start..at + 1, asks: word.stop == Stop::Question });
            start = at + 1;
        }
    }
    sentences
}

/// For tests: what `run` makes of these words, said in one breath.
#[cfg(test)]
pub(super) fn said<T>(words: &str, run: impl Fn(&Speech<'_>, Range<usize>) -> T) -> T {
    use crate::model::narration::Cue;
    use crate::text::{FileId, Span};
    let cue = Cue { from: 0.0, to: None, words: words.to_owned(), span: Span::new(FileId(0), 0, 0) };
    let narration = Narration { cues: vec![cue] };
    let speech = Speech::new(&narration);
    run(&speech, 0..speech.words.len())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::narration::Cue;
    use crate::text::{FileId, Span};

    #[test]
    fn words_stops_and_pauses() {
        let cue = |from: f64, to: f64, words: &str| Cue {
            from,
            to: Some(to),
            words: words.to_owned(),
            span: Span::new(FileId(0), 0, 0),
        };
        let narration = Narration {
            cues: vec![
                cue(0.0, 2.0, "Sub-Tenon's block, at 6/24, with the"),
                cue(2.0, 3.0, "10-0 nylon and I/A. Why?"),
                cue(4.0, 5.0, "minus half"),
            ],
        };
        let speech = Speech::new(&narration);
        let lows: Vec<&str> = speech.words.iter().map(|word| word.low.as_str()).collect();
        assert_eq!(
            lows,
            [
                "sub", "tenon's", "block", "at", "6/24", "with", "the", "10-0", "nylon", "and", "i", "a", "why",
                "minus", "half"
            ]
        );
        let sentences: Vec<(String, bool)> =
            speech.sentences.iter().map(|it| (speech.heard(it.words.clone()), it.asks)).collect();
        assert_eq!(
            sentences,
            [
                ("Sub-Tenon's block, at 6/24, with the 10-0 nylon and I/A".to_owned(), false),
                ("Why".to_owned(), true),
                ("minus half".to_owned(), false)
            ]
        );
        assert_eq!(keys("sub-Tenon's block"), ["sub", "tenon", "block"]);
    }
}
