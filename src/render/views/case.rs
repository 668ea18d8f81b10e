//! The straight reading of a case, and what both readings share.

use super::compare::PairLink;
use super::difficulty::DifficultyView;
use super::exhibit::MediaView;
use super::eye::EyeView;
use super::pictures::PicturesView;
use super::record::{RecordView, whole};
use super::{Desk, Link, patient, shown, text, texts};
use crate::model::analysis::{Related, Stage};
use crate::model::case::{Case, ConsentStatus, Decision, FollowUp, Meant, Moment, Verdict};
use crate::model::corpus::Cleared;
use crate::render::mention::Mentions;
use crate::render::narrative::{Setting, parts};
use crate::render::places::Term;
use serde::Serialize;

/// The straight reading.
#[derive(Debug, Serialize)]
pub(crate) struct CaseView {
    pub(crate) title: String,
    pub(crate) summary: String,
    pub(crate) facts: FactsView,
    pub(crate) eye: EyeView,
    pub(crate) difficulty: DifficultyView,
    pub(crate) record: RecordView,
    pub(crate) pictures: PicturesView,
    pub(crate) account: Vec<PassageView>,
    pub(crate) end: EndView,
    pub(crate) asks: bool,
}

impl CaseView {
    /// Whether a film is on the page.
    pub(crate) fn has_film(&self) -> bool {
        self.record.media.iter().any(MediaView::is_film)
    }
}

/// The strip of key facts.
#[derive(Debug, Serialize)]
pub(crate) struct FactsView {
    pub(crate) eye: String,
    pub(crate) patient: String,
    /// Grades of those who operated, in order; those who took over only where that may be told.
    pub(crate) operators: Vec<String>,
    /// The planned operation, where it may be told.
    pub(crate) procedure: Option<Term>,
}

/// A piece of the narrative, and the decision that follows it.
#[derive(Debug, Serialize)]
pub(crate) struct PassageView {
    /// HTML made by the narrative writer.
    pub(crate) html: String,
    pub(crate) decision: Option<DecisionView>,
}

/// A decision point.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct DecisionView {
    pub(crate) id: String,
    /// Its number in the case, from 1.
    pub(crate) number: usize,
    pub(crate) of: usize,
    /// The number of the step it decides; 0 if it is none.
    pub(crate) step: usize,
    /// Time after surgery; empty if it is none.
    pub(crate) after: String,
    pub(crate) ask: String,
    pub(crate) grade: String,
    pub(crate) at_hand: Vec<String>,
    pub(crate) not_at_hand: Vec<String>,
    pub(crate) options: Vec<OptionView>,
    pub(crate) teaches: Vec<Term>,
}

/// A choice with its verdict.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct OptionView {
    pub(crate) letter: String,
    pub(crate) choice: String,
    /// `best`, `acceptable`, `risky` or `harmful`.
    pub(crate) verdict: String,
    pub(crate) because: String,
    pub(crate) unless: String,
    pub(crate) source: String,
}

/// What stands at the end of both readings.
#[derive(Debug, Serialize)]
pub(crate) struct EndView {
    pub(crate) follow_up: String,
    /// Time of the last visit, where the patient was lost.
    pub(crate) lost_after: String,
    pub(crate) lessons: Vec<String>,
    pub(crate) beside: Vec<PairLink>,
    pub(crate) related: Vec<RelatedView>,
    pub(crate) references: Vec<ReferenceView>,
    pub(crate) about: AboutView,
}

/// A case that is like this one.
#[derive(Debug, Serialize)]
pub(crate) struct RelatedView {
    pub(crate) case: Link,
    pub(crate) why: String,
}

/// A piece of literature: a DOI to look up, or a citation.
#[derive(Debug, Serialize)]
pub(crate) struct ReferenceView {
    pub(crate) doi: String,
    pub(crate) citation: String,
}

/// Who wrote the case and under which terms.
#[derive(Debug, Serialize)]
pub(crate) struct AboutView {
    pub(crate) authors: Vec<AuthorView>,
    pub(crate) interests: String,
    /// `obtained`, `not required`, …
    pub(crate) consent: String,
    pub(crate) scope: Vec<String>,
    pub(crate) policy: String,
    pub(crate) reviewed: bool,
    pub(crate) reviewed_by: String,
    pub(crate) reviewed_on: String,
    /// Whether somebody read an earlier state of it.
    pub(crate) review_outdated: bool,
    pub(crate) audience: String,
    pub(crate) source: String,
    pub(crate) straight: String,
    pub(crate) ask: String,
}

/// Somebody who wrote.
#[derive(Debug, Serialize)]
pub(crate) struct AuthorView {
    pub(crate) name: String,
    pub(crate) role: String,
}

/// Reasons for likeness that tell nothing of how the other case went.
const BEFORE_SURGERY: [&str; 3] = ["same finding", "related finding", "same plan"];

impl CaseView {
    /// The straight reading of the case at `at` in the corpus.
    pub(crate) fn new(desk: Desk<'_>, cleared: &Cleared, at: usize, mentions: &mut Mentions<'_>) -> Self {
        let open = cleared.open();
        let case = &*open.case;
        let setting = Setting { places: desk.places, root: desk.root, asking: false, top: 3 };
        let html = parts(open.narrative(), setting, mentions);
        let decisions = case.body.decisions.iter().enumerate();
        let mut decisions = decisions.map(|(at, decision)| desk.decision(case, at, decision));
        let mut all = vec![whole(case)];
        all.extend((0..case.body.decisions.len()).map(|at| Stage { decision: Some(at), ..Stage::default() }));
        let mut pictures = PicturesView::of_parts(case, desk.places.vocabulary(), &[&all]);
        Self {
            title: shown(&case.title),
            summary: shown(&case.summary),
            facts: desk.facts(cleared, None),
            eye: desk.eye(case),
            difficulty: desk.difficulty(&desk.places.analysis().indices[at]),
            record: desk.record(cleared, &whole(case)),
            pictures: pictures.pop().unwrap_or_default(),
            account: html.into_iter().map(|html| PassageView { html, decision: decisions.next() }).collect(),
            end: desk.end(cleared, at, false),
            asks: !case.body.decisions.is_empty(),
        }
    }
}

impl Desk<'_> {
    /// The key facts. `first` holds the grades that may be told; without it all are, and the plan.
    pub(crate) fn facts(&self, cleared: &Cleared, first: Option<Vec<String>>) -> FactsView {
        let case = &*cleared.case();
        let procedure = first.is_none().then(|| self.term(&case.planned.procedure));
        let all = || case.operation.operators.iter().map(|operator| shown(&operator.grade)).collect();
        FactsView {
            eye: case.eye.value.word().to_owned(),
            patient: patient(cleared),
            operators: first.unwrap_or_else(all),
            procedure,
        }
    }

    /// A decision. Its choices stand in an order that owes nothing to how the author wrote them, since authors tend to write
    /// the best one first; it is the same in both readings, so that "I chose B" means one thing.
    pub(crate) fn decision(&self, case: &Case, at: usize, decision: &Decision<Meant>) -> DecisionView {
        let mut choices: Vec<_> = decision.options.iter().collect();
        choices.sort_by_cached_key(|choice| {
            let what = format!("{}\n{}\n{}", case.name, decision.id.value, choice.choice.value);
            *blake3::hash(what.as_bytes()).as_bytes()
        });
        let options = choices.into_iter().zip('A'..='Z').map(|(choice, letter)| OptionView {
            letter: letter.to_string(),
            choice: shown(&choice.choice),
            verdict: Verdict::word(choice.verdict.value).to_owned(),
            because: text(choice.because.as_ref()),
            unless: text(choice.unless.as_ref()),
            source: text(choice.source.as_ref()),
        });
        DecisionView {
            id: decision.id.value.clone(),
            number: at + 1,
            of: case.body.decisions.len(),
            step: match &decision.at.value {
                Moment::Step(step) => case.operation.step_index(step).map_or(0, |at| at + 1),
                _ => 0,
            },
            after: match &decision.at.value {
                Moment::After(after) => after.to_string(),
                _ => String::new(),
            },
            ask: shown(&decision.ask),
            grade: text(decision.given_grade.as_ref()),
            at_hand: texts(&decision.at_hand),
            not_at_hand: texts(&decision.not_at_hand),
            options: options.collect(),
            teaches: self.terms(&decision.teaches),
        }
    }

    /// What stands at the end of a reading. On an open reading links lead to open readings where there are any.
    pub(crate) fn end(&self, cleared: &Cleared, at: usize, asking: bool) -> EndView {
        let case = &*cleared.case();
        let analysis = self.places.analysis();
        let pairs = analysis.pairs_of.get(at).map_or(&[][..], Vec::as_slice);
        let beside = pairs.iter().map(|&pair| self.pair_link(&analysis.pairs[pair], Some(at)));
        EndView {
            follow_up: match case.follow_up.as_ref().map(|follow_up| &follow_up.value) {
                None => "",
                Some(FollowUp::Complete) => "complete",
                Some(FollowUp::Continuing) => "continuing",
                Some(FollowUp::LostAfter(_)) => "lost",
            }
            .to_owned(),
            lost_after: match case.follow_up.as_ref().map(|follow_up| &follow_up.value) {
                Some(FollowUp::LostAfter(after)) => after.to_string(),
                _ => String::new(),
            },
            lessons: texts(&case.lessons),
            beside: beside.collect(),
            related: self.related(at, asking),
            references: case.references.iter().map(|reference| reference_view(&reference.value)).collect(),
            about: self.about(cleared, at),
        }
    }

    /// Cases that are like this one, by the title that gives nothing away, and to the reading that asks where there is one. Who
    /// decides as they read is told only of what the two eyes shared before surgery.
    fn related(&self, at: usize, asking: bool) -> Vec<RelatedView> {
        let related = self.places.analysis().related.of(at);
        let view = |it: &Related| RelatedView {
            case: Link {
                label: self.places.title(it.case, true).to_owned(),
                href: self.href(&self.places.ask(it.case).unwrap_or_else(|| self.places.case(it.case))),
            },
            why: it
                .why
                .iter()
                .copied()
                .filter(|why| !asking || BEFORE_SURGERY.contains(why))
                .collect::<Vec<_>>()
                .join(", "),
        };
        related.iter().map(view).collect()
    }

    fn about(&self, cleared: &Cleared, at: usize) -> AboutView {
        let case = &*cleared.case();
        let consent = &case.consent;
        AboutView {
            authors: case
                .authors
                .iter()
                .map(|author| AuthorView { name: shown(&author.name), role: text(author.role.as_ref()) })
                .collect(),
            interests: text(case.interests.as_ref()),
            consent: ConsentStatus::word(consent.status.value).to_owned(),
            scope: texts(&consent.scope),
            policy: text(consent.policy.as_ref()),
            reviewed: cleared.reviewed,
            reviewed_by: case.review.as_ref().map(|review| shown(&review.by)).unwrap_or_default(),
            reviewed_on: case.review.as_ref().map(|review| text(review.on.as_ref())).unwrap_or_default(),
            review_outdated: case.review.is_some() && !cleared.reviewed,
            audience: case.audience.value.word().to_owned(),
            source: self.href(&self.places.source(at)),
            straight: self.href(&self.places.case(at)),
            ask: self.places.ask(at).map(|path| self.href(&path)).unwrap_or_default(),
        }
    }
}

fn reference_view(reference: &str) -> ReferenceView {
    match reference.strip_prefix("doi:") {
        Some(doi) => ReferenceView { doi: doi.trim().to_owned(), citation: String::new() },
        None => ReferenceView { doi: String::new(), citation: reference.to_owned() },
    }
}
