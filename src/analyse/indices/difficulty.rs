//! Eye difficulty: how hard an eye was by what was known before the first cut, from 0 to 100.
//!
//! The steps are those of the OECD/JRC Handbook on Constructing Composite Indicators (2008): a definition first, parts that
//! each mean something alone, fixed anchors, stated weights, and a measure of how much the weights matter. Anchors never
//! depend on the other cases, so that no case moves another's number.

use super::facts::Facts;
use super::reckon::{together, weigh_all};
use crate::model::index::{Interval, Part, Reckoned};
use crate::model::risk::{Comparison, Measured, Model, Models, Test};
use crate::model::vocabulary::Vocabulary;
use std::collections::{BTreeMap, BTreeSet};

/// A part of eye difficulty: the model it comes of, and the values that count as 0 and as 1. Beyond them it stays there.
///
/// Anchors are common practice, no source. Odds: none, and fifty times those of the reference eye (a predicted 27 %).
/// Potential difficulty: a soft nucleus alone, and eight points. Burden: nothing, and three things at once, or
/// six of the whole list, which stands in the place of all others where no published model applies.
pub const PARTS: [(&str, &str, f64, f64); 4] = [
    ("narendran-2009", "odds of rupture", 1.0, 50.0),
    ("habib-2006", "potential difficulty", 1.0, 8.0),
    ("eye-burden", "eye burden", 0.0, 3.0),
    ("whole-burden", "eye burden, whole list", 0.0, 6.0),
];

/// The place of the whole list among [`PARTS`].
const WHOLE: usize = 3;

/// A value between the anchors of a part, 0 to 1. Odds are compared by their logarithm.
pub fn normalised(part: usize, value: f64) -> f64 {
    let (_, _, none, full) = PARTS[part];
    let share =
        if part == 0 { libm::log(value / none) / libm::log(full / none) } else { (value - none) / (full - none) };
    share.clamp(0.0, 1.0)
}

/// The parts that apply to a case, with their shares, and the whole from 0 to 100 with exact bounds.
pub fn difficulty(
    models: &Models,
    reckoned: &[Reckoned],
    weights: [f64; 3],
    facts: &Facts,
    vocabulary: &Vocabulary,
) -> (Vec<Part>, Interval) {
    let applies: Vec<(usize, &Model)> = PARTS
        .iter()
        .enumerate()
        .filter_map(|(part, (name, ..))| {
            let at = models.used.iter().position(|model| model.name == *name)?;
            reckoned[at].barred.is_empty().then_some((part, &models.used[at]))
        })
        .collect();
    let alone = applies.iter().any(|(part, _)| *part == WHOLE);
    let applies: Vec<(usize, &Model)> = applies.into_iter().filter(|(part, _)| !alone || *part == WHOLE).collect();
    let weight = |part: usize| weights.get(part).copied().unwrap_or(1.0);
    let sum: f64 = applies.iter().map(|(part, _)| weight(*part)).sum();
    let share = |part: usize| if sum > 0.0 { weight(part) / sum } else { 1.0 / applies.len() as f64 };
    let at = |facts: &Facts| -> Vec<Interval> {
        let one = |(part, model): &(usize, &Model)| {
            together(model, &weigh_all(model, facts, vocabulary)).map(|value| normalised(*part, value))
        };
        applies.iter().map(one).collect()
    };
    let recorded = at(facts);
    let whole = |values: &[Interval], of: fn(&Interval) -> f64| -> f64 {
        let parts = applies.iter().zip(values).map(|((part, _), value)| share(*part) * of(value));
        100.0 * parts.sum::<f64>()
    };
    let value = whole(&recorded, |it| it.value);
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    for assumed in assumptions(applies.iter().map(|(_, model)| *model), facts) {
        let values = at(&Facts { assumed, ..facts.clone() });
        low = low.min(whole(&values, |it| it.low));
        high = high.max(whole(&values, |it| it.high));
    }
    let parts = applies.iter().zip(recorded).map(|((part, _), value)| Part {
        label: PARTS[*part].1,
        share: share(*part),
        value,
    });
    (parts.collect(), Interval { low: low.min(value), value, high: high.max(value) })
}

/// Every way in which measures may lie that were not recorded exactly and that pull both up and down: an eye cannot be too
/// long and too short at once, nor its owner a child and very old. One value stands for each stretch between two limits.
fn assumptions<'m>(models: impl Iterator<Item = &'m Model>, facts: &Facts) -> Vec<BTreeMap<Measured, f64>> {
    let mut limits: BTreeMap<Measured, (BTreeSet<u64>, bool, bool)> = BTreeMap::new();
    for factor in models.flat_map(|model| &model.factors) {
        let whens = factor.bands.iter().flat_map(|band| band.when.iter().chain(&band.absent_if));
        for condition in whens.chain(&factor.absent_if) {
            let Test::Measure(measured, comparison) = &condition.test else { continue };
            let (at, down, up) = limits.entry(*measured).or_default();
            // No limit is negative, so the order of the bits is that of the numbers.
            at.extend(comparison.limits().into_iter().map(f64::to_bits));
            *down |= matches!(comparison, Comparison::Below(_) | Comparison::Between(..));
            *up |= !matches!(comparison, Comparison::Below(_));
        }
    }
    let mut ways = vec![BTreeMap::new()];
    for (measured, (limits, down, up)) in limits {
        let (least, most) = facts.measures.get(&measured).copied().unwrap_or((0.0, f64::INFINITY));
        if !(down && up) || least == most {
            continue;
        }
        // Ages are whole years; nothing else is published finer than hundredths.
        let step = if measured == Measured::Age { 1.0 } else { 0.01 };
        let values = limits.into_iter().map(f64::from_bits).flat_map(|limit| [limit - step, limit, limit + step]);
        let values: BTreeSet<u64> =
            values.filter(|value| (least.max(0.0)..=most).contains(value)).map(f64::to_bits).collect();
        if values.is_empty() {
            continue;
        }
        ways = ways
            .into_iter()
            .flat_map(|way: BTreeMap<Measured, f64>| {
                values.iter().map(move |bits| {
                    let mut way = way.clone();
                    way.insert(measured, f64::from_bits(*bits));
                    way
                })
            })
            .collect();
    }
    ways
}
