//! Which few facts single a case out: a reader who knows them of a neighbour knows which case is the neighbour's.
//!
//! Advice, not a measure of risk: it counts within the library alone, and a library is selected.

use crate::model::case::Case;
use crate::model::corpus::Corpus;
use crate::model::measure::Age;
use std::collections::{BTreeMap, BTreeSet};

/// Most facts that are put together; with more nearly every case stands alone.
const MOST_FACTS: usize = 3;
/// Most combinations that are told of one case.
const MOST_TOLD: usize = 3;

/// A case and the fewest facts that no other case shares.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SingledOut {
    /// The case's name.
    pub case: String,
    /// Combinations of equal and least length: age band, sex, findings, complications.
    pub facts: Vec<Vec<String>>,
}

/// Every case that at most three facts single out, in order of name.
pub fn singled_out(corpus: &Corpus) -> Vec<SingledOut> {
    let facts: Vec<Vec<String>> = corpus.cases().iter().map(|cleared| facts(&cleared.case(), corpus)).collect();
    let mut holders: BTreeMap<&str, BTreeSet<usize>> = BTreeMap::new();
    for (at, facts) in facts.iter().enumerate() {
        for fact in facts {
            holders.entry(fact).or_default().insert(at);
        }
    }
    let names = corpus.cases().iter().map(|cleared| cleared.name.clone());
    names
        .zip(&facts)
        .filter_map(|(case, facts)| {
            let found = (1..=MOST_FACTS).map(|count| alone(facts, count, &holders)).find(|found| !found.is_empty())?;
            Some(SingledOut { case, facts: found })
        })
        .collect()
}

/// Combinations of so many facts that only one case has.
fn alone(facts: &[String], count: usize, holders: &BTreeMap<&str, BTreeSet<usize>>) -> Vec<Vec<String>> {
    let mut found = Vec::new();
    let mut chosen: Vec<usize> = (0..count).collect();
    while count <= facts.len() && found.len() < MOST_TOLD {
        let mut sets = chosen.iter().filter_map(|at| holders.get(facts[*at].as_str()));
        let first = sets.next().cloned().unwrap_or_default();
        if sets.fold(first, |held, set| held.intersection(set).copied().collect()).len() == 1 {
            found.push(chosen.iter().map(|at| facts[*at].clone()).collect());
        }
        // The next combination in order: the last place that can still move on does.
        let Some(place) = (0..count).rev().find(|place| chosen[*place] < facts.len() - count + place) else { break };
        chosen[place] += 1;
        for next in place + 1..count {
            chosen[next] = chosen[next - 1] + 1;
        }
    }
    found
}

/// What others might know of the patient: age band, sex, findings, complications.
fn facts(case: &Case, corpus: &Corpus) -> Vec<String> {
    let label = |id| corpus.vocabulary().get(id).label.value.clone();
    let age = case.patient.age.as_ref().map(|age| match age.value {
        Age::Years(years) if years >= 10 => format!("{} to {} years", years / 10 * 10, years / 10 * 10 + 9),
        Age::Years(_) | Age::Months(_) => "under 10 years".to_owned(),
        Age::NinetyAndOver => "90 and over".to_owned(),
    });
    let sex = case.patient.sex.as_ref().map(|sex| sex.value.to_string());
    let findings = case.findings.iter().map(|finding| label(finding.is.value));
    let complications = case.complications.iter().map(|it| label(it.is.value));
    let mut facts: Vec<String> = age.into_iter().chain(sex).chain(findings).chain(complications).collect();
    let mut seen = BTreeSet::new();
    facts.retain(|fact| seen.insert(fact.clone()));
    facts
}
