//! Teaching sessions: a handout for learners, without answers, and one for whoever leads it, with answers and times.

use super::ask::{AskView, StageView};
use super::case::FactsView;
use super::compare::CompareView;
use super::eye::EyeView;
use super::{Desk, Link, Pager, shown, text, texts};
use crate::model::session::{Part, Session, What};
use crate::model::site::PageError;
use crate::render::press::Press;
use serde::Serialize;

/// Parts on one page: a case with its drawings takes up to 60 KB, and a page stays below 300.
pub(crate) const PARTS_ON_A_PAGE: usize = 4;

/// The list of sessions.
#[derive(Debug, Serialize)]
pub(crate) struct SessionsView {
    pub(crate) sessions: Vec<SessionLink>,
}

/// A session in the list.
#[derive(Debug, Serialize)]
pub(crate) struct SessionLink {
    pub(crate) title: String,
    pub(crate) learner: String,
    pub(crate) tutor: String,
    pub(crate) minutes: String,
    pub(crate) learners: String,
    pub(crate) parts: usize,
}

/// A page of a handout.
#[derive(Debug, Serialize)]
pub(crate) struct SessionView {
    pub(crate) title: String,
    /// Whether it is for whoever leads the session.
    pub(crate) tutor: bool,
    pub(crate) minutes: String,
    pub(crate) learners: String,
    pub(crate) aims: Vec<String>,
    pub(crate) notes: String,
    /// The same page for the others.
    pub(crate) other: String,
    /// HTML of each part.
    pub(crate) parts: Vec<String>,
    pub(crate) pager: Pager,
}

/// What the template of a part is given.
#[derive(Serialize)]
struct PartSheet {
    tutor: bool,
    part: PartView,
}

/// The names of places within a part, apart from those of other parts: two cases both have a first step.
fn named_apart(html: &str, part: usize) -> String {
    let mut out = html.to_owned();
    for attribute in ["id", "aria-labelledby", "aria-describedby", "for"] {
        out = out.replace(&format!(" {attribute}=\""), &format!(" {attribute}=\"part-{part}-"));
    }
    out.replace(" href=\"#", &format!(" href=\"#part-{part}-"))
}

/// A part.
#[derive(Debug, Serialize)]
pub(crate) struct PartView {
    /// From 1, through all pages.
    pub(crate) number: usize,
    /// From when to when, in minutes of the session; for whoever leads it.
    pub(crate) time: String,
    pub(crate) note: String,
    pub(crate) case: Option<CasePart>,
    pub(crate) pair: Option<CompareView>,
}

/// A case, as far as its last decision that is asked.
#[derive(Debug, Serialize)]
pub(crate) struct CasePart {
    pub(crate) title: String,
    pub(crate) facts: FactsView,
    pub(crate) eye: EyeView,
    pub(crate) stages: Vec<StagePart>,
    /// For whoever leads it: the title of the straight reading, what happened, and the lessons.
    pub(crate) straight_title: String,
    pub(crate) straight: Link,
    pub(crate) summary: String,
    pub(crate) lessons: Vec<String>,
}

/// A stage, and whether its decision is asked.
#[derive(Debug, Serialize)]
pub(crate) struct StagePart {
    pub(crate) stage: StageView,
    pub(crate) asked: bool,
}

impl Desk<'_> {
    /// Every session.
    pub(crate) fn sessions(&self, sessions: &[Session]) -> SessionsView {
        let link = |session: &Session| SessionLink {
            title: shown(&session.title),
            learner: self.href(&self.places.session(&session.name, false, 1)),
            tutor: self.href(&self.places.session(&session.name, true, 1)),
            minutes: text(session.minutes.as_ref()),
            learners: text(session.learners.as_ref()),
            parts: session.parts.len(),
        };
        SessionsView { sessions: sessions.iter().map(link).collect() }
    }
}

impl Press<'_> {
    /// A page of a handout, from 1.
    pub(crate) fn session(
        &self,
        path: &str,
        session: &Session,
        tutor: bool,
        number: usize,
    ) -> Result<SessionView, PageError> {
        let desk = self.desk(path);
        let of = session.parts.len().div_ceil(PARTS_ON_A_PAGE);
        let first = (number - 1) * PARTS_ON_A_PAGE;
        let mut begins = 0;
        let mut parts = Vec::new();
        for (at, part) in session.parts.iter().enumerate() {
            let minutes = part.minutes.as_ref().map_or(0, |minutes| minutes.value);
            if (first..first + PARTS_ON_A_PAGE).contains(&at) {
                let time = if minutes > 0 { format!("{begins} to {} min", begins + minutes) } else { String::new() };
                let part = PartView {
                    number: at + 1,
                    time,
                    note: text(part.note.as_ref()),
                    case: self.case_part(desk, part),
                    pair: self.pair_part(desk, part),
                };
                let html = self.theme().fill(path, "session-part.html", &PartSheet { tutor, part })?;
                parts.push(named_apart(&html, at + 1));
            }
            begins += minutes;
        }
        let href = |tutor, number| desk.href(&self.places.session(&session.name, tutor, number));
        Ok(SessionView {
            title: shown(&session.title),
            tutor,
            minutes: text(session.minutes.as_ref()),
            learners: text(session.learners.as_ref()),
            aims: texts(&session.aims),
            notes: text(session.notes.as_ref()),
            other: href(!tutor, number),
            parts,
            pager: Pager::new(number, of, |number| href(tutor, number)),
        })
    }

    fn case_part(&self, desk: Desk<'_>, part: &Part) -> Option<CasePart> {
        let What::Case { case, decisions } = &part.what else { return None };
        let at = self.corpus.find(&case.value)?;
        let cleared = &self.corpus.cases()[at];
        let mut view = AskView::new(desk, cleared, at, &self.analysis.stages[at].open(), &mut self.mentions(&[]));
        let is_asked = |stage: &StageView| {
            let id = stage.decision.as_ref().map(|decision| decision.id.as_str());
            id.is_some_and(|id| decisions.is_empty() || decisions.iter().any(|name| name.value == id))
        };
        // What follows the last question is told by whoever leads the session.
        let asked = view.stages.iter().rposition(is_asked).map_or(view.stages.len(), |last| last + 1);
        view.stages.truncate(asked);
        let told = cleared.case();
        let stages = view.stages.into_iter().map(|stage| StagePart { asked: is_asked(&stage), stage });
        Some(CasePart {
            stages: stages.collect(),
            title: view.title,
            facts: view.facts,
            eye: view.eye,
            straight: Link { label: view.straight_title.clone(), href: desk.href(&self.places.case(at)) },
            straight_title: view.straight_title,
            summary: shown(&told.summary),
            lessons: texts(&told.lessons),
        })
    }

    fn pair_part(&self, desk: Desk<'_>, part: &Part) -> Option<CompareView> {
        let What::Pair(one, other) = &part.what else { return None };
        let (one, other) = (self.corpus.find(&one.value)?, self.corpus.find(&other.value)?);
        let wanted = (one.min(other), one.max(other));
        let pair = self.analysis.pairs.iter().find(|pair| (pair.one, pair.other) == wanted)?;
        Some(desk.compare(self.corpus.cases(), pair))
    }
}
