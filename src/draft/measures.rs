//! Puts quantities where they belong: to a visit, a wound, a trouble.

use super::acuity;
use super::doubt::{self, Standing};
use super::facts::{self, Anchor, Value};
use super::given::{implant, settings, sutures};
use super::hours;
use super::person::hear;
use super::recognise::Phase;
use super::stance::{self, Stance};
use super::story::{Finding, Held, Slot, Step, Story, Sure, Unclear, Visit};
use super::understand::Reading;
use super::units::{Measured, measured};
use super::words::Stop;
use crate::model::vocabulary::Kind;
use std::ops::Range;

/// The quantities of one sentence.
pub(super) fn sentence(reading: &Reading<'_, '_, '_>, number: usize, story: &mut Story, spoken: &mut Spoken) {
    let speech = reading.speech;
    let words = speech.sentences[number].words.clone();
    let phase = reading.phases[number];
    if reading.rules[number] || is_of_other_eye(reading, number, story) {
        return;
    }
    if phase != Phase::During {
        sight(reading, number, phase, story, spoken);
    }
    if phase == Phase::Before {
        grade(reading, &words, story);
    }
    let questions = |at: usize| {
        let next = reading.questions.partition_point(|it| it.words.end <= at);
        reading.questions.get(next).is_some_and(|it| it.words.contains(&at))
    };
    lengths(reading, number, phase, story, &questions);
    places(reading, number, phase, story, &questions);
    if phase == Phase::During {
        settings(reading, &words, story);
        implant(reading, &words, story);
        sutures(reading, &words, story);
    }
}

/// What is remembered between sentences.
#[derive(Debug, Default)]
pub(super) struct Spoken {
    /// Whether a pressure was spoken of, so that `it was` may mean the next.
    pub(super) pressure: bool,
}

/// Whether a sentence speaks of another eye: it says so, or names a side that is not known to be that of this operation.
fn is_of_other_eye(reading: &Reading<'_, '_, '_>, number: usize, story: &Story) -> bool {
    names_other_eye(reading, number, story, &["eye", "one"])
}

/// The same, a side being named by one of these words: `the right eye`, `the right one`.
fn names_other_eye(reading: &Reading<'_, '_, '_>, number: usize, story: &Story, nouns: &[&str]) -> bool {
    let speech = reading.speech;
    let words = &speech.sentences[number].words;
    if speech.any(words, &["other eye", "fellow eye", "contralateral eye", "other one"]) {
        return true;
    }
    let eye = story.eye.value().map(|it| it.value.as_str());
    words.clone().any(|at| {
        let side = speech.low(at);
        matches!(side, "left" | "right")
            && (nouns.contains(&speech.low(at + 1)) || nouns.contains(&"one") && was_done(speech, at))
            && at + 1 < words.end
            && eye != Some(side)
    })
}

/// "The left was done in the spring".
fn was_done(speech: &super::words::Speech<'_>, at: usize) -> bool {
    at > 0
        && matches!(speech.low(at - 1), "the" | "his" | "her")
        && matches!(speech.low(at + 1), "was" | "had" | "has" | "is")
}

/// Whether the sentence before speaks of another eye, and this one does not come back to the one that is operated on.
fn may_go_on_about_other_eye(reading: &Reading<'_, '_, '_>, number: usize, story: &Story) -> bool {
    let speech = reading.speech;
    let Some(before) = number.checked_sub(1) else { return false };
    let words = &speech.sentences[number].words;
    let here = speech.any(words, &["this", "today", "now", "here", "our", "ours", "day", "weeks"]);
    // After "the right one" only what points back to it goes on about it.
    let points = matches!(speech.low(words.start), "that" | "it" | "there")
        || speech.any(words, &["that one", "with that", "with it", "out of it"]);
    !here && (names_other_eye(reading, before, story, &["eye"]) || points && is_of_other_eye(reading, before, story))
}

/// Words between two pressures of one visit that make of the second a later one.
const LATER: &[&str] = &[
    "after",
    "later",
    "then",
    "down",
    "came",
    "fell",
    "rose",
    "went",
    "by the evening",
    "that evening",
    "an hour",
    "hours",
    "now",
];

/// Acuity, pressure and refraction of a visit.
fn sight(reading: &Reading<'_, '_, '_>, number: usize, phase: Phase, story: &mut Story, spoken: &mut Spoken) {
    let speech = reading.speech;
    let words = speech.sentences[number].words.clone();
    let acuities = acuity::acuities(speech, words.clone());
    let (pressures, open) = facts::pressures(speech, words.clone(), spoken.pressure);
    spoken.pressure = open && (phase == Phase::After || !pressures.is_empty() || spoken.pressure);
    let refraction = if phase == Phase::After { facts::refraction(speech, words.clone()) } else { None };
    if acuities.is_empty() && pressures.is_empty() && refraction.is_none() {
        return;
    }
    // "The pressure on the right was forty", where the left eye is operated on, or nobody knows which.
    let side = story.eye.value().map(|it| it.value.clone());
    let named = words.clone().any(|at| {
        let low = speech.low(at);
        matches!(low, "left" | "right")
            && side.as_deref() != Some(low)
            && at > 0
            && matches!(speech.low(at - 1), "the" | "his" | "her" | "their")
    });
    // Who comes up only behind the last value is not spoken of by it: "six six, and she's away to her sister's".
    let last = acuities.iter().map(|(it, _)| it.words.end).chain(pressures.iter().map(|it| it.words.end));
    let last = last.chain(refraction.iter().map(|it| it.words.end)).max().unwrap_or(words.end);
    let told = words.start..words.end.min(last + 4);
    let another = named || stance::is_of_another(speech, &told) || speech.any(&words, &["ago"]);
    let supposed = |value: &Value| {
        const HOPED: &[&str] = &[
            "if", "would", "could", "might", "hope", "hoped", "expected", "expect", "want", "wanted", "usually",
            "normally", "plan",
        ];
        let clause = stance::clause_of(speech, &value.words);
        speech.any(&(clause.start..value.words.start), HOPED)
    };
    let acuities: Vec<_> = acuities.into_iter().filter(|(value, _)| !supposed(value)).collect();
    let pressures: Vec<_> = pressures.into_iter().filter(|value| !supposed(value)).collect();
    let refraction = refraction.filter(|value| !supposed(value));
    if another || may_go_on_about_other_eye(reading, number, story) {
        story.unclear.push(Unclear::new(words, "this may be of another eye, another time or another person"));
        return;
    }
    let unclear = &mut story.unclear;
    let visits = if phase == Phase::Before { &mut story.before } else { &mut story.outcomes };
    if visits.is_empty() {
        visits.push(Visit::default());
    }
    let mut last_words = None;
    for value in pressures {
        let last = visits.len() - 1;
        let known = visits[last].iop.value().map(|it| it.words.end);
        let from = last_words.or(known).unwrap_or(value.words.start).min(value.words.start);
        let later = speech.any(&(from..value.words.end), LATER) || value.guess;
        last_words = Some(value.words.end);
        if visits[last].iop.is_unheard() || !later || value.doubt.is_some() {
            hear(&mut visits[last].iop, value, unclear);
        } else if phase == Phase::Before {
            // A second pressure before the operation belongs to a later moment.
            let mut visit = Visit::default();
            hear(&mut visit.iop, value, unclear);
            visits.push(visit);
        }
    }
    // What is told of sight belongs to the visit that is spoken of; before the operation that is the first.
    let visit = if phase == Phase::Before { visits.first_mut() } else { visits.last_mut() };
    let Some(visit) = visit else { return };
    for (value, taken) in acuities {
        let Some(taken) = taken else {
            match value.doubt {
                Some(why) => unclear.push(Unclear::new(value.words, why)),
                None => {
                    let text = format!("Acuity {}; how it was taken was not said.", value.text);
                    visit.notes.push(Held::new(text, value.words, Sure::Blank));
                }
            }
            continue;
        };
        let at = visit.acuity.iter().position(|(known, _)| *known == taken).unwrap_or_else(|| {
            visit.acuity.push((taken, Slot::default()));
            visit.acuity.len() - 1
        });
        hear(&mut visit.acuity[at].1, value, unclear);
    }
    if let Some(value) = refraction.filter(|value| !value.text.is_empty()) {
        hear(&mut visit.refraction, value, unclear);
    }
}

/// The grade of the nucleus.
fn grade(reading: &Reading<'_, '_, '_>, words: &Range<usize>, story: &mut Story) {
    let speech = reading.speech;
    let Some(at) = speech.find(words.clone(), "grade") else { return };
    let measured = trusted(reading, at + 1..words.end);
    let Some(said) = measured.first().filter(|said| {
        said.words.start == at + 1 && said.unit.is_none() && said.number.whole().is_some_and(|grade| grade <= 6)
    }) else {
        return;
    };
    let sclerosis = |finding: &&mut Finding| reading.name(finding.is.value) == "nuclear-sclerosis";
    if let Some(finding) = story.findings.iter_mut().find(sclerosis) {
        let text = said.number.text.clone();
        let value = Value { text, words: at..said.words.end, guess: false, doubt: said.doubt(true) };
        hear(&mut finding.grade, value, &mut story.unclear);
    }
}

/// Words that are heard for numbers: behind one of them a number may be half of another.
const HALF_HEARD: &[&str] =
    &["too", "ate", "won", "fore", "tree", "sex", "sick", "tan", "nein", "tin", "forte", "fort", "point"];

/// The numbers of a range; those behind a word that nobody knows or that is heard for a number are in doubt: `fort eight`.
pub(super) fn trusted(reading: &Reading<'_, '_, '_>, range: Range<usize>) -> Vec<Measured> {
    let speech = reading.speech;
    let sound = |at: usize| {
        let word = &speech.words[at];
        let known = reading.lexicon.plain.contains(&word.key) || reading.lexicon.known.contains(&word.key);
        let said = known || word.hidden || super::lexicon::is_measure(&word.low) || reading.ends_a_mention(at);
        (said || !word.low.chars().all(char::is_alphabetic)) && !HALF_HEARD.contains(&word.low.as_str())
    };
    let mut measured = measured(speech, range);
    for it in &mut measured {
        let before = it.words.start.checked_sub(1).filter(|before| speech.words[*before].stop == Stop::None);
        if before.is_some_and(|before| !sound(before)) && matches!(it.standing, Standing::Exact | Standing::About) {
            it.standing = Standing::Doubtful(doubt::PART);
        }
    }
    measured
}

/// What a word or mention makes of a number near it.
fn anchors(reading: &Reading<'_, '_, '_>, words: &Range<usize>) -> Vec<(usize, Anchor)> {
    let speech = reading.speech;
    let mut found: Vec<(usize, Anchor)> = Vec::new();
    for at in words.clone() {
        let low = speech.low(at);
        let anchor = match low.strip_suffix("'s").unwrap_or(low) {
            "wound" | "incision" | "tunnel" | "keratome" => Anchor::Wound,
            "port" | "ports" | "paracentesis" | "stab" | "stabs" => Anchor::Port,
            "sit" | "sitting" | "seated" | "surgeon" => Anchor::Surgeon,
            "pupil" | "pupils" => Anchor::Pupil,
            "rhexis" | "optic" | "iridectomy" | "claw" | "hooks" | "hook" | "iris" | "haptic" | "membrane" => {
                Anchor::Other
            }
            "axial" => Anchor::AxialLength,
            "chamber" => Anchor::Chamber,
            _ => continue,
        };
        found.push((at, anchor));
    }
    for meant in reading.within(words) {
        let anchor = match meant.kind {
            Kind::Complication => Anchor::Trouble(meant.words.start),
            Kind::Technique if reading.lexicon.is_under(meant.concept, "paracentesis") => Anchor::Port,
            Kind::Technique
                if reading.name(meant.concept) != "new-incision-elsewhere"
                    && reading.lexicon.is_under(meant.concept, "incision") =>
            {
                Anchor::Wound
            }
            Kind::Technique if reading.lexicon.is_under(meant.concept, "anterior-capsulotomy") => Anchor::Rhexis,
            Kind::Technique if reading.lexicon.is_under(meant.concept, "wound-closure") => Anchor::Other,
            Kind::Technique if reading.name(meant.concept) == "new-incision-elsewhere" => Anchor::Other,
            _ => continue,
        };
        // The mention outranks the words of which it is made.
        found.retain(|(at, _)| !meant.words.contains(at));
        found.push((meant.words.start, anchor));
    }
    found.sort_by_key(|(at, _)| *at);
    found
}

/// The anchor of something said at a word: the nearest before it, or one right behind it, or that of the sentence before.
fn anchor_of(reading: &Reading<'_, '_, '_>, number: usize, value: &Range<usize>) -> Option<Anchor> {
    let speech = reading.speech;
    let words = &speech.sentences[number].words;
    let anchors = anchors(reading, words);
    let before = anchors.iter().rev().find(|(at, _)| *at < value.start);
    let behind = anchors.iter().find(|(at, _)| *at >= value.end && *at <= value.end + 2);
    // "a two point four millimetre wound": a stop between them parts them.
    let behind = behind.filter(|(at, _)| (value.end..*at).all(|at| speech.words[at - 1].stop == Stop::None));
    let parted = before.is_some_and(|(at, _)| (*at..value.start).any(|at| speech.words[at].stop != Stop::None));
    match (before, behind) {
        (Some(_), Some((_, behind))) if parted => Some(*behind),
        (Some((_, before)), _) => Some(*before),
        (None, Some((_, behind))) => Some(*behind),
        (None, None) => {
            let later = anchors.iter().find(|(at, _)| *at >= value.end);
            if let Some((_, later)) = later {
                return Some(*later);
            }
            let previous = &speech.sentences[number.checked_sub(1)?].words;
            let last = self::anchors(reading, previous).last().map(|(_, anchor)| *anchor);
            (words.len() <= 8 || value.start == words.start).then_some(last).flatten()
        }
    }
}

/// Lengths and extents.
fn lengths(
    reading: &Reading<'_, '_, '_>,
    number: usize,
    phase: Phase,
    story: &mut Story,
    asked: &dyn Fn(usize) -> bool,
) {
    let speech = reading.speech;
    let words = speech.sentences[number].words.clone();
    let (pressures, _) = facts::pressures(speech, words.clone(), false);
    let pressure =
        |words: &Range<usize>| pressures.iter().any(|it| it.words.start < words.end && words.start < it.words.end);
    for measured in trusted(reading, words.clone()) {
        if asked(measured.words.start) || pressure(&measured.words) {
            continue;
        }
        let Some(anchor) = anchor_of(reading, number, &measured.words) else { continue };
        let value = |unit: &str| Value {
            text: measured.written(unit),
            words: measured.words.clone(),
            guess: false,
            doubt: measured.doubt(false),
        };
        let supposed = doubt::is_supposed(speech, &measured.words);
        let first_pupil = phase == Phase::Before || is_first_pupil(reading, phase, story);
        let unclear = &mut story.unclear;
        match (measured.unit, anchor) {
            // What was planned or is usual says nothing of what was measured here, not even that it differs.
            (Some(_), _) if supposed => {}
            (Some("mm"), Anchor::Wound) if phase == Phase::During && main_wound(reading, &words) => {
                hear(&mut story.incision_width, value("mm"), unclear);
            }
            (Some(unit @ ("mm" | "clock hours")), Anchor::Trouble(at)) => {
                let mut heard = Vec::new();
                if let Some(trouble) = trouble_at(reading, story, at) {
                    hear(&mut trouble.extent, value(unit), &mut heard);
                }
                story.unclear.extend(heard);
            }
            (Some("mm"), Anchor::Pupil) if first_pupil => {
                hear(&mut visit(&mut story.before).pupil, value("mm"), unclear);
            }
            (Some("mm"), Anchor::AxialLength) => hear(&mut visit(&mut story.before).length, value("mm"), unclear),
            (Some("mm"), Anchor::Chamber) if phase == Phase::Before => {
                hear(&mut visit(&mut story.before).depth, value("mm"), unclear);
            }
            (None, anchor) => bare(&measured, anchor, phase, story),
            _ => {}
        }
    }
}

/// Whether a pupil that is measured on the table is that of the eye as it came: nothing was done to it yet, nor to the capsule.
fn is_first_pupil(reading: &Reading<'_, '_, '_>, phase: Phase, story: &Story) -> bool {
    const CHANGES: [&str; 4] =
        ["anterior-capsulotomy", "pupil-management", "intracameral-mydriatic", "viscoelastic-injection"];
    let changes = |step: &Step| CHANGES.iter().any(|name| reading.lexicon.is_under(step.does.value, name));
    phase == Phase::During
        && story.before.first().is_none_or(|visit| visit.pupil.is_unheard())
        && !story.steps.iter().any(changes)
}

/// A number without its unit beside something that is measured: asked back, never guessed.
fn bare(measured: &Measured, anchor: Anchor, phase: Phase, story: &mut Story) {
    let what = match anchor {
        Anchor::Wound
            if phase == Phase::During && story.incision_width.is_unheard() && measured.number.text.contains('.') =>
        {
            "the width of the wound"
        }
        Anchor::AxialLength => "the axial length",
        Anchor::Chamber if phase == Phase::Before && measured.number.text.contains('.') => "the depth of the chamber",
        Anchor::Pupil if phase == Phase::Before => "the pupil",
        _ => return,
    };
    let why = format!("may be {what}, but no unit was said; a unit is never guessed");
    story.unclear.push(Unclear::new(measured.words.clone(), why));
}

fn visit(before: &mut Vec<Visit>) -> &mut Visit {
    if before.is_empty() {
        before.push(Visit::default());
    }
    &mut before[0]
}

/// Whether a sentence speaks of making the wound and not of what happened to it later.
fn main_wound(reading: &Reading<'_, '_, '_>, words: &Range<usize>) -> bool {
    !reading.within(words).iter().any(|it| {
        it.kind == Kind::Complication
            || reading.name(it.concept) == "new-incision-elsewhere"
            || reading.name(it.concept) == "wound-enlargement"
    })
}

/// The trouble that a mention speaks of.
fn trouble_at<'s>(
    reading: &Reading<'_, '_, '_>,
    story: &'s mut Story,
    at: usize,
) -> Option<&'s mut super::story::Trouble> {
    let meant = reading.within(&(at..at + 1)).iter().find(|it| it.stance == Stance::So)?;
    let vocabulary = reading.lexicon.vocabulary;
    story.troubles.iter_mut().find(|known| super::troubles::is_same(vocabulary, known, meant.concept))
}

/// Clock hours and sides.
fn places(
    reading: &Reading<'_, '_, '_>,
    number: usize,
    phase: Phase,
    story: &mut Story,
    asked: &dyn Fn(usize) -> bool,
) {
    let speech = reading.speech;
    let words = speech.sentences[number].words.clone();
    let hours = hours::hours(speech, words.clone());
    for bare in hours::bare_hours(speech, words.clone()) {
        let near = matches!(anchor_of(reading, number, &bare), Some(Anchor::Port | Anchor::Wound | Anchor::Surgeon));
        let settings = ["flow", "vacuum", "bottle", "power", "height", "pressure", "infusion"];
        let from = words.start.max(bare.start.saturating_sub(4));
        let taken = hours.iter().any(|it| it.words.start < bare.end && bare.start < it.words.end);
        if near && !taken && !asked(bare.start) && !speech.any(&(from..bare.start), &settings) {
            let why = "may be a clock hour, but `o'clock` was not said; a clock hour is never guessed";
            story.unclear.push(Unclear::new(bare, why));
        }
    }
    for value in hours {
        let supposed = doubt::is_supposed(speech, &value.words);
        if asked(value.words.start) || supposed {
            continue;
        }
        match anchor_of(reading, number, &value.words) {
            Some(Anchor::Port) => port(story, value),
            Some(Anchor::Wound) if phase == Phase::During && main_wound(reading, &words) => {
                hear_place(&mut story.incision_at, value, &mut story.unclear);
            }
            Some(Anchor::Surgeon) => hear_place(&mut story.surgeon_at, value, &mut story.unclear),
            Some(Anchor::Trouble(at)) => {
                let mut heard = Vec::new();
                if let Some(trouble) = trouble_at(reading, story, at) {
                    hear_place(&mut trouble.at, value, &mut heard);
                }
                story.unclear.extend(heard);
            }
            _ => {}
        }
    }
    let Some(side) = hours::side(speech, words.clone()).filter(|it| !doubt::is_supposed(speech, &it.words)) else {
        return;
    };
    let seat = speech.any(
        &words,
        &[
            "sit",
            "sat",
            "sitting",
            "seated",
            "seat",
            "surgeon",
            "approach",
            "i'm on the",
            "i am on the",
            "i work",
            "i'm working",
            "i stand",
            "i'm temporal",
            "i am temporal",
            "i'm sat",
            "i operate",
            "i'm operating",
        ],
    );
    if seat && !asked(side.words.start) {
        hear_place(&mut story.surgeon_at, side, &mut story.unclear);
        return;
    }
    match anchor_of(reading, number, &side.words) {
        Some(Anchor::Wound) if phase == Phase::During && side.text == "temporal" && main_wound(reading, &words) => {
            hear_place(&mut story.incision_at, side, &mut story.unclear);
        }
        Some(Anchor::Trouble(at)) => {
            let mut heard = Vec::new();
            if let Some(trouble) = trouble_at(reading, story, at) {
                hear_place(&mut trouble.at, side, &mut heard);
            }
            story.unclear.extend(heard);
        }
        _ => {}
    }
}

/// A port, unless it is known, is a stretch, or may not be written.
fn port(story: &mut Story, value: Value) {
    if let Some(why) = value.doubt {
        story.unclear.push(Unclear::new(value.words, why));
    } else if !story.ports.iter().any(|port| port.value == value.text) && !value.text.contains(" to ") {
        story.ports.push(value.into());
    }
}

/// A place as an hour or a side: one beside the other says no two things, two of a kind do.
fn hear_place(slot: &mut Slot, value: Value, unclear: &mut Vec<Unclear>) {
    let hour = |text: &str| text.starts_with(|first: char| first.is_ascii_digit());
    if slot.value().is_none_or(|known| hour(&known.value) == hour(&value.text)) {
        hear(slot, value, unclear);
    }
}
