//! Which cases belong together: against labels written before the code, and the promises of likeness.

use crate::support::{demo, prepare};
use casewright::analyse::occurrences::{Found, of_case};
use casewright::analyse::related::ranked;
use casewright::model::vocabulary::Vocabulary;
use std::collections::{BTreeMap, BTreeSet};

fn demo_found() -> (Vec<String>, Vec<Found>, Vocabulary) {
    let prepared = prepare(&demo());
    let corpus = &prepared.checked.corpus;
    let names = corpus.cases().iter().map(|cleared| cleared.case.name.clone()).collect();
    let found = corpus.cases().iter().map(|cleared| of_case(&cleared.case)).collect();
    (names, found, corpus.vocabulary().clone())
}

/// Mean average precision of whole rankings over `tests/data/related.csv`, labelled by hand before anything was reckoned.
#[test]
fn cases_that_belong_together_come_first() {
    let (names, found, vocabulary) = demo_found();
    let mut belongs: BTreeMap<&str, BTreeSet<&str>> = BTreeMap::new();
    let table = include_str!("data/related.csv");
    for line in table.lines().skip(1) {
        let cells: Vec<&str> = line.splitn(3, ',').collect();
        for (one, other) in [(cells[0], cells[1]), (cells[1], cells[0])] {
            assert!(names.iter().any(|name| name == one), "no case {one}");
            belongs.entry(one).or_default().insert(other);
        }
    }
    let ranked = ranked(&found, &vocabulary);
    let mut sum = 0.0;
    for (case, with) in &belongs {
        let at = names.iter().position(|name| name == case).expect("a case");
        let (mut hits, mut precision) = (0.0, 0.0);
        for (rank, (other, _)) in (1..).zip(&ranked[at]) {
            if with.contains(names[*other].as_str()) {
                hits += 1.0;
                precision += hits / f64::from(rank);
            }
        }
        sum += precision / with.len() as f64;
    }
    let mean = sum / belongs.len() as f64;
    assert!(mean >= 0.8, "{mean:.3}");
}

#[test]
fn likeness_goes_both_ways_and_never_to_itself() {
    let (names, found, vocabulary) = demo_found();
    let ranked = ranked(&found, &vocabulary);
    for (case, others) in ranked.iter().enumerate() {
        assert!(others.iter().all(|(other, _)| *other != case), "{}", names[case]);
        for (other, likeness) in others {
            let back = ranked[*other].iter().find(|(back, _)| *back == case).expect("it goes both ways");
            assert!((back.1 - likeness).abs() < 1e-12);
        }
    }
}

#[test]
fn the_order_of_cases_changes_nothing() {
    let (names, found, vocabulary) = demo_found();
    let straight = ranked(&found, &vocabulary);
    let turned: Vec<Found> = found.iter().rev().cloned().collect();
    let last = names.len() - 1;
    let back = ranked(&turned, &vocabulary);
    for (case, others) in straight.iter().enumerate() {
        let other: BTreeMap<usize, f64> =
            back[last - case].iter().map(|(it, likeness)| (last - it, *likeness)).collect();
        assert_eq!(others.len(), other.len());
        assert!(others.iter().all(|(it, likeness)| (other[it] - likeness).abs() < 1e-12), "{}", names[case]);
    }
}

#[test]
fn every_case_has_company() {
    let prepared = prepare(&demo());
    let analysis = casewright::analyse::analyse(&prepared.checked.corpus);
    for (case, related) in analysis.related.iter().enumerate() {
        assert_eq!(related.len(), 5, "{}", prepared.checked.corpus.cases()[case].case.name);
        let others: BTreeSet<usize> = related.iter().map(|it| it.case).collect();
        assert!(others.len() == 5 && !others.contains(&case));
    }
}
