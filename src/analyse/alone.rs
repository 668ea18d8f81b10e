//! What is computed of a case by itself, whatever the other cases are: the preview keeps it as long as the case stays.

use super::indices;
use super::ladders::Content;
use super::occurrences::{self, Found, Rolled};
use super::pairs::before_surgery;
use super::practice::Asked;
use super::related::{Raw, Reasons, raw};
use super::stages;
use crate::model::analysis::Stage;
use crate::model::case::Case;
use crate::model::gist::Gist;
use crate::model::index::Indices;
use crate::model::library::Library;
use crate::model::packed::Packed;
use crate::model::vocabulary::Vocabulary;
use std::sync::Arc;

/// What is computed of a case by itself.
#[derive(Debug)]
pub struct Alone {
    /// The concepts that it names.
    pub(super) found: Found,
    /// These with the wider ones.
    pub(super) rolled: Rolled,
    /// What it is like.
    pub(super) raw: Raw,
    /// What it was like before surgery.
    pub(super) raw_before: Raw,
    pub(super) reasons: Arc<Reasons>,
    pub(super) content: Content,
    pub(super) stages: Packed<Vec<Stage>>,
    /// Its decisions.
    pub(super) questions: Vec<Asked>,
    /// The cases that its author set against it, by name.
    pub(super) contrasts: Vec<String>,
    pub(super) gist: Arc<Gist>,
    pub(super) indices: Arc<Indices>,
}

impl Alone {
    /// What this case is by itself.
    pub(super) fn of(case: &Case, library: &Library, vocabulary: &Vocabulary) -> Self {
        let found = occurrences::of_case(case);
        let stages = stages::of_case(case);
        // Where the plan is what the first decision asks for, it is told to nobody before.
        let plan_told = stages.first().is_some_and(|first| first.plan);
        Self {
            rolled: occurrences::upwards(&found, vocabulary),
            raw: raw(&found, vocabulary),
            raw_before: raw(&before_surgery(case), vocabulary),
            reasons: Arc::new(Reasons::of(&found, vocabulary)),
            content: Content::of(case, &found, plan_told, vocabulary),
            questions: case.body.decisions.iter().map(Asked::of).collect(),
            contrasts: case.contrast.iter().map(|contrast| contrast.case.value.clone()).collect(),
            gist: Arc::new(Gist::of(case, plan_told)),
            indices: Arc::new(indices::of_case(case, library, vocabulary)),
            found,
            stages: Packed::new(&stages),
        }
    }
}
