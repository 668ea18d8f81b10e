//! Runs a section: composes its files, prepares the library and compares what is said with what is expected.

use super::notation::{Block, Line, Said, Section};
use crate::support::{BASE, LIBRARY, prepare_folder, prepare_for};
use casewright::diag::{Diagnostic, Report};
use casewright::files::Memory;
use casewright::model::site::Audience;
use casewright::pipeline::Prepared;
use std::collections::BTreeMap;
use std::fmt::Write as _;

/// Where a diagnostic is expected.
#[derive(Debug)]
struct Expected<'a> {
    path: &'a str,
    place: Option<(usize, usize)>,
    width: Option<usize>,
    said: &'a Said,
}

/// Runs one section; the error lists what was not said and what was not expected.
pub(crate) fn section(section: &Section) -> Result<(), String> {
    let mut texts: BTreeMap<&str, Vec<Line>> = BTreeMap::new();
    for block in &section.blocks {
        let so_far = texts.remove(block.file.as_str());
        texts.insert(&block.file, compose(block, so_far)?);
    }
    let prepared = run(section, &texts)?;
    let marks = texts.iter().flat_map(|(path, lines)| {
        lines.iter().zip(1..).flat_map(move |(line, number)| {
            line.marks.iter().map(move |mark| Expected {
                path,
                place: Some((number, mark.column)),
                width: Some(mark.width),
                said: &mark.said,
            })
        })
    });
    let quoted = section.quoted.iter().map(|quoted| Expected {
        path: &quoted.path,
        place: quoted.place,
        width: None,
        said: &quoted.said,
    });
    compare(marks.chain(quoted).collect(), &prepared)
}

/// The lines of a file after this block, which may amend what an earlier block made of it.
fn compose(block: &Block, so_far: Option<Vec<Line>>) -> Result<Vec<Line>, String> {
    if block.whole || !block.file.ends_with(".md") || block.language == "link" {
        return Ok(block.lines.clone());
    }
    let lines = so_far.unwrap_or_else(|| plain(BASE));
    let close = lines.iter().skip(1).position(|line| line.text == "---").ok_or("the front matter is not closed")? + 1;
    let (front, narrative) = (&lines[1..close], &lines[close + 1..]);
    let fence = || plain("---\n");
    match block.language.as_str() {
        "yaml" => {
            let mut fields = fields(front);
            for (name, lines) in self::fields(&block.lines) {
                match fields.iter_mut().find(|(known, _)| *known == name) {
                    Some((_, old)) => *old = lines,
                    None => fields.push((name, lines)),
                }
            }
            for name in &block.without {
                let before = fields.len();
                fields.retain(|(known, _)| known != name);
                if fields.len() == before {
                    return Err(format!("the base case has no field `{name}` to take away"));
                }
            }
            let front = fields.into_iter().flat_map(|(_, lines)| lines);
            Ok(fence().into_iter().chain(front).chain(fence()).chain(narrative.iter().cloned()).collect())
        }
        "md" => {
            let narrative = plain("\n").into_iter().chain(block.lines.iter().cloned());
            Ok(fence().into_iter().chain(front.iter().cloned()).chain(fence()).chain(narrative).collect())
        }
        other => Err(format!("a block of `{other}` cannot be part of a case; is it `whole`?")),
    }
}

/// Lines without marks.
fn plain(text: &str) -> Vec<Line> {
    text.lines().map(|line| Line { text: line.to_owned(), marks: Vec::new() }).collect()
}

/// Front matter by field of the first level; a field given twice stays twice in one piece.
fn fields(lines: &[Line]) -> Vec<(String, Vec<Line>)> {
    let mut fields: Vec<(String, Vec<Line>)> = Vec::new();
    for line in lines {
        let begins = line.text.starts_with(|letter: char| letter.is_ascii_alphabetic());
        let name = line.text.split(':').next().unwrap_or("").to_owned();
        match fields.last_mut() {
            Some((last, lines)) if !begins || *last == name => lines.push(line.clone()),
            _ => fields.push((name, vec![line.clone()])),
        }
    }
    fields
}

/// Prepares the library: in memory, or in a folder if it holds links.
fn run(section: &Section, texts: &BTreeMap<&str, Vec<Line>>) -> Result<Prepared, String> {
    let mut files = Memory::default();
    if !section.without.iter().any(|path| path == "library.yaml") {
        files = files.with("library.yaml", LIBRARY);
    }
    for block in &section.blocks {
        let text: String = texts[block.file.as_str()].iter().fold(String::new(), |mut text, line| {
            text.push_str(&line.text);
            text.push('\n');
            text
        });
        files = files.with(&block.file, encode(block, with_hash(&block.file, text))?);
    }
    let links: Vec<&Block> = section.blocks.iter().filter(|block| block.language == "link").collect();
    if links.is_empty() {
        let audience = if section.public { Audience::Public } else { Audience::Department };
        let mut prepared = prepare_for(&files, audience);
        // No library holds narrations; each is read by itself, as `draft` does.
        for (path, bytes) in files.files.iter().filter(|(path, _)| !path.contains('/') && is_narration(path)) {
            if let Some(id) = casewright::discover::lone_text(path, bytes.clone(), &mut prepared.inputs) {
                let source = prepared.inputs.sources.get(id).ok_or("a text has its source")?;
                prepared.diagnostics.extend(casewright::parse::narration(source).1);
            }
            prepared.diagnostics.append(&mut prepared.inputs.diagnostics);
        }
        // A report gives each its path and its place in order.
        let mut report = Report::default();
        report.extend(std::mem::take(&mut prepared.diagnostics));
        prepared.diagnostics = report.finish(&prepared.inputs.sources);
        return Ok(prepared);
    }
    let folder = tempfile::tempdir().map_err(|error| error.to_string())?;
    for (path, bytes) in &files.files {
        let target = folder.path().join(path);
        std::fs::create_dir_all(target.parent().ok_or("a file has a folder")?).map_err(|error| error.to_string())?;
        match links.iter().find(|block| block.file == *path) {
            Some(block) => {
                let to = block.lines.first().map_or("", |line| line.text.as_str());
                std::os::unix::fs::symlink(to, target).map_err(|error| error.to_string())?;
            }
            None => std::fs::write(target, bytes).map_err(|error| error.to_string())?,
        }
    }
    Ok(prepare_folder(folder.path()))
}

/// Whether a file holds a narration, by its ending.
fn is_narration(path: &str) -> bool {
    path.rsplit_once('.').is_some_and(|(_, ending)| ["vtt", "srt", "txt"].contains(&ending))
}

/// Puts the hash of the case's content where the text says `HASH`.
fn with_hash(path: &str, text: String) -> String {
    if !text.contains("of: HASH") {
        return text;
    }
    let mut sources = casewright::text::Sources::default();
    let id = sources.add(path, text.as_str());
    let hash = sources.get(id).map(|source| casewright::parse::case("sample", source, None).0.content_hash);
    text.replace("of: HASH", &format!("of: {}", hash.unwrap_or_default()))
}

/// The bytes of a file.
fn encode(block: &Block, text: String) -> Result<Vec<u8>, String> {
    let bytes = match block.encoding.as_deref() {
        None => text.into_bytes(),
        Some("latin-1") => text
            .chars()
            .map(|letter| u8::try_from(u32::from(letter)).map_err(|_| format!("`{letter}` is not Latin-1")))
            .collect::<Result<_, _>>()?,
        Some("hex") => {
            let digits: Vec<u8> = text.bytes().filter(u8::is_ascii_hexdigit).collect();
            let byte = |pair: &[u8]| u8::from_str_radix(std::str::from_utf8(pair).unwrap_or(""), 16);
            digits.chunks(2).map(byte).collect::<Result<_, _>>().map_err(|error| error.to_string())?
        }
        Some("utf-16") => [0xfe_ff].into_iter().chain(text.encode_utf16()).flat_map(u16::to_be_bytes).collect(),
        Some(other) => return Err(format!("the encoding `{other}` is not known here")),
    };
    Ok(match block.fill {
        Some(size) => bytes.iter().copied().cycle().take(size).collect(),
        None => bytes,
    })
}

/// Matches expectations and diagnostics one to one.
fn compare(mut expected: Vec<Expected<'_>>, prepared: &Prepared) -> Result<(), String> {
    let mut report = String::new();
    for diagnostic in &prepared.diagnostics {
        match expected.iter().position(|it| fits(it, diagnostic, prepared)) {
            Some(at) => {
                expected.swap_remove(at);
            }
            None => {
                let shown = casewright::diag::human::report(std::slice::from_ref(diagnostic), &prepared.inputs.sources);
                let _ = writeln!(report, "  not expected, {}: {}", diagnostic.severity().word(), shown.trim_end());
            }
        }
    }
    for it in expected {
        let Said { severity, rule, words } = it.said;
        let _ = writeln!(report, "  not said: {} {rule} at {} {:?} {words}", severity.word(), it.path, it.place);
    }
    if report.is_empty() { Ok(()) } else { Err(report) }
}

fn fits(expected: &Expected<'_>, found: &Diagnostic, prepared: &Prepared) -> bool {
    let source = found.span.and_then(|span| Some((span, prepared.inputs.sources.get(span.file)?)));
    let place = source.map(|(span, source)| {
        let at = source.position(span.start as usize);
        (at.line, at.column)
    });
    // As in a report, what runs over several lines is marked on its first.
    let width = source.map(|(span, source)| source.slice(span).split('\n').next().unwrap_or("").chars().count().max(1));
    let words = &expected.said.words;
    expected.path == found.path
        && expected.place == place
        && (expected.width.is_none() || expected.width == width)
        && expected.said.rule == found.rule.name
        && expected.said.severity == found.severity()
        && (found.message.contains(words) || found.mends.iter().any(|mend| mend.contains(words)))
}
