//! Whether what is spoken of is so: denied, considered, usual, of another eye, asked, or a rule for others.

use super::doubt::is_negator;
use super::others::{ELSEWHERE, OTHER_PEOPLE};
use super::phrases::{
    CONSIDERED, DENIES_THROUGH, NOTED, OMITTED, OMITTED_BEHIND, PLANS, PUT_BACK, SOFT, STOOD_READY, TAKES_BACK,
    TANGLED, USUAL,
};
use super::questions::{Question, begins_rule};
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
    /// It belongs to other people, or to people in general.
    Others,
    /// It may be denied or not, or taken back: neither so nor not so.
    Unsure,
    /// It is part of a rule for others.
    Rule,
}

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

/// How the narrator stands to the words of a mention; `known` tells whether a word belongs to any mention, and `trouble`
/// whether the mention may be something that went wrong: of that more is asked before it is so.
pub(super) fn stance(
    speech: &Speech<'_>,
    words: &Range<usize>,
    trouble: bool,
    questions: &[Question],
    rules: &[bool],
    known: &dyn Fn(usize) -> bool,
) -> Stance {
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
    if let Some(denied) = denied(speech, words, &Sentence { words: start..sentence.words.end, asks: false }, known) {
        return denied;
    }
    // "What would you be afraid of? A haemorrhage."
    let answers = number.checked_sub(1).is_some_and(|before| {
        let before = &speech.sentences[before];
        const FEARS: &[&str] = &[
            "would",
            "could",
            "might",
            "should",
            "may",
            "afraid",
            "frightened",
            "scared",
            "worry",
            "worried",
            "fear",
            "expect",
        ];
        before.asks
            && speech.any(&before.words, FEARS)
            && questions.iter().any(|question| question.words.end == before.words.end)
    });
    // "Could I have chopped it? No. The chopper goes straight through": the reason of the No.
    let reason = number.checked_sub(2).is_some_and(|asked| {
        let no = &speech.sentences[number - 1].words;
        no.len() == 1
            && speech.low(no.start) == "no"
            && speech.sentences[asked].asks
            && speech.any(&speech.sentences[asked].words, &["could", "would", "should", "might"])
    });
    if reason || answers && sentence.words.len() <= 4 {
        return Stance::Considered;
    }
    let clause = clause(speech, words, sentence);
    let clause = clause.start.max(start)..clause.end;
    if others(speech, &(start..sentence.words.end), words.start) {
        return Stance::Others;
    }
    // "I had one that went to the retina. Ask me over coffee. That was a dropped nucleus."
    let told_before =
        || speech.sentences[number.saturating_sub(3)..number].iter().any(|it| others(speech, &it.words, it.words.end));
    if trouble && speech.says(sentence.words.start, "that was") && told_before() {
        return Stance::Others;
    }
    // "The note says routine phaco, lens in the bag": all that follows stands in the note.
    if speech.any(&clause, ELSEWHERE) || speech.any(&(start..words.start), NOTED) {
        return Stance::Elsewhere;
    }
    let turn = |at: &usize| matches!(speech.low(*at), "but" | "however" | "now" | "suddenly");
    let before = if trouble {
        let from = start.max(words.start.saturating_sub(14));
        (from..words.start).rev().find(turn).unwrap_or(from)..words.start
    } else {
        clause.start..words.start
    };
    let own = own_turn(speech, before.start.saturating_add(2)..words.start);
    let before = own.unwrap_or(before.start)..before.end;
    // "A rupture would be a disaster", "chopping it would be like chopping blancmange".
    let verb = words.end + usize::from(matches!(speech.low(words.end), "it" | "them" | "this" | "that"));
    let modal = verb < sentence.words.end
        && matches!(speech.low(verb), "would" | "could" | "might" | "should" | "may" | "can" | "must");
    // "I had the ring out for it but I left it in its box": behind the turn of the sentence too.
    if speech.any(&(words.end..sentence.words.end.min(words.end + 14)), PUT_BACK) {
        return Stance::Considered;
    }
    // "For a multifocal also I would do the same".
    let would = ["i would", "we would", "you would", "i'd", "we'd"];
    if speech.any(&(words.end..clause.end.min(words.end + 4)), &would) {
        return Stance::Considered;
    }
    // "The coaxial through that wound would just drag the iris".
    let behind = words.end..clause.end.min(words.end + 5);
    let turned = |at: usize| SUBJECTS.contains(&speech.low(at)) || known(at);
    let would = behind.clone().find(|&at| speech.low(at) == "would");
    if would.is_some_and(|would| !(behind.start..would).any(turned)) {
        return Stance::Considered;
    }
    // "There was a three-piece on the trolley in case." The name may have swallowed a word: "a tension ring in mind".
    if speech.any(&(words.end - 1..clause.end), STOOD_READY) {
        return Stance::Considered;
    }
    let recipe = || speech.any(&(words.end..sentence.words.end), &["is a recipe", "are a recipe", "recipe for"]);
    let named = trouble
        && (["is what", "was what", "is the thing", "is my"].iter().any(|it| speech.says(words.end, it)) || recipe());
    if (modal || named) && speech.words[words.end - 1].stop == Stop::None {
        return Stance::Considered;
    }
    // "Had the zonules gone, I would have…"
    let inverted = matches!(speech.low(sentence.words.start), "had" | "were" | "should");
    // "Nearly four o'clock and we make the incision": these two reach no further than their own words.
    let close = before.start.max(words.start.saturating_sub(4))..words.start;
    let back = |most: usize| start.max(words.start.saturating_sub(most))..words.start;
    if speech.any(&before, CONSIDERED)
        // "The mannitol was on the table, and so was a tap with the cutter."
        || speech.any(&back(10), &["so was a", "so was the", "so were the"])
        || speech.any(&back(14), PLANS)
        || trouble && speech.any(&before, &["when the", "when"])
        || speech.any(&close, &["almost", "nearly"])
        || inverted
    {
        return Stance::Considered;
    }
    if speech.any(&before, USUAL) {
        return Stance::Usual;
    }
    Stance::So
}

/// Whether something that went wrong is plainly told: nothing in its sentence supposes, fears, likens or generalises it.
pub(super) fn is_plain(speech: &Speech<'_>, words: &Range<usize>) -> bool {
    let sentence = &speech.sentences[speech.sentence_of(words.start)].words;
    let near = sentence.start.max(words.start.saturating_sub(12))..sentence.end.min(words.end + 6);
    !speech.any(&near, SOFT)
}

/// The part of a sentence that is a rule; the whole of it unless it begins behind what was done.
fn rule_part(speech: &Speech<'_>, sentence: &Sentence, is_rule: bool) -> Option<Range<usize>> {
    if is_rule {
        return Some(sentence.words.clone());
    }
    let start = sentence.words.clone().find(|&at| begins_rule(speech, at))?;
    Some(start..sentence.words.end)
}

/// The clause that holds some words: up to the next stop, or to a word that begins something new.
pub(super) fn clause_of(speech: &Speech<'_>, words: &Range<usize>) -> Range<usize> {
    let number = speech.sentence_of(words.start);
    speech.sentences.get(number).map_or(words.clone(), |sentence| clause(speech, words, sentence))
}

/// Whether some words speak of another eye, another person or another time.
pub(super) fn is_of_another(speech: &Speech<'_>, words: &Range<usize>) -> bool {
    speech.any(words, ELSEWHERE) || others(speech, words, words.end)
}

/// Whether some words speak of other people; what the narrator goes on to say of himself before a word of theirs is his own.
fn others(speech: &Speech<'_>, words: &Range<usize>, at: usize) -> bool {
    let named = |at: usize| {
        let phrase = OTHER_PEOPLE.iter().find(|phrase| speech.says(at, phrase));
        // "She is one of our uveitis patients" is she.
        let one = phrase.is_some_and(|phrase| *phrase == "patients")
            && speech.any(&(words.start.max(at.saturating_sub(5))..at), &["one of our", "one of my", "one of the"]);
        phrase.filter(|_| !one)
    };
    words.clone().any(|it| {
        let whole = named(it).is_some_and(|phrase| it + phrase.split(' ').count() <= words.end);
        whole && own_turn(speech, it + 2..at).is_none()
    })
}

/// Where, in speech without stops, the narrator comes to what he did himself: "my old boss would give one drug here I gave another".
fn own_turn(speech: &Speech<'_>, words: Range<usize>) -> Option<usize> {
    words.rev().find(|&it| {
        matches!(speech.low(it), "i" | "we")
            && matches!(speech.low(it + 1), "gave" | "put" | "used" | "took" | "made" | "did" | "chose")
            && it > 0
            && !matches!(speech.low(it - 1), "as" | "than" | "that" | "if" | "what" | "which" | "when" | "wish")
            // "When I was a junior we used the fish hook."
            && !speech.any(&(it.saturating_sub(9)..it), &["when i was", "back then", "in those days", "in former times"])
    })
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

/// "There is the tap through the pars plana. I did it twice in my life. Today it was not necessary."
fn was_not_needed(speech: &Speech<'_>, number: usize, known: &dyn Fn(usize) -> bool) -> bool {
    const NOT_NEEDED: &[&str] =
        &["not necessary", "not needed", "wasn't necessary", "wasn't needed", "did not need it", "didn't need it"];
    for next in speech.sentences.iter().skip(number + 1).take(2) {
        // What is named between is what was not needed.
        if next.asks || next.words.clone().any(known) {
            return false;
        }
        if next.words.len() <= 7 && speech.any(&next.words, NOT_NEEDED) {
            return true;
        }
    }
    false
}

/// Whether the words are denied before or after: plainly, or in a way that leaves open what is so.
fn denied(
    speech: &Speech<'_>,
    words: &Range<usize>,
    sentence: &Sentence,
    known: &dyn Fn(usize) -> bool,
) -> Option<Stance> {
    let first = sentence.words.start.max(words.start.saturating_sub(REACH));
    let mut at = words.start;
    while at > first {
        at -= 1;
        let low = speech.low(at);
        let stop = speech.words[at].stop;
        if OMITTED.iter().any(|phrase| speech.says(at, phrase)) && stop == Stop::None {
            // "Hydrodissection was left out, chop": that was about what stands before it.
            if at > first && matches!(speech.low(at - 1), "was" | "is" | "were" | "been") {
                break;
            }
            return Some(Stance::Unsure);
        }
        if is_negator(low) {
            let answer = low == "no" && (stop != Stop::None || ANSWERS.contains(&speech.low(at + 1)));
            if answer {
                break;
            }
            let twice = (first.max(at.saturating_sub(3))..at).any(|at| is_negator(speech.low(at)))
                && !(at.saturating_sub(3)..at).any(known);
            let tangled = TANGLED.iter().any(|phrase| speech.says(at, phrase)) || twice;
            let through = |at: usize| known(at) || DENIES_THROUGH.contains(&speech.low(at));
            let plain = !tangled && (at + 1..words.start).all(through);
            return Some(if plain { Stance::Denied } else { Stance::Unsure });
        }
        // "No diabetes, trauma or uveitis": a list goes on over its commas.
        let goes_on = stop == Stop::Comma
            && words.start - at <= 6
            && (at..words.start).all(|at| known(at) || matches!(speech.low(at), "or" | "nor" | "no" | "any" | "and"));
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
        // "I don't call it glaucoma", "you do not push it back with a spatula": it is no new subject.
        const VERBS: &[&str] =
            &["call", "calling", "called", "make", "push", "shove", "pull", "put", "take", "use", "leave", "do"];
        let object = low == "it" && VERBS.contains(&speech.low(at.wrapping_sub(1)));
        if SUBJECTS.contains(&low) && !object {
            break;
        }
    }
    denied_after(speech, words, sentence, known)
}

/// `… none`, `… was not`, `… no i did not`, `… no sorry cohesive`, and a sentence behind it that takes it back.
fn denied_after(
    speech: &Speech<'_>,
    words: &Range<usize>,
    sentence: &Sentence,
    known: &dyn Fn(usize) -> bool,
) -> Option<Stance> {
    let at = words.end;
    if at < sentence.words.end {
        if speech.words[at - 1].stop == Stop::None {
            for phrase in [
                "was not",
                "is not",
                "are not",
                "were not",
                "has not",
                "did not",
                "does not",
                "wasn't",
                "isn't",
                "hasn't",
                "didn't",
                "doesn't",
                "has never",
                "have never",
                "had never",
                "is never",
                "was never",
                "will never",
                "weren't",
                "aren't",
                "never",
            ] {
                if speech.says(at, phrase) {
                    return Some(Stance::Denied);
                }
            }
        }
        // "And burped nothing." Not "pseudoexfoliation, nothing else".
        let nothing = speech.low(at) == "nothing"
            && !matches!(speech.low(at + 1), "else" | "more" | "other" | "to" | "of" | "wrong" | "fancy" | "special");
        if nothing && speech.words[at - 1].stop == Stop::None {
            return Some(Stance::Unsure);
        }
        let within = |at: usize, phrase: &str| at + phrase.split(' ').count() <= sentence.words.end;
        let end = sentence.words.end.min(at + 4);
        for at in at..end {
            // What stands behind another mention is about that one.
            if known(at) {
                break;
            }
            if ["no i did not", "no i didn't", "none", "no i do not"]
                .iter()
                .any(|it| speech.says(at, it) && within(at, it))
            {
                return Some(Stance::Denied);
            }
            if OMITTED_BEHIND.iter().any(|it| speech.says(at, it) && within(at, it)) {
                return Some(Stance::Unsure);
            }
        }
        // Right behind it somebody corrects himself: "dispersive, no, sorry, cohesive".
        if (at..sentence.words.end.min(at + 2)).any(|at| super::doubt::correction(speech, at).is_some()) {
            return Some(Stance::Unsure);
        }
        // "A reverse hook from outside, no, sorry".
        if speech.any(&(at..sentence.words.end.min(at + 5)), &["no sorry"]) {
            return Some(Stance::Unsure);
        }
        let rest = at..sentence.words.end;
        if speech.any(
            &rest,
            &[
                "but it was just",
                "but it was only",
                "but it's only",
                "but it is only",
                "but that was only",
                "but it is not",
                "but it isn't",
                "but it was not",
                "but it wasn't",
                "i said no",
                "but no",
            ],
        ) {
            return Some(Stance::Unsure);
        }
    }
    if was_not_needed(speech, speech.sentence_of(words.start), known) {
        return Some(Stance::Unsure);
    }
    // Long sentences are of words without stops: what follows them speaks of something else.
    let near = sentence.words.end - words.end <= 8 && sentence.words.len() <= 20;
    let number = speech.sentence_of(words.start) + 1;
    let next = speech.sentences.get(number).filter(|next| near && !next.asks)?;
    let from = next.words.start;
    let begins = TAKES_BACK.iter().any(|phrase| {
        speech.says(from, phrase) && (next.words.len() <= 3 || phrase.split(' ').count() >= 3 || *phrase == "no")
    });
    // "He takes apixaban. We did not stop it."
    let begins = begins && !speech.any(&next.words, &["stop", "stopped", "change", "changed", "alter", "mind"]);
    // "No leak" behind it denies something of its own; "no" alone, or with `it`, takes back.
    let own = matches!(speech.low(from), "no" | "not" | "none" | "never")
        && next.words.len() > 1
        && speech.words[from].stop == Stop::None
        && !matches!(
            speech.low(from + 1),
            "here" | "today" | "this" | "so" | "at" | "in" | "yet" | "it" | "that" | "there"
        );
    // "I did not polish the capsule" denies something else, unless it is the same by name.
    let roots = |words: &Range<usize>| -> Vec<String> {
        let letters = |at: usize| speech.low(at).chars().take(5).collect::<String>();
        words.clone().map(letters).filter(|root| root.chars().count() == 5).collect()
    };
    let mine = roots(words);
    let other = next.words.clone().any(known) && !roots(&next.words).iter().any(|root| mine.contains(root));
    (begins && !own && !other).then_some(Stance::Unsure)
}
