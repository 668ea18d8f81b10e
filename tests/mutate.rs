//! Thousands of damaged write-ups: whatever happens to a file, it is read without a panic, and every finding lies inside its text.
//!
//! Seeded, so that a failure comes back: it names the number of the file, and its text.

use crate::support::{BASE, demo_cases, library, prepare};
use casewright::diag::{Diagnostic, human, json};
use casewright::files::Memory;
use casewright::pipeline::Prepared;
use casewright::text::{Sources, Span};
use rayon::prelude::*;
use std::collections::BTreeSet;
use std::panic::{AssertUnwindSafe, catch_unwind};

/// How many damaged files are read.
const FILES: u64 = 12_000;
/// How many of them share one library, so that the vocabulary is read once for all.
const SHARING: u64 = 250;
/// Another seed is another set of files.
const SEED: u64 = 0x7a2f_11e7;

/// Pieces that mean something to one of the readers: YAML, Markdown, the notations, the character sets.
const TOKENS: &[&str] = &[
    "---\n",
    "\n---\n",
    "```decision\n",
    "```\n",
    "````",
    "~~~\n",
    "> ",
    "- ",
    "* ",
    "1. ",
    "# ",
    "| a | b |\n|---|---|\n",
    "[a](case:",
    "[a](concept:capsulorhexis)",
    "](",
    "![",
    "<b>",
    "</",
    "<!--",
    "-->",
    "<script",
    "&amp;",
    "[^1]",
    "[^1]: ",
    "&a ",
    "*a",
    "<<: ",
    "!!str ",
    "{",
    "}",
    "[",
    "]",
    ": ",
    ":",
    ",",
    "#",
    " #",
    "\"",
    "'",
    "|\n",
    ">-\n",
    "?",
    "%YAML 1.2\n",
    "...\n",
    "\t",
    "\r\n",
    "\r",
    "\n\n",
    "\u{a0}",
    "\u{feff}",
    "\0",
    "\u{2028}",
    "“",
    "’",
    "é",
    "e\u{301}",
    "\u{130}",
    "ß",
    "日本",
    "👁",
    "6/",
    "/12",
    "logMAR",
    " mmHg",
    "0.5",
    "-",
    "+",
    "−",
    "½",
    "999999999999999999999",
    "1e309",
    "NaN",
    "0",
    " to ",
    "about ",
    " o'clock",
    "12",
    "clock hours",
    "after ",
    "lost after ",
    "2024-03-12",
    "3 May 2023",
    "id: ",
    "at: ",
    "is: ",
    "null",
    "~",
    "true",
    "title: ",
    "review: {by: x, of: y}\n",
    "operation:\n",
];

/// A stream of random numbers: SplitMix64 (Steele, Lea and Flood 2014, doi:10.1145/2660193.2660195).
struct Random(u64);

impl Random {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut bits = self.0;
        bits = (bits ^ (bits >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        bits = (bits ^ (bits >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        bits ^ (bits >> 31)
    }

    /// A number below `end`, which is not nought.
    fn below(&mut self, end: usize) -> usize {
        usize::try_from(self.next() % end as u64).expect("below a usize")
    }

    fn pick<'a, T>(&mut self, from: &'a [T]) -> &'a T {
        &from[self.below(from.len())]
    }
}

/// One damaged file: a sound write-up after one to four blows.
fn damaged(number: u64, sound: &[String]) -> Vec<u8> {
    let mut random = Random(SEED ^ number.wrapping_mul(0x2545_f491_4f6c_dd1d));
    let mut bytes = random.pick(sound).clone().into_bytes();
    for _ in 0..=random.below(4) {
        blow(&mut bytes, sound, &mut random);
    }
    bytes
}

fn blow(bytes: &mut Vec<u8>, sound: &[String], random: &mut Random) {
    if bytes.is_empty() {
        bytes.extend_from_slice(random.pick(TOKENS).as_bytes());
        return;
    }
    let at = random.below(bytes.len());
    match random.below(16) {
        // A byte becomes another; half of the time still ASCII, so that most files stay text.
        0 => bytes[at] ^= 1 << random.below(8),
        1 => bytes[at] = b' ' + u8::try_from(random.below(95)).expect("a printable byte"),
        // A piece goes, a piece comes, a piece is said twice.
        2 | 3 => {
            let end = (at + 1 + random.below(40)).min(bytes.len());
            bytes.drain(at..end);
        }
        4..=7 => {
            let token = random.pick(TOKENS).bytes();
            bytes.splice(at..at, token);
        }
        8 => {
            let end = (at + 1 + random.below(200)).min(bytes.len());
            let again = bytes[at..end].to_vec();
            bytes.splice(at..at, again);
        }
        // Lines change places, go, or change their indentation.
        9..=11 => lines(bytes, random),
        // The file ends too early, or goes on as another.
        12 => bytes.truncate(at),
        13 => {
            let other = random.pick(sound).as_bytes();
            bytes.truncate(at);
            bytes.extend_from_slice(&other[random.below(other.len())..]);
        }
        // One value in the place of another.
        14 => {
            let other = random.pick(sound).clone();
            let values: Vec<&str> = other.lines().filter_map(|line| Some(line.split_once(": ")?.1)).collect();
            let value = if values.is_empty() { "" } else { random.pick(&values) };
            let end = bytes[at..]
                .iter()
                .position(|byte| matches!(byte, b',' | b'}' | b']' | b'\n'))
                .map_or(bytes.len(), |end| at + end);
            let start = bytes[..at]
                .iter()
                .rposition(|byte| matches!(byte, b' ' | b'{' | b'[' | b'\n'))
                .map_or(0, |start| start + 1);
            bytes.splice(start..end, value.bytes());
        }
        _ => bytes.extend_from_slice(random.pick(TOKENS).as_bytes()),
    }
}

fn lines(bytes: &mut Vec<u8>, random: &mut Random) {
    let mut lines: Vec<Vec<u8>> = bytes.split_inclusive(|byte| *byte == b'\n').map(<[u8]>::to_vec).collect();
    let (one, other) = (random.below(lines.len()), random.below(lines.len()));
    match random.below(4) {
        0 => lines.swap(one, other),
        1 => drop(lines.remove(one)),
        2 => drop(lines[one].splice(0..0, *b"  ")),
        _ => {
            let line = lines[one].clone();
            lines.insert(other, line);
        }
    }
    *bytes = lines.concat();
}

/// What a sound span is: in a text, in order, and between characters.
fn sound(span: Span, sources: &Sources) -> bool {
    sources.get(span.file).is_some_and(|source| span.start <= span.end && source.text.get(span.range()).is_some())
}

/// Reads a library and says what is wrong with the findings themselves.
fn read(files: &Memory) -> Result<Prepared, String> {
    let prepared = prepare(files);
    let sources = &prepared.inputs.sources;
    let astray = |it: &&Diagnostic| {
        it.span.iter().chain(it.also.iter().map(|(span, _)| span)).any(|span| !sound(*span, sources))
            || it.path.is_empty()
            || it.message.is_empty()
    };
    if let Some(it) = prepared.diagnostics.iter().find(astray) {
        return Err(format!(
            "{} at {:?} in {}, which is no place of its text: {}",
            it.rule.name, it.span, it.path, it.message
        ));
    }
    let (shown, data) = (human::report(&prepared.diagnostics, sources), json::report(&prepared.diagnostics, sources));
    let data: serde_json::Value =
        serde_json::from_str(&data).map_err(|why| format!("the JSON report does not parse: {why}"))?;
    let listed = data["diagnostics"].as_array().map_or(0, Vec::len);
    let told = shown.matches("  More: casewright explain ").count();
    if listed != prepared.diagnostics.len() || told < listed {
        return Err(format!("{} findings, {told} told, {listed} listed", prepared.diagnostics.len()));
    }
    Ok(prepared)
}

/// Reads the file alone; the error says what went wrong and with which text.
fn alone(number: u64, sound: &[String]) -> Result<(), String> {
    let files = library().with(&format!("m{number}.md"), damaged(number, sound));
    let why = match catch_unwind(AssertUnwindSafe(|| read(&files))) {
        Ok(Ok(_)) => return Ok(()),
        Ok(Err(why)) => why,
        Err(_) => "it panics".to_owned(),
    };
    Err(format!("file {number}: {why}\n{}", String::from_utf8_lossy(&damaged(number, sound))))
}

/// What a share of the files led to.
struct Outcome {
    read: usize,
    sound: usize,
    rules: BTreeSet<&'static str>,
}

/// Reads a share of the files as one library.
fn share(first: u64, texts: &[String]) -> Result<Outcome, String> {
    let numbers = first..first + SHARING;
    let files = numbers.fold(library(), |files, number| files.with(&format!("m{number}.md"), damaged(number, texts)));
    let prepared = catch_unwind(AssertUnwindSafe(|| read(&files))).unwrap_or_else(|_| Err("it panics".to_owned()))?;
    Ok(Outcome {
        read: prepared.inputs.cases.len(),
        sound: prepared.checked.corpus.cases().len(),
        rules: prepared.diagnostics.iter().map(|it| it.rule.name).collect(),
    })
}

/// Shows the first file of a share that fails alone; at worst the share fails only as a whole.
fn culprit(first: u64, texts: &[String], why: &str) -> String {
    let mut numbers = first..first + SHARING;
    numbers
        .find_map(|number| alone(number, texts).err())
        .unwrap_or_else(|| format!("the {SHARING} files from {first} on, only together: {why}"))
}

#[test]
fn twelve_thousand_damaged_write_ups_are_read() {
    let texts: Vec<String> = demo_cases().into_iter().map(|(_, text)| text).chain([BASE.to_owned()]).collect();
    let firsts: Vec<u64> = (0..FILES / SHARING).map(|share| share * SHARING).collect();
    let shares: Vec<_> = firsts.par_iter().map(|first| share(*first, &texts)).collect();
    let outcomes: Vec<Outcome> = firsts
        .iter()
        .zip(shares)
        .map(|(first, share)| share.unwrap_or_else(|why| panic!("{}", culprit(*first, &texts, &why))))
        .collect();
    let (read, sound) = outcomes.iter().fold((0, 0), |(read, sound), it| (read + it.read, sound + it.sound));
    assert!(read >= 10_000, "only {read} of {FILES} files were text enough to be parsed");
    // The blows must hurt, and not only in one place.
    assert!(sound > FILES as usize / 50 && sound < FILES as usize / 2, "{sound} of {FILES} files are still sound");
    let rules: BTreeSet<&str> = outcomes.iter().flat_map(|it| it.rules.iter().copied()).collect();
    assert!(rules.len() >= 25, "only {} rules found anything: {rules:?}", rules.len());
}

#[test]
fn damaged_vocabularies_and_libraries_are_read() {
    let layout = include_str!("../src/cli/start/ours.yaml");
    let built_in = include_str!("../src/data/vocabulary/complications.yaml");
    let sections: Vec<String> = built_in
        .split("\n  - name: ")
        .skip(1)
        .take(40)
        .map(|entry| format!("kind: complication\nconcepts:\n  - name: {entry}\n"))
        .collect();
    let texts: Vec<String> = sections.into_iter().chain([layout.to_owned()]).collect();
    let head =
        "title: Our cases\nunit: Our unit\nedition: 2026-11\nselection: Chosen for what they teach.\nlanguage: en-GB\n";
    let failures: Vec<String> = (0..24u64)
        .into_par_iter()
        .filter_map(|round| {
            let vocabularies = (0..40u64).fold(Memory::default(), |files, number| {
                files.with(&format!("vocabulary/v{number}.yaml"), damaged(1_000_000 + round * 40 + number, &texts))
            });
            let files =
                vocabularies.with("library.yaml", damaged(2_000_000 + round, &[head.to_owned()])).with("a.md", BASE);
            match catch_unwind(AssertUnwindSafe(|| read(&files))) {
                Ok(Ok(_)) => None,
                Ok(Err(why)) => Some(format!("round {round}: {why}")),
                Err(_) => Some(format!("round {round}: it panics")),
            }
        })
        .collect();
    assert!(failures.is_empty(), "{}", failures.join("\n"));
}
