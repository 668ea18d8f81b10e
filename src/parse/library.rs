//! `library.yaml` into [`Library`].

use super::lower::{Fields, Lower};
use super::yaml;
use crate::diag::Diagnostic;
use crate::model::format;
use crate::model::library::Library;
use crate::text::Source;

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
    };
    library.edition = lower.notation(fields.get("edition"), super::case::month_or_year).map(|edition| edition.value);
    library
}
