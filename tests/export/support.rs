//! Readers of our own for the tests of exports; `tests/oracles/export.py` reads the same files with other people's.

use crate::support::{demo, prepare, prepare_for};
use casewright::analyse::analyse;
use casewright::export::export;
use casewright::files::{Files, Memory};
use casewright::model::site::{Audience, Page, Site};
use casewright::pipeline::Prepared;
use std::collections::BTreeMap;

/// Path → bytes of an export.
pub(crate) fn bytes(site: &Site<'_>) -> BTreeMap<String, Vec<u8>> {
    let bytes = |page: &Page<'_>| match page {
        Page::Ready(bytes) => bytes.clone(),
        other => panic!("an export is ready at once: {other:?}"),
    };
    site.pages.iter().map(|(path, (_, page))| (path.to_string(), bytes(page))).collect()
}

fn exported(prepared: &Prepared) -> BTreeMap<String, Vec<u8>> {
    let shown = casewright::diag::human::report(&prepared.diagnostics, &prepared.inputs.sources);
    assert!(prepared.checked.faulty.is_empty(), "{shown}");
    let corpus = &prepared.checked.corpus;
    bytes(&export(corpus, &analyse(corpus)))
}

/// The demo library as the department gets it.
pub(crate) fn of_demo() -> BTreeMap<String, Vec<u8>> {
    let files = demo();
    let files: &dyn Files = &files;
    exported(&prepare(files))
}

/// A library in memory as the department gets it.
pub(crate) fn of(files: &Memory) -> BTreeMap<String, Vec<u8>> {
    exported(&prepare_for(files, Audience::Department))
}

/// A file as text.
pub(crate) fn text(files: &BTreeMap<String, Vec<u8>>, path: &str) -> String {
    String::from_utf8(files[path].clone()).expect("UTF-8")
}

/// The records of a table by RFC 4180, section 2: lines end in CR and LF, cells are parted by commas, and between quotation
/// marks two of them stand for one.
pub(crate) fn records(text: &str) -> Vec<Vec<String>> {
    let mut records = vec![vec![String::new()]];
    let mut letters = text.chars().peekable();
    let mut quoted = false;
    while let Some(letter) = letters.next() {
        let record = records.last_mut().expect("a record");
        let cell = record.last_mut().expect("a cell");
        match letter {
            '"' if quoted && letters.peek() == Some(&'"') => cell.extend(letters.next()),
            '"' => quoted = !quoted,
            ',' if !quoted => record.push(String::new()),
            '\r' if !quoted => {
                assert_eq!(letters.next(), Some('\n'), "a line ends in CR and LF");
                records.push(vec![String::new()]);
            }
            '\n' if !quoted => panic!("a line ends in LF alone"),
            other => cell.push(other),
        }
    }
    assert_eq!(records.pop(), Some(vec![String::new()]), "the last line is ended too");
    records
}

/// The rows of a table: column → cell.
pub(crate) fn rows(files: &BTreeMap<String, Vec<u8>>, table: &str) -> Vec<BTreeMap<String, String>> {
    let mut records = records(&text(files, &format!("{table}.csv"))).into_iter();
    let heads = records.next().expect("a line of heads");
    records
        .map(|cells| {
            assert_eq!(cells.len(), heads.len(), "{table}: {cells:?}");
            heads.iter().cloned().zip(cells).collect()
        })
        .collect()
}

/// The files of a package, by its local headers (PKWARE, APPNOTE.TXT, 4.3.7): all are stored.
pub(crate) fn unzipped(zip: &[u8]) -> BTreeMap<String, String> {
    let number = |at: usize, width: usize| (0..width).rev().fold(0, |sum, byte| sum << 8 | usize::from(zip[at + byte]));
    let mut files = BTreeMap::new();
    let mut at = 0;
    while zip[at..].starts_with(b"PK\x03\x04") {
        assert_eq!(number(at + 8, 2), 0, "stored");
        let (size, name, extra) = (number(at + 22, 4), number(at + 26, 2), number(at + 28, 2));
        let (name, body) = (at + 30..at + 30 + name, at + 30 + name + extra);
        let text = |bytes: &[u8]| String::from_utf8(bytes.to_vec()).expect("UTF-8");
        files.insert(text(&zip[name]), text(&zip[body..body + size]));
        at = body + size;
    }
    assert!(zip[at..].starts_with(b"PK\x01\x02"), "then the directory");
    files
}
