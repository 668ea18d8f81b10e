//! The facts of a case that were known before the first cut, in three states: present, absent, not recorded.

use crate::model::case::{Case, FellowHistory};
use crate::model::format::{GRADES, MEASURES};
use crate::model::measure::{Age, Sex, Unit};
use crate::model::risk::{Comparison, Condition, Measured, Test};
use crate::model::vocabulary::{ConceptId, Vocabulary};
use std::collections::{BTreeMap, BTreeSet};

/// Facts of one eye. Nothing that happened after the first cut is among them.
#[derive(Debug, Clone, Default)]
pub struct Facts {
    /// Findings that are there, wider ones included.
    pub present: BTreeSet<ConceptId>,
    /// Findings that were looked for and are not there. Narrower ones are not there either.
    pub absent: BTreeSet<ConceptId>,
    /// Grades of findings, as numbers.
    pub grades: BTreeMap<ConceptId, (f64, f64)>,
    /// Extents of findings in clock hours.
    pub extents: BTreeMap<ConceptId, (f64, f64)>,
    /// What was measured, as a range.
    pub measures: BTreeMap<Measured, (f64, f64)>,
    /// What a measure is taken to be where it was not recorded, while bounds are sought.
    pub assumed: BTreeMap<Measured, f64>,
    /// The patient's sex.
    pub sex: Option<Sex>,
    /// Whether the fellow eye's operation had a complication.
    pub fellow_complication: Option<bool>,
    /// Whether the fellow eye has no useful sight.
    pub fellow_lost: Option<bool>,
    /// The grade of the first operator, a place in [`GRADES`].
    pub operator: Option<usize>,
}

impl Facts {
    /// The facts of a case. Of several visits the last that measured something counts.
    pub fn of(case: &Case, vocabulary: &Vocabulary) -> Self {
        let mut facts = Self::default();
        for finding in &case.findings {
            let wider = vocabulary.upwards(finding.is.value);
            let grade = finding.grade.as_ref().and_then(|grade| numbers(&grade.value));
            let hours = finding.extent.as_ref().and_then(|it| it.value.meant_in(Unit::ClockHour));
            for &id in wider {
                greater(&mut facts.grades, id, grade);
                greater(&mut facts.extents, id, hours);
            }
            facts.present.extend(wider);
        }
        facts.absent = case.absent.iter().map(|absent| absent.value).collect();
        for visit in &case.before {
            for (at, (name, dimension)) in MEASURES.iter().enumerate() {
                let unit = crate::model::risk::base(*dimension);
                let bounds = visit.measures.quantity(name).and_then(|quantity| quantity.value.meant_in(unit));
                if let Some(bounds) = bounds {
                    facts.measures.insert(Measured::Quantity(at), bounds);
                }
            }
            if let Some(refraction) = &visit.measures.refraction {
                let dioptres = refraction.value.spherical_equivalent().abs();
                facts.measures.insert(Measured::Ametropia, (dioptres, dioptres));
            }
        }
        if let Some(age) = &case.patient.age {
            let years = f64::from(age.value.at_least_years());
            let most = if age.value == Age::NinetyAndOver { f64::INFINITY } else { years };
            facts.measures.insert(Measured::Age, (years, most));
        }
        facts.sex = case.patient.sex.as_ref().map(|sex| sex.value);
        if let Some(fellow) = &case.fellow_eye {
            facts.fellow_complication =
                fellow.complication.as_ref().map(|history| matches!(history, FellowHistory::Had(_)));
            facts.fellow_lost =
                fellow.state.as_ref().map(|state| matches!(state.value.as_str(), "no useful sight" | "absent"));
        }
        let first = case.operation.operators.first();
        facts.operator = first.and_then(|first| GRADES.iter().position(|grade| *grade == first.grade.value));
        facts
    }

    /// Whether a finding is there; nothing if that was not recorded.
    pub fn finding(&self, concept: ConceptId, vocabulary: &Vocabulary) -> Option<bool> {
        if self.present.contains(&concept) {
            Some(true)
        } else if vocabulary.upwards(concept).iter().any(|wider| self.absent.contains(wider)) {
            Some(false)
        } else {
            None
        }
    }

    /// Whether a condition holds; nothing if what was recorded does not tell.
    pub fn holds(&self, condition: &Condition<ConceptId>, vocabulary: &Vocabulary) -> Option<bool> {
        match &condition.test {
            Test::Finding(concept) => self.finding(*concept, vocabulary),
            Test::Grade(concept, comparison) => self.scaled(&self.grades, *concept, *comparison, vocabulary),
            Test::Extent(concept, comparison) => self.scaled(&self.extents, *concept, *comparison, vocabulary),
            Test::Measure(measured, comparison) => {
                let recorded = self.measures.get(measured).and_then(|(low, high)| comparison.of(*low, *high));
                let otherwise = || condition.otherwise.and_then(|concept| self.finding(concept, vocabulary));
                let assumed = || self.assumed.get(measured).and_then(|value| comparison.of(*value, *value));
                recorded.or_else(otherwise).or_else(assumed)
            }
            Test::Sex(sex) => self.sex.map(|known| known == *sex),
            Test::FellowComplication => self.fellow_complication,
            Test::FellowLost => self.fellow_lost,
            Test::Operator(grade) => self.operator.map(|known| known == *grade),
        }
    }

    /// A comparison of a grade or an extent. A finding that is not there has none, so no comparison holds.
    fn scaled(
        &self,
        of: &BTreeMap<ConceptId, (f64, f64)>,
        concept: ConceptId,
        comparison: Comparison,
        vocabulary: &Vocabulary,
    ) -> Option<bool> {
        match of.get(&concept) {
            Some(&(low, high)) => comparison.of(low, high),
            None if self.finding(concept, vocabulary) == Some(false) => Some(false),
            None => None,
        }
    }
}

/// Keeps the greater of two values of one concept, so that it does not matter which finding was written first.
fn greater(of: &mut BTreeMap<ConceptId, (f64, f64)>, id: ConceptId, found: Option<(f64, f64)>) {
    if let Some((low, high)) = found {
        let known = of.entry(id).or_insert((low, high));
        *known = (known.0.max(low), known.1.max(high));
    }
}

/// The numbers of a grade: `3`, `2+`, `2 to 3`, `NO4`.
fn numbers(grade: &str) -> Option<(f64, f64)> {
    let mut found = grade
        .split(|letter: char| !letter.is_ascii_digit() && letter != '.')
        .filter_map(|part| part.parse::<f64>().ok().filter(|number| number.is_finite()));
    let first = found.next()?;
    let last = found.next_back().unwrap_or(first);
    Some((first.min(last), first.max(last)))
}

#[cfg(test)]
mod tests {
    use super::numbers;

    #[test]
    fn grades_are_numbers_or_ranges() {
        assert_eq!(numbers("3"), Some((3.0, 3.0)));
        assert_eq!(numbers("2 to 3"), Some((2.0, 3.0)));
        assert_eq!(numbers("NO4.5"), Some((4.5, 4.5)));
        assert_eq!(numbers("dense"), None);
    }
}
