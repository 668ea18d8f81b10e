//! Eye, age and sex: what concerns the patient and not the course of the operation.

use super::doubt;
use super::facts;
use super::recognise::Phase;
use super::stance;
use super::story::{Held, Slot, Story, Sure, Unclear};
use super::understand::Reading;
use super::words::{Speech, Stop};
use std::ops::Range;

/// Within how many sentences from the beginning age and sex are told.
const EARLY: usize = 8;

/// Why a side was left blank.
const SIDE: &str = "a side is never guessed; which eye was it?";

/// Eye, age and sex.
pub(super) fn person(reading: &Reading<'_, '_, '_>, story: &mut Story) {
    let speech = reading.speech;
    eye(reading, story);
    let mut pronouns = [None::<Range<usize>>, None];
    for (number, sentence) in speech.sentences.iter().enumerate() {
        let words = sentence.words.clone();
        for at in words.clone() {
            match speech.low(at) {
                "woman" | "lady" | "girl" | "female" | "lass" if story.sex.is_none() && number < EARLY => {
                    story.sex = Some(Held::new("female".to_owned(), at..at + 1, Sure::Certain));
                }
                "man" | "gentleman" | "boy" | "male" | "mister" | "mr" | "fella" | "fella's" | "fellow's" | "chap"
                | "bloke" | "lad"
                    if story.sex.is_none() && number < EARLY =>
                {
                    story.sex = Some(Held::new("male".to_owned(), at..at + 1, Sure::Certain));
                }
                "she" | "she's" | "her" => pronouns[0] = pronouns[0].take().or(Some(at..at + 1)),
                "he" | "he's" | "his" | "him" => pronouns[1] = pronouns[1].take().or(Some(at..at + 1)),
                _ => {}
            }
        }
        if reading.rules[number] {
            continue;
        }
        // A bare number is an age only as long as none was told.
        let early = number < EARLY && story.age.is_unheard();
        for age in facts::ages(speech, words, early) {
            if !stance::is_of_another(speech, &stance::clause_of(speech, &age.words)) {
                hear(&mut story.age, age, &mut story.unclear);
            }
        }
    }
    // "She's sixty-eight": whoever has the age.
    if let (None, Some(age)) = (&story.sex, story.age.value()) {
        let at = age.words.start.wrapping_sub(1);
        let sex = match speech.low(at) {
            "she's" => Some("female"),
            "he's" => Some("male"),
            _ => None,
        };
        story.sex = sex.map(|sex| Held::new(sex.to_owned(), at..at + 1, Sure::Guess));
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

/// Takes a value into its field, or leaves the field blank and quotes the words.
pub(super) fn hear(slot: &mut Slot, value: facts::Value, unclear: &mut Vec<Unclear>) {
    match value.doubt {
        Some(why) => {
            slot.leave();
            unclear.push(Unclear::new(value.words, why));
        }
        None => slot.say(value),
    }
}

/// How a side is named.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Naming {
    /// As the eye that is presented: `Left eye.`, `it's the left eye`, `cataract in her left eye`.
    Presented,
    /// Plainly, as an eye: `a left eye with a dense lens`.
    Plain,
    /// As an eye of which something is told: `the left eye is normal`.
    Told,
    /// In some way that may be this eye.
    Unsure,
    /// As another eye, at another time, or denied.
    Other,
}

/// The eye: a side that is named plainly as the eye, and nowhere contradicted, corrected or asked about. The other side may be
/// told of where this one is presented as the eye of the operation.
fn eye(reading: &Reading<'_, '_, '_>, story: &mut Story) {
    let speech = reading.speech;
    let mut sides: Vec<(Naming, Range<usize>)> = Vec::new();
    for (number, sentence) in speech.sentences.iter().enumerate() {
        // "She has patching of the right eye": what is told of the time afterwards presents no eye.
        if reading.phases[number] == Phase::After && !sides.is_empty() {
            continue;
        }
        for at in sentence.words.clone() {
            if let Some((naming, words)) = naming(speech, number, at) {
                sides.push((naming, words));
            }
        }
    }
    let side = |words: &Range<usize>| speech.low(words.start).to_owned();
    let both = sides.iter().any(|(_, words)| side(words) != side(&sides[0].1));
    sides.retain(|(naming, _)| *naming != Naming::Other);
    let first = |of: Naming| sides.iter().find(|(naming, _)| *naming == of);
    // What is told of an eye makes it the eye of the operation only where no other is named at all.
    let told = first(Naming::Told).filter(|_| !both);
    let presented = first(Naming::Presented);
    let Some((_, plain)) = presented.or(first(Naming::Plain)).or(told) else {
        if let Some((_, words)) = sides.first() {
            story.eye.leave();
            story.unclear.push(Unclear::new(words.clone(), SIDE));
        }
        return;
    };
    let aside = |naming: Naming| presented.is_some() && naming == Naming::Told;
    let corrected = sides.iter().find(|(naming, words)| !aside(*naming) && doubt::is_corrected(speech, words));
    let against = sides.iter().find(|(naming, words)| side(words) != side(plain) && !aside(*naming));
    match against.or(corrected) {
        Some((_, words)) => {
            story.eye.leave();
            let also = (words != plain).then(|| words.clone());
            let why = format!("both sides are named in this narration, or one is corrected; {SIDE}");
            story.unclear.push(Unclear { words: plain.clone(), also, why });
        }
        None => story.eye.say(Held::new(side(plain), plain.clone(), Sure::Certain)),
    }
}

/// Whether something is told of the eye that is named at a word: "the left eye is normal", "the left eye, six nine", "right eye normal".
fn is_told_of(speech: &Speech<'_>, number: usize, at: usize) -> bool {
    let words = &speech.sentences[number].words;
    let tells = matches!(
        speech.low(at + 2),
        "is" | "was"
            | "has"
            | "had"
            | "sees"
            | "saw"
            | "normal"
            | "does"
            | "did"
            | "having"
            | "can"
            | "still"
            | "as"
            | "too"
            | "also"
    ) || super::numbers::number(speech, at + 2).is_some() && speech.says(words.start, "the");
    // "In the right eye he already has one": told of, though it is `in`.
    let has = speech.low(at.saturating_sub(2)) == "in"
        && matches!(speech.low(at + 2), "he" | "she")
        && speech.any(&(at + 2..words.end.min(at + 6)), &["has", "had", "already"]);
    has || tells && at + 2 < words.end
        || speech.any(&(at..words.end.min(at + 6)), &["as well", "too", "normal", "blind"])
}

/// Whether `left eye` at a word is presented as the eye of the operation, and not told of.
fn is_presented(speech: &Speech<'_>, number: usize, at: usize) -> bool {
    let words = &speech.sentences[number].words;
    if is_told_of(speech, number, at) {
        return false;
    }
    // "Right eye she is sixty nine".
    if matches!(speech.low(at + 2), "she" | "he") && at + 2 < words.end {
        return true;
    }
    let ends = speech.words[at + 1].stop != Stop::None;
    let before = |back: usize| at.checked_sub(back).filter(|it| *it >= words.start).map_or("", |it| speech.low(it));
    let skip = usize::from(matches!(before(1), "the" | "a" | "his" | "her" | "their" | "this"));
    // A sentence that begins with it, or holds nothing else.
    if before(1 + skip).is_empty() {
        return skip == 0 || ends && at + 2 >= words.end;
    }
    let parted = at.checked_sub(1 + skip).is_some_and(|it| speech.words[it].stop != Stop::None);
    matches!(
        before(1 + skip),
        "it's"
            | "is"
            | "this"
            | "that's"
            | "doing"
            | "do"
            | "on"
            | "operating"
            | "operate"
            | "operated"
            | "in"
            | "of"
            | "for"
            | "years"
            | "old"
            | "patient"
    ) || parted && ends
}

/// Words after a bare `the left` that show it to be the whole of what is named, and not `the left hand`.
const AFTER_SIDE: &[&str] = &[
    "", "one", "eye", "eyes", "is", "was", "has", "had", "so", "today", "and", "but", "by", "now", "because", "this",
    "as", "in", "it", "he", "she", "i", "we", "then", "not", "for", "with", "or", "lost", "went", "sees", "saw",
];
/// Words before a side that make of it the side of a picture, a hand or a place: `on the left`.
const TOWARDS: &[&str] =
    &["to", "towards", "from", "at", "on", "in", "hand", "its", "swing", "go", "goes", "moves", "my", "your"];

/// What a word says of the side, with the words that say it.
fn naming(speech: &Speech<'_>, number: usize, at: usize) -> Option<(Naming, Range<usize>)> {
    let low = speech.low(at);
    let end = speech.sentences[number].words.end;
    if !matches!(low, "left" | "right") {
        return None;
    }
    let joined = |at: usize| at < end && speech.words[at - 1].stop == Stop::None;
    let before = at.checked_sub(1).filter(|before| speech.words[*before].stop == Stop::None);
    let before = before.map_or("", |before| speech.low(before));
    let start = speech.sentences[number].words.start;
    let clause = stance::clause_of(speech, &(at..at + 1));
    let eye = joined(at + 1) && matches!(speech.low(at + 1), "eye" | "eyes" | "cataract");
    let words = at..if eye { at + 2 } else { at + 1 };
    if !eye {
        let determiner = matches!(before, "the" | "his" | "her" | "their" | "this" | "that");
        let direction = before == "the" && at.checked_sub(2).is_some_and(|it| TOWARDS.contains(&speech.low(it)));
        let whole = !joined(at + 1) || AFTER_SIDE.contains(&speech.low(at + 1));
        // "Which eye? Left." and "it's left": but `right` alone is no more than a yes.
        let alone = low == "left" && (clause.len() <= 2 || speech.sentences[number].words.len() <= 2);
        let sided = joined(at + 1) && matches!(speech.low(at + 1), "sided" | "side");
        let named = determiner && !direction && whole && !sided || alone;
        if !named {
            return None;
        }
        // "Her left has macular degeneration".
        let told = at + 1 + usize::from(speech.low(at + 1) == "one");
        if determiner && whole && matches!(speech.low(told), "has" | "had" | "is" | "was" | "sees" | "saw") {
            return Some((Naming::Told, words));
        }
    }
    let sentence = &speech.sentences[number].words;
    // "Right eye, a lady of seventy, operated on years ago": presented, whatever is told of its past.
    let heads = eye
        && at == start
        && speech.words[at + 1].stop != Stop::None
        && matches!(speech.low(at + 2), "a" | "an" | "lady" | "man" | "woman" | "gentleman" | "girl" | "boy");
    let past = ["other", "fellow", "ago", "last year", "last month", "last week", "previously", "earlier"];
    let other = !heads && (stance::is_of_another(speech, sentence) || speech.any(sentence, &past))
        || speech.any(
            &clause,
            &["had", "done", "first eye", "used to", "lost", "went", "was operated", "was done", "was left"],
        );
    let denied = (start.max(at.saturating_sub(4))..at).any(|it| doubt::is_negator(speech.low(it)))
        && clause.clone().any(|it| it < at && doubt::is_negator(speech.low(it)));
    if other || denied {
        return Some((Naming::Other, words));
    }
    let asked = speech.sentences[number].asks || speech.any(&clause, &["if", "would", "whether", "were", "or", "both"]);
    let determined = matches!(
        before,
        "a" | "the"
            | "his"
            | "her"
            | "their"
            | "this"
            | "that"
            | "my"
            | "our"
            | "is"
            | "it's"
            | "of"
            | "in"
            | "on"
            | "for"
            | "s"
            | "woman"
            | "man"
            | "lady"
            | "gentleman"
            | "girl"
            | "boy"
            | "old"
            | "patient"
            | "child"
    ) || before.ends_with("'s");
    // "Right eye draped" may be an eye that is draped, and all right.
    let behind = speech.low(at + 2);
    let closed = !joined(at + 2)
        || super::numbers::number(speech, at + 2).is_some()
        || matches!(
            behind,
            "of" | "in"
                | "with"
                | "today"
                | "a"
                | "an"
                | "um"
                | "erm"
                | "uh"
                | "man"
                | "woman"
                | "lady"
                | "surgery"
                | "and"
                | "for"
                | "on"
        );
    let verb_before = matches!(before, "nothing" | "been" | "are" | "were" | "have" | "had" | "what" | "cortex");
    let presented = eye && is_presented(speech, number, at);
    let told = eye && is_told_of(speech, number, at);
    if eye && !asked && !verb_before && (determined || closed || presented || told) {
        let naming = match (presented, told) {
            (true, _) => Naming::Presented,
            (false, true) => Naming::Told,
            (false, false) => Naming::Plain,
        };
        Some((naming, words))
    } else {
        Some((Naming::Unsure, words))
    }
}
