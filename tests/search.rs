//! The search: its stemmer against the published vocabulary, and the page's script against the program.

use crate::searching::made::Made;
use crate::searching::queries::{mixed, slips};
use crate::searching::twin::{differences, lay_out, node};
use crate::support::root;
use casewright::analyse::search::{How, Query, build};
use casewright::text::analyser::{american, query_tokens, stem, term};
use serde_json::{Value, json};

/// Documents and queries of the small comparison; `tests/measure` makes the large one.
const DOCUMENTS: usize = 300;
const QUERIES: usize = 300;

#[test]
fn the_script_answers_as_the_program_does() {
    let made = Made::new();
    let index = build(DOCUMENTS, made.catalogue.clone(), |at| made.document(at));
    let folder = tempfile::tempdir().expect("a folder");
    lay_out(&index, folder.path());
    let queries = mixed(&made, DOCUMENTS, QUERIES);
    let different = differences(&index, folder.path(), &queries, "");
    assert!(
        different.is_empty(),
        "{} of {QUERIES} differ:\n{}",
        different.len(),
        different[..different.len().min(5)].join("\n")
    );
}

/// Words and stems of the Snowball project's vocabulary of English, as of version 3.
/// Source: the project's published list of words (Porter and Boulton, BSD-3-Clause), stemmed by `snowballstemmer` 3.1.1.
fn vectors() -> Vec<(String, String)> {
    let table = std::fs::read_to_string(root().join("tests/data/snowball-english-3.tsv")).expect("the table is there");
    let rows = table.lines().filter(|line| !line.starts_with('#'));
    rows.filter_map(|line| line.split_once('\t')).map(|(word, stem)| (word.to_owned(), stem.to_owned())).collect()
}

#[test]
fn the_stemmer_gives_the_published_stems() {
    let vectors = vectors();
    assert_eq!(vectors.len(), 29_417);
    let wrong: Vec<_> = vectors.iter().filter(|(word, expected)| stem(word) != *expected).collect();
    assert!(wrong.is_empty(), "{wrong:?}");
}

#[test]
fn the_script_analyses_as_the_program_does() {
    let mut words: Vec<String> = vectors().into_iter().map(|(word, _)| word).collect();
    words.extend(Made::new().catalogue.concepts.into_iter().flat_map(|concept| concept.terms));
    // Every sign that there is, between letters; those that only one of the two has heard of are left to it.
    let signs = (0..=0x2_ffff).filter_map(char::from_u32).map(|sign| format!("A{sign}x 1{sign}2 {sign}b"));
    words.extend(signs);
    let requests: Vec<Value> = words.iter().map(|word| json!(word)).collect();
    let theirs = node("words.mjs", &[], &requests);
    assert_eq!(theirs.len(), words.len());
    let mut different = Vec::new();
    for (word, theirs) in words.iter().zip(&theirs) {
        let tokens = query_tokens(word);
        let terms: Vec<_> =
            tokens.iter().map(|token| json!([token, american(token), stem(token), term(token)])).collect();
        if *theirs != json!(terms) && theirs != "unassigned" {
            different.push(format!("{word:?}: {} / {theirs}", json!(terms)));
        }
    }
    assert!(different.is_empty(), "{} differ:\n{}", different.len(), different[..different.len().min(20)].join("\n"));
}

#[test]
fn one_slip_is_mended_in_most_words() {
    let made = Made::new();
    let documents = 1_000;
    let index = build(documents, made.catalogue.clone(), |at| made.document(at));
    let slips = slips(&made, documents, 2_000, 5);
    let mended = |(word, slipped): &&(String, String)| {
        let query = Query::new(&index, &format!("{slipped} "), true);
        let first = query.units.first().and_then(|unit| unit.alternatives.first());
        // A slip may be another word; that is found as typed, and nobody can know.
        first.is_some_and(|first| match &first.how {
            How::Mended(found) => *found == american(word) || Some(&first.term) == term(word).as_ref(),
            How::Typed | How::Begun => first.term == term(word).unwrap_or_default(),
        })
    };
    let right = slips.iter().filter(mended).count();
    assert!(right * 100 >= slips.len() * 94, "{right} of {} slips are mended at the first place", slips.len());
}
