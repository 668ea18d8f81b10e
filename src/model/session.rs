//! A teaching session: cases in the order in which they are taught, with times and notes for whoever leads it.

use super::case::Text;
use super::format::AUDIENCES;
use super::shape::Record;
use super::shape::Shape::{self, List, Map, Name, Notation, Words};
use super::shape::{may, must};
use super::site::Audience;
use crate::text::{Span, Spanned};

/// The contents of a file under `sessions/`.
#[derive(Debug, Clone)]
pub struct Session {
    /// The file's name without ending.
    pub name: String,
    /// What it is called; learners read it, so it gives nothing away.
    pub title: Text,
    /// Who may read it.
    pub audience: Spanned<Audience>,
    /// How long it takes.
    pub minutes: Option<Spanned<u32>>,
    /// For whom it is.
    pub learners: Option<Text>,
    /// What learners can do afterwards.
    pub aims: Vec<Text>,
    /// What is gone through, in order.
    pub parts: Vec<Part>,
    /// For whoever leads it.
    pub notes: Option<Text>,
}

/// A part of a session.
#[derive(Debug, Clone)]
pub struct Part {
    /// The whole entry.
    pub span: Span,
    /// What is gone through.
    pub what: What,
    /// How long it takes.
    pub minutes: Option<Spanned<u32>>,
    /// For whoever leads it.
    pub note: Option<Text>,
}

/// What a part goes through.
#[derive(Debug, Clone)]
pub enum What {
    /// A case, decision by decision.
    Case {
        /// Its name.
        case: Text,
        /// The decisions that are asked, by name; all of them if there is none.
        decisions: Vec<Text>,
    },
    /// Two cases against each other.
    Pair(Text, Text),
}

impl Session {
    /// The cases it names, each with its place.
    pub fn cases(&self) -> impl Iterator<Item = &Text> {
        self.parts.iter().flat_map(|part| match &part.what {
            What::Case { case, .. } => vec![case],
            What::Pair(one, other) => vec![one, other],
        })
    }
}

/// A part of a teaching session.
pub static PART: Record = Record {
    name: "a part of a session",
    fields: &[
        may("case", Name, "The case that is gone through."),
        may("decisions", List(&Name), "The decisions that are asked, by name; all of them without this."),
        may("compare", List(&Name), "Instead of a case: two cases to set against each other."),
        may("minutes", Notation("number", "12"), "How long it takes."),
        may("note", Shape::Text, "For whoever leads it."),
    ],
};

/// A teaching session, a file under `sessions/`.
pub static SESSION: Record = Record {
    name: "a session",
    fields: &[
        must("title", Shape::Text, "What it is called; learners read it, so it gives nothing away."),
        must("audience", Words(AUDIENCES), "Who may read it."),
        may("minutes", Notation("number", "45"), "How long it takes."),
        may("learners", Shape::Text, "For whom it is."),
        may("aims", List(&Shape::Text), "What learners can do afterwards."),
        must("parts", List(&Map(&PART)), "What is gone through, in order."),
        may("notes", Shape::Text, "For whoever leads it."),
    ],
};
