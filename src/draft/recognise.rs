//! Finds what is spoken of: terms and sayings, over broken and joined words, and mishearings by their sound.

use super::frames::Root;
use super::lexicon::{Lexicon, letters, may_be_misheard};
use super::words::{Speech, Stop, Word};
use crate::model::vocabulary::{ConceptId, Kind};
use std::ops::Range;

/// Most words that one misheard or broken term may have become.
const BROKEN: usize = 5;
/// Most words into which a term may be broken whose letters are all there.
const JOINED: usize = 7;
/// Least likeness of a mishearing, 0 to 1, where nothing else speaks for it. Judged on the narrations that were not held back.
const LIKE: f64 = 0.80;
/// Least likeness where what was misheard is made of everyday words alone.
const LIKE_PLAIN: f64 = 0.93;
/// What fitting in here adds to the likeness: kind and time of the operation, or a neighbouring word of the same field.
const FITS: f64 = 0.04;
/// How much better a run must be for the little word at its end.
const SWALLOWS: f64 = 0.05;
/// Shortest misheard term, in letters.
const SHORTEST: usize = 5;
/// Longest run of letters that is compared with terms.
const LONGEST: usize = 40;
/// Likeness from which on a word that cannot be repaired is asked back.
const ALIKE: f64 = 0.72;

/// Where the narration has come to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Phase {
    /// The eye and the plan.
    Before,
    /// From the first step on.
    During,
    /// From the first visit afterwards on.
    After,
}

/// How a concept was found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Found {
    /// By its words, or its letters across broken or joined words.
    Said,
    /// As the library has learnt to mishear it.
    Learnt,
    /// By the roots of its words, in another order or form.
    Framed,
    /// By its sound, with the likeness.
    Repaired(f64),
}

/// Something that was spoken of.
#[derive(Debug, Clone)]
pub(super) struct Mention {
    /// What it may be; the time of the operation decides between kinds.
    pub(super) concepts: Vec<ConceptId>,
    /// The words that say so.
    pub(super) words: Range<usize>,
    /// How it was found.
    pub(super) found: Found,
}

/// A word that sounds like a drug and is not repaired.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Unheard {
    /// The words.
    pub(super) words: Range<usize>,
}

/// Everything spoken of, in order, and what sounds like a drug.
pub(super) fn mentions(speech: &Speech<'_>, lexicon: &Lexicon<'_>) -> (Vec<Mention>, Vec<Unheard>) {
    let mut found = Vec::new();
    let mut at = 0;
    let mut gaps: Vec<Range<usize>> = Vec::new();
    let mut from = 0;
    let roots = lexicon.frames.roots(speech);
    while at < speech.words.len() {
        match said(speech, lexicon, at) {
            Some(mention) => {
                let mention = with_tool(speech, lexicon, &roots, &mention).unwrap_or(mention);
                gaps.push(from..at);
                at = mention.words.end;
                from = at;
                // Words that name nothing, though some of them would: `in one piece`.
                if !mention.concepts.is_empty() {
                    nested(speech, lexicon, &mention, &mut found);
                    found.push(mention);
                }
            }
            None => match before_tool(speech, lexicon, &roots, at) {
                Some(mention) => {
                    gaps.push(from..at);
                    at = mention.words.end;
                    from = at;
                    nested(speech, lexicon, &mention, &mut found);
                    found.push(mention);
                }
                None => at += 1,
            },
        }
    }
    gaps.push(from..speech.words.len());
    let gaps = framed(speech, lexicon, &roots, gaps, &mut found);
    let mut unheard = Vec::new();
    let mut repaired = Vec::new();
    for gap in gaps {
        repair(speech, lexicon, gap, &found, &mut repaired, &mut unheard);
    }
    for mention in repaired {
        nested(speech, lexicon, &mention, &mut found);
        found.push(mention);
    }
    forceps(speech, lexicon, &mut found);
    found.sort_by_key(|mention| mention.words.start);
    (found, unheard)
}

/// "Rhexis with the forceps": a forceps without a name, in a sentence about opening the capsule, is that for the capsule.
fn forceps(speech: &Speech<'_>, lexicon: &Lexicon<'_>, found: &mut Vec<Mention>) {
    let Some(tool) = lexicon.vocabulary.by_name("capsule-forceps") else { return };
    let opens = |it: &Mention| it.concepts.iter().any(|id| lexicon.is_under(*id, "anterior-capsulotomy"));
    let sentences: Vec<usize> =
        found.iter().filter(|it| opens(it)).map(|it| speech.sentence_of(it.words.start)).collect();
    let mut more = Vec::new();
    for at in 0..speech.words.len() {
        let bare = speech.low(at) == "forceps"
            && at > 0
            && matches!(speech.low(at - 1), "the" | "with" | "then" | "my" | "a")
            && !found.iter().any(|it| it.words.contains(&at));
        if bare && sentences.contains(&speech.sentence_of(at)) {
            more.push(Mention { concepts: vec![tool], words: at..at + 1, found: Found::Framed });
        }
    }
    found.append(&mut more);
}

/// What is told by the roots of its name between two things that were said by name; the gaps that are left.
fn framed(
    speech: &Speech<'_>,
    lexicon: &Lexicon<'_>,
    roots: &[Root],
    gaps: Vec<Range<usize>>,
    found: &mut Vec<Mention>,
) -> Vec<Range<usize>> {
    let mut left = Vec::new();
    for gap in gaps {
        let (mut at, mut from) = (gap.start, gap.start);
        while at < gap.end {
            match lexicon.frames.from(speech, roots, at).filter(|(words, _)| words.end <= gap.end) {
                Some((words, concepts)) => {
                    left.push(from..at);
                    at = words.end;
                    from = at;
                    found.push(Mention { concepts, words, found: Found::Framed });
                }
                None => at += 1,
            }
        }
        left.push(from..gap.end);
    }
    left
}

/// Drugs, devices and tools that are named within a saying of another kind: `with the irrigating vectis`.
fn nested(speech: &Speech<'_>, lexicon: &Lexicon<'_>, mention: &Mention, out: &mut Vec<Mention>) {
    let tool = |id: &ConceptId| matches!(lexicon.vocabulary.get(*id).kind, Kind::Material | Kind::Instrument);
    let tools = |ids: &[ConceptId]| ids.iter().copied().filter(|id| tool(id)).collect::<Vec<_>>();
    if mention.concepts.iter().any(tool) {
        if !mention.concepts.iter().all(tool) {
            // One term for the drug and for giving it: both are spoken of.
            out.push(Mention { concepts: tools(&mention.concepts), ..mention.clone() });
        }
        return;
    }
    let mut at = mention.words.start;
    while at < mention.words.end {
        let longest = (at + 1..=mention.words.end).rev().find_map(|end| {
            let keys: Vec<&str> = speech.words[at..end].iter().map(|word| word.key.as_str()).collect();
            let key = keys.join(" ");
            let run: Vec<&str> = speech.words[at..end].iter().map(|word| word.low.as_str()).collect();
            let known = lexicon.exact.get(&key).or_else(|| lexicon.joined.get(&letters(&run)));
            let concepts = tools(known.map_or(&[][..], Vec::as_slice));
            // A thread within the name of a stitch is no thread of its own.
            let thread = concepts.iter().any(|id| lexicon.is_under(*id, "suture"));
            (!concepts.is_empty() && !thread && !lexicon.capitals.contains(&key)).then_some((end, concepts))
        });
        match longest {
            Some((end, concepts)) => {
                out.push(Mention { concepts, words: at..end, found: mention.found });
                at = end;
            }
            None => at += 1,
        }
    }
}

/// Whether a word is a sound of somebody who thinks.
fn is_hesitation(low: &str) -> bool {
    matches!(low, "erm" | "err" | "er" | "um" | "uhm" | "uh" | "hmm" | "hm" | "ah" | "eh" | "mm" | "mhm" | "huh" | "oh")
}

/// How many words from `at` on stand together without a stop, at most `most`.
fn reach(speech: &Speech<'_>, at: usize, most: usize) -> usize {
    let mut length = 0;
    while length < most && at + length < speech.words.len() {
        length += 1;
        if speech.words[at + length - 1].stop != Stop::None {
            break;
        }
    }
    length
}

/// The longest thing said from this word on.
fn said(speech: &Speech<'_>, lexicon: &Lexicon<'_>, at: usize) -> Option<Mention> {
    let mut best: Option<(usize, Mention)> = None;
    let mut take = |concepts: &[ConceptId], length: usize, found: Found| {
        let weight = letters_in(speech, at..at + length);
        if best.as_ref().is_none_or(|(known, _)| weight > *known) {
            best = Some((weight, Mention { concepts: concepts.to_vec(), words: at..at + length, found }));
        }
    };
    let (mut key, mut run) = (String::new(), Vec::new());
    for length in 1..=reach(speech, at, lexicon.longest.max(JOINED)) {
        let word = &speech.words[at + length - 1];
        if length > 1 {
            key.push(' ');
        }
        key.push_str(&word.key);
        run.push(word.low.as_str());
        if let Some(concepts) = lexicon.exact.get(&key) {
            let letters = letters_in(speech, at..at + length);
            // A short form in small letters is one only where it is no word, and no sound of somebody who thinks.
            let short = lexicon.capitals.contains(&key) && !speech.words[at].capitals;
            if !short || letters > 2 && !lexicon.plain.contains(&key) && !is_hesitation(&word.low) {
                take(concepts, length, Found::Said);
            }
        }
        if let Some(concepts) = lexicon.learnt.get(&key) {
            take(concepts, length, Found::Learnt);
        }
        if length <= JOINED
            && let Some(concepts) = lexicon.joined.get(&letters(&run))
        {
            take(concepts, length, Found::Said);
        }
    }
    for saying in lexicon.gapped.get(&speech.words[at].key).into_iter().flatten() {
        let before = saying.before.len();
        let stands = |from: usize, keys: &[String]| {
            keys.iter().zip(from..).all(|(key, at)| speech.words.get(at).is_some_and(|word| word.key == *key))
        };
        if !stands(at, &saying.before) {
            continue;
        }
        let ends = (0..=3).map(|gap| at + before + gap).find(|&from| stands(from, &saying.after));
        if let Some(from) = ends.filter(|&from| from + saying.after.len() - at <= reach(speech, at, 12)) {
            take(&[saying.concept], from + saying.after.len() - at, Found::Said);
        }
    }
    best.map(|(_, mention)| mention)
}

/// A technique that ends with the name of a drug or tool: "removing all the viscoelastic".
fn before_tool(speech: &Speech<'_>, lexicon: &Lexicon<'_>, roots: &[Root], at: usize) -> Option<Mention> {
    let (words, concepts) = lexicon.frames.from(speech, roots, at).filter(|(words, _)| words.len() <= 5)?;
    let kind = |id: &ConceptId| lexicon.vocabulary.get(*id).kind;
    let mut tools = 0;
    for at in words.clone() {
        let Some(within) = said(speech, lexicon, at) else { continue };
        if !within.concepts.iter().all(|id| matches!(kind(id), Kind::Material | Kind::Instrument)) {
            return None;
        }
        tools += 1;
    }
    (tools > 0).then_some(Mention { concepts, words, found: Found::Framed })
}

/// A technique that begins with the name of a drug or tool: "viscoelastic is removed".
fn with_tool(speech: &Speech<'_>, lexicon: &Lexicon<'_>, roots: &[Root], tool: &Mention) -> Option<Mention> {
    let kind = |id: &ConceptId| lexicon.vocabulary.get(*id).kind;
    if !tool.concepts.iter().all(|id| matches!(kind(id), Kind::Material | Kind::Instrument)) {
        return None;
    }
    let (words, concepts) = lexicon.frames.from(speech, roots, tool.words.start)?;
    (words.end > tool.words.end && words.len() <= tool.words.len() + 3).then_some(Mention {
        concepts,
        words,
        found: Found::Framed,
    })
}

fn letters_in(speech: &Speech<'_>, words: Range<usize>) -> usize {
    speech.words[words].iter().map(|word| word.low.len()).sum()
}

/// Mends what was misheard between two things that were said.
fn repair(
    speech: &Speech<'_>,
    lexicon: &Lexicon<'_>,
    gap: Range<usize>,
    said: &[Mention],
    out: &mut Vec<Mention>,
    unheard: &mut Vec<Unheard>,
) {
    let mut at = gap.start;
    while at < gap.end {
        let mut best: Option<(f64, Range<usize>, Vec<ConceptId>)> = None;
        let mut drug: Option<(f64, Range<usize>)> = None;
        for length in 1..=reach(speech, at, BROKEN) {
            let words = at..at + length;
            // What was said exactly is never displaced by what only sounds like something.
            let unknown = |word: &Word| !lexicon.is_word(&word.low, &word.key);
            if words.end > gap.end {
                break;
            }
            let trailing = is_filler(speech.low(words.end - 1));
            if is_filler(speech.low(at)) || trailing && !speech.words[words.clone()].iter().any(unknown) {
                continue;
            }
            if !speech.words[words.clone()].iter().all(|word| may_be_misheard(&word.low)) {
                break;
            }
            let run: Vec<&str> = speech.words[words.clone()].iter().map(|word| word.low.as_str()).collect();
            let letters: String = run.concat().replace('\'', "");
            if letters.len() < SHORTEST || letters.len() > LONGEST {
                continue;
            }
            // What is made of sound words alone was hardly misheard; a single sound word never was.
            let sound =
                |word: &Word| word.low.len() <= 2 || lexicon.is_word(&word.low, &word.key) || is_hesitation(&word.low);
            let plain = speech.words[words.clone()].iter().all(sound);
            if plain {
                continue;
            }
            let found = lexicon.sounds.like(&letters);
            for (likeness, same, id) in found.into_iter().take(4) {
                // Sound words in the wrong places are a mishearing only if they sound the same throughout.
                if plain && !same {
                    continue;
                }
                if lexicon.is_drug(id) {
                    if likeness >= ALIKE && !plain && drug.as_ref().is_none_or(|(known, _)| likeness > *known) {
                        drug = Some((likeness, words.clone()));
                    }
                    continue;
                }
                if !lexicon.may_be_repaired(id) {
                    continue;
                }
                // Without anything here that speaks for it, a likeness of sound is chance unless it is a close one.
                let fits = fits(speech, lexicon, id, &words, said);
                let likeness = likeness + if fits { FITS } else { 0.0 };
                let least = if plain || !fits { LIKE_PLAIN } else { LIKE };
                if plain && !fits {
                    continue;
                }
                // A longer run must be clearly better: it swallows words.
                let margin = best.as_ref().map_or(0.0, |(known, _, _)| *known + if trailing { SWALLOWS } else { 0.0 });
                if likeness >= least && likeness > margin {
                    best = Some((likeness, words.clone(), vec![id]));
                }
            }
        }
        match (best, drug) {
            (Some((likeness, words, concepts)), drug) if drug.as_ref().is_none_or(|(alike, _)| likeness > *alike) => {
                at = words.end;
                out.push(Mention { concepts, words, found: Found::Repaired(likeness.min(1.0)) });
            }
            (_, Some((_, words))) => {
                at = words.end;
                unheard.push(Unheard { words });
            }
            _ => at += 1,
        }
    }
}

/// Words that stand beside a term and are no part of what was misheard.
fn is_filler(low: &str) -> bool {
    const FILLERS: &[&str] = &[
        "a", "an", "the", "so", "with", "has", "have", "that", "this", "and", "of", "for", "is", "was", "some", "more",
        "then", "now", "it", "i", "we", "he", "she", "to", "in", "at", "on", "but", "because", "there", "big", "very",
        "his", "her", "my", "our", "per",
    ];
    FILLERS.contains(&low)
}

/// Whether a concept is at home beside these words: a technique, tool or complication among the steps, a finding at the
/// beginning, or a neighbour that shares a word with it.
fn fits(speech: &Speech<'_>, lexicon: &Lexicon<'_>, id: ConceptId, words: &Range<usize>, said: &[Mention]) -> bool {
    let concept = lexicon.vocabulary.get(id);
    let steps_before = said
        .iter()
        .filter(|mention| mention.words.end <= words.start)
        .filter(|mention| mention.concepts.iter().any(|id| lexicon.vocabulary.get(*id).kind == Kind::Technique))
        .count();
    match concept.kind {
        Kind::Finding => steps_before < 2,
        Kind::Outcome => false,
        Kind::Technique => {
            let known = |needed: &ConceptId| said.iter().any(|mention| mention.concepts.contains(needed));
            steps_before > 0 || concept.needs.iter().any(known)
        }
        Kind::Material | Kind::Instrument | Kind::Complication => {
            let after = speech.words.get(words.end).map_or("", |word| &word.key);
            steps_before > 0 || concept.terms().any(|term| !after.is_empty() && term.contains(after))
        }
    }
}
