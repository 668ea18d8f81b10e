//! What is done, in other words than its name: `nucleus rotation` is heard in `the nucleus is rotating freely`, `capsule
//! polishing` in `I polished the posterior capsule`. The words of a name are looked for by their roots, in any order, close
//! together and with no stop between them. Such a find is a guess: the author compares it with the film.

use super::words::{Speech, Stop, keys};
use crate::model::vocabulary::ConceptId;
use crate::text::analyser::stem;
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

/// Most words that may stand between the words of a name.
const BETWEEN: usize = 4;
/// Words of a name that carry no meaning of their own.
const SMALL: &[&str] = &["of", "the", "a", "to", "in", "for", "with", "and", "by", "through", "into"];
/// Roots that stand for one another in such names. Common practice of the trade, no source.
const SAME: &[(&str, &str)] = &[
    ("visco", "viscoelast"),
    ("ovd", "viscoelast"),
    ("implant", "lens"),
    ("turn", "rotat"),
    ("closur", "close"),
    ("deliveri", "deliv"),
    ("wash", "remov"),
    ("sutur", "stitch"),
    ("stain", "dye"),
    ("fibrot", "fibrosi"),
    ("fibros", "fibrosi"),
    ("corneal", "cornea"),
    ("zonular", "zonul"),
    ("capsular", "capsul"),
    ("pupillari", "pupil"),
];
/// Roots of so little meaning that with one of them a name is no name: `only eye`.
const COMMON: &[&str] = &["onli", "eye", "patient", "support", "deepen"];
/// Words that part what stands before them from what stands behind.
const PARTS: &[&str] =
    &["and", "but", "so", "then", "because", "if", "when", "or", "while", "until", "before", "after"];

/// Names by the roots of their words.
#[derive(Debug, Default)]
pub(super) struct Frames {
    /// Every frame that has a root.
    by_root: BTreeMap<String, Vec<(Vec<String>, ConceptId)>>,
}

/// The root of a folded word.
fn root(key: &str) -> String {
    let stem = stem(key);
    SAME.iter().find(|(from, _)| *from == stem).map_or(stem, |(_, to)| (*to).to_owned())
}

impl Frames {
    /// Takes in a name of something that is done.
    pub(super) fn add(&mut self, term: &str, id: ConceptId) {
        let roots: BTreeSet<String> =
            keys(term).iter().filter(|key| !SMALL.contains(&key.as_str())).map(|key| root(key)).collect();
        if !(2..=3).contains(&roots.len()) || roots.iter().any(|root| root.len() < 3 || COMMON.contains(&root.as_str()))
        {
            return;
        }
        let roots: Vec<String> = roots.into_iter().collect();
        for one in &roots {
            let list = self.by_root.entry(one.clone()).or_default();
            if !list.iter().any(|(known, of)| *known == roots && *of == id) {
                list.push((roots.clone(), id));
            }
        }
    }

    /// The names whose words stand from here on, of those with most words, and where they end.
    pub(super) fn from(
        &self,
        speech: &Speech<'_>,
        roots: &[String],
        at: usize,
    ) -> Option<(Range<usize>, Vec<ConceptId>)> {
        let mut best: Option<(usize, Range<usize>, Vec<ConceptId>)> = None;
        for (frame, id) in self.by_root.get(&roots[at])? {
            let mut left: Vec<&String> = frame.iter().filter(|it| **it != roots[at]).collect();
            let mut end = at + 1;
            let mut next = at + 1;
            while !left.is_empty() && next < roots.len() && next - at < BETWEEN + frame.len() {
                if speech.words[next - 1].stop != Stop::None || PARTS.contains(&speech.low(next)) {
                    break;
                }
                if let Some(place) = left.iter().position(|it| **it == roots[next]) {
                    left.remove(place);
                    end = next + 1;
                }
                next += 1;
            }
            if !left.is_empty() {
                continue;
            }
            let found = at..end;
            match &mut best {
                Some((many, words, ids)) if *many == frame.len() && *words == found => ids.push(*id),
                Some((many, words, _)) if *many > frame.len() || *many == frame.len() && words.end <= end => {}
                _ => best = Some((frame.len(), found, vec![*id])),
            }
        }
        best.map(|(_, words, ids)| (words, ids))
    }
}

/// The root of every word of a narration.
pub(super) fn roots(speech: &Speech<'_>) -> Vec<String> {
    speech.words.iter().map(|word| root(&word.key)).collect()
}
