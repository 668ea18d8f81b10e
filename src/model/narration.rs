//! A timed narration: what somebody said over the film of an operation, as a recogniser or a typist wrote it down.

use crate::text::Span;

/// Words with the time at which they were said.
#[derive(Debug, Clone, PartialEq)]
pub struct Cue {
    /// Seconds from the start of the film.
    pub from: f64,
    /// Seconds from the start; none where the file does not say when the words end.
    pub to: Option<f64>,
    /// What was said, as plain text on one line.
    pub words: String,
    /// The line that holds the time.
    pub span: Span,
}

/// The cues of one file in order of time.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Narration {
    /// In order of time.
    pub cues: Vec<Cue>,
}
