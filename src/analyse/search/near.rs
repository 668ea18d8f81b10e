//! The nearest documents of each: what is like a good hit is lifted a little.

use super::build::Whole;
use rayon::prelude::*;
use std::cmp::Ordering;

/// Fewer documents than this have no neighbours: the smallest collection on which they were seen to help has 1,033.
const LEAST_DOCUMENTS: usize = 500;
/// Nor have shorter ones, in words on average: in a collection of 42 words a document, neighbours did harm.
const LEAST_WORDS: f64 = 100.0;
/// How many neighbours a document has.
const NEIGHBOURS: usize = 10;
/// By how many of its strongest terms it is compared.
const STRONGEST: usize = 30;
/// Likeness is the cosine in so many steps.
const STEPS: f64 = 15.0;

/// The order of terms in which the stronger comes first.
fn stronger(one: &(u32, f64), other: &(u32, f64)) -> Ordering {
    other.1.total_cmp(&one.1).then(one.0.cmp(&other.0))
}

/// For each document its nearest ones with their likeness; empty where neighbours would not help.
pub(super) fn nearest(whole: &Whole) -> Vec<Vec<(u32, u8)>> {
    let count = whole.damping.len();
    if count < LEAST_DOCUMENTS || whole.mean_words < LEAST_WORDS {
        return Vec::new();
    }
    let mut vectors: Vec<Vec<(u32, f64)>> = vec![Vec::new(); count];
    for (list, term) in whole.terms.iter().zip(0u32..).filter(|(list, _)| list.len() > 1 && list.len() <= count / 4) {
        for it in list.iter() {
            let vector = &mut vectors[it.0 as usize];
            vector.push((term, whole.impact(list.len(), it)));
            // What is weaker than so many can be forgotten at once: with all of them large libraries would take much room.
            if vector.len() == 2 * STRONGEST {
                vector.select_nth_unstable_by(STRONGEST - 1, stronger);
                vector.truncate(STRONGEST);
            }
        }
    }
    vectors.par_iter_mut().for_each(|vector| {
        vector.sort_unstable_by(stronger);
        vector.truncate(STRONGEST);
        let length = vector.iter().map(|(_, impact)| impact * impact).sum::<f64>().sqrt();
        vector.iter_mut().for_each(|(_, impact)| *impact /= length);
    });
    let mut holders: Vec<Vec<(u32, f64)>> = vec![Vec::new(); whole.terms.len()];
    for (vector, document) in vectors.iter().zip(0u32..) {
        vector.iter().for_each(|&(term, share)| holders[term as usize].push((document, share)));
    }
    let fresh = || (vec![0.0f64; count], Vec::<u32>::new());
    (0..count)
        .into_par_iter()
        .map_init(fresh, |(likeness, touched), document| {
            for &(term, share) in &vectors[document] {
                for &(other, its) in &holders[term as usize] {
                    let sum = &mut likeness[other as usize];
                    if *sum == 0.0 {
                        touched.push(other);
                    }
                    *sum += share * its;
                }
            }
            let mut found: Vec<(u32, f64)> = touched
                .drain(..)
                .map(|other| (other, std::mem::take(&mut likeness[other as usize])))
                .filter(|(other, _)| *other as usize != document)
                .collect();
            let nearer = |one: &(u32, f64), other: &(u32, f64)| other.1.total_cmp(&one.1).then(one.0.cmp(&other.0));
            if found.len() > NEIGHBOURS {
                found.select_nth_unstable_by(NEIGHBOURS - 1, nearer);
                found.truncate(NEIGHBOURS);
            }
            found.sort_by(nearer);
            let steps = found.into_iter().map(|(other, likeness)| (other, (likeness * STEPS).round().min(STEPS) as u8));
            steps.filter(|(_, step)| *step > 0).collect()
        })
        .collect()
}
