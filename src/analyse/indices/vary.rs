//! How much the order leans on the weights: they are varied, and so are facts that were not recorded.

use crate::model::index::{Indices, Robustness};
use rayon::prelude::*;

/// Variations that are drawn.
const DRAWS: u32 = 200;
/// Each weight is drawn between so much less and so much more of itself. Common practice, no source.
const SPREAD: f64 = 0.25;
/// The seed. Draws are counted, not rolled on, so none depends on how many cases there are.
const SEED: u64 = 0x7461_726e_2076_616c;

/// A number from 0 to below 1 for a place in the series. Source: Steele, Lea, Flood, "Fast splittable pseudorandom number
/// generators", OOPSLA 2014 (the mixing function of SplitMix64, with the constants of its reference code).
fn draw(series: u64, place: u64) -> f64 {
    let mut bits = (series ^ SEED).wrapping_add(place.wrapping_add(1).wrapping_mul(0x9e37_79b9_7f4a_7c15));
    bits = (bits ^ (bits >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    bits = (bits ^ (bits >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    bits ^= bits >> 31;
    (bits >> 11) as f64 / (1u64 << 53) as f64
}

/// The order of places by value; of equal values the earlier name comes first.
fn order(values: &[f64], names: &[&str]) -> Vec<usize> {
    let mut order: Vec<(f64, usize)> = values.iter().copied().zip(0..).collect();
    order.sort_unstable_by(|one, other| one.0.total_cmp(&other.0).then_with(|| names[one.1].cmp(names[other.1])));
    order.into_iter().map(|(_, at)| at).collect()
}

/// Sets each case's rank by eye difficulty with the range that nine of ten variations leave, and tells how steady the order is.
pub(super) fn vary(cases: &mut [Indices], names: &[&str]) -> Robustness {
    let values: Vec<f64> = cases.iter().map(|case| case.difficulty.value).collect();
    let standing = order(&values, names);
    let series: Vec<u64> = names
        .iter()
        .map(|name| u64::from_le_bytes(blake3::hash(name.as_bytes()).as_bytes()[..8].try_into().unwrap_or_default()))
        .collect();
    let drawn: Vec<Vec<f64>> = (0..DRAWS)
        .into_par_iter()
        .map(|turn| {
            // The same for all cases; there are a handful of labels.
            let mut factors: Vec<(&str, f64)> = Vec::new();
            let mut factor = |label: &'static str| {
                let known = factors.iter().find(|(it, _)| *it == label);
                known.map(|(_, factor)| *factor).unwrap_or_else(|| {
                    let of_label =
                        label.bytes().fold(0_u64, |sum, byte| sum.wrapping_mul(31).wrapping_add(u64::from(byte)));
                    let factor = 1.0 - SPREAD + 2.0 * SPREAD * draw(of_label, u64::from(turn));
                    factors.push((label, factor));
                    factor
                })
            };
            let one = |(case, series): (&Indices, &u64)| {
                let known = draw(*series, u64::from(turn));
                let (mut sum, mut of) = (0.0, 0.0);
                for part in &case.parts {
                    let weight = part.share * factor(part.label);
                    sum += weight * (part.value.low + (part.value.high - part.value.low) * known);
                    of += weight;
                }
                if of > 0.0 { sum / of } else { 0.0 }
            };
            cases.iter().zip(&series).map(one).collect()
        })
        .collect();
    let orders: Vec<Vec<usize>> = drawn.par_iter().map(|values| order(values, names)).collect();
    let mut ranks: Vec<Vec<u32>> = vec![Vec::with_capacity(orders.len()); cases.len()];
    for order in &orders {
        for (rank, &case) in (1..).zip(order) {
            ranks[case].push(rank);
        }
    }
    for (rank, &case) in (1..).zip(&standing) {
        let drawn = &mut ranks[case];
        drawn.sort_unstable();
        let at = |share: usize| drawn.get(drawn.len() * share / 100).or(drawn.last()).map_or(rank, |it| *it as usize);
        cases[case].rank = (rank, at(5).min(rank), at(95).max(rank));
    }
    let turned = standing.windows(2).map(|pair| {
        let turned = |values: &&Vec<f64>| values[pair[0]] > values[pair[1]];
        (pair[0], pair[1], u32::try_from(drawn.iter().filter(turned).count()).unwrap_or(DRAWS))
    });
    Robustness { draws: DRAWS, turned: turned.collect() }
}
