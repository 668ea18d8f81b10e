//! Wording: plurals, lists, nearest match, and names fit for files.

use std::borrow::Cow;

/// `n` things with the right plural: `1 case`, `3 cases`, `2 libraries`.
pub fn count(n: usize, noun: &str) -> String {
    if n == 1 {
        return format!("1 {noun}");
    }
    match noun.strip_suffix('y') {
        Some(stem) if !stem.ends_with(['a', 'e', 'o', 'u']) => format!("{n} {stem}ies"),
        _ if noun.ends_with(['s', 'x']) || noun.ends_with("ch") => format!("{n} {noun}es"),
        _ => format!("{n} {noun}s"),
    }
}

/// `a`, `a and b`, `a, b and c` with `joint` as the last joining word.
pub fn list<S: AsRef<str>>(items: &[S], joint: &str) -> String {
    match items {
        [] => String::new(),
        [one] => one.as_ref().to_owned(),
        [first @ .., last] => {
            let first: Vec<&str> = first.iter().map(AsRef::as_ref).collect();
            format!("{} {joint} {}", first.join(", "), last.as_ref())
        }
    }
}

/// A choice in words: `left or right`.
pub fn any_of<S: AsRef<str>>(items: &[S]) -> String {
    list(items, "or")
}

/// The candidate that is nearest to what was written, if any is near enough to be what was meant.
///
/// Nearness is the Damerau–Levenshtein distance without regard to case; at most one edit for each
/// three characters, and two candidates at the same distance give the first in order.
pub fn nearest<'a>(written: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let written: Vec<char> = written.to_lowercase().chars().collect();
    if written.is_empty() || written.len() > 80 {
        return None;
    }
    // How far a candidate may be away; after the first find only a nearer one counts.
    let mut allowed = 1 + written.len() / 4;
    let mut best = None;
    let mut letters: Vec<char> = Vec::new();
    for candidate in candidates {
        letters.clear();
        letters.extend(candidate.chars().flat_map(char::to_lowercase));
        if letters.len().abs_diff(written.len()) > allowed {
            continue;
        }
        let distance = distance(&written, &letters);
        if distance > allowed {
            continue;
        }
        best = Some(candidate);
        match distance.checked_sub(1) {
            Some(nearer) => allowed = nearer,
            None => break,
        }
    }
    best
}

/// The Damerau–Levenshtein distance. What both begin and end with costs nothing and is not compared: a library has
/// thousands of names, and they are alike.
fn distance(one: &[char], other: &[char]) -> usize {
    let begin = one.iter().zip(other).take_while(|(one, other)| one == other).count();
    let (one, other) = (&one[begin..], &other[begin..]);
    let end = one.iter().rev().zip(other.iter().rev()).take_while(|(one, other)| one == other).count();
    let text = |letters: &[char]| letters[..letters.len() - end].iter().collect::<String>();
    strsim::osa_distance(&text(one), &text(other))
}

/// The text with its first letter as a capital.
pub fn capitalised(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// A name for files and fragments: lower-case ASCII letters, digits and single hyphens, at most 40 bytes.
///
/// Letters with marks lose them; what is left without any letter or digit gives an empty name.
pub fn slug(text: &str) -> String {
    use unicode_normalization::UnicodeNormalization;
    let mut out = String::new();
    for letter in text.nfkd().flat_map(char::to_lowercase) {
        if letter.is_ascii_alphanumeric() {
            out.push(letter);
        } else if !unicode_normalization::char::is_combining_mark(letter) && !out.is_empty() && !out.ends_with('-') {
            out.push('-');
        }
    }
    out.truncate(40);
    out.trim_end_matches('-').to_owned()
}

/// The text with the five characters that HTML and XML reserve written as entities.
pub fn escape(text: &str) -> Cow<'_, str> {
    if !text.contains(['&', '<', '>', '"', '\'']) {
        return Cow::Borrowed(text);
    }
    let mut out = String::with_capacity(text.len() + 16);
    for letter in text.chars() {
        match letter {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            other => out.push(other),
        }
    }
    Cow::Owned(out)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn plurals_follow_the_noun() {
        assert_eq!(count(1, "case"), "1 case");
        assert_eq!(count(0, "case"), "0 cases");
        assert_eq!(count(2, "library"), "2 libraries");
        assert_eq!(count(3, "day"), "3 days");
        assert_eq!(count(2, "patch"), "2 patches");
    }

    #[test]
    fn lists_read_as_people_write_them() {
        assert_eq!(any_of(&["left"]), "left");
        assert_eq!(any_of(&["left", "right"]), "left or right");
        assert_eq!(list(&["a", "b", "c"], "and"), "a, b and c");
    }

    #[test]
    fn the_nearest_word_is_offered_only_when_it_is_near() {
        let words = ["capsulorhexis", "hydrodissection", "chop"];
        assert_eq!(nearest("capsulorexis", words), Some("capsulorhexis"));
        assert_eq!(nearest("Hydrodisection", words), Some("hydrodissection"));
        assert_eq!(nearest("vitrectomy", words), None);
        assert_eq!(nearest("", words), None);
        assert_eq!(nearest("case-12", ["case-32", "case-21", "case-13"]), Some("case-32"));
        assert_eq!(nearest("Chop", ["chops", "CHOP", "chap"]), Some("CHOP"));
    }

    #[test]
    fn what_two_words_share_does_not_change_their_distance() {
        let words = ["", "a", "ab", "ba", "aba", "abab", "abba", "baab", "aabb", "bbaa", "abcab", "acbab", "bacba"];
        for one in words {
            for other in words {
                let letters = |word: &str| word.chars().collect::<Vec<char>>();
                assert_eq!(distance(&letters(one), &letters(other)), strsim::osa_distance(one, other), "{one} {other}");
            }
        }
    }

    #[test]
    fn names_for_files_are_short_ascii() {
        assert_eq!(slug("Élan vital: 2 o'clock"), "elan-vital-2-o-clock");
        assert_eq!(slug("***"), "");
        assert!(slug(&"long ".repeat(40)).len() <= 40);
    }
}
