//! The notation of a suite, read into sections, files and expectations.

use casewright::diag::Severity;

/// One suite.
#[derive(Debug)]
pub(crate) struct Suite {
    /// The rule it is about.
    pub(crate) rule: String,
    /// Its tests.
    pub(crate) sections: Vec<Section>,
}

/// One test: some files and what is said of them.
#[derive(Debug, Default)]
pub(crate) struct Section {
    /// Its heading.
    pub(crate) name: String,
    /// Its files.
    pub(crate) blocks: Vec<Block>,
    /// Expectations about files as a whole or places without a mark.
    pub(crate) quoted: Vec<Quoted>,
    /// Files that every library has and this one has not.
    pub(crate) without: Vec<String>,
    /// Whether the library is read for the public.
    pub(crate) public: bool,
}

impl Section {
    /// Everything expected of the section.
    pub(crate) fn expected(&self) -> impl Iterator<Item = &Said> {
        let marks = self.blocks.iter().flat_map(|block| &block.lines).flat_map(|line| &line.marks);
        marks.map(|mark| &mark.said).chain(self.quoted.iter().map(|quoted| &quoted.said))
    }
}

/// A file, or a part of one.
#[derive(Debug, Default)]
pub(crate) struct Block {
    /// `yaml`, `md`, `link` or whatever else the writer calls it.
    pub(crate) language: String,
    /// The file's path in the library.
    pub(crate) file: String,
    /// Whether the block is the whole file.
    pub(crate) whole: bool,
    /// Fields of the base case that are taken away.
    pub(crate) without: Vec<String>,
    /// An encoding other than UTF-8.
    pub(crate) encoding: Option<String>,
    /// How many bytes the file is filled up to.
    pub(crate) fill: Option<usize>,
    /// Its lines without the marks.
    pub(crate) lines: Vec<Line>,
}

/// A line of a file and the marks under it.
#[derive(Debug, Clone)]
pub(crate) struct Line {
    /// The line as the file has it.
    pub(crate) text: String,
    /// The marks.
    pub(crate) marks: Vec<Mark>,
}

/// A run of `~` with what is said of the characters above it.
#[derive(Debug, Clone)]
pub(crate) struct Mark {
    /// Column of the first character, from 1.
    pub(crate) column: usize,
    /// How many characters are marked.
    pub(crate) width: usize,
    /// What is said.
    pub(crate) said: Said,
}

/// An expectation given after a block.
#[derive(Debug, Clone)]
pub(crate) struct Quoted {
    /// The file.
    pub(crate) path: String,
    /// Line and column, if a place in the file is meant.
    pub(crate) place: Option<(usize, usize)>,
    /// What is said.
    pub(crate) said: Said,
}

/// Weight, rule and words of a diagnostic.
#[derive(Debug, Clone)]
pub(crate) struct Said {
    /// How heavy it is.
    pub(crate) severity: Severity,
    /// The rule's name.
    pub(crate) rule: String,
    /// Words that message or mends contain; empty if any will do.
    pub(crate) words: String,
}

impl Suite {
    /// Reads a suite.
    pub(crate) fn read(text: &str) -> Result<Self, String> {
        let mut suite = Self { rule: String::new(), sections: Vec::new() };
        let mut lines = text.lines().enumerate();
        while let Some((number, line)) = lines.next() {
            let at = |why: String| format!("line {}: {why}", number + 1);
            if let Some(name) = line.strip_prefix("## ") {
                suite.sections.push(Section { name: name.to_owned(), ..Section::default() });
            } else if let Some(rule) = line.strip_prefix("# ") {
                rule.clone_into(&mut suite.rule);
            } else if line.starts_with("```") {
                let ticks = line.len() - line.trim_start_matches('`').len();
                let mut block = Block::begin(&line[ticks..]).map_err(at)?;
                let fence = "`".repeat(ticks);
                loop {
                    match lines.next() {
                        None => return Err(at("this block is never closed".to_owned())),
                        Some((_, line)) if line == fence => break,
                        Some((_, line)) => block.take(line).map_err(at)?,
                    }
                }
                let section = suite.sections.last_mut().ok_or_else(|| at("a block before any section".to_owned()))?;
                section.blocks.push(block);
            } else if let Some(quotation) = line.strip_prefix("> ") {
                let section =
                    suite.sections.last_mut().ok_or_else(|| at("an expectation before any section".to_owned()))?;
                match quotation.strip_prefix("without ") {
                    Some(file) => section.without.push(file.to_owned()),
                    None if quotation == "for public" => section.public = true,
                    None => section.quoted.push(Quoted::read(quotation).map_err(at)?),
                }
            }
        }
        if suite.rule.is_empty() { Err("no heading names the rule".to_owned()) } else { Ok(suite) }
    }
}

impl Block {
    /// A block with this info string.
    fn begin(info: &str) -> Result<Self, String> {
        let mut words = info.split_whitespace();
        let mut block = Self { language: words.next().unwrap_or("").to_owned(), ..Self::default() };
        for word in words {
            match word.split_once('=') {
                Some(("file", path)) => path.clone_into(&mut block.file),
                Some(("without", fields)) => block.without = fields.split(',').map(str::to_owned).collect(),
                Some(("encoding", name)) => block.encoding = Some(name.to_owned()),
                Some(("fill", bytes)) => {
                    block.fill = Some(bytes.parse().map_err(|_| format!("`{bytes}` is not a number of bytes"))?);
                }
                None if word == "whole" => block.whole = true,
                _ => return Err(format!("`{word}` is not part of the notation")),
            }
        }
        if block.file.is_empty() { Err("a block without `file=`".to_owned()) } else { Ok(block) }
    }

    /// Adds a line, or the mark that it is.
    fn take(&mut self, line: &str) -> Result<(), String> {
        let body = line.trim_start_matches(' ');
        let width = body.len() - body.trim_start_matches('~').len();
        if let Some(said) = (width > 0).then(|| Said::read(body[width..].trim_start())).flatten() {
            let column = line.len() - body.len() + 1;
            let above = self.lines.last_mut().ok_or("a mark with no line above it")?;
            above.marks.push(Mark { column, width, said });
            return Ok(());
        }
        let text = line.replace('⇥', "\t").replace('⍽', "\u{a0}").replace('␀', "\0");
        self.lines.push(Line { text, marks: Vec::new() });
        Ok(())
    }
}

impl Said {
    /// `error rule-name`, with `: words` after it or not.
    fn read(text: &str) -> Option<Self> {
        let (severity, rest) = text.split_once(' ')?;
        let severity = [Severity::Error, Severity::Warning, Severity::Advice]
            .into_iter()
            .find(|known| known.word() == severity)?;
        let (rule, words) = rest.split_once(": ").unwrap_or((rest, ""));
        (!rule.contains(' ')).then(|| Self { severity, rule: rule.to_owned(), words: words.to_owned() })
    }
}

impl Quoted {
    /// `error rule-name at path, line 2, column 5: words`; place and words may be missing.
    fn read(text: &str) -> Result<Self, String> {
        let unreadable = || format!("the expectation `{text}` cannot be read");
        let (said, rest) = text.split_once(" at ").ok_or_else(unreadable)?;
        let (place, words) = rest.split_once(": ").unwrap_or((rest, ""));
        let mut said = Said::read(said).ok_or_else(unreadable)?;
        words.clone_into(&mut said.words);
        let mut parts = place.split(", ");
        let path = parts.next().unwrap_or("").to_owned();
        let mut number = |word: &str| -> Result<Option<usize>, String> {
            let Some(part) = parts.next() else { return Ok(None) };
            let digits = part.strip_prefix(word).ok_or_else(unreadable)?;
            digits.parse().map(Some).map_err(|_| unreadable())
        };
        let place = number("line ")?.zip(number("column ")?);
        Ok(Self { path, place, said })
    }
}
