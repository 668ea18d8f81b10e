//! Which time of the operation each sentence belongs to: before the first cut, during, or after.

use super::facts;
use super::lexicon::Lexicon;
use super::recognise::{Mention, Phase};
use super::stance::Stance;
use super::understand::is_whole;
use super::words::Speech;
use crate::model::vocabulary::{ConceptId, Kind};

/// Whether a technique comes before the first cut.
pub(super) fn is_preparation(lexicon: &Lexicon<'_>, id: ConceptId) -> bool {
    lexicon.is_under(id, "anaesthesia")
        || [
            "intravenous-hyperosmotic",
            "povidone-iodine-preparation",
            "draping",
            "pre-incision-check",
            "implant-loading",
        ]
        .contains(&lexicon.vocabulary.get(id).name.value.as_str())
}

/// How many sentences behind a first step an anaesthetic may be told that shows it to be none, and how many steps may lie between.
const PREMATURE: (usize, usize) = (12, 1);

/// The time of the operation to which each sentence belongs.
pub(super) fn phases(speech: &Speech<'_>, lexicon: &Lexicon<'_>, found: &[Mention], stances: &[Stance]) -> Vec<Phase> {
    let count = speech.sentences.len();
    let (mut steps, mut numbs) = (vec![0usize; count], vec![false; count]);
    for mention in found.iter().zip(stances).filter(|(_, it)| **it == Stance::So).map(|(it, _)| it) {
        let kinds = |kind: Kind| mention.concepts.iter().any(|id| lexicon.vocabulary.get(*id).kind == kind);
        let number = speech.sentence_of(mention.words.start);
        let Some(in_sentence) = steps.get_mut(number) else { continue };
        // "Clear cornea" may be what is seen or where the cut is made: it begins nothing.
        let seen = kinds(Kind::Finding) || kinds(Kind::Outcome);
        let operative = mention.concepts.iter().any(|&id| {
            lexicon.vocabulary.get(id).kind == Kind::Technique
                && !is_preparation(lexicon, id)
                && !is_whole(lexicon, id)
                && !lexicon.later.contains(&id)
        });
        *in_sentence += usize::from(operative && !seen);
        numbs[number] |= mention.concepts.iter().any(|&id| lexicon.is_under(id, "anaesthesia"));
    }
    let first = |from: usize| (from..count).find(|&at| steps[at] > 0);
    let mut begin = first(0);
    if let Some(early) = begin {
        // "This is a small incision case": the eye is numbed before anything is done to it.
        let numbed = (early + 1..count.min(early + 1 + PREMATURE.0)).find(|&at| numbs[at]);
        if let Some(numbed) = numbed.filter(|&numbed| steps[early..numbed].iter().sum::<usize>() <= PREMATURE.1) {
            begin = first(numbed).or(begin);
        }
    }
    let mut phase = Phase::Before;
    let mut phases = Vec::with_capacity(count);
    for (number, sentence) in speech.sentences.iter().enumerate() {
        if phase == Phase::Before && begin == Some(number) {
            phase = Phase::During;
        } else if phase == Phase::During && facts::time_after(speech, sentence.words.clone()).is_some() {
            phase = Phase::After;
        }
        phases.push(phase);
    }
    phases
}
