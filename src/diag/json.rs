//! The report for machines: a versioned JSON document. Its shape is a promise; fields are added, never changed.

use super::places::Places;
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

fn place<'a>(span: Option<Span>, path: &'a str, places: &Places<'a>) -> Place<'a> {
    let (start, end) = (span.and_then(|span| places.start(span)), span.and_then(|span| places.end(span)));
    Place {
        path: start.as_ref().map_or(path, |spot| &spot.source.path),
        line: start.as_ref().map(|spot| spot.position.line),
        column: start.as_ref().map(|spot| spot.position.column),
        end_line: end.as_ref().map(|spot| spot.position.line),
        end_column: end.as_ref().map(|spot| spot.position.column),
    }
}

/// The report as one JSON document, ending in a line break. Lines and columns count from 1, columns in characters.
pub fn report(diagnostics: &[Diagnostic], sources: &Sources) -> String {
    let mut text = serde_json::to_string_pretty(&value(diagnostics, sources)).unwrap_or_default();
    text.push('\n');
    text
}

/// The same as a value, to stand in a larger document.
pub fn value(diagnostics: &[Diagnostic], sources: &Sources) -> serde_json::Value {
    let tally = Tally::of(diagnostics);
    let places = Places::new(sources);
    let items = diagnostics
        .iter()
        .map(|diagnostic| Item {
            rule: diagnostic.rule.name,
            severity: diagnostic.severity().word(),
            message: &diagnostic.message,
            place: place(diagnostic.span, &diagnostic.path, &places),
            also: diagnostic
                .also
                .iter()
                .map(|(span, what)| Also { what, place: place(Some(*span), "", &places) })
                .collect(),
            mend: &diagnostic.mends,
        })
        .collect();
    serde_json::to_value(Document {
        version: VERSION,
        errors: tally.errors,
        warnings: tally.warnings,
        advice: tally.advice,
        diagnostics: items,
    })
    .unwrap_or_default()
}
