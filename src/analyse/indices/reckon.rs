//! A model reckoned for an eye: points add up, ratios multiply odds, and what is not recorded leaves an interval.

use super::facts::Facts;
use crate::model::case::Case;
use crate::model::index::{Interval, Reckoned, Weighed};
use crate::model::measure::Age;
use crate::model::risk::{Band, Baseline, Bearer, Condition, Factor, Model, Scale};
use crate::model::vocabulary::{ConceptId, Vocabulary};

/// Whether one of these conditions holds: yes if any does, no if none does, otherwise unknown.
fn any(conditions: &[Condition<ConceptId>], facts: &Facts, vocabulary: &Vocabulary) -> Option<bool> {
    let mut all = true;
    for condition in conditions {
        match facts.holds(condition, vocabulary) {
            Some(true) => return Some(true),
            Some(false) => {}
            None => all = false,
        }
    }
    all.then_some(false)
}

fn band(band: &Band, facts: &Facts, vocabulary: &Vocabulary) -> Option<bool> {
    match any(&band.when, facts, vocabulary) {
        None if any(&band.absent_if, facts, vocabulary) == Some(true) => Some(false),
        known => known,
    }
}

/// What a factor counts. The first band that holds counts; bands before it that may hold, and what counts if none does,
/// are the values that it may have.
pub fn weigh(factor: &Factor, facts: &Facts, vocabulary: &Vocabulary) -> Weighed {
    let mut possible: Vec<f64> = Vec::new();
    let mut holds = None;
    for (at, level) in factor.bands.iter().enumerate() {
        match band(level, facts, vocabulary) {
            Some(true) => {
                possible.push(level.weight);
                holds = Some(at);
                break;
            }
            Some(false) => {}
            None => possible.push(level.weight),
        }
    }
    if holds.is_none() {
        if !possible.is_empty() && any(&factor.absent_if, facts, vocabulary) == Some(true) {
            possible.clear();
        }
        possible.push(factor.least);
    }
    let open = possible.len() > 1;
    let low = possible.iter().copied().fold(f64::INFINITY, f64::min);
    let high = possible.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let value = holds.map_or(factor.least, |at| factor.bands[at].weight);
    Weighed { band: holds, open, weight: Interval { low, value, high } }
}

/// The probability of a product of ratios on a baseline: ratios multiply odds, never probabilities.
pub fn probability(product: f64, baseline: &Baseline) -> f64 {
    // Written so that odds without end give 1: `odds / (1 + odds)` would be no number.
    1.0 / (1.0 + 1.0 / (product * baseline.odds()))
}

/// All factors of a model together, those of the eye only.
pub fn together(model: &Model, weighed: &[Weighed]) -> Interval {
    let of_eye = model.factors.iter().zip(weighed).filter(|(factor, _)| factor.by == Bearer::Eye);
    let join = |start: f64, join: fn(f64, f64) -> f64| {
        of_eye.clone().fold(Interval::exact(start), |sum, (_, weighed)| Interval {
            low: join(sum.low, weighed.weight.low),
            value: join(sum.value, weighed.weight.value),
            high: join(sum.high, weighed.weight.high),
        })
    };
    match model.scale {
        Scale::Points => join(0.0, |sum, weight| sum + weight),
        Scale::Odds(_) => join(1.0, |product, weight| product * weight),
    }
}

/// What every factor of a model counts in an eye.
pub fn weigh_all(model: &Model, facts: &Facts, vocabulary: &Vocabulary) -> Vec<Weighed> {
    model.factors.iter().map(|factor| weigh(factor, facts, vocabulary)).collect()
}

/// A model reckoned for a case.
pub fn reckon(model: &Model, case: &Case, facts: &Facts, vocabulary: &Vocabulary) -> Reckoned {
    let factors = weigh_all(model, facts, vocabulary);
    let eye = together(model, &factors);
    let (mut risk, mut with_surgeon) = (None, None);
    if let Scale::Odds(baseline) = &model.scale {
        risk = Some(eye.map(|product| probability(product, baseline)));
        let surgeon = model.factors.iter().zip(&factors).filter(|(factor, _)| factor.by == Bearer::Surgeon);
        let grade: f64 = surgeon.map(|(_, weighed)| weighed.weight.value).product();
        with_surgeon = Some((eye.map(|product| probability(product * grade, baseline)), grade));
    }
    Reckoned { replaced: false, barred: barred(model, case, facts, vocabulary), factors, eye, risk, with_surgeon }
}

/// Why a model does not apply to a case.
fn barred(model: &Model, case: &Case, facts: &Facts, vocabulary: &Vocabulary) -> Vec<String> {
    let scope = &model.applies;
    let mut why = Vec::new();
    let planned = vocabulary.upwards(case.planned.procedure.value);
    if !scope.procedures.is_empty() && !scope.procedures.iter().any(|made| planned.contains(made)) {
        let label = &vocabulary.get(case.planned.procedure.value).label.value;
        why.push(format!("the plan was {label}, and the model was made for other operations"));
    }
    if let (Some(youngest), Some(age)) = (scope.youngest, &case.patient.age)
        && age.value != Age::NinetyAndOver
        && age.value.at_least_years() < youngest
    {
        why.push(format!("the patient was younger than {youngest}"));
    }
    for &finding in &scope.without {
        if facts.finding(finding, vocabulary) == Some(true) {
            why.push(format!("the eye had {}", vocabulary.get(finding).label.value));
        }
    }
    if !scope.combined && !case.planned.combined.is_empty() {
        why.push("the operation was combined with another".to_owned());
    }
    why
}
