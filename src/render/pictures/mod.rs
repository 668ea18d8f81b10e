//! Pictures computed from a case: inline SVG that takes its colours from the style sheet, each with a text equivalent.
//!
//! A picture is made of the parts that are told so far, so that on the open reading nothing is drawn too early.
//! Coordinates are rounded to a tenth: the same case gives the same bytes everywhere.

pub(crate) mod course;
pub(crate) mod eye_map;
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
    pub(crate) incision: bool,
    pub(crate) ports: BTreeSet<usize>,
    pub(crate) lens: bool,
    pub(crate) conversion: bool,
    pub(crate) steps: BTreeSet<usize>,
    pub(crate) devices: BTreeSet<usize>,
    pub(crate) operators: BTreeSet<usize>,
    pub(crate) complications: BTreeSet<usize>,
    pub(crate) outcomes: BTreeSet<usize>,
    pub(crate) decisions: BTreeSet<usize>,
}

impl Told {
    /// What is told once the given stages are open.
    pub(crate) fn of(stages: &[Stage]) -> Self {
        let mut told = Self::default();
        for stage in stages {
            told.incision |= stage.incision;
            told.ports.extend(&stage.ports);
            told.lens |= stage.lens;
            told.conversion |= stage.conversion;
            told.steps.extend(&stage.steps);
            told.devices.extend(&stage.devices);
            told.operators.extend(&stage.operators);
            told.complications.extend(&stage.complications);
            told.outcomes.extend(&stage.outcomes);
            told.decisions.extend(stage.decision);
        }
        told
    }
}
