//! The pictures of a case as far as it is told.

use crate::model::analysis::Stage;
use crate::model::case::Case;
use crate::model::vocabulary::Vocabulary;
use crate::render::pictures::Told;
use crate::render::pictures::course::{Course, course};
use crate::render::pictures::eye_map::{EyeMap, eye_maps};
use crate::render::pictures::strip::{Strip, strip};
use serde::Serialize;

/// The pictures that have something to show.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub(crate) struct PicturesView {
    pub(crate) map: Option<EyeMap>,
    pub(crate) strip: Option<Strip>,
    pub(crate) course: Option<Course>,
}

impl PicturesView {
    /// The pictures for each part of a page, a part being a run of stages. A reader wants to see what is new: a map
    /// stands where it has a new mark, a strip where there are new steps, and the course once, where the last visit is told.
    ///
    /// Maps take in earlier ones of their page by name, so the page must show all of them.
    pub(crate) fn of_parts(case: &Case, vocabulary: &Vocabulary, parts: &[&[Stage]]) -> Vec<Self> {
        let mut told = Told::default();
        let last = parts.iter().rposition(|part| part.iter().any(|stage| !stage.outcomes.is_empty()));
        let maps = eye_maps(case, vocabulary, parts);
        parts
            .iter()
            .zip(maps)
            .enumerate()
            .map(|(at, (part, map))| {
                told.add(part);
                let new = part.iter().flat_map(|stage| stage.steps.iter().copied()).collect();
                Self {
                    map,
                    strip: strip(case, vocabulary, &told, &new),
                    course: if last == Some(at) { course(case, &told) } else { None },
                }
            })
            .collect()
    }
}
