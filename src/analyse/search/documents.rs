//! A case as the search sees it.

use crate::model::analysis::{Analysis, Occurrence, Relation};
use crate::model::case::{Case, Drug, FollowUp, Lens, Meant, Text};
use crate::model::corpus::{Cleared, Corpus};
use crate::model::format;
use crate::model::gist::Gist;
use crate::model::index::{DifficultyBand, Indices};
use crate::model::markdown;
use crate::model::search::{Card, Catalogue, Document, Field, Group, SearchConcept, Value};
use crate::model::site::Audience;
use crate::model::vocabulary::{ConceptId, Kind, Vocabulary};
use crate::text::capitalised;
use pulldown_cmark::{CodeBlockKind, Event, Tag, TagEnd};
use std::collections::{BTreeMap, BTreeSet};

/// Kinds of concepts by which results are filtered, and whether their counts would tell what happened.
const KINDS: [(Kind, bool); 4] =
    [(Kind::Complication, true), (Kind::Technique, true), (Kind::Finding, false), (Kind::Outcome, true)];

/// What can be filtered by besides concepts: name, heading, whether it is telling, and what a case has of it, as a name
/// and a label. A group in which all cases have the same is left out.
type Facet = (&'static str, &'static str, bool, fn(&Gist, &Indices) -> Vec<(String, String)>);
const FACETS: &[Facet] = &[
    ("operator", "Operator’s grade", true, |case, _| {
        let known = |grade: &str| format::GRADES.iter().position(|known| *known == grade);
        let grades: BTreeMap<_, _> = case.operators.iter().map(|grade| (known(grade), *grade)).collect();
        grades.into_values().map(|grade| (crate::text::slug(grade), capitalised(grade))).collect()
    }),
    ("audience", "For whom", false, |case, _| {
        let label = match case.audience {
            Audience::Department => "The department",
            Audience::Public => "Anybody",
        };
        vec![(case.audience.word().to_owned(), label.to_owned())]
    }),
    ("difficulty", "Eye difficulty", false, |_, indices| {
        let band = DifficultyBand::of(indices.difficulty.value);
        vec![(band.mark().to_owned(), capitalised(band.word()))]
    }),
];

/// The documents of a corpus and what they refer to.
pub fn of_corpus<'c>(corpus: &'c Corpus, analysis: &Analysis) -> (Catalogue, impl Fn(usize) -> Document + Sync + 'c) {
    let vocabulary = corpus.vocabulary();
    let Analysis { occurrences, indices, gists, .. } = analysis;
    let concepts = vocabulary.iter().map(|(_, concept)| SearchConcept {
        name: concept.name.value.clone(),
        label: concept.label.value.clone(),
        terms: concept.terms().map(str::to_owned).collect(),
    });
    let mut catalogue = Catalogue { concepts: concepts.collect(), ..Catalogue::default() };
    let mut known: Vec<Known> = corpus.cases().iter().map(|_| Known::default()).collect();
    for (kind, telling) in KINDS {
        concept_group(&mut catalogue, &mut known, vocabulary, occurrences, kind, telling);
    }
    for (id, concept) in vocabulary.iter() {
        let field = match concept.kind {
            Kind::Complication => Field::Complications,
            Kind::Technique => Field::Techniques,
            Kind::Finding => Field::Findings,
            Kind::Outcome | Kind::Material | Kind::Instrument => Field::Body,
        };
        for found in occurrences[id.0 as usize].iter().filter(|found| counts(found)) {
            // A wider concept is less to the point than the one that was written.
            let field = if found.through.is_some() { Field::Body } else { field };
            known[found.case].concepts.push((field, id.0));
            if found.through.is_some() {
                known[found.case].wider.push(id);
            }
        }
    }
    for &(name, label, telling, of) in FACETS {
        let held: Vec<Vec<(String, String)>> = gists.iter().zip(indices).map(|(case, it)| of(case, it)).collect();
        let all: BTreeSet<&(String, String)> = held.iter().flatten().collect();
        if all.len() < 2 {
            continue;
        }
        let group = catalogue.groups.len() as u32;
        catalogue.groups.push(Group { name: name.to_owned(), label: label.to_owned(), telling });
        let first = catalogue.values.len() as u32;
        let all: Vec<&(String, String)> = all.into_iter().collect();
        for (name, label) in &all {
            catalogue.values.push(Value { group, name: name.clone(), label: label.clone() });
        }
        for (known, held) in known.iter_mut().zip(&held) {
            let places = held.iter().filter_map(|one| all.binary_search(&one).ok());
            known.values.extend(places.map(|at| first + at as u32));
        }
    }
    for known in &mut known {
        known.values.sort_unstable();
        known.values.dedup();
        known.stated.sort_unstable();
    }
    let document = move |at: usize| of_case(&corpus.cases()[at], vocabulary, &known[at]);
    (catalogue, document)
}

/// What is known of a case besides its texts.
#[derive(Debug, Default)]
struct Known {
    values: Vec<u32>,
    stated: Vec<u32>,
    concepts: Vec<(Field, u32)>,
    /// Concepts that are there through a narrower one.
    wider: Vec<ConceptId>,
}

/// Whether a concept is there: not looked for in vain, not merely taught, not of the other eye.
fn counts(found: &Occurrence) -> bool {
    found.relations.any_but(&[Relation::Absent, Relation::Taught, Relation::Fellow])
}

fn concept_group(
    catalogue: &mut Catalogue,
    known: &mut [Known],
    vocabulary: &Vocabulary,
    occurrences: &[Vec<Occurrence>],
    kind: Kind,
    telling: bool,
) {
    let mut ids: Vec<ConceptId> = vocabulary.iter().filter(|(_, it)| it.kind == kind).map(|(id, _)| id).collect();
    ids.retain(|id| occurrences[id.0 as usize].iter().any(counts));
    ids.sort_by_cached_key(|&id| (vocabulary.get(id).label.value.to_lowercase(), id));
    if ids.is_empty() {
        return;
    }
    let group = catalogue.groups.len() as u32;
    let label = capitalised(&format!("{}s", kind.word()));
    catalogue.groups.push(Group { name: kind.word().to_owned(), label, telling });
    for id in ids {
        let value = catalogue.values.len() as u32;
        let concept = vocabulary.get(id);
        let (name, label) = (concept.name.value.clone(), concept.label.value.clone());
        catalogue.values.push(Value { group, name, label });
        for found in occurrences[id.0 as usize].iter().filter(|found| counts(found)) {
            known[found.case].values.push(value);
            if found.through.is_none() {
                known[found.case].stated.push(value);
            }
        }
    }
}

fn of_case(cleared: &Cleared, vocabulary: &Vocabulary, known: &Known) -> Document {
    let open = cleared.open();
    let case = &*open.case;
    let mut texts = Texts { vocabulary, out: Vec::new() };
    texts.case(case);
    // Wider concepts are said too: a case of an expulsive haemorrhage is one of a suprachoroidal haemorrhage.
    for concept in &known.wider {
        texts.say(Field::Body, &vocabulary.get(*concept).label.value);
    }
    texts.say(Field::Body, &plain(open.narrative()));
    Document {
        texts: texts.out,
        concepts: known.concepts.clone(),
        values: known.values.clone(),
        card: Card {
            name: case.name.clone(),
            title: case.title.value.clone(),
            ask_title: match (&case.ask_title, case.body.decisions.is_empty()) {
                (Some(title), _) => title.value.clone(),
                (None, true) => String::new(),
                (None, false) => case.name.clone(),
            },
            asks: !case.body.decisions.is_empty(),
            lessons: case.lessons.iter().map(|lesson| lesson.value.clone()).collect(),
            stated: known.stated.clone(),
        },
    }
}

/// The texts of a case, gathered field by field.
struct Texts<'v> {
    vocabulary: &'v Vocabulary,
    out: Vec<(Field, String)>,
}

impl Texts<'_> {
    fn say(&mut self, field: Field, text: &str) {
        if !text.is_empty() {
            self.out.push((field, text.to_owned()));
        }
    }

    fn note(&mut self, text: Option<&Text>) {
        self.say(Field::Body, text.map_or("", |text| text.value.as_str()));
    }

    fn notes<'t>(&mut self, texts: impl IntoIterator<Item = &'t Text>) {
        texts.into_iter().for_each(|text| self.note(Some(text)));
    }

    fn term(&mut self, field: Field, term: &Meant) {
        let label = self.vocabulary.get(term.value).label.value.clone();
        self.say(field, &label);
    }

    fn all(&mut self, field: Field, terms: &[Meant]) {
        terms.iter().for_each(|term| self.term(field, term));
    }

    fn lens(&mut self, lens: Option<&Lens<Meant>>) {
        let Some(lens) = lens else { return };
        lens.kind.iter().for_each(|kind| self.term(Field::Body, kind));
        self.notes(lens.place.iter().chain(&lens.note));
    }

    fn drugs(&mut self, drugs: &[Drug<Meant>]) {
        for drug in drugs {
            self.term(Field::Body, &drug.substance);
            self.notes(drug.note.iter().chain([&drug.route]));
        }
    }

    fn case(&mut self, case: &Case) {
        self.say(Field::Title, &case.title.value);
        self.notes(case.ask_title.iter().chain([&case.summary]));
        for lesson in &case.lessons {
            self.say(Field::Lessons, &lesson.value);
        }
        self.before(case);
        self.operation(case);
        self.complications(case);
        self.afterwards(case);
        for decision in &case.body.decisions {
            self.notes(decision.at_hand.iter().chain([&decision.ask]));
            for option in &decision.options {
                self.notes([&option.choice].into_iter().chain(&option.because).chain(&option.unless));
            }
        }
    }

    fn before(&mut self, case: &Case) {
        self.note(case.patient.note.as_ref());
        for finding in &case.findings {
            self.term(Field::Findings, &finding.is);
            self.notes(finding.scale.iter().chain(&finding.note));
        }
        if let Some(fellow) = &case.fellow_eye {
            self.notes(fellow.state.iter().chain(&fellow.note));
        }
        if let Some(setting) = &case.setting {
            self.notes(setting.not_available.iter().chain(&setting.note));
        }
        for visit in &case.before {
            for (_, acuity) in &visit.measures.acuity {
                self.say(Field::Body, &acuity.value.to_string());
            }
            self.drugs(&visit.gives);
            self.note(visit.note.as_ref());
        }
        let plan = &case.planned;
        self.term(Field::Techniques, &plan.procedure);
        self.all(Field::Techniques, &plan.with);
        self.all(Field::Techniques, &plan.combined);
        plan.anaesthesia.iter().for_each(|how| self.term(Field::Techniques, how));
        self.note(plan.note.as_ref());
        self.lens(plan.lens.as_ref());
    }

    fn operation(&mut self, case: &Case) {
        let operation = &case.operation;
        for operator in &operation.operators {
            self.notes([&operator.grade].into_iter().chain(&operator.note));
            if operator.takeover {
                self.say(Field::Body, &format!("Takeover: the {} takes over", operator.grade.value));
            }
        }
        if let Some(incision) = &operation.incision {
            self.notes(incision.kind.iter().chain(&incision.sutures));
        }
        for device in &operation.devices {
            self.term(Field::Body, &device.is);
            self.note(device.note.as_ref());
        }
        for step in &operation.steps {
            self.term(Field::Techniques, &step.does);
            self.all(Field::Body, &step.with);
            self.drugs(&step.gives);
            self.note(step.note.as_ref());
        }
        if let Some(converted) = &operation.converted {
            self.term(Field::Techniques, &converted.to);
            self.note(Some(&converted.because));
        }
        self.lens(operation.lens.as_ref());
    }

    fn complications(&mut self, case: &Case) {
        for complication in &case.complications {
            self.term(Field::Complications, &complication.is);
            if let Some(note) = &complication.note {
                self.say(Field::Complications, &note.value);
            }
            for managed in &complication.managed {
                self.term(Field::Techniques, &managed.does);
                self.all(Field::Body, &managed.with);
                self.drugs(&managed.gives);
                self.note(managed.note.as_ref());
            }
        }
    }

    fn afterwards(&mut self, case: &Case) {
        for outcome in &case.outcomes {
            for (_, acuity) in &outcome.measures.acuity {
                self.say(Field::Body, &acuity.value.to_string());
            }
            self.all(Field::Body, &outcome.is);
            self.drugs(&outcome.gives);
            self.note(outcome.note.as_ref());
        }
        if matches!(case.follow_up.as_ref().map(|it| &it.value), Some(FollowUp::LostAfter(_))) {
            self.say(Field::Body, "Lost to follow-up");
        }
        for later in &case.later {
            self.term(Field::Techniques, &later.procedure);
            self.notes(later.why.iter().chain(&later.note));
            self.lens(later.lens.as_ref());
        }
        for contrast in &case.contrast {
            self.note(Some(&contrast.principle));
        }
        for media in &case.media {
            self.note(media.alt.as_ref());
        }
    }
}

/// The words of a narrative without its marks; decisions are told elsewhere.
fn plain(narrative: &str) -> String {
    let mut out = String::with_capacity(narrative.len());
    let mut decision = false;
    for event in markdown::parser(narrative) {
        match event {
            Event::Start(Tag::CodeBlock(CodeBlockKind::Fenced(info))) => decision = markdown::is_decision(&info),
            Event::End(TagEnd::CodeBlock) => decision = false,
            Event::Text(text) | Event::Code(text) if !decision => out.push_str(&text),
            Event::SoftBreak | Event::HardBreak => out.push(' '),
            Event::End(TagEnd::Emphasis | TagEnd::Strong | TagEnd::Strikethrough | TagEnd::Link) => {}
            Event::End(_) => out.push('\n'),
            _ => {}
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_narrative_is_read_without_marks_and_decisions() {
        let text = "## The *lens*\n\nIt was [a `hard`\none](case:x).\n\n```decision\nid: no\n```\n\nSo.\n";
        assert_eq!(plain(text), "The lens\nIt was a hard one.\nSo.\n");
    }
}
