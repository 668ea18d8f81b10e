//! Questions that a narrator puts to his listeners, and rules that he gives them.

use super::words::{Sentence, Speech};
use std::ops::Range;

/// Phrases with which a question to the listener begins.
const QUESTIONS: &[&str] = &[
    "what do you do",
    "what would you do",
    "what do we do",
    "what would you",
    "what now",
    "what should",
    "would you",
    "do you",
    "do we",
    "do i",
    "should i",
    "should we",
    "should you",
    "who would",
    "how would you",
    "what next",
    "so what would",
    "so what do",
    "so would you",
];
/// Phrases with which somebody asks himself whether something is there: no decision.
const CHECKS: &[&str] =
    &["is there", "is it", "why did", "can you see", "do you see", "what is", "was there", "do you know"];

/// A question to the listener, by its words, and where its answer begins.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Question {
    /// The words of the question.
    pub(super) words: Range<usize>,
    /// Whether it asks what to do.
    pub(super) decides: bool,
}

/// Words that make of such a question one about what is seen, felt or known: no decision.
const NO_DECISION: &[&str] =
    &["afraid", "worry", "worried", "expect", "think", "see", "notice", "call", "name", "know", "remember"];

/// The questions of a narration, with or without question marks.
pub(super) fn questions(speech: &Speech<'_>) -> Vec<Question> {
    let mut found: Vec<Question> = Vec::new();
    for (number, sentence) in speech.sentences.iter().enumerate() {
        let begins = |at: usize| QUESTIONS.iter().any(|phrase| speech.says(at, phrase));
        let range = sentence.words.clone();
        if sentence.asks {
            // What one sees or fears decides something only if what was done follows.
            let acts = |at: usize| {
                matches!(speech.low(at), "i" | "we")
                    || speech.low(at) == "so" && matches!(speech.low(at + 1), "i" | "we")
            };
            let done = speech.sentences[number + 1..].iter().take(2).any(|next| acts(next.words.start));
            let decides = range.clone().any(begins)
                && (done || !speech.any(&range, NO_DECISION))
                && !CHECKS.iter().any(|phrase| speech.says(range.start, phrase));
            // What was said before the question within its sentence is no part of it: `okay that's back in, what now?`
            found.push(Question { words: range, decides });
            continue;
        }
        let Some(start) = range
            .clone()
            .find(|&at| begins(at) && at.saturating_sub(range.start) <= 12 && !owned(speech, at, range.start))
        else {
            let check = CHECKS.iter().find(|phrase| speech.says(range.start, phrase) && !phrase.starts_with("what"));
            if check.is_some() {
                let end = (range.start + 2..range.end).find(|&at| is_answer(speech, at)).unwrap_or(range.end);
                found.push(Question { words: range.start..end, decides: false });
            }
            continue;
        };
        let end = (start + 2..range.end).find(|&at| is_answer(speech, at)).unwrap_or(range.end);
        found.push(Question { words: start..end, decides: !speech.any(&(start..end), NO_DECISION) });
    }
    found
}

/// Whether the phrase at a word is part of a statement: `what i would do`, `as you would`.
fn owned(speech: &Speech<'_>, at: usize, start: usize) -> bool {
    at > start
        && matches!(speech.low(at - 1), "i" | "we" | "as" | "that" | "which" | "he" | "she" | "how" | "nobody" | "you")
}

/// Whether an answer begins at a word of a question without a mark.
fn is_answer(speech: &Speech<'_>, at: usize) -> bool {
    match speech.low(at) {
        "no" | "yes" => true,
        // "For a pupil like that I used a ring": the question ends with `like that`.
        "i" | "we" if speech.says(at.saturating_sub(2), "like that") => true,
        "i" | "we" => !matches!(
            speech.low(at.saturating_sub(1)),
            "do" | "would"
                | "should"
                | "did"
                | "can"
                | "could"
                | "or"
                | "if"
                | "when"
                | "as"
                | "have"
                | "will"
                | "that"
        ),
        _ => false,
    }
}

/// Verbs with which a rule begins.
const ORDERS: &[&str] = &[
    "ask",
    "wait",
    "check",
    "strip",
    "keep",
    "fill",
    "come",
    "leave",
    "build",
    "put",
    "decompress",
    "look",
    "tell",
    "take",
    "use",
    "stop",
    "lower",
    "stay",
    "make",
    "mark",
    "measure",
    "test",
    "refill",
    "call",
    "respect",
    "watch",
    "think",
];

/// Whether a sentence is a rule of thumb for others.
pub(super) fn is_rule(speech: &Speech<'_>, sentence: &Sentence, last: bool) -> bool {
    let range = sentence.words.clone();
    if sentence.asks || range.len() < 4 {
        return false;
    }
    let first = match speech.low(range.start) {
        "so" | "and" | "but" | "okay" | "remember" => range.start + 1,
        _ => range.start,
    };
    let word = speech.low(first);
    let order = |at: usize| ORDERS.contains(&speech.low(at));
    let has = |phrases: &[&str]| speech.any(&range, phrases);
    let own = has(&["i", "we", "i'm", "i've", "was", "were", "had", "he", "she", "did", "has", "my", "there's"]);
    if matches!(word, "always" | "never") {
        return true;
    }
    if matches!(word, "don't" | "do") && (word == "don't" || speech.says(first, "do not")) && !own {
        return true;
    }
    // A rule may stand behind what was done: `i fill up from the side port always fill before you come out`.
    let later = (first..range.end)
        .any(|at| matches!(speech.low(at), "always" | "never") && (order(at + 1) || speech.low(at + 1) == "suture"));
    if later && has(&["you", "always"]) && !own {
        return true;
    }
    let bound = has(&["before", "until", "never", "every", "not", "when you", "cheaper", "as you can", "first"]);
    if order(first) && (bound || last) && !own {
        return true;
    }
    if word == "if" && has(&["you", "it"]) && !has(&["i", "we", "was", "were"]) && range.clone().any(order) {
        return true;
    }
    if word == "every" && range.clone().any(order) && !own {
        return true;
    }
    if speech.says(first, "as late as") || (has(&["until you"]) && !own) {
        return true;
    }
    // The last word of a narration is often its lesson, without a sign of it.
    // "Seventeen dioptres or eighteen, ask the nurse" is about this eye.
    let amount =
        super::numbers::all(speech, range.clone()).iter().any(|it| super::units::unit(speech, it.words.end).is_some());
    last && !own && !amount && range.clone().any(order)
}

/// Whether a rule begins at a word behind what was done.
pub(super) fn begins_rule(speech: &Speech<'_>, at: usize) -> bool {
    let order = ORDERS.contains(&speech.low(at + 1));
    let own = at > 0 && matches!(speech.low(at - 1), "i" | "we" | "i've" | "you" | "he" | "she");
    order && !own && matches!(speech.low(at), "always" | "never" | "don't")
}
