//! Nothing stands in a draft that no cue supports: every value has its words, and every number of a value is among them.

use super::gold::all;
use super::{drafted, drafter, narration};
use casewright::draft::Draft;
use casewright::media::clock;
use casewright::model::narration::{Cue, Narration};
use casewright::text::{FileId, Sources, Span};
use serde_json::Value;

/// Fields that hold what no narration says: how the file is tied together, and the safe side of consent and audience.
const TIES: &[&str] = &["id", "audience", "status"];

/// What `before` calls a visit of which nobody said when it was.
const BEFORE: &str = "before the operation";

/// Rules that may object to a draft: it is not reviewed, something was not said, or the patient has not been asked.
const OPEN: &[&str] = &[
    "unreviewed-draft",
    "missing-field",
    "consent-pending",
    "incomplete-drug",
    "missing-ask-title",
    "decision-without-choice",
    "option-without-reason",
];

/// Every scalar of a tree with its place; items are called by their `id` or their number from 1.
fn leaves(value: &Value, place: &str, out: &mut Vec<(String, String)>) {
    let below = |part: &str| if place.is_empty() { part.to_owned() } else { format!("{place}/{part}") };
    match value {
        Value::Object(fields) => fields.iter().for_each(|(name, value)| leaves(value, &below(name), out)),
        Value::Array(items) => {
            for (item, number) in items.iter().zip(1..) {
                let part = item["id"].as_str().map_or_else(|| number.to_string(), str::to_owned);
                leaves(item, &below(&part), out);
            }
        }
        Value::String(text) => out.push((place.to_owned(), text.clone())),
        other => out.push((place.to_owned(), other.to_string())),
    }
}

/// A number below 2,000 in English words, in each of the ways in which it is said aloud. Written for this test alone.
fn said_aloud(number: &str) -> Vec<String> {
    const SMALL: [&str; 20] = [
        "zero",
        "one",
        "two",
        "three",
        "four",
        "five",
        "six",
        "seven",
        "eight",
        "nine",
        "ten",
        "eleven",
        "twelve",
        "thirteen",
        "fourteen",
        "fifteen",
        "sixteen",
        "seventeen",
        "eighteen",
        "nineteen",
    ];
    const TENS: [&str; 10] = ["", "", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"];
    fn below(number: usize) -> String {
        match number {
            0..20 => SMALL[number].to_owned(),
            _ if number.is_multiple_of(10) => TENS[number / 10].to_owned(),
            _ => format!("{} {}", TENS[number / 10], SMALL[number % 10]),
        }
    }
    let (whole, part) = number.split_once('.').unwrap_or((number, ""));
    let value: usize = whole.parse().expect("digits");
    let mut ways = vec![number.to_owned()];
    let mut words = match value {
        0 => vec!["nought".to_owned(), "zero".to_owned(), String::new()],
        1..100 => vec![below(value)],
        _ if value.is_multiple_of(100) => vec![format!("{} hundred", below(value / 100))],
        _ => vec![
            format!("{} hundred and {}", below(value / 100), below(value % 100)),
            format!("{} {}", below(value / 100), below(value % 100)),
        ],
    };
    let part = part.trim_end_matches('0');
    match part {
        "" => {}
        "5" | "25" | "75" => {
            let fractions: &[&str] = match part {
                "5" => &["half", "a half"],
                "25" => &["a quarter", "quarter"],
                _ => &["three quarters"],
            };
            ways.extend(fractions.iter().map(|fraction| {
                if value == 0 { (*fraction).to_owned() } else { format!("{} and {fraction}", words[0]) }
            }));
        }
        _ => {}
    }
    if !part.is_empty() {
        let digits: Vec<&str> = part.bytes().map(|digit| SMALL[usize::from(digit - b'0')]).collect();
        words = words.iter().map(|whole| format!("{whole} point {}", digits.join(" ")).trim().to_owned()).collect();
    }
    if value == 1 && part.is_empty() {
        // One stitch: "a ten oh nylon".
        words.push("a".to_owned());
    }
    ways.extend(words);
    if !part.is_empty() {
        ways.push(format!("{whole}.{part}"));
    }
    ways
}

/// Words in lower case, parted by single blanks, without stops and hyphens that part words.
fn plain(words: &str) -> String {
    let mut out = String::from(" ");
    let letters: Vec<char> = words.to_lowercase().chars().collect();
    for (at, letter) in letters.iter().enumerate() {
        let digit = |at: usize| letters.get(at).is_some_and(char::is_ascii_digit);
        let inner = letter.is_alphanumeric() || *letter == '\'' || (*letter == '.' && digit(at + 1));
        out.push(if inner { *letter } else { ' ' });
    }
    format!(" {} ", out.split_whitespace().collect::<Vec<_>>().join(" "))
}

/// Numbers of a value: runs of digits with a point.
fn numbers(value: &str) -> Vec<String> {
    value
        .split(|letter: char| !(letter.is_ascii_digit() || letter == '.'))
        .map(|part| part.trim_matches('.'))
        .filter(|part| !part.is_empty())
        .map(str::to_owned)
        .collect()
}

fn front(draft: &Draft) -> Value {
    let (front, _) = crate::support::halves(&draft.text);
    serde_yaml::from_str(front).unwrap_or_else(|why| panic!("{why}:\n{front}"))
}

/// Holds every value of a draft against the narration; what is wrong comes back in words.
fn unsupported(narration: &Narration, draft: &Draft) -> Vec<String> {
    let mut wrong = Vec::new();
    let mut found = Vec::new();
    let tree = front(draft);
    leaves(&tree, "", &mut found);
    for (place, value) in found.iter().filter(|(place, _)| !place.starts_with("unreviewed/")) {
        let name = place.rsplit('/').next().unwrap_or("");
        let tie = TIES.contains(&name) || (name == "when" && value == BEFORE);
        let entry = draft.entries.iter().find(|entry| entry.place == *place);
        if !tie && entry.is_none_or(|entry| entry.value != *value) {
            wrong.push(format!("{place} ({value}) rests on nothing"));
        }
        if tree["unreviewed"][place].is_null() && !tie {
            wrong.push(format!("{place} is not among the unreviewed"));
        }
    }
    let whole = narration.cues.iter().map(|cue| cue.words.as_str()).collect::<Vec<_>>().join(" ");
    for entry in &draft.entries {
        let Some(first) = narration.cues.iter().position(|cue| (cue.from - entry.at).abs() < 0.001) else {
            wrong.push(format!("{}: no cue begins at {}", entry.place, entry.at));
            continue;
        };
        for (number, piece) in entry.heard.split(" … ").enumerate() {
            // The first piece stands in or right behind the cue it names; hidden words are left out of the comparison.
            let near: Vec<&str> = narration.cues[first..].iter().take(12).map(|cue| cue.words.as_str()).collect();
            let near = if number == 0 { near.join(" ") } else { whole.clone() };
            if !piece.split('…').all(|part| near.contains(part.trim())) {
                wrong.push(format!("{}: `{piece}` was not said at {}", entry.place, clock(entry.at)));
            }
        }
        let heard = plain(&entry.heard);
        let name = entry.place.rsplit('/').next().unwrap_or("");
        // Times on the recording and names of steps are places in the narration, not numbers that were said; "the next day" is one
        // day; a term of the vocabulary may hold a number.
        let is_term =
            ["is", "do", "kind", "substance", "title", "summary"].contains(&name) || entry.place.contains("/with/");
        let next_day = entry.value == "1 day" || name == "after" && heard.contains(" third day ");
        let place = name == "at" && entry.place.contains("/steps/") || ["during", "step"].contains(&name);
        let text = entry.place.starts_with("lessons/") || entry.place.starts_with("decisions/");
        let age = entry.value == "90+";
        if is_term || next_day || place || text || age || entry.place.contains("/is/") {
            continue;
        }
        let value = if name == "sutures" { entry.value.replace(" 10-0 nylon", "") } else { entry.value.clone() };
        for number in numbers(&value) {
            if !said_aloud(&number).iter().any(|way| heard.contains(&plain(way))) {
                wrong.push(format!("{}: {number} was not said in `{}`", entry.place, entry.heard));
            }
        }
    }
    wrong
}

#[test]
fn every_value_rests_on_words_that_were_said() {
    let drafter = drafter();
    for gold in all() {
        let narration = narration(&gold.file);
        for transcript in [false, true] {
            let draft = drafter.draft(&narration, transcript);
            assert!(draft.entries.len() > 30, "{}", gold.name);
            let wrong = unsupported(&narration, &draft);
            assert!(wrong.is_empty(), "{}:\n{}", gold.name, wrong.join("\n"));
        }
    }
}

#[test]
fn the_check_of_support_catches_what_it_is_for() {
    let narration = narration("a-plain-morning.vtt");
    let draft = drafted("a-plain-morning.vtt");
    let changed = |from: &str, to: &str| {
        assert!(draft.text.contains(from), "{from}");
        let mut draft = draft.clone();
        draft.text = draft.text.replace(from, to);
        unsupported(&narration, &draft).len()
    };
    assert_eq!(changed("eye: right", "eye: left"), 1);
    assert_eq!(changed("patient: {age: 72", "fellow_eye: {state: phakic}\npatient: {age: 72"), 2);
    let mut other = draft.clone();
    let entry = other.entries.iter_mut().find(|entry| entry.place == "operation/lens/power").expect("a power");
    entry.value = "22 D".to_owned();
    assert_eq!(unsupported(&narration, &other).len(), 2, "the file says otherwise, and nobody said 22");
    let mut other = draft;
    other.entries[0].heard = "words that nobody said".to_owned();
    assert_eq!(unsupported(&narration, &other).len(), 1);
}

#[test]
fn a_draft_parses_and_only_what_is_open_is_wrong_with_it() {
    for gold in all() {
        let draft = drafted(&gold.file);
        let mut sources = Sources::default();
        let id = sources.add("draft.md", draft.text.as_str());
        let (case, _) = casewright::parse::case("draft", sources.get(id).expect("the draft"), None);
        assert!(case.operation.steps.len() > 8, "{}", gold.name);
        let prepared = crate::support::prepare(&crate::support::library().with("draft.md", draft.text.as_str()));
        let said = crate::support::said(&prepared);
        let closed: Vec<&String> = said
            .iter()
            .filter(|line| line.starts_with("error") && !OPEN.iter().any(|rule| line.contains(&format!(" {rule} "))))
            .collect();
        assert!(closed.is_empty(), "{}: {closed:?}\n{}", gold.name, draft.text);
        assert!(said.iter().any(|line| line.starts_with("error unreviewed-draft")), "{}", gold.name);
        assert!(prepared.checked.corpus.cases().is_empty(), "{}: nothing of a draft may be published", gold.name);
        // Each place of the map resolves: only the one finding about what is left.
        let places = said.iter().filter(|line| line.starts_with("error unreviewed-draft")).count();
        assert_eq!(places, 1, "{}", gold.name);
    }
}

#[test]
fn from_words_about_something_else_nothing_is_drafted() {
    let words = "Good afternoon everybody. The weather has been wet and the bus was late, so thank you for coming. \
                 Mind the step on your way out; tea is on the table and the biscuits are nearly gone.";
    let span = Span::new(FileId(0), 0, 0);
    let narration = Narration { cues: vec![Cue { from: 3.0, to: None, words: words.to_owned(), span }] };
    let draft = drafter().draft(&narration, false);
    assert_eq!(draft.entries, [], "{}", draft.text);
    assert_eq!(front(&draft).as_object().map(|fields| fields.len()), Some(2), "consent and audience: {}", draft.text);
}
