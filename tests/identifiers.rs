//! Every row of `tests/data/identifiers.csv`: what the detectors of identifiers find, what they let pass, and what they miss.
//!
//! `tests/oracles/identifiers.py` writes the table and checks its numbers with python-stdnum and phonenumbers.

use casewright::check::privacy::{Normal, find_written};
use std::collections::BTreeSet;

const TABLE: &str = include_str!("data/identifiers.csv");

/// Text, expectation, source.
fn rows() -> Vec<(String, String, String)> {
    let mut lines = TABLE.lines();
    assert_eq!(lines.next(), Some("text,expects,source"));
    lines
        .map(|line| {
            let [text, expects, source] = cells(line).try_into().unwrap_or_else(|_| panic!("not three cells: {line}"));
            (unescape(&text), expects, source)
        })
        .collect()
}

/// The cells of a line, in which a quoted cell may hold commas, and two quotes stand for one.
fn cells(line: &str) -> Vec<String> {
    let mut cells = vec![String::new()];
    let mut quoted = false;
    let mut letters = line.chars().peekable();
    while let Some(letter) = letters.next() {
        match letter {
            '"' if quoted && letters.peek() == Some(&'"') => {
                letters.next();
                cells.last_mut().expect("there is one").push('"');
            }
            '"' => quoted = !quoted,
            ',' if !quoted => cells.push(String::new()),
            other => cells.last_mut().expect("there is one").push(other),
        }
    }
    cells
}

/// What cannot be seen stands in the table as an escape.
fn unescape(text: &str) -> String {
    text.replace("\\\\", "\u{1}")
        .replace("\\n", "\n")
        .replace("\\u{a0}", "\u{a0}")
        .replace("\\u{200b}", "\u{200b}")
        .replace("\\u{200d}", "\u{200d}")
        .replace("\\u{fe0f}", "\u{fe0f}")
        .replace('\u{1}', "\\")
}

fn found(text: &str) -> String {
    let rules: BTreeSet<&str> = find_written(text).iter().map(|hit| hit.class.rule()).collect();
    if rules.is_empty() { "nothing".to_owned() } else { rules.into_iter().collect::<Vec<_>>().join(" ") }
}

fn sorted(expects: &str) -> String {
    let rules: BTreeSet<&str> = expects.split(' ').collect();
    rules.into_iter().collect::<Vec<_>>().join(" ")
}

#[test]
fn every_vector_holds() {
    let (mut positive, mut negative, mut missed) = (0, 0, 0);
    let mut wrong = Vec::new();
    for (text, expects, source) in rows() {
        assert!(source.len() > 5, "{text} has no source");
        let expected = match expects.as_str() {
            "nothing" => {
                negative += 1;
                "nothing".to_owned()
            }
            // A miss that is found one day is to be moved up, and the README with it.
            known if known.starts_with("missed:") => {
                missed += 1;
                "nothing".to_owned()
            }
            known if known.starts_with("false:") => {
                negative += 1;
                known.replace("false:", "")
            }
            rules => {
                positive += 1;
                sorted(rules)
            }
        };
        let found = found(&text);
        if found != expected {
            wrong.push(format!("{text:?}: {expected} expected, {found} found"));
        }
    }
    assert!(wrong.is_empty(), "{} rows do not hold:\n{}", wrong.len(), wrong.join("\n"));
    assert!(
        positive >= 200 && negative >= 200 && missed >= 10,
        "{positive} positive, {negative} negative, {missed} missed"
    );
}

#[test]
fn what_is_found_lies_where_it_stands() {
    for (text, expects, _) in rows().into_iter().filter(|(_, expects, _)| !expects.starts_with("missed:")) {
        for hit in find_written(&text) {
            assert!(text.get(hit.range.clone()).is_some_and(|piece| !piece.trim().is_empty()), "{text:?} {expects}");
        }
    }
}

#[test]
fn bringing_a_text_to_its_form_twice_changes_nothing_more() {
    for (text, ..) in rows() {
        let once = Normal::of(&text).text;
        assert_eq!(Normal::of(&once).text, once, "{text:?}");
    }
}
