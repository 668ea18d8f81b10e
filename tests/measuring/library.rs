//! Made-up libraries on disk.

use super::generate::Generator;
use casewright::diag::{Severity, human};
use casewright::discover::discover;
use casewright::files::{Disk, Memory};
use casewright::model::site::Audience;
use casewright::pipeline;
use rayon::prelude::*;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// The seed of every library that is measured.
const SEED: u64 = 2026;

/// Writes a library of so many cases into a new folder.
pub(crate) fn write(folder: &Path, cases: u64) {
    std::fs::create_dir_all(folder).expect("a new folder");
    let built_in = discover(&Memory::default()).expect("the built-in vocabulary");
    let (vocabulary, _) = pipeline::vocabulary(&built_in);
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("cases");
    let found = discover(&Disk::new(demo, &[])).expect("the demo library");
    let narratives: Vec<String> = found
        .cases
        .iter()
        .filter_map(|case| found.sources.get(case.markdown))
        .map(|source| source.text.splitn(3, "---\n").last().unwrap_or("").to_owned())
        .collect();
    let generator = Generator::new(SEED, &vocabulary, &narratives);
    (0..cases).into_par_iter().for_each(|number| {
        let file = folder.join(format!("{}.md", Generator::name(number)));
        std::fs::write(file, generator.case(number)).expect("room for a case");
    });
    let about = "title: A made-up library\nunit: Tarn Valley Eye Unit\ndescription: Made up to measure with.\n";
    std::fs::write(folder.join("library.yaml"), about).expect("room for a file");
}

/// The files of the cases in a folder, in order of name.
pub(crate) fn cases(folder: &Path) -> Vec<PathBuf> {
    let entries = std::fs::read_dir(folder).expect("a library");
    let mut files: Vec<PathBuf> = entries.map(|entry| entry.expect("an entry").path()).collect();
    files.retain(|path| path.extension().is_some_and(|ending| ending == "md"));
    files.sort();
    files
}

/// Changes the prose of one case in the middle of the library.
pub(crate) fn change(folder: &Path) {
    let files = cases(folder);
    let file = &files[files.len() / 2];
    let text = std::fs::read_to_string(file).expect("a case");
    std::fs::write(file, format!("{text}\nIt rained that day.\n")).expect("room for a case");
}

/// Makes sure that there is no error in a library, and counts the distinct words of its cases.
pub(crate) fn proofread(folder: &Path) -> usize {
    let inputs = discover(&Disk::new(folder, &[])).expect("a library");
    let words: BTreeSet<String> = inputs
        .cases
        .par_iter()
        .filter_map(|case| inputs.sources.get(case.markdown))
        .map(|source| {
            let words = source.text.split(|letter: char| !letter.is_alphabetic()).filter(|word| !word.is_empty());
            words.map(str::to_lowercase).collect::<BTreeSet<_>>()
        })
        .reduce(BTreeSet::new, |mut one, mut other| {
            if one.len() < other.len() {
                std::mem::swap(&mut one, &mut other);
            }
            one.extend(other);
            one
        });
    let prepared = pipeline::prepare(inputs, Audience::Department);
    let errors: Vec<_> =
        prepared.diagnostics.iter().filter(|it| it.severity() == Severity::Error).take(5).cloned().collect();
    assert!(errors.is_empty(), "a made-up case has errors:\n{}", human::report(&errors, &prepared.inputs.sources));
    words.len()
}
