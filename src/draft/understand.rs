//! From mentions to a story: which time of the operation each belongs to, which step, which trouble.

use super::doubt::is_negator;
use super::lessons::{decisions, lessons};
use super::lexicon::Lexicon;
use super::measures::{self, Spoken};
use super::phases::{is_preparation, phases};
use super::questions::{Question, is_rule, questions};
use super::recognise::{Found, Mention, Phase, mentions};
use super::stance::{Stance, is_plain, stance};
use super::story::{Concept, Finding, Held, Slot, Step, Story, Sure, Unclear, Visit};
use super::troubles::{afterwards, answers, trouble};
use super::words::{Speech, Stop};
use super::{drugs, facts, person};
use crate::model::vocabulary::{ConceptId, Kind, Period};
use std::ops::Range;

/// A mention with what it turned out to be.
#[derive(Debug, Clone)]
pub(super) struct Meant {
    /// The concept, chosen among those of the same words.
    pub(super) concept: ConceptId,
    /// Its kind.
    pub(super) kind: Kind,
    /// The words.
    pub(super) words: Range<usize>,
    /// How sure it is.
    pub(super) sure: Sure,
    /// How it was found.
    pub(super) found: Found,
    /// Whether it is so.
    pub(super) stance: Stance,
}

/// A narration with all that is known of its words.
pub(super) struct Reading<'r, 'n, 'v> {
    pub(super) speech: &'r Speech<'n>,
    pub(super) lexicon: &'r Lexicon<'v>,
    /// What each mention means, in order.
    pub(super) meant: Vec<Meant>,
    /// The time of the operation for each sentence.
    pub(super) phases: Vec<Phase>,
    /// Questions in order.
    pub(super) questions: Vec<Question>,
    /// Whether each sentence is a rule.
    pub(super) rules: Vec<bool>,
}

impl Reading<'_, '_, '_> {
    /// What is meant within some words.
    pub(super) fn within(&self, words: &Range<usize>) -> &[Meant] {
        let from = self.meant.partition_point(|it| it.words.start < words.start);
        let to = self.meant.partition_point(|it| it.words.start < words.end);
        &self.meant[from..to]
    }

    /// Whether something that was recognised ends with this word.
    pub(super) fn ends_a_mention(&self, word: usize) -> bool {
        let next = self.meant.partition_point(|it| it.words.start <= word);
        next.checked_sub(1).is_some_and(|at| self.meant[at].words.contains(&word))
    }

    pub(super) fn name(&self, id: ConceptId) -> &str {
        &self.lexicon.vocabulary.get(id).name.value
    }
}

/// Understands a narration.
pub(super) fn understand(speech: &Speech<'_>, lexicon: &Lexicon<'_>) -> (Story, Vec<Meant>) {
    let (found, unheard) = mentions(speech, lexicon);
    let questions = questions(speech);
    let count = speech.sentences.len();
    let rules: Vec<bool> =
        speech.sentences.iter().enumerate().map(|(at, it)| is_rule(speech, it, at + 2 >= count)).collect();
    let mut known = vec![false; speech.words.len()];
    found.iter().flat_map(|it| it.words.clone()).for_each(|at| known[at] = true);
    let trouble = |it: &Mention| it.concepts.iter().any(|id| lexicon.vocabulary.get(*id).kind == Kind::Complication);
    let stances: Vec<Stance> = found
        .iter()
        .map(|it| {
            // "The lens didn't wobble": the denial stands between the words of the name.
            if it.found == Found::Framed && it.words.clone().any(|at| is_negator(speech.low(at))) {
                return Stance::Denied;
            }
            stance(speech, &it.words, trouble(it), &questions, &rules, &|at| known.get(at) == Some(&true))
        })
        .collect();
    let phases = phases(speech, lexicon, &found, &stances);
    let meant = found
        .iter()
        .zip(&stances)
        .filter_map(|(mention, stance)| {
            let phase = phases[speech.sentence_of(mention.words.start)];
            let mut meant = meant(lexicon, mention, *stance, phase)?;
            // What went wrong is certain only where nothing about its sentence speaks against it.
            if meant.kind == Kind::Complication && !is_plain(speech, &meant.words) {
                meant.sure = meant.sure.max(Sure::Guess);
            }
            Some(meant)
        })
        .collect();
    let reading = Reading { speech, lexicon, meant, phases, questions, rules };
    let mut story = Story::default();
    person::person(&reading, &mut story);
    let mut spoken = Spoken::default();
    for number in 0..count {
        sentence(&reading, number, &mut story, &mut spoken);
    }
    answers(&reading, &mut story);
    decisions(&reading, &mut story);
    lessons(&reading, &mut story);
    plan(&reading, &mut story);
    let drug = "sounds like the name of a drug; a drug is never guessed";
    story.unclear.extend(unheard.into_iter().map(|it| Unclear::new(it.words, drug)));
    // A wider word that came first says nothing new beside a closer one.
    let closer: Vec<ConceptId> = story.findings.iter().map(|it| it.is.value).collect();
    story.findings.retain(|it| {
        let wider =
            |other: &ConceptId| *other != it.is.value && lexicon.vocabulary.upwards(*other).contains(&it.is.value);
        it.grade.value().is_some() || !closer.iter().any(wider)
    });
    quarrels(&mut story);
    story.unclear.sort_by(|one, other| {
        (one.words.start, one.words.end, &one.why).cmp(&(other.words.start, other.words.end, &other.why))
    });
    story.unclear.dedup_by(|one, other| one.words == other.words);
    let meant = reading.meant;
    (story, meant)
}

/// Asks about every field for which two different values were said.
fn quarrels(story: &mut Story) {
    let mut found = Vec::new();
    story.slots(&mut |what, slot| {
        if let Some((one, other)) = slot.quarrel() {
            let why = format!("two values for one thing ({what}), {} and {}; neither is taken", one.value, other.value);
            found.push(Unclear { words: one.words.clone(), also: Some(other.words.clone()), why });
        }
    });
    story.unclear.extend(found);
}

/// Whether a technique is a whole operation, hence part of the plan.
pub(super) fn is_whole(lexicon: &Lexicon<'_>, id: ConceptId) -> bool {
    lexicon.is_under(id, "cataract-extraction") || lexicon.vocabulary.get(id).name.value == "secondary-implantation"
}

/// What a mention means at this time of the operation; nothing if no field would take it.
fn meant(lexicon: &Lexicon<'_>, mention: &Mention, stance: Stance, phase: Phase) -> Option<Meant> {
    let order: &[Kind] = match phase {
        Phase::Before => &[Kind::Finding, Kind::Technique, Kind::Material, Kind::Instrument, Kind::Complication],
        Phase::During => {
            &[Kind::Technique, Kind::Complication, Kind::Material, Kind::Instrument, Kind::Outcome, Kind::Finding]
        }
        Phase::After => &[Kind::Outcome, Kind::Complication, Kind::Technique, Kind::Material],
    };
    let concept = order.iter().find_map(|kind| {
        mention.concepts.iter().copied().find(|id| {
            let concept = lexicon.vocabulary.get(*id);
            // What comes late is not met in the operation, and what belongs to the block is met before it.
            let timely = match (concept.kind, phase) {
                (Kind::Complication, Phase::Before) => concept.periods.contains(&Period::Anaesthesia),
                (Kind::Complication, Phase::During) => {
                    concept.periods.is_empty() || concept.periods.iter().any(|it| *it <= Period::DuringSurgery)
                }
                _ => true,
            };
            concept.kind == *kind && timely
        })
    })?;
    let sure = match mention.found {
        Found::Said | Found::Learnt => Sure::Certain,
        Found::Framed | Found::Repaired(_) => Sure::Guess,
    };
    let kind = lexicon.vocabulary.get(concept).kind;
    Some(Meant { concept, kind, words: mention.words.clone(), sure, found: mention.found, stance })
}

/// Takes one sentence into the story.
fn sentence(reading: &Reading<'_, '_, '_>, number: usize, story: &mut Story, spoken: &mut Spoken) {
    let words = reading.speech.sentences[number].words.clone();
    let phase = reading.phases[number];
    let elsewhere_eye = reading.speech.any(&words, &["other eye", "fellow eye", "other eye's", "fellow eye's"])
        || names_other_side(reading, &words, story);
    if phase == Phase::After {
        visit_after(reading, &words, story);
    }
    let first_step = story.steps.len();
    let mut waiting = Vec::new();
    for meant in reading.within(&words).to_vec() {
        let elsewhere_eye = elsewhere_eye && is_there(reading, &meant, &words, story);
        match meant.stance {
            Stance::So if elsewhere_eye && meant.kind == Kind::Finding => continue,
            Stance::So => {}
            // What the eye brings along may come from another time; not from the other eye.
            Stance::Elsewhere if meant.kind == Kind::Finding && !elsewhere_eye => {}
            Stance::Denied if meant.kind == Kind::Finding && phase == Phase::Before && !elsewhere_eye => {
                push(&mut story.absent, concept(&meant));
                continue;
            }
            // What may be denied or taken back is neither written nor forgotten.
            Stance::Unsure => {
                let label = &reading.lexicon.vocabulary.get(meant.concept).label.value;
                let why = format!("may be denied or taken back ({label}); was it so?");
                story.unclear.push(Unclear::new(meant.words.clone(), why));
                continue;
            }
            // A sign of disease that is denied may itself be the outcome: `no macular oedema`.
            _ => continue,
        }
        let tool = matches!(meant.kind, Kind::Material | Kind::Instrument);
        // "With needle or cutter": one of two, and nobody says which.
        let joined = |at: usize| reading.speech.low(at) == "or" && words.contains(&at);
        if tool && (joined(meant.words.start.wrapping_sub(1)) || joined(meant.words.end)) {
            continue;
        }
        // "The lens goes into the bag": what is named before the first step of its sentence belongs to that step.
        if tool && phase == Phase::During && story.steps.len() == first_step && steps_after(reading, &meant, &words) {
            waiting.push(meant);
            continue;
        }
        take(reading, &meant, &words, phase, story);
        if story.steps.len() > first_step {
            for meant in waiting.drain(..) {
                take(reading, &meant, &words, phase, story);
            }
        }
    }
    for meant in waiting {
        take(reading, &meant, &words, phase, story);
    }
    measures::sentence(reading, number, story, spoken);
}

/// Whether what is said of another eye in a sentence may be about this mention: not where the other eye comes up only behind it,
/// "no diabetes the other eye has a cataract".
fn is_there(reading: &Reading<'_, '_, '_>, meant: &Meant, words: &Range<usize>, story: &Story) -> bool {
    let speech = reading.speech;
    const NAMED: &[&str] = &[
        "other eye",
        "fellow eye",
        "other eye's",
        "fellow eye's",
        "right eye",
        "left eye",
        "his right",
        "her right",
        "his left",
        "her left",
        "in the left",
        "in the right",
    ];
    let own = story.eye.value().map_or("", |side| side.value.as_str());
    let named = NAMED.iter().filter(|named| own.is_empty() || !named.split(' ').any(|word| word == own));
    let Some(at) = named.filter_map(|named| speech.find(words.clone(), named)).min() else { return true };
    let between = meant.words.end..at;
    // "An attack of angle closure in the left": all that stands before it without a stop.
    let stops = |at: usize| speech.words[at].stop != Stop::None;
    let whole = matches!(speech.low(at), "in")
        || matches!(speech.low(at.wrapping_sub(2)), "in" | "on") && speech.low(at.wrapping_sub(1)) == "the";
    at < meant.words.start
        || between.len() <= 3 && between.clone().any(|at| matches!(speech.low(at), "in" | "of" | "on" | "to"))
        || whole && between.len() <= 7 && !stops(meant.words.end - 1) && !between.clone().any(stops)
}

/// Whether a sentence names the eye of the other side, where that of the operation is known.
fn names_other_side(reading: &Reading<'_, '_, '_>, words: &Range<usize>, story: &Story) -> bool {
    let Some(side) = story.eye.value() else { return false };
    let other: &[&str] = if side.value == "left" {
        &["right eye", "his right", "her right", "the right one", "the right has", "the right was", "the right is"]
    } else {
        &["left eye", "his left", "her left", "the left one", "the left has", "the left was", "the left is"]
    };
    // "She had an attack in the left." Not "in the left hand".
    let last = if side.value == "left" { "in the right" } else { "in the left" };
    let speech = reading.speech;
    let bare = speech.find(words.clone(), last).is_some_and(|at| speech.words[at + 2].stop != Stop::None);
    bare || speech.any(words, other)
}

/// Whether a step is named later in the sentence.
fn steps_after(reading: &Reading<'_, '_, '_>, meant: &Meant, words: &Range<usize>) -> bool {
    reading
        .within(words)
        .iter()
        .any(|it| it.kind == Kind::Technique && it.stance == Stance::So && it.words.start >= meant.words.start)
}

pub(super) fn concept(meant: &Meant) -> Concept {
    Held::new(meant.concept, meant.words.clone(), meant.sure)
}

fn push(list: &mut Vec<Concept>, concept: Concept) {
    if !list.iter().any(|known| known.value == concept.value) {
        list.push(concept);
    }
}

fn take(reading: &Reading<'_, '_, '_>, meant: &Meant, words: &Range<usize>, phase: Phase, story: &mut Story) {
    let lexicon = reading.lexicon;
    match (meant.kind, phase) {
        (Kind::Finding, _) => finding(reading, meant, story),
        (Kind::Technique, Phase::After) => afterwards(reading, meant, story),
        (Kind::Technique, _) if lexicon.is_under(meant.concept, "anaesthesia") => {
            if story.anaesthesia.is_none() {
                story.anaesthesia = Some(concept(meant));
            } else if story.anaesthesia.as_ref().is_some_and(|known| known.value != meant.concept) {
                step(story, concept(meant));
            }
        }
        (Kind::Technique, Phase::Before) if is_whole(lexicon, meant.concept) => {
            story.procedure.get_or_insert_with(|| concept(meant));
        }
        // What belongs to the time afterwards is no step, and a wider word for the wound says nothing new.
        (Kind::Technique, _) if lexicon.later.contains(&meant.concept) => {}
        (Kind::Technique, _)
            if reading.name(meant.concept) == "incision"
                && story.steps.iter().any(|known| lexicon.is_under(known.does.value, "incision")) => {}
        (Kind::Technique, Phase::Before) if !is_preparation(lexicon, meant.concept) => {}
        // "Through the side port": a port that was made is not made again.
        (Kind::Technique, _)
            if reading.name(meant.concept) == "paracentesis"
                && story.steps.iter().any(|known| known.does.value == meant.concept) => {}
        (Kind::Technique, _) => step(story, concept(meant)),
        (Kind::Complication, Phase::Before) => {}
        (Kind::Complication, _) => trouble(reading, meant, phase, story),
        (Kind::Outcome, _) => {
            if phase == Phase::During && story.outcomes.first().is_none_or(|visit| visit.when.is_some()) {
                // Seen at the end of the operation: no time after it was said.
                story.outcomes.insert(0, Visit::default());
            }
            let visit = if phase == Phase::During { story.outcomes.first_mut() } else { story.outcomes.last_mut() };
            if let Some(visit) = visit {
                push(&mut visit.states, concept(meant));
            }
        }
        (Kind::Material | Kind::Instrument, _) => {
            implied(reading, meant, words, phase, story);
            drugs::take(reading, meant, words, phase, story);
        }
    }
}

/// A finding, or more about one that is known already.
fn finding(reading: &Reading<'_, '_, '_>, meant: &Meant, story: &mut Story) {
    let vocabulary = reading.lexicon.vocabulary;
    // A wider word for what was named more closely says nothing new.
    if story.findings.iter().any(|known| vocabulary.upwards(known.is.value).contains(&meant.concept)) {
        return;
    }
    story.findings.push(Finding { is: concept(meant), grade: Slot::default() });
}

/// Adds a step unless it is the one that is going on.
pub(super) fn step(story: &mut Story, does: Concept) {
    if story.steps.last().is_some_and(|last| last.does.value == does.value) {
        return;
    }
    story.steps.push(Step { does, with: Vec::new(), settings: Vec::new(), gives: Vec::new(), notes: Vec::new() });
}

/// The technique that somebody speaks of by naming what it is done with.
fn implied(reading: &Reading<'_, '_, '_>, meant: &Meant, words: &Range<usize>, phase: Phase, story: &mut Story) {
    let lexicon = reading.lexicon;
    let Some(techniques) = lexicon.implied.get(&meant.concept) else { return };
    let said: Vec<ConceptId> =
        reading.within(words).iter().filter(|it| it.kind == Kind::Technique).map(|it| it.concept).collect();
    let gel = lexicon.is_under(meant.concept, "viscoelastic");
    for &technique in techniques {
        let there = said.iter().any(|id| lexicon.vocabulary.upwards(*id).contains(&technique));
        // Gel is named in many steps; only where no other is spoken of does it speak of filling the chamber.
        let end = meant.words.end;
        let alone = said.is_empty()
            || reading.speech.words[end - 1].stop == Stop::Comma && !reading.speech.says(end, "out")
            || reading.speech.low(end) == "then";
        if there || (gel && !alone) {
            continue;
        }
        // "Cefuroxime, one milligram, and subconjunctival dexamethasone": only what is said of this drug.
        let own = super::stance::clause_of(reading.speech, &meant.words);
        let beside = reading.speech.any(&own, &["subconjunctival", "sub conj", "subconj", "intravitreal"]);
        if reading.name(technique) == "intracameral-antibiotic" && beside {
            continue;
        }
        let held = Held::new(technique, meant.words.clone(), Sure::Guess);
        match phase {
            Phase::After => {
                let meant = Meant { concept: technique, kind: Kind::Technique, sure: Sure::Guess, ..meant.clone() };
                afterwards(reading, &meant, story);
            }
            Phase::Before if !is_preparation(lexicon, technique) => {}
            _ => step(story, held),
        }
    }
}

/// Opens a visit when a new time after surgery is told.
fn visit_after(reading: &Reading<'_, '_, '_>, words: &Range<usize>, story: &mut Story) {
    let Some(time) = facts::time_after(reading.speech, words.clone()) else { return };
    let known =
        story.outcomes.iter().rposition(|visit| visit.when.as_ref().is_some_and(|when| when.value == time.text));
    match known {
        Some(at) => {
            let visit = story.outcomes.remove(at);
            story.outcomes.push(visit);
        }
        None => {
            let when = match time.doubt {
                Some(why) => {
                    story.unclear.push(Unclear::new(time.words, why));
                    None
                }
                None => Some(time.into()),
            };
            story.outcomes.push(Visit { when, ..Visit::default() });
        }
    }
}

/// The plan, as far as the story tells it: the whole operation that was named, or the one to which its steps belong.
fn plan(reading: &Reading<'_, '_, '_>, story: &mut Story) {
    if story.procedure.is_some() {
        return;
    }
    let whole = |step: &&Step| is_whole(reading.lexicon, step.does.value);
    if let Some(step) = story.steps.iter().find(whole) {
        story.procedure = Some(Held::new(step.does.value, step.does.words.clone(), Sure::Guess));
        return;
    }
    const SIGNS: &[(&str, &str)] = &[
        ("nucleus-delivery", "manual-small-incision-surgery"),
        ("chopping", "phacoemulsification"),
        ("divide-and-conquer", "phacoemulsification"),
        ("quadrant-removal", "phacoemulsification"),
        ("sculpting", "phacoemulsification"),
    ];
    for (sign, whole) in SIGNS {
        let found = story.steps.iter().find(|step| reading.lexicon.is_under(step.does.value, sign));
        if let (Some(step), Some(id)) = (found, reading.lexicon.vocabulary.by_name(whole)) {
            story.procedure = Some(Held::new(id, step.does.words.clone(), Sure::Guess));
            return;
        }
    }
}
