//! The patterns of all detectors together: which of them a text holds at all is found in one pass over it.
//!
//! A case holds next to nothing of what is looked for. Each pattern by itself reads the whole text to find that out, and
//! there are more than fifty; an automaton of them all reads it once. It only says which patterns match somewhere, so what
//! is found stays what each pattern finds by itself.

use regex::{CaptureMatches, Regex, RegexSet, RegexSetBuilder, SetMatches};
use std::borrow::Cow;
use std::ops::Deref;
use std::sync::{LazyLock, OnceLock};

/// Bytes of states that the automaton may keep for each thread. A text in many scripts asks for some ten megabytes; with too
/// few, states are made anew again and again, which takes a hundred times as long.
const STATES: usize = 32 << 20;
/// Bytes of the compiled automaton, far above what it takes.
const COMPILED: usize = 256 << 20;
/// Bytes of a text above which each pattern looks by itself, so that no text, however written, can exhaust the states.
const LONGEST: usize = 1 << 20;

/// A pattern of a detector, compiled when a text is known to hold it; a test compiles them all.
#[derive(Debug)]
pub(super) struct Pattern {
    source: Cow<'static, str>,
    regex: OnceLock<Regex>,
    place: OnceLock<usize>,
}

impl Pattern {
    pub(super) const fn new(source: &'static str) -> Self {
        Self { source: Cow::Borrowed(source), regex: OnceLock::new(), place: OnceLock::new() }
    }

    /// A pattern that is put together.
    pub(super) const fn made(source: String) -> Self {
        Self { source: Cow::Owned(source), regex: OnceLock::new(), place: OnceLock::new() }
    }

    fn regex(&self) -> &Regex {
        self.regex.get_or_init(|| Regex::new(&self.source).expect("the pattern is sound"))
    }
}

/// All patterns that stand in the lists of detectors.
static ALL: LazyLock<RegexSet> = LazyLock::new(|| {
    let patterns: Vec<&Pattern> = super::DETECTORS.iter().flat_map(|detector| (detector.patterns)()).collect();
    for (at, pattern) in patterns.iter().enumerate() {
        pattern.place.get_or_init(|| at);
    }
    let sources = patterns.iter().map(|pattern| &pattern.source);
    let built = RegexSetBuilder::new(sources).dfa_size_limit(STATES).size_limit(COMPILED).build();
    built.expect("each pattern is sound")
});

/// A text that is searched, and which patterns it holds.
pub(super) struct Searched<'t> {
    text: &'t str,
    holds: Option<SetMatches>,
}

impl<'t> Searched<'t> {
    /// Looks once for all patterns.
    pub(super) fn of(text: &'t str) -> Self {
        Self { text, holds: (text.len() <= LONGEST).then(|| ALL.matches(text)) }
    }

    /// Lets each pattern look by itself.
    #[cfg(test)]
    fn one_by_one(text: &'t str) -> Self {
        Self { text, holds: None }
    }

    /// Every match of a pattern, if there is one. A pattern that stands in no list would be looked for by itself.
    pub(super) fn captures<'p>(&self, pattern: &'p Pattern) -> Option<CaptureMatches<'p, 't>> {
        debug_assert!(self.holds.is_none() || pattern.place.get().is_some(), "not in the list: {}", pattern.source);
        let held = self.holds.as_ref().zip(pattern.place.get()).is_none_or(|(holds, place)| holds.matched(*place));
        held.then(|| pattern.regex().captures_iter(self.text))
    }
}

impl Deref for Searched<'_> {
    type Target = str;

    fn deref(&self) -> &str {
        self.text
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::privacy::{DETECTORS, Normal, find_in};

    /// Invented and published identifiers, and what only looks like one.
    const TABLE: &str = include_str!("../../../tests/data/identifiers.csv");

    #[test]
    fn one_look_for_all_finds_what_each_pattern_finds_by_itself() {
        let lines: Vec<&str> = TABLE.lines().collect();
        let texts = [1, 2, 7, 40, 150].iter().flat_map(|many| lines.chunks(*many).map(|some| some.join("\n")));
        let mut found = 0;
        for text in texts.map(|text| Normal::of(&text).text) {
            let hits = find_in(&Searched::of(&text));
            assert_eq!(hits, find_in(&Searched::one_by_one(&text)), "{text}");
            found += hits.len();
        }
        assert!(found > 1000, "the table holds identifiers: {found}");
    }

    #[test]
    fn a_text_too_long_for_the_automaton_is_searched_as_well() {
        let text = format!("{}{}", "seen again. ".repeat(LONGEST / 12 + 1), "Mr Smith rang.");
        assert!(Searched::of(&text).holds.is_none());
        assert_eq!(find_in(&Searched::of(&text)).len(), 1);
    }

    #[test]
    fn every_pattern_is_sound_and_stands_in_the_list_once() {
        LazyLock::force(&ALL);
        let patterns: Vec<&Pattern> = DETECTORS.iter().flat_map(|detector| (detector.patterns)()).collect();
        for (at, pattern) in patterns.iter().enumerate() {
            assert_eq!((pattern.regex().as_str(), pattern.place.get()), (&*pattern.source, Some(&at)));
        }
    }
}
