//! What the tests share: a sound case, the demo library, and ways to run the first phases.

use casewright::check::{Judge, Judged, Parsed};
use casewright::diag::{Diagnostic, Severity};
use casewright::discover::discover;
use casewright::files::{Disk, Files, Memory};
use casewright::model::held::Shelf;
use casewright::model::site::Audience;
use casewright::pipeline::{self, Prepared};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// A complete case to which no rule objects.
pub(crate) const BASE: &str = include_str!("support/base.md");

/// The least that makes a folder a library.
pub(crate) const LIBRARY: &str = "title: A library for tests\n";

/// The repository's root.
pub(crate) fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// A library in memory that holds nothing yet.
pub(crate) fn library() -> Memory {
    Memory::default().with("library.yaml", LIBRARY)
}

/// The demo library.
pub(crate) fn demo() -> Disk {
    Disk::new(root().join("cases"), &[])
}

/// The demo cases: name without ending, and text, in order of name.
pub(crate) fn demo_cases() -> Vec<(String, String)> {
    let files = demo();
    let paths = files.list().expect("the demo library opens");
    let text = |path: &str| String::from_utf8(files.read(path).expect("a demo file is readable")).expect("UTF-8");
    paths
        .iter()
        .filter_map(|entry| Some((entry.path.strip_suffix(".md")?.to_owned(), text(&entry.path))))
        .filter(|(name, _)| !name.eq_ignore_ascii_case("readme"))
        .collect()
}

/// Discovers, parses and checks a library for the department.
pub(crate) fn prepare(files: &dyn Files) -> Prepared {
    prepare_for(files, Audience::Department)
}

/// Discovers, parses and checks a library for an audience.
pub(crate) fn prepare_for(files: &dyn Files, audience: Audience) -> Prepared {
    pipeline::prepare(discover(files).expect("the library opens"), audience)
}

/// Remembers nothing, and packs every case as if there were thousands.
pub(crate) struct Packing;

impl pipeline::Memory for Packing {
    fn shelf(&self, _: usize) -> Option<Arc<dyn Shelf>> {
        Some(Arc::new(pipeline::Temporary::open()))
    }

    fn judged(&self, at: usize, parse: &dyn Fn() -> Parsed, judge: Judge<'_>) -> Judged {
        pipeline::Afresh.judged(at, parse, judge)
    }
}

/// Prepares the library in a folder.
pub(crate) fn prepare_folder(folder: &Path) -> Prepared {
    prepare(&Disk::new(folder, &[]))
}

/// Where a diagnostic stands, `a.md:7:12`, or only its path.
pub(crate) fn place(diagnostic: &Diagnostic, prepared: &Prepared) -> String {
    match diagnostic.span.and_then(|span| Some((span, prepared.inputs.sources.get(span.file)?))) {
        Some((span, source)) => {
            let at = source.position(span.start as usize);
            format!("{}:{}:{}", diagnostic.path, at.line, at.column)
        }
        None => diagnostic.path.clone(),
    }
}

/// Every diagnostic as `error rule-name a.md:7:12`, in the order of the report.
pub(crate) fn said(prepared: &Prepared) -> Vec<String> {
    let line = |it: &Diagnostic| format!("{} {} {}", it.severity().word(), it.rule.name, place(it, prepared));
    prepared.diagnostics.iter().map(line).collect()
}

/// The names of the rules that found an error, each once, in order.
pub(crate) fn errors(prepared: &Prepared) -> Vec<&'static str> {
    let mut names: Vec<&str> =
        prepared.diagnostics.iter().filter(|it| it.severity() == Severity::Error).map(|it| it.rule.name).collect();
    names.sort_unstable();
    names.dedup();
    names
}

/// Front matter with its fences, and narrative of a case file whose fences are sound.
pub(crate) fn halves(text: &str) -> (&str, &str) {
    let inner = text.strip_prefix("---\n").expect("an opening fence");
    let end = inner.find("\n---\n").expect("a closing fence") + 1;
    (&inner[..end], &inner[end + 4..])
}
