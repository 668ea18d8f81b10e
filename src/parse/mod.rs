//! Parsing: source text into syntax that knows its places. It cannot fail; what is wrong is a diagnostic.

mod body;
mod case;
mod library;
mod lower;
mod models;
mod narration;
mod rules;
mod session;
mod unreviewed;
mod vocabulary;
mod yaml;

use crate::diag::Diagnostic;
use crate::model::case::CaseSyntax;
use crate::model::inputs::Written;
use crate::text::{FileId, Source, Span};
pub use library::library;
use lower::Lower;
pub use models::model;
pub use narration::narration;
pub use rules::RULES;
pub use session::session;
pub use vocabulary::vocabulary;

/// A front matter and a narrative as byte ranges of a text.
struct Halves {
    front: std::ops::Range<usize>,
    body: std::ops::Range<usize>,
}

/// Parses a case from its Markdown file and, where the fields stand apart, its side file.
///
/// `name` is the file's name without ending. The diagnostics of both files come back with the syntax.
pub fn case(name: &str, markdown: &Source, side: Option<&Source>) -> (CaseSyntax, Vec<Diagnostic>) {
    let mut out = Vec::new();
    let (text, file) = (&*markdown.text, markdown.id);
    let halves = split(text, file, side, &mut out);
    let mut comments = Vec::new();
    let mut body = body::body(&text[halves.body.clone()], file, halves.body.start, &mut comments, &mut out);
    let (front, front_file, base) = match side {
        Some(side) => (&*side.text, side.id, 0),
        None => (&text[halves.front.clone()], file, halves.front.start),
    };
    let mut document = yaml::parse(front, front_file, base, &mut out);
    if document.lost.is_empty() {
        curly_values(&document.root, &mut out);
    } else {
        curly_quotes(front, front_file, base, &mut out);
    }
    if front.trim().is_empty() {
        // The fence was reported; thirty missing fields would only hide that.
        document.lost.push("*".to_owned());
    }
    comments.extend(yaml::comments(front, front_file, base, &document.root));
    document.root.escaped(front, base, &mut body.escaped);
    let hash = content_hash(front, &document.root, base, &text[halves.body]);
    let mut lower = Lower { out: &mut out, lost: document.lost };
    let syntax = case::case(&mut lower, &document.root, name, body, comments, hash);
    (syntax, out)
}

/// Fields that name literature.
const LITERATURE: &[&str] = &["sources", "source", "citation"];

/// What a file of the library besides its cases writes with escapes, and where it names literature. What is wrong with the file
/// is said by those who read it.
pub fn written(source: &Source) -> Written {
    let root = yaml::parse(&source.text, source.id, 0, &mut Vec::new()).root;
    let mut escaped = Vec::new();
    root.escaped(&source.text, 0, &mut escaped);
    let literature = root.values_of(LITERATURE).into_iter().map(|node| node.span).collect();
    Written { file: source.id, escaped, literature }
}

/// Finds the fences. The Markdown library would print an unclosed block as text, and private fields with it.
fn split(text: &str, file: FileId, side: Option<&Source>, out: &mut Vec<Diagnostic>) -> Halves {
    let first_line = text.split_inclusive('\n').next().unwrap_or("");
    let span = |start: usize, end: usize| Span::new(file, start, end);
    let opened = first_line.trim_end() == "---";
    if !opened {
        if side.is_none() {
            out.push(rules::fence::missing(span(0, first_line.trim_end().len())));
            return Halves { front: 0..0, body: text.len()..text.len() };
        }
        return Halves { front: 0..0, body: 0..text.len() };
    }
    if let Some(side) = side {
        out.push(rules::fence::twice(span(0, 3), &side.path));
    }
    let mut at = first_line.len();
    for line in text[first_line.len()..].split_inclusive('\n') {
        if line.trim_end() == "---" {
            return Halves { front: first_line.len()..at, body: at + line.len()..text.len() };
        }
        at += line.len();
    }
    out.push(rules::fence::unclosed(span(0, 3)));
    Halves { front: 0..0, body: text.len()..text.len() }
}

/// Typographic quotes that YAML takes for letters, at the beginning of a value.
const CURLY: [char; 5] = ['“', '”', '„', '‘', '‟'];

/// Values that begin with a typographic quote: nothing else would notice.
fn curly_values(root: &yaml::Node, out: &mut Vec<Diagnostic>) {
    for node in root.scalars() {
        let yaml::NodeKind::Scalar { text, plain: true } = &node.kind else { continue };
        if let Some(first) = text.chars().next().filter(|first| CURLY.contains(first)) {
            out.push(rules::word_processor::quote(node.span.part(0, first.len_utf8())));
        }
    }
}

/// The same where the text does not parse, perhaps because of them.
fn curly_quotes(front: &str, file: FileId, base: usize, out: &mut Vec<Diagnostic>) {
    for (at, quote) in front.match_indices(CURLY) {
        let before = front[..at].trim_end_matches(' ');
        if before.ends_with([':', '[', '{', ',', '-']) || before.is_empty() || before.ends_with('\n') {
            out.push(rules::word_processor::quote(Span::new(file, base + at, base + at + quote.len())));
        }
    }
}

/// What a second reader vouches for: the fields without `review`, and the narrative, whatever the line endings.
fn content_hash(front: &str, root: &yaml::Node, base: usize, body: &str) -> String {
    let mut hasher = blake3::Hasher::new();
    let review = match &root.kind {
        yaml::NodeKind::Map(pairs) => pairs.iter().find(|(key, _)| key.text() == Some("review")),
        _ => None,
    };
    let cut = review.map_or(front.len()..front.len(), |(key, value)| {
        let clip = |at: u32| (at as usize).saturating_sub(base).min(front.len());
        clip(key.span.start)..clip(value.span.end)
    });
    let kept = [front.get(..cut.start).unwrap_or(""), front.get(cut.end..).unwrap_or("")];
    for text in kept.into_iter().chain([body]) {
        // However many blank lines part two paragraphs; that they are parted counts.
        let mut parted = true;
        for line in text.lines().map(str::trim_end) {
            if !line.is_empty() || !parted {
                hasher.update(line.as_bytes());
                hasher.update(b"\n");
            }
            parted = line.is_empty();
        }
    }
    hasher.finalize().to_hex()[..16].to_owned()
}
