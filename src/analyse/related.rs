//! Which cases are like one another: what they share, rare things more than common ones, with credit for near relatives.
//!
//! A case is a vector over concepts. A concept counts by why it is there and by its rarity; each wider concept takes half of
//! what the narrower one counts, so that two kinds of one thing are a little alike. Likeness is the cosine of two vectors.

use super::occurrences::Found;
use crate::model::analysis::{Related, Relation};
use crate::model::vocabulary::{ConceptId, Kind, Vocabulary};
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};

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

fn vectors(found: &[Found], vocabulary: &Vocabulary) -> Vec<Vector> {
    let above: Vec<Vec<ConceptId>> = vocabulary.iter().map(|(id, _)| vocabulary.upwards(id)).collect();
    let raw: Vec<BTreeMap<ConceptId, f64>> = found
        .par_iter()
        .map(|found| {
            let mut sums: BTreeMap<ConceptId, f64> = BTreeMap::new();
            for (&id, relations) in found {
                let kind = vocabulary.get(id).kind;
                let most = relations.iter().map(|relation| counts(*relation, kind)).fold(0.0, f64::max);
                let mut share = most;
                if share <= 0.0 {
                    continue;
                }
                for &wider in &above[id.0 as usize] {
                    let sum = sums.entry(wider).or_default();
                    *sum = sum.max(share);
                    share *= WIDER;
                }
            }
            sums
        })
        .collect();
    let mut among: BTreeMap<ConceptId, usize> = BTreeMap::new();
    for sums in &raw {
        for id in sums.keys() {
            *among.entry(*id).or_default() += 1;
        }
    }
    let all = raw.len() as f64;
    raw.into_par_iter()
        .map(|sums| {
            let weighed: Vector =
                sums.into_iter().map(|(id, sum)| (id, sum * libm::log((all + 1.0) / among[&id] as f64))).collect();
            let length = libm::sqrt(weighed.iter().map(|(_, weight)| weight * weight).sum::<f64>());
            weighed.into_iter().map(|(id, weight)| (id, if length > 0.0 { weight / length } else { 0.0 })).collect()
        })
        .collect()
}

/// The cosine of two vectors.
fn likeness(one: &Vector, other: &Vector) -> f64 {
    let (mut sum, mut at) = (0.0, 0);
    for (id, weight) in one {
        while at < other.len() && other[at].0 < *id {
            at += 1;
        }
        if at < other.len() && other[at].0 == *id {
            sum += weight * other[at].1;
        }
    }
    sum
}

/// For each case the others in order of likeness, with it: all that share anything rare. Of equals the earlier name comes first.
pub fn ranked(found: &[Found], vocabulary: &Vocabulary) -> Vec<Vec<(usize, f64)>> {
    all(&vectors(found, vocabulary), LOOKED_AT, usize::MAX)
}

/// For each case the few that are most alike, with likeness.
pub(crate) fn nearest(found: &[Found], vocabulary: &Vocabulary, few: usize) -> Vec<Vec<(usize, f64)>> {
    all(&vectors(found, vocabulary), LOOKED_AT_FOR_ONE, few)
}

fn all(vectors: &[Vector], looked_at: usize, most: usize) -> Vec<Vec<(usize, f64)>> {
    let kin = Kin::new(vectors, looked_at);
    (0..vectors.len())
        .into_par_iter()
        .map_init(|| Room::new(vectors.len()), |room, case| kin.rank(case, most, room))
        .collect()
}

/// Cases among which the kin of each are looked for.
struct Kin<'v> {
    vectors: &'v [Vector],
    /// For each concept the cases that have it, with its weight there.
    holders: BTreeMap<ConceptId, Vec<(usize, f64)>>,
    /// How many cases are looked at for each.
    looked_at: usize,
}

/// Room to work in, a place for each case, clean whenever nobody works in it: made anew for every case it would make the
/// whole grow with the square of their number.
struct Room {
    is_looked: Vec<bool>,
    sums: Vec<f64>,
}

impl Room {
    fn new(cases: usize) -> Self {
        Self { is_looked: vec![false; cases], sums: vec![0.0; cases] }
    }
}

impl<'v> Kin<'v> {
    fn new(vectors: &'v [Vector], looked_at: usize) -> Self {
        let mut holders: BTreeMap<ConceptId, Vec<(usize, f64)>> = BTreeMap::new();
        for (case, vector) in vectors.iter().enumerate() {
            for (id, weight) in vector.iter().filter(|(_, weight)| *weight > 0.0) {
                holders.entry(*id).or_default().push((case, *weight));
            }
        }
        Self { vectors, holders, looked_at }
    }

    /// The most alike of the cases that share anything rare with a case, at most so many, in order.
    fn rank(&self, case: usize, most: usize, room: &mut Room) -> Vec<(usize, f64)> {
        let Self { vectors, holders, looked_at } = self;
        let Room { is_looked, sums } = room;
        let shared: Vec<(f64, &Vec<(usize, f64)>)> =
            vectors[case].iter().filter_map(|(id, weight)| Some((*weight, holders.get(id)?))).collect();
        let mut rare: Vec<&Vec<(usize, f64)>> = shared.iter().map(|(_, holders)| *holders).collect();
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
        let held: usize = shared.iter().map(|(_, holders)| holders.len()).sum();
        let mut ranked: Vec<(usize, f64)> = if held <= looked.len() * vectors[case].len() {
            for (weight, holders) in &shared {
                for &(other, theirs) in *holders {
                    sums[other] += weight * theirs;
                }
            }
            let ranked = looked.into_iter().map(|other| (other, sums[other])).collect();
            shared.iter().flat_map(|(_, holders)| *holders).for_each(|&(other, _)| sums[other] = 0.0);
            ranked
        } else {
            looked.into_iter().map(|other| (other, likeness(&vectors[case], &vectors[other]))).collect()
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
pub(crate) fn offered(found: &[Found], vocabulary: &Vocabulary) -> Vec<Vec<Related>> {
    let vectors = vectors(found, vocabulary);
    let kin = Kin::new(&vectors, LOOKED_AT);
    (0..found.len())
        .into_par_iter()
        .map_init(
            || Room::new(found.len()),
            |room, case| {
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
                    for (other, _, same) in &mut left {
                        *same = same.max(likeness(&vectors[best], &vectors[*other]));
                    }
                }
                chosen
                    .into_iter()
                    .map(|other| Related { case: other, why: why(&found[case], &found[other], vocabulary) })
                    .collect()
            },
        )
        .collect()
}

/// Why two cases are alike, in words that tell nothing that only one of them has.
fn why(one: &Found, other: &Found, vocabulary: &Vocabulary) -> Vec<&'static str> {
    let of = |found: &Found, relation: Relation| -> BTreeSet<ConceptId> {
        found.iter().filter(|(_, relations)| relations.contains(&relation)).map(|(id, _)| *id).collect()
    };
    let wider = |ids: &BTreeSet<ConceptId>| -> BTreeSet<ConceptId> {
        ids.iter().flat_map(|id| vocabulary.upwards(*id)).collect()
    };
    let mut words = Vec::new();
    for (relation, same, kin) in [
        (Relation::Arose, "same complication", "related complication"),
        (Relation::Present, "same finding", "related finding"),
        (Relation::Planned, "same plan", ""),
    ] {
        let (here, there) = (of(one, relation), of(other, relation));
        if here.intersection(&there).next().is_some() {
            words.push(same);
        } else if !kin.is_empty() && wider(&here).intersection(&wider(&there)).next().is_some() {
            words.push(kin);
        }
    }
    let (here, there) = (of(one, Relation::Answered), of(other, Relation::Answered));
    if !here.is_empty() && !there.is_empty() {
        words.push(match (here == there, here.intersection(&there).next().is_some()) {
            (true, _) => "same answer",
            (false, true) => "partly another answer",
            (false, false) => "other answer",
        });
    }
    words
}
