//! What is computed about a corpus before any page is made.

use super::gist::Gist;
use super::index::{Indices, Robustness, Standing};
use super::packed::Packed;
use super::search::SearchIndex;
use super::vocabulary::ConceptId;
use serde::{Deserialize, Serialize};
use std::fmt;
use std::sync::{Arc, OnceLock};

/// Why a case belongs to a concept.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Relation {
    /// A complication arose.
    Arose,
    /// A technique was used in a step.
    Used,
    /// A technique answered a complication.
    Answered,
    /// A technique was planned, or the operation was converted to it.
    Planned,
    /// A finding was present.
    Present,
    /// The eye ended so.
    Ended,
    /// A material or instrument was used.
    Handled,
    /// A later operation on the same eye.
    Later,
    /// The fellow eye had it.
    Fellow,
    /// A decision teaches it.
    Taught,
    /// A finding was looked for and absent.
    Absent,
}

impl Relation {
    /// All of them, most telling first.
    const ALL: [Self; 11] = [
        Self::Arose,
        Self::Used,
        Self::Answered,
        Self::Planned,
        Self::Present,
        Self::Ended,
        Self::Handled,
        Self::Later,
        Self::Fellow,
        Self::Taught,
        Self::Absent,
    ];

    /// The relation in words, as it stands beside a case.
    pub fn words(self) -> &'static str {
        match self {
            Self::Arose => "it arose",
            Self::Used => "used",
            Self::Answered => "used against a complication",
            Self::Planned => "planned",
            Self::Present => "present before surgery",
            Self::Ended => "ended so",
            Self::Handled => "used",
            Self::Later => "done later",
            Self::Fellow => "in the fellow eye",
            Self::Taught => "a decision is about it",
            Self::Absent => "looked for, not there",
        }
    }
}

/// Several relations at once. There is one for every concept of every case, so it takes no memory of its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Relations(u16);

impl Relations {
    /// Adds one.
    pub fn insert(&mut self, relation: Relation) {
        self.0 |= 1 << relation as u16;
    }

    /// Adds all of the others.
    pub fn extend(&mut self, others: Self) {
        self.0 |= others.0;
    }

    /// The same without one.
    #[must_use]
    pub fn without(self, relation: Relation) -> Self {
        Self(self.0 & !(1 << relation as u16))
    }

    /// Whether this one is among them.
    pub fn contains(self, relation: Relation) -> bool {
        self.0 & 1 << relation as u16 != 0
    }

    /// Whether there is none.
    pub fn is_empty(self) -> bool {
        self.0 == 0
    }

    /// Whether there is one besides these.
    pub fn any_but(self, these: &[Relation]) -> bool {
        !these.iter().fold(self, |left, relation| left.without(*relation)).is_empty()
    }

    /// All of them as one number.
    pub fn bits(self) -> u16 {
        self.0
    }

    /// Each, most telling first.
    pub fn iter(self) -> impl Iterator<Item = Relation> {
        Relation::ALL.into_iter().filter(move |it| self.contains(*it))
    }
}

/// A case in which a concept occurs, and in which ways.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Occurrence {
    /// The case's place in the corpus.
    pub case: usize,
    /// Every way in which it occurs.
    pub relations: Relations,
    /// The narrower concept through which it belongs here; `None` if it occurs itself.
    pub through: Option<ConceptId>,
}

/// A case to read beside another.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Related {
    /// Its place in the corpus.
    pub case: usize,
    /// Why, in words that give neither away.
    pub why: Vec<&'static str>,
}

/// Finds what is like the case at a place.
type Find = dyn Fn(usize) -> Vec<Related> + Send + Sync;

/// Which cases are like one another: found for a case when somebody first asks, since the preview shows few of them.
#[derive(Clone, Default)]
pub struct Kindred {
    find: Option<Arc<Find>>,
    found: Arc<[OnceLock<Vec<Related>>]>,
}

impl Kindred {
    /// The kin of so many cases, as `find` tells them.
    pub fn new(cases: usize, find: impl Fn(usize) -> Vec<Related> + Send + Sync + 'static) -> Self {
        Self { find: Some(Arc::new(find)), found: (0..cases).map(|_| OnceLock::new()).collect() }
    }

    /// The cases that are like the one at this place, most alike first.
    pub fn of(&self, case: usize) -> &[Related] {
        match (&self.find, self.found.get(case)) {
            (Some(find), Some(found)) => found.get_or_init(|| find(case)),
            _ => &[],
        }
    }
}

impl fmt::Debug for Kindred {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.debug_struct("Kindred").field("found", &self.found).finish_non_exhaustive()
    }
}

/// A case on a ladder.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Rung {
    /// Its place in the corpus.
    pub case: usize,
    /// Findings, and the plan where no decision asks for it: what no rung below had.
    pub new: Vec<ConceptId>,
    /// Whether it is to be read as a worked example; the others ask.
    pub worked: bool,
}

/// The cases of a concept in the order in which to read them.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Ladder {
    /// From the first to the last.
    pub rungs: Vec<Rung>,
    /// Cases beyond the last rung, in reading order.
    pub below: Vec<usize>,
}

/// A decision to practise.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Question {
    /// Its case, a place in the corpus.
    pub case: usize,
    /// Its place among the decisions of the case.
    pub decision: usize,
    /// Its name in the case.
    pub id: String,
    /// What it teaches, as its author named it: the first is what it is about.
    pub teaches: Vec<ConceptId>,
    /// Hash of what a reader answers: question, circumstances, choices and their verdicts.
    pub hash: String,
}

/// A concept with the questions about it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Topic {
    /// Which; none gathers the questions that name nothing they teach.
    pub concept: Option<ConceptId>,
    /// Places in the list of questions, in order.
    pub questions: Vec<usize>,
}

/// Everything to practise.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Practice {
    /// Every decision, in reading order.
    pub questions: Vec<Question>,
    /// Every topic, in order of concept; the one without any comes first.
    pub topics: Vec<Topic>,
    /// For each case its questions in order of its decisions, as places in `questions`.
    pub of_case: Vec<Vec<usize>>,
}

/// A complication that no case shows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NotTaught {
    /// Which.
    pub concept: ConceptId,
    /// Its nearest relatives that a case shows.
    pub near: Vec<ConceptId>,
}

/// Who set two cases against each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum ChosenBy {
    /// An author, who wrote what they teach.
    Author,
    /// Whoever wrote a teaching session.
    Session,
    /// Computation: the eyes were alike before surgery and something went another way.
    Likeness,
}

/// Two cases to read against each other, as places in the corpus.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pair {
    /// The one whose name comes first.
    pub one: usize,
    /// The other.
    pub other: usize,
    /// What authors wrote that it teaches: the case, and the place in its `contrast`.
    pub principles: Vec<(usize, usize)>,
    /// Who chose it.
    pub by: ChosenBy,
    /// How they differ, in words that give neither away.
    pub differ: Vec<&'static str>,
    /// Both operations, step beside step.
    pub rows: Vec<Beside>,
}

/// Steps that stand beside each other, as places in the two operations. At least one is there.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Beside {
    /// The step of the one.
    pub one: Option<usize>,
    /// The step of the other.
    pub other: Option<usize>,
    /// Whether both did the same here.
    pub same: bool,
}

/// What is laid bare between two decisions of a case, as places in the case's lists.
///
/// The first stage stands before the first decision; each later one after an answer. Together they hold every part of the case once.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Stage {
    /// Whether the plan is told here.
    pub plan: bool,
    /// Whether the surgeon's place is told here.
    pub seat: bool,
    /// Whether the main wound is told here.
    pub incision: bool,
    /// Side ports, as places in `operation.ports`.
    pub ports: Vec<usize>,
    /// Steps, as places in `operation.steps`.
    pub steps: Vec<usize>,
    /// Devices, as places in `operation.devices`.
    pub devices: Vec<usize>,
    /// Operators who take over here, as places in `operation.operators`.
    pub operators: Vec<usize>,
    /// Whether the conversion is told here.
    pub conversion: bool,
    /// Complications that become known here, as places in `complications`.
    pub complications: Vec<usize>,
    /// Whether the implant that was put in is told here.
    pub lens: bool,
    /// What was done about complications, as (complication, measure) places.
    pub managed: Vec<(usize, usize)>,
    /// Visits afterwards, as places in `outcomes`.
    pub outcomes: Vec<usize>,
    /// Later operations, as places in `later`.
    pub later: Vec<usize>,
    /// Pictures and films, as places in `media`.
    pub media: Vec<usize>,
    /// The decision that closes the stage, as a place in `body.decisions`; the last stage has none.
    pub decision: Option<usize>,
}

/// What analysis knows of a corpus.
#[derive(Debug, Clone, Default)]
pub struct Analysis {
    /// For each concept the cases in which it or a narrower one occurs, in order of the corpus.
    pub occurrences: Vec<Vec<Occurrence>>,
    /// For each concept its narrower concepts, in order of label.
    pub narrower: Vec<Vec<ConceptId>>,
    /// For each case the concepts that occur in it, in order of number.
    pub concepts_of: Vec<Vec<ConceptId>>,
    /// Which cases are like one another.
    pub related: Kindred,
    /// Cases to read against each other, in order of their places.
    pub pairs: Vec<Pair>,
    /// For each case its pairs, as places in `pairs`; those that authors chose first.
    pub pairs_of: Vec<Vec<usize>>,
    /// For each concept its ladder; empty for outcomes and things.
    pub ladders: Vec<Ladder>,
    /// Decisions to practise.
    pub practice: Practice,
    /// Complications that no case shows, gravest first.
    pub not_taught: Vec<NotTaught>,
    /// For each case its stages.
    pub stages: Vec<Packed<Vec<Stage>>>,
    /// For each case what the pages of its concepts tell of it.
    pub gists: Vec<Arc<Gist>>,
    /// For each case what was computed of it.
    pub indices: Vec<Arc<Indices>>,
    /// For each case where that puts it among the others.
    pub standings: Vec<Standing>,
    /// How steady the order by eye difficulty is.
    pub robustness: Robustness,
    /// For each case its rank in reading order, from 0: those that ask least of the reader first. No two share one.
    pub reading: Vec<usize>,
    /// What is searched: one document for each case, in order of the corpus.
    pub search: SearchIndex,
}

impl Analysis {
    /// Whether a concept has a page of its own: it or a narrower one occurs in a case.
    pub fn has_page(&self, concept: ConceptId) -> bool {
        self.occurrences.get(concept.0 as usize).is_some_and(|found| !found.is_empty())
    }

    /// The cases of a concept.
    pub fn of(&self, concept: ConceptId) -> &[Occurrence] {
        self.occurrences.get(concept.0 as usize).map_or(&[], Vec::as_slice)
    }

    /// How many cases have a concept for a reason other than its absence or a mere mention in a decision.
    pub fn cases_with(&self, concept: ConceptId) -> usize {
        self.of(concept).iter().filter(|found| found.relations.any_but(&[Relation::Absent, Relation::Taught])).count()
    }
}
