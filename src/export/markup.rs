//! A narrative for other programs: cut at its decisions, as the few elements of XHTML that questions may hold, and as words.
//!
//! Source of the list of elements: IMS Question and Test Interoperability 2.1, Information Model, "XHTML elements": block
//! (`p`, `h1` to `h6`, `pre`, `blockquote`, lists, `table`, `hr`) and inline (`em`, `strong`, `code`, `br`). Links and
//! pictures are told in words: a question stands alone.

use crate::model::markdown::{is_decision, parser};
use crate::text::escape;
use pulldown_cmark::{CodeBlockKind, Event, Tag, TagEnd};
use std::borrow::Cow;
use std::collections::BTreeMap;

/// A passage of a narrative.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Passage {
    /// As XHTML: whole elements, every one closed.
    pub(super) xhtml: String,
    /// As words, one line for each block.
    pub(super) plain: String,
}

/// The passages before, between and after the decisions: one more than there are decisions.
pub(super) fn passages(text: &str) -> Vec<Passage> {
    let mut writer = Writer::default();
    for event in parser(text) {
        writer.take(event);
    }
    writer.finish()
}

/// Text for XML: the five signs that it reserves as entities, and without the characters that XML 1.0 has no way to write
/// (section 2.2, `Char`).
pub(super) fn xml(text: &str) -> Cow<'_, str> {
    let allowed = |letter: char| {
        matches!(letter, '\t' | '\n' | '\r') || !(letter < ' ' || matches!(letter, '\u{fffe}' | '\u{ffff}'))
    };
    if text.chars().all(allowed) {
        return escape(text);
    }
    let kept: String = text.chars().filter(|letter| allowed(*letter)).collect();
    Cow::Owned(escape(&kept).into_owned())
}

/// Where text goes, with the elements that are open there.
#[derive(Default)]
struct Sheet {
    passage: Passage,
    open: Vec<&'static str>,
}

impl Sheet {
    fn open(&mut self, element: &'static str) {
        self.passage.xhtml.push_str(&format!("<{element}>"));
        self.open.push(element);
    }

    fn close(&mut self) {
        if let Some(element) = self.open.pop() {
            self.passage.xhtml.push_str(&format!("</{element}>"));
        }
    }

    fn text(&mut self, text: &str) {
        self.passage.xhtml.push_str(&xml(text));
        self.passage.plain.push_str(text);
    }

    /// Ends a line of the words, once.
    fn line(&mut self) {
        let plain = &mut self.passage.plain;
        let end = plain.trim_end().len();
        plain.truncate(end);
        if !plain.is_empty() {
            plain.push('\n');
        }
    }

    /// Takes out what stands there, whole. A decision stands in no list and no quotation: checking saw to that.
    fn cut(&mut self) -> Passage {
        while !self.open.is_empty() {
            self.close();
        }
        let mut passage = std::mem::take(&mut self.passage);
        passage.plain.truncate(passage.plain.trim_end().len());
        passage
    }
}

#[derive(Default)]
struct Writer {
    sheet: Sheet,
    parts: Vec<Passage>,
    /// The text of a code block that is being read; `None` in it for a decision.
    code: Option<Option<String>>,
    notes: BTreeMap<String, usize>,
    /// Notes that were referred to, each with the part of its first reference: there it is told, and not before.
    called: BTreeMap<usize, usize>,
    /// A note that is being read: its number, and the sheet that waits meanwhile.
    note: Option<(usize, Sheet)>,
    told: BTreeMap<usize, Passage>,
    /// Whether the cells of a table that are being read are its heads.
    heads: bool,
    /// Whether a body of the table was opened.
    body: bool,
}

impl Writer {
    fn finish(mut self) -> Vec<Passage> {
        let last = self.sheet.cut();
        self.parts.push(last);
        let end = self.parts.len() - 1;
        for (number, note) in self.told {
            let part = &mut self.parts[self.called.get(&number).copied().unwrap_or(end)];
            part.xhtml.push_str(&note.xhtml);
            if !part.plain.is_empty() {
                part.plain.push('\n');
            }
            part.plain.push_str(&note.plain);
        }
        self.parts
    }

    fn take(&mut self, event: Event<'_>) {
        if self.code.is_some() {
            return self.take_code(event);
        }
        match event {
            Event::Start(tag) => self.start(tag),
            Event::End(tag) => self.end(tag),
            Event::Text(text) | Event::Html(text) | Event::InlineHtml(text) => self.sheet.text(&text),
            Event::Code(text) => {
                self.sheet.open("code");
                self.sheet.text(&text);
                self.sheet.close();
            }
            Event::SoftBreak => {
                self.sheet.passage.xhtml.push('\n');
                self.sheet.passage.plain.push(' ');
            }
            Event::HardBreak => {
                self.sheet.passage.xhtml.push_str("<br/>");
                self.sheet.line();
            }
            Event::Rule => self.sheet.passage.xhtml.push_str("<hr/>"),
            Event::FootnoteReference(name) => {
                let number = self.number(&name);
                self.called.entry(number).or_insert(self.parts.len());
                self.sheet.text(&format!(" [note {number}]"));
            }
            // Not among the extensions of a narrative.
            Event::InlineMath(text) | Event::DisplayMath(text) => self.sheet.text(&text),
            Event::TaskListMarker(_) => {}
        }
    }

    fn start(&mut self, tag: Tag<'_>) {
        match tag {
            Tag::Paragraph | Tag::HtmlBlock => self.sheet.open("p"),
            // Under the heading of the passage, whatever level the author began with.
            Tag::Heading { .. } => self.sheet.open("h4"),
            Tag::BlockQuote(_) => self.sheet.open("blockquote"),
            Tag::CodeBlock(kind) => {
                let decision = matches!(&kind, CodeBlockKind::Fenced(info) if is_decision(info));
                self.code = Some((!decision).then(String::new));
            }
            Tag::List(Some(_)) => self.sheet.open("ol"),
            Tag::List(None) => self.sheet.open("ul"),
            Tag::Item => {
                self.sheet.line();
                self.sheet.open("li");
                self.sheet.passage.plain.push_str("- ");
            }
            Tag::Table(_) => {
                self.sheet.open("table");
                self.body = false;
            }
            Tag::TableHead => {
                self.heads = true;
                self.sheet.open("thead");
                self.sheet.open("tr");
            }
            Tag::TableRow => {
                if !self.body {
                    self.body = true;
                    self.sheet.open("tbody");
                }
                self.sheet.open("tr");
            }
            Tag::TableCell => self.sheet.open(if self.heads { "th" } else { "td" }),
            Tag::Emphasis => self.sheet.open("em"),
            Tag::Strong => self.sheet.open("strong"),
            Tag::Strikethrough => self.sheet.text("[struck out: "),
            Tag::Image { .. } => self.sheet.text("[Picture, not shown: "),
            Tag::FootnoteDefinition(name) => {
                let number = self.number(&name);
                self.note = Some((number, std::mem::take(&mut self.sheet)));
                self.sheet.open("div");
                self.sheet.text(&format!("Note {number}. "));
            }
            // Links are told by their words alone; the rest is not among the extensions of a narrative.
            _ => {}
        }
    }

    fn end(&mut self, tag: TagEnd) {
        match tag {
            TagEnd::Paragraph | TagEnd::HtmlBlock | TagEnd::Heading(_) | TagEnd::Item => {
                self.sheet.close();
                self.sheet.line();
            }
            TagEnd::BlockQuote(_) | TagEnd::List(_) => self.sheet.close(),
            TagEnd::Emphasis | TagEnd::Strong => self.sheet.close(),
            TagEnd::TableCell => {
                self.sheet.close();
                self.sheet.passage.plain.push_str("; ");
            }
            TagEnd::TableHead => {
                self.heads = false;
                self.sheet.close();
                self.sheet.close();
                self.sheet.line();
            }
            TagEnd::TableRow => {
                self.sheet.close();
                self.sheet.line();
            }
            TagEnd::Table => {
                if !self.body {
                    // A table has a body, if an empty one.
                    self.sheet.passage.xhtml.push_str("<tbody><tr><td></td></tr></tbody>");
                } else {
                    self.sheet.close();
                }
                self.sheet.close();
            }
            TagEnd::Strikethrough | TagEnd::Image => self.sheet.text("]"),
            TagEnd::FootnoteDefinition => {
                if let Some((number, waiting)) = self.note.take() {
                    let note = self.sheet.cut();
                    self.sheet = waiting;
                    self.told.insert(number, note);
                }
            }
            _ => {}
        }
    }

    fn take_code(&mut self, event: Event<'_>) {
        match event {
            Event::Text(more) => {
                if let Some(Some(text)) = &mut self.code {
                    text.push_str(&more);
                }
            }
            Event::End(TagEnd::CodeBlock) => match self.code.take() {
                Some(Some(text)) => {
                    self.sheet.open("pre");
                    self.sheet.text(&text);
                    self.sheet.close();
                    self.sheet.line();
                }
                Some(None) => {
                    let part = self.sheet.cut();
                    self.parts.push(part);
                }
                None => {}
            },
            _ => {}
        }
    }

    fn number(&mut self, name: &str) -> usize {
        let next = self.notes.len() + 1;
        *self.notes.entry(name.to_owned()).or_insert(next)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn one(text: &str) -> Passage {
        let mut all = passages(text);
        assert_eq!(all.len(), 1);
        all.remove(0)
    }

    #[test]
    fn only_elements_that_a_question_may_hold_are_written() {
        let text = "# A\n\nHe *said* **so** `x<1` [there](case:other) ~~no~~ <b>.\n\n- one\n- two\n\n| a | b |\n|---|---|\n| 1 | 2 |\n\n![alt](x.png)\n";
        let passage = one(text);
        assert_eq!(
            passage.xhtml,
            "<h4>A</h4><p>He <em>said</em> <strong>so</strong> <code>x&lt;1</code> there [struck out: no] &lt;b&gt;.</p>\
             <ul><li>one</li><li>two</li></ul>\
             <table><thead><tr><th>a</th><th>b</th></tr></thead><tbody><tr><td>1</td><td>2</td></tr></tbody></table>\
             <p>[Picture, not shown: alt]</p>"
        );
        assert_eq!(
            passage.plain,
            "A\nHe said so x<1 there [struck out: no] <b>.\n- one\n- two\na; b;\n1; 2;\n[Picture, not shown: alt]"
        );
    }

    #[test]
    fn the_text_is_cut_at_each_decision() {
        let parts = passages("One.\n\n```decision\nid: a\n```\n\n- two\n\n```decision\nid: b\n```\n");
        let xhtml: Vec<&str> = parts.iter().map(|part| part.xhtml.as_str()).collect();
        assert_eq!(xhtml, ["<p>One.</p>", "<ul><li>two</li></ul>", ""]);
        assert!(parts.iter().all(|part| !part.plain.contains("id:")));
    }

    #[test]
    fn a_note_is_told_where_it_is_first_referred_to() {
        let parts = passages("Said[^x].\n\n```decision\nid: a\n```\n\nMore[^y].\n\n[^y]: Thus.\n\n[^x]: So.\n");
        assert!(parts[0].xhtml.contains("So.") && !parts[0].xhtml.contains("Thus."), "{parts:?}");
        assert!(parts[1].plain.contains("Note 2. Thus.") && !parts[1].plain.contains("So."), "{parts:?}");
    }

    #[test]
    fn what_xml_cannot_write_is_left_out() {
        assert_eq!(xml("a\u{1}<b\u{ffff}>\u{b}"), "a&lt;b&gt;");
        assert_eq!(xml("plain"), "plain");
    }
}
