//! The narrative: Markdown to HTML, cut at the decision blocks.
//!
//! Besides [`super::code`] this is the only place in Rust that writes markup.

use super::code;
use super::mention::Mentions;
use super::places::Places;
use crate::model::markdown::{Anchors, is_decision, parser};
use crate::text::escape;
use pulldown_cmark::{CodeBlockKind, CowStr, Event, Tag, TagEnd, TextMergeStream, html};
use std::collections::{BTreeMap, BTreeSet};

/// Into which page a narrative goes.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Setting<'a> {
    /// Where pages stand.
    pub(crate) places: &'a Places<'a>,
    /// The way from the page to the site's root.
    pub(crate) root: &'a str,
    /// Whether links to cases lead to their open reading.
    pub(crate) asking: bool,
    /// The level of the narrative's highest headings on the page.
    pub(crate) top: usize,
}

/// The HTML before, between and after the decision blocks: one more part than there are blocks.
pub(crate) fn parts(text: &str, setting: Setting<'_>, mentions: &mut Mentions<'_>) -> Vec<String> {
    let mut writer = Writer::new(setting, mentions);
    // A soft line break is a space to a reader; as text, a term may reach across it.
    let events = parser(text).map(|event| match event {
        Event::SoftBreak => Event::Text(CowStr::Borrowed("\n")),
        other => other,
    });
    for event in TextMergeStream::new(events) {
        writer.take(event);
    }
    writer.finish()
}

struct Writer<'s, 'm, 'v, 'e> {
    setting: Setting<'s>,
    mentions: &'m mut Mentions<'v>,
    parts: Vec<String>,
    /// Events of the part that is being made.
    events: Vec<Event<'e>>,
    /// Levels of the headings that are open, as written.
    headings: Vec<u8>,
    /// A heading that is being read: its level on the page and its words.
    heading: Option<(usize, String, Vec<Event<'e>>)>,
    anchors: Anchors,
    /// Headings so far: while decisions are open a link may lead to nothing that comes later.
    ids: BTreeSet<String>,
    /// A code block that is being read: its language and its text; `None` as language for a decision.
    code: Option<(Option<String>, String)>,
    /// Whether each open link was kept.
    links: Vec<bool>,
    /// How many things are open in which no term may link.
    quiet: usize,
    /// How many tables there have been: each needs a name of its own.
    tables: usize,
    notes: BTreeMap<String, usize>,
    /// Notes that have been referred to, each with the part of its first reference: there it is told, wherever the author
    /// wrote it, so that no link leads behind an open decision.
    called: BTreeMap<usize, usize>,
    /// A note that is being read: its number, and the events that wait meanwhile.
    note: Option<(usize, Vec<Event<'e>>)>,
    /// The notes as HTML, by number.
    told: BTreeMap<usize, String>,
}

impl<'s, 'm, 'v, 'e> Writer<'s, 'm, 'v, 'e> {
    fn new(setting: Setting<'s>, mentions: &'m mut Mentions<'v>) -> Self {
        Self {
            setting,
            mentions,
            parts: Vec::new(),
            events: Vec::new(),
            headings: Vec::new(),
            heading: None,
            anchors: Anchors::default(),
            ids: BTreeSet::new(),
            code: None,
            links: Vec::new(),
            quiet: 0,
            tables: 0,
            notes: BTreeMap::new(),
            called: BTreeMap::new(),
            note: None,
            told: BTreeMap::new(),
        }
    }

    fn finish(mut self) -> Vec<String> {
        self.close_part();
        let last = self.parts.len() - 1;
        for (number, note) in self.told {
            self.parts[self.called.get(&number).copied().unwrap_or(last)].push_str(&note);
        }
        self.parts
    }

    fn close_part(&mut self) {
        let mut out = String::new();
        html::push_html(&mut out, self.events.drain(..));
        self.parts.push(out);
    }

    fn put(&mut self, event: Event<'e>) {
        match &mut self.heading {
            Some((_, _, events)) => events.push(event),
            None => self.events.push(event),
        }
    }

    fn html(&mut self, html: impl Into<String>) {
        self.put(Event::InlineHtml(CowStr::from(html.into())));
    }

    fn take(&mut self, event: Event<'e>) {
        if self.code.is_some() {
            return self.take_code(event);
        }
        match event {
            Event::Start(Tag::CodeBlock(kind)) => self.code = Some(language(&kind)),
            Event::Start(Tag::Heading { level, .. }) => self.open_heading(level as u8),
            Event::End(TagEnd::Heading(_)) => self.close_heading(),
            Event::Start(Tag::Table(columns)) => {
                self.tables += 1;
                let number = self.tables;
                self.html(format!(
                    "<div class=\"sideways\" role=\"region\" aria-label=\"Table {number} of the account\" tabindex=\"0\">\n"
                ));
                self.put(Event::Start(Tag::Table(columns)));
            }
            Event::End(TagEnd::Table) => {
                self.put(Event::End(TagEnd::Table));
                self.html("</div>\n");
            }
            Event::Start(Tag::Link { dest_url, .. }) => {
                let target = self.target(&dest_url);
                self.quiet += 1;
                self.links.push(target.is_some());
                if let Some(target) = target {
                    self.html(format!("<a href=\"{}\">", escape(&target)));
                }
            }
            Event::End(TagEnd::Link) => {
                self.quiet -= 1;
                if self.links.pop() == Some(true) {
                    self.html("</a>");
                }
            }
            Event::Start(Tag::Image { .. }) => {
                self.quiet += 1;
                self.html("<span class=\"picture\">[Picture, not shown: ");
            }
            Event::End(TagEnd::Image) => {
                self.quiet -= 1;
                self.html("]</span>");
            }
            Event::Start(Tag::HtmlBlock) => self.html("<p>"),
            Event::End(TagEnd::HtmlBlock) => self.html("</p>\n"),
            // What an author wrote as HTML is shown as the text it is; escaping happens when it is put out.
            Event::Html(raw) | Event::InlineHtml(raw) => self.put(Event::Text(raw)),
            Event::FootnoteReference(name) => {
                let number = self.note(&name);
                let first = !self.called.contains_key(&number);
                self.called.entry(number).or_insert(self.parts.len());
                let id = if first { format!(" id=\"call_{number}\"") } else { String::new() };
                self.html(format!("<sup><a href=\"#note_{number}\"{id}>note {number}</a></sup>"));
            }
            Event::Start(Tag::FootnoteDefinition(name)) => {
                let number = self.note(&name);
                self.note = Some((number, std::mem::take(&mut self.events)));
                self.html(format!("<div class=\"note\" id=\"note_{number}\"><span>Note {number}.</span>\n"));
            }
            Event::End(TagEnd::FootnoteDefinition) => {
                self.html("</div>\n");
                if let Some((number, waiting)) = self.note.take() {
                    let mut note = String::new();
                    html::push_html(&mut note, std::mem::replace(&mut self.events, waiting).into_iter());
                    self.told.insert(number, note);
                }
            }
            Event::Text(text) => self.take_text(text),
            other => self.put(other),
        }
    }

    fn take_text(&mut self, text: CowStr<'e>) {
        if let Some((_, words, _)) = &mut self.heading {
            words.push_str(&text);
            return self.put(Event::Text(text));
        }
        if self.quiet > 0 {
            return self.put(Event::Text(text));
        }
        let found = self.mentions.find(&text);
        let mut at = 0;
        for (range, concept) in found {
            let term = self.setting.places.term(concept, self.setting.root);
            self.put(Event::Text(CowStr::from(text[at..range.start].to_owned())));
            self.html(format!("<a class=\"term\" href=\"{}\">", escape(&term.href)));
            self.put(Event::Text(CowStr::from(text[range.clone()].to_owned())));
            self.html("</a>");
            at = range.end;
        }
        self.put(Event::Text(CowStr::from(text[at..].to_owned())));
    }

    fn take_code(&mut self, event: Event<'e>) {
        match event {
            Event::Text(more) => {
                if let Some((_, text)) = &mut self.code {
                    text.push_str(&more);
                }
            }
            Event::End(TagEnd::CodeBlock) => match self.code.take() {
                Some((Some(language), text)) => {
                    let coloured = code::coloured(&text, &language);
                    self.html(format!("<pre class=\"code\"><code>{coloured}</code></pre>\n"));
                }
                Some((None, _)) => self.close_part(),
                None => {}
            },
            _ => {}
        }
    }

    /// Finds the heading's level on the page: one below the heading it stands under, however the author counted.
    fn open_heading(&mut self, level: u8) {
        while self.headings.last().is_some_and(|&above| above >= level) {
            self.headings.pop();
        }
        self.headings.push(level);
        let shown = (self.setting.top + self.headings.len() - 1).min(6);
        if level <= 2 {
            self.mentions.new_section();
        }
        self.heading = Some((shown, String::new(), Vec::new()));
    }

    fn close_heading(&mut self) {
        let Some((level, words, events)) = self.heading.take() else { return };
        let id = self.anchors.next(&words);
        self.ids.insert(id.clone());
        self.html(format!("<h{level} id=\"{id}\">"));
        self.events.extend(events);
        self.html(format!("</h{level}>\n"));
    }

    /// Where a link leads from this page; `None` for what may not be linked.
    fn target(&mut self, written: &str) -> Option<String> {
        let Setting { places, root, asking, .. } = self.setting;
        if let Some(name) = written.strip_prefix("case:") {
            let case = places.find(name)?;
            let path = places.ask(case).filter(|_| asking).unwrap_or_else(|| places.case(case));
            return Some(format!("{root}{path}"));
        }
        if let Some(name) = written.strip_prefix("concept:") {
            let concept = places.vocabulary().by_name(name)?;
            self.mentions.is_linked(concept);
            return Some(format!("{root}{}", places.concept(concept)));
        }
        if let Some(id) = written.strip_prefix('#') {
            return (!asking || self.ids.contains(id)).then(|| written.to_owned());
        }
        let known = ["http://", "https://", "mailto:"];
        let lower = written.to_ascii_lowercase();
        known.iter().any(|start| lower.starts_with(start)).then(|| written.to_owned())
    }

    fn note(&mut self, name: &str) -> usize {
        let next = self.notes.len() + 1;
        *self.notes.entry(name.to_owned()).or_insert(next)
    }
}

/// The language of a code block as its fence names it, with room for its text; no language for a decision.
fn language(kind: &CodeBlockKind<'_>) -> (Option<String>, String) {
    let language = match kind {
        CodeBlockKind::Fenced(info) if is_decision(info) => None,
        CodeBlockKind::Fenced(info) => Some(info.split_whitespace().next().unwrap_or("").to_owned()),
        CodeBlockKind::Indented => Some(String::new()),
    };
    (language, String::new())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::render::mention::Terms;
    use crate::render::sample;

    fn written(text: &str, asking: bool) -> Vec<String> {
        let (vocabulary, analysis) = sample::vocabulary();
        let places = sample::places(&vocabulary, &analysis);
        let terms = Terms::new(&vocabulary);
        let mut mentions = Mentions::new(&terms, &analysis, &analysis.concepts_of[0]);
        parts(text, Setting { places: &places, root: "../", asking, top: 3 }, &mut mentions)
    }

    fn straight(text: &str) -> String {
        written(text, false).concat()
    }

    #[test]
    fn html_of_an_author_is_shown_as_text() {
        let html = straight("A <b>bold</b> claim.\n\n<script>alert(1)</script>\n\n<div onclick=x>\n");
        assert!(!html.contains("<b>") && !html.contains("<script") && !html.contains("<div"), "{html}");
        assert!(html.contains("&lt;b&gt;bold") && html.contains("&lt;script&gt;"), "{html}");
    }

    #[test]
    fn headings_start_under_the_page_and_skip_no_level() {
        let html = straight("# A\n\n### B\n\n###### C\n\n## D\n\n## A\n");
        let levels: Vec<&str> = html.match_indices("<h").map(|(at, _)| &html[at + 1..at + 3]).collect();
        assert_eq!(levels, ["h3", "h4", "h5", "h4", "h4"]);
        assert!(html.contains("id=\"a\"") && html.contains("id=\"a-2\""), "{html}");
    }

    #[test]
    fn a_term_links_once_a_section_and_never_inside_links_headings_or_code() {
        let html = straight(
            "## PCR\n\nA posterior capsule rupture, [PCR](https://example.org/), `PCR` and PCR.\n\n## Next\n\nPCR.\n",
        );
        assert_eq!(html.matches("concepts/posterior-capsule-rupture.html").count(), 2, "{html}");
        assert!(html.contains(">posterior capsule rupture</a>") && html.contains("<code>PCR</code>"), "{html}");
        assert!(html.contains("<h3 id=\"pcr\">PCR</h3>"), "{html}");
    }

    #[test]
    fn a_term_links_across_the_end_of_a_line() {
        let html = straight("A posterior capsule\nrupture.\n");
        assert!(html.contains(">posterior capsule\nrupture</a>"), "{html}");
    }

    #[test]
    fn links_on_purpose_lead_to_the_reading_that_fits() {
        let text = "[a](case:other) [b](case:plain) [c](case:none) [d](concept:iris-hook) [e](concept:hyphaema)\n";
        let html = straight(text);
        assert!(html.contains("<a href=\"../cases/other.html\">a</a>"), "{html}");
        assert!(html.contains("<a href=\"../glossary.html#iris-hook\">d</a>"), "{html}");
        assert!(html.contains("<a href=\"../concepts/hyphaema.html\">e</a>"), "{html}");
        assert!(!html.contains("case:") && html.contains(" c "), "{html}");
        let html = written(text, true).concat();
        assert!(html.contains("<a href=\"../cases/other-ask.html\">a</a>"), "{html}");
        assert!(html.contains("<a href=\"../cases/plain.html\">b</a>"), "{html}");
    }

    #[test]
    fn a_link_that_runs_code_or_reads_a_file_is_no_link() {
        let html = straight("[a](javascript:alert(1)) [b](file:///c:/x) [c](//host/x) [d](#the-end) [e](../x.html)\n");
        assert_eq!(html.matches("<a ").count(), 1, "{html}");
        assert!(html.contains("<a href=\"#the-end\">d</a>"), "{html}");
    }

    #[test]
    fn while_decisions_are_open_no_link_leads_behind_them() {
        let text = "## Here\n\n[up](#here) [down](#there) Said[^x].\n\n```decision\nid: a\n```\n\n## There\n\nMore[^y].\n\n[^x]: So.\n\n[^y]: Thus.\n";
        let parts = written(text, true);
        assert!(parts[0].contains("<a href=\"#here\">up</a> down"), "{}", parts[0]);
        assert!(parts[0].contains("So.") && !parts[0].contains("Thus.") && parts[1].contains("Thus."), "{parts:?}");
        assert!(straight(text).contains("<a href=\"#there\">down</a>"));
    }

    #[test]
    fn the_text_is_cut_at_each_decision() {
        let parts = written(sample::NARRATIVE, false);
        assert_eq!(parts.len(), 3);
        assert!(parts[0].contains("deep") && parts[1].contains("plain") && parts[2].contains("healed"));
        assert!(parts.iter().all(|part| !part.contains("id: ")));
    }

    #[test]
    fn pictures_tables_and_notes_keep_their_words() {
        let html = straight("![The *torn* bag](a.jpg)\n\n| a | b |\n|---|---|\n| 1 | 2 |\n\nSaid[^x].\n\n[^x]: So.\n");
        assert!(html.contains("[Picture, not shown: The <em>torn</em> bag]") && !html.contains("<img"), "{html}");
        assert!(html.contains("tabindex=\"0\">\n<table>"), "{html}");
        assert!(
            html.contains("<a href=\"#note_1\" id=\"call_1\">note 1</a>") && html.contains("id=\"note_1\""),
            "{html}"
        );
    }
}
