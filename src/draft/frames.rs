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
/// Most roots of a name.
const MOST: usize = 3;
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

/// The number of a root; of one that no name has, none.
pub(super) type Root = Option<usize>;

/// Names by the roots of their words.
#[derive(Debug, Default)]
pub(super) struct Frames {
    /// Every root that a name has, with its number.
    numbers: BTreeMap<String, usize>,
    /// The numbers of each name's roots, and what it means.
    names: Vec<(Vec<usize>, ConceptId)>,
    /// The places of names that have two roots, whichever comes first: of thousands of names few have two that stand close
    /// together.
    by_two: BTreeMap<(usize, usize), Vec<usize>>,
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
        if !(2..=MOST).contains(&roots.len())
            || roots.iter().any(|root| root.len() < 3 || COMMON.contains(&root.as_str()))
        {
            return;
        }
        let mut numbers: Vec<usize> = Vec::new();
        for root in roots {
            let fresh = self.numbers.len();
            numbers.push(*self.numbers.entry(root).or_insert(fresh));
        }
        let name = (numbers, id);
        let [one, other, ..] = name.0[..] else { return };
        if self.by_two.get(&(one, other)).into_iter().flatten().any(|&at| self.names[at] == name) {
            return;
        }
        for &one in &name.0 {
            for &other in name.0.iter().filter(|other| **other != one) {
                self.by_two.entry((one, other)).or_default().push(self.names.len());
            }
        }
        self.names.push(name);
    }

    /// The root of every word of a narration.
    pub(super) fn roots(&self, speech: &Speech<'_>) -> Vec<Root> {
        speech.words.iter().map(|word| self.numbers.get(&root(&word.key)).copied()).collect()
    }

    /// The names whose words stand from here on, of those with most words, and where they end.
    pub(super) fn from(
        &self,
        speech: &Speech<'_>,
        roots: &[Root],
        at: usize,
    ) -> Option<(Range<usize>, Vec<ConceptId>)> {
        let first = roots[at]?;
        let parts = |next: usize| speech.words[next - 1].stop != Stop::None || PARTS.contains(&speech.low(next));
        let near = (at + 1..roots.len().min(at + BETWEEN + MOST)).take_while(|&next| !parts(next));
        let near: Vec<Root> = near.map(|next| roots[next]).collect();
        let may: BTreeSet<usize> =
            near.iter().flatten().filter_map(|next| self.by_two.get(&(first, *next))).flatten().copied().collect();
        let mut best: Option<(usize, Range<usize>, Vec<ConceptId>)> = None;
        for (frame, id) in may.into_iter().map(|place| &self.names[place]) {
            let mut left: Vec<usize> = frame.iter().copied().filter(|it| *it != first).collect();
            let mut end = at + 1;
            for (next, root) in (at + 1..).zip(&near).take(BETWEEN + frame.len() - 1) {
                if let Some(place) = left.iter().position(|it| Some(*it) == *root) {
                    left.remove(place);
                    end = next + 1;
                }
                if left.is_empty() {
                    break;
                }
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
