//! What is measured. Each piece of work runs in a process of its own, so that the peak of its memory is its own too,
//! and tells its figures in lines that begin with `@`.

use super::{library, machine};
use casewright::analyse::{analyse, with_search, without_search};
use casewright::files::Disk;
use casewright::model::site::{Audience, Page};
use casewright::pipeline::{self, Prepared};
use casewright::publish::{Operation, Options, publish};
use casewright::{discover::discover, render};
use frostem::{Algorithm, Stemmer};
use rayon::prelude::*;
use std::collections::{BTreeMap, HashMap};
use std::path::Path;
use std::sync::Mutex;
use std::time::Instant;
use unicode_normalization::{UnicodeNormalization, char::is_combining_mark};

/// Largest page that may be.
const LARGEST: usize = 300_000;

/// Does the work that the arguments name, if they name one.
pub(crate) fn child(arguments: &[String]) -> bool {
    let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
    let began = Instant::now();
    match arguments[..] {
        ["compile", ..] => {
            let exit = casewright::cli::run();
            assert_eq!(exit, casewright::cli::Exit::Fine, "the library does not compile");
        }
        ["library", folder, cases] => {
            library::write(Path::new(folder), cases.parse().expect("a number of cases"));
            tell("words", library::proofread(Path::new(folder)) as f64);
        }
        ["floor", library, into] => floor(Path::new(library), Path::new(into)),
        ["words", library] => words(Path::new(library)),
        ["search", library] => search(library),
        ["searchless", library, into] => searchless(library, Path::new(into)),
        ["phases", library, into] => phases(library, Path::new(into)),
        ["pages", library] => pages(library),
        _ => return false,
    }
    tell("wall", began.elapsed().as_secs_f64());
    tell("used", machine::used());
    tell("peak", machine::peak());
    true
}

#[expect(clippy::print_stdout, reason = "figures go to the process that asked for them")]
fn tell(name: &str, figure: f64) {
    println!("@{name} {figure}");
}

/// A: the least that any program does which makes two pages of each case. Read, Markdown to HTML, write, on all cores.
fn floor(library: &Path, into: &Path) {
    std::fs::create_dir_all(into).expect("a new folder");
    library::cases(library).par_iter().for_each(|path| {
        let text = std::fs::read_to_string(path).expect("a case");
        let mut html = String::with_capacity(text.len() * 3 / 2);
        pulldown_cmark::html::push_html(&mut html, pulldown_cmark::Parser::new(&text));
        let name = path.file_stem().unwrap_or_default().to_string_lossy();
        for page in [format!("{name}.html"), format!("{name}-ask.html")] {
            std::fs::write(into.join(page), &html).expect("room for a page");
        }
    });
}

/// B: the least that any program does which tells how often each word stands in each case. Read, fold, stem, count, on all
/// cores; each different word is stemmed once in a case.
fn words(library: &Path) {
    let counts: Vec<HashMap<String, u32>> = library::cases(library)
        .par_iter()
        .map(|path| {
            let text = std::fs::read_to_string(path).expect("a case");
            let folded: String = text.nfkd().filter(|letter| !is_combining_mark(*letter)).collect();
            let folded = folded.to_lowercase();
            let mut written: HashMap<&str, u32> = HashMap::new();
            folded.split(|letter: char| !letter.is_alphanumeric()).filter(|word| !word.is_empty()).for_each(|word| {
                *written.entry(word).or_default() += 1;
            });
            let stemmer = Stemmer::new(Algorithm::English);
            let mut stems: HashMap<String, u32> = HashMap::with_capacity(written.len());
            written.into_iter().for_each(|(word, count)| {
                *stems.entry(stemmer.stem(word).into_owned()).or_default() += count;
            });
            stems
        })
        .collect();
    tell("counted", counts.iter().flat_map(HashMap::values).map(|count| f64::from(*count)).sum());
}

/// A library on disk, parsed and checked.
fn prepared(library: &str) -> Prepared {
    pipeline::prepare(discover(&Disk::new(library, &[])).expect("a library"), Audience::Department)
}

/// The index of the search, from the checked cases to the bytes of its files, with the time that this takes alone.
fn search(library: &str) {
    let prepared = prepared(library);
    let corpus = &prepared.checked.corpus;
    let analysis = without_search(corpus);
    let began = Instant::now();
    let analysis = with_search(corpus, analysis);
    let parts = render::search::parts(&analysis.search);
    tell("index", began.elapsed().as_secs_f64());
    tell("index bytes", parts.files.iter().map(|(_, bytes)| bytes.len()).sum::<usize>() as f64);
}

/// The whole compile into an empty folder, but nothing is indexed.
fn searchless(library: &str, into: &Path) {
    let prepared = prepared(library);
    let analysis = without_search(&prepared.checked.corpus);
    let theme = render::Theme::new(&prepared.inputs.theme).expect("a sound theme");
    let site = render::render(&prepared.checked.corpus, &analysis, &theme).expect("a site");
    publish(&site, into, &Options::default()).expect("room for the site");
}

/// The whole compile by the library's own functions, with the time of each.
fn phases(library: &str, into: &Path) {
    let mut last = Instant::now();
    let mut lap = |name: &str| {
        tell(name, last.elapsed().as_secs_f64());
        tell(&format!("held after {name}"), machine::held());
        last = Instant::now();
    };
    let inputs = discover(&Disk::new(library, &[])).expect("a library");
    lap("discover");
    let prepared = pipeline::prepare(inputs, Audience::Department);
    lap("parse and check");
    let analysis = analyse(&prepared.checked.corpus);
    lap("analyse");
    let theme = render::Theme::new(&prepared.inputs.theme).expect("a sound theme");
    let site = render::render(&prepared.checked.corpus, &analysis, &theme).expect("a site");
    lap("lay out");
    // From the first step of bringing everything safely to the disk to the next operation.
    let syncing: Mutex<(Option<Instant>, f64)> = Mutex::default();
    let watch = |operation: &Operation<'_>| {
        let mut syncing = syncing.lock().expect("one thread at a time");
        if let Some(since) = syncing.0.take() {
            syncing.1 += since.elapsed().as_secs_f64();
        }
        syncing.0 = (operation.verb == "sync").then(Instant::now);
        None
    };
    publish(&site, into, &Options { faults: Some(&watch), ..Options::default() }).expect("room for the site");
    lap("make and write pages");
    let (last, seconds) = syncing.into_inner().expect("no thread left");
    tell("of it, sync", seconds + last.map_or(0.0, |since| since.elapsed().as_secs_f64()));
}

/// Every page made on all cores and thrown away, then what they are.
fn pages(library: &str) {
    let prepared = prepared(library);
    let inputs = &prepared.inputs;
    let source: usize =
        inputs.cases.iter().filter_map(|case| inputs.sources.get(case.markdown)).map(|it| it.text.len()).sum();
    let analysis = analyse(&prepared.checked.corpus);
    let theme = render::Theme::new(&prepared.inputs.theme).expect("a sound theme");
    let site = render::render(&prepared.checked.corpus, &analysis, &theme).expect("a site");
    let began = Instant::now();
    let pages: Vec<_> = site.pages.iter().collect();
    let sizes: Vec<(&str, usize)> = pages
        .par_iter()
        .map(|(path, (_, page))| {
            let size = match page {
                Page::Ready(bytes) => bytes.len(),
                Page::Made(maker) => maker().expect("a sound page").len(),
                // Made at the disk, from the picture; its size is at most that of the copy.
                Page::Smaller(smaller) => usize::try_from(smaller.of.size).expect("a size"),
                Page::Copied(copy) => usize::try_from(copy.size).expect("a size"),
            };
            (path.as_str(), size)
        })
        .collect();
    tell("make pages", began.elapsed().as_secs_f64());
    let mut groups: BTreeMap<&str, (usize, usize)> = BTreeMap::new();
    for (path, size) in &sizes {
        let group = groups.entry(group(path)).or_default();
        *group = (group.0 + 1, group.1 + size);
    }
    for (name, (count, bytes)) in groups {
        tell(&format!("count of {name}"), count as f64);
        tell(&format!("bytes of {name}"), bytes as f64);
    }
    tell("source", source as f64);
    let largest = sizes.iter().max_by_key(|(_, size)| *size).expect("a page");
    tell(&format!("largest {}", largest.0), largest.1 as f64);
    for (path, size) in sizes.iter().filter(|(_, size)| *size > LARGEST) {
        tell(&format!("over {path}"), *size as f64);
    }
}

fn group(path: &str) -> &'static str {
    match path.split_once('/') {
        Some(("cases", page)) if page.ends_with("-ask.html") => "cases, decisions open",
        Some(("cases", page)) if page.ends_with("-source.html") => "how cases were written",
        Some(("cases", _)) => "cases, straight",
        Some(("concepts", _)) => "concepts",
        _ => "lists and the rest",
    }
}
