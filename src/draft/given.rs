//! What was put into the eye and how the machine stood: settings, the implant, stitches.

use super::doubt;
use super::facts::Value;
use super::measures::trusted;
use super::person::hear;
use super::stance::{self, Stance};
use super::story::{Held, Slot, Story, Sure, Unclear};
use super::understand::{Meant, Reading};
use super::units::Measured;
use super::words::Stop;
use crate::model::vocabulary::Kind;
use std::ops::Range;

/// Words that name a setting of the machine, the setting, and its unit.
const SETTINGS: &[(&str, &str, &str)] = &[
    ("vacuum", "vacuum", "mmHg"),
    ("flow", "flow", "mL/min"),
    ("bottle", "bottle height", "cm"),
    ("power", "power", "%"),
    ("rate", "cut rate", "cuts/min"),
];
/// Words that name a setting which no field holds, so that a number beside them belongs to nothing else.
const OTHER_SETTINGS: &[&str] =
    &["height", "infusion", "rate", "cuts", "duty", "pulse", "amplitude", "ultrasound", "energy"];

/// Whether a word names a setting of the machine.
pub(super) fn is_setting(low: &str) -> bool {
    let low = bare(low);
    SETTINGS.iter().any(|(said, _, _)| low == *said) || OTHER_SETTINGS.contains(&low)
}

/// "Vacuum's three hundred": the word without what is joined to it.
fn bare(low: &str) -> &str {
    low.strip_suffix("'s").unwrap_or(low)
}

/// Settings of the machine.
pub(super) fn settings(reading: &Reading<'_, '_, '_>, words: &Range<usize>, story: &mut Story) {
    let speech = reading.speech;
    let measured = trusted(reading, words.clone());
    for at in words.clone() {
        let Some((_, name, unit)) = SETTINGS.iter().find(|(said, _, _)| bare(speech.low(at)) == *said) else {
            continue;
        };
        if *name == "cut rate" && !(at > words.start && matches!(speech.low(at - 1), "cut" | "cutting")) {
            continue;
        }
        let free = |it: &&Measured| it.unit.is_none_or(|said| said == *unit);
        // "Bottle height sixty": the second word names the same setting.
        let own = |at: usize| *name == "bottle height" && speech.low(at) == "height";
        let other = |from: usize, to: usize| (from..to).any(|at| is_setting(speech.low(at)) && !own(at));
        let next = measured
            .iter()
            .find(|it| it.words.start > at && it.words.start <= at + 5 && !other(at + 1, it.words.start));
        let before =
            measured.iter().find(|it| it.words.end == at || it.words.end + 1 == at && speech.low(at - 1) == "of");
        let Some(it) = next.filter(free).or(before.filter(free)) else { continue };
        let Some(step) = story.steps.len().checked_sub(1) else { continue };
        let quoted = at.min(it.words.start)..it.words.end.max(at + 1);
        // What is usual or planned is no setting of this operation.
        if doubt::is_supposed(speech, &quoted) {
            story.unclear.push(Unclear::new(quoted, doubt::SUPPOSED));
            continue;
        }
        if it.unit.is_none() {
            let why = format!("may be the {name}, but no unit was said; a unit is never guessed");
            story.unclear.push(Unclear::new(quoted, why));
            continue;
        }
        let value = Value { text: it.written(unit), words: quoted, guess: false, doubt: it.doubt(false) };
        let settings = &mut story.steps[step].settings;
        let place = settings.iter().position(|(known, _)| known == name).unwrap_or_else(|| {
            settings.push((name, Slot::default()));
            settings.len() - 1
        });
        hear(&mut settings[place].1, value, &mut story.unclear);
    }
}

/// The implant's kind, power, target and place.
pub(super) fn implant(reading: &Reading<'_, '_, '_>, words: &Range<usize>, story: &mut Story) {
    let speech = reading.speech;
    let said: Vec<&Meant> = reading.within(words).iter().filter(|it| it.stance == Stance::So).collect();
    let is_lens = |it: &&&Meant| it.kind == Kind::Material && reading.lexicon.is_under(it.concept, "intraocular-lens");
    let lens = said.iter().find(is_lens);
    let put =
        said.iter().any(|it| it.kind == Kind::Technique && reading.lexicon.is_under(it.concept, "lens-implantation"));
    for lens in said.iter().filter(is_lens).filter(|it| !doubt::is_supposed(speech, &it.words)) {
        kind(reading, lens, story);
    }
    let spoken = |words: &Range<usize>| speech.any(words, &["lens", "implant"]);
    // "A one-piece lens in the bag. The power, twenty-six dioptres."
    let number = speech.sentence_of(words.start);
    let goes_on = number > 0 && speech.any(words, &["power"]) && spoken(&speech.sentences[number - 1].words);
    let named = lens.is_some() || put || spoken(words) || goes_on;
    for measured in trusted(reading, words.clone()) {
        let clause = stance::clause_of(speech, &measured.words);
        if speech.any(&clause, &["glasses", "astigmatism", "cylinder", "spectacles", "prescription", "refraction"]) {
            continue;
        }
        let before = measured.words.start;
        let aims = (words.start.max(before.saturating_sub(3))..before)
            .any(|at| matches!(speech.low(at), "aiming" | "aim" | "target" | "aimed" | "targeting"));
        let signed = measured.number.text.starts_with(['-', '+']);
        let value =
            |text: String| Value { text, words: measured.words.clone(), guess: false, doubt: measured.doubt(true) };
        if aims && signed && matches!(measured.unit, None | Some("D")) {
            hear(&mut story.lens.target, value(format!("{:+.2} D", measured.number.value())), &mut story.unclear);
            continue;
        }
        // "I took off one dioptre for the sulcus" is no power.
        let change = words.start.max(before.saturating_sub(3))..before;
        let changes = speech.any(&change, &["took off", "take off", "taken off", "subtracted", "added", "add"]);
        if !named || changes || measured.unit.is_some_and(|unit| unit != "D") {
            continue;
        }
        let plausible = (-10.0..=45.0).contains(&measured.number.value());
        if measured.unit.is_none() {
            let may = !signed && (5.0..=40.0).contains(&measured.number.value()) && (lens.is_some() || put);
            if may && story.lens.power.is_unheard() {
                let why = "may be the power of the implant, but no unit was said; a power is never guessed";
                story.unclear.push(Unclear::new(measured.words.clone(), why));
            }
        } else if doubt::is_supposed(speech, &measured.words) {
            story.unclear.push(Unclear::new(measured.words.clone(), doubt::SUPPOSED));
        } else if signed || !plausible {
            let why = "may be the power of the implant or a refraction; a power is never guessed";
            story.unclear.push(Unclear::new(measured.words.clone(), why));
        } else {
            hear(&mut story.lens.power, value(format!("{} D", measured.number.text)), &mut story.unclear);
        }
    }
    for meant in said.iter().filter(|it| it.kind == Kind::Technique) {
        place(reading, meant, story);
    }
}

/// The kind of the implant: of two that are not one within the other neither is written.
fn kind(reading: &Reading<'_, '_, '_>, lens: &Meant, story: &mut Story) {
    let vocabulary = reading.lexicon.vocabulary;
    let Some(known) = &story.lens.kind else {
        story.lens.kind = Some(Held::new(lens.concept, lens.words.clone(), lens.sure));
        return;
    };
    // What it is made of and what it is made from may be told one after the other.
    let pieces = |id| {
        let name = reading.name(id);
        ["one-piece", "three-piece", "iris-claw", "pmma", "anterior-chamber"]
            .into_iter()
            .find(|part| name.contains(part))
    };
    let differs = pieces(known.value).zip(pieces(lens.concept)).is_some_and(|(one, other)| one != other);
    if differs && !vocabulary.upwards(lens.concept).contains(&known.value) && known.sure != Sure::Blank {
        let why = "two kinds of implant are named; neither is taken".to_owned();
        story.unclear.push(Unclear { words: known.words.clone(), also: Some(lens.words.clone()), why });
        story.lens.kind = Some(Held { sure: Sure::Blank, ..known.clone() });
    }
}

/// Where the implant lies.
fn place(reading: &Reading<'_, '_, '_>, meant: &Meant, story: &mut Story) {
    let place = match reading.name(meant.concept) {
        "in-the-bag-implantation" => "bag",
        "sulcus-implantation" => "sulcus",
        "optic-capture" => "sulcus with optic capture",
        "retropupillary-iris-claw" => "retropupillary iris claw",
        "iris-claw-implantation" => "iris claw",
        "anterior-chamber-implantation" => "anterior chamber",
        _ if reading.lexicon.is_under(meant.concept, "scleral-fixation") => "scleral fixation",
        _ => return,
    };
    let held = Held::new(place.to_owned(), meant.words.clone(), meant.sure);
    let known = story.lens.place.value().map(|it| it.value.clone());
    match known {
        // A closer word for the same place.
        Some(known) if place.len() > known.len() && (place.ends_with(&known) || place.starts_with(&known)) => {
            story.lens.place = Slot::default();
            story.lens.place.say(held);
        }
        Some(known) if known.ends_with(place) || known.starts_with(place) => {}
        _ => story.lens.place.say(held),
    }
}

/// How the wound was closed: a number of stitches and the thread.
pub(super) fn sutures(reading: &Reading<'_, '_, '_>, words: &Range<usize>, story: &mut Story) {
    let speech = reading.speech;
    let threads: Vec<&Meant> = reading
        .within(words)
        .iter()
        .filter(|it| {
            it.kind == Kind::Material && it.stance == Stance::So && reading.name(it.concept) == "nylon-suture-10-0"
        })
        .collect();
    for thread in threads {
        let from = words.start.max(thread.words.start.saturating_sub(3));
        let few = |said: &super::numbers::Said| said.whole().is_some_and(|count| (1..=12).contains(&count));
        let count = (from..thread.words.start)
            .filter_map(|at| super::numbers::number(speech, at))
            .find(|said| few(said) && said.words.end <= thread.words.start)
            .map(|said| (said.text, said.words.start))
            .or_else(|| {
                let before = thread.words.start.checked_sub(1).filter(|at| *at >= words.start);
                let one = before.filter(|at| matches!(speech.low(*at), "a" | "single"));
                one.map(|at| ("1".to_owned(), at))
            });
        let behind = (thread.words.end..words.end.min(thread.words.end + 2)).find_map(|at| {
            let said = super::numbers::number(speech, at).filter(few)?;
            speech.says(said.words.end, "of them").then_some((said.text, said.words.end + 2))
        });
        let only = ["just the one", "only the one", "just one", "only one"]
            .iter()
            .find(|said| speech.says(thread.words.end, said))
            .map(|said| ("1".to_owned(), thread.words.end + said.split(' ').count()));
        let behind = behind.or(only);
        let (text, quoted) = match (count, behind) {
            (_, Some((count, end))) => (format!("{count} 10-0 nylon"), thread.words.start..end),
            (Some((count, start)), None) => (format!("{count} 10-0 nylon"), start..thread.words.end),
            (None, None) => continue,
        };
        let standing = Measured::standing_of(speech, &quoted);
        let number = quoted.start;
        // "One or two stitches": the number before the number.
        let two = number > words.start
            && matches!(speech.low(number - 1), "or" | "to")
            && speech.words[number - 1].stop == Stop::None;
        // "One stitch, ten oh nylon, well, two."
        let more = (quoted.end..words.end.min(quoted.end + 4))
            .filter_map(|at| super::numbers::number(speech, at))
            .any(|said| few(&said) && super::units::unit(speech, said.words.end).is_none());
        let doubt = standing.or((two || more).then_some(doubt::LOOSE));
        if doubt::is_supposed(speech, &quoted) {
            story.unclear.push(Unclear::new(quoted, doubt::SUPPOSED));
        } else {
            hear(&mut story.sutures, Value { text, words: quoted, guess: false, doubt }, &mut story.unclear);
        }
    }
}
