//! How much the order leans on the weights: they are varied, and so are facts that were not recorded.

use crate::model::index::{Indices, Part, Robustness, Standing};
use rayon::prelude::*;
use std::sync::Arc;

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

/// Each case's rank by eye difficulty with the range that nine of ten variations leave, and how steady the order is.
pub(in crate::analyse) fn vary(cases: &[Arc<Indices>], names: &[&str]) -> (Vec<Standing>, Robustness) {
    let values: Vec<f64> = cases.iter().map(|case| case.difficulty.value).collect();
    let standing = order(&values, names);
    let series: Vec<u64> = names
        .iter()
        .map(|name| u64::from_le_bytes(blake3::hash(name.as_bytes()).as_bytes()[..8].try_into().unwrap_or_default()))
        .collect();
    // There are a handful of labels: each part is told its place among them once.
    let mut labels: Vec<&'static str> = Vec::new();
    let mut place = |part: &Part| {
        labels.iter().position(|label| *label == part.label).unwrap_or_else(|| {
            labels.push(part.label);
            labels.len() - 1
        })
    };
    let parts: Vec<Vec<(usize, &Part)>> =
        cases.iter().map(|case| case.parts.iter().map(|part| (place(part), part)).collect()).collect();
    let drawn: Vec<Vec<f64>> = (0..DRAWS)
        .into_par_iter()
        .map(|turn| {
            // The same for all cases.
            let factor = |label: &&str| {
                let of_label =
                    label.bytes().fold(0_u64, |sum, byte| sum.wrapping_mul(31).wrapping_add(u64::from(byte)));
                1.0 - SPREAD + 2.0 * SPREAD * draw(of_label, u64::from(turn))
            };
            let factors: Vec<f64> = labels.iter().map(factor).collect();
            let one = |(parts, series): (&Vec<(usize, &Part)>, &u64)| {
                let known = draw(*series, u64::from(turn));
                let (mut sum, mut of) = (0.0, 0.0);
                for (label, part) in parts {
                    let weight = part.share * factors[*label];
                    sum += weight * (part.value.low + (part.value.high - part.value.low) * known);
                    of += weight;
                }
                if of > 0.0 { sum / of } else { 0.0 }
            };
            parts.iter().zip(&series).map(one).collect()
        })
        .collect();
    let orders: Vec<Vec<usize>> = drawn.par_iter().map(|values| order(values, names)).collect();
    let mut ranks: Vec<Vec<usize>> = vec![Vec::with_capacity(orders.len()); cases.len()];
    for order in &orders {
        for (rank, &case) in (1..).zip(order) {
            ranks[case].push(rank);
        }
    }
    let mut standings = vec![Standing { rank: 0, low: 0, high: 0 }; cases.len()];
    for (rank, &case) in (1..).zip(&standing) {
        let mut at = |share: usize| {
            let drawn = &mut ranks[case];
            let at = drawn.len() * share / 100;
            *drawn.select_nth_unstable(at).1
        };
        standings[case] = Standing { rank, low: at(5).min(rank), high: at(95).max(rank) };
    }
    let turned = standing.windows(2).map(|pair| {
        let turned = |values: &&Vec<f64>| values[pair[0]] > values[pair[1]];
        (pair[0], pair[1], u32::try_from(drawn.iter().filter(turned).count()).unwrap_or(DRAWS))
    });
    (standings, Robustness { draws: DRAWS, turned: turned.collect() })
}
