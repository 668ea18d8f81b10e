//! `library.yaml` into [`Library`].

use super::lower::{Fields, Lower};
use super::rules::unreadable_value;
use super::yaml;
use crate::diag::Diagnostic;
use crate::model::format;
use crate::model::library::{INTERVALS, Library, Weights};
use crate::model::measure::After;
use crate::model::risk::Models;
use crate::text::{Source, slug};

/// Reads `library.yaml`. Everything wrong is added to `out`.
pub fn library(source: &Source, out: &mut Vec<Diagnostic>) -> Library {
    let document = yaml::parse(&source.text, source.id, 0, out);
    let mut lower = Lower { out, lost: document.lost };
    let fields = lower
        .fields(&document.root, &format::LIBRARY)
        .unwrap_or_else(|| Fields::none(document.root.span, &format::LIBRARY));
    let mut text = |key: &str| lower.text(fields.get(key)).map(|text| text.value);
    let mut library = Library {
        title: text("title").unwrap_or_default(),
        unit: text("unit"),
        description: text("description"),
        edition: None,
        selection: text("selection"),
        contact: text("contact"),
        language: text("language").unwrap_or_else(|| "en-GB".to_owned()),
        id: String::new(),
        intervals: INTERVALS.to_vec(),
        weights: Weights::default(),
        models: Models::default(),
        sessions: Vec::new(),
    };
    if let Some(fields) = fields.get("weights").and_then(|node| lower.fields(node, &format::WEIGHTS)) {
        let weights = &mut library.weights;
        let parts = format::WEIGHTS.fields.iter().zip(weights.eye.iter_mut().chain(&mut weights.order));
        for (field, weight) in parts {
            if let Some(read) = lower.notation(fields.get(field.name), super::models::weight) {
                *weight = read.value;
            }
        }
        for (group, of) in [(weights.eye, "an eye's difficulty"), (weights.order, "the reading order")] {
            if group.iter().sum::<f64>() <= 0.0 {
                lower.out.push(unreadable_value::found(fields.span, format!("all weights of {of} are 0"), &[]));
            }
        }
    }
    library.id = lower.name(fields.get("id")).map_or_else(|| slug(&library.title), |id| id.value);
    if let Some(fields) = fields.get("practice").and_then(|node| lower.fields(node, &format::PRACTICE)) {
        let after = lower.list(fields.get("ask again after"), |lower, item| lower.notation(Some(item), After::parse));
        let days: Vec<f64> = after.iter().map(|after| after.value.days()).collect();
        if let Some(at) = (1..days.len()).find(|&at| days[at] <= days[at - 1]) {
            let message = "each time has to be longer than the one before: a good answer comes again later".to_owned();
            lower.out.push(unreadable_value::found(after[at].span, message, &[]));
        } else if days.first().is_some_and(|first| *first < 1.0) {
            let message = "a day at least: what comes again the same evening is no review".to_owned();
            lower.out.push(unreadable_value::found(after[0].span, message, &[]));
        } else if days.len() == 1 {
            let message = "two times at least: one after a mistake, one after a good answer".to_owned();
            lower.out.push(unreadable_value::found(after[0].span, message, &[]));
        } else if !days.is_empty() {
            library.intervals = days;
        }
    }
    library.edition = lower.notation(fields.get("edition"), super::case::month_or_year).map(|edition| edition.value);
    library
}
