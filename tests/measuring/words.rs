//! Prose for made-up cases: running text with the statistics of write-ups, without their sense.
//!
//! Three sources, mixed word by word:
//! - a core of some 1,500 words, those that the vocabulary and the demo narratives use most, with Zipf frequencies;
//! - terms of the vocabulary, whole, so that there is something to link;
//! - a tail of rare words that grows with the library, by a Yule–Simon process: a word of the tail is new with a fixed
//!   probability, and otherwise repeats a word of the tail drawn evenly from all before it (Simon, "On a class of skew
//!   distribution functions", Biometrika 1955;42:425-440). New words are made letter by letter from trigrams of the core.
//!
//! The tail does not begin from nothing: 20,000 words have been said once before the first case. They stand for the
//! words of published abstracts, which no licence lets us ship. So a library of 1,000 cases has about as many distinct
//! words (23,600) as one that we made with such abstracts (23,900), and so has one of 10,000 (58,000 and 59,000).

use super::random::{Random, Zipf};
use casewright::check::privacy::find_written;
use std::collections::BTreeMap;

/// How many words the core has.
const CORE: usize = 1_500;
/// Share of the words of a text that come from the tail.
const TAIL: f64 = 0.24;
/// Share of the words of the tail that are new.
const NEW: f64 = 0.008;
/// How many words the tail has before the first case.
const BEFORE: u64 = 20_000;
/// Places in the tail that a case has, more than it needs: they are fixed, so that no case hangs on another's length.
const SLOTS: u64 = 768;

/// Kinds of random streams.
const COIN: u64 = 1;
const SPELL: u64 = 2;
const PROSE: u64 = 3;

/// Where words come from.
#[derive(Debug)]
pub(crate) struct Lexicon {
    seed: u64,
    /// Most frequent first.
    core: Vec<String>,
    frequencies: Zipf,
    /// Two letters → the letters that follow them, as often as they do; a blank is the edge of a word.
    trigrams: BTreeMap<[char; 2], Vec<char>>,
}

impl Lexicon {
    /// A lexicon from texts that have the words of the trade.
    pub(crate) fn new(seed: u64, texts: &[&str]) -> Self {
        let mut counted: BTreeMap<String, usize> = BTreeMap::new();
        for word in texts.iter().flat_map(|text| text.split(|letter: char| !letter.is_ascii_alphabetic())) {
            // Drawn at random, "first name" is followed by what the privacy rules must take for one.
            if word.len() > 1 && !word.eq_ignore_ascii_case("name") {
                *counted.entry(word.to_ascii_lowercase()).or_default() += 1;
            }
        }
        counted.insert("a".to_owned(), counted.get("the").map_or(1, |often| often / 2));
        let mut trigrams: BTreeMap<[char; 2], Vec<char>> = BTreeMap::new();
        for word in counted.keys() {
            let letters: Vec<char> = "  ".chars().chain(word.chars()).chain([' ']).collect();
            for three in letters.windows(3) {
                trigrams.entry([three[0], three[1]]).or_default().push(three[2]);
            }
        }
        let mut core: Vec<(usize, String)> = counted.into_iter().map(|(word, often)| (often, word)).collect();
        core.sort_by(|one, other| other.0.cmp(&one.0).then_with(|| one.1.cmp(&other.1)));
        core.truncate(CORE);
        let core: Vec<String> = core.into_iter().map(|(_, word)| word).collect();
        Self { seed, frequencies: Zipf::new(core.len()), core, trigrams }
    }

    /// The word at a place of the tail's one long sequence.
    fn tail(&self, place: u64) -> String {
        let mut at = place;
        loop {
            let mut random = Random::new(self.seed, COIN, at);
            if at < BEFORE || random.happens(NEW) {
                return self.spelt(at);
            }
            at = random.below(at);
        }
    }

    /// A word that nobody wrote, always the same for a number.
    fn spelt(&self, number: u64) -> String {
        let mut random = Random::new(self.seed, SPELL, number);
        let mut word = String::new();
        let mut last = [' ', ' '];
        while word.len() < 14 {
            let Some(follow) = self.trigrams.get(&last) else { break };
            let letter = *random.one(follow);
            if letter == ' ' {
                if word.len() >= 5 {
                    break;
                }
                // Too short: begin again, with the numbers that come next.
                word.clear();
                last = [' ', ' '];
                continue;
            }
            word.push(letter);
            last = [last[1], letter];
        }
        word
    }
}

/// Writes the prose of one case.
#[derive(Debug)]
pub(crate) struct Writer<'l> {
    lexicon: &'l Lexicon,
    random: Random,
    /// The case's own terms, which its text is about.
    terms: Vec<String>,
    /// Where the case's share of the tail begins, and how much of it is used.
    share: u64,
    used: u64,
}

impl<'l> Writer<'l> {
    /// For the case with this number, about these terms.
    pub(crate) fn new(lexicon: &'l Lexicon, number: u64, terms: Vec<String>) -> Self {
        let random = Random::new(lexicon.seed, PROSE, number);
        Self { lexicon, random, terms, share: BEFORE + number * SLOTS, used: 0 }
    }

    /// One word, or a term of several.
    fn word(&mut self) -> String {
        if !self.terms.is_empty() && self.random.happens(0.035) {
            return self.random.one(&self.terms).clone();
        }
        if self.random.happens(TAIL) {
            self.used = (self.used + 1) % SLOTS;
            return self.lexicon.tail(self.share + self.used);
        }
        let place = self.lexicon.frequencies.place(&mut self.random);
        self.lexicon.core[place].clone()
    }

    /// So many words, without a full stop: for notes and titles. It never holds what YAML would read as a sign.
    pub(crate) fn phrase(&mut self, least: u64, most: u64) -> String {
        let many = self.random.from(least, most);
        let words: Vec<String> = (0..many).map(|_| self.word()).collect();
        casewright::text::capitalised(&words.join(" "))
    }

    /// A sentence. Among millions a few would name somebody by chance ("patient called you"), and are thrown away.
    pub(crate) fn sentence(&mut self) -> String {
        loop {
            let sentence = self.any_sentence();
            if find_written(&sentence).is_empty() {
                return sentence;
            }
        }
    }

    fn any_sentence(&mut self) -> String {
        let many = self.random.from(7, 24);
        let comma = self.random.from(3, 12);
        let emphasis = self.random.happens(0.04).then(|| self.random.below(many));
        let mut sentence = String::new();
        for at in 0..many {
            let word = self.word();
            let word = if emphasis == Some(at) { format!("*{word}*") } else { word };
            if at > 0 {
                sentence.push_str(if at == comma && at + 2 < many { ", " } else { " " });
            }
            sentence.push_str(&if at == 0 { casewright::text::capitalised(&word) } else { word });
        }
        sentence + "."
    }

    /// Sentences until there are at least so many words.
    pub(crate) fn paragraph(&mut self, words: usize) -> String {
        let mut paragraph = self.sentence();
        while paragraph.split(' ').count() < words {
            paragraph.push(' ');
            paragraph.push_str(&self.sentence());
        }
        paragraph
    }
}
