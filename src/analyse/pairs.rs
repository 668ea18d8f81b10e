//! Cases to read against each other: chosen by their authors, and by computation where two eyes were alike before surgery and
//! something went another way.
//!
//! Contrasting cases teach best when the principle comes after the comparison (Alfieri, Nokes-Malach and Schunn 2013,
//! Educational Psychologist 48:87, a meta-analysis of 57 experiments): a page sets both operations side by side, asks, and only
//! then tells.

use super::alone::Alone;
use super::occurrences::Found;
use super::related::{Raw, nearest};
use crate::model::analysis::{Beside, ChosenBy, Pair, Relation};
use crate::model::case::{Case, Meant};
use crate::model::corpus::Corpus;
use crate::model::gist::Gist;
use crate::model::session::What;
use crate::model::vocabulary::{ConceptId, Vocabulary};
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// How alike two eyes have to be before surgery to be set against each other without an author. A cosine; chosen on the demo
/// library so that every pair shares what a surgeon would name first.
const ALIKE: f64 = 0.5;
/// Neighbours among which a contrast is looked for.
const NEIGHBOURS: usize = 12;
/// Steps whose techniques have a wider one in common stand beside each other too; the same technique counts more.
const SAME: u32 = 3;
/// See [`SAME`].
const KIN: u32 = 2;

/// Every pair of a corpus, each once.
pub(super) fn of_corpus(corpus: &Corpus, alone: &[Arc<Alone>]) -> Vec<Pair> {
    let cases = corpus.cases();
    let place = |name: &str| cases.binary_search_by(|cleared| cleared.name.as_str().cmp(name)).ok();
    let mut chosen: BTreeMap<(usize, usize), Vec<(usize, usize)>> = BTreeMap::new();
    let mut sessions: BTreeSet<(usize, usize)> = BTreeSet::new();
    for (case, alone) in alone.iter().enumerate() {
        for (at, contrast) in alone.contrasts.iter().enumerate() {
            if let Some(other) = place(contrast).filter(|other| *other != case) {
                chosen.entry((case.min(other), case.max(other))).or_default().push((case, at));
            }
        }
    }
    for session in &corpus.library().sessions {
        for part in &session.parts {
            if let What::Pair(one, other) = &part.what
                && let (Some(one), Some(other)) = (place(&one.value), place(&other.value))
            {
                sessions.insert((one.min(other), one.max(other)));
            }
        }
    }
    let before: Vec<&Raw> = alone.iter().map(|case| &case.raw_before).collect();
    let near = nearest(&before, corpus.vocabulary().len(), NEIGHBOURS);
    let contrast = |case: usize| {
        near[case]
            .iter()
            .find(|(other, alike)| *alike >= ALIKE && parts_them(&alone[case].gist, &alone[*other].gist))
            .map(|(other, _)| *other)
    };
    let best: Vec<Option<usize>> = (0..cases.len()).into_par_iter().map(contrast).collect();
    for (case, other) in best.iter().enumerate() {
        // Both would choose each other: the pages stay few, and neither case is a foil for many.
        if let Some(other) = other.filter(|&other| case < other && best[other] == Some(case)) {
            chosen.entry((case, other)).or_default();
        }
    }
    for &pair in &sessions {
        chosen.entry(pair).or_default();
    }
    let pairs: Vec<_> = chosen.into_iter().collect();
    let pair = |((one, other), principles): ((usize, usize), Vec<(usize, usize)>)| {
        let (first, second) = (&*alone[one].gist, &*alone[other].gist);
        let rows = align(&first.steps, &second.steps, corpus.vocabulary());
        let by = if !principles.is_empty() {
            ChosenBy::Author
        } else if sessions.contains(&(one, other)) {
            ChosenBy::Session
        } else {
            ChosenBy::Likeness
        };
        Pair { one, other, principles, by, differ: differ(first, second), rows }
    };
    pairs.into_par_iter().map(pair).collect()
}

/// For each case its pairs, those of authors first.
pub(crate) fn by_case(pairs: &[Pair], cases: usize) -> Vec<Vec<usize>> {
    let mut of = vec![Vec::new(); cases];
    for (at, pair) in pairs.iter().enumerate() {
        of[pair.one].push(at);
        of[pair.other].push(at);
    }
    for list in &mut of {
        list.sort_by_key(|&at| pairs[at].by);
    }
    of
}

/// What was known of a case before the first cut, and what was planned.
pub(super) fn before_surgery(case: &Case) -> Found {
    let mut found = Found::new();
    let mut add = |term: &Meant, relation| {
        found.entry(term.value).or_default().insert(relation);
    };
    case.findings.iter().for_each(|finding| add(&finding.is, Relation::Present));
    let plan = &case.planned;
    [&plan.procedure].into_iter().chain(&plan.with).chain(&plan.combined).for_each(|it| add(it, Relation::Planned));
    found
}

fn wrong(case: &Gist) -> BTreeSet<ConceptId> {
    case.troubles.iter().map(|it| it.is).collect()
}

fn answers(case: &Gist) -> BTreeSet<ConceptId> {
    case.troubles.iter().flat_map(|it| &it.managed).map(|(does, _)| *does).collect()
}

fn endings(case: &Gist) -> BTreeSet<ConceptId> {
    case.ended.iter().copied().collect()
}

/// Whether something happened in one and not in the other.
fn parts_them(one: &Gist, other: &Gist) -> bool {
    wrong(one) != wrong(other) || answers(one) != answers(other)
}

/// How two cases differ, in words that tell of neither what it was.
fn differ(one: &Gist, other: &Gist) -> Vec<&'static str> {
    let mut words = Vec::new();
    if one.procedure != other.procedure {
        words.push("another plan");
    }
    let (here, there) = (wrong(one), wrong(other));
    if here.is_empty() != there.is_empty() {
        words.push("one went without a complication");
    } else if here.is_disjoint(&there) && !here.is_empty() {
        words.push("something else went wrong");
    } else if here != there {
        words.push("more went wrong in one");
    }
    if !here.is_disjoint(&there) && answers(one) != answers(other) {
        words.push("the same trouble was answered otherwise");
    }
    if endings(one).is_disjoint(&endings(other)) && !endings(one).is_empty() && !endings(other).is_empty() {
        words.push("another ending");
    }
    words
}

/// Two operations, each as [`Gist::steps`], step beside step, in order: the pairing that puts most like steps beside each other (Needleman and Wunsch 1970,
/// J Mol Biol 48:443, with gaps that cost nothing). Of equal ways the one that pairs earlier steps is taken.
pub fn align(one: &[(ConceptId, bool)], other: &[(ConceptId, bool)], vocabulary: &Vocabulary) -> Vec<Beside> {
    let above = |steps: &[(ConceptId, bool)]| -> Vec<&[ConceptId]> {
        steps.iter().map(|(does, _)| vocabulary.upwards(*does)).collect()
    };
    let (above_one, above_other) = (above(one), above(other));
    let worth = |at: usize, beside: usize| {
        if one[at].0 == other[beside].0 {
            SAME
        } else if above_one[at].iter().any(|wider| above_other[beside].contains(wider)) {
            KIN
        } else {
            0
        }
    };
    // `best[a][b]`: what the steps from a and from b on can reach together.
    let mut best = vec![vec![0_u32; other.len() + 1]; one.len() + 1];
    for a in (0..one.len()).rev() {
        for b in (0..other.len()).rev() {
            let gap = best[a + 1][b].max(best[a][b + 1]);
            let beside = worth(a, b);
            best[a][b] = if beside > 0 { gap.max(beside + best[a + 1][b + 1]) } else { gap };
        }
    }
    let (mut a, mut b) = (0, 0);
    let mut rows = Vec::new();
    while a < one.len() || b < other.len() {
        let paired = a < one.len() && b < other.len() && {
            let beside = worth(a, b);
            beside > 0 && best[a][b] == beside + best[a + 1][b + 1]
        };
        if paired {
            rows.push(Beside { one: Some(a), other: Some(b), same: worth(a, b) == SAME });
            (a, b) = (a + 1, b + 1);
        } else if b >= other.len() || a < one.len() && best[a][b] == best[a + 1][b] {
            rows.push(Beside { one: Some(a), other: None, same: false });
            a += 1;
        } else {
            rows.push(Beside { one: None, other: Some(b), same: false });
            b += 1;
        }
    }
    rows
}
