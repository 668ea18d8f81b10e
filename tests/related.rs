//! Which cases belong together: against labels written before the code, and the promises of likeness.

use crate::support::{demo, prepare};
use casewright::analyse::occurrences::{Found, of_case};
use casewright::analyse::related::ranked;
use casewright::model::vocabulary::Vocabulary;
use std::collections::{BTreeMap, BTreeSet};

fn demo_found() -> (Vec<String>, Vec<Found>, Vocabulary) {
    let prepared = prepare(&demo());
    let corpus = &prepared.checked.corpus;
    let names = corpus.cases().iter().map(|cleared| cleared.name.clone()).collect();
    let found = corpus.cases().iter().map(|cleared| of_case(&cleared.case())).collect();
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
    for (case, cleared) in prepared.checked.corpus.cases().iter().enumerate() {
        let related = analysis.related.of(case);
        assert_eq!(related.len(), 5, "{}", cleared.name);
        let others: BTreeSet<usize> = related.iter().map(|it| it.case).collect();
        assert!(others.len() == 5 && !others.contains(&case));
    }
}

/// Every page of the demo's site as text, by path.
fn pages() -> (Vec<casewright::model::corpus::Cleared>, Vocabulary, BTreeMap<String, String>) {
    let prepared = prepare(&demo());
    let corpus = &prepared.checked.corpus;
    let analysis = casewright::analyse::analyse(corpus);
    let theme = casewright::render::Theme::new(&prepared.inputs.theme).expect("a sound theme");
    let site = casewright::render::render(corpus, &analysis, &theme).expect("a site");
    let pages = site.pages.iter().filter_map(|(path, (_, page))| match page {
        casewright::model::site::Page::Made(make) => {
            Some((path.to_string(), String::from_utf8_lossy(&make().expect("a page")).into_owned()))
        }
        _ => None,
    });
    (corpus.cases().to_vec(), corpus.vocabulary().clone(), pages.collect())
}

/// What a case says happened in it leads to the concept's page, and that page leads back to the case: read from the pages.
#[test]
fn every_relation_can_be_followed_from_both_ends() {
    let (cases, vocabulary, pages) = pages();
    let mut followed = 0;
    for cleared in &cases {
        let case = &cleared.case();
        let mut named: BTreeSet<_> = case.findings.iter().map(|finding| finding.is.value).collect();
        named.extend(case.operation.steps.iter().map(|step| step.does.value));
        named.extend(case.operation.steps.iter().flat_map(|step| step.with.iter().map(|tool| tool.value)));
        named.extend(case.complications.iter().map(|complication| complication.is.value));
        named.extend(case.complications.iter().flat_map(|it| it.managed.iter().map(|managed| managed.does.value)));
        named.extend(case.outcomes.iter().flat_map(|outcome| outcome.is.iter().map(|state| state.value)));
        named.extend(case.drugs().map(|drug| drug.substance.value));
        named.extend(case.later.iter().map(|later| later.procedure.value));
        named.extend(case.operation.devices.iter().map(|device| device.is.value));
        named.extend(case.operation.converted.iter().map(|converted| converted.to.value));
        let page = &pages[&format!("cases/{}.html", case.name)];
        for id in named {
            let concept = &vocabulary.get(id).name.value;
            assert!(
                page.contains(&format!("href=\"../concepts/{concept}.html")),
                "{} does not lead to {concept}",
                case.name
            );
            let parts = pages.iter().filter(|(path, _)| {
                let stem = path.strip_prefix("concepts/").and_then(|path| path.strip_suffix(".html")).unwrap_or("");
                stem == concept
                    || stem.strip_prefix(concept.as_str()).is_some_and(|rest| {
                        rest.starts_with('-') && rest[1..].bytes().all(|byte| byte.is_ascii_digit())
                    })
            });
            let back = format!("href=\"../cases/{}.html\"", case.name);
            assert!(
                parts.into_iter().any(|(_, html)| html.contains(&back)),
                "{concept} does not lead back to {}",
                case.name
            );
            followed += 1;
        }
    }
    assert!(followed > 500, "{followed}");
}

/// A complication leads to the step in which it arose and the step to it; what answered it leads to it and it to what answered.
#[test]
fn complications_lead_to_steps_and_to_what_answered_them_and_back() {
    let (cases, vocabulary, pages) = pages();
    let (mut arose, mut answered) = (0, 0);
    for cleared in &cases {
        let case = &cleared.case();
        let page = &pages[&format!("cases/{}.html", case.name)];
        for complication in &case.complications {
            let name = &vocabulary.get(complication.is.value).name.value;
            if let Some(casewright::model::case::Arose::During(step)) = &complication.arose {
                let number = case.operation.step_index(&step.value).expect("a step") + 1;
                let item =
                    page.split("<li ").find(|item| item.contains(&format!("id=\"step_{number}\""))).expect("the step");
                assert!(
                    item.contains(&format!("../concepts/{name}.html")),
                    "{}: step {number} does not lead to {name}",
                    case.name
                );
                assert!(
                    page.contains(&format!("href=\"#step_{number}\"")),
                    "{}: {name} does not lead to its step",
                    case.name
                );
                arose += 1;
            }
            for managed in &complication.managed {
                let technique = &vocabulary.get(managed.does.value).name.value;
                let there = format!("concepts/{technique}.html");
                assert!(
                    pages[&format!("concepts/{name}.html")].contains(&format!("../{there}")),
                    "{name} does not lead to {technique}"
                );
                assert!(
                    pages[&there].contains(&format!("../concepts/{name}.html")),
                    "{technique} does not lead to {name}"
                );
                answered += 1;
            }
        }
    }
    assert!(arose > 25 && answered > 60, "{arose} {answered}");
}

/// Every cell of the map that holds a case leads to it, and every complication of a case stands on the map.
#[test]
fn the_map_holds_every_complication_of_every_case() {
    let (cases, vocabulary, pages) = pages();
    let map = &pages["map.html"];
    for cleared in &cases {
        for complication in &cleared.case().complications {
            let concept = &vocabulary.get(complication.is.value).name.value;
            let row = map
                .split("<tr>")
                .find(|row| row.contains(&format!("<a href=\"concepts/{concept}.html\">")))
                .expect("a row");
            assert!(row.contains(&format!("href=\"cases/{}.html\"", cleared.name)), "{concept}: {}", cleared.name);
        }
    }
    let missing = &pages["coverage.html"];
    let taught: BTreeSet<_> =
        cases.iter().flat_map(|it| it.case().complications.iter().map(|it| it.is.value).collect::<Vec<_>>()).collect();
    for (id, concept) in
        vocabulary.iter().filter(|(_, concept)| concept.kind == casewright::model::vocabulary::Kind::Complication)
    {
        let link = format!("#{}\"", concept.name.value);
        if taught.contains(&id) {
            assert!(!missing.contains(&format!("glossary.html{link}")), "{} is taught", concept.name.value);
        }
    }
}
