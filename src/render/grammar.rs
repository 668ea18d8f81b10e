//! Two small grammars for case files: fields, and the Markdown around them.
//!
//! The grammars that come with syntect know all of YAML and Markdown, and pay for it at every character: colouring took
//! nine tenths of a compile, and two threads got in each other's way. These know what our own page shows and look at no
//! text twice. Other languages in fences keep the grammars of syntect. What they colour is written down as patterns in the
//! tests, which compare.

use regex::Regex;
use std::ops::Range;
use std::sync::LazyLock;

/// A grammar: looks for a match that begins at a byte of a line, hands its pieces to the pen, and gives where it ends.
pub(crate) type Grammar = fn(&mut Pen<'_, '_>, usize) -> Option<usize>;

/// A line that is being coloured, and where its pieces go.
pub(crate) struct Pen<'l, 'p> {
    line: &'l str,
    /// How far it has been put.
    from: usize,
    /// From where on none of [`CLOSING`] stands before which place, and whether no text in double quotation marks can end any
    /// more: each letter is looked at a few times at most, whatever an author wrote.
    next: [Range<usize>; CLOSING.len()],
    open_ended: bool,
    put: &'p mut dyn FnMut(&'l str, &'static str),
}

/// Marks that close something.
const CLOSING: [u8; 4] = *b"*`])";

/// Hands the pieces of a line to `put` in order, each with its class; an empty one leaves the text as it is.
pub(crate) fn line<'l>(grammar: Grammar, line: &'l str, put: &mut dyn FnMut(&'l str, &'static str)) {
    let mut pen = Pen { line, from: 0, next: [0..0, 0..0, 0..0, 0..0], open_ended: false, put };
    let mut at = 0;
    while let Some(letter) = line[at..].chars().next() {
        at = grammar(&mut pen, at).unwrap_or(at + letter.len_utf8());
    }
    pen.to(line.len(), "");
}

impl Pen<'_, '_> {
    /// Puts what lies before a byte.
    fn to(&mut self, end: usize, class: &'static str) {
        (self.put)(&self.line[self.from..end], class);
        self.from = end;
    }

    /// Puts a match whose pieces have classes of their own, and gives its end.
    fn pieces(&mut self, whole: Range<usize>, pieces: &[(Range<usize>, &'static str)]) -> Option<usize> {
        self.to(whole.start, "");
        for (piece, class) in pieces {
            self.to(piece.start, "");
            self.to(piece.end, class);
        }
        self.to(whole.end, "");
        Some(whole.end)
    }

    /// Puts a match of one class, and gives its end.
    fn whole(&mut self, whole: Range<usize>, class: &'static str) -> Option<usize> {
        self.to(whole.start, "");
        self.to(whole.end, class);
        Some(whole.end)
    }

    /// Where a run of such bytes ends that begins here. The bytes are ASCII, so the end parts no letter.
    fn run(&self, at: usize, is: impl Fn(u8) -> bool) -> usize {
        let bytes = &self.line.as_bytes()[at..];
        at + bytes.iter().take_while(|byte| is(**byte)).count()
    }

    /// Where the next of such a mark stands; the line's end if there is none.
    fn next(&mut self, mark: u8, from: usize) -> usize {
        let Some(place) = CLOSING.iter().position(|closing| *closing == mark) else { return self.line.len() };
        let known = &self.next[place];
        if !(known.start <= from && from < known.end) {
            self.next[place] = from..self.run(from, |byte| byte != mark);
        }
        self.next[place].end
    }

    /// Where a run of white space ends that begins here.
    fn blanks(&self, at: usize) -> usize {
        self.line.len() - self.line[at..].trim_start().len()
    }

    fn byte(&self, at: usize) -> Option<u8> {
        self.line.as_bytes().get(at).copied()
    }

    /// Where the line ends, the line break left out.
    fn end(&self, at: usize) -> usize {
        self.line[at..].find('\n').map_or(self.line.len(), |end| at + end)
    }

    /// The white space that begins here.
    fn blank(&self, at: usize) -> Option<usize> {
        self.line[at..].chars().next().filter(|letter| letter.is_whitespace()).map(|letter| at + letter.len_utf8())
    }
}

/// Whether a letter can stand in a word, by the rule of the patterns (UTS 18, annex C).
fn is_word(letter: Option<char>) -> bool {
    static WORD: LazyLock<Regex> = LazyLock::new(|| Regex::new(r"^\w").expect("the pattern is sound"));
    letter.is_some_and(|letter| match letter.is_ascii() {
        true => letter.is_ascii_alphanumeric() || letter == '_',
        false => WORD.is_match(letter.encode_utf8(&mut [0; 4])),
    })
}

/// The fields of a case. Where two things could begin at one place the first of them counts.
pub(crate) fn yaml(pen: &mut Pen<'_, '_>, at: usize) -> Option<usize> {
    let first = pen.byte(at)?;
    // Nearly all letters begin nothing but a field at the start of a line, and nearly all blanks no comment.
    let may_begin = match first {
        b'"' | b'\'' | b'#' | b'{' | b'}' | b'[' | b']' | b',' | b'0'..=b'9' => true,
        _ if first.is_ascii() => pen.byte(at + 1) == Some(b'#'),
        _ => true,
    };
    if at > 0 && !may_begin {
        return None;
    }
    let mark = if at == 0 && first == b'#' { Some(at) } else { pen.blank(at) };
    if let Some(mark) = mark.filter(|mark| pen.byte(*mark) == Some(b'#')) {
        let end = pen.end(mark);
        return pen.pieces(at..end, &[(mark..end, "c")]);
    }
    let before = pen.line[..at].chars().next_back();
    let quoted = match first {
        b'"' if !pen.open_ended => {
            let end = double(pen, at);
            // All later marks of the line are escaped then, and nothing closes what they would open either.
            pen.open_ended = end.is_none();
            end
        }
        // Not inside a word: the mark of 2 o'clock opens no quotation.
        b'\'' if !is_word(before) => single(pen, at),
        _ => None,
    };
    if let Some(end) = quoted {
        return pen.whole(at..end, "s");
    }
    if let Some((key, end)) = key(pen, at) {
        let colon = key.end..key.end + 1;
        return pen.pieces(at..end, &[(key, "k"), (colon, "p")]);
    }
    if first.is_ascii_digit() && !is_word(before) {
        let whole = pen.run(at, |byte| byte.is_ascii_digit());
        let fraction = pen.run((whole + 1).min(pen.line.len()), |byte| byte.is_ascii_digit());
        let long = (pen.byte(whole) == Some(b'.') && fraction > whole + 1).then_some(fraction);
        let ends = |end: &usize| !is_word(pen.line[*end..].chars().next());
        if let Some(end) = long.filter(ends).or(Some(whole).filter(ends)) {
            return pen.whole(at..end, "n");
        }
    }
    if matches!(first, b'[' | b']' | b'{' | b'}' | b',') {
        return pen.whole(at..at + 1, "p");
    }
    if at > 0 {
        return None;
    }
    let dash = pen.blanks(at);
    if pen.byte(dash) != Some(b'-') {
        return None;
    }
    let end = pen.blank(dash + 1)?;
    pen.whole(at..end, "p")
}

/// Where a text in double quotation marks ends.
fn double(pen: &Pen<'_, '_>, at: usize) -> Option<usize> {
    let mut letters = pen.line[at + 1..].char_indices();
    while let Some((place, letter)) = letters.next() {
        match letter {
            '"' => return Some(at + 1 + place + 1),
            '\\' if letters.next().is_none_or(|(_, next)| next == '\n') => return None,
            _ => {}
        }
    }
    None
}

/// Where a text in single quotation marks ends. Two marks in it stand for one, unless nothing closes it later.
fn single(pen: &Pen<'_, '_>, at: usize) -> Option<usize> {
    let (mut next, mut last) = (at + 1, None);
    while let Some(mark) = pen.line[next..].find('\'').map(|mark| next + mark) {
        if pen.byte(mark + 1) != Some(b'\'') {
            return Some(mark + 1);
        }
        last = Some(mark + 1);
        next = mark + 2;
    }
    last
}

/// The name of a field that begins here, and where the blank behind its colon ends.
fn key(pen: &Pen<'_, '_>, at: usize) -> Option<(Range<usize>, usize)> {
    let start = match pen.byte(at)? {
        b'{' | b',' => pen.blanks(at + 1),
        _ if at == 0 => {
            let mut start = pen.blanks(at);
            while pen.byte(start) == Some(b'-') && pen.byte(start + 1) == Some(b' ') {
                start = pen.run(start + 1, |byte| byte == b' ');
            }
            start
        }
        _ => return None,
    };
    if !pen.byte(start).is_some_and(|byte| byte.is_ascii_alphabetic() || byte == b'_') {
        return None;
    }
    let end = pen.run(start, |byte| byte.is_ascii_alphanumeric() || matches!(byte, b'_' | b' ' | b'-'));
    if pen.byte(end) != Some(b':') {
        return None;
    }
    let behind = if end + 1 == pen.line.len() { Some(end + 1) } else { pen.blank(end + 1) };
    Some((start..end, behind?))
}

/// What stands between the fields.
pub(crate) fn markdown(pen: &mut Pen<'_, '_>, at: usize) -> Option<usize> {
    if at > 0 && !matches!(pen.byte(at)?, b'*' | b'`' | b'[') {
        return None;
    }
    // A run that holds none of these and the mark that closes it. A line break is the end of a line.
    let closed = |pen: &mut Pen<'_, '_>, from: usize, mark: &str| {
        let end = pen.next(mark.as_bytes()[0], from);
        (end > from && pen.line[end..].starts_with(mark)).then(|| end + mark.len())
    };
    let rest = &pen.line[at..];
    if at == 0 {
        let marks = pen.run(at, |byte| byte == b'#');
        if (1..=6).contains(&marks) && pen.byte(marks) == Some(b' ') {
            return pen.whole(at..pen.end(at), "h");
        }
    }
    if rest.starts_with("**")
        && let Some(end) = closed(pen, at + 2, "**")
    {
        return pen.whole(at..end, "b");
    }
    if rest.starts_with('*')
        && let Some(end) = closed(pen, at + 1, "*")
    {
        return pen.whole(at..end, "i");
    }
    if rest.starts_with('`')
        && let Some(end) = closed(pen, at + 1, "`")
    {
        return pen.whole(at..end, "s");
    }
    if rest.starts_with('[') {
        let words = pen.next(b']', at + 1);
        if pen.line[words..].starts_with("](") {
            let target = pen.next(b')', words + 2);
            if pen.byte(target) == Some(b')') {
                let (open, between, close) = (at..at + 1, words..words + 2, target..target + 1);
                return pen
                    .pieces(at..target + 1, &[(open, "p"), (between, "p"), (words + 2..target, "l"), (close, "p")]);
            }
        }
    }
    if at == 0 {
        let mark = pen.blanks(at);
        let digits = pen.run(mark, |byte| byte.is_ascii_digit());
        let end = match pen.byte(mark) {
            Some(b'-' | b'*' | b'+') => mark + 1,
            _ if digits > mark && pen.byte(digits) == Some(b'.') => digits + 1,
            _ => return None,
        };
        if pen.byte(end) == Some(b' ') {
            return pen.whole(at..end + 1, "p");
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::files::{Disk, Files};
    use proptest::prelude::*;
    use std::path::Path;

    /// A rule: what it matches, the class of the whole match, and those of its groups.
    type Rule = (&'static str, &'static str, &'static [(usize, &'static str)]);

    /// Where two rules match at one place the first of them counts.
    const FIELDS: &[Rule] = &[
        (r"(?:^|\s)(#.*)", "", &[(1, "c")]),
        (r#""(?:[^"\\]|\\.)*""#, "s", &[]),
        (r"\B'(?:[^']|'')*'", "s", &[]),
        (r"(?:^\s*(?:- +)*|[{,]\s*)([A-Za-z_][A-Za-z0-9_ -]*)(:)(?:\s|$)", "", &[(1, "k"), (2, "p")]),
        (r"\b[0-9]+(?:\.[0-9]+)?\b", "n", &[]),
        (r"[\[\]{},]|^\s*-\s", "p", &[]),
    ];

    const PROSE: &[Rule] = &[
        (r"^#{1,6} .*", "h", &[]),
        (r"\*\*[^*\n]+\*\*", "b", &[]),
        (r"\*[^*\n]+\*", "i", &[]),
        (r"`[^`\n]+`", "s", &[]),
        (r"(\[)[^\]\n]*(\]\()([^)\n]*)(\))", "", &[(1, "p"), (2, "p"), (3, "l"), (4, "p")]),
        (r"^\s*(?:[-*+]|[0-9]+\.) ", "p", &[]),
    ];

    type Pieces<'l> = Vec<(&'l str, &'static str)>;

    /// All rules as one pattern: each is a group, and has its own groups in it.
    fn pattern(rules: &[Rule]) -> Regex {
        let all: Vec<String> = rules.iter().map(|(pattern, ..)| format!("({pattern})")).collect();
        Regex::new(&all.join("|")).expect("the rules are sound")
    }

    /// What the patterns make of a line.
    fn by_pattern<'l>(rules: &[Rule], pattern: &Regex, line: &'l str) -> Pieces<'l> {
        let (mut out, mut from) = (Vec::new(), 0);
        for found in pattern.captures_iter(line) {
            let mut group = 1;
            for (_, whole, groups) in rules {
                let first = group;
                group += groups.len() + 1;
                let Some(range) = found.get(first).map(|it| it.range()) else { continue };
                out.push((&line[from..range.start], ""));
                from = range.start;
                for (inner, class) in groups.iter().filter_map(|(at, class)| Some((found.get(first + at)?, class))) {
                    out.extend([(&line[from..inner.start()], *whole), (inner.as_str(), *class)]);
                    from = inner.end();
                }
                out.push((&line[from..range.end], whole));
                from = range.end;
                break;
            }
        }
        out.push((&line[from..], ""));
        out.retain(|(text, _)| !text.is_empty());
        out
    }

    fn by_hand(grammar: Grammar, text: &str) -> Pieces<'_> {
        let mut out = Vec::new();
        line(grammar, text, &mut |text, class| out.push((text, class)));
        out.retain(|(text, _)| !text.is_empty());
        out
    }

    #[test]
    fn cases_are_coloured_as_the_patterns_say() {
        let (fields, prose) = (pattern(FIELDS), pattern(PROSE));
        let mut lines = 0;
        let demo = Disk::new(Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/cases")), &[]);
        let files = demo.list().expect("the demo").into_iter().filter(|entry| entry.path.ends_with(".md"));
        for bytes in files.filter_map(|entry| demo.read(&entry.path).ok()) {
            let text = String::from_utf8_lossy(&bytes);
            for text in text.split_inclusive('\n') {
                assert_eq!(by_hand(yaml, text), by_pattern(FIELDS, &fields, text));
                assert_eq!(by_hand(markdown, text), by_pattern(PROSE, &prose, text));
                lines += 1;
            }
        }
        assert!(lines > 3000, "the demo was read: {lines}");
    }

    /// With a look at all that follows for each of these, a line would take minutes.
    #[test]
    fn a_line_that_opens_without_end_is_coloured_at_once() {
        for piece in ["[", "\\\"", "*", "`", "'", "\u{3000}", "{", ",", "[a", "1.", "#", "- "] {
            for (begin, end) in [("", "\n"), ("\"", "\n"), ("[", "]\n"), ("x ", "](")] {
                let text = format!("{begin}{}{end}", piece.repeat(200_000));
                for grammar in [yaml, markdown] {
                    let put: usize = by_hand(grammar, &text).iter().map(|(piece, _)| piece.len()).sum();
                    assert_eq!(put, text.len());
                }
            }
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 4000, failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn any_line_is_coloured_as_the_patterns_say(
            pieces in proptest::collection::vec(
                prop::sample::select(vec![
                    "a", "B_", " ", "  ", "- ", "-", "#", "##", "'", "''", "\"", "\\", "1", "20", ".", ".5", ":", ": ",
                    "{", "}", "[", "](", ")", ",", "*", "**", "`", "é", "\u{301}", "\u{a0}", "‿", "٣", "+ ", "\t",
                ]),
                0..14,
            ),
            broken in any::<bool>(),
        ) {
            static BOTH: LazyLock<(Regex, Regex)> = LazyLock::new(|| (pattern(FIELDS), pattern(PROSE)));
            let text = format!("{}{}", pieces.concat(), if broken { "\n" } else { "" });
            prop_assert_eq!(by_hand(yaml, &text), by_pattern(FIELDS, &BOTH.0, &text));
            prop_assert_eq!(by_hand(markdown, &text), by_pattern(PROSE, &BOTH.1, &text));
        }
    }
}
