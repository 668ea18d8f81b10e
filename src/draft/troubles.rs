//! What went wrong: in which step it arose, what was done about it then, and what afterwards.

use super::facts;
use super::recognise::Phase;
use super::story::{Held, Slot, Step, Story, Sure, Trouble};
use super::understand::{Meant, Reading, concept};
use crate::model::vocabulary::{ConceptId, Vocabulary};
use std::ops::Range;

/// What is done beside a step: a trouble that is told right behind it arose in the step that it helps along.
const BESIDE: &[&str] = &[
    "slow-motion-phaco",
    "viscoelastic-injection",
    "fluidics-adjustment",
    "pause-and-refill",
    "viscoelastic-tamponade",
    "viscomydriasis",
    "triamcinolone-staining",
    "pre-incision-check",
    "paracentesis-burp",
];
/// How many steps after a trouble may be its answer.
const ANSWERED_WITHIN: usize = 7;

/// Whether a trouble is this one, told more widely or more closely.
pub(super) fn is_same(vocabulary: &Vocabulary, known: &Trouble, concept: ConceptId) -> bool {
    vocabulary.upwards(known.is.value).contains(&concept) || vocabulary.upwards(concept).contains(&known.is.value)
}

/// Whether what is done is an answer to a trouble, by the troubles that it answers.
fn is_answered(vocabulary: &Vocabulary, trouble: &Trouble, answers: &[ConceptId]) -> bool {
    vocabulary.upwards(trouble.is.value).iter().any(|id| answers.contains(id))
}

/// Something that went wrong; said again it is the same one.
pub(super) fn trouble(reading: &Reading<'_, '_, '_>, meant: &Meant, phase: Phase, story: &mut Story) {
    let vocabulary = reading.lexicon.vocabulary;
    if story.troubles.iter().any(|known| is_same(vocabulary, known, meant.concept)) {
        return;
    }
    let (during, after) = if phase == Phase::After {
        (None, story.outcomes.last().and_then(|visit| visit.when.clone()))
    } else {
        // How something was done is not what was done, and what helps a step along is none of its own.
        let manner = |step: &Step| BESIDE.contains(&reading.name(step.does.value));
        let last = story.steps.iter().rposition(|step| !manner(step));
        let last = last.or(story.steps.len().checked_sub(1));
        // What went wrong next, while the first was being answered, went wrong in the same step.
        let answering = |trouble: &Trouble, step: &Step| {
            manner(step)
                || ["viscoelastic-injection", "triamcinolone-staining", "fluidics-adjustment"]
                    .contains(&reading.name(step.does.value))
                || is_answered(vocabulary, trouble, &vocabulary.get(step.does.value).answers)
        };
        let before = story.troubles.last().and_then(|trouble| {
            let from = trouble.during?;
            let since = &story.steps[from + 1..];
            (!since.is_empty() && since.iter().all(|step| answering(trouble, step))).then_some(from)
        });
        (before.or(last), None)
    };
    let is = concept(meant);
    story.troubles.push(Trouble {
        is,
        during,
        after,
        extent: Slot::default(),
        at: Slot::default(),
        managed: Vec::new(),
    });
}

/// Something done after the operation: an answer to what went wrong, or to be asked about.
pub(super) fn afterwards(reading: &Reading<'_, '_, '_>, meant: &Meant, story: &mut Story) {
    let vocabulary = reading.lexicon.vocabulary;
    // Acetazolamide answers what any lowering of the pressure answers.
    let answers: Vec<ConceptId> =
        vocabulary.upwards(meant.concept).iter().flat_map(|id| vocabulary.get(*id).answers.clone()).collect();
    let answered = story.troubles.iter().rposition(|trouble| {
        is_answered(vocabulary, trouble, &answers)
            && !trouble.managed.iter().any(|(known, _)| known.value == meant.concept)
    });
    if let Some(at) = answered {
        story.troubles[at].managed.push((concept(meant), None));
    } else if !treated_pressure(reading, meant, &answers, story)
        && let Some(visit) = story.outcomes.last_mut()
    {
        let label = &vocabulary.get(meant.concept).label.value;
        visit.notes.push(Held::new(crate::text::capitalised(label), meant.words.clone(), meant.sure));
    }
}

/// The pressure from which on one that is treated is taken for raised, in mmHg. Common practice, no source.
const RAISED: f64 = 25.0;

/// "The pressure was thirty-one. He had acetazolamide for that": a high pressure that is treated went wrong, whatever it is
/// called. A guess, which rests on the words of the pressure.
fn treated_pressure(reading: &Reading<'_, '_, '_>, meant: &Meant, answers: &[ConceptId], story: &mut Story) -> bool {
    let vocabulary = reading.lexicon.vocabulary;
    let Some(raised) = vocabulary.by_name("raised-intraocular-pressure") else { return false };
    if !answers.contains(&raised) {
        return false;
    }
    let words = reading.speech.sentences[reading.speech.sentence_of(meant.words.start)].words.clone();
    let here = facts::pressures(reading.speech, words, false).0.into_iter().next().map(|it| (it.text, it.words));
    let told = story.outcomes.last().and_then(|visit| visit.iop.value()).map(|it| (it.value.clone(), it.words.clone()));
    let high = |(text, _): &(String, Range<usize>)| {
        text.split(' ').next().and_then(|number| number.parse::<f64>().ok()).is_some_and(|number| number >= RAISED)
    };
    let Some((_, words)) = here.into_iter().chain(told).find(high) else { return false };
    story.troubles.push(Trouble {
        is: Held::new(raised, words, Sure::Guess),
        during: None,
        after: story.outcomes.last().and_then(|visit| visit.when.clone()),
        extent: Slot::default(),
        at: Slot::default(),
        managed: vec![(concept(meant), None)],
    });
    true
}

/// Steps that answer a trouble, by what the vocabulary says that they treat.
pub(super) fn answers(reading: &Reading<'_, '_, '_>, story: &mut Story) {
    let vocabulary = reading.lexicon.vocabulary;
    for trouble in &mut story.troubles {
        let Some(during) = trouble.during else { continue };
        for (at, step) in story.steps.iter().enumerate().skip(during).take(ANSWERED_WITHIN + 1) {
            // What was done before it arose is no answer to it.
            let later = step.does.words.start >= trouble.is.words.start;
            if later && is_answered(vocabulary, trouble, &vocabulary.get(step.does.value).answers) {
                trouble.managed.push((Held::new(step.does.value, step.does.words.clone(), Sure::Guess), Some(at)));
            }
        }
    }
}
