//! Standard output and error. A reader who goes away (`| head`) ends the command quietly.

use crate::diag::{Diagnostic, Tally, human, json};
use crate::model::site::PageError;
use crate::text::Sources;
use std::io::{IsTerminal as _, Write as _};

/// Where a command speaks.
pub(crate) struct Terminal {
    /// Whether somebody watches standard error.
    pub(crate) watched: bool,
}

impl Terminal {
    /// The process's own streams.
    pub(crate) fn new() -> Self {
        Self { watched: std::io::stderr().is_terminal() }
    }

    /// Prints data to standard output.
    pub(crate) fn say(&self, text: &str) {
        // A closed pipe is the reader's choice, not an error of ours.
        let _ = std::io::stdout().lock().write_all(text.as_bytes());
    }

    /// Prints a document for programs to standard output.
    pub(crate) fn say_json(&self, document: &impl serde::Serialize) {
        self.say(&(serde_json::to_string_pretty(document).unwrap_or_default() + "\n"));
    }

    /// Prints a message to standard error.
    pub(crate) fn tell(&self, text: &str) {
        let _ = std::io::stderr().lock().write_all(text.as_bytes());
    }

    /// Prints why a command could not run.
    pub(crate) fn could_not(&self, why: &str) {
        self.tell(&format!("casewright: {why}\n"));
    }

    /// Overwrites the line that shows how far a long run has come; only when somebody watches.
    pub(crate) fn progress(&self, text: &str) {
        if self.watched {
            self.tell(&format!("\r\u{1b}[K{text}"));
        }
    }

    /// Prints a report for people on standard error.
    pub(crate) fn report(&self, diagnostics: &[Diagnostic], sources: &Sources) {
        self.tell(&human::report(diagnostics, sources));
    }

    /// Prints what is wrong with a library's own theme.
    pub(crate) fn faulty_theme(&self, errors: &[PageError]) {
        for error in errors {
            self.tell(&format!("{}\n", error.words()));
        }
    }

    /// Prints a report for programs on standard output.
    pub(crate) fn report_json(&self, diagnostics: &[Diagnostic], sources: &Sources) {
        self.say(&json::report(diagnostics, sources));
    }
}

/// `2 errors, 1 warning`.
pub(crate) fn tally(diagnostics: &[Diagnostic]) -> String {
    human::tally(Tally::of(diagnostics))
}
