//! Ladders: the cases of a concept in the order in which to read them.
//!
//! Reading order (eye difficulty, demand and judgement) comes first, with two corrections. What a technique needs is met on an
//! earlier rung, where the ladder has a case with it; and of cases that lie close together the one that brings most that is
//! new comes next. The first rungs are worked examples, the later ones ask: worked examples serve novices best, and the same
//! help hinders those who know more (expertise reversal; Kalyuga, Ayres, Chandler and Sweller 2003, Educational Psychologist
//! 38:23; from memory).

use super::alone::Alone;
use super::occurrences::Found;
use crate::model::analysis::{Ladder, Occurrence, Relation, Relations, Rung};
use crate::model::case::Case;
use crate::model::vocabulary::{ConceptId, Kind, Vocabulary};
use rayon::prelude::*;
use std::collections::BTreeSet;
use std::sync::Arc;

/// Rungs of a ladder at most: an evening or two. The other cases stand below it.
pub const MOST_RUNGS: usize = 24;
/// How many of the easiest cases left are looked at for the next rung. It keeps long ladders linear.
const LOOKED_AT: usize = 40;
/// Points of the reading order, of 100, within which two cases count as equally hard: the models behind it tell no finer.
const CLOSE: f64 = 3.0;
/// Of a ladder the first third is worked examples, two at most.
const MOST_WORKED: usize = 2;

/// What a case asks a reader to know, and what it shows.
#[derive(Debug)]
pub(super) struct Content {
    /// Techniques in it, and the wider ones, in order.
    techniques: Vec<ConceptId>,
    /// What these need and the case itself does not show, once for each that needs it.
    needs: Vec<ConceptId>,
    /// What a reader is told before anything is asked: it may be told on a rung.
    before: Vec<ConceptId>,
    /// All that happens in it, in order.
    all: Vec<ConceptId>,
}

/// The ladder of each concept, by its number; empty where there is none.
pub(super) fn of_corpus(
    vocabulary: &Vocabulary,
    alone: &[Arc<Alone>],
    occurrences: &[Vec<Occurrence>],
    reading: &[usize],
) -> Vec<Ladder> {
    let kinds = [Kind::Complication, Kind::Technique, Kind::Finding];
    let ids: Vec<_> = vocabulary.iter().map(|(id, concept)| (id, concept.kind)).collect();
    ids.into_par_iter()
        .map(|(id, kind)| {
            if !kinds.contains(&kind) {
                return Ladder::default();
            }
            let shows = |it: &&Occurrence| it.relations.iter().any(|how| shows(how, kind));
            let mut cases: Vec<usize> = occurrences[id.0 as usize].iter().filter(shows).map(|it| it.case).collect();
            cases.sort_by_key(|&case| reading[case]);
            ladder(cases, alone, vocabulary)
        })
        .collect()
}

/// Whether a case shows a concept by standing in this relation to it.
fn shows(relation: Relation, kind: Kind) -> bool {
    match relation {
        Relation::Absent | Relation::Taught | Relation::Fellow => false,
        Relation::Planned | Relation::Later => kind == Kind::Technique,
        _ => true,
    }
}

impl Content {
    /// The content of a case; `plan_told` tells whether its plan is told before the first decision.
    pub(super) fn of(case: &Case, found: &Found, plan_told: bool, vocabulary: &Vocabulary) -> Self {
        let happened = |relations: &Relations| {
            [Relation::Arose, Relation::Used, Relation::Answered, Relation::Present]
                .into_iter()
                .any(|how| relations.contains(how))
        };
        let all: Vec<ConceptId> =
            found.iter().filter(|(_, relations)| happened(relations)).map(|(id, _)| *id).collect();
        let mut before: Vec<ConceptId> = case.findings.iter().map(|finding| finding.is.value).collect();
        if plan_told {
            before.push(case.planned.procedure.value);
            before.extend(case.planned.with.iter().chain(&case.planned.combined).map(|it| it.value));
        }
        let own = all.iter().copied().filter(|&id| vocabulary.get(id).kind == Kind::Technique);
        // Who has met the narrower technique has met the wider one.
        let techniques: BTreeSet<ConceptId> = own.flat_map(|id| vocabulary.upwards(id)).copied().collect();
        let needs = techniques.iter().flat_map(|&id| &vocabulary.get(id).needs).copied();
        let needs = needs.filter(|need| !techniques.contains(need)).collect();
        Self { techniques: techniques.into_iter().collect(), needs, before, all }
    }
}

/// The ladder of these cases, which come in reading order.
fn ladder(cases: Vec<usize>, alone: &[Arc<Alone>], vocabulary: &Vocabulary) -> Ladder {
    let rungs_wanted = cases.len().min(MOST_RUNGS);
    let mut left = cases;
    let mut rungs: Vec<Rung> = Vec::new();
    // By number of concept: a set is asked some hundred thousand times for the ladders of a large library.
    let mut known = vec![false; vocabulary.len()];
    while rungs.len() < rungs_wanted {
        let window = &left[..left.len().min(LOOKED_AT)];
        // What a reader could meet first, and has not.
        let mut missed = vec![false; vocabulary.len()];
        for &id in window.iter().flat_map(|&it| &alone[it].content.techniques) {
            missed[id.0 as usize] = !known[id.0 as usize];
        }
        let unmet = |&case: &usize| alone[case].content.needs.iter().filter(|need| missed[need.0 as usize]).count();
        let unmet: Vec<usize> = window.iter().map(unmet).collect();
        let least = unmet.iter().copied().min().unwrap_or(0);
        let ready: Vec<usize> = (0..window.len()).filter(|&at| unmet[at] == least).collect();
        let Some(&easiest) = ready.first() else { break };
        let limit = alone[window[easiest]].indices.order + CLOSE;
        let fresh = |at: usize| alone[window[at]].content.all.iter().filter(|id| !known[id.0 as usize]).count();
        let close = ready.iter().copied().filter(|&at| alone[window[at]].indices.order <= limit);
        let next = close.max_by_key(|&at| (fresh(at), std::cmp::Reverse(at))).unwrap_or(easiest);
        let case = left.remove(next);
        let mut new: Vec<ConceptId> = Vec::new();
        for &id in &alone[case].content.before {
            if !known[id.0 as usize] && !new.contains(&id) {
                new.push(id);
            }
        }
        let content = &alone[case].content;
        for id in content.all.iter().chain(&content.techniques).chain(&content.before) {
            known[id.0 as usize] = true;
        }
        rungs.push(Rung { case, new, worked: false });
    }
    // A ladder of two has one to begin with and one to try.
    let worked = (rungs.len() / 3).clamp(usize::from(rungs.len() > 1), MOST_WORKED);
    rungs.iter_mut().take(worked).for_each(|rung| rung.worked = true);
    Ladder { rungs, below: left }
}
