//! Figures of the search: how well it ranks, how many bytes and milliseconds it takes, and the comparison with its twin
//! at full length. `tests/measure search` runs this.
//!
//! Ranking is measured on published test collections that no licence lets us ship. A folder given as an argument holds
//! one in three files: `docs.jsonl` (`id`, `title`, `text`), `queries.jsonl` (`id`, `text`) and `qrels.tsv` (query,
//! document, gain). The figure is nDCG@10 with linear gain, over all queries that have a judgement.

use super::report::say;
use crate::random::Random;
use crate::searching::made::Made;
use crate::searching::queries::{mixed, slips, workload};
use crate::searching::twin::{differences, lay_out, node};
use casewright::analyse::search::{How, Query, build};
use casewright::model::search::{Card, Catalogue, Document, Field, SearchIndex};
use casewright::text::analyser::{american, term};
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::time::Instant;

/// What a general library reaches on the same collections: bm25s 0.3.16, method lucene, k1 1.2, b 0.75, Snowball stems,
/// Lucene's stop words, title and text as one field. Measured once with that library, on the same files and formula.
const LIBRARY: &[(&str, f64)] = &[("med", 0.6947), ("cranfield", 0.5100), ("cisi", 0.3853)];

/// Sizes at which the script is compared with the program.
const COMPARED: [usize; 2] = [1_000, 10_000];
/// Queries of a comparison, of a workload, and words with a slip.
const QUERIES: usize = 2_000;
const WORKLOAD: usize = 1_000;
const SLIPS: usize = 2_000;

/// `collection FOLDER…`, `twin`, or `size N`.
pub(super) fn measure(arguments: &[String]) {
    let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
    match &arguments[..] {
        ["collections", folders @ ..] if !folders.is_empty() => collections(folders),
        ["twin"] => twin(),
        ["size", documents] => size(documents.parse().expect("a number of cases")),
        _ => say("Say what: `search collections FOLDER…`, `search twin`, or `search size 50000`."),
    }
}

fn folder(name: &str) -> PathBuf {
    let memory = Path::new("/dev/shm").join(format!("casewright-search-{name}"));
    let _ = std::fs::remove_dir_all(&memory);
    std::fs::create_dir_all(&memory).expect("room in memory");
    memory
}

fn lines(file: &Path) -> Vec<Value> {
    let text = std::fs::read_to_string(file).unwrap_or_else(|why| panic!("{}: {why}", file.display()));
    text.lines().map(|line| serde_json::from_str(line).expect("JSON")).collect()
}

/// nDCG@10 of each collection, through the compiled index and the page's script.
fn collections(folders: &[&str]) {
    let (mut ours, mut library) = (Vec::new(), Vec::new());
    for folder in folders {
        let name = Path::new(folder).file_name().unwrap_or_default().to_string_lossy().into_owned();
        let (figure, mended) = collection(Path::new(folder), &name);
        let theirs = LIBRARY.iter().find(|(known, _)| *known == name).map(|(_, figure)| *figure);
        let beside = theirs.map_or_else(String::new, |theirs| format!("; bm25s {theirs:.4}"));
        say(&format!("{name}: nDCG@10 {figure:.4}{beside}; one slip mended at the first place in {mended:.1} %"));
        ours.push(figure);
        library.extend(theirs);
    }
    let mean = |figures: &[f64]| figures.iter().sum::<f64>() / figures.len() as f64;
    say(&format!("mean: nDCG@10 {:.4}; bm25s {:.4}", mean(&ours), mean(&library)));
}

fn collection(path: &Path, name: &str) -> (f64, f64) {
    let documents = lines(&path.join("docs.jsonl"));
    let text = |value: &Value, key: &str| value[key].as_str().unwrap_or("").to_owned();
    let document = |at: usize| Document {
        texts: vec![(Field::Title, text(&documents[at], "title")), (Field::Body, text(&documents[at], "text"))],
        card: Card { name: text(&documents[at], "id"), ..Card::default() },
        ..Document::default()
    };
    let index = build(documents.len(), Catalogue::default(), document);
    let place = folder(name);
    lay_out(&index, &place);
    let mut gains: BTreeMap<String, BTreeMap<String, f64>> = BTreeMap::new();
    let judged = std::fs::read_to_string(path.join("qrels.tsv")).expect("the judgements");
    for row in judged.lines() {
        let cells: Vec<&str> = row.split('\t').collect();
        let [query, document, gain] = cells[..] else { panic!("not three cells: {row}") };
        gains.entry(query.to_owned()).or_default().insert(document.to_owned(), gain.parse().expect("a gain"));
    }
    let queries: Vec<Value> = lines(&path.join("queries.jsonl"));
    let queries: Vec<&Value> = queries.iter().filter(|query| gains.contains_key(&text(query, "id"))).collect();
    // A blank at the end: the last word is typed to its end. No query of a collection means a phrase by its quotes.
    let requests: Vec<Value> = queries
        .iter()
        .map(|query| json!({ "typed": text(query, "text").replace('"', " ") + " ", "most": 10 }))
        .collect();
    let answers = node("answers.mjs", &[place.to_str().expect("a plain path")], &requests);
    let figures = queries.iter().zip(answers).map(|(query, answer)| {
        let gains = &gains[&text(query, "id")];
        let hits = answer["hits"].as_array().expect("hits").iter();
        let found = hits.map(|hit| index.cards[hit[0].as_u64().expect("a place") as usize].name.clone());
        let discount = |(rank, gain): (usize, f64)| gain / (rank as f64 + 2.0).log2();
        let got: f64 = found.map(|name| gains.get(&name).copied().unwrap_or(0.0)).enumerate().map(discount).sum();
        let mut best: Vec<f64> = gains.values().copied().collect();
        best.sort_by(|one, other| other.total_cmp(one));
        got / best.into_iter().take(10).enumerate().map(discount).sum::<f64>()
    });
    let figures: Vec<f64> = figures.collect();
    std::fs::remove_dir_all(place).expect("our own folder");
    let figure = figures.iter().sum::<f64>() / figures.len() as f64;
    (figure, mending(&index, |random| text(random.one(&documents), "text")))
}

/// The script against the program: the same lists and scores, in Node.js and in Chromium.
fn twin() {
    let made = Made::new();
    for documents in COMPARED {
        let index = build(documents, made.catalogue.clone(), |at| made.document(at));
        let place = folder("twin");
        lay_out(&index, &place);
        let queries = mixed(&made, documents, QUERIES);
        for browser in ["", "chromium"] {
            let different = differences(&index, &place, &queries, browser);
            let runs = if browser.is_empty() { "Node.js" } else { browser };
            say(&format!("{documents} cases, {QUERIES} queries, {runs}: {} differ", different.len()));
            different.iter().take(3).for_each(|it| say(it));
        }
        std::fs::remove_dir_all(place).expect("our own folder");
    }
}

/// Bytes and times of a made-up library, beside another library on the same documents.
fn size(documents: usize) {
    let made = Made::new();
    let began = Instant::now();
    let mut words = 0;
    let place = folder("size");
    let file = place.join("documents.jsonl");
    let mut text = String::new();
    for at in 0..documents {
        let document = made.document(at);
        let of = |field: Field| {
            let texts = document.texts.iter().filter(|(known, _)| *known == field).map(|(_, text)| text.as_str());
            texts.collect::<Vec<_>>().join(" ")
        };
        words += of(Field::Body).split(' ').count();
        let line = json!({
            "id": at, "title": of(Field::Title), "complications": of(Field::Complications),
            "techniques": of(Field::Techniques), "lessons": of(Field::Lessons),
            "body": of(Field::Body) + " " + &of(Field::Findings),
        });
        writeln!(text, "{line}").expect("a string");
    }
    std::fs::write(&file, text).expect("room for the documents");
    let making = began.elapsed().as_secs_f64();
    say(&format!("{documents} documents, {} words of body each, made in {making:.1} s.", words / documents));
    let began = Instant::now();
    let index = build(documents, made.catalogue.clone(), |at| made.document(at));
    let building = began.elapsed().as_secs_f64() - making;
    let began = Instant::now();
    let bytes = lay_out(&index, &place);
    let writing = began.elapsed().as_secs_f64();
    say(&format!(
        "Index built in about {building:.1} s (making the documents again left out), written in {writing:.1} s: {:.1} MB, {} terms, all pairs: {}.",
        bytes as f64 / 1e6,
        index.entries.len(),
        index.all_pairs,
    ));
    let mended = mending(&index, |random| {
        let document = made.document(random.place(documents));
        random.one(&document.texts).1.clone()
    });
    say(&format!("One slip in words of five letters and more: mended at the first place in {mended:.1} %."));
    let requests: Vec<Value> = workload(&made, documents, WORKLOAD).iter().map(|asked| asked.json(10)).collect();
    for line in node("bench.mjs", &[place.to_str().expect("a plain path")], &requests) {
        say(line.as_str().unwrap_or_default());
    }
    std::fs::remove_dir_all(place).expect("our own folder");
}

/// How often the first word offered for one with a slip is the right one: words of five letters and more, in hundred.
fn mending(index: &SearchIndex, text: impl Fn(&mut Random) -> String) -> f64 {
    let slips = slips(text, SLIPS, 5);
    let first = |typed: &str| {
        let query = Query::new(index, &format!("{typed} "), true);
        query.units.first().and_then(|unit| unit.alternatives.first().cloned())
    };
    let right = |(word, slipped): &&(String, String)| {
        first(slipped).is_some_and(|first| match &first.how {
            How::Mended(found) => *found == american(word) || Some(&first.term) == term(word).as_ref(),
            How::Typed | How::Begun => Some(&first.term) == term(word).as_ref(),
        })
    };
    100.0 * slips.iter().filter(right).count() as f64 / slips.len() as f64
}
