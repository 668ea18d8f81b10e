//! Eye difficulty: how hard an eye was by what was known before the first cut, from 0 to 100.
//!
//! The steps are those of the OECD/JRC Handbook on Constructing Composite Indicators (2008): a definition first, parts that
//! each mean something alone, fixed anchors, stated weights, and a measure of how much the weights matter. Anchors never
//! depend on the other cases, so that no case moves another's number.

use super::facts::Facts;
use super::reckon::{together, weigh_all};
use crate::model::index::{Interval, PARTS, Part, Reckoned, WHOLE};
use crate::model::risk::{Factor, Measured, Model, Models, Test, conditions, stretches};
use crate::model::vocabulary::Vocabulary;
use std::collections::BTreeMap;

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
        .filter_map(|(part, of)| {
            let at = models.used.iter().position(|model| model.name == of.model)?;
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
            together(model, &weigh_all(model, facts, vocabulary)).map(|value| PARTS[*part].normalised(value))
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
    let factors: Vec<&Factor> = applies.iter().flat_map(|(_, model)| &model.factors).collect();
    for assumed in assumptions(&factors, facts, vocabulary) {
        let values = at(&Facts { assumed, ..facts.clone() });
        low = low.min(whole(&values, |it| it.low));
        high = high.max(whole(&values, |it| it.high));
    }
    let parts = applies.iter().zip(recorded).map(|((part, _), value)| Part {
        label: PARTS[*part].label,
        share: share(*part),
        value,
    });
    (parts.collect(), Interval { low: low.min(value), value, high: high.max(value) })
}

/// Every way in which measures may lie that were not recorded exactly and that pull both up and down: an eye cannot be too
/// long and too short at once, nor its owner a child and very old. One value stands for each stretch between two limits. A
/// finding on record that stands in for the measure rules out the values that it contradicts.
fn assumptions(factors: &[&Factor], facts: &Facts, vocabulary: &Vocabulary) -> Vec<BTreeMap<Measured, f64>> {
    let mut ways = vec![BTreeMap::new()];
    for (measured, values) in stretches(factors.iter().copied()) {
        let (least, most) = facts.measures.get(&measured).copied().unwrap_or((0.0, f64::INFINITY));
        let fits = |value: &f64| {
            factors.iter().copied().flat_map(conditions).all(|condition| match &condition.test {
                Test::Measure(of, comparison) if *of == measured && comparison.of(least, most).is_none() => {
                    let said = condition.otherwise.and_then(|concept| facts.finding(concept, vocabulary));
                    said.is_none_or(|said| comparison.of(*value, *value) == Some(said))
                }
                _ => true,
            })
        };
        let inside = values.into_iter().filter(|value| (least..=most).contains(value));
        let ends = [least, most].into_iter().filter(|end| end.is_finite() && facts.measures.contains_key(&measured));
        let mut values: Vec<f64> = inside.chain(ends).filter(fits).collect();
        values.sort_by(f64::total_cmp);
        values.dedup();
        // Where findings contradict each other no value fits, and the bounds stay as wide as without. How many ways there
        // are is bounded where models are checked.
        if least == most || values.is_empty() {
            continue;
        }
        ways = ways
            .into_iter()
            .flat_map(|way: BTreeMap<Measured, f64>| {
                values.iter().map(move |value| {
                    let mut way = way.clone();
                    way.insert(measured, *value);
                    way
                })
            })
            .collect();
    }
    ways
}
