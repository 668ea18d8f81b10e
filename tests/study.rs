//! Studying: ladders, decisions to practise, and cases set against each other.

use crate::support::{demo, prepare};
use casewright::analyse::analyse;
use casewright::analyse::pairs::align;
use casewright::model::analysis::{Analysis, Relation};
use casewright::model::case::Moment;
use casewright::model::gist::Gist;
use casewright::model::site::Page;
use casewright::model::vocabulary::{ConceptId, Kind, Vocabulary};
use casewright::pipeline::Prepared;
use casewright::render::{Theme, render};
use proptest::prelude::*;
use std::collections::{BTreeMap, BTreeSet};

/// The techniques that a case shows, and the wider ones.
fn techniques(analysis: &Analysis, vocabulary: &Vocabulary, case: usize) -> BTreeSet<ConceptId> {
    let shows = |how: Relation| matches!(how, Relation::Used | Relation::Answered);
    vocabulary
        .iter()
        .filter(|(id, concept)| {
            concept.kind == Kind::Technique
                && analysis.of(*id).iter().any(|found| found.case == case && found.relations.iter().any(shows))
        })
        .map(|(id, _)| id)
        .collect()
}

/// How many needs of its techniques a case leaves open for somebody who knows `known`, of those that could be met by one of `left`.
fn open(
    case: &BTreeSet<ConceptId>,
    known: &BTreeSet<ConceptId>,
    left: &[&BTreeSet<ConceptId>],
    words: &Vocabulary,
) -> usize {
    let needs = case.iter().flat_map(|id| &words.get(*id).needs);
    needs
        .filter(|need| !known.contains(need) && !case.contains(need) && left.iter().any(|it| it.contains(need)))
        .count()
}

/// Reckoned anew from the pages' own data: no rung asks for what a rung above it could have brought first.
fn assert_needs_come_first(prepared: &Prepared) -> usize {
    let corpus = &prepared.checked.corpus;
    let vocabulary = corpus.vocabulary();
    let analysis = analyse(corpus);
    let of: Vec<BTreeSet<ConceptId>> =
        (0..corpus.cases().len()).map(|case| techniques(&analysis, vocabulary, case)).collect();
    let mut rungs = 0;
    for (id, ladder) in vocabulary.iter().map(|(id, _)| id).zip(&analysis.ladders) {
        let mut known: BTreeSet<ConceptId> = BTreeSet::new();
        for (at, rung) in ladder.rungs.iter().enumerate() {
            let left: Vec<usize> = ladder.rungs[at..].iter().map(|rung| rung.case).collect();
            let sets: Vec<&BTreeSet<ConceptId>> = left.iter().map(|&case| &of[case]).collect();
            let here = open(&of[rung.case], &known, &sets, vocabulary);
            let best = left.iter().map(|&case| open(&of[case], &known, &sets, vocabulary)).min().unwrap_or(0);
            let name = &vocabulary.get(id).name.value;
            assert_eq!(here, best, "{name}, rung {}: {}", at + 1, corpus.cases()[rung.case].name);
            known.extend(&of[rung.case]);
            rungs += 1;
        }
    }
    rungs
}

#[test]
fn a_ladder_brings_first_what_its_techniques_need() {
    assert!(assert_needs_come_first(&prepare(&demo())) > 200);
}

/// A technique that needs another, in an easier case: the harder case with what is needed comes first, on every ladder of both.
#[test]
fn what_is_needed_comes_first_even_if_it_is_harder() {
    let prepared = prepare(&demo());
    let corpus = &prepared.checked.corpus;
    let (vocabulary, analysis) = (corpus.vocabulary(), analyse(corpus));
    // Somewhere in the demo reading order alone would have asked for too much; otherwise this proves nothing.
    let turned = analysis.ladders.iter().any(|ladder| {
        ladder.rungs.windows(2).any(|pair| {
            let (one, other) = (&analysis.indices[pair[0].case], &analysis.indices[pair[1].case]);
            one.order > other.order + 3.0
        })
    });
    assert!(turned, "no ladder departs from reading order");
    for (id, ladder) in vocabulary.iter().map(|(id, _)| id).zip(&analysis.ladders) {
        let cases: BTreeSet<usize> = ladder.rungs.iter().map(|rung| rung.case).collect();
        assert_eq!(cases.len() + ladder.below.len(), ladder.rungs.len() + ladder.below.len());
        let kind = vocabulary.get(id).kind;
        if matches!(kind, Kind::Complication | Kind::Finding) {
            assert_eq!(
                ladder.rungs.len() + ladder.below.len(),
                real_cases(&analysis, id),
                "{}",
                vocabulary.get(id).name.value
            );
        } else if kind != Kind::Technique {
            assert!(ladder.rungs.is_empty());
        }
        let worked = ladder.rungs.iter().take_while(|rung| rung.worked).count();
        assert!(ladder.rungs.iter().skip(worked).all(|rung| !rung.worked), "worked examples come first");
        assert!(ladder.rungs.len() < 2 || (1..=2).contains(&worked));
    }
}

/// A technique of ours needs another. The case that shows it is easy, the one with what it needs is hard: the hard one comes first.
#[test]
fn a_planted_need_turns_a_ladder_round() {
    let words = "kind: technique\nconcepts:\n  - {name: zz-bow, label: zz bow, definition: A bow., level: foundation, needs: [zz-loop]}\n  - {name: zz-loop, label: zz loop, definition: A loop., level: foundation}\n";
    let easy = crate::support::BASE.replace("do: hydrodissection", "do: zz bow");
    let hard = crate::support::BASE
        .replace("do: hydrodissection", "do: zz loop")
        .replace("small pupil]", "small pupil, white cataract, brunescent cataract, phacodonesis, high myopia]");
    let order = |needs: &str| {
        let files = crate::support::library()
            .with("vocabulary/technique.yaml", words.replace(", needs: [zz-loop]", needs))
            .with("easy.md", &easy)
            .with("hard.md", &hard);
        let prepared = prepare(&files);
        assert!(crate::support::errors(&prepared).is_empty(), "{:?}", crate::support::said(&prepared));
        let corpus = &prepared.checked.corpus;
        let id = corpus.vocabulary().by_name("small-pupil").expect("a finding");
        let analysis = analyse(corpus);
        analysis.ladders[id.0 as usize]
            .rungs
            .iter()
            .map(|rung| corpus.cases()[rung.case].name.clone())
            .collect::<Vec<_>>()
    };
    assert_eq!(order(""), ["easy", "hard"], "by difficulty alone");
    assert_eq!(order(", needs: [zz-loop]"), ["hard", "easy"], "by what is needed");
}

/// Cases that show a concept themselves or by a narrower one, beyond absence, mere mention and the other eye.
fn real_cases(analysis: &Analysis, id: ConceptId) -> usize {
    let real = |how: Relation| {
        !matches!(how, Relation::Absent | Relation::Taught | Relation::Fellow | Relation::Planned | Relation::Later)
    };
    analysis.of(id).iter().filter(|found| found.relations.iter().any(real)).count()
}

/// A rung tells only what is known before the first cut.
#[test]
fn a_rung_gives_nothing_away() {
    let prepared = prepare(&demo());
    let corpus = &prepared.checked.corpus;
    for ladder in &analyse(corpus).ladders {
        for rung in &ladder.rungs {
            let case = &corpus.cases()[rung.case].case();
            let plan = &case.planned;
            let mut before: BTreeSet<ConceptId> = case.findings.iter().map(|it| it.is.value).collect();
            // Where the first decision is about the plan, the plan is an answer.
            let asked = case.body.decisions.iter().any(|it| it.at.value == Moment::Plan);
            if !asked {
                before.insert(plan.procedure.value);
                before.extend(plan.with.iter().chain(&plan.combined).map(|it| it.value));
            }
            assert!(rung.new.iter().all(|id| before.contains(id)), "{}", case.name);
        }
    }
}

#[test]
fn every_decision_can_be_practised_under_what_it_teaches() {
    let prepared = prepare(&demo());
    let corpus = &prepared.checked.corpus;
    let practice = analyse(corpus).practice;
    let decisions: usize = corpus.cases().iter().map(|cleared| cleared.case().body.decisions.len()).sum();
    assert_eq!(practice.questions.len(), decisions);
    let mut hashes = BTreeSet::new();
    for (at, question) in practice.questions.iter().enumerate() {
        let decision = &corpus.cases()[question.case].case().body.decisions[question.decision];
        for taught in &decision.teaches {
            let topic = practice.topics.iter().find(|topic| topic.concept == Some(taught.value)).expect("a topic");
            assert!(topic.questions.contains(&at));
        }
        hashes.insert(question.hash.clone());
    }
    assert_eq!(hashes.len(), decisions, "no two questions are one");
}

/// A question that changes is another question; one that only stands elsewhere is the same.
#[test]
fn a_question_is_known_again_by_its_words() {
    let prepared = prepare(&demo());
    let hash = |prepared: &Prepared| {
        let corpus = &prepared.checked.corpus;
        let at = corpus.cases().iter().position(|it| it.name == "the-piano-tuner").expect("a case of the demo");
        let practice = analyse(corpus).practice;
        let of = practice.questions.into_iter().filter(move |it| it.case == at);
        of.map(|it| (it.decision, it.hash)).collect::<BTreeMap<_, _>>()
    };
    let edited = |from: &str, to: &str| {
        let mut files = crate::support::library();
        for (name, text) in crate::support::demo_cases() {
            let text = if name == "the-piano-tuner" {
                assert!(text.contains(from), "{from}");
                text.replacen(from, to, 1)
            } else {
                text
            };
            files = files.with(&format!("{name}.md"), text.as_bytes());
        }
        hash(&prepare(&files))
    };
    let as_it_was = hash(&prepared);
    assert_eq!(edited("# An easy one", "# An easier one"), as_it_was, "a heading is no question");
    let changed = edited("verdict: harmful", "verdict: risky");
    assert_eq!(changed.len(), as_it_was.len());
    assert_eq!(changed.iter().filter(|(at, hash)| as_it_was[at] != **hash).count(), 1, "one verdict, one question");
}

fn page(prepared: &Prepared, path: &str) -> String {
    let corpus = &prepared.checked.corpus;
    let analysis = analyse(corpus);
    let theme = Theme::new(&BTreeMap::new()).expect("a sound theme");
    let site = render(corpus, &analysis, &theme).expect("a site");
    let (_, (_, found)) = site.pages.iter().find(|(it, _)| it.as_str() == path).expect("the page");
    let Page::Made(make) = found else { panic!("{path} is no page") };
    String::from_utf8(make().expect("it is made")).expect("text")
}

/// An author's contrast leads both ways; what it teaches is told on its page alone, and after the question.
#[test]
fn a_contrast_leads_both_ways_and_tells_its_principle_last() {
    let prepared = prepare(&demo());
    let corpus = &prepared.checked.corpus;
    let mut contrasts = 0;
    for cleared in corpus.cases() {
        for contrast in &*cleared.case().contrast {
            let (one, other) = (&cleared.name, &contrast.case.value);
            let (first, second) = if one < other { (one, other) } else { (other, one) };
            let pair = format!("compare/{first}_{second}.html");
            let told = page(&prepared, &pair);
            let words = contrast.principle.value.split(['\'', '"']).next().unwrap_or("").trim();
            let at = told.find(words).expect("the principle");
            assert!(told.find("class=\"question\"").expect("the question") < at);
            assert!(told.find("<details").expect("the answer") < at);
            for name in [one, other] {
                for reading in [format!("cases/{name}.html"), format!("cases/{name}-ask.html")] {
                    let case = page(&prepared, &reading);
                    assert!(case.contains(&format!("href=\"../{pair}\"")), "{reading} does not lead to {pair}");
                    assert!(!case.contains(words), "{reading} tells the principle");
                }
                assert!(told.contains(&format!("href=\"../cases/{name}.html\"")));
            }
            contrasts += 1;
        }
    }
    assert!(contrasts >= 15, "{contrasts}");
}

/// Computed pairs were alike before surgery and differ in what happened; each pair stands once.
#[test]
fn pairs_differ_in_something_and_stand_once() {
    let prepared = prepare(&demo());
    let corpus = &prepared.checked.corpus;
    let analysis = analyse(corpus);
    let mut seen = BTreeSet::new();
    for pair in &analysis.pairs {
        assert!(pair.one < pair.other && seen.insert((pair.one, pair.other)));
        let (one, other) = (&corpus.cases()[pair.one].case(), &corpus.cases()[pair.other].case());
        if pair.principles.is_empty() {
            let wrong = |case: &casewright::model::case::Case| -> BTreeSet<ConceptId> {
                case.complications
                    .iter()
                    .flat_map(|it| std::iter::once(it.is.value).chain(it.managed.iter().map(|it| it.does.value)))
                    .collect()
            };
            assert_ne!(wrong(one), wrong(other), "{} and {}", one.name, other.name);
            let found = |case: &casewright::model::case::Case| -> BTreeSet<ConceptId> {
                case.findings
                    .iter()
                    .flat_map(|it| corpus.vocabulary().upwards(it.is.value))
                    .copied()
                    .chain([case.planned.procedure.value])
                    .collect()
            };
            assert!(!found(one).is_disjoint(&found(other)), "{} and {}", one.name, other.name);
        }
        let steps = |pick: fn(&casewright::model::analysis::Beside) -> Option<usize>| {
            pair.rows.iter().filter_map(pick).collect::<Vec<_>>()
        };
        assert_eq!(steps(|row| row.one), (0..one.operation.steps.len()).collect::<Vec<_>>());
        assert_eq!(steps(|row| row.other), (0..other.operation.steps.len()).collect::<Vec<_>>());
    }
    assert!(analysis.pairs.iter().any(|pair| pair.principles.is_empty()), "computation finds some");
}

/// Steps of the demo, from which operations are put together.
fn demo_steps() -> (Vec<(ConceptId, bool)>, Vocabulary) {
    let prepared = prepare(&demo());
    let corpus = &prepared.checked.corpus;
    (corpus.cases().iter().flat_map(|it| Gist::of(&it.case(), true).steps).collect(), corpus.vocabulary().clone())
}

/// Steps set beside each other: every step once and in order; an operation beside itself is the same throughout; a step put in
/// stands alone and moves nothing. Checked against the longest common subsequence (a textbook measure: Cormen and others,
/// Introduction to Algorithms): no fewer same steps stand beside each other, less one for each two of kin.
#[test]
fn steps_are_set_beside_each_other_in_order() {
    let (steps, vocabulary) = demo_steps();
    let indexes = prop::collection::vec(0..steps.len(), 0..14);
    let mut runner = proptest::test_runner::TestRunner::deterministic();
    runner
        .run(&(indexes.clone(), indexes), |(one, other)| {
            let take = |places: &[usize]| places.iter().map(|&at| steps[at]).collect::<Vec<_>>();
            let (one, other) = (take(&one), take(&other));
            let rows = align(&one, &other, &vocabulary);
            prop_assert_eq!(
                rows.iter().filter_map(|row| row.one).collect::<Vec<_>>(),
                (0..one.len()).collect::<Vec<_>>()
            );
            prop_assert_eq!(
                rows.iter().filter_map(|row| row.other).collect::<Vec<_>>(),
                (0..other.len()).collect::<Vec<_>>()
            );
            prop_assert!(rows.iter().all(|row| row.one.is_some() || row.other.is_some()));
            for row in rows.iter().filter(|row| row.same) {
                let (Some(a), Some(b)) = (row.one, row.other) else { panic!("the same as nothing") };
                prop_assert_eq!(one[a].0, other[b].0);
            }
            let worth: u32 = rows
                .iter()
                .filter(|row| row.one.is_some() && row.other.is_some())
                .map(|row| if row.same { 3 } else { 2 })
                .sum();
            prop_assert!(worth >= 3 * common(&one, &other));
            prop_assert!(align(&one, &one, &vocabulary).iter().all(|row| row.same));
            Ok(())
        })
        .expect("it holds");
}

/// Length of the longest common subsequence of techniques.
fn common(one: &[(ConceptId, bool)], other: &[(ConceptId, bool)]) -> u32 {
    let mut best = vec![vec![0; other.len() + 1]; one.len() + 1];
    for a in 0..one.len() {
        for b in 0..other.len() {
            best[a + 1][b + 1] =
                if one[a].0 == other[b].0 { best[a][b] + 1 } else { best[a][b + 1].max(best[a + 1][b]) };
        }
    }
    best[one.len()][other.len()]
}
