//! What all pages share: the frame, the navigation in its few forms, and the way from a view to bytes.

use super::leans::Leanings;
use super::mention::{Mentions, Terms};
use super::places::{CasePlace, Places};
use super::theme::Theme;
use super::views::ask::AskView;
use super::views::case::CaseView;
use super::views::lists::Listed;
use super::views::source::SourceView;
use super::views::{Desk, shown, text};
use crate::model::analysis::Analysis;
use crate::model::corpus::{Cleared, Corpus};
use crate::model::site::PageError;
use crate::model::vocabulary::ConceptId;
use crate::model::vocabulary::Kind;
use rayon::prelude::*;
use serde::Serialize;
use std::collections::BTreeMap;
use std::ops::Range;
use std::sync::OnceLock;

/// The part of the site a page belongs to, marked in the navigation.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Section {
    Home,
    Cases,
    Complications,
    Techniques,
    Findings,
    Study,
    Compare,
    Glossary,
    Methods,
    Search,
    /// None of those in the navigation.
    Elsewhere,
}

impl Section {
    const ALL: [Self; 11] = [
        Self::Home,
        Self::Cases,
        Self::Complications,
        Self::Techniques,
        Self::Findings,
        Self::Study,
        Self::Compare,
        Self::Glossary,
        Self::Methods,
        Self::Search,
        Self::Elsewhere,
    ];

    /// The section under which concepts of a kind are listed.
    pub(crate) fn of(kind: Kind) -> Self {
        match kind {
            Kind::Complication => Self::Complications,
            Kind::Technique => Self::Techniques,
            Kind::Finding => Self::Findings,
            Kind::Outcome | Kind::Material | Kind::Instrument => Self::Elsewhere,
        }
    }

    fn word(self) -> &'static str {
        match self {
            Self::Home => "home",
            Self::Cases => "cases",
            Self::Complications => "complications",
            Self::Techniques => "techniques",
            Self::Findings => "findings",
            Self::Study => "study",
            Self::Compare => "compare",
            Self::Glossary => "glossary",
            Self::Methods => "methods",
            Self::Search => "search",
            Self::Elsewhere => "",
        }
    }
}

/// What every page carries.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct Frame<'f> {
    /// The way to the site's root.
    pub(crate) root: &'f str,
    /// The page's title; empty on the first page.
    pub(crate) title: &'f str,
    pub(crate) library: &'f str,
    pub(crate) unit: &'f str,
    pub(crate) edition: &'f str,
    pub(crate) contact: &'f str,
    pub(crate) audience: &'f str,
    pub(crate) language: &'f str,
    /// The licence of the faces; empty if the theme has none.
    pub(crate) licence: &'f str,
    pub(crate) style: &'f str,
    pub(crate) script: &'f str,
    /// Whether the page needs the script.
    pub(crate) scripted: bool,
    /// The script for films; empty where there is none.
    pub(crate) film_script: &'f str,
    /// The navigation, made once for all pages of a section.
    pub(crate) nav: &'f str,
    /// `yes` or `no` on case pages: whether a second surgeon has read the case; empty elsewhere.
    pub(crate) reviewed: &'f str,
}

/// What a template is given.
#[derive(Serialize)]
pub(crate) struct Sheet<'s, V> {
    pub(crate) frame: Frame<'s>,
    pub(crate) page: &'s V,
}

#[derive(Serialize)]
struct NavView<'n> {
    root: &'n str,
    library: &'n str,
    section: &'n str,
}

/// Everything from which pages are made.
#[derive(Debug)]
pub(crate) struct Press<'a> {
    pub(crate) corpus: &'a Corpus,
    pub(crate) analysis: &'a Analysis,
    pub(crate) places: Places<'a>,
    theme: &'a Theme,
    pub(super) leanings: Leanings,
    terms: Terms<'a>,
    /// By the way to the root and the section.
    navs: BTreeMap<(&'static str, Section), String>,
    /// What each case shows in the lists of concepts, once one of them is made.
    pub(super) entries: Vec<OnceLock<Listed>>,
}

impl<'a> Press<'a> {
    pub(crate) fn new(corpus: &'a Corpus, analysis: &'a Analysis, theme: &'a Theme) -> Result<Self, PageError> {
        let place = |cleared: &Cleared| {
            let case = cleared.case();
            CasePlace {
                name: cleared.name.clone(),
                title: shown(&case.title),
                ask_title: text(case.ask_title.as_ref()),
                asks: !case.body.decisions.is_empty(),
            }
        };
        let cases = corpus.cases().par_iter().map(place);
        let mut navs = BTreeMap::new();
        for root in ["", "../"] {
            for section in Section::ALL {
                let view = NavView { root, library: &corpus.library().title, section: section.word() };
                navs.insert((root, section), theme.fill("", "nav.html", &view)?);
            }
        }
        Ok(Self {
            corpus,
            analysis,
            places: Places::new(corpus.vocabulary(), &corpus.library().models, analysis, cases.collect()),
            theme,
            leanings: Leanings::new(corpus.cases().len()),
            terms: Terms::new(corpus.vocabulary()),
            navs,
            entries: corpus.cases().iter().map(|_| OnceLock::new()).collect(),
        })
    }

    /// The theme.
    pub(crate) fn theme(&self) -> &'a Theme {
        self.theme
    }

    /// How things are linked from a page.
    pub(crate) fn desk(&self, path: &str) -> Desk<'_> {
        Desk { places: &self.places, root: root_of(path) }
    }

    /// A page that belongs to no single case.
    pub(crate) fn page(
        &self,
        template: &str,
        path: &str,
        section: Section,
        title: &str,
        view: &impl Serialize,
    ) -> Result<Vec<u8>, PageError> {
        self.fill(template, path, Frame { title, scripted: true, ..self.frame(path, section) }, view)
    }

    /// The straight reading of a case.
    pub(crate) fn case(&self, path: &str, at: usize) -> Result<Vec<u8>, PageError> {
        let cleared = &self.corpus.cases()[at];
        let here = self.analysis.concepts_of.get(at).map_or(&[][..], Vec::as_slice);
        let view = CaseView::new(self.desk(path), cleared, at, &mut self.mentions(here));
        self.case_page("case.html", path, at, &view.title, Scripts { page: false, film: view.has_film() }, &view)
    }

    /// The reading of a case with open decisions.
    pub(crate) fn ask(&self, path: &str, at: usize) -> Result<Vec<u8>, PageError> {
        let cleared = &self.corpus.cases()[at];
        let stages = self.analysis.stages[at].open();
        // Here nothing settles what an ambiguous term means: it could be something that happens only later.
        let view = AskView::new(self.desk(path), cleared, at, &stages, &mut self.mentions(&[]));
        self.case_page("ask.html", path, at, &view.title, Scripts { page: true, film: view.has_film() }, &view)
    }

    /// How a case was written.
    pub(crate) fn source(&self, path: &str, at: usize) -> Result<Vec<u8>, PageError> {
        let view = SourceView::new(self.desk(path), &self.corpus.cases()[at], at);
        let title = format!("How this page was written: {}", view.title);
        self.case_page("source.html", path, at, &title, Scripts::default(), &view)
    }

    /// The script of the search page.
    pub(crate) fn search_script(&self) -> &str {
        &self.theme.search().path
    }

    /// The letters a page of the glossary reaches over: `A to F`.
    pub(crate) fn letters(&self, range: Range<usize>) -> String {
        let letter = |at: usize| {
            let label = &self.corpus.vocabulary().get(*self.places.glossary.get(at)?).label.value;
            label.chars().next().map(|letter| letter.to_uppercase().to_string())
        };
        match (letter(range.start), letter(range.end.saturating_sub(1))) {
            (Some(first), Some(last)) if first == last => first,
            (Some(first), Some(last)) => format!("{first} to {last}"),
            _ => String::new(),
        }
    }

    pub(crate) fn mentions<'m>(&'m self, here: &'m [ConceptId]) -> Mentions<'m> {
        Mentions::new(&self.terms, self.analysis, here)
    }

    fn case_page(
        &self,
        template: &str,
        path: &str,
        at: usize,
        title: &str,
        scripts: Scripts,
        view: &impl Serialize,
    ) -> Result<Vec<u8>, PageError> {
        let reviewed = if self.corpus.cases()[at].reviewed { "yes" } else { "no" };
        let film_script = if scripts.film { self.theme.film_script().path.as_str() } else { "" };
        let frame = Frame { title, scripted: scripts.page, film_script, reviewed, ..self.frame(path, Section::Cases) };
        self.fill(template, path, frame, view)
    }

    fn frame(&self, path: &str, section: Section) -> Frame<'_> {
        let library = self.corpus.library();
        let root = root_of(path);
        Frame {
            root,
            title: "",
            library: &library.title,
            unit: library.unit.as_deref().unwrap_or(""),
            edition: library.edition.as_deref().unwrap_or(""),
            contact: library.contact.as_deref().unwrap_or(""),
            audience: self.corpus.audience().word(),
            language: if library.language.is_empty() { "en-GB" } else { &library.language },
            style: &self.theme.style().path,
            licence: self.theme.licence().map_or("", |licence| licence.path.as_str()),
            script: &self.theme.script().path,
            scripted: false,
            film_script: "",
            nav: self.navs.get(&(root, section)).map_or("", String::as_str),
            reviewed: "",
        }
    }

    fn fill(&self, template: &str, path: &str, frame: Frame<'_>, view: &impl Serialize) -> Result<Vec<u8>, PageError> {
        self.theme.fill(path, template, &Sheet { frame, page: view }).map(String::into_bytes)
    }
}

/// The scripts that a page needs.
#[derive(Debug, Clone, Copy, Default)]
struct Scripts {
    page: bool,
    film: bool,
}

/// The way from a page to the root. Pages lie at most one folder deep.
fn root_of(path: &str) -> &'static str {
    if path.contains('/') { "../" } else { "" }
}
