//! Made-up queries, always the same ones: words of a document with slips, words half typed, phrases, names of concepts,
//! filters, and what nobody in their senses would type.

use crate::random::Random;
use crate::searching::made::Made;
use casewright::model::search::Field;
use casewright::text::analyser::{is_stop_word, query_tokens};
use serde_json::{Value, json};

const SEED: u64 = 7;
const WORKLOAD: u64 = 1;
const MIXED: u64 = 2;
const SLIPS: u64 = 3;

/// What nobody would type, or only once.
const ODD: &[&str] = &[
    "",
    " ",
    "the of and",
    "œdème ΣΟΦΟΣ",
    "İris",
    "\"",
    "\"\"",
    "6/24 10-0 0.5",
    "10–0",
    "ﬁbre ﬀ ½",
    "日本語 text",
    "a",
    "ab",
    "capsule capsule capsule",
    "“posterior capsule rupture",
    "𝒳𝓎 capsule",
    "phacoemulsifica",
    "e\u{301}lan",
    "#1",
    "ZZZZZZ",
    "qqqqqqqqqqqqqqqq vitreous",
    "\"of the\" lens",
    "constructor __proto__ toString",
    "10-0",
    "23g",
    "PCR or PCO?",
];

/// A query: what is typed, whether concepts are left out, and values that a document must have.
#[derive(Debug, Clone)]
pub(crate) struct Asked {
    pub(crate) typed: String,
    pub(crate) plain: bool,
    pub(crate) choice: Vec<u32>,
}

impl Asked {
    /// As the twin reads it.
    pub(crate) fn json(&self, most: usize) -> Value {
        json!({ "typed": self.typed, "plain": self.plain, "choice": self.choice, "most": most })
    }
}

/// Words of a document's title and lessons that are worth typing.
fn words(made: &Made, number: usize) -> Vec<String> {
    let document = made.document(number);
    let texts = document.texts.iter().filter(|(field, _)| matches!(field, Field::Title | Field::Lessons));
    texts.flat_map(|(_, text)| query_tokens(text)).filter(|word| word.len() > 3 && !is_stop_word(word)).collect()
}

/// The word as far as it is typed: at least three letters of it.
fn begun(word: &str, random: &mut Random) -> String {
    let letters: Vec<char> = word.chars().collect();
    let typed = 3 + random.place(letters.len() - 2);
    letters[..typed.min(letters.len())].iter().collect()
}

/// Two or three words of a document, the last one half typed.
pub(crate) fn workload(made: &Made, documents: usize, many: usize) -> Vec<Asked> {
    let query = |number: u64| {
        let mut random = Random::new(SEED, WORKLOAD, number);
        let words = words(made, random.place(documents));
        let mut typed: Vec<String> = (0..random.from(2, 3)).map(|_| random.one(&words).clone()).collect();
        let last = typed.pop().unwrap_or_default();
        typed.push(begun(&last, &mut random));
        Asked { typed: typed.join(" "), plain: false, choice: Vec::new() }
    };
    (0..many as u64).map(query).collect()
}

/// A word with one slip: a letter changed, left out, put in, or exchanged with the next; the first letter in 6 of 100.
fn slip(word: &str, random: &mut Random) -> String {
    let mut letters: Vec<char> = word.chars().collect();
    let at = if random.happens(0.06) { 0 } else { 1 + random.place(letters.len() - 1) };
    let other = char::from(b'a' + random.below(26) as u8);
    match random.below(4) {
        0 => letters[at] = if letters[at] == other { 'q' } else { other },
        1 => drop(letters.remove(at)),
        2 => letters.insert(at, other),
        _ if at + 1 < letters.len() => letters.swap(at, at + 1),
        _ => letters.swap(at - 1, at),
    }
    letters.into_iter().collect()
}

/// Words of so many letters and more out of running text, each as it is and with one slip. `text` gives one by chance.
pub(crate) fn slips(text: impl Fn(&mut Random) -> String, many: usize, least: usize) -> Vec<(String, String)> {
    let mut found = Vec::new();
    let mut number = 0;
    while found.len() < many {
        let mut random = Random::new(SEED, SLIPS, number);
        number += 1;
        let words: Vec<String> = query_tokens(&text(&mut random))
            .into_iter()
            .filter(|word| word.len() >= least && word.bytes().all(|letter| letter.is_ascii_lowercase()))
            .filter(|word| !is_stop_word(word))
            .collect();
        if words.is_empty() {
            continue;
        }
        let word = random.one(&words).clone();
        let slipped = slip(&word, &mut random);
        if slipped != word {
            found.push((word, slipped));
        }
    }
    found
}

/// Queries of every kind, by turns.
pub(crate) fn mixed(made: &Made, documents: usize, many: usize) -> Vec<Asked> {
    let plain = workload(made, documents, many);
    let query = |(number, mut asked): (usize, Asked)| {
        let mut random = Random::new(SEED, MIXED, number as u64);
        let words = words(made, random.place(documents));
        let concept = &made.catalogue.concepts[random.place(made.catalogue.concepts.len())];
        match number % 10 {
            0 => asked.typed = slip(&random.one(&words).clone(), &mut random) + " " + &asked.typed,
            1 => asked.typed = format!("{} {}", random.one(&concept.terms), random.one(&words)),
            2 => asked.typed = random.one(&concept.terms).to_uppercase(),
            3 => {
                let at = random.place(words.len().saturating_sub(3).max(1));
                asked.typed = format!("\"{}\" {}", words[at..(at + 2).min(words.len())].join(" "), random.one(&words));
            }
            4 => asked.typed = format!("\"{}\"", random.one(&concept.terms)),
            5 => {
                asked.typed = format!("{} and the {}", words.join(" "), slip(&random.one(&words).clone(), &mut random))
            }
            6 => asked.typed = (*random.one(ODD)).to_owned(),
            7 => {
                let values = made.document(random.place(documents)).values;
                asked.choice = (0..random.from(1, 2)).map(|_| *random.one(&values)).collect();
                if random.happens(0.3) {
                    asked.typed.clear();
                }
            }
            8 => asked.plain = true,
            _ => {}
        }
        asked
    };
    plain.into_iter().enumerate().map(query).collect()
}
