//! Indices of difficulty: published models reckoned for each eye, and our own composites of them, each with its working.

mod difficulty;
mod facts;
mod hindsight;
mod reckon;
mod vary;

pub use difficulty::difficulty;
pub use facts::Facts;
pub use reckon::{probability, reckon, together, weigh, weigh_all};

use crate::model::case::Case;
use crate::model::corpus::Corpus;
use crate::model::index::Indices;
use crate::model::library::Library;
use crate::model::packed::Packed;
use crate::model::vocabulary::Vocabulary;
use std::sync::Arc;
pub(super) use vary::vary;

/// The indices of one case.
pub fn of_case(case: &Case, library: &Library, vocabulary: &Vocabulary) -> Indices {
    let facts = Facts::of(case, vocabulary);
    let used = &library.models.used;
    let mut models: Vec<_> = used.iter().map(|model| reckon(model, case, &facts, vocabulary)).collect();
    let applies = |name: &String| {
        used.iter().zip(&models).any(|(model, reckoned)| model.name == *name && reckoned.barred.is_empty())
    };
    let replaced: Vec<bool> = used.iter().map(|model| model.applies.where_not.iter().any(applies)).collect();
    for (reckoned, _) in models.iter_mut().zip(replaced).filter(|(_, replaced)| *replaced) {
        reckoned.replaced = true;
        reckoned.barred.push("the models in whose place it stands apply".to_owned());
    }
    let (parts, difficulty) = difficulty(&library.models, &models, library.weights.eye, &facts, vocabulary);
    let (demand_parts, judgement_parts) = (hindsight::demand(case, vocabulary), hindsight::judgement(case));
    let (demand, judgement) = (hindsight::whole(&demand_parts), hindsight::whole(&judgement_parts));
    let order = [difficulty.value, demand, judgement];
    let weights = library.weights.order;
    let sum: f64 = weights.iter().sum();
    let order =
        order.iter().zip(weights).map(|(value, weight)| value * weight).sum::<f64>() / sum.max(f64::MIN_POSITIVE);
    let models = Packed::new(&models);
    Indices { models, difficulty, parts, demand, demand_parts, judgement, judgement_parts, order }
}

/// The rank of every case in reading order, from 0, in order of the corpus. No two cases share a rank.
pub(crate) fn reading(corpus: &Corpus, indices: &[Arc<Indices>]) -> Vec<usize> {
    let name = |at: usize| corpus.cases()[at].name.as_str();
    let mut order: Vec<usize> = (0..indices.len()).collect();
    order.sort_by(|&one, &other| {
        indices[one].order.total_cmp(&indices[other].order).then_with(|| name(one).cmp(name(other)))
    });
    let mut ranks = vec![0; order.len()];
    for (rank, at) in order.into_iter().enumerate() {
        ranks[at] = rank;
    }
    ranks
}
