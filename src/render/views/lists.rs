//! Lists: cases, concepts of one kind, the glossary.

use super::difficulty::{MarkedView, marked};
use super::ladders::RungView;
use super::narrow::{Mark, NarrowView, carried};
use super::record::first_operators;
use super::{Desk, Pager, patient, shown, texts};
use crate::model::analysis::Occurrence;
use crate::model::case::Operator;
use crate::model::format::GRADES;
use crate::model::index::{DifficultyBand, Standing};
use crate::model::packed::Packed;
use crate::model::site::PageError;
use crate::model::vocabulary::{ConceptId, Harm, Kind, Level, Period};
use crate::render::places::Term;
use crate::render::press::Press;
use crate::text::capitalised;
use serde::Serialize;

/// A case in a list.
#[derive(Debug, Serialize)]
pub(crate) struct Entry {
    /// The title that gives nothing away.
    pub(crate) title: String,
    /// What the list can be narrowed by.
    #[serde(skip)]
    pub(crate) marks: Vec<Mark>,
    pub(crate) carried: String,
    /// HTML: what is known of it before anybody reads it.
    pub(crate) about: String,
    /// HTML: how it can be read.
    pub(crate) ways: String,
    /// On a concept's page: why the case is here, in words, and through which narrower concept.
    pub(crate) why: Vec<String>,
    pub(crate) through: Option<Term>,
    /// On a concept's page: its rung on the ladder.
    pub(crate) rung: Option<RungView>,
}

/// What a case shows in the list of every concept, in few bytes: all cases have one until the last list is made.
#[derive(Debug)]
pub(crate) struct Listed {
    marks: Box<[Mark]>,
    /// Title, what carries the marks, what is known of it, how it can be read.
    texts: Packed<[String; 4]>,
}

/// What the parts of an [`Entry`] are filled from.
#[derive(Debug, Serialize)]
struct EntryView<'e> {
    title: &'e str,
    straight: String,
    /// The open reading; empty if the case has no decisions.
    ask: String,
    eye: &'static str,
    patient: String,
    /// The planned operation; empty where a decision asks for it.
    procedure: String,
    operators: Vec<String>,
    /// At most three findings, in the order of the case.
    findings: Vec<String>,
    decisions: usize,
    reviewed: bool,
    difficulty: MarkedView,
    /// In the list by eye difficulty: the rank and its range; empty elsewhere.
    rank: String,
}

impl Desk<'_> {
    /// About how many bytes a case takes in a list, without the reasons why it stands there.
    pub(crate) fn entry_size(&self, at: usize) -> usize {
        let case = &self.places.analysis().gists[at];
        let label = |concept: ConceptId| self.places.vocabulary().get(concept).label.value.len();
        let findings: usize = case.findings.iter().take(3).map(|&finding| label(finding)).sum();
        let title = self.places.title(at, true).len();
        // An age and a sex, and the grades of those who operate.
        let people = 24 + 14 * case.operators.len();
        1050 + 2 * (title + people + label(case.procedure) + findings)
    }
}

impl Press<'_> {
    /// A case in a list of the page at `path`; in the list by eye difficulty with its rank, and the ranks that other weights
    /// would give it.
    pub(crate) fn entry(&self, path: &str, at: usize, ranked: bool) -> Result<Entry, PageError> {
        let cleared = &self.corpus.cases()[at];
        let case = &*cleared.case();
        let desk = self.desk(path);
        let label = |concept: ConceptId| shown(&self.corpus.vocabulary().get(concept).label);
        let begins = case.operation.operators.iter().filter(|operator| operator.from.is_none());
        let grade = |operator: &Operator| GRADES.iter().copied().find(|grade| *grade == operator.grade.value);
        let mut marks: Vec<Mark> = begins.filter_map(grade).collect();
        marks.extend((!case.body.decisions.is_empty()).then_some("with decisions"));
        marks.extend(cleared.reviewed.then_some("read by a second surgeon"));
        // Where the plan is what the first decision asks for, no list tells it.
        let told = self.analysis.gists[at].plan_told;
        let indices = &self.analysis.indices[at];
        marks.push(DifficultyBand::of(indices.difficulty.value).word());
        let Standing { rank, low, high } = self.analysis.standings[at];
        // Who is to decide must not read the ending in a list.
        let title = case.ask_title.as_ref().map_or_else(|| shown(&case.title), shown);
        let view = EntryView {
            title: &title,
            straight: desk.href(&self.places.case(at)),
            ask: self.places.ask(at).map(|path| desk.href(&path)).unwrap_or_default(),
            eye: case.eye.value.word(),
            patient: patient(cleared),
            procedure: if told { label(case.planned.procedure.value) } else { String::new() },
            operators: first_operators(case),
            findings: case.findings.iter().take(3).map(|finding| label(finding.is.value)).collect(),
            decisions: case.body.decisions.len(),
            reviewed: cleared.reviewed,
            difficulty: marked(indices),
            rank: match ranked {
                false => String::new(),
                true if low == high => rank.to_string(),
                true => format!("{rank}, {low} to {high}"),
            },
        };
        Ok(Entry {
            carried: carried(&marks),
            marks,
            about: self.theme().fill(path, "entry-about.html", &view)?,
            ways: self.theme().fill(path, "entry-ways.html", &view)?,
            title,
            why: Vec::new(),
            through: None,
            rung: None,
        })
    }

    /// A case in the list of a concept, with the reason why it is there. What it shows in each of these lists is made once: a
    /// case stands in some eighty of them, and all lie in one folder, so that the same links hold.
    pub(crate) fn entry_for(&self, path: &str, found: &Occurrence, concept: ConceptId) -> Result<Entry, PageError> {
        let room = &self.entries[found.case];
        let listed = match room.get() {
            Some(listed) => listed,
            None => {
                let Entry { title, marks, carried, about, ways, .. } = self.entry(path, found.case, false)?;
                let texts = Packed::new(&[title, carried, about, ways]);
                room.get_or_init(|| Listed { marks: marks.into(), texts })
            }
        };
        let desk = self.desk(path);
        let [title, carried, about, ways] = listed.texts.open();
        Ok(Entry {
            why: why(found).into_iter().map(str::to_owned).collect(),
            through: found.through.map(|concept| self.places.term(concept, desk.root)),
            rung: desk.rung(concept, found.case),
            title,
            marks: listed.marks.to_vec(),
            carried,
            about,
            ways,
        })
    }
}

/// Why a case is in the list of a concept, each reason once.
fn why(found: &Occurrence) -> Vec<&'static str> {
    let mut why: Vec<&str> = Vec::new();
    for words in found.relations.iter().map(|relation| relation.words()) {
        if !why.contains(&words) {
            why.push(words);
        }
    }
    why
}

/// About how many bytes a rung takes: its number, and what is new on it.
const RUNG_SIZE: usize = 300;

/// About how many bytes the reasons take on a page, besides those of the [`Entry`] without them.
pub(crate) fn why_size(found: &Occurrence) -> usize {
    RUNG_SIZE + why(found).into_iter().map(str::len).sum::<usize>() * 2
}

/// A page of the list of cases.
#[derive(Debug, Serialize)]
pub(crate) struct CasesView {
    pub(crate) count: usize,
    /// Whether the list stands in order of eye difficulty.
    pub(crate) ranked: bool,
    pub(crate) narrow: NarrowView,
    pub(crate) entries: Vec<Entry>,
    pub(crate) pager: Pager,
}

/// A concept in a list.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Row {
    pub(crate) term: Term,
    pub(crate) definition: String,
    /// How many cases have it.
    pub(crate) cases: usize,
    /// How many cases name it at all.
    pub(crate) named: usize,
    /// What the list can be narrowed by.
    #[serde(skip)]
    pub(crate) marks: Vec<Mark>,
    pub(crate) carried: String,
}

/// Concepts under a common heading.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Group {
    /// The wider concept; none for those that stand on their own.
    pub(crate) head: Option<Row>,
    /// A heading where there is no wider concept.
    pub(crate) label: String,
    /// A name for links to the group; empty if there is none.
    pub(crate) anchor: String,
    pub(crate) rows: Vec<Row>,
}

impl Group {
    /// About how many bytes it takes on a page.
    pub(crate) fn size(&self) -> usize {
        let rows = self.head.iter().chain(&self.rows);
        300 + rows.map(|row| 350 + row.definition.len() + row.term.label.len() * 2).sum::<usize>()
    }
}

/// A page of the list of one kind.
#[derive(Debug, Serialize)]
pub(crate) struct ListView {
    /// `complication`, `technique`, …
    pub(crate) kind: String,
    pub(crate) groups: Vec<Group>,
    /// Concepts of the kind that occur in no case.
    pub(crate) rest: Vec<Term>,
    pub(crate) occur: usize,
    pub(crate) narrow: NarrowView,
    pub(crate) pager: Pager,
}

/// The links that narrow these groups.
pub(crate) fn narrow_groups(groups: &[Group]) -> NarrowView {
    NarrowView::new(
        groups.iter().flat_map(|group| group.head.iter().chain(&group.rows)).map(|row| row.marks.as_slice()),
    )
}

/// The links that narrow these cases.
pub(crate) fn narrow_cases(entries: &[Entry]) -> NarrowView {
    NarrowView::new(entries.iter().map(|entry| entry.marks.as_slice()))
}

/// Most rows in a group before it is continued in a second one, so that a group always fits on a page.
const MOST_ROWS: usize = 150;

impl Desk<'_> {
    fn row(&self, concept: ConceptId) -> Row {
        let analysis = self.places.analysis();
        let about = self.places.vocabulary().get(concept);
        let mut marks: Vec<Mark> = about.level.map(Level::word).into_iter().collect();
        marks.extend(about.harm.map(Harm::word));
        marks.extend(about.periods.iter().map(|&period| Period::word(period)));
        Row {
            carried: carried(&marks),
            marks,
            term: self.places.term(concept, self.root),
            definition: shown(&self.places.vocabulary().get(concept).definition),
            cases: analysis.cases_with(concept),
            named: analysis.of(concept).len(),
        }
    }

    /// The concepts of a kind that have a page, under their widest concepts; those without company come last.
    pub(crate) fn groups(&self, kind: Kind) -> Vec<Group> {
        let vocabulary = self.places.vocabulary();
        let mut tops: Vec<ConceptId> = self
            .listed(kind)
            .into_iter()
            .filter(|&id| self.places.analysis().has_page(id) && vocabulary.get(id).broader.is_empty())
            .collect();
        tops.sort_by_cached_key(|&id| vocabulary.get(id).label.value.to_lowercase());
        let (mut groups, mut alone) = (Vec::new(), Vec::new());
        for top in tops {
            let mut below = Vec::new();
            self.below(top, &mut below);
            if below.is_empty() {
                alone.push(self.row(top));
            } else {
                let rows = below.into_iter().map(|id| self.row(id)).collect();
                let label = capitalised(&vocabulary.get(top).label.value);
                groups.push(Group { head: Some(self.row(top)), label, anchor: String::new(), rows });
            }
        }
        if !alone.is_empty() {
            let label = if groups.is_empty() { "All" } else { "On their own" };
            groups.push(Group { head: None, label: label.to_owned(), anchor: String::new(), rows: alone });
        }
        split(groups)
    }

    /// Concepts of a kind in order of label.
    pub(crate) fn listed(&self, kind: Kind) -> Vec<ConceptId> {
        let vocabulary = self.places.vocabulary();
        self.places.glossary.iter().copied().filter(|&id| vocabulary.get(id).kind == kind).collect()
    }

    /// Concepts of a kind that occur in no case.
    pub(crate) fn rest(&self, kind: Kind) -> Vec<Term> {
        let unused = self.listed(kind).into_iter().filter(|&id| !self.places.analysis().has_page(id));
        unused.map(|id| self.places.term(id, self.root)).collect()
    }

    /// Narrower concepts that have a page, depth first, each once.
    fn below(&self, concept: ConceptId, into: &mut Vec<ConceptId>) {
        let analysis = self.places.analysis();
        for &narrower in analysis.narrower.get(concept.0 as usize).into_iter().flatten() {
            if analysis.has_page(narrower) && !into.contains(&narrower) {
                into.push(narrower);
                self.below(narrower, into);
            }
        }
    }
}

/// Groups of at most [`MOST_ROWS`] rows; a longer one goes on under the same label.
fn split(groups: Vec<Group>) -> Vec<Group> {
    let mut out = Vec::new();
    for group in groups {
        if group.rows.len() <= MOST_ROWS {
            out.push(group);
            continue;
        }
        for (part, rows) in group.rows.chunks(MOST_ROWS).enumerate() {
            let first = part == 0;
            out.push(Group {
                head: group.head.clone().filter(|_| first),
                label: if first { group.label.clone() } else { format!("{} (continued)", group.label) },
                anchor: if first { group.anchor.clone() } else { String::new() },
                rows: rows.to_vec(),
            });
        }
    }
    out
}

/// A page of the glossary.
#[derive(Debug, Serialize)]
pub(crate) struct GlossaryView {
    pub(crate) count: usize,
    pub(crate) entries: Vec<GlossaryEntry>,
    pub(crate) narrow: NarrowView,
    pub(crate) pages: Vec<GlossaryPage>,
    pub(crate) pager: Pager,
}

/// A concept in the glossary.
#[derive(Debug, Serialize)]
pub(crate) struct GlossaryEntry {
    pub(crate) name: String,
    pub(crate) label: String,
    pub(crate) kind: Mark,
    pub(crate) aliases: Vec<String>,
    pub(crate) definition: String,
    pub(crate) cautions: Vec<String>,
    /// The concept's page; empty if it occurs in no case.
    pub(crate) href: String,
    pub(crate) cases: usize,
}

/// A page of the glossary as the others list it.
#[derive(Debug, Serialize)]
pub(crate) struct GlossaryPage {
    pub(crate) label: String,
    pub(crate) href: String,
    pub(crate) current: bool,
}

impl Desk<'_> {
    /// An entry of the glossary.
    pub(crate) fn glossary_entry(&self, id: ConceptId) -> GlossaryEntry {
        let concept = self.places.vocabulary().get(id);
        let analysis = self.places.analysis();
        GlossaryEntry {
            name: concept.name.value.clone(),
            label: shown(&concept.label),
            kind: concept.kind.word(),
            aliases: texts(&concept.aliases),
            definition: shown(&concept.definition),
            cautions: texts(&concept.cautions),
            href: if analysis.has_page(id) { self.href(&self.places.concept_page(id, 1)) } else { String::new() },
            cases: analysis.cases_with(id),
        }
    }
}
