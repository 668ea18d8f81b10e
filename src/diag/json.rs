//! The report for machines: a versioned JSON document. Its shape is a promise; fields are added, never changed.

use super::{Diagnostic, Tally};
use crate::text::{Sources, Span};
use serde::Serialize;

/// Version of the shape below.
const VERSION: u32 = 1;

#[derive(Serialize)]
struct Document<'a> {
    version: u32,
    errors: usize,
    warnings: usize,
    advice: usize,
    diagnostics: Vec<Item<'a>>,
}

#[derive(Serialize)]
struct Item<'a> {
    rule: &'a str,
    severity: &'a str,
    message: &'a str,
    #[serde(flatten)]
    place: Place<'a>,
    also: Vec<Also<'a>>,
    mend: &'a [String],
}

#[derive(Serialize)]
struct Also<'a> {
    what: &'a str,
    #[serde(flatten)]
    place: Place<'a>,
}

#[derive(Serialize)]
struct Place<'a> {
    path: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    line: Option<usize>,
    #[serde(skip_serializing_if = "Option::is_none")]
    column: Option<usize>,
    #[serde(skip_serializing_if = "Option::is_none")]
    end_line: Option<usize>,
    #[serde(skip_serializing_if = "Option::is_none")]
    end_column: Option<usize>,
}

fn place<'a>(span: Option<Span>, path: &'a str, sources: &'a Sources) -> Place<'a> {
    let found = span.and_then(|span| Some((span, sources.get(span.file)?)));
    let (start, end) = match found {
        Some((span, source)) => (Some(source.position(span.start as usize)), Some(source.position(span.end as usize))),
        None => (None, None),
    };
    Place {
        path: found.map_or(path, |(_, source)| &source.path),
        line: start.map(|at| at.line),
        column: start.map(|at| at.column),
        end_line: end.map(|at| at.line),
        end_column: end.map(|at| at.column),
    }
}

/// The report as one JSON document, ending in a line break. Lines and columns count from 1, columns in characters.
pub fn report(diagnostics: &[Diagnostic], sources: &Sources) -> String {
    let tally = Tally::of(diagnostics);
    let items = diagnostics
        .iter()
        .map(|diagnostic| Item {
            rule: diagnostic.rule.name,
            severity: diagnostic.severity().word(),
            message: &diagnostic.message,
            place: place(diagnostic.span, &diagnostic.path, sources),
            also: diagnostic
                .also
                .iter()
                .map(|(span, what)| Also { what, place: place(Some(*span), "", sources) })
                .collect(),
            mend: &diagnostic.mends,
        })
        .collect();
    let document = Document {
        version: VERSION,
        errors: tally.errors,
        warnings: tally.warnings,
        advice: tally.advice,
        diagnostics: items,
    };
    let mut text = serde_json::to_string_pretty(&document).unwrap_or_default();
    text.push('\n');
    text
}
