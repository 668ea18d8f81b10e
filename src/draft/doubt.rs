//! Doubt about a value: a correction near it, a limit or an estimate before it, a denial of it, a plan that it belongs to.
//!
//! No list of such words is ever complete. So they only ever take a value away; none makes one certain, and two different
//! values for one thing leave it blank whatever stands between them (`slot`).

use super::words::{Speech, Stop};
use std::ops::Range;

/// Why a value was left blank where its speaker corrected himself.
pub(super) const CORRECTED: &str = "somebody corrects himself here; nothing is guessed of it";
/// Why it was left blank where it is a limit, an estimate or one of two.
pub(super) const LOOSE: &str = "this is a limit, an estimate or one of two; nothing is guessed of it";
/// Why it was left blank where it is denied.
pub(super) const DENIED: &str = "this may be denied; nothing is guessed of it";
/// Why it was left blank where a number is not wholly understood.
pub(super) const PART: &str = "this number was not understood as a whole; a part of it is never taken";
/// Why it was left blank where it may be planned, usual or supposed.
pub(super) const SUPPOSED: &str =
    "this may be planned, usual or supposed and not what was done; nothing is guessed of it";

/// Words with which somebody takes back what he said.
const CORRECTIONS: &[&str] = &[
    "sorry",
    "pardon",
    "oops",
    "whoops",
    "nope",
    "hang on",
    "hold on",
    "correction",
    "i mean",
    "i meant",
    "i mean to say",
    "make that",
    "make it",
    "scratch that",
    "strike that",
    "or rather",
    "i lie",
    "i'm lying",
    "i am lying",
    "tell a lie",
    "my mistake",
    "my error",
    "i misspoke",
    "misread",
    "that's wrong",
    "that is wrong",
    "was wrong",
    "wrong",
    "should be",
    "should read",
    "should say",
    "should have said",
    "let me correct",
    "what am i saying",
    "excuse me",
    "or was it",
    "or is it",
    "not that",
    "keep saying",
    "i said",
    "on second thoughts",
];
/// How many words a correction reaches in its sentence.
const REACH: usize = 5;

/// How many words of a correction begin at a word, if one does.
pub(super) fn correction(speech: &Speech<'_>, at: usize) -> Option<usize> {
    let low = speech.low(at);
    if low == "correction" && matches!(speech.low(at.wrapping_sub(1)), "best" | "with" | "full" | "his" | "her" | "of")
    {
        return None;
    }
    if let Some(phrase) = CORRECTIONS.iter().find(|phrase| speech.says(at, phrase)) {
        return Some(phrase.split(' ').count());
    }
    let stop = speech.words.get(at)?.stop;
    match low {
        // "Wait until the eye is quiet" is an order.
        "wait" => {
            let next = speech.low(at + 1);
            let number = super::numbers::number(speech, at + 1).is_some();
            let takes_back = matches!(
                next,
                "" | "no" | "not" | "sorry" | "i" | "it" | "it's" | "that" | "that's" | "at" | "from" | "a"
            );
            (stop != Stop::None || number || takes_back).then_some(1)
        }
        "rather" | "actually" | "not" | "nor" => (stop == Stop::Comma).then_some(1),
        // "No, thirteen" and "no from four to six" correct; "no leak" denies.
        "no" => {
            let next = speech.low(at + 1);
            let number = super::numbers::number(speech, at + 1).is_some();
            let takes_back = matches!(
                next,
                "" | "no"
                    | "not"
                    | "from"
                    | "at"
                    | "that"
                    | "that's"
                    | "it's"
                    | "its"
                    | "it"
                    | "i"
                    | "the"
                    | "left"
                    | "right"
                    | "a"
                    | "about"
                    | "rather"
                    | "actually"
                    | "make"
            );
            (stop != Stop::None || number || takes_back).then_some(1)
        }
        _ => None,
    }
}

/// Whether somebody corrects himself right before or behind some words.
pub(super) fn is_corrected(speech: &Speech<'_>, words: &Range<usize>) -> bool {
    let number = speech.sentence_of(words.start);
    let Some(sentence) = speech.sentences.get(number).map(|it| &it.words) else { return false };
    let before = sentence.start.max(words.start.saturating_sub(REACH))..words.start;
    let behind = words.end..sentence.end.min(words.end + REACH);
    if before.chain(behind).any(|at| correction(speech, at).is_some()) {
        return true;
    }
    // "Twenty and a half. No. Show me." and "Twenty. No, twenty one.": the sentence beside it begins with the correction.
    let next = speech.sentences.get(number + 1).is_some_and(|next| {
        sentence.end.saturating_sub(words.end) <= REACH && correction(speech, next.words.start).is_some()
    });
    let last = number.checked_sub(1).and_then(|before| speech.sentences.get(before)).is_some_and(|before| {
        let near = words.start - sentence.start <= REACH;
        near && !before.asks && correction(speech, before.words.start) == Some(before.words.len())
    });
    next || last
}

/// Words that make of the number behind them a limit or a guess.
const LIMITS: &[&str] = &[
    "nearly",
    "almost",
    "maybe",
    "perhaps",
    "probably",
    "possibly",
    "over",
    "under",
    "above",
    "below",
    "beyond",
    "than",
    "least",
    "most",
    "guess",
    "suppose",
    "believe",
    "think",
    "say",
    "hopefully",
    "presumably",
    "apparently",
    "maximum",
    "minimum",
    "max",
    "exceeding",
    "towards",
    "toward",
    "near",
    "nearer",
    "hardly",
    "barely",
    "within",
    "until",
    "till",
    "either",
    "supposedly",
    "virtually",
    "practically",
    "approaching",
    "another",
    "further",
    "extra",
    "between",
];
/// Words that make an estimate of the number behind them, which a case can hold.
const ESTIMATES: &[&str] = &["about", "around", "roughly", "approximately", "approx", "circa"];
/// The same behind a number.
const BEHIND: &[&str] = &[
    "or so",
    "or more",
    "or less",
    "at most",
    "at least",
    "maximum",
    "give or take",
    "i think",
    "i guess",
    "i believe",
    "i suppose",
    "or thereabouts",
    "ish",
    "more or less",
    "minimum",
    "max",
    "perhaps",
    "maybe",
    "probably",
    "or maybe",
];

/// How a number stands: exactly, as an estimate, or not as a number to write down.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Standing {
    /// It was said as it is.
    Exact,
    /// `about 3 mm`.
    About,
    /// Not to be written, and why.
    Doubtful(&'static str),
}

/// How the number of these words stands, its unit among them.
pub(super) fn standing(speech: &Speech<'_>, words: &Range<usize>) -> Standing {
    if is_corrected(speech, words) {
        return Standing::Doubtful(CORRECTED);
    }
    let low = |back: usize| words.start.checked_sub(back).map_or("", |at| speech.low(at));
    let stops = |back: usize| words.start.checked_sub(back).is_none_or(|at| speech.words[at].stop != Stop::None);
    // "a good four millimetres": an article or the like may stand between.
    let skip = usize::from(matches!(low(1), "a" | "an" | "the" | "of" | "at" | "some"));
    for back in 1..=1 + skip {
        if stops(back) {
            break;
        }
        // "It went up to four": that is where it came to.
        let reached = matches!(low(back + 2), "went" | "goes" | "came" | "comes" | "got" | "opened" | "dilated");
        let up_to =
            low(back) == "to" && (low(back + 1) == "up" && !reached || matches!(low(back + 1), "close" | "next"));
        // "And another at one o'clock" is another port.
        let more = matches!(low(back), "another" | "further" | "extra") && low(1) == "at";
        let limit = LIMITS.contains(&low(back)) && !more || up_to;
        if limit {
            return Standing::Doubtful(LOOSE);
        }
        if is_negator(low(back)) {
            return Standing::Doubtful(DENIED);
        }
        if ESTIMATES.contains(&low(back)) {
            return if is_negator(low(back + 1)) { Standing::Doubtful(DENIED) } else { Standing::About };
        }
    }
    if BEHIND.iter().any(|phrase| speech.says(words.end, phrase)) {
        return Standing::Doubtful(LOOSE);
    }
    Standing::Exact
}

/// Whether a word denies.
pub(super) fn is_negator(low: &str) -> bool {
    const NEGATORS: &[&str] =
        &["no", "not", "never", "without", "nor", "neither", "none", "cannot", "didnt", "dont", "wasnt"];
    NEGATORS.contains(&low) || low.ends_with("n't")
}

/// Words of what was planned, is usual, or stood ready, and not of what was done.
const SUPPOSED_WORDS: &[&str] = &[
    "plan",
    "plans",
    "planned",
    "planning",
    "spare",
    "would",
    "could",
    "should",
    "might",
    "may",
    "backup",
    "intended",
    "intend",
    "wanted",
    "want",
    "ordered",
    "asked for",
    "biometry",
    "formula",
    "calculated",
    "usually",
    "normally",
    "normal",
    "generally",
    "typically",
    "often",
    "sometimes",
    "if",
    "instead of",
    "rather than",
    "ideally",
    "ideal",
    "if only",
    "i'd",
    "we'd",
    "you'd",
    "recommend",
    "recommended",
    "suggested",
    "others",
    "some people",
    "people",
    "patients",
    "in case",
    "prepared",
    "ready",
    "standby",
    "by default",
    "default",
    "unless",
    "suppose",
    "imagine",
    "wish",
    "hoped",
    "hope",
    "aimed",
    "supposed",
    "label",
    "sticker",
    "box",
    "wrong",
    "maximum",
    "allowed",
    "limit",
    "you can",
    "you need",
    "you use",
    "you give",
    "previous",
    "previously",
    "last time",
    "last year",
    "other eye",
    "fellow eye",
    "first eye",
    "ago",
    "elsewhere",
    "yesterday",
    "forgot",
    "forgotten",
    "almost",
];

/// Whether what stands in the clause of some words may be planned, usual, supposed or of another time.
pub(super) fn is_supposed(speech: &Speech<'_>, words: &Range<usize>) -> bool {
    let clause = super::stance::clause_of(speech, words);
    let sentence = &speech.sentences[speech.sentence_of(words.start)].words;
    let before = sentence.start.max(words.start.saturating_sub(10))..words.start;
    speech.any(&clause, SUPPOSED_WORDS) || super::stance::is_of_another(speech, &before)
}
