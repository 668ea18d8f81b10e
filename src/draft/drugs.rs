//! Drugs, devices and tools: to their step or visit, a drug with what was said of its strength, dose and way.

use super::doubt;
use super::facts::Value;
use super::given::is_setting;
use super::measures::trusted;
use super::person::hear;
use super::recognise::Phase;
use super::story::{Concept, Drug, Held, Slot, Story, Sure, Unclear, Visit};
use super::understand::{Meant, Reading};
use super::units::Measured;
use super::words::Stop;
use crate::model::vocabulary::Kind;
use std::ops::Range;

/// A drug, device or tool: to its step, its visit, or with its dose.
pub(super) fn take(
    reading: &Reading<'_, '_, '_>,
    meant: &Meant,
    words: &Range<usize>,
    phase: Phase,
    story: &mut Story,
) {
    let meant = &closer(reading, meant, words);
    let item = Held::new(meant.concept, meant.words.clone(), meant.sure);
    let known = if reading.lexicon.is_drug(meant.concept) {
        Some(drug(reading, meant, words, &mut story.unclear))
    } else {
        None
    };
    let told = known.filter(|drug| {
        !drug.strength.is_unheard() || !drug.dose.is_unheard() || drug.route.is_some() || drug.note.is_some()
    });
    match phase {
        Phase::Before => {
            // "Two lots of proxymetacaine": what numbs the eye is given, whatever is said of it.
            let anaesthetic = |it: &Meant| {
                ["local-anaesthetic", "anaesthesia"].iter().any(|root| reading.lexicon.is_under(it.concept, root))
            };
            // So is what goes with it, and what widens the pupil: "lidocaine with hyaluronidase".
            let numbs = anaesthetic(meant)
                || reading.lexicon.is_drug(meant.concept) && reading.within(words).iter().any(anaesthetic)
                || reading.lexicon.is_under(meant.concept, "mydriatic");
            if let Some(drug) = told.or_else(|| numbs.then(|| nameless(item.clone()))) {
                if story.before.is_empty() {
                    story.before.push(Visit::default());
                }
                give(&mut story.before[0].gives, drug);
            } else if let Some(step) = story.steps.last_mut() {
                // "Iodine, drape, speculum": what the eye is made ready with.
                put(&mut step.with, item);
            }
        }
        Phase::During => {
            let Some(last) = story.steps.len().checked_sub(1) else { return };
            let step = &mut story.steps[last];
            match told {
                Some(drug) => give(&mut step.gives, drug),
                // What is taken out of the eye was used before.
                None if reading.lexicon.is_under(step.does.value, "viscoelastic-removal")
                    && reading.lexicon.is_under(meant.concept, "viscoelastic") => {}
                None => put(&mut step.with, item),
            }
        }
        Phase::After => {
            let drug = told.or_else(|| reading.lexicon.is_drug(meant.concept).then(|| nameless(item)));
            if let (Some(drug), Some(visit)) = (drug, story.outcomes.last_mut()) {
                give(&mut visit.gives, drug);
            }
        }
    }
}

/// "Lidocaine, one per cent, preservative free": the closer name that its sentence gives it.
fn closer(reading: &Reading<'_, '_, '_>, meant: &Meant, words: &Range<usize>) -> Meant {
    let closer = reading.lexicon.vocabulary.by_name("preservative-free-lidocaine");
    let plain = reading.name(meant.concept) == "lidocaine";
    let free = reading.speech.any(words, &["preservative free", "without preservative", "unpreserved"]);
    match closer.filter(|_| plain && free) {
        Some(concept) => Meant { concept, ..meant.clone() },
        None => meant.clone(),
    }
}

/// A drug of which only the name is known.
fn nameless(substance: Concept) -> Drug {
    Drug { substance, strength: Slot::default(), dose: Slot::default(), route: None, note: None }
}

/// Adds a drug, or what was said of it a second time: then both must agree.
fn give(list: &mut Vec<Drug>, drug: Drug) {
    let Some(known) = list.iter_mut().find(|known| known.substance.value == drug.substance.value) else {
        list.push(drug);
        return;
    };
    known.strength.join(drug.strength);
    known.dose.join(drug.dose);
    known.route = known.route.take().or(drug.route);
    known.note = known.note.take().or(drug.note);
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

/// The words that may speak of a drug: from it to the next, or to a setting of the machine, or to what was done then; and
/// before it only what stands right at it.
fn own(reading: &Reading<'_, '_, '_>, meant: &Meant, words: &Range<usize>) -> Range<usize> {
    let speech = reading.speech;
    let drug = |it: &&Meant| it.kind == Kind::Material && reading.lexicon.is_drug(it.concept);
    let drugs: Vec<&Meant> = reading.within(words).iter().filter(drug).collect();
    let next = drugs.iter().map(|it| it.words.start).find(|start| *start >= meant.words.end).unwrap_or(words.end);
    // "Timolol twice a day and hypertonic saline five per cent": whatever it is, something else begins there.
    let another = |at: usize| speech.low(at) == "and" && super::numbers::number(speech, at + 1).is_none();
    let ends = |at: usize| {
        is_setting(speech.low(at))
            || matches!(speech.low(at), "then" | "but" | "because" | "while" | "so")
            || another(at)
    };
    let mut end = (meant.words.end..next).find(|&at| ends(at)).unwrap_or(next);
    // "Cefuroxime, and one per cent lidocaine": what stands right before the next drug is that drug's.
    if end == next && next < words.end {
        end = trusted(reading, meant.words.end..next)
            .iter()
            .find(|it| belongs_behind(reading, it, next))
            .map_or(end, |it| it.words.start);
    }
    let last = drugs.iter().map(|it| it.words.end).filter(|end| *end <= meant.words.start).max().unwrap_or(words.start);
    let mut start = meant.words.start;
    for it in trusted(reading, last..meant.words.start).iter().rev() {
        if !belongs_behind(reading, it, start) {
            break;
        }
        start = it.words.start;
    }
    start..end
}

/// Whether a number with its unit stands right before something: `one per cent lidocaine`, `half a milligram of moxifloxacin`.
fn belongs_behind(reading: &Reading<'_, '_, '_>, it: &Measured, what: usize) -> bool {
    let speech = reading.speech;
    let between = it.words.end..what;
    it.unit.is_some()
        && between.len() <= 2
        && speech.words[it.words.end - 1].stop == Stop::None
        && between.clone().all(|at| {
            matches!(speech.low(at), "of" | "the" | "in" | "a" | "plain" | "more")
                && speech.words[at].stop == Stop::None
        })
        && !(it.words.start.saturating_sub(3)..it.words.start).any(|at| is_setting(speech.low(at)))
}

/// A drug with what was said of its strength, dose and way.
fn drug(reading: &Reading<'_, '_, '_>, meant: &Meant, words: &Range<usize>, unclear: &mut Vec<Unclear>) -> Drug {
    let speech = reading.speech;
    let own = own(reading, meant, words);
    let mut drug = nameless(Held::new(meant.concept, meant.words.clone(), meant.sure));
    let mut volumes = Slot::default();
    for measured in trusted(reading, own.clone()) {
        let Some(unit) = measured.unit else { continue };
        let slot = match unit {
            "%" | "mg/mL" | "ug/mL" => &mut drug.strength,
            "mg" | "g/kg" | "ug" | "g" => &mut drug.dose,
            "mL" | "uL" => &mut volumes,
            _ => continue,
        };
        let supposed = doubt::is_supposed(speech, &measured.words).then_some(doubt::SUPPOSED);
        let value = Value {
            text: measured.written(unit),
            words: measured.words.clone(),
            guess: false,
            doubt: measured.doubt(true).or(supposed),
        };
        hear(slot, value, unclear);
    }
    if let Some((one, other)) = volumes.quarrel() {
        let why = "two volumes for one drug; neither is taken".to_owned();
        unclear.push(Unclear { words: one.words.clone(), also: Some(other.words.clone()), why });
    }
    let volume = volumes.value().cloned();
    let undosed = drug.dose.is_unheard();
    match volume {
        Some(volume) if undosed => drug.dose.say(volume),
        Some(volume) => drug.note = Some(Held { value: format!("in {}", volume.value), sure: Sure::Certain, ..volume }),
        None if undosed && !volumes.is_unheard() => drug.dose.leave(),
        None => {}
    }
    // "Intracameral moxifloxacin": the way may stand right before the name.
    let near = words.start.max(own.start.saturating_sub(2))..own.end;
    let parted = (near.start..own.start).rev().find(|&at| speech.words[at].stop != Stop::None);
    let near = parted.map_or(near.start, |at| at + 1)..near.end;
    drug.route = ROUTES.iter().find_map(|(said, route)| {
        let at = speech.find(near.clone(), said)?;
        Some(Held::new((*route).to_owned(), at..at + said.split(' ').count(), Sure::Certain))
    });
    drug
}
