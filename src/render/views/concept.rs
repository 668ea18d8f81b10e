//! The page of a concept.

use super::lists::{Entry, narrow_cases};
use super::narrow::NarrowView;
use super::questions::QuestionsView;
use super::{Desk, Pager, shown, text, texts};
use crate::model::corpus::Cleared;
use crate::model::vocabulary::{ConceptId, Harm, Level, Period};
use crate::render::places::{Term, list_page};
use serde::Serialize;

/// A concept and its cases.
#[derive(Debug, Serialize)]
pub(crate) struct ConceptView {
    pub(crate) label: String,
    pub(crate) kind: String,
    /// The list of its kind.
    pub(crate) list: String,
    pub(crate) definition: String,
    pub(crate) cautions: Vec<String>,
    pub(crate) sources: Vec<String>,
    pub(crate) aliases: Vec<String>,
    pub(crate) broader: Vec<Term>,
    pub(crate) narrower: Vec<Term>,
    pub(crate) level: String,
    pub(crate) needs: Vec<Term>,
    pub(crate) answers: Vec<Term>,
    pub(crate) harm: String,
    pub(crate) periods: Vec<String>,
    /// For a complication: techniques that answer it.
    pub(crate) answered_by: Vec<Term>,
    pub(crate) refer: String,
    /// How many cases have it, and how many name it at all.
    pub(crate) cases: usize,
    pub(crate) named: usize,
    /// What the page answers, on its first part.
    pub(crate) questions: Option<QuestionsView>,
    /// Where only one case has it: the nearest wider concept that more have, and how many.
    pub(crate) wider: Option<Term>,
    pub(crate) wider_cases: usize,
    /// Where decisions about it are practised; empty if there is none.
    pub(crate) practice: String,
    pub(crate) narrow: NarrowView,
    pub(crate) entries: Vec<Entry>,
    pub(crate) pager: Pager,
}

impl Desk<'_> {
    /// A page of a concept with the given part of its cases.
    /// `cases` are those of the corpus on its first page, and none on the others.
    pub(crate) fn concept(
        &self,
        id: ConceptId,
        entries: Vec<Entry>,
        pager: Pager,
        cases: Option<&[Cleared]>,
    ) -> ConceptView {
        let vocabulary = self.places.vocabulary();
        let analysis = self.places.analysis();
        let concept = vocabulary.get(id);
        let terms = |ids: &[ConceptId]| ids.iter().map(|&id| self.places.term(id, self.root)).collect::<Vec<_>>();
        let here = analysis.cases_with(id);
        let wider =
            vocabulary.upwards(id).iter().copied().skip(1).find(|&it| here < 2 && analysis.cases_with(it) > here);
        ConceptView {
            label: shown(&concept.label),
            kind: concept.kind.word().to_owned(),
            list: self.href(&list_page(concept.kind, 1)),
            definition: shown(&concept.definition),
            cautions: texts(&concept.cautions),
            sources: texts(&concept.sources),
            aliases: texts(&concept.aliases),
            broader: terms(&concept.broader),
            narrower: terms(analysis.narrower.get(id.0 as usize).map_or(&[], Vec::as_slice)),
            level: concept.level.map(Level::word).unwrap_or_default().to_owned(),
            needs: terms(&concept.needs),
            answers: terms(&concept.answers),
            harm: concept.harm.map(Harm::word).unwrap_or_default().to_owned(),
            periods: concept.periods.iter().map(|&period| Period::word(period).to_owned()).collect(),
            answered_by: terms(self.places.answered_by(id)),
            refer: text(concept.refer.as_ref()),
            cases: analysis.cases_with(id),
            named: analysis.of(id).len(),
            questions: cases.map(|cases| self.questions(id, cases)),
            wider: wider.map(|id| self.places.term(id, self.root)),
            wider_cases: wider.map_or(0, |id| analysis.cases_with(id)),
            practice: match analysis.practice.topics.binary_search_by_key(&Some(id), |topic| topic.concept) {
                Ok(_) => self.href(&format!("practice.html#topic={}", concept.name.value)),
                Err(_) => String::new(),
            },
            narrow: narrow_cases(&entries),
            entries,
            pager,
        }
    }
}
