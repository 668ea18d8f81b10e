//! Which cases are like one another: what they share, rare things more than common ones, with credit for near relatives.
//!
//! A case is a vector over concepts. A concept counts by why it is there and by its rarity; each wider concept takes half of
//! what the narrower one counts, so that two kinds of one thing are a little alike. Likeness is the cosine of two vectors.

use super::alone::Alone;
use super::grouped;
use super::occurrences::Found;
use crate::model::analysis::{Kindred, Related, Relation, Relations};
use crate::model::vocabulary::{ConceptId, Kind, Vocabulary};
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};

/// How many cases are offered beside one.
const OFFERED: usize = 5;
/// What a wider concept takes of a narrower one.
const WIDER: f64 = 0.5;
/// How much likeness to what is offered already costs a further offer, so that five are not five copies.
const SAMENESS: f64 = 0.35;
/// Cases that are looked at for each case: those that share its rarest concepts. It keeps the work linear.
const LOOKED_AT: usize = 1_500;
/// The same where only the most alike is wanted.
const LOOKED_AT_FOR_ONE: usize = 300;
/// One case in so many has a concept that many have.
const MANY: usize = 6;

/// How much a concept counts by why it is there. Chosen by what a reader comes for; common practice, no source.
fn counts(relation: Relation, kind: Kind) -> f64 {
    match (relation, kind) {
        (Relation::Arose, _) => 3.0,
        (Relation::Present, _) => 1.5,
        (Relation::Answered, _) => 1.0,
        (Relation::Planned | Relation::Later, _) => 0.6,
        (Relation::Used, Kind::Technique) => 0.35,
        (Relation::Ended, _) => 0.3,
        _ => 0.0,
    }
}

/// A case as a vector of length 1, in order of concept.
type Vector = Vec<(ConceptId, f64)>;

/// What a case is like, before it is known how rare that is: for each concept, narrow or wide, how much it counts.
pub(super) type Raw = Vec<(ConceptId, f64)>;

/// What a case is like in which these concepts were found.
pub(super) fn raw(found: &Found, vocabulary: &Vocabulary) -> Raw {
    let mut sums: BTreeMap<ConceptId, f64> = BTreeMap::new();
    for (&id, relations) in found {
        let kind = vocabulary.get(id).kind;
        let mut share = relations.iter().map(|relation| counts(relation, kind)).fold(0.0, f64::max);
        if share <= 0.0 {
            continue;
        }
        for &wider in vocabulary.upwards(id) {
            let sum = sums.entry(wider).or_default();
            *sum = sum.max(share);
            share *= WIDER;
        }
    }
    sums.into_iter().collect()
}

fn vectors(raw: &[&Raw], concepts: usize) -> Vec<Vector> {
    let mut among = vec![0_usize; concepts];
    for (id, _) in raw.iter().copied().flatten() {
        among[id.0 as usize] += 1;
    }
    let all = raw.len() as f64;
    let rarity: Vec<f64> = among.iter().map(|&among| libm::log((all + 1.0) / among.max(1) as f64)).collect();
    raw.par_iter()
        .map(|sums| {
            let weighed: Vector = sums.iter().map(|&(id, sum)| (id, sum * rarity[id.0 as usize])).collect();
            let length = libm::sqrt(weighed.iter().map(|(_, weight)| weight * weight).sum::<f64>());
            weighed.into_iter().map(|(id, weight)| (id, if length > 0.0 { weight / length } else { 0.0 })).collect()
        })
        .collect()
}

/// For each case the others in order of likeness, with it: all that share anything rare. Of equals the earlier name comes first.
pub fn ranked(found: &[Found], vocabulary: &Vocabulary) -> Vec<Vec<(usize, f64)>> {
    let raw: Vec<Raw> = found.iter().map(|found| raw(found, vocabulary)).collect();
    all(vectors(&raw.iter().collect::<Vec<_>>(), vocabulary.len()), LOOKED_AT, usize::MAX)
}

/// For each case the few that are most alike, with likeness.
pub(super) fn nearest(raw: &[&Raw], concepts: usize, few: usize) -> Vec<Vec<(usize, f64)>> {
    all(vectors(raw, concepts), LOOKED_AT_FOR_ONE, few)
}

fn all(vectors: Vec<Vector>, looked_at: usize, most: usize) -> Vec<Vec<(usize, f64)>> {
    let kin = Kin::new(vectors, looked_at);
    (0..kin.vectors.len())
        .into_par_iter()
        .map_init(|| Room::new(&kin), |room, case| kin.rank(case, most, room))
        .collect()
}

/// Cases among which the kin of each are looked for.
struct Kin {
    vectors: Vec<Vector>,
    /// By number of concept the cases that have it, with its weight there.
    holders: Vec<Vec<(usize, f64)>>,
    /// The same with a place for every case, for concepts that many cases have in a library of which all are looked at:
    /// adding up all places is quicker than going to many of them.
    spread: Vec<Option<Vec<f64>>>,
    /// How many cases are looked at for each.
    looked_at: usize,
}

/// Room to work in, clean whenever nobody works in it: made anew for every case it would make the whole grow with the
/// square of their number.
struct Room {
    /// A place for each case.
    is_looked: Vec<bool>,
    sums: Vec<f64>,
    /// A place for each concept: a vector laid out, so that many others can be held against it.
    laid_out: Vec<f64>,
}

impl Room {
    fn new(kin: &Kin) -> Self {
        let cases = kin.vectors.len();
        Self { is_looked: vec![false; cases], sums: vec![0.0; cases], laid_out: vec![0.0; kin.holders.len()] }
    }

    /// What `with` tells while this vector is laid out.
    fn beside(&mut self, vector: &Vector, mut with: impl FnMut(&[f64])) {
        vector.iter().for_each(|(id, weight)| self.laid_out[id.0 as usize] = *weight);
        with(&self.laid_out);
        vector.iter().for_each(|(id, _)| self.laid_out[id.0 as usize] = 0.0);
    }
}

/// The cosine of a vector with one that is laid out: what the other has not adds nothing.
fn likeness(laid_out: &[f64], other: &Vector) -> f64 {
    other.iter().map(|(id, weight)| laid_out[id.0 as usize] * weight).sum()
}

impl Kin {
    fn new(vectors: Vec<Vector>, looked_at: usize) -> Self {
        let most = vectors.iter().filter_map(|vector| vector.last()).map(|(id, _)| id.0 as usize + 1).max();
        let weights = vectors.iter().enumerate().flat_map(|(case, vector)| {
            vector.iter().filter(|(_, weight)| *weight > 0.0).map(move |(id, weight)| (*id, (case, *weight)))
        });
        let holders = grouped(weights, most.unwrap_or(0));
        let many = |held: &Vec<(usize, f64)>| held.len() * MANY >= vectors.len() && vectors.len() <= looked_at;
        let spread = |held: &Vec<(usize, f64)>| {
            many(held).then(|| {
                let mut all = vec![0.0; vectors.len()];
                held.iter().for_each(|&(case, weight)| all[case] = weight);
                all
            })
        };
        let spread = holders.iter().map(spread).collect();
        Self { vectors, holders, spread, looked_at }
    }

    /// The most alike of the cases that share anything rare with a case, at most so many, in order.
    fn rank(&self, case: usize, most: usize, room: &mut Room) -> Vec<(usize, f64)> {
        let Self { vectors, holders, looked_at, .. } = self;
        let Room { is_looked, sums, .. } = room;
        let shared: Vec<&Vec<(usize, f64)>> =
            vectors[case].iter().map(|(id, _)| &holders[id.0 as usize]).filter(|held| !held.is_empty()).collect();
        let mut rare = shared.clone();
        rare.sort_by_key(|holders| holders.len());
        let mut looked: Vec<usize> = Vec::new();
        for holders in rare {
            if looked.len() + holders.len() > *looked_at && !looked.is_empty() {
                break;
            }
            for &(other, _) in holders.iter().take(*looked_at) {
                if !std::mem::replace(&mut is_looked[other], true) {
                    looked.push(other);
                }
            }
        }
        looked.iter().for_each(|&other| is_looked[other] = false);
        looked.retain(|&other| other != case);
        // Two ways to the same sums, added up in the same order: concept by concept over all that have it, which is quick
        // unless there are far more of these than cases to look at; or case by case.
        let held: usize = shared.iter().map(|holders| holders.len()).sum();
        let mut ranked: Vec<(usize, f64)> = if held <= looked.len() * vectors[case].len() {
            for (id, weight) in &vectors[case] {
                match &self.spread[id.0 as usize] {
                    Some(all) => sums.iter_mut().zip(all).for_each(|(sum, theirs)| *sum += weight * theirs),
                    None => {
                        for &(other, theirs) in &holders[id.0 as usize] {
                            sums[other] += weight * theirs;
                        }
                    }
                }
            }
            let ranked = looked.into_iter().map(|other| (other, sums[other])).collect();
            if held < sums.len() {
                shared.iter().flat_map(|holders| *holders).for_each(|&(other, _)| sums[other] = 0.0);
            } else {
                sums.fill(0.0);
            }
            ranked
        } else {
            let mut ranked = Vec::with_capacity(looked.len());
            room.beside(&vectors[case], |laid_out| {
                ranked.extend(looked.iter().map(|&other| (other, likeness(laid_out, &vectors[other]))));
            });
            ranked
        };
        let order = |one: &(usize, f64), other: &(usize, f64)| other.1.total_cmp(&one.1).then(one.0.cmp(&other.0));
        if most < ranked.len() {
            ranked.select_nth_unstable_by(most, order);
            ranked.truncate(most);
        }
        ranked.sort_by(order);
        ranked
    }
}

/// The cases that are offered beside each case, most alike first, with the reasons.
pub(super) fn kindred(alone: &[Arc<Alone>], concepts: usize) -> Kindred {
    let raw: Vec<&Raw> = alone.iter().map(|case| &case.raw).collect();
    let kin = Kin::new(vectors(&raw, concepts), LOOKED_AT);
    let reasons: Vec<Arc<Reasons>> = alone.iter().map(|case| Arc::clone(&case.reasons)).collect();
    // As many as ever were in use at the same time.
    let rooms: Mutex<Vec<Room>> = Mutex::default();
    let find = move |case: usize| {
        let spare = rooms.lock().unwrap_or_else(PoisonError::into_inner).pop();
        let mut room = spare.unwrap_or_else(|| Room::new(&kin));
        let others = offered(case, &kin, &mut room);
        rooms.lock().unwrap_or_else(PoisonError::into_inner).push(room);
        others.into_iter().map(|other| Related { case: other, why: why(&reasons[case], &reasons[other]) }).collect()
    };
    Kindred::new(alone.len(), find)
}

/// The cases that are offered beside one, most alike first.
fn offered(case: usize, kin: &Kin, room: &mut Room) -> Vec<usize> {
    // Each with its likeness to what is offered already, of which the greatest counts.
    let mut left: Vec<(usize, f64, f64)> =
        kin.rank(case, 8 * OFFERED, room).into_iter().map(|(other, alike)| (other, alike, 0.0)).collect();
    let mut chosen: Vec<usize> = Vec::new();
    while chosen.len() < OFFERED && !left.is_empty() {
        let worth = |(_, alike, same): &(usize, f64, f64)| alike - SAMENESS * alike * same;
        let best = (0..left.len())
            .max_by(|&one, &other| worth(&left[one]).total_cmp(&worth(&left[other])).then(other.cmp(&one)));
        let Some(best) = best else { break };
        let (best, ..) = left.remove(best);
        chosen.push(best);
        room.beside(&kin.vectors[best], |laid_out| {
            for (other, _, same) in &mut left {
                *same = same.max(likeness(laid_out, &kin.vectors[*other]));
            }
        });
    }
    chosen
}

/// What of a case can make it like another, in order of concept.
#[derive(Debug)]
pub(super) struct Reasons {
    arose: Vec<ConceptId>,
    present: Vec<ConceptId>,
    planned: Vec<ConceptId>,
    answered: Vec<ConceptId>,
    /// The same with all that is wider.
    wider_arose: Vec<ConceptId>,
    wider_present: Vec<ConceptId>,
}

impl Reasons {
    /// The reasons of a case in which these concepts were found.
    pub(super) fn of(found: &Found, vocabulary: &Vocabulary) -> Self {
        let of = |relation: Relation| -> Vec<ConceptId> {
            let has = |(id, relations): (&ConceptId, &Relations)| relations.contains(relation).then_some(*id);
            found.iter().filter_map(has).collect()
        };
        let wider = |ids: &[ConceptId]| -> Vec<ConceptId> {
            let mut all: Vec<ConceptId> = ids.iter().flat_map(|id| vocabulary.upwards(*id)).copied().collect();
            all.sort_unstable();
            all.dedup();
            all
        };
        let (arose, present) = (of(Relation::Arose), of(Relation::Present));
        Self {
            wider_arose: wider(&arose),
            wider_present: wider(&present),
            arose,
            present,
            planned: of(Relation::Planned),
            answered: of(Relation::Answered),
        }
    }
}

/// Whether two lists in order have anything in common.
fn meet(one: &[ConceptId], other: &[ConceptId]) -> bool {
    let (mut one, mut other) = (one.iter().peekable(), other.iter().peekable());
    while let (Some(here), Some(there)) = (one.peek(), other.peek()) {
        match here.cmp(there) {
            std::cmp::Ordering::Less => one.next(),
            std::cmp::Ordering::Greater => other.next(),
            std::cmp::Ordering::Equal => return true,
        };
    }
    false
}

/// Why two cases are alike, in words that tell nothing that only one of them has.
fn why(one: &Reasons, other: &Reasons) -> Vec<&'static str> {
    let mut words = Vec::new();
    if meet(&one.arose, &other.arose) {
        words.push("same complication");
    } else if meet(&one.wider_arose, &other.wider_arose) {
        words.push("related complication");
    }
    if meet(&one.present, &other.present) {
        words.push("same finding");
    } else if meet(&one.wider_present, &other.wider_present) {
        words.push("related finding");
    }
    if meet(&one.planned, &other.planned) {
        words.push("same plan");
    }
    if !one.answered.is_empty() && !other.answered.is_empty() {
        words.push(match (one.answered == other.answered, meet(&one.answered, &other.answered)) {
            (true, _) => "same answer",
            (false, true) => "partly another answer",
            (false, false) => "other answer",
        });
    }
    words
}
