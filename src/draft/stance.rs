//! Whether what is spoken of is so: denied, considered, usual, of another eye, asked, or a rule for others.

use super::words::{Sentence, Speech, Stop};
use std::ops::Range;

/// How somebody stands to what he names.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Stance {
    /// It is so.
    So,
    /// It is not so.
    Denied,
    /// It might be, could be, was feared or asked about.
    Considered,
    /// It is what people usually do.
    Usual,
    /// It belongs to another eye, another hospital, another time.
    Elsewhere,
    /// It is part of a rule for others.
    Rule,
}

/// Words that deny what follows.
const NEGATORS: &[&str] = &[
    "no", "not", "never", "without", "nothing", "nor", "neither", "didn't", "don't", "doesn't", "wasn't", "isn't",
    "aren't", "weren't", "haven't", "hasn't", "hadn't", "won't", "wouldn't", "couldn't", "can't", "cannot", "didnt",
    "dont", "wasnt",
];
/// How many words a denial reaches.
const REACH: usize = 7;
/// Words that begin something new, so that a denial ends before them.
const BREAKS: &[&str] =
    &["but", "so", "because", "then", "although", "though", "however", "just", "only", "which", "once"];
/// Words after `no` that make it an answer and not a denial of the noun.
const ANSWERS: &[&str] = &[
    "i", "we", "that's", "it's", "he", "she", "it", "this", "that", "the", "there", "sorry", "wait", "never", "problem",
];
/// Who speaks or is spoken of.
const SUBJECTS: &[&str] = &["i", "we", "he", "she", "it", "they", "i'm", "i've", "we've", "he's", "she's", "it's"];

const CONSIDERED: &[&str] = &[
    "would",
    "could",
    "should",
    "might",
    "afraid",
    "worried",
    "worry",
    "fear",
    "whether",
    "avoid",
    "prevent",
    "instead of",
    "rather than",
    "in case",
    "risk of",
    "decided against",
    "talked about",
    "thought of",
    "thought about",
    "think about",
    "took it for",
    "looked for",
    "look for",
    "watch for",
    "may need",
    "if",
    "so that he",
    "so that she",
    "so that it",
    "wants to",
    "remains to",
    "history of",
    "unless",
    "can cause",
    "can lead",
];
const USUAL: &[&str] = &["usually", "normally", "generally", "as a rule", "routinely", "in general", "ordinarily"];
const ELSEWHERE: &[&str] = &[
    "other eye",
    "fellow eye",
    "another hospital",
    "elsewhere",
    "last time",
    "another patient",
    "previous case",
    "years ago",
    "weeks ago",
    "months ago",
    "first eye",
    "in both eyes before",
];

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

/// The questions of a narration, with or without question marks.
pub(super) fn questions(speech: &Speech<'_>) -> Vec<Question> {
    let mut found: Vec<Question> = Vec::new();
    for sentence in &speech.sentences {
        let begins = |at: usize| QUESTIONS.iter().any(|phrase| speech.says(at, phrase));
        let range = sentence.words.clone();
        if sentence.asks {
            let decides = range.clone().any(begins) && !CHECKS.iter().any(|phrase| speech.says(range.start, phrase));
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
        found.push(Question { words: start..end, decides: true });
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
    last && !own && range.clone().any(order)
}

/// How the narrator stands to the words of a mention.
pub(super) fn stance(speech: &Speech<'_>, words: &Range<usize>, questions: &[Question], rules: &[bool]) -> Stance {
    let number = speech.sentence_of(words.start);
    let Some(sentence) = speech.sentences.get(number) else { return Stance::So };
    if let Some(part) = rule_part(speech, sentence, rules.get(number) == Some(&true))
        && part.contains(&words.start)
    {
        return Stance::Rule;
    }
    let next = questions.partition_point(|question| question.words.end <= words.start);
    if questions.get(next).is_some_and(|question| question.words.contains(&words.start)) {
        return Stance::Considered;
    }
    // What was asked before, within the same sentence, is no part of what is said.
    let start = next.checked_sub(1).map_or(0, |before| questions[before].words.end).max(sentence.words.start);
    if denied(speech, words, &Sentence { words: start..sentence.words.end, asks: false }) {
        return Stance::Denied;
    }
    // "What would you be afraid of? A haemorrhage."
    let answers = number.checked_sub(1).is_some_and(|before| {
        let before = &speech.sentences[before];
        before.asks && questions.iter().any(|question| question.words.end == before.words.end)
    });
    if answers && sentence.words.len() <= 4 {
        return Stance::Considered;
    }
    let clause = clause(speech, words, sentence);
    let clause = clause.start.max(start)..clause.end;
    if speech.any(&clause, ELSEWHERE) {
        return Stance::Elsewhere;
    }
    let before = clause.start..words.start;
    if speech.any(&before, CONSIDERED) {
        return Stance::Considered;
    }
    if speech.any(&before, USUAL) {
        return Stance::Usual;
    }
    Stance::So
}

/// The part of a sentence that is a rule; the whole of it unless it begins behind what was done.
fn rule_part(speech: &Speech<'_>, sentence: &Sentence, is_rule: bool) -> Option<Range<usize>> {
    if is_rule {
        return Some(sentence.words.clone());
    }
    let start = sentence.words.clone().find(|&at| begins_rule(speech, at))?;
    Some(start..sentence.words.end)
}

/// Whether a rule begins at a word behind what was done.
pub(super) fn begins_rule(speech: &Speech<'_>, at: usize) -> bool {
    let order = ORDERS.contains(&speech.low(at + 1));
    let own = at > 0 && matches!(speech.low(at - 1), "i" | "we" | "i've" | "you" | "he" | "she");
    order && !own && matches!(speech.low(at), "always" | "never" | "don't")
}

/// The words around a mention up to the next stop or to a word that begins something new.
fn clause(speech: &Speech<'_>, words: &Range<usize>, sentence: &Sentence) -> Range<usize> {
    let mut start = words.start;
    while start > sentence.words.start {
        let before = &speech.words[start - 1];
        if before.stop != Stop::None || BREAKS.contains(&before.low.as_str()) {
            break;
        }
        start -= 1;
    }
    let mut end = words.end;
    while end < sentence.words.end && speech.words[end - 1].stop == Stop::None && !BREAKS.contains(&speech.low(end)) {
        end += 1;
    }
    start..end
}

/// Whether the words are denied before or after.
fn denied(speech: &Speech<'_>, words: &Range<usize>, sentence: &Sentence) -> bool {
    let first = sentence.words.start.max(words.start.saturating_sub(REACH));
    let mut at = words.start;
    while at > first {
        at -= 1;
        let low = speech.low(at);
        let stop = speech.words[at].stop;
        if NEGATORS.contains(&low) {
            let answer = low == "no" && (stop != Stop::None || ANSWERS.contains(&speech.low(at + 1)));
            return !answer;
        }
        // "No diabetes, trauma or uveitis": a list goes on over its commas.
        let goes_on = stop == Stop::Comma && words.start - at <= 4 && is_list(speech, at + 1..words.start);
        if (stop != Stop::None && !goes_on) || BREAKS.contains(&low) {
            break;
        }
        if low == "and"
            && (SUBJECTS.contains(&speech.low(at + 1))
                || matches!(speech.low(at + 1), "the" | "there" | "then" | "a" | "now"))
        {
            break;
        }
        // A new subject: what stands before it was about something else.
        if SUBJECTS.contains(&low) {
            break;
        }
    }
    denied_after(speech, words, sentence)
}

/// Whether only the words of a list stand in a range.
fn is_list(speech: &Speech<'_>, range: Range<usize>) -> bool {
    range.clone().all(|at| matches!(speech.low(at), "or" | "nor" | "no" | "any")) && range.len() <= 1
}

/// `… none`, `… was not`, `… no i did not`, `… no sorry cohesive`.
fn denied_after(speech: &Speech<'_>, words: &Range<usize>, sentence: &Sentence) -> bool {
    let at = words.end;
    if at >= sentence.words.end {
        return false;
    }
    if speech.words[at - 1].stop == Stop::None {
        for phrase in [
            "was not", "is not", "are not", "were not", "has not", "did not", "does not", "wasn't", "isn't", "hasn't",
            "didn't",
        ] {
            if speech.says(at, phrase) {
                return true;
            }
        }
    }
    let end = sentence.words.end.min(at + 4);
    (at..end).any(|at| {
        ["no i did not", "no i didn't", "no sorry", "sorry no", "no i mean", "none", "no i do not"]
            .iter()
            .any(|phrase| speech.says(at, phrase) && at + phrase.split(' ').count() <= sentence.words.end)
    })
}
