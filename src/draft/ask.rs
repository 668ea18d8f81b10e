//! What a complete case still needs, in the order in which it matters.
//!
//! Sources of the items: CARE (Gagnier et al. 2013, J Med Case Rep 7:223, doi:10.1186/1752-1947-7-223) for case reports, and
//! LAP-VEGaS (Celentano et al. 2018, Ann Surg 268:920) for films of operations; their order here is our own: what keeps a
//! case from being published comes first.

use super::Ask;
use super::story::{Story, Sure};
use super::words::Speech;
use crate::model::vocabulary::Vocabulary;

/// What was heard and could not be written, and then what was not heard at all.
pub(super) fn asks(story: &Story, speech: &Speech<'_>, vocabulary: &Vocabulary) -> Vec<Ask> {
    let mut asks = Vec::new();
    let mut ask =
        |what: &str, item: &'static str| asks.push(Ask { what: what.to_owned(), item, at: None, heard: None });
    ask("Has the patient agreed, and to what: teaching, publication?", "CARE 13; LAP-VEGaS 6");
    if story.eye.value().is_none() {
        ask("Which eye was it?", "CARE 5");
    }
    if story.age.value().is_none() {
        ask("How old was the patient?", "CARE 5; LAP-VEGaS 9");
    }
    if story.sex.is_none() {
        ask("Was the patient a man or a woman?", "CARE 5; LAP-VEGaS 9");
    }
    if story.procedure.is_none() {
        ask("Which operation was planned?", "CARE 9; LAP-VEGaS 3");
    }
    if story.anaesthesia.is_none() {
        ask("How was the eye made numb?", "CARE 9");
    }
    ask("Who operated: which grade, and how many operations before this one?", "LAP-VEGaS 5");
    if story.findings.is_empty() {
        ask("What did the eye bring along, and what was looked for and not there?", "CARE 6");
    }
    if story.before.iter().all(|visit| visit.acuity.iter().all(|(_, slot)| slot.value().is_none())) {
        ask("What was the acuity before, and how was it taken?", "CARE 6");
    }
    if story.before.iter().all(|visit| visit.iop.value().is_none()) {
        ask("What was the pressure before?", "CARE 6");
    }
    let label = |id| vocabulary.get(id).label.value.as_str();
    for trouble in &story.troubles {
        if trouble.during.is_none() && trouble.after.is_none() {
            ask(&format!("When did this arise: {}?", label(trouble.is.value)), "CARE 10");
        }
        if trouble.managed.is_empty() {
            ask(&format!("What was done about this: {}?", label(trouble.is.value)), "CARE 9");
        } else {
            ask(&format!("Did it work, what was done about this: {}?", label(trouble.is.value)), "CARE 10");
        }
    }
    if story.lens.kind.is_none() && story.lens.power.value().is_none() && story.lens.place.value().is_none() {
        ask("Which implant was placed, of which power, and where?", "CARE 9");
    }
    if story.outcomes.iter().all(|visit| visit.acuity.iter().all(|(_, slot)| slot.value().is_none())) {
        ask("What became of the eye: acuity, and how long afterwards?", "CARE 10; LAP-VEGaS, outcomes");
    }
    if story.lessons.is_empty() {
        ask("What is to be taken home?", "CARE 11");
    }
    if !story.decisions.is_empty() {
        ask("What else could one have done at each question, how good is it, and why?", "CARE 11");
    }
    ask("Who writes this, and are there interests to declare?", "LAP-VEGaS 1 and 7");
    let mut heard: Vec<Ask> = story
        .unclear
        .iter()
        .map(|it| Ask {
            what: it.why.clone(),
            item: "heard, and left blank",
            at: Some(speech.time(it.words.start)),
            heard: Some(match &it.also {
                Some(also) => {
                    format!("{} … {}", speech.heard(around(speech, &it.words)), speech.heard(around(speech, also)))
                }
                None => speech.heard(around(speech, &it.words)),
            }),
        })
        .collect();
    let blank = story.before.iter().chain(&story.outcomes).flat_map(|visit| &visit.notes);
    heard.extend(blank.filter(|note| note.sure == Sure::Blank).map(|note| Ask {
        what: "how was this acuity taken: unaided, with glasses, through a pinhole, best corrected?".to_owned(),
        item: "heard, and left blank",
        at: Some(speech.time(note.words.start)),
        heard: Some(speech.heard(around(speech, &note.words))),
    }));
    heard.sort_by(|one, other| one.at.unwrap_or(0.0).total_cmp(&other.at.unwrap_or(0.0)));
    asks.extend(heard);
    asks
}

/// Some words with what stands beside them in their sentence.
fn around(speech: &Speech<'_>, words: &std::ops::Range<usize>) -> std::ops::Range<usize> {
    let sentence = &speech.sentences[speech.sentence_of(words.start)].words;
    sentence.start.max(words.start.saturating_sub(5))..sentence.end.min(words.end + 5).max(words.end)
}
