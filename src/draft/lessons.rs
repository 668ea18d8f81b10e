//! Decision points from questions to the listener, and lessons from rules given to him.

use super::questions::begins_rule;
use super::story::{Decision, Held, Story, Sure, Text};
use super::understand::Reading;

/// Questions become decisions, with what was said next as the answer.
pub(super) fn decisions(reading: &Reading<'_, '_, '_>, story: &mut Story) {
    let speech = reading.speech;
    let mut last_end = usize::MAX;
    for question in &reading.questions {
        let joins = question.words.start == last_end;
        if joins && !story.decisions.is_empty() {
            // Two questions in a row are one decision.
            if let Some(decision) = story.decisions.last_mut() {
                decision.ask.words.end = question.words.end;
                decision.ask.value = speech.heard(decision.ask.words.clone());
                decision.answer = answer(reading, question.words.end);
            }
            last_end = question.words.end;
            continue;
        }
        if !question.decides {
            continue;
        }
        last_end = question.words.end;
        let step = story.steps.iter().position(|step| step.does.words.start >= question.words.end);
        story.decisions.push(Decision {
            ask: Held::new(speech.heard(question.words.clone()), question.words.clone(), Sure::Certain),
            answer: answer(reading, question.words.end),
            step: step.or(story.steps.len().checked_sub(1)),
        });
    }
}

/// What was said after a question: the rest of its sentence, or the next sentence.
fn answer(reading: &Reading<'_, '_, '_>, from: usize) -> Option<Text> {
    let speech = reading.speech;
    let number = speech.sentence_of(from);
    let sentence = speech.sentences.get(number)?;
    if sentence.asks {
        return None;
    }
    // A short answer such as "I would not" takes its reason with it.
    let next = speech.sentences.get(number + 1).filter(|_| sentence.words.end - from < 5);
    let end = next.filter(|next| !next.asks).map_or(sentence.words.end, |next| next.words.end);
    let first = speech.heard(from..sentence.words.end);
    let rest = if end > sentence.words.end { speech.heard(sentence.words.end..end) } else { String::new() };
    let stop = if rest.is_empty() { "" } else { ". " };
    Some(Held::new(format!("{first}{stop}{rest}"), from..end, Sure::Guess))
}

/// Rules of thumb.
pub(super) fn lessons(reading: &Reading<'_, '_, '_>, story: &mut Story) {
    let speech = reading.speech;
    for (sentence, rule) in speech.sentences.iter().zip(&reading.rules) {
        let start = sentence.words.clone().find(|&at| begins_rule(speech, at));
        let words = match (rule, start) {
            (true, _) => sentence.words.clone(),
            (false, Some(start)) => start..sentence.words.end,
            (false, None) => continue,
        };
        // The answer to a question is not a rule as well.
        let next = story.decisions.partition_point(|it| it.ask.words.end <= words.start);
        let before = next.checked_sub(1).and_then(|at| story.decisions[at].answer.as_ref());
        if before.is_some_and(|answer| answer.words.contains(&words.start)) {
            continue;
        }
        story.lessons.push(Held::new(speech.heard(words.clone()), words, Sure::Certain));
    }
}
