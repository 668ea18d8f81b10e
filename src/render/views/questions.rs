//! What a concept's page answers: where a complication arose, what was tried and how it ended; which complications a technique
//! answered; what became of eyes with a finding; who ended so and from where. Counts stand with their cases, never as rates.

use super::Desk;
use crate::model::analysis::{Occurrence, Relation};
use crate::model::corpus::Cleared;
use crate::model::gist::{Gist, Whence};
use crate::model::measure::{Acuity, Taken};
use crate::model::vocabulary::{ConceptId, Kind};
use crate::render::pictures::Picture;
use crate::render::pictures::shift::{Shift, shifts};
use crate::render::places::Term;
use serde::Serialize;
use std::collections::BTreeMap;

/// Cases that are told of one by one; counts are over all, and the list below has all.
const MOST_CASES: usize = 40;
/// Cases that are named in one cell.
const MOST_IN_CELL: usize = 8;
/// Rows of a tally.
const MOST_ROWS: usize = 14;
/// Cases that are drawn.
const MOST_DRAWN: usize = 12;

/// The answers of a page.
#[derive(Debug, Serialize)]
pub(crate) struct QuestionsView {
    pub(crate) sections: Vec<SectionView>,
    pub(crate) matrix: Vec<MatrixRow>,
    pub(crate) courses: Vec<CourseRow>,
    pub(crate) picture: Option<Picture>,
    /// Which case a number in the picture stands for.
    pub(crate) drawn: Vec<CaseLink>,
    /// How many cases are not told of.
    pub(crate) more: usize,
}

/// A question and its rows.
#[derive(Debug, Serialize)]
pub(crate) struct SectionView {
    pub(crate) title: &'static str,
    pub(crate) rows: Vec<TallyView>,
}

/// Something with the cases that have it.
#[derive(Debug, Serialize)]
pub(crate) struct TallyView {
    pub(crate) head: String,
    /// Where it leads; empty if it has no page.
    pub(crate) href: String,
    pub(crate) held: Held,
}

/// A case by its short name.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct CaseLink {
    pub(crate) label: String,
    pub(crate) href: String,
    /// What else is to be said in this place.
    pub(crate) note: String,
}

/// A technique that was tried, and in which cases it worked.
#[derive(Debug, Serialize)]
pub(crate) struct MatrixRow {
    pub(crate) tried: Term,
    pub(crate) yes: Held,
    pub(crate) partly: Held,
    pub(crate) no: Held,
}

/// How one case went.
#[derive(Debug, Serialize)]
pub(crate) struct CourseRow {
    pub(crate) case: CaseLink,
    pub(crate) before: String,
    pub(crate) tried: Vec<TriedView>,
    pub(crate) after: String,
    pub(crate) ended: Vec<Term>,
}

/// Something that was tried.
#[derive(Debug, Serialize)]
pub(crate) struct TriedView {
    pub(crate) does: Term,
    pub(crate) worked: String,
}

/// An acuity in words.
pub(crate) fn in_words(acuity: Option<(Taken, Acuity)>) -> String {
    acuity.map_or_else(|| "not recorded".to_owned(), |(taken, acuity)| format!("{acuity} {taken}"))
}

/// Cases in one place: how many, and the first few by name.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct Held {
    pub(crate) count: usize,
    pub(crate) cases: Vec<CaseLink>,
    /// Those beyond the ones named.
    pub(crate) more: usize,
    #[serde(skip)]
    last: String,
}

impl Held {
    /// A case is counted once; what more is to be said of it joins what was said.
    fn add(&mut self, case: &CaseLink) {
        if self.last == case.href {
            let named = self.cases.last_mut().filter(|named| named.href == case.href);
            if let Some(named) = named.filter(|named| !case.note.is_empty() && named.note != case.note) {
                named.note = format!("{}, then {}", named.note, case.note);
            }
            return;
        }
        self.last.clone_from(&case.href);
        self.count += 1;
        if self.cases.len() < MOST_IN_CELL {
            self.cases.push(case.clone());
        } else {
            self.more += 1;
        }
    }
}

/// Things and the cases that have them, in the order in which they came.
struct Tally<K: Ord>(BTreeMap<K, Held>);

impl<K: Ord + Clone> Tally<K> {
    fn new() -> Self {
        Self(BTreeMap::new())
    }

    fn add(&mut self, key: K, case: &CaseLink) {
        self.0.entry(key).or_default().add(case);
    }

    /// Rows with the most cases first.
    fn rows(self, least: usize, head: impl Fn(&K) -> (String, String)) -> Vec<TallyView> {
        let mut rows: Vec<(K, Held)> = self.0.into_iter().filter(|(_, held)| held.count >= least).collect();
        rows.sort_by(|one, other| other.1.count.cmp(&one.1.count).then_with(|| head(&one.0).0.cmp(&head(&other.0).0)));
        rows.truncate(MOST_ROWS);
        rows.into_iter()
            .map(|(key, held)| {
                let (head, href) = head(&key);
                TallyView { head, href, held }
            })
            .collect()
    }
}

impl Desk<'_> {
    /// A case by its short name, to its straight reading.
    pub(crate) fn case_link(&self, cleared: &Cleared, at: usize) -> CaseLink {
        let name = crate::text::capitalised(&cleared.name.replace('-', " "));
        CaseLink { label: name, href: self.href(&self.places.case(at)), note: String::new() }
    }

    /// What a concept's page answers of the cases that have it, easiest first.
    pub(crate) fn questions(&self, id: ConceptId, cases: &[Cleared]) -> QuestionsView {
        let vocabulary = self.places.vocabulary();
        let analysis = self.places.analysis();
        let kind = vocabulary.get(id).kind;
        let is = |meant: ConceptId| vocabulary.upwards(meant).contains(&id);
        let has =
            |found: &&Occurrence| found.relations.any_but(&[Relation::Absent, Relation::Taught, Relation::Fellow]);
        let mut with: Vec<usize> = analysis.of(id).iter().filter(has).map(|found| found.case).collect();
        with.sort_by_key(|&at| analysis.reading[at]);
        let more = with.len().saturating_sub(MOST_CASES);

        let (mut arose, mut findings, mut complications) = (Tally::new(), Tally::new(), Tally::new());
        let (mut answered, mut planned, mut steps, mut ended) =
            (Tally::new(), Tally::new(), Tally::new(), Tally::new());
        let mut tried: BTreeMap<ConceptId, [Held; 3]> = BTreeMap::new();
        let (mut courses, mut drawn) = (Vec::new(), Vec::new());
        for &at in &with {
            let (case, link) = (&analysis.gists[at], self.case_link(&cases[at], at));
            for finding in case.findings.iter().filter(|finding| **finding != id) {
                findings.add(*finding, &link);
            }
            let mut row = Vec::new();
            for trouble in &case.troubles {
                let here = is(trouble.is);
                if here {
                    arose.add(arose_in_words(self, case, trouble.arose), &link);
                } else {
                    complications.add(trouble.is, &link);
                }
                for &(does, worked) in &trouble.managed {
                    if kind == Kind::Technique && is(does) {
                        answered.add(trouble.is, &CaseLink { note: worked.to_owned(), ..link.clone() });
                    }
                    if here {
                        let place = match worked {
                            "yes" => 0,
                            "no" => 2,
                            _ => 1,
                        };
                        tried.entry(does).or_default()[place]
                            .add(&CaseLink { note: in_words(case.after), ..link.clone() });
                        row.push(TriedView {
                            does: self.places.term(does, self.root),
                            worked: in_full(worked).to_owned(),
                        });
                    }
                }
            }
            for (_, unplanned) in case.steps.iter().filter(|(does, _)| is(*does)) {
                planned.add(if *unplanned { "not planned" } else { "planned" }, &link);
            }
            for (_, does) in case.used.iter().filter(|(thing, _)| is(*thing)) {
                steps.add(*does, &link);
            }
            for state in case.ended.iter().filter(|state| **state != id) {
                ended.add(*state, &link);
            }
            if matches!(kind, Kind::Complication | Kind::Finding | Kind::Outcome) && courses.len() < MOST_CASES {
                courses.push(CourseRow {
                    before: in_words(case.before),
                    tried: row,
                    after: in_words(case.after),
                    ended: case.ended.iter().map(|state| self.places.term(*state, self.root)).collect(),
                    case: link.clone(),
                });
                if let (Some((first, from)), Some((last, to))) = (&case.before, &case.after)
                    && drawn.len() < MOST_DRAWN
                {
                    let note = if first == last { first.to_string() } else { format!("{first}, then {last}") };
                    drawn.push((CaseLink { note, ..link }, from, to, *last));
                }
            }
        }
        let term = |id: &ConceptId| {
            let term = self.places.term(*id, self.root);
            (term.label, term.href)
        };
        let plain = |words: &&'static str| ((*words).to_owned(), String::new());
        let sections = match kind {
            Kind::Complication => vec![
                ("Where it arose", arose.rows(1, |words: &String| (words.clone(), String::new()))),
                ("What these eyes had in common before", findings.rows(2, term)),
                ("What else went wrong in these cases", complications.rows(1, term)),
            ],
            Kind::Technique => vec![
                ("Complications that it answered", answered.rows(1, term)),
                ("Planned or not", planned.rows(1, plain)),
                ("What went wrong in these cases", complications.rows(1, term)),
                ("How these eyes ended", ended.rows(1, term)),
            ],
            Kind::Finding => vec![
                ("What went wrong in these eyes", complications.rows(1, term)),
                ("What else these eyes had", findings.rows(2, term)),
                ("How they ended", ended.rows(1, term)),
            ],
            Kind::Outcome => vec![
                ("What went before: findings", findings.rows(1, term)),
                ("What went before: complications", complications.rows(1, term)),
            ],
            Kind::Material | Kind::Instrument => vec![("Where it was used", steps.rows(1, term))],
        };
        let sections = sections.into_iter().filter(|(_, rows)| !rows.is_empty());
        let rows: Vec<Shift<'_>> = drawn
            .iter()
            .map(|(link, before, after, taken)| Shift { name: &link.label, before, after, taken: *taken })
            .collect();
        QuestionsView {
            sections: sections.map(|(title, rows)| SectionView { title, rows }).collect(),
            matrix: tried
                .into_iter()
                .map(|(id, [yes, partly, no])| MatrixRow { tried: self.places.term(id, self.root), yes, partly, no })
                .collect(),
            picture: if kind == Kind::Complication { shifts(&rows) } else { None },
            drawn: if kind == Kind::Complication {
                drawn.iter().map(|(link, ..)| link.clone()).collect()
            } else {
                Vec::new()
            },
            courses,
            more,
        }
    }
}

fn in_full(worked: &str) -> &'static str {
    match worked {
        "yes" => "worked",
        "no" => "did not work",
        _ => "worked in part",
    }
}

/// Where a complication arose: in which step, or how long after.
fn arose_in_words(desk: &Desk<'_>, case: &Gist, arose: Whence) -> String {
    match arose {
        Whence::During(at) => format!("during {}", desk.places.vocabulary().get(case.steps[at].0).label.value),
        Whence::Operation => "during the operation".to_owned(),
        Whence::After(after) => format!("{after} after surgery"),
        Whence::Unknown => "not recorded".to_owned(),
    }
}
