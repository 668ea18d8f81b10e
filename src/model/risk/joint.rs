//! Measures that models ask from both sides: an eye cannot be too long and too short at once, so bounds go through the ways
//! in which such measures may lie.

use super::condition::{Comparison, Condition, Measured, Test};
use super::{Factor, Model};
use crate::model::vocabulary::ConceptId;
use std::collections::{BTreeMap, BTreeSet};

/// The most ways that are gone through for one eye. The built-in models have some hundred and thirty; each is a reckoning of all
/// parts, so a model that asks for more is refused. Common practice, no source.
pub const MOST_WAYS: usize = 4000;

/// Every condition of a factor.
pub fn conditions(factor: &Factor) -> impl Iterator<Item = &Condition<ConceptId>> {
    let of_bands = factor.bands.iter().flat_map(|band| band.when.iter().chain(&band.absent_if));
    of_bands.chain(&factor.absent_if)
}

/// The measures that some conditions of these factors pull up and others pull down, each with one value for every stretch
/// between two limits, in rising order.
pub fn stretches<'m>(factors: impl Iterator<Item = &'m Factor>) -> BTreeMap<Measured, Vec<f64>> {
    let mut limits: BTreeMap<Measured, (BTreeSet<u64>, bool, bool)> = BTreeMap::new();
    for condition in factors.flat_map(conditions) {
        let Test::Measure(measured, comparison) = &condition.test else { continue };
        let (at, down, up) = limits.entry(*measured).or_default();
        // No limit is negative, so the order of the bits is that of the numbers.
        at.extend(comparison.limits().into_iter().map(f64::to_bits));
        *down |= matches!(comparison, Comparison::Below(_) | Comparison::Between(..));
        *up |= !matches!(comparison, Comparison::Below(_));
    }
    let both = limits.into_iter().filter(|(_, (_, down, up))| *down && *up);
    both.map(|(measured, (limits, ..))| {
        // Ages are whole years; nothing else is published finer than hundredths.
        let step = if measured == Measured::Age { 1.0 } else { 0.01 };
        let limits = || limits.iter().copied().map(f64::from_bits);
        let below = limits().take(1).map(|first| (first - step).max(0.0));
        let rest = limits().flat_map(|limit| [limit, limit + step]);
        let values: BTreeSet<u64> = below.chain(rest).map(f64::to_bits).collect();
        (measured, values.into_iter().map(f64::from_bits).collect())
    })
    .collect()
}

/// In how many ways those measures may lie together at most: the values of each, and the two ends of a recorded range.
pub fn ways<'m>(factors: impl Iterator<Item = &'m Factor>) -> usize {
    stretches(factors).values().fold(1, |ways, values| ways.saturating_mul(values.len() + 2))
}

/// The factor of `last`, in its order, with which there are more than [`MOST_WAYS`]; `first` are the models beside it.
pub fn too_many<'m>(first: &[&'m Model], last: &'m Model) -> Option<usize> {
    let before = || first.iter().flat_map(|model| &model.factors);
    let within = |many: usize| ways(before().chain(&last.factors[..many])) <= MOST_WAYS;
    (1..=last.factors.len()).find(|many| !within(*many)).map(|many| many - 1)
}
