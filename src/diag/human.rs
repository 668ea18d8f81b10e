//! The report for people: place first, the line with the token marked, what is wrong, how to mend it.

use super::places::Places;
use super::private::{Lines, private};
use super::{Diagnostic, Severity, Tally};
use crate::text::{Sources, Span, count};
use std::fmt::Write as _;

/// Longest piece of a line that is shown; the rest is cut around the token.
const SHOWN: usize = 100;

/// The whole report, one paragraph a finding, followed by a line that counts them.
pub fn report(diagnostics: &[Diagnostic], sources: &Sources) -> String {
    let mut out = String::new();
    let places = Places::new(sources);
    // A line of which one finding must not show the words is shown by no other.
    let private = private(diagnostics, &places);
    for diagnostic in diagnostics {
        one(&mut out, diagnostic, &places, &private);
        out.push('\n');
    }
    out
}

/// `2 errors, 1 warning` in words, or `nothing to mend`.
pub fn tally(tally: Tally) -> String {
    let mut parts = Vec::new();
    for (n, noun) in [(tally.errors, "error"), (tally.warnings, "warning")] {
        if n > 0 {
            parts.push(count(n, noun));
        }
    }
    match tally.advice {
        0 => {}
        1 => parts.push("1 piece of advice".to_owned()),
        n => parts.push(format!("{n} pieces of advice")),
    }
    if parts.is_empty() { "nothing to mend".to_owned() } else { parts.join(", ") }
}

fn one(out: &mut String, diagnostic: &Diagnostic, places: &Places<'_>, private: &Lines) {
    let _ = write!(out, "{}", place(diagnostic.span, &diagnostic.path, places));
    let mark = match diagnostic.severity() {
        Severity::Error => "",
        Severity::Warning => " (warning)",
        Severity::Advice => " (advice)",
    };
    let _ = writeln!(out, "{mark}");
    if let Some(span) = diagnostic.span.filter(|_| diagnostic.rule.quotes) {
        line(out, span, places, private);
    }
    let _ = writeln!(out, "  {}.", diagnostic.message.trim_end_matches('.'));
    for (span, what) in &diagnostic.also {
        let _ = writeln!(out, "  {what}: {}", place(Some(*span), &diagnostic.path, places));
        if diagnostic.rule.quotes {
            line(out, *span, places, private);
        }
    }
    for mend in &diagnostic.mends {
        let _ = writeln!(out, "  To mend it: {mend}.", mend = mend.trim_end_matches('.'));
    }
    let _ = writeln!(out, "  More: casewright explain {}", diagnostic.rule.name);
}

/// `cases/plaque.md, line 7, column 12`, or only the path.
fn place(span: Option<Span>, path: &str, places: &Places<'_>) -> String {
    match span.and_then(|span| places.start(span)) {
        Some(spot) => {
            format!("{}, line {}, column {}", spot.source.path, spot.position.line, spot.position.column)
        }
        None => path.to_owned(),
    }
}

/// The line with a row of `~` under the token. Tabs become one blank so that the marks stand right.
///
/// Only the piece of the line that is shown is looked at: the line may be megabytes long, and wrong in a million places.
fn line(out: &mut String, span: Span, places: &Places<'_>, private: &Lines) {
    let Some(spot) = places.start(span) else { return };
    if private.contains_key(&(span.file, spot.position.line)) {
        let _ = writeln!(out, "      (not shown: the line may hold something private)");
        return;
    }
    let text = &spot.source.text;
    let from = spot.position.column - 1;
    let token = spot.source.slice(span).chars().take_while(|letter| !matches!(letter, '\n' | '\r'));
    let width = token.take(SHOWN).count().max(1);
    let before = if from + width.min(40) > SHOWN { from.min(30) } else { from };
    let start = match before.checked_sub(1) {
        None => spot.offset,
        Some(back) => text[..spot.offset].char_indices().rev().nth(back).map_or(0, |(at, _)| at),
    };
    // Two more than are shown: a carriage return ends the line and is none of its letters.
    let mut letters: Vec<char> = text[start..].chars().take_while(|letter| *letter != '\n').take(SHOWN + 2).collect();
    while letters.last() == Some(&'\r') {
        letters.pop();
    }
    let (left, right) = (if before < from { "… " } else { "" }, if letters.len() > SHOWN { " …" } else { "" });
    letters.truncate(SHOWN);
    for letter in letters.iter_mut().filter(|letter| letter.is_control()) {
        *letter = ' ';
    }
    let shown: String = letters.iter().collect();
    let (mark, end) = (before.min(letters.len()), (before + width).min(letters.len()));
    let lead = columns(&letters[..mark]) + left.chars().count();
    let under = columns(&letters[mark..end]).max(1);
    let _ = writeln!(out, "      {left}{shown}{right}\n      {}{}", " ".repeat(lead), "~".repeat(under));
}

/// How many terminal columns the characters take: two for East Asian wide ones and emoji, none for combining marks.
fn columns(letters: &[char]) -> usize {
    letters
        .iter()
        .map(|&letter| match letter {
            _ if unicode_normalization::char::is_combining_mark(letter) => 0,
            '\u{1100}'..='\u{115f}' | '\u{2e80}'..='\u{a4cf}' | '\u{ac00}'..='\u{d7a3}' | '\u{f900}'..='\u{faff}' => 2,
            '\u{fe30}'..='\u{fe6f}' | '\u{ff00}'..='\u{ff60}' | '\u{1f300}'..='\u{1faff}' => 2,
            _ => 1,
        })
        .sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diag::Rule;
    use crate::text::FileId;

    static SAMPLE: Rule = Rule {
        name: "sample",
        severity: Severity::Error,
        what: "",
        why: "",
        instead_of: "",
        write: "",
        source: "",
        quotes: true,
    };

    #[test]
    fn place_then_line_then_words_then_mend() {
        let mut sources = Sources::default();
        let file = sources.add("cases/a.md", "---\neye: lefft\n");
        let diagnostic =
            Diagnostic::at(&SAMPLE, Span::new(file, 9, 14), "`lefft` is not an eye").mend("write left or right");
        assert_eq!(
            report(&[diagnostic], &sources),
            "cases/a.md, line 2, column 6\n      eye: lefft\n           ~~~~~\n  `lefft` is not an eye.\n  \
             To mend it: write left or right.\n  More: casewright explain sample\n\n"
        );
    }

    #[test]
    fn a_line_of_megabytes_is_cut_around_its_token() {
        let mut sources = Sources::default();
        let text = format!("{}HERE{}", "x".repeat(1_000_000), "y".repeat(1_000_000));
        let file = sources.add("a.md", text);
        let shown = report(&[Diagnostic::at(&SAMPLE, Span::new(file, 1_000_000, 1_000_004), "odd")], &sources);
        assert!(shown.len() < 600 && shown.contains("HERE") && shown.contains("~~~~\n"), "{shown}");
    }

    #[test]
    fn a_span_outside_the_text_does_not_panic() {
        let mut sources = Sources::default();
        let file = sources.add("a.md", "é");
        let odd = [Span::new(file, 1, 9), Span::new(file, 90, 99), Span::new(FileId(7), 0, 1)];
        for span in odd {
            assert!(report(&[Diagnostic::at(&SAMPLE, span, "odd")], &sources).contains("odd"));
        }
    }
}
