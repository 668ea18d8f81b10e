//! How long a draft takes: a narration of an hour, made of those of `tests/narrations` one after the other.

use super::report::say;
use casewright::discover::{discover, lone_text};
use casewright::draft::Drafter;
use casewright::files::Memory;
use casewright::model::inputs::Inputs;
use casewright::model::narration::Narration;
use casewright::{parse, pipeline};
use std::path::Path;
use std::time::Instant;

/// How long the narration is, in seconds.
const LENGTH: f64 = 3600.0;
/// How often it is drafted; the quickest counts, since only other processes make it slower.
const ROUNDS: usize = 7;

/// `tests/measure draft`.
pub(super) fn measure() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/narrations");
    let mut files: Vec<_> = std::fs::read_dir(&folder)
        .expect("the narrations")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| {
            path.extension().is_some_and(|ending| ["vtt", "srt", "txt"].iter().any(|known| ending == *known))
        })
        .collect();
    files.sort();
    let narrations: Vec<Narration> = files
        .iter()
        .map(|path| {
            let mut inputs = Inputs::default();
            let id = lone_text("talk", std::fs::read(path).expect("a narration"), &mut inputs).expect("UTF-8");
            parse::narration(inputs.sources.get(id).expect("the source")).0
        })
        .collect();
    let mut whole = Narration::default();
    let mut at = 0.0;
    for narration in narrations.iter().cycle() {
        if at >= LENGTH {
            break;
        }
        for cue in &narration.cues {
            let mut cue = cue.clone();
            (cue.from, cue.to) = (cue.from + at, cue.to.map(|to| to + at));
            whole.cues.push(cue);
        }
        at = whole.cues.last().map_or(at, |cue| cue.to.unwrap_or(cue.from + 5.0)) + 5.0;
    }
    let words: usize = whole.cues.iter().map(|cue| cue.words.split_whitespace().count()).sum();
    let began = Instant::now();
    let (vocabulary, _) = pipeline::vocabulary(&discover(&Memory::default()).expect("no library"));
    let read = began.elapsed();
    let quickest = (0..ROUNDS)
        .map(|_| {
            let began = Instant::now();
            let drafted = Drafter::new(&vocabulary).draft(&whole, false);
            // One case comes of it, in which what was said before is not said again: values of the last narration show that it
            // was heard to its end.
            let last = drafted.entries.iter().map(|entry| entry.at).fold(0.0, f64::max);
            assert!(drafted.entries.len() > 250 && last > LENGTH - 300.0, "the whole hour is drafted");
            began.elapsed()
        })
        .min()
        .expect("some rounds");
    say(&format!(
        "A narration of {:.0} minutes, {} cues, {words} words: drafted in {:.0} ms, of {ROUNDS} rounds the quickest; the vocabulary before it in {:.0} ms.",
        at / 60.0,
        whole.cues.len(),
        quickest.as_secs_f64() * 1000.0,
        read.as_secs_f64() * 1000.0
    ));
}
