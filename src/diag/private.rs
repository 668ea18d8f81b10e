//! What one finding must not show, no other shows either: a report lies in logs and on screens that others see.

use super::Diagnostic;
use super::places::Places;
use crate::text::{FileId, Sources, Span};
use std::collections::{BTreeMap, BTreeSet};

/// What stands in a sentence for what must not be shown.
const HIDDEN: &str = "what stands here";
/// What stands for a sentence that names it outside of the marks around a quotation.
const SAID: &str = "something is wrong here that is not repeated, since it may identify a person";
/// Fewest letters or digits that could give somebody away.
const LEAST: usize = 3;

/// The lines that hold what must not be shown, with what it is: letters and digits alone, in lower case.
pub(super) type Lines = BTreeMap<(FileId, usize), BTreeSet<String>>;

/// The lines of a span.
fn lines(span: Span, places: &Places<'_>) -> Option<std::ops::RangeInclusive<usize>> {
    Some(places.start(span)?.position.line..=places.end(span)?.position.line)
}

/// The lines of which at least one finding must not show the words.
pub(super) fn private(diagnostics: &[Diagnostic], places: &Places<'_>) -> Lines {
    let mut private = Lines::new();
    for span in diagnostics.iter().filter(|it| !it.rule.quotes).filter_map(|it| it.span) {
        let (Some(lines), Some(spot)) = (lines(span, places), places.start(span)) else { continue };
        let hidden = folded(spot.source.slice(span));
        for line in lines {
            private.entry((span.file, line)).or_default().insert(hidden.clone());
        }
    }
    private
}

/// Takes out of every sentence about such a line what must not be shown.
pub(super) fn hide(diagnostics: &mut [Diagnostic], sources: &Sources) {
    if diagnostics.iter().all(|it| it.rule.quotes) {
        return;
    }
    let places = Places::new(sources);
    let private = private(diagnostics, &places);
    for diagnostic in diagnostics.iter_mut().filter(|it| it.rule.quotes) {
        let spans = diagnostic.span.into_iter().chain(diagnostic.also.iter().map(|(span, _)| *span));
        let hidden: BTreeSet<&String> = spans
            .filter_map(|span| Some((span.file, lines(span, &places)?)))
            .flat_map(|(file, lines)| private.range((file, *lines.start())..=(file, *lines.end())))
            .flat_map(|(_, hidden)| hidden)
            .filter(|it| it.chars().count() >= LEAST)
            .collect();
        if hidden.is_empty() {
            continue;
        }
        diagnostic.message = without(&diagnostic.message, &hidden, SAID);
        for (_, what) in &mut diagnostic.also {
            *what = without(what, &hidden, "it belongs to this place");
        }
        let mends = std::mem::take(&mut diagnostic.mends);
        let mends = mends.into_iter().map(|mend| without(&mend, &hidden, ""));
        diagnostic.mends = mends.filter(|mend| !mend.is_empty()).collect();
    }
}

/// A sentence without the quotations that give something away; as a whole another, if more than its quotations does.
fn without(sentence: &str, hidden: &BTreeSet<&String>, other: &str) -> String {
    let gives_away = |text: &str| {
        let text = folded(text);
        hidden.iter().any(|it| text.contains(it.as_str()) || text.chars().count() >= LEAST && it.contains(&text))
    };
    let mut out = String::with_capacity(sentence.len());
    let pieces: Vec<&str> = sentence.split('`').collect();
    for (at, piece) in pieces.iter().enumerate() {
        // Every second piece stands between two marks.
        let quoted = at % 2 == 1 && at + 1 < pieces.len();
        match quoted {
            true if gives_away(piece) => out.push_str(HIDDEN),
            true => out.extend(["`", piece, "`"]),
            false if at % 2 == 1 => out.extend(["`", piece]),
            false => out.push_str(piece),
        }
    }
    let text = folded(&out);
    if hidden.iter().any(|it| text.contains(it.as_str())) { other.to_owned() } else { out }
}

/// Letters and digits alone, in lower case: `Mr_Smith` and `mr-smith` are one.
fn folded(text: &str) -> String {
    text.chars().filter(|letter| letter.is_alphanumeric()).flat_map(char::to_lowercase).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quotations_that_give_something_away_are_left_out() {
        let name = "smitherton".to_owned();
        let hidden = BTreeSet::from([&name]);
        let shown = |sentence: &str| without(sentence, &hidden, SAID);
        assert_eq!(shown("no finding is called `Mr Smitherton`"), "no finding is called what stands here");
        assert_eq!(shown("write `mr-smitherton` or `eye`"), "write what stands here or `eye`");
        assert_eq!(shown("`Smither` is no step"), "what stands here is no step");
        assert_eq!(shown("there is no file called Mr Smitherton"), SAID);
        assert_eq!(shown("`eye` is missing"), "`eye` is missing");
        assert_eq!(shown("a mark ` alone"), "a mark ` alone");
    }
}
