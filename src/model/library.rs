//! What a library says of itself.

use super::risk::Models;
use super::session::Session;

/// How much each part counts. Within a group only the shares matter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Weights {
    /// Parts of eye difficulty: odds of rupture, potential difficulty, eye burden.
    pub eye: [f64; 3],
    /// Parts of the reading order: eye difficulty, demand, judgement.
    pub order: [f64; 3],
}

impl Default for Weights {
    /// Common practice, no source: the model with the most operations behind it counts most, the eye before the operation.
    fn default() -> Self {
        Self { eye: [40.0, 30.0, 30.0], order: [50.0, 30.0, 20.0] }
    }
}

/// Days after which a question is asked again, box by box, where a library says nothing else. A scheme of boxes goes back to
/// Leitner 1972, So lernt man lernen (from memory); the intervals grow about threefold, which is common practice without a source.
pub const INTERVALS: [f64; 5] = [1.0, 3.0, 8.0, 21.0, 60.0];

/// The contents of `library.yaml`.
#[derive(Debug, Clone, Default)]
pub struct Library {
    /// Its name.
    pub title: String,
    /// The unit that publishes it.
    pub unit: Option<String>,
    /// What it is and for whom.
    pub description: Option<String>,
    /// Edition, a year or a year and month.
    pub edition: Option<String>,
    /// How its cases were chosen.
    pub selection: Option<String>,
    /// Whom to tell about a mistake: a role.
    pub contact: Option<String>,
    /// Language tag of its text.
    pub language: String,
    /// A short name that never changes; a browser keeps a reader's progress under it. Made from the title where none is written.
    pub id: String,
    /// Days after which practice asks again, box by box, growing.
    pub intervals: Vec<f64>,
    /// How much each part of an index counts.
    pub weights: Weights,
    /// The models of risk and difficulty, from their own files.
    pub models: Models,
    /// Teaching sessions, from their own files; once checked, those that this audience may read, in order of name.
    pub sessions: Vec<Session>,
}
