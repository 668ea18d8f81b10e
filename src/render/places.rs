//! Where everything stands in the site, and how one page links to another.

use super::pack::{PAGE_BUDGET, pack, stem};
use super::views::shown;
use crate::model::analysis::Analysis;
use crate::model::risk::Models;
use crate::model::vocabulary::{ConceptId, Kind, Vocabulary};
use serde::Serialize;
use std::collections::BTreeMap;
use std::ops::Range;

/// Letters that two names may take in the name of a page, with `.html` below the 60 that [`crate::model::site::SitePath`] allows.
const MOST_OF_A_NAME: usize = 54;

/// A concept's label, with a link where there is something to read.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Term {
    /// What to read.
    pub(crate) label: String,
    /// Where it leads, relative to the page.
    pub(crate) href: String,
}

/// What a link to a case needs to know of it.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct CasePlace {
    /// Its name.
    pub(crate) name: String,
    /// The title of its straight reading.
    pub(crate) title: String,
    /// The title while its decisions are open; empty if it has none.
    pub(crate) ask_title: String,
    /// Whether it has decisions, and so a reading in which they are open.
    pub(crate) asks: bool,
}

/// The paths of all pages that others link to.
#[derive(Debug)]
pub(crate) struct Places<'a> {
    vocabulary: &'a Vocabulary,
    analysis: &'a Analysis,
    models: &'a Models,
    cases: Vec<CasePlace>,
    /// The glossary's concepts in order of label, and the pages they are cut into.
    pub(crate) glossary: Vec<ConceptId>,
    /// Parts of `glossary`, one a page.
    pub(crate) glossary_pages: Vec<Range<usize>>,
    glossary_page_of: BTreeMap<ConceptId, usize>,
    /// For each concept its term: label and path.
    terms: Vec<(String, String)>,
    /// For each complication the techniques that answer it, in order of label.
    answered_by: BTreeMap<ConceptId, Vec<ConceptId>>,
}

impl<'a> Places<'a> {
    /// Lays out the site. The cases come in the order of the corpus, which is that of their names.
    pub(crate) fn new(
        vocabulary: &'a Vocabulary,
        models: &'a Models,
        analysis: &'a Analysis,
        cases: Vec<CasePlace>,
    ) -> Self {
        let mut glossary: Vec<ConceptId> = vocabulary.iter().map(|(id, _)| id).collect();
        glossary.sort_by_cached_key(|&id| (vocabulary.get(id).label.value.to_lowercase(), id));
        let glossary_pages = pack(
            glossary.iter().map(|&id| {
                let concept = vocabulary.get(id);
                let texts = concept.terms().chain(concept.cautions.iter().map(|caution| caution.value.as_str()));
                240 + concept.definition.value.len() + texts.map(|text| text.len() + 12).sum::<usize>()
            }),
            PAGE_BUDGET,
        );
        let glossary_page_of = glossary_pages
            .iter()
            .enumerate()
            .flat_map(|(page, range)| glossary[range.clone()].iter().map(move |&id| (id, page + 1)))
            .collect();
        let mut answered_by: BTreeMap<ConceptId, Vec<ConceptId>> = BTreeMap::new();
        for &id in &glossary {
            for &complication in &vocabulary.get(id).answers {
                let by = answered_by.entry(complication).or_default();
                if by.last() != Some(&id) {
                    by.push(id);
                }
            }
        }
        let mut places = Self {
            vocabulary,
            models,
            analysis,
            cases,
            glossary,
            glossary_pages,
            glossary_page_of,
            terms: Vec::new(),
            answered_by,
        };
        places.terms = vocabulary.iter().map(|(id, concept)| (shown(&concept.label), places.concept(id))).collect();
        places
    }

    /// The techniques that answer a complication, in order of label.
    pub(crate) fn answered_by(&self, complication: ConceptId) -> &[ConceptId] {
        self.answered_by.get(&complication).map_or(&[], Vec::as_slice)
    }

    /// The vocabulary.
    pub(crate) fn vocabulary(&self) -> &'a Vocabulary {
        self.vocabulary
    }

    /// What analysis knows.
    pub(crate) fn analysis(&self) -> &'a Analysis {
        self.analysis
    }

    /// The models of risk and difficulty.
    pub(crate) fn models(&self) -> &'a Models {
        self.models
    }

    /// The place of the case with this name.
    pub(crate) fn find(&self, name: &str) -> Option<usize> {
        self.cases.binary_search_by(|case| case.name.as_str().cmp(name)).ok()
    }

    /// The title under which a page links to a case: on an open reading one that gives nothing away.
    pub(crate) fn title(&self, case: usize, asking: bool) -> &str {
        let case = &self.cases[case];
        if asking && !case.ask_title.is_empty() { &case.ask_title } else { &case.title }
    }

    /// The straight reading of a case.
    pub(crate) fn case(&self, case: usize) -> String {
        format!("cases/{}.html", self.cases[case].name)
    }

    /// The reading with open decisions, if the case has any.
    pub(crate) fn ask(&self, case: usize) -> Option<String> {
        let case = &self.cases[case];
        case.asks.then(|| format!("cases/{}-ask.html", case.name))
    }

    /// The page that sets two cases against each other. Names that are too long for a share together are cut, and a hash tells them
    /// apart.
    pub(crate) fn compare(&self, one: usize, other: usize) -> String {
        let (one, other) = (&self.cases[one].name, &self.cases[other].name);
        let name = format!("{one}_{other}");
        if name.len() <= MOST_OF_A_NAME {
            return format!("compare/{name}.html");
        }
        let hash = blake3::hash(name.as_bytes()).to_hex();
        let cut = |name: &str| name[..name.len().min(MOST_OF_A_NAME / 2 - 5)].trim_end_matches('-').to_owned();
        format!("compare/{}_{}_{}.html", cut(one), cut(other), &hash[..8])
    }

    /// A page of a session, from 1, for learners or for whoever leads it.
    pub(crate) fn session(&self, name: &str, tutor: bool, number: usize) -> String {
        let base = if tutor { format!("{name}-tutor") } else { name.to_owned() };
        format!("sessions/{}.html", stem(&base, number, |_| false))
    }

    /// The page that shows how a case is written.
    pub(crate) fn source(&self, case: usize) -> String {
        format!("cases/{}-source.html", self.cases[case].name)
    }

    /// A page of a concept, from 1.
    pub(crate) fn concept_page(&self, concept: ConceptId, number: usize) -> String {
        let name = &self.vocabulary.get(concept).name.value;
        format!("concepts/{}.html", stem(name, number, |name| self.vocabulary.by_name(name).is_some()))
    }

    /// Where a concept is explained: its page, or its entry in the glossary.
    pub(crate) fn concept(&self, concept: ConceptId) -> String {
        if self.analysis.has_page(concept) { self.concept_page(concept, 1) } else { self.glossary_entry(concept) }
    }

    /// A concept's entry in the glossary.
    pub(crate) fn glossary_entry(&self, concept: ConceptId) -> String {
        let page = self.glossary_page_of.get(&concept).copied().unwrap_or(1);
        format!("{}#{}", numbered("glossary", page), self.vocabulary.get(concept).name.value)
    }

    /// A concept's label with its link, from a page whose way to the root is `root`.
    pub(crate) fn term(&self, concept: ConceptId, root: &str) -> Term {
        let (label, path) = &self.terms[concept.0 as usize];
        Term { label: label.clone(), href: [root, path].concat() }
    }
}

/// A page of the list of one kind, from 1: `complications.html`, `complications-2.html`.
pub(crate) fn list_page(kind: Kind, number: usize) -> String {
    numbered(&format!("{}s", kind.word()), number)
}

/// A page of a list at the root of the site, from 1.
pub(crate) fn numbered(base: &str, number: usize) -> String {
    format!("{}.html", stem(base, number, |_| false))
}
