//! Export: the library in open formats, for spreadsheets, statistics and learning platforms.
//!
//! Tables as CSV with a Data Package descriptor (Frictionless Data, datapackage.org, version 2), decision points as packages
//! of IMS QTI 2.1 and 3.0 and as a table. Pure: a corpus and its analysis become an ordered map from path to bytes. Nothing
//! unchecked or withheld can get in, because a corpus holds nothing else.

mod csv;
mod markup;
mod qti;
mod questions;
mod table;
mod tables;
mod told;
mod zip;

use crate::model::analysis::Analysis;
use crate::model::corpus::Corpus;
use crate::model::digest::Digest;
use crate::model::site::{Page, Site, SitePath, Turn};
use crate::text::slug;
use qti::Version;
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// The descriptor's file name, by which a folder is known as an export.
pub const DESCRIPTOR: &str = "datapackage.json";

/// What goes with every copy of a library.
const CAUTION: &str = "Teaching material, not a clinical decision tool: local protocols and the responsible surgeon decide. \
     A teaching series is selected: its counts are not rates.";

/// The library in open formats: path → bytes.
///
/// # Panics
/// A table has a row that does not fit its columns, or a name that no file share could carry: faults of this program.
pub fn export<'a>(corpus: &Corpus, analysis: &Analysis) -> Site<'a> {
    let questions = questions::questions(corpus, analysis);
    let mut files: BTreeMap<String, Vec<u8>> = BTreeMap::new();
    let mut resources = Vec::new();
    for table in tables::all(corpus, analysis, &questions) {
        let bytes = table.bytes();
        let mut resource = table.descriptor();
        resource["bytes"] = json!(bytes.len());
        resource["hash"] = json!(format!("sha256:{}", Digest::of(&bytes)));
        resources.push(resource);
        files.insert(format!("{}.csv", table.name), bytes);
    }
    let language = corpus.library().language.as_str();
    if !questions.is_empty() {
        for version in [Version::Two, Version::Three] {
            files.insert(version.file().to_owned(), qti::package(version, &questions, language));
        }
    }
    let descriptor =
        serde_json::to_string_pretty(&descriptor(corpus, resources)).expect("JSON of texts and numbers") + "\n";
    files.insert(DESCRIPTOR.to_owned(), descriptor.into_bytes());
    let pages = files.into_iter().map(|(path, bytes)| {
        let turn = if path == DESCRIPTOR { Turn::Pointer } else { Turn::Page };
        (SitePath::new(path).expect("a name in lower-case letters"), (turn, Page::Ready(bytes)))
    });
    Site { audience: corpus.audience(), pages: pages.collect(), ..Site::default() }
}

fn descriptor(corpus: &Corpus, resources: Vec<Value>) -> Value {
    let library = corpus.library();
    let name = slug(&library.title);
    let mut says: Vec<String> = library.description.iter().cloned().collect();
    says.push(CAUTION.to_owned());
    says.extend(library.selection.as_ref().map(|selection| format!("How the cases were chosen: {selection}")));
    says.push(format!("For the audience: {}.", corpus.audience().word()));
    says.push("The library states no licence: ask before you pass it on.".to_owned());
    says.extend(library.contact.as_ref().map(|contact| format!("Whom to tell about a mistake: {contact}.")));
    says.push(csv::UNDO.to_owned());
    let mut out = json!({
        "$schema": "https://datapackage.org/profiles/2.0/datapackage.json",
        "name": if name.is_empty() { "library" } else { &name },
        "title": library.title,
        "description": says.join("\n\n"),
    });
    if let Some(edition) = &library.edition {
        out["version"] = json!(edition);
    }
    if let Some(unit) = &library.unit {
        out["contributors"] = json!([{"title": unit, "roles": ["publisher"]}]);
    }
    out["resources"] = json!(resources);
    out
}
