//! YAML as a tree in which every node knows its place.
//!
//! Built from the event stream of the YAML library. Anchors, aliases, merge keys and tags are refused, nesting is bounded, and
//! scalars stay text: `no`, `6/12` and `1:30` mean what they say. After a syntax error the text is cut at the fields of its
//! first level and each piece is parsed alone, so that one run reports every error of a file.

use super::rules::{alias, too_deep, word_processor, yaml_syntax};
use crate::diag::Diagnostic;
use crate::text::{FileId, Span, Spanned};
use serde_yaml::granit_parser::{Event, Parser, ScalarStyle};

/// Deepest nesting of lists and mappings; the format itself needs 8.
const MAX_DEPTH: usize = 24;

/// A node of the tree.
#[derive(Debug, Clone)]
pub(crate) struct Node {
    /// Where it was written; a block mapping or list ends with its last value.
    pub(crate) span: Span,
    /// What it is.
    pub(crate) kind: NodeKind,
}

/// What a node is.
#[derive(Debug, Clone)]
pub(crate) enum NodeKind {
    /// Text; `plain` when it was written without quotes or block style.
    Scalar {
        /// The text.
        text: String,
        /// Written without quotes.
        plain: bool,
    },
    /// A list.
    List(Vec<Node>),
    /// A mapping in the order written.
    Map(Vec<(Node, Node)>),
}

impl Node {
    /// The text of a scalar.
    pub(crate) fn text(&self) -> Option<&str> {
        match &self.kind {
            NodeKind::Scalar { text, .. } => Some(text),
            _ => None,
        }
    }

    /// Adds every text that `source`, which begins at byte `base` of its file, writes with escapes.
    pub(crate) fn escaped(&self, source: &str, base: usize, out: &mut Vec<Spanned<String>>) {
        for node in self.scalars() {
            let NodeKind::Scalar { text, plain: false } = &node.kind else { continue };
            let range = node.span.range();
            let written = source.get(range.start.saturating_sub(base)..range.end.saturating_sub(base));
            if written.is_some_and(|written| written.starts_with('"') && written.contains('\\')) {
                out.push(Spanned::new(text.clone(), node.span));
            }
        }
    }

    /// Every scalar in it, keys too, in the order written.
    pub(crate) fn scalars(&self) -> Vec<&Node> {
        let (mut found, mut waiting) = (Vec::new(), vec![self]);
        while let Some(node) = waiting.pop() {
            match &node.kind {
                NodeKind::Scalar { .. } => found.push(node),
                NodeKind::List(items) => waiting.extend(items.iter().rev()),
                NodeKind::Map(pairs) => waiting.extend(pairs.iter().rev().flat_map(|(key, value)| [value, key])),
            }
        }
        found
    }

    /// The values of every field of one of these names, however deep.
    pub(crate) fn values_of(&self, names: &[&str]) -> Vec<&Node> {
        let (mut found, mut waiting) = (Vec::new(), vec![self]);
        while let Some(node) = waiting.pop() {
            match &node.kind {
                NodeKind::Scalar { .. } => {}
                NodeKind::List(items) => waiting.extend(items),
                NodeKind::Map(pairs) => {
                    for (key, value) in pairs {
                        match key.text().filter(|key| names.contains(key)) {
                            Some(_) => found.push(value),
                            None => waiting.push(value),
                        }
                    }
                }
            }
        }
        found
    }

    /// Whether this is an empty plain scalar, `~` or `null`: YAML's ways to say nothing.
    pub(crate) fn is_null(&self) -> bool {
        matches!(&self.kind, NodeKind::Scalar { text, plain: true } if matches!(text.as_str(), "" | "~" | "null" | "Null" | "NULL"))
    }

    /// The node in words, for diagnostics.
    pub(crate) fn what(&self) -> &'static str {
        match &self.kind {
            NodeKind::Scalar { .. } if self.is_null() => "nothing",
            NodeKind::Scalar { .. } => "text",
            NodeKind::List(_) => "a list",
            NodeKind::Map(_) => "a set of fields",
        }
    }
}

/// A parsed document: its fields, and whether some of it was lost to a syntax error.
pub(crate) struct Document {
    /// The top mapping.
    pub(crate) root: Node,
    /// Keys of the first level whose value could not be parsed; a missing field among them is not reported again.
    pub(crate) lost: Vec<String>,
}

/// Parses `text`, which begins at byte `base` of `file`. Everything wrong is added to `out`.
pub(crate) fn parse(text: &str, file: FileId, base: usize, out: &mut Vec<Diagnostic>) -> Document {
    let place = |start: usize, end: usize| Span::new(file, base + start, base + end);
    let whole = place(0, text.len());
    let empty = || Node { span: whole, kind: NodeKind::Map(Vec::new()) };
    if let Some(at) = odd_indent(text) {
        // YAML takes the no-break space for a letter: fields would change their owner without a word.
        out.push(word_processor::space(place(at, at + '\u{a0}'.len_utf8())));
        return Document { root: empty(), lost: vec!["*".to_owned()] };
    }
    match tree(text, &place) {
        Ok(Some(root)) => return Document { root, lost: Vec::new() },
        Ok(None) => return Document { root: empty(), lost: Vec::new() },
        Err(stop) if stop.fatal => {
            out.push(*stop.diagnostic);
            return Document { root: empty(), lost: vec!["*".to_owned()] };
        }
        Err(stop) => {
            let before = out.len();
            let document = pieces(text, &place, out);
            // The pieces may all parse although the whole does not: the first stop is then the only witness.
            if out.len() == before {
                out.push(*stop.diagnostic);
            }
            if let Some(root) = document {
                return root;
            }
        }
    }
    Document { root: empty(), lost: vec!["*".to_owned()] }
}

/// Why a parse stopped.
struct Stop {
    diagnostic: Box<Diagnostic>,
    fatal: bool,
}

impl Stop {
    fn syntax(diagnostic: Diagnostic) -> Self {
        Self { diagnostic: Box::new(diagnostic), fatal: false }
    }

    fn fatal(diagnostic: Diagnostic) -> Self {
        Self { diagnostic: Box::new(diagnostic), fatal: true }
    }
}

/// A list or mapping that is still open, with the key that waits for its value.
type Open = (Node, Option<Node>);

fn tree(text: &str, place: &dyn Fn(usize, usize) -> Span) -> Result<Option<Node>, Stop> {
    let mut open: Vec<Open> = Vec::new();
    let mut root: Option<Node> = None;
    let mut documents = 0;
    for event in Parser::new_from_str(text) {
        let (event, found) = event.map_err(|error| {
            let at = error.marker().byte_offset().unwrap_or(0).min(text.len());
            let at = last_written(text, at);
            let end = text[at..].chars().next().map_or(at, |letter| at + letter.len_utf8());
            // The parser has a limit of its own, which brackets without end reach before ours counts them.
            if error.info().contains("recursion limit") {
                return Stop::fatal(too_deep::nested(place(at, end)));
            }
            Stop::syntax(explain(text, place(at, end), at, &error.info()))
        })?;
        let range = found.byte_range().unwrap_or(0..0);
        let span = place(range.start, range.end);
        // The event's own place is that of the value; the sign stands before it.
        let sign = |sign: char| {
            let start = text[..range.start.min(text.len())].rfind(sign).unwrap_or(range.start);
            let start = text[..start].trim_end_matches(sign).len();
            let end = text[start..].find(char::is_whitespace).map_or(text.len(), |end| start + end);
            place(start, end)
        };
        if event.anchor_id().is_some_and(|id| id > 0) && !matches!(event, Event::Alias(_)) {
            return Err(Stop::fatal(alias::found(sign('&'), "an anchor (&)")));
        }
        if event.tag().is_some() {
            return Err(Stop::fatal(alias::found(sign('!'), "a tag (!)")));
        }
        let node = match event {
            Event::Scalar(value, style, ..) => {
                let plain = style == ScalarStyle::Plain;
                if plain && value == "<<" {
                    return Err(Stop::fatal(alias::found(span, "a merge key (<<)")));
                }
                Node { span, kind: NodeKind::Scalar { text: value.into_owned(), plain } }
            }
            Event::SequenceStart(..) | Event::MappingStart(..) => {
                if open.len() >= MAX_DEPTH {
                    return Err(Stop::fatal(too_deep::nested(span)));
                }
                let kind = if matches!(event, Event::SequenceStart(..)) {
                    NodeKind::List(Vec::new())
                } else {
                    NodeKind::Map(Vec::new())
                };
                open.push((Node { span, kind }, None));
                continue;
            }
            Event::SequenceEnd | Event::MappingEnd => {
                let Some((mut node, key)) = open.pop() else { continue };
                let inner = match (&node.kind, key) {
                    (NodeKind::List(items), _) => items.last().map(|last| last.span.end),
                    (NodeKind::Map(pairs), _) => pairs.last().map(|(_, last)| last.span.end),
                    (NodeKind::Scalar { .. }, _) => None,
                };
                // A block collection's end event stands at the next token; a flow collection's at its bracket.
                let closed = text.as_bytes().get(range.start).is_some_and(|byte| matches!(byte, b']' | b'}'));
                node.span.end = if closed { span.end } else { inner.unwrap_or(node.span.end) }.max(node.span.start);
                node
            }
            Event::Alias(_) => return Err(Stop::fatal(alias::found(span, "an alias (*)"))),
            Event::DocumentStart(..) => {
                documents += 1;
                if documents > 1 {
                    return Err(Stop::fatal(yaml_syntax::found(span, "a second document begins here")));
                }
                continue;
            }
            _ => continue,
        };
        match open.last_mut() {
            None => root = Some(node),
            Some((Node { kind: NodeKind::List(items), .. }, _)) => items.push(node),
            Some((Node { kind: NodeKind::Map(pairs), .. }, key)) => match key.take() {
                None => *key = Some(node),
                Some(key) => pairs.push((key, node)),
            },
            Some(_) => {}
        }
    }
    Ok(root)
}

/// Where comments stand in `text`, which begins at byte `base` of `file` and whose tree is `root`.
pub(crate) fn comments(text: &str, file: FileId, base: usize, root: &Node) -> Vec<Span> {
    let mut scalars: Vec<Span> = root.scalars().into_iter().map(|node| node.span).collect();
    scalars.sort_unstable_by_key(|span| span.start);
    let mut scalars = scalars.into_iter().peekable();
    let mut found: Vec<Span> = Vec::new();
    for (at, _) in text.match_indices('#') {
        let begins = text[..at].chars().next_back().is_none_or(char::is_whitespace);
        let place = (base + at) as u32;
        // What a value holds is no comment; nor is a second sign in one.
        while scalars.next_if(|span| span.end <= place).is_some() {}
        let inside =
            scalars.peek().is_some_and(|span| span.start <= place) || found.last().is_some_and(|last| place < last.end);
        if begins && !inside {
            let end = text[at..].find(['\n', '\r']).map_or(text.len(), |end| at + end);
            found.push(Span::new(file, base + at, base + end));
        }
    }
    found
}

/// The last character at or before `at` that is not blank: where a writer looks for the mistake.
fn last_written(text: &str, at: usize) -> usize {
    let mut at = at.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    if text[at..].chars().next().is_some_and(|letter| !letter.is_whitespace()) {
        return at;
    }
    text[..at].char_indices().rev().find(|(_, letter)| !letter.is_whitespace()).map_or(0, |(at, _)| at)
}

/// The parser's complaint, or the word processor's mark that caused it.
fn explain(text: &str, span: Span, at: usize, info: &str) -> Diagnostic {
    let start = text[..at].rfind('\n').map_or(0, |start| start + 1);
    let end = text[at..].find('\n').map_or(text.len(), |end| at + end);
    let shift =
        |offset: usize| Span::new(span.file, span.start as usize - at + offset, span.start as usize - at + offset + 1);
    let line = &text[start..end];
    let indent = line.len() - line.trim_start_matches([' ', '\t']).len();
    if let Some(tab) = line[..indent].find('\t') {
        return word_processor::tab(shift(start + tab));
    }
    yaml_syntax::found(span, info.trim_end_matches('.'))
}

/// Where a no-break space stands in the indentation of a line.
fn odd_indent(text: &str) -> Option<usize> {
    let mut start = 0;
    text.split_inclusive('\n').find_map(|line| {
        let indent = line.len() - line.trim_start_matches([' ', '\u{a0}']).len();
        let odd = line[..indent].find('\u{a0}').map(|at| start + at);
        start += line.len();
        odd
    })
}

/// Cuts the text at the fields of its first level and parses each piece alone.
fn pieces(text: &str, place: &dyn Fn(usize, usize) -> Span, out: &mut Vec<Diagnostic>) -> Option<Document> {
    let mut cuts = Vec::new();
    let mut at = 0;
    for line in text.split_inclusive('\n') {
        let first = line.as_bytes()[0];
        let starts_field = first.is_ascii_alphanumeric() || first == b'_' || first == b'"';
        if starts_field && line.contains(':') {
            cuts.push(at);
        }
        at += line.len();
    }
    if cuts.first() != Some(&0) {
        cuts.insert(0, 0);
    }
    cuts.push(text.len());
    let mut all = Vec::new();
    let mut lost = Vec::new();
    for cut in cuts.windows(2) {
        let piece = &text[cut[0]..cut[1]];
        let here = |start: usize, end: usize| place(cut[0] + start, cut[0] + end);
        match tree(piece, &here) {
            Ok(Some(Node { kind: NodeKind::Map(pairs), .. })) => all.extend(pairs),
            Ok(None) => {}
            Ok(Some(node)) => out.push(yaml_syntax::not_fields(node.span)),
            Err(stop) => {
                lost.push(piece.split(':').next().unwrap_or("").trim_matches(['"', ' ']).to_owned());
                let fatal = stop.fatal;
                out.push(*stop.diagnostic);
                if fatal {
                    return None;
                }
            }
        }
    }
    Some(Document { root: Node { span: place(0, text.len()), kind: NodeKind::Map(all) }, lost })
}
