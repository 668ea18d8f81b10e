//! Cases packed for a large library: nobody can tell from a site, an export or a report that they were.

use crate::support::{BASE, LIBRARY, Packing, demo, library};
use casewright::analyse::analyse;
use casewright::diag::json;
use casewright::discover::discover;
use casewright::export::export;
use casewright::files::Files;
use casewright::model::held::Held;
use casewright::model::site::{Audience, Page, Site};
use casewright::pipeline::{self, Prepared};
use casewright::render::{Theme, render};
use std::collections::BTreeMap;

/// A library held as it is, and packed.
fn both(files: &dyn Files) -> (Prepared, Prepared) {
    let inputs = || discover(files).expect("the library opens");
    let whole = pipeline::prepare(inputs(), Audience::Department);
    let packed = pipeline::prepare_with(inputs(), Audience::Department, &Packing);
    (whole, packed)
}

/// Every file of a site that is made of text.
fn files(site: &Site<'_>) -> BTreeMap<String, Vec<u8>> {
    let made = site.pages.iter().filter_map(|(path, (_, page))| {
        let bytes = match page {
            Page::Made(make) => make().expect("a sound page"),
            Page::Ready(bytes) => bytes.to_vec(),
            Page::Smaller(_) | Page::Copied(_) => return None,
        };
        Some((path.to_string(), bytes))
    });
    made.collect()
}

#[test]
fn site_and_export_are_the_same_whether_cases_are_packed_or_not() {
    let (whole, packed) = both(&demo());
    let held = |prepared: &Prepared, packed: bool| {
        prepared.checked.corpus.cases().iter().all(|it| matches!(it.held, Held::Packed(..)) == packed)
    };
    assert!(held(&whole, false) && held(&packed, true));
    let made = |prepared: &Prepared| {
        let corpus = &prepared.checked.corpus;
        let analysis = analyse(corpus);
        let theme = Theme::new(&prepared.inputs.theme).expect("a sound theme");
        let mut all = files(&render(corpus, &analysis, &theme).expect("a site"));
        all.extend(files(&export(corpus, &analysis)));
        all
    };
    let (whole, packed) = (made(&whole), made(&packed));
    assert!(whole.len() > 800, "{}", whole.len());
    for (path, bytes) in &whole {
        assert!(packed.get(path) == Some(bytes), "{path}");
    }
    assert_eq!(whole.len(), packed.len());
}

#[test]
fn what_is_said_of_a_packed_case_still_knows_its_place() {
    // One is sound, one tells of another that is not there, one has a side file, one is withdrawn.
    let faulty = BASE.replace("consent:", "contrast: [{case: nobody, principle: Look first.}]\nconsent:");
    let (front, body) = BASE.strip_prefix("---\n").and_then(|it| it.split_once("---\n")).expect("a front matter");
    let withdrawn = BASE.replace("status: obtained", "status: withdrawn");
    assert!(faulty != BASE && withdrawn != BASE, "the base case has these words");
    let files = library()
        .with("library.yaml", LIBRARY)
        .with("sound.md", BASE)
        .with("faulty.md", &faulty)
        .with("apart.md", body)
        .with("apart.yaml", front)
        .with("taken-back.md", &withdrawn);
    let (whole, packed) = both(&files);
    let report = |prepared: &Prepared| json::value(&prepared.diagnostics, &prepared.inputs.sources).to_string();
    assert!(report(&whole).contains("broken-link"), "{}", report(&whole));
    assert_eq!(report(&whole), report(&packed));
    assert_eq!(whole.checked.faulty, ["faulty.md"]);
    assert_eq!(whole.checked.faulty, packed.checked.faulty);
    assert_eq!((whole.checked.withheld, &whole.checked.barred), (packed.checked.withheld, &packed.checked.barred));
    let open = |prepared: &Prepared| {
        prepared.checked.corpus.cases().iter().map(|it| format!("{:?}", it.open())).collect::<Vec<_>>()
    };
    assert_eq!(open(&whole), open(&packed), "a case is unpacked as it was");
    assert_eq!(open(&whole).len(), 2);
    // The texts of which nothing is said are held once, packed.
    let texts = packed.inputs.texts();
    let gone: Vec<&str> =
        texts.iter().filter(|it| it.markdown.text.is_empty()).map(|it| it.markdown.path.as_str()).collect();
    assert_eq!(gone, ["apart.md", "sound.md"]);
}
