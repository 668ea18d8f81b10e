//! The indices of difficulty against what was published, against a second reckoning, and against their own promises.

mod promises;
mod published;
mod reading;
mod second;

use crate::support::{library, prepare};
use casewright::analyse::indices::{Facts, together, weigh_all};
use casewright::model::index::Reckoned;
use casewright::model::library::Library;
use casewright::model::risk::{Measured, Model};
use casewright::model::vocabulary::{ConceptId, Vocabulary};

/// The built-in models and vocabulary.
pub(crate) struct Built {
    pub(crate) library: Library,
    pub(crate) vocabulary: Vocabulary,
}

impl Built {
    pub(crate) fn new() -> Self {
        let prepared = prepare(&library());
        assert!(prepared.diagnostics.iter().all(|it| it.severity() != casewright::diag::Severity::Error));
        let corpus = &prepared.checked.corpus;
        Self { library: corpus.library().clone(), vocabulary: corpus.vocabulary().clone() }
    }

    pub(crate) fn model(&self, name: &str) -> &Model {
        self.library.models.named(name).unwrap_or_else(|| panic!("no model {name}"))
    }

    pub(crate) fn finding(&self, name: &str) -> ConceptId {
        self.vocabulary.by_name(name).unwrap_or_else(|| panic!("no concept {name}"))
    }

    /// An eye of which nothing is recorded but these findings, wider ones with them.
    pub(crate) fn eye(&self, present: &[&str]) -> Facts {
        let mut facts = Facts::default();
        for name in present {
            facts.present.extend(self.vocabulary.upwards(self.finding(name)));
        }
        facts
    }
}

/// Axial length, pupil and chamber depth as places of the format's measures, in mm.
pub(crate) const PUPIL: Measured = Measured::Quantity(1);
pub(crate) const CHAMBER: Measured = Measured::Quantity(2);
pub(crate) const AXIAL: Measured = Measured::Quantity(3);

/// Records a measure exactly.
pub(crate) fn measure(facts: &mut Facts, what: Measured, value: f64) {
    facts.measures.insert(what, (value, value));
}

/// Every built-in model taken to apply but the whole list, or that alone, so that bounds can be compared whatever is recorded.
pub(crate) fn taken(built: &Built, facts: &Facts, whole: bool) -> Vec<Reckoned> {
    let models = &built.library.models.used;
    models
        .iter()
        .map(|model| {
            let factors = weigh_all(model, facts, &built.vocabulary);
            let barred = if (model.name == "whole-burden") == whole { Vec::new() } else { vec!["not now".to_owned()] };
            let eye = together(model, &factors);
            Reckoned { barred, replaced: false, eye, factors, risk: None, with_surgeon: None }
        })
        .collect()
}
