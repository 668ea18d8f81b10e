//! Acuities in running speech, and how they were taken.

use super::doubt;
use super::facts::Value;
use super::numbers::number;
use super::units::unit;
use super::words::{Speech, Stop};
use crate::model::measure::{Acuity, Taken};
use std::ops::Range;

/// Lower numbers of acuity lines. Source: the lines of British and American Snellen charts.
const LINES: &[&str] = &[
    "4", "5", "6", "7.5", "9", "12", "15", "18", "20", "24", "25", "30", "32", "36", "40", "50", "60", "63", "80",
    "100", "200",
];
/// Lower numbers that are said right after `six`, without a word between.
const AFTER_SIX: &[&str] = &["5", "6", "7.5", "9", "12", "18", "24", "36", "60"];

/// Every acuity of a range with how it was taken, if that was said.
pub(super) fn acuities(speech: &Speech<'_>, range: Range<usize>) -> Vec<(Value, Option<Taken>)> {
    let mut found: Vec<Value> = Vec::new();
    let mut at = range.start;
    while at < range.end {
        match acuity_at(speech, at).filter(|value| value.words.end <= range.end) {
            Some(value) => {
                at = value.words.end;
                found.push(value.checked(speech));
            }
            None => at += 1,
        }
    }
    // "Six nine or six twelve": two for one.
    for at in 1..found.len() {
        let between = found[at - 1].words.end..found[at].words.start;
        if between.len() <= 2 && between.clone().any(|at| matches!(speech.low(at), "or" | "to" | "maybe" | "perhaps")) {
            found[at - 1].doubt = Some(doubt::LOOSE);
            found[at].doubt = Some(doubt::LOOSE);
        }
    }
    let places: Vec<Range<usize>> = found.iter().map(|value| value.words.clone()).collect();
    found.into_iter().map(|value| (value.clone(), taken(speech, &value.words, &places, &range))).collect()
}

/// The acuity that begins at a word.
pub(super) fn acuity_at(speech: &Speech<'_>, at: usize) -> Option<Value> {
    for (said, text) in [
        ("no light perception", "NPL"),
        ("no perception of light", "NPL"),
        ("light perception with good projection", "PL with projection"),
        ("light perception with projection", "PL with projection"),
        ("perception of light with good projection", "PL with projection"),
        ("light perception with accurate projection", "PL with projection"),
        ("perception of light with accurate projection", "PL with projection"),
        ("light perception", "PL"),
        ("perception of light", "PL"),
        ("counting fingers", "CF"),
        ("count fingers", "CF"),
        ("counted fingers", "CF"),
        ("hand movements", "HM"),
        ("hand motions", "HM"),
        ("hand movement", "HM"),
    ] {
        if speech.says(at, said) {
            return Some(Value::new(text, at..at + said.split(' ').count()));
        }
    }
    let low = speech.low(at);
    if low.contains('/') {
        let sound = Acuity::parse(low).is_ok() && low.split_once('/').is_some_and(|(_, line)| LINES.contains(&line));
        return sound.then(|| Value::new(low, at..at + 1));
    }
    if at > 0 && matches!(speech.low(at - 1), "point" | "minus" | "plus") {
        return None;
    }
    let distance = match low {
        "six" | "6" => "6",
        "twenty" | "20" => "20",
        "three" | "3" => "3",
        "one" | "1" => "1",
        "two" | "2" => "2",
        _ => return None,
    };
    if speech.words[at].stop != Stop::None {
        return None;
    }
    let between = matches!(speech.low(at + 1), "by" | "over" | "slash");
    let line = number(speech, at + 1 + usize::from(between))?;
    let allowed = if between { LINES } else { AFTER_SIX };
    let fits = allowed.contains(&line.text.as_str()) && (between || distance == "6");
    let end = line.words.end;
    if !fits || unit(speech, end).is_some() {
        return None;
    }
    Some(Value::new(format!("{distance}/{}", line.text), at..end))
}

/// How an acuity was taken: by the words of its own clause, the nearer ones first.
fn taken(speech: &Speech<'_>, words: &Range<usize>, others: &[Range<usize>], range: &Range<usize>) -> Option<Taken> {
    const MARKS: &[(&str, Taken)] = &[
        ("best corrected", Taken::BestCorrected),
        ("best correction", Taken::BestCorrected),
        ("corrected", Taken::BestCorrected),
        ("unaided", Taken::Unaided),
        ("un aided", Taken::Unaided),
        ("uncorrected", Taken::Unaided),
        ("without glasses", Taken::Unaided),
        ("pinhole", Taken::Pinhole),
        ("pin hole", Taken::Pinhole),
        ("with his glasses", Taken::Presenting),
        ("with her glasses", Taken::Presenting),
        ("with their glasses", Taken::Presenting),
    ];
    let stands = |at: usize| MARKS.iter().find(|(said, _)| speech.says(at, said)).map(|(_, taken)| *taken);
    let other = |at: usize| others.iter().any(|other| other != words && other.contains(&at));
    for at in words.end..range.end.min(words.end + 4) {
        if speech.words[at - 1].stop != Stop::None || other(at) {
            break;
        }
        if let Some(taken) = stands(at) {
            return Some(taken);
        }
    }
    for at in (range.start.max(words.start.saturating_sub(7))..words.start).rev() {
        if speech.words[at].stop != Stop::None || other(at) {
            break;
        }
        if let Some(taken) = stands(at) {
            return Some(taken);
        }
    }
    None
}

/// How an acuity was taken, as a field of a case.
pub(super) fn taken_word(taken: Taken) -> &'static str {
    match taken {
        Taken::Unaided => "unaided",
        Taken::Presenting => "presenting",
        Taken::Pinhole => "pinhole",
        Taken::BestCorrected => "best corrected",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draft::words::said;

    #[test]
    fn acuities_are_read_with_how_they_were_taken() {
        for (words, expected) in [
            ("six by nine unaided", vec![("6/9", Some(Taken::Unaided))]),
            ("best corrected six over eighteen", vec![("6/18", Some(Taken::BestCorrected))]),
            (
                "six sixty unaided, six thirty-six with pinhole",
                vec![("6/60", Some(Taken::Unaided)), ("6/36", Some(Taken::Pinhole))],
            ),
            (
                "glasses gave him six twelve, unaided he counted fingers",
                vec![("6/12", None), ("CF", Some(Taken::Unaided))],
            ),
            ("six weeks and six millimetres at six o'clock", vec![]),
            ("at 20/40 and 6/7", vec![("20/40", None)]),
        ] {
            let found = said(words, acuities);
            let found: Vec<(&str, Option<Taken>)> =
                found.iter().map(|(value, taken)| (value.text.as_str(), *taken)).collect();
            assert_eq!(found, expected, "{words}");
        }
    }
}
