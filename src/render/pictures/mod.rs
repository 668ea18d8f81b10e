//! Pictures computed from a case: inline SVG that takes its colours from the style sheet, each with a text equivalent.
//!
//! A picture is made of the parts that are told so far, so that on the open reading nothing is drawn too early, and it
//! is drawn where it shows something new.
//! Coordinates are rounded to a tenth: the same case gives the same bytes everywhere.

pub(crate) mod build_up;
pub(crate) mod course;
pub(crate) mod eye_map;
mod face;
pub(crate) mod shift;
pub(crate) mod spread;
pub(crate) mod strip;
mod svg;

use crate::model::analysis::Stage;
use serde::Serialize;
use std::collections::BTreeSet;

/// A picture and its words.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub(crate) struct Picture {
    /// The drawing, safe HTML.
    pub(crate) svg: String,
    /// What it is, beneath it.
    pub(crate) caption: String,
}

/// One row of a key: the sign in the picture and what it stands for.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub(crate) struct KeyRow {
    /// The letter or number beside the mark.
    pub(crate) sign: String,
    /// What it stands for.
    pub(crate) words: String,
}

/// Which parts of a case are told: the union of the stages that are open.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(crate) struct Told {
    pub(crate) conversion: bool,
    pub(crate) steps: BTreeSet<usize>,
    pub(crate) operators: BTreeSet<usize>,
    pub(crate) complications: BTreeSet<usize>,
    pub(crate) outcomes: BTreeSet<usize>,
    pub(crate) later: BTreeSet<usize>,
    pub(crate) decisions: BTreeSet<usize>,
}

impl Told {
    /// Opens further stages.
    pub(crate) fn add(&mut self, stages: &[Stage]) {
        for stage in stages {
            self.conversion |= stage.conversion;
            self.steps.extend(&stage.steps);
            self.operators.extend(&stage.operators);
            self.complications.extend(&stage.complications);
            self.outcomes.extend(&stage.outcomes);
            self.later.extend(&stage.later);
            self.decisions.extend(stage.decision);
        }
    }
}
