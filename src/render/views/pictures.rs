//! The pictures of a case as far as it is told.

use crate::model::case::Case;
use crate::model::vocabulary::Vocabulary;
use crate::render::pictures::Told;
use crate::render::pictures::course::{Course, course};
use crate::render::pictures::eye_map::{EyeMap, eye_map};
use crate::render::pictures::strip::{Strip, strip};
use serde::Serialize;

/// The pictures that have something to show.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub(crate) struct PicturesView {
    pub(crate) map: Option<EyeMap>,
    pub(crate) strip: Option<Strip>,
    pub(crate) course: Option<Course>,
}

impl PicturesView {
    /// What can be drawn of a case.
    pub(crate) fn new(case: &Case, vocabulary: &Vocabulary, told: &Told) -> Self {
        Self { map: eye_map(case, vocabulary, told), strip: strip(case, vocabulary, told), course: course(case, told) }
    }

    /// Leaves out what was drawn the same in the stage before: a reader wants to see what is new.
    pub(crate) fn without(mut self, earlier: Option<&Self>) -> Self {
        if let Some(earlier) = earlier {
            if self.map == earlier.map {
                self.map = None;
            }
            if self.strip == earlier.strip {
                self.strip = None;
            }
            if self.course == earlier.course {
                self.course = None;
            }
        }
        self
    }
}
