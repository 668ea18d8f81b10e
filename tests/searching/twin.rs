//! The page's script, run by Node.js or a browser on the parts of an index as a site has them.

use crate::searching::queries::Asked;
use casewright::analyse::search::{Query, answer};
use casewright::model::search::SearchIndex;
use casewright::render::{Theme, search};
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// Lays out an index with the script that reads it, as a site has both.
pub(crate) fn lay_out(index: &SearchIndex, folder: &Path) -> usize {
    let parts = search::parts(index);
    let theme = Theme::new(&BTreeMap::new()).expect("the built-in theme is sound");
    let runtime = ("search-runtime.js".to_owned(), theme.search().bytes.clone());
    let pointer = ("search.js".to_owned(), parts.pointer.into_bytes());
    let mut bytes = 0;
    for (path, content) in parts.files.into_iter().chain([pointer, runtime]) {
        let file = folder.join(path);
        std::fs::create_dir_all(file.parent().expect("a folder")).expect("room for a folder");
        bytes += content.len();
        std::fs::write(file, content).expect("room for a part");
    }
    bytes
}

/// Runs a script of the browser tests with these arguments and lines, and gives the lines that it prints.
pub(crate) fn node(script: &str, arguments: &[&str], lines: &[Value]) -> Vec<Value> {
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/browser").join(script);
    let mut child = Command::new("node")
        .arg(script)
        .args(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("Node.js is needed: install `nodejs`");
    let mut input = child.stdin.take().expect("a pipe");
    let text: String = lines.iter().map(|line| line.to_string() + "\n").collect();
    let writer = std::thread::spawn(move || input.write_all(text.as_bytes()));
    let output = child.wait_with_output().expect("the script ends");
    let written = writer.join().expect("the writer ends");
    assert!(output.status.success() && written.is_ok(), "the script failed: {}", output.status);
    let said = String::from_utf8(output.stdout).expect("text");
    said.lines().map(|line| serde_json::from_str(line).unwrap_or_else(|why| panic!("{why}: {line}"))).collect()
}

/// What Rust answers, in the twin's words.
pub(crate) fn ours(index: &SearchIndex, asked: &Asked, most: usize) -> Value {
    let query = Query::new(index, &asked.typed, asked.plain);
    let found = answer(index, &query, &asked.choice, most);
    let hits: Vec<Value> = found.hits.iter().map(|hit| json!([hit.document, hit.score, hit.whole])).collect();
    let terms: Vec<Vec<Value>> = query
        .units
        .iter()
        .map(|unit| unit.alternatives.iter().map(|it| json!([it.term, it.weight])).collect())
        .collect();
    json!({ "hits": hits, "whole": found.whole, "all": found.all, "counts": found.counts, "terms": terms, "loose": query.loose })
}

/// Every query that the two answer differently, with both answers; `browser` is empty for Node.js.
pub(crate) fn differences(index: &SearchIndex, folder: &Path, queries: &[Asked], browser: &str) -> Vec<String> {
    let most = 20;
    let requests: Vec<Value> = queries.iter().map(|asked| asked.json(most)).collect();
    let folder: PathBuf = folder.into();
    let theirs = node("answers.mjs", &[folder.to_str().expect("a plain path"), browser], &requests);
    assert_eq!(theirs.len(), queries.len(), "an answer for each query");
    let pairs = queries.iter().zip(&theirs).map(|(asked, theirs)| (asked, ours(index, asked, most), theirs));
    pairs
        .filter(|(_, ours, theirs)| ours != *theirs)
        .map(|(asked, ours, theirs)| format!("{asked:?}\n  Rust:   {ours}\n  script: {theirs}"))
        .collect()
}
