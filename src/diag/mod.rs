//! Diagnostics: one shape for everything that can be said about a place in a file.
//!
//! A phase makes [`Diagnostic`]s and never prints them. Renderers ([`human`], [`json`]) word the frame.

pub mod human;
pub mod json;
mod places;
mod private;
mod rule;

use crate::text::{Sources, Span, any_of};
pub use rule::{Rule, Severity};

/// Something said about a place, with how to mend it.
#[derive(Debug, Clone)]
pub struct Diagnostic {
    /// The rule that speaks.
    pub rule: &'static Rule,
    /// What is wrong, in one sentence without a full stop; the one thing shown if only one can be.
    pub message: String,
    /// The file as the library names it, relative with `/`.
    pub path: String,
    /// The exact token, when the place is inside a text that was read.
    pub span: Option<Span>,
    /// Further places that belong to it, each with what it shows.
    pub also: Vec<(Span, String)>,
    /// How to mend it, one way a line.
    pub mends: Vec<String>,
}

impl Diagnostic {
    /// A diagnostic at a span. The path is filled in when it enters a [`Report`] that knows the sources.
    pub fn at(rule: &'static Rule, span: Span, message: impl Into<String>) -> Self {
        Self {
            rule,
            message: message.into(),
            path: String::new(),
            span: Some(span),
            also: Vec::new(),
            mends: Vec::new(),
        }
    }

    /// A diagnostic about a whole file or folder.
    pub fn file(rule: &'static Rule, path: impl Into<String>, message: impl Into<String>) -> Self {
        Self { rule, message: message.into(), path: path.into(), span: None, also: Vec::new(), mends: Vec::new() }
    }

    /// Adds a way to mend it.
    #[must_use]
    pub fn mend(mut self, how: impl Into<String>) -> Self {
        self.mends.push(how.into());
        self
    }

    /// Adds whole texts, each of which could stand in place of what was found.
    #[must_use]
    pub fn or_write(self, texts: &[String]) -> Self {
        let texts: Vec<String> = texts.iter().map(|text| format!("`{text}`")).collect();
        if texts.is_empty() { self } else { self.mend(format!("write {}", any_of(&texts))) }
    }

    /// Adds another place and what it shows.
    #[must_use]
    pub fn also(mut self, span: Span, what: impl Into<String>) -> Self {
        self.also.push((span, what.into()));
        self
    }

    /// How heavy it is.
    pub fn severity(&self) -> Severity {
        self.rule.severity
    }

    /// The key that makes the order of a report independent of the order of discovery.
    fn key(&self) -> (&str, u32, u32, Severity, &str, &str) {
        let (start, end) = self.span.map_or((0, 0), |span| (span.start, span.end));
        (&self.path, start, end, self.severity(), self.rule.name, &self.message)
    }
}

/// Collects diagnostics of a run and gives them back sorted and without repeats.
#[derive(Debug, Default)]
pub struct Report {
    items: Vec<Diagnostic>,
}

impl Report {
    /// Adds one diagnostic.
    pub fn add(&mut self, diagnostic: Diagnostic) {
        self.items.push(diagnostic);
    }

    /// Adds many.
    pub fn extend(&mut self, more: impl IntoIterator<Item = Diagnostic>) {
        self.items.extend(more);
    }

    /// The diagnostics in canonical order: path, place, severity, rule, text; equal ones once. What a rule that does not
    /// quote has found stands in no other's sentence.
    pub fn finish(mut self, sources: &Sources) -> Vec<Diagnostic> {
        for item in &mut self.items {
            if let Some(source) = item.span.and_then(|span| sources.get(span.file)) {
                item.path.clone_from(&source.path);
            }
        }
        self.items.sort_by(|one, other| one.key().cmp(&other.key()));
        self.items.dedup_by(|one, other| one.key() == other.key());
        private::hide(&mut self.items, sources);
        self.items
    }
}

/// How many errors, warnings and pieces of advice a report holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Tally {
    /// Errors: the case cannot be published.
    pub errors: usize,
    /// Warnings: published, but somebody should look.
    pub warnings: usize,
    /// Advice: could be better.
    pub advice: usize,
}

impl Tally {
    /// Counts a report.
    pub fn of(diagnostics: &[Diagnostic]) -> Self {
        let mut tally = Self::default();
        for diagnostic in diagnostics {
            match diagnostic.severity() {
                Severity::Error => tally.errors += 1,
                Severity::Warning => tally.warnings += 1,
                Severity::Advice => tally.advice += 1,
            }
        }
        tally
    }
}
