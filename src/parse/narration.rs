//! Timed narrations: WebVTT, SubRip (SRT) and plain text with a time before each line.
//!
//! Recognisers write the first two with slips that a player forgives: a comma for a point, no hours, no end, an end before
//! its beginning. What can be read is read, and each slip is named; a time that cannot be read is an error, because its words
//! would stand nowhere. Sources: W3C, WebVTT: The Web Video Text Tracks Format; SubRip has no standard, its form is common practice.

use super::rules::{odd_cue, unreadable_cue};
use crate::diag::Diagnostic;
use crate::media::{cue_blocks, cue_words};
use crate::model::narration::{Cue, Narration};
use crate::text::{Source, Span};

/// Most slips of one kind that are named one by one.
const NAMED: usize = 20;
/// Longest film, in seconds.
const LONGEST: f64 = 86_400.0;

/// Reads a narration of any of the three forms. It cannot fail; what is wrong is in the diagnostics.
pub fn narration(source: &Source) -> (Narration, Vec<Diagnostic>) {
    let text = &*source.text;
    let place = |start: usize, line: &str| Span::new(source.id, start, start + line.len());
    let first = text.lines().find(|line| !line.trim().is_empty()).unwrap_or("").trim();
    let mut out = Vec::new();
    let is_webvtt = first == "WEBVTT" || first.starts_with("WEBVTT ") || first.starts_with("WEBVTT\t");
    let mut cues = if is_webvtt || text.contains("-->") {
        blocks(text, is_webvtt, &place, &mut out)
    } else {
        plain(text, &place, &mut out)
    };
    if cues.is_empty() && out.is_empty() {
        out.push(unreadable_cue::nothing(Span::new(source.id, 0, first.len().min(text.len()))));
    }
    order(&mut cues, &mut out);
    (Narration { cues }, limited(out))
}

/// WebVTT or SubRip: blocks with a line of times.
fn blocks(text: &str, is_webvtt: bool, place: &dyn Fn(usize, &str) -> Span, out: &mut Vec<Diagnostic>) -> Vec<Cue> {
    let mut cues = Vec::new();
    for block in cue_blocks(text) {
        let mut times: Vec<usize> =
            block.iter().enumerate().filter(|(_, (_, line))| line.contains("-->")).map(|(at, _)| at).collect();
        let (start, line) = block[0];
        if times.is_empty() {
            let word = line.split_whitespace().next().unwrap_or("");
            let aside = is_webvtt && ["WEBVTT", "NOTE", "STYLE", "REGION"].contains(&word);
            let number = block.len() == 1 && line.trim().bytes().all(|byte| byte.is_ascii_digit());
            if !aside && !number && !line.trim().is_empty() {
                out.push(unreadable_cue::no_time(place(start, line)));
            }
            continue;
        }
        if is_webvtt && line.split_whitespace().next() == Some("NOTE") {
            continue;
        }
        // Where the empty line between two cues is missing, the number of the next stands at the end of the words.
        times.push(block.len());
        for pair in times.windows(2) {
            let (start, line) = block[pair[0]];
            let mut words = &block[pair[0] + 1..pair[1]];
            if pair[1] < block.len() && words.last().is_some_and(|(_, last)| is_number(last)) {
                words = &words[..words.len() - 1];
            }
            let words: Vec<String> = words.iter().map(|(_, line)| cue_words(line)).collect();
            let words = words.join(" ").split_whitespace().collect::<Vec<_>>().join(" ");
            if let Some((from, to)) = times_of(place(start, line), line, out) {
                cues.push(Cue { from, to, words, span: place(start, line) });
            }
        }
    }
    cues
}

fn is_number(line: &str) -> bool {
    !line.trim().is_empty() && line.trim().bytes().all(|byte| byte.is_ascii_digit())
}

/// The two times of a line with an arrow.
fn times_of(span: Span, line: &str, out: &mut Vec<Diagnostic>) -> Option<(f64, Option<f64>)> {
    let (before, after) = line.split_once("-->")?;
    let Some(from) = seconds(before.trim()) else {
        out.push(unreadable_cue::time(span, before.trim()));
        return None;
    };
    let end = after.split_whitespace().next().unwrap_or("");
    if end.is_empty() {
        out.push(odd_cue::no_end(span));
        return Some((from, None));
    }
    match seconds(end) {
        None => {
            out.push(unreadable_cue::time(span, end));
            None
        }
        Some(to) if to < from => {
            out.push(odd_cue::backwards(span));
            Some((from, None))
        }
        Some(to) => Some((from, Some(to))),
    }
}

/// Plain text: `[m:ss] words` or `m:ss words`; a line without a time goes on with the words before it.
fn plain(text: &str, place: &dyn Fn(usize, &str) -> Span, out: &mut Vec<Diagnostic>) -> Vec<Cue> {
    let mut cues: Vec<Cue> = Vec::new();
    let mut at = 0;
    for whole in text.split_inclusive('\n') {
        let line = whole.trim_end_matches(['\n', '\r']);
        let inner = line.trim_start();
        let begins = inner.strip_prefix('[').unwrap_or(inner);
        let time: String =
            begins.chars().take_while(|letter| letter.is_ascii_digit() || ":.,".contains(*letter)).collect();
        let looks_timed = inner.starts_with('[') || (time.contains(':') && time.len() >= 3);
        let bracket = inner.starts_with('[');
        let rest = begins[time.len()..].strip_prefix(']').unwrap_or(&begins[time.len()..]);
        let closed = !bracket || begins[time.len()..].starts_with(']');
        match seconds(time.trim_end_matches(['.', ','])) {
            Some(from) if looks_timed && closed && rest.starts_with([' ', '\t']) | rest.is_empty() => cues.push(Cue {
                from,
                to: None,
                words: rest.split_whitespace().collect::<Vec<_>>().join(" "),
                span: place(at, line),
            }),
            _ if inner.is_empty() => {}
            _ if looks_timed && bracket && begins.starts_with(|letter: char| letter.is_ascii_digit()) => {
                out.push(unreadable_cue::time(place(at, line), begins.split(']').next().unwrap_or(begins)));
            }
            _ if looks_timed && time.contains(':') => out.push(unreadable_cue::time(place(at, line), &time)),
            _ => match cues.last_mut() {
                Some(cue) => {
                    cue.words.push(' ');
                    cue.words.push_str(&inner.split_whitespace().collect::<Vec<_>>().join(" "));
                }
                None => out.push(unreadable_cue::no_time(place(at, line))),
            },
        }
        at += whole.len();
    }
    cues
}

/// `1:02:03.456`, `02:03,456`, `2:03`: seconds from the start.
fn seconds(text: &str) -> Option<f64> {
    let (clock, rest) = match text.split_once(['.', ',']) {
        Some((clock, fraction)) => {
            let digits = (1..=3).contains(&fraction.len()) && fraction.bytes().all(|byte| byte.is_ascii_digit());
            (clock, digits.then(|| format!("0.{fraction}").parse::<f64>().ok()).flatten()?)
        }
        None => (text, 0.0),
    };
    let parts: Vec<u32> = clock
        .split(':')
        .map(|part| {
            let plain = (1..=4).contains(&part.len()) && part.bytes().all(|byte| byte.is_ascii_digit());
            plain.then(|| part.parse().ok()).flatten()
        })
        .collect::<Option<_>>()?;
    let whole = match parts[..] {
        [hours, minutes, seconds] if minutes < 60 && seconds < 60 => hours * 3600 + minutes * 60 + seconds,
        [minutes, seconds] if seconds < 60 => minutes * 60 + seconds,
        _ => return None,
    };
    let at = f64::from(whole) + rest;
    (at <= LONGEST).then_some(at)
}

/// Sorts the cues by time and names those that run into the next or stand out of order.
fn order(cues: &mut [Cue], out: &mut Vec<Diagnostic>) {
    for pair in cues.windows(2) {
        if pair[1].from < pair[0].from {
            out.push(odd_cue::out_of_order(pair[1].span, pair[0].span));
        } else if pair[0].to.is_some_and(|to| to > pair[1].from + 0.001) {
            out.push(odd_cue::overlap(pair[1].span, pair[0].span));
        }
    }
    cues.sort_by(|one, other| one.from.total_cmp(&other.from));
}

/// No more than some findings of a rule and severity one by one: a file of a recogniser may have the same slip in every cue.
fn limited(found: Vec<Diagnostic>) -> Vec<Diagnostic> {
    let mut kept: Vec<Diagnostic> = Vec::new();
    let mut more: Vec<(usize, Diagnostic)> = Vec::new();
    for diagnostic in found {
        let same = |it: &&Diagnostic| it.rule.name == diagnostic.rule.name;
        if kept.iter().filter(same).count() < NAMED {
            kept.push(diagnostic);
        } else if let Some((count, _)) = more.iter_mut().find(|(_, first)| first.rule.name == diagnostic.rule.name) {
            *count += 1;
        } else {
            more.push((1, diagnostic));
        }
    }
    for (count, mut first) in more {
        if count > 1 {
            first.message = format!("{}; {} more like the ones named", first.message, count - 1);
        }
        kept.push(first);
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::text::Sources;

    /// A cue: where it begins and ends, and its words.
    type Heard = (f64, Option<f64>, String);

    fn read(text: &str) -> (Vec<Heard>, Vec<&'static str>) {
        let mut sources = Sources::default();
        let id = sources.add("talk", text);
        let (narration, said) = narration(sources.get(id).expect("the source"));
        (
            narration.cues.into_iter().map(|cue| (cue.from, cue.to, cue.words)).collect(),
            said.iter().map(|it| it.rule.name).collect(),
        )
    }

    #[test]
    fn the_three_forms_give_the_same_cues() {
        let expected = |to: bool| {
            vec![
                (5.0, to.then_some(8.0), "A left eye, & a long one.".to_owned()),
                (62.5, to.then_some(64.0), "Side port.".to_owned()),
            ]
        };
        let webvtt = "WEBVTT\n\nNOTE nobody\n\nfirst\n00:05.000 --> 00:08.000 align:start\n<v A>A left eye,\n&amp; a long one.\n\n00:01:02.500 --> 00:01:04.000\nSide port.\n";
        let subrip = "1\n00:00:05,000 --> 00:00:08,000\n<i>A left eye,</i>\n& a long one.\n2\n00:01:02,500 --> 00:01:04,000\nSide port.\n";
        let words = "[0:05] A left eye,\n  & a long one.\n\n1:02.5 Side port.\n";
        assert_eq!(read(webvtt), (expected(true), vec![]));
        assert_eq!(read(subrip), (expected(true), vec![]));
        assert_eq!(read(words), (expected(false), vec![]));
    }

    #[test]
    fn a_line_that_begins_with_an_acuity_is_no_time() {
        let (cues, said) = read("0:01 vision\n6/12 unaided\n[laughs] and so on\n");
        assert_eq!((cues.len(), said.len()), (1, 0));
        assert_eq!(cues[0].2, "vision 6/12 unaided [laughs] and so on");
    }
}
