//! Decisions to practise: every question with the concepts it teaches.

use super::alone::Alone;
use crate::model::analysis::{Practice, Question, Topic};
use crate::model::case::{Decision, Meant};
use crate::model::corpus::Corpus;
use crate::model::digest::Parts;
use crate::model::vocabulary::ConceptId;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// A decision as it is asked.
#[derive(Debug)]
pub(super) struct Asked {
    /// Its name in the case.
    id: String,
    /// What it teaches, each once.
    teaches: Vec<ConceptId>,
    /// See [`hash`].
    hash: String,
}

impl Asked {
    pub(super) fn of(decision: &Decision<Meant>) -> Self {
        let mut teaches: Vec<ConceptId> = Vec::new();
        for term in &decision.teaches {
            if !teaches.contains(&term.value) {
                teaches.push(term.value);
            }
        }
        Self { id: decision.id.value.clone(), teaches, hash: hash(decision) }
    }
}

/// The questions of a corpus in reading order, and its topics in order of number: a question counts to what it teaches and to
/// everything wider.
pub(super) fn of_corpus(corpus: &Corpus, alone: &[Arc<Alone>], reading: &[usize]) -> Practice {
    let vocabulary = corpus.vocabulary();
    let mut order: Vec<usize> = (0..reading.len()).collect();
    order.sort_by_key(|&case| reading[case]);
    let mut questions = Vec::new();
    let mut of_case: Vec<Vec<usize>> = vec![Vec::new(); reading.len()];
    let mut topics: BTreeMap<ConceptId, Vec<usize>> = BTreeMap::new();
    let mut rest = Vec::new();
    for case in order {
        for (at, Asked { id, teaches, hash }) in alone[case].questions.iter().enumerate() {
            let own = teaches.clone();
            let wide: BTreeSet<ConceptId> = own.iter().flat_map(|&id| vocabulary.upwards(id)).copied().collect();
            if wide.is_empty() {
                rest.push(questions.len());
            }
            for id in wide {
                topics.entry(id).or_default().push(questions.len());
            }
            of_case[case].push(questions.len());
            let (id, hash) = (id.clone(), hash.clone());
            questions.push(Question { case, decision: at, id, teaches: own, hash });
        }
    }
    let rest = (!rest.is_empty()).then_some(Topic { concept: None, questions: rest });
    let named = topics.into_iter().map(|(id, questions)| Topic { concept: Some(id), questions });
    let topics = rest.into_iter().chain(named).collect();
    Practice { questions, topics, of_case }
}

/// What a reader answered: if it changes, the answer given before counts no longer. Which reasons stand beside a choice, and how
/// they are worded, belongs to it; where in the case the question stands does not.
fn hash(decision: &Decision<Meant>) -> String {
    let mut parts = Parts::default();
    let mut say = |text: &str| parts.add(text);
    say(&decision.ask.value);
    say(decision.given_grade.as_ref().map_or("", |grade| &grade.value));
    for list in [&decision.at_hand, &decision.not_at_hand] {
        say(&list.len().to_string());
        list.iter().for_each(|it| say(&it.value));
    }
    for option in &decision.options {
        say(&option.choice.value);
        say(option.verdict.value.word());
        for text in [&option.because, &option.unless] {
            say(text.as_ref().map_or("", |text| &text.value));
        }
    }
    parts.hash().to_hex()[..12].to_owned()
}
