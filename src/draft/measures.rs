//! Puts quantities where they belong: to the eye, a wound, a step, a drug, a trouble, a visit.

use super::facts::{self, Anchor, Measured, Value};
use super::recognise::Phase;
use super::stance::Stance;
use super::story::{Concept, Drug, Finding, Held, Story, Sure, Text, Unclear, Visit};
use super::understand::{Meant, Reading};
use super::words::Stop;
use crate::model::measure::Taken;
use crate::model::vocabulary::Kind;
use std::ops::Range;

/// Within how many sentences from the beginning age and eye are told.
const EARLY: usize = 8;

/// Eye, age and sex: what concerns the patient and not the course of the operation.
pub(super) fn person(reading: &Reading<'_, '_, '_>, story: &mut Story) {
    let speech = reading.speech;
    let (mut eyes, mut pronouns) = (Vec::new(), [None::<Range<usize>>, None]);
    for (number, sentence) in speech.sentences.iter().enumerate() {
        let words = sentence.words.clone();
        let other = speech.any(&words, &["other eye", "fellow eye"]);
        for at in words.clone() {
            let side = speech.low(at);
            if matches!(side, "left" | "right")
                && matches!(speech.low(at + 1), "eye" | "eyes")
                && !other
                && at + 1 < words.end
            {
                eyes.push(Value { text: side.to_owned(), words: at..at + 2, guess: false });
            }
            match speech.low(at) {
                "woman" | "lady" | "girl" | "female" if story.sex.is_none() && number < EARLY => {
                    story.sex = Some(Held::new("female".to_owned(), at..at + 1, Sure::Certain));
                }
                "man" | "gentleman" | "boy" | "male" | "mister" | "mr" if story.sex.is_none() && number < EARLY => {
                    story.sex = Some(Held::new("male".to_owned(), at..at + 1, Sure::Certain));
                }
                "she" | "she's" | "her" => pronouns[0] = pronouns[0].take().or(Some(at..at + 1)),
                "he" | "he's" | "his" | "him" => pronouns[1] = pronouns[1].take().or(Some(at..at + 1)),
                _ => {}
            }
        }
        if story.age.is_none() {
            story.age = facts::age(speech, words, number < EARLY).map(Text::from);
        }
    }
    let differs = eyes.iter().any(|eye| eye.text != eyes[0].text);
    match eyes.into_iter().next() {
        Some(eye) if differs => story.unclear.push(Unclear {
            words: eye.words,
            why: "both sides are named in this narration; a side is never guessed".to_owned(),
        }),
        eye => story.eye = eye.map(Text::from),
    }
    if story.sex.is_none() {
        let [she, he] = pronouns;
        story.sex = match (she, he) {
            (Some(words), None) => Some(Held::new("female".to_owned(), words, Sure::Guess)),
            (None, Some(words)) => Some(Held::new("male".to_owned(), words, Sure::Guess)),
            _ => None,
        };
    }
}

/// The quantities of one sentence.
pub(super) fn sentence(reading: &Reading<'_, '_, '_>, number: usize, story: &mut Story, drugs: &mut Drugs) {
    let speech = reading.speech;
    let words = speech.sentences[number].words.clone();
    let phase = reading.phases[number];
    let elsewhere = speech.any(&words, &["other eye", "fellow eye"]);
    if reading.rules[number] || elsewhere {
        return;
    }
    if phase != Phase::During {
        sight(reading, &words, phase, story, drugs);
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

/// Acuity, pressure and refraction of a visit.
fn sight(reading: &Reading<'_, '_, '_>, words: &Range<usize>, phase: Phase, story: &mut Story, drugs: &mut Drugs) {
    let speech = reading.speech;
    let acuities = facts::acuities(speech, words.clone());
    let (pressures, open) = facts::pressures(speech, words.clone(), drugs.pressure_spoken_of);
    drugs.pressure_spoken_of = open && (phase == Phase::After || !pressures.is_empty() || drugs.pressure_spoken_of);
    let refraction = if phase == Phase::After { facts::refraction(speech, words.clone()) } else { None };
    if acuities.is_empty() && pressures.is_empty() && refraction.is_none() {
        return;
    }
    let visits = if phase == Phase::Before { &mut story.before } else { &mut story.outcomes };
    if visits.is_empty() {
        visits.push(Visit::default());
    }
    for value in pressures {
        let last = visits.len() - 1;
        if visits[last].iop.is_none() {
            visits[last].iop = Some(value.into());
        } else if phase == Phase::Before {
            // A second pressure before the operation belongs to a later moment.
            visits.push(Visit { iop: Some(value.into()), ..Visit::default() });
        }
    }
    // What is told of sight belongs to the visit that is spoken of; before the operation that is the first.
    let visit = if phase == Phase::Before { visits.first_mut() } else { visits.last_mut() };
    let Some(visit) = visit else { return };
    for (value, taken) in acuities {
        match taken {
            Some(taken) if !visit.acuity.iter().any(|(known, _)| *known == taken) => {
                visit.acuity.push((taken, value.into()));
            }
            _ => {
                let text = format!("Acuity {}; how it was taken was not said.", value.text);
                visit.notes.push(Held::new(text, value.words, Sure::Blank));
            }
        }
    }
    if let Some(value) = refraction.filter(|value| !value.text.is_empty()) {
        visit.refraction.get_or_insert_with(|| value.into());
    }
}

/// The grade of the nucleus.
fn grade(reading: &Reading<'_, '_, '_>, words: &Range<usize>, story: &mut Story) {
    let speech = reading.speech;
    let Some(at) = speech.find(words.clone(), "grade") else { return };
    let Some(said) = super::numbers::number(speech, at + 1).filter(|said| said.whole().is_some_and(|grade| grade <= 6))
    else {
        return;
    };
    let sclerosis = |finding: &&mut Finding| reading.name(finding.is.value) == "nuclear-sclerosis";
    if let Some(finding) = story.findings.iter_mut().find(sclerosis) {
        finding.grade = Some(Held::new(said.text, at..said.words.end, Sure::Certain));
    }
}

/// Words that are heard for numbers: behind one of them a number may be half of another.
const HALF_HEARD: &[&str] =
    &["too", "ate", "won", "fore", "tree", "sex", "sick", "tan", "nein", "tin", "forte", "fort", "point"];

/// The numbers of a range, without those behind a word that nobody knows or that is heard for a number: `fort eight`.
fn trusted(reading: &Reading<'_, '_, '_>, range: Range<usize>) -> Vec<Measured> {
    let speech = reading.speech;
    let sound = |at: usize| {
        let word = &speech.words[at];
        let known = reading.lexicon.plain.contains(&word.key) || reading.lexicon.known.contains(&word.key);
        let said = known || word.hidden || super::lexicon::is_measure(&word.low) || reading.ends_a_mention(at);
        (said || !word.low.chars().all(char::is_alphabetic)) && !HALF_HEARD.contains(&word.low.as_str())
    };
    let mut measured = facts::measured(speech, range);
    measured.retain(|it| {
        it.words.start.checked_sub(1).is_none_or(|before| speech.words[before].stop != Stop::None || sound(before))
    });
    measured
}

/// What a word or mention makes of a number near it.
fn anchors(reading: &Reading<'_, '_, '_>, words: &Range<usize>) -> Vec<(usize, Anchor)> {
    let speech = reading.speech;
    let mut found: Vec<(usize, Anchor)> = Vec::new();
    for at in words.clone() {
        let anchor = match speech.low(at) {
            "wound" | "incision" | "tunnel" => Anchor::Wound,
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
            (words.len() <= 8).then_some(last).flatten()
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
        let text = format!("{} {}", measured.number.text, measured.unit.unwrap_or(""));
        let value = Held::new(text, measured.words.clone(), Sure::Certain);
        match (measured.unit, anchor) {
            (Some("mm"), Anchor::Wound) if phase == Phase::During && main_wound(reading, &words) => {
                story.incision_width.get_or_insert(value);
            }
            (Some("mm" | "clock hours"), Anchor::Trouble(at)) => {
                if let Some(trouble) = trouble_at(reading, story, at) {
                    trouble.extent.get_or_insert(value);
                }
            }
            (Some("mm"), Anchor::Pupil) if phase == Phase::Before => {
                visit(story).pupil = visit(story).pupil.take().or(Some(value))
            }
            (Some("mm"), Anchor::AxialLength) => visit(story).length = visit(story).length.take().or(Some(value)),
            (Some("mm"), Anchor::Chamber) if phase == Phase::Before => {
                visit(story).depth = visit(story).depth.take().or(Some(value));
            }
            (None, anchor) => bare(&measured, anchor, phase, story),
            _ => {}
        }
    }
}

/// A number without its unit beside something that is measured: asked back, never guessed.
fn bare(measured: &Measured, anchor: Anchor, phase: Phase, story: &mut Story) {
    let what = match anchor {
        Anchor::Wound
            if phase == Phase::During && story.incision_width.is_none() && measured.number.text.contains('.') =>
        {
            "the width of the wound"
        }
        Anchor::AxialLength => "the axial length",
        Anchor::Chamber if phase == Phase::Before && measured.number.text.contains('.') => "the depth of the chamber",
        Anchor::Pupil if phase == Phase::Before => "the pupil",
        _ => return,
    };
    story.unclear.push(Unclear {
        words: measured.words.clone(),
        why: format!("may be {what}, but no unit was said; a unit is never guessed"),
    });
}

fn visit(story: &mut Story) -> &mut Visit {
    if story.before.is_empty() {
        story.before.push(Visit::default());
    }
    &mut story.before[0]
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
    story.troubles.iter_mut().find(|known| {
        vocabulary.upwards(known.is.value).contains(&meant.concept)
            || vocabulary.upwards(meant.concept).contains(&known.is.value)
    })
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
    for value in facts::hours(speech, words.clone()) {
        if asked(value.words.start) {
            continue;
        }
        match anchor_of(reading, number, &value.words) {
            Some(Anchor::Port)
                if !story.ports.iter().any(|port| port.value == value.text) && !value.text.contains(" to ") =>
            {
                story.ports.push(value.into());
            }
            Some(Anchor::Port) => {}
            Some(Anchor::Wound) if phase == Phase::During && main_wound(reading, &words) => {
                story.incision_at.get_or_insert_with(|| value.into());
            }
            Some(Anchor::Surgeon) => {
                story.surgeon_at.get_or_insert_with(|| value.into());
            }
            Some(Anchor::Trouble(at)) => {
                if let Some(trouble) = trouble_at(reading, story, at) {
                    trouble.at.get_or_insert_with(|| value.into());
                }
            }
            _ => {}
        }
    }
    let Some(side) = facts::side(speech, words.clone()) else { return };
    let seat = speech.any(&words, &["sit", "sitting", "seated", "surgeon", "approach", "i'm on the", "i am on the"]);
    if seat && !asked(side.words.start) {
        story.surgeon_at.get_or_insert_with(|| side.into());
        return;
    }
    match anchor_of(reading, number, &side.words) {
        Some(Anchor::Wound) if phase == Phase::During && side.text == "temporal" && main_wound(reading, &words) => {
            story.incision_at.get_or_insert_with(|| side.into());
        }
        Some(Anchor::Trouble(at)) => {
            if let Some(trouble) = trouble_at(reading, story, at) {
                trouble.at.get_or_insert_with(|| side.into());
            }
        }
        _ => {}
    }
}

/// Settings of the machine.
fn settings(reading: &Reading<'_, '_, '_>, words: &Range<usize>, story: &mut Story) {
    const NAMES: &[(&str, &str, &str)] = &[
        ("vacuum", "vacuum", "mmHg"),
        ("flow", "flow", "mL/min"),
        ("bottle", "bottle height", "cm"),
        ("power", "power", "%"),
    ];
    let speech = reading.speech;
    let measured = trusted(reading, words.clone());
    for at in words.clone() {
        let Some((_, name, unit)) = NAMES.iter().find(|(said, _, _)| speech.low(at) == *said) else { continue };
        let free = |it: &&Measured| it.unit.is_none_or(|said| said == *unit);
        let other =
            |from: usize, to: usize| (from..to).any(|at| NAMES.iter().any(|(said, _, _)| speech.low(at) == *said));
        let next = measured
            .iter()
            .find(|it| it.words.start > at && it.words.start <= at + 5 && !other(at + 1, it.words.start));
        let before = measured.iter().find(|it| it.words.end == at);
        let Some(it) = next.filter(free).or(before.filter(free)) else { continue };
        let usual = speech.any(&(at..words.end), &["usually", "normally"]);
        let Some(step) = story.steps.len().checked_sub(1) else { continue };
        if it.unit.is_none() || usual {
            let why = format!("may be the {name}, but no unit was said; a unit is never guessed");
            story.unclear.push(Unclear { words: at.min(it.words.start)..it.words.end, why });
            continue;
        }
        let text = format!("{} {unit}", it.number.text);
        let held = Held::new(text, at.min(it.words.start)..it.words.end.max(at + 1), Sure::Certain);
        let step = &mut story.steps[step];
        if !step.settings.iter().any(|(known, _)| known == name) {
            step.settings.push((name, held));
        }
    }
}

/// The implant's power, target and place.
fn implant(reading: &Reading<'_, '_, '_>, words: &Range<usize>, story: &mut Story) {
    let speech = reading.speech;
    let said: Vec<&Meant> = reading.within(words).iter().filter(|it| it.stance == Stance::So).collect();
    let is_lens = |it: &&&Meant| it.kind == Kind::Material && reading.lexicon.is_under(it.concept, "intraocular-lens");
    let lens = said.iter().find(is_lens);
    let put =
        said.iter().any(|it| it.kind == Kind::Technique && reading.lexicon.is_under(it.concept, "lens-implantation"));
    if let Some(lens) = lens {
        story.lens.kind.get_or_insert_with(|| Held::new(lens.concept, lens.words.clone(), lens.sure));
    }
    let named = lens.is_some() || put || speech.any(words, &["lens", "implant"]);
    let other = speech.any(words, &["glasses", "astigmatism", "cylinder", "spectacles"]);
    for measured in trusted(reading, words.clone()) {
        let before = measured.words.start;
        let aims = (words.start.max(before.saturating_sub(3))..before)
            .any(|at| matches!(speech.low(at), "aiming" | "aim" | "target" | "aimed" | "targeting"));
        let signed = measured.number.text.starts_with(['-', '+']);
        if aims && signed {
            let text = format!("{:+.2} D", measured.number.value());
            story.lens.target.get_or_insert(Held::new(text, measured.words.clone(), Sure::Certain));
        } else if named && !other && !signed {
            match measured.unit {
                Some("D") => {
                    let text = format!("{} D", measured.number.text);
                    story.lens.power.get_or_insert(Held::new(text, measured.words.clone(), Sure::Certain));
                }
                None if story.lens.power.is_none()
                    && (5.0..=40.0).contains(&measured.number.value())
                    && (lens.is_some() || put) =>
                {
                    let why =
                        "may be the power of the implant, but no unit was said; a power is never guessed".to_owned();
                    story.unclear.push(Unclear { words: measured.words.clone(), why });
                }
                _ => {}
            }
        }
    }
    for meant in said.iter().filter(|it| it.kind == Kind::Technique) {
        let place = match reading.name(meant.concept) {
            "in-the-bag-implantation" => "bag",
            "sulcus-implantation" => "sulcus",
            "optic-capture" => "sulcus with optic capture",
            "retropupillary-iris-claw" => "retropupillary iris claw",
            "iris-claw-implantation" => "iris claw",
            "anterior-chamber-implantation" => "anterior chamber",
            _ if reading.lexicon.is_under(meant.concept, "scleral-fixation") => "scleral fixation",
            _ => continue,
        };
        let better = story.lens.place.as_ref().is_none_or(|known| {
            place.len() > known.value.len() && place.ends_with(known.value.as_str()) || known.value == "sulcus"
        });
        if better {
            story.lens.place = Some(Held::new(place.to_owned(), meant.words.clone(), meant.sure));
        }
    }
}

/// How the wound was closed: a number of stitches and the thread.
fn sutures(reading: &Reading<'_, '_, '_>, words: &Range<usize>, story: &mut Story) {
    let speech = reading.speech;
    let thread = reading.within(words).iter().find(|it| {
        it.kind == Kind::Material && it.stance == Stance::So && reading.name(it.concept) == "nylon-suture-10-0"
    });
    let Some(thread) = thread else { return };
    let from = words.start.max(thread.words.start.saturating_sub(3));
    let count = (from..thread.words.start)
        .filter_map(|at| super::numbers::number(speech, at).map(|said| (at, said)))
        .find(|(_, said)| {
            said.whole().is_some_and(|count| (1..=12).contains(&count)) && said.words.end <= thread.words.start
        })
        .map(|(at, said)| (said.text, at))
        .or_else(|| {
            (speech.low(thread.words.start.wrapping_sub(1)) == "a").then(|| ("1".to_owned(), thread.words.start - 1))
        });
    let behind = (thread.words.end..words.end.min(thread.words.end + 2)).find_map(|at| {
        let said = super::numbers::number(speech, at)?;
        (speech.says(said.words.end, "of them")).then_some((said.text, said.words.end + 2))
    });
    let (text, words) = match (count, behind) {
        (_, Some((count, end))) => (format!("{count} 10-0 nylon"), thread.words.start..end),
        (Some((count, start)), None) => (format!("{count} 10-0 nylon"), start..thread.words.end),
        (None, None) => return,
    };
    story.sutures.get_or_insert(Held::new(text, words, Sure::Certain));
}

/// What is remembered between sentences.
#[derive(Debug, Default)]
pub(super) struct Drugs {
    /// Whether a pressure was spoken of, so that `it was` may mean the next.
    pub(super) pressure_spoken_of: bool,
}

impl Drugs {
    /// A drug, device or tool: to its step, its visit, or with its dose.
    pub(super) fn take(
        &mut self,
        reading: &Reading<'_, '_, '_>,
        meant: &Meant,
        words: &Range<usize>,
        phase: Phase,
        story: &mut Story,
    ) {
        let item = Held::new(meant.concept, meant.words.clone(), meant.sure);
        let drug = if reading.lexicon.is_drug(meant.concept) { drug(reading, meant, words) } else { None };
        match phase {
            Phase::Before => {
                if let Some(drug) = drug {
                    let visit = visit(story);
                    if !visit.gives.iter().any(|known| known.substance.value == drug.substance.value) {
                        visit.gives.push(drug);
                    }
                }
            }
            Phase::During => {
                let Some(last) = story.steps.len().checked_sub(1) else { return };
                let step = &mut story.steps[last];
                match drug {
                    Some(drug) => {
                        if !step.gives.iter().any(|known| known.substance.value == drug.substance.value) {
                            step.gives.push(drug);
                        }
                    }
                    None => put(&mut step.with, item),
                }
            }
            Phase::After => {
                let drug = drug.or_else(|| {
                    reading.lexicon.is_drug(meant.concept).then_some(Drug {
                        substance: item,
                        strength: None,
                        dose: None,
                        route: None,
                        note: None,
                    })
                });
                if let (Some(drug), Some(visit)) = (drug, story.outcomes.last_mut())
                    && !visit.gives.iter().any(|known| known.substance.value == drug.substance.value)
                {
                    visit.gives.push(drug);
                }
            }
        }
    }
}

fn put(list: &mut Vec<Concept>, concept: Concept) {
    if !list.iter().any(|known| known.value == concept.value) {
        list.push(concept);
    }
}

/// Ways of giving a drug by how they are said.
const ROUTES: &[(&str, &str)] = &[
    ("intracameral", "intracameral"),
    ("intra cameral", "intracameral"),
    ("into the chamber", "intracameral"),
    ("in the chamber", "intracameral"),
    ("subconjunctival", "subconjunctival"),
    ("sub conj", "subconjunctival"),
    ("subconj", "subconjunctival"),
    ("intravitreal", "intravitreal"),
    ("intravenously", "intravenous"),
    ("intravenous", "intravenous"),
    ("by mouth", "oral"),
    ("orally", "oral"),
    ("tablets", "oral"),
    ("drops", "topical"),
];

/// A drug with what was said of its strength, dose and way; none if only its name was said.
fn drug(reading: &Reading<'_, '_, '_>, meant: &Meant, words: &Range<usize>) -> Option<Drug> {
    let speech = reading.speech;
    // From this drug to the next, or from the beginning of the sentence if it is the first.
    let drugs: Vec<&Meant> = reading
        .within(words)
        .iter()
        .filter(|it| it.kind == Kind::Material && reading.lexicon.is_drug(it.concept))
        .collect();
    let next = drugs.iter().map(|it| it.words.start).find(|start| *start > meant.words.start).unwrap_or(words.end);
    let first = drugs.first().is_some_and(|it| it.words.start == meant.words.start);
    let own = if first { words.start } else { meant.words.start }..next;
    let mut drug = Drug {
        substance: Held::new(meant.concept, meant.words.clone(), meant.sure),
        strength: None,
        dose: None,
        route: None,
        note: None,
    };
    let mut volume = None;
    for measured in trusted(reading, own.clone()) {
        let Some(unit) = measured.unit else { continue };
        let held = Held::new(format!("{} {unit}", measured.number.text), measured.words.clone(), Sure::Certain);
        match unit {
            "%" | "mg/mL" => drug.strength = drug.strength.or(Some(held)),
            "mg" | "g/kg" => drug.dose = drug.dose.or(Some(held)),
            "mL" => volume = volume.or(Some(held)),
            _ => {}
        }
    }
    match (&drug.dose, volume) {
        (Some(_), Some(volume)) => drug.note = Some(Held { value: format!("in {}", volume.value), ..volume }),
        (None, volume) => drug.dose = volume,
        (Some(_), None) => {}
    }
    drug.route = ROUTES.iter().find_map(|(said, route)| {
        let at = speech.find(own.clone(), said)?;
        Some(Held::new((*route).to_owned(), at..at + said.split(' ').count(), Sure::Certain))
    });
    (drug.strength.is_some() || drug.dose.is_some() || drug.route.is_some()).then_some(drug)
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
