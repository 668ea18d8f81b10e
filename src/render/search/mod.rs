//! The index as files that a page can load from a file share: classic scripts, each of which hands over one part.
//!
//! | part | holds |
//! |---|---|
//! | `about` | what the others need: sizes, first terms, groups, word forms |
//! | `d/N` | terms, front-coded, with their number of documents; a short list stands with its term |
//! | `p/N-B` | lists of the terms of `d/N`, in blocks; which block follows from the lists' lengths |
//! | `l/X` | words that begin with the letter X, for mending slips |
//! | `c/N` | how concepts are called |
//! | `m/N` | cards: what a result shows, and its neighbours |
//! | `v` | values by which results are filtered, with the number of their documents |
//! | `f/G` | the documents of the values of a group |
//!
//! All stand in a folder whose name is the hash of their content, so that a browser's cache never mixes two editions;
//! `search.js`, which only the search page loads, names the folder.

mod encode;

use crate::model::search::SearchIndex;
use encode::{base64, cards, dictionary, letters, lists, literal, shards, sieve};
use serde_json::json;

/// The script with a fixed name that tells where the parts are.
pub(crate) const POINTER: &str = "search.js";

/// Bytes of a shard of the dictionary, and of a block of lists, before they are written as text.
pub(super) const SHARD: usize = 8 * 1024;
pub(super) const BLOCK: usize = 5 * 1024;
/// Longest list that stands with its term.
pub(super) const INLINE: usize = 48;
/// Bytes of a part with calls of concepts.
const CALLS: usize = 2 * 1024;
/// Cards in one part.
pub(super) const CARDS: usize = 16;

/// The parts of an index.
#[derive(Debug)]
pub struct Parts {
    /// The folder in the site, with a slash at its end.
    pub folder: String,
    /// Path in the site and content, in order of path.
    pub files: Vec<(String, Vec<u8>)>,
    /// The content of the script that names the folder.
    pub pointer: String,
}

/// Writes an index as parts.
pub fn parts(index: &SearchIndex) -> Parts {
    let mut parts: Vec<(String, String)> = Vec::new();
    let (dictionary, firsts) = dictionary(&index.entries);
    parts.extend(dictionary.into_iter().map(|(key, bytes)| (key, format!("\"{}\"", base64(&bytes)))));
    let (lexicon, letters) = letters(&index.spellings);
    parts.extend(lexicon.into_iter().map(|(key, bytes)| (key, format!("\"{}\"", base64(&bytes)))));
    let calls = index.calls.iter().map(|call| {
        let concepts =
            call.concepts.iter().map(|&at| format!("\t{at}\t{}", index.catalogue.concepts[at as usize].label));
        (call.key.clone(), call.key.clone() + &concepts.collect::<String>())
    });
    let (calls, first_calls) = shards(calls, CALLS);
    parts.extend((0..).zip(calls).map(|(at, text): (usize, String)| (format!("c/{at}"), literal(&text))));
    parts.extend((0..).zip(cards(index)).map(|(at, text): (usize, String)| (format!("m/{at}"), literal(&text))));
    let catalogue = &index.catalogue;
    let values = catalogue.values.iter().zip(&index.counts);
    let values: Vec<String> =
        values.map(|(value, count)| format!("{}\t{}\t{count}", value.name, value.label)).collect();
    parts.push(("v".to_owned(), literal(&values.join("\n"))));
    let mut groups = Vec::new();
    for (group, number) in catalogue.groups.iter().zip(0u32..) {
        let of = |at: &usize| catalogue.values[*at].group == number;
        let places: Vec<usize> = (0..catalogue.values.len()).filter(of).collect();
        groups.push(json!([group.name, group.label, u8::from(group.telling), places.first(), places.len()]));
        let bytes = lists(places.iter().map(|&at| index.lists[at].as_slice()));
        parts.push((format!("f/{number}"), format!("\"{}\"", base64(&bytes))));
    }
    let forms = crate::text::analyser::FORMS.iter().map(|(form, term)| format!("{form} {term}")).collect::<Vec<_>>();
    let about = json!({
        "documents": index.cards.len(),
        "block": BLOCK,
        "cards": CARDS,
        "firsts": firsts.join("\n"),
        "calls": first_calls.join("\n"),
        "sieve": sieve(index.calls.iter().map(|call| call.key.as_str())),
        "longest": index.calls.iter().map(|call| call.key.split(' ').count()).max().unwrap_or(0),
        "letters": letters,
        "groups": groups,
        "near": u8::from(!index.near.is_empty()),
        "pairs": u8::from(index.all_pairs),
        "forms": forms.join(" "),
    });
    parts.push(("about".to_owned(), about.to_string()));
    finish(parts)
}

/// Gives parts their folder and their form as scripts.
fn finish(mut parts: Vec<(String, String)>) -> Parts {
    parts.sort();
    let mut hasher = blake3::Hasher::new();
    for (key, value) in &parts {
        hasher.update(key.as_bytes()).update(b"\n").update(value.as_bytes()).update(b"\n");
    }
    let folder = format!("find/{}/", &hasher.finalize().to_hex()[..10]);
    let files = parts.into_iter().map(|(key, value)| {
        (format!("{folder}{key}.js"), format!("casewright_part(\"{key}\",{value})\n").into_bytes())
    });
    Parts { files: files.collect(), pointer: format!("casewright_search(\"{folder}\")\n"), folder }
}
