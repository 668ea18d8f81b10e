//! The reading in which decisions are open: nothing from after an unanswered decision stands before it.
//!
//! The page is a row of stages. The first stands open; each later one lies inside the answer to the decision before it.

use super::case::{DecisionView, EndView, FactsView};
use super::exhibit::MediaView;
use super::eye::EyeView;
use super::pictures::PicturesView;
use super::record::{RecordView, first_operators};
use super::{Desk, shown};
use crate::model::analysis::Stage;
use crate::model::corpus::Cleared;
use crate::render::mention::Mentions;
use crate::render::narrative::{Setting, parts};
use serde::Serialize;

/// The open reading.
#[derive(Debug, Serialize)]
pub(crate) struct AskView {
    /// Gives nothing away.
    pub(crate) title: String,
    pub(crate) facts: FactsView,
    pub(crate) eye: EyeView,
    pub(crate) stages: Vec<StageView>,
    /// Shown inside the last answer.
    pub(crate) end: EndView,
    /// The full title, told at the end.
    pub(crate) straight_title: String,
}

/// What is told between two decisions, and the decision that follows.
#[derive(Debug, Serialize)]
pub(crate) struct StageView {
    pub(crate) record: RecordView,
    /// What can be drawn by now and was not drawn so before.
    pub(crate) pictures: PicturesView,
    /// HTML made by the narrative writer.
    pub(crate) html: String,
    pub(crate) decision: Option<DecisionView>,
}

impl StageView {
    /// What is told stage by stage, without pictures.
    pub(crate) fn of(desk: Desk<'_>, cleared: &Cleared, stages: &[Stage], mentions: &mut Mentions<'_>) -> Vec<Self> {
        let open = cleared.open();
        let case = &*open.case;
        let setting = Setting { places: desk.places, root: desk.root, asking: true, top: 3 };
        let mut passages = parts(open.narrative(), setting, mentions).into_iter();
        let stage = |stage: &Stage| Self {
            pictures: PicturesView::default(),
            record: desk.record(cleared, stage),
            html: passages.next().unwrap_or_default(),
            decision: stage.decision.and_then(|at| Some(desk.decision(case, at, case.body.decisions.get(at)?))),
        };
        let mut told: Vec<Self> = stages.iter().map(stage).collect();
        // Should there be more passages than stages, they belong after the last decision.
        if let Some(last) = told.last_mut() {
            last.html.extend(passages);
        }
        told
    }
}

impl AskView {
    /// Whether a film is on the page.
    pub(crate) fn has_film(&self) -> bool {
        self.stages.iter().flat_map(|stage| &stage.record.media).any(MediaView::is_film)
    }

    /// The open reading of the case at `at` in the corpus, whose stages are `stages`.
    pub(crate) fn new(
        desk: Desk<'_>,
        cleared: &Cleared,
        at: usize,
        stages: &[Stage],
        mentions: &mut Mentions<'_>,
    ) -> Self {
        let case = &*cleared.case();
        let mut told = StageView::of(desk, cleared, stages, mentions);
        // Where nothing is on record no picture is shown; its stage then counts to the next part.
        let ends: Vec<usize> = (0..stages.len()).filter(|&at| !told[at].record.empty).collect();
        let begins = std::iter::once(0).chain(ends.iter().map(|end| end + 1));
        let pieces: Vec<&[Stage]> = begins.zip(&ends).map(|(begin, &end)| &stages[begin..=end]).collect();
        let drawn = PicturesView::of_parts(case, desk.places.vocabulary(), &pieces);
        for (end, pictures) in ends.into_iter().zip(drawn) {
            told[end].pictures = pictures;
        }
        let title = case.ask_title.as_ref().map_or_else(|| case.name.clone(), shown);
        Self {
            title,
            facts: desk.facts(cleared, Some(first_operators(case))),
            eye: desk.eye(case),
            stages: told,
            end: desk.end(cleared, at, true),
            straight_title: shown(&case.title),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::render::mention::Terms;
    use crate::render::press::{Frame, Sheet};
    use crate::render::{Theme, sample};
    use std::collections::BTreeMap;

    fn page() -> String {
        let (vocabulary, analysis) = sample::vocabulary();
        let places = sample::places(&vocabulary, &analysis);
        let desk = Desk { places: &places, root: "../" };
        let terms = Terms::new(&vocabulary);
        let mut mentions = Mentions::new(&terms, &analysis, &analysis.concepts_of[0]);
        let view = AskView::new(desk, &sample::case(), 2, &sample::stages(), &mut mentions);
        let frame = Frame { title: &view.title, library: "Sample", reviewed: "no", ..Frame::default() };
        let theme = Theme::new(&BTreeMap::new()).expect("the built-in theme is sound");
        theme.fill("sample-ask.html", "ask.html", &Sheet { frame, page: &view }).expect("the page is made")
    }

    #[test]
    fn nothing_stands_before_the_decision_that_covers_it() {
        let page = page();
        let answers: Vec<usize> = page.match_indices("<details").map(|(at, _)| at).collect();
        assert_eq!(answers.len(), 2);
        let before = &page[..answers[0]];
        for covered in [
            "telling",
            "Note of step two",
            "consultant",
            "vitrectomy",
            "capsule rupture",
            "Outcome of day one",
            "Because of",
            "Harmful",
            "Best here",
            "How it was managed",
            "Question second",
        ] {
            assert!(!before.contains(covered), "{covered} stands before the first decision");
            assert!(page.contains(covered), "{covered} is missing");
        }
        for told in ["The neutral title", "Note of step one", "old bleed", "Question first?", "The chamber was deep"] {
            assert!(before.contains(told), "{told} is missing before the first decision");
        }
        let between = &page[answers[0]..answers[1]];
        for covered in ["telling", "Because of second", "Outcome of day one", "How it was managed", "healed"] {
            assert!(!between.contains(covered), "{covered} stands before the second decision");
        }
        for told in ["Because of first", "Note of step two", "Noticed here", "the consultant operates", "was plain"] {
            assert!(between.contains(told), "{told} is missing after the first decision");
        }
    }

    #[test]
    fn choices_stand_in_an_order_that_is_not_the_authors() {
        // Stay, Go, Wait as written; the order on the page comes from a hash of the words and never changes.
        let page = page();
        let form = &page[page.find("<form").expect("a form")..page.find("</form>").expect("its end")];
        let at = |choice: &str| form.find(&format!("<span>{choice}</span>")).expect("the choice");
        let mut order = ["Stay", "Go", "Wait"];
        order.sort_by_key(|choice| at(choice));
        let mut by_hash = ["Stay", "Go", "Wait"];
        by_hash.sort_by_key(|choice| *blake3::hash(format!("sample\nfirst\n{choice}").as_bytes()).as_bytes());
        assert_eq!(order, by_hash);
        assert!(!form.contains("best") && !form.contains("harmful"));
    }

    #[test]
    fn each_answer_lies_inside_the_one_before() {
        let page = page();
        let opened: Vec<usize> = page.match_indices("<details").map(|(at, _)| at).collect();
        let closed: Vec<usize> = page.match_indices("</details>").map(|(at, _)| at).collect();
        assert_eq!((opened.len(), closed.len()), (2, 2));
        assert!(closed[0] > opened[1]);
        assert!(!page.contains("<details open"));
    }
}
