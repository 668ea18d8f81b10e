//! Practice: what the page that keeps a reader's progress is given, as scripts that it loads when it needs them.
//!
//! | script | holds |
//! |---|---|
//! | `practice/topics.js` | the site's name, the intervals, and every topic with its number of questions |
//! | `practice/t-NAME.js` | the questions of a topic: case, name of the decision, hash |
//! | `practice/c-NAME.js` | a case as far as its last decision, stage by stage, with questions, answers and verdicts |
//!
//! Names are fixed, so that a link to a question lasts; a hash beside every question tells a stale script from a fresh one.

use super::ask::StageView;
use super::case::FactsView;
use super::eye::EyeView;
use super::record::first_operators;
use crate::model::analysis::Topic;
use crate::model::site::PageError;
use crate::render::press::Press;
use serde::Serialize;
use serde_json::{Value, json};

/// The page.
#[derive(Debug, Serialize)]
pub(crate) struct PracticeView {
    pub(crate) script: String,
    pub(crate) questions: usize,
    /// The intervals in words.
    pub(crate) again: String,
}

/// What was known before a decision and not before the one before it.
#[derive(Serialize)]
struct SoFar<'v> {
    /// The key facts and the eye, with the first stage.
    facts: Option<FactsView>,
    eye: Option<EyeView>,
    stage: &'v StageView,
    part: usize,
}

#[derive(Serialize)]
struct Card<'v> {
    card: SoFar<'v>,
}

/// Where the questions of a topic are, and how the page calls it.
pub(crate) fn topic_path(name: &str) -> String {
    format!("practice/t-{name}.js")
}

/// Where a case is.
pub(crate) fn case_path(name: &str) -> String {
    format!("practice/c-{name}.js")
}

/// The name of the topic that gathers the questions which name nothing they teach.
const OTHERS: &str = "other-decisions";

impl Press<'_> {
    /// The name of a topic.
    pub(crate) fn topic_name(&self, topic: &Topic) -> &str {
        topic.concept.map_or(OTHERS, |id| &self.corpus.vocabulary().get(id).name.value)
    }

    /// The page.
    pub(crate) fn practice(&self) -> PracticeView {
        let days = |days: f64| if days == 1.0 { "1 day".to_owned() } else { format!("{days} days") };
        let again: Vec<String> = self.corpus.library().intervals.iter().map(|&it| days(it)).collect();
        PracticeView {
            script: self.theme().practice_script().path.clone(),
            questions: self.analysis.practice.questions.len(),
            again: crate::text::list(&again, "and"),
        }
    }

    /// Every topic.
    pub(crate) fn practice_topics(&self) -> Vec<u8> {
        let desk = self.desk("practice.html");
        let mut topics: Vec<(String, Value)> = self
            .analysis
            .practice
            .topics
            .iter()
            .map(|topic| {
                let (label, href, kind) = topic.concept.map_or_else(
                    || ("other decisions".to_owned(), String::new(), ""),
                    |id| {
                        let term = self.places.term(id, desk.root);
                        (term.label, term.href, self.corpus.vocabulary().get(id).kind.word())
                    },
                );
                let name = self.topic_name(topic);
                (label.to_lowercase(), json!([name, label, href, kind, topic.questions.len()]))
            })
            .collect();
        topics.sort_by(|one, other| one.0.cmp(&other.0));
        let library = self.corpus.library();
        let topics: Vec<Value> = topics.into_iter().map(|(_, topic)| topic).collect();
        call("topics", &library.id, &json!({ "days": library.intervals, "topics": topics }))
    }

    /// The questions of a topic.
    pub(crate) fn practice_topic(&self, topic: &Topic) -> Vec<u8> {
        let questions = topic.questions.iter().map(|&at| {
            let question = &self.analysis.practice.questions[at];
            json!([self.corpus.cases()[question.case].name, question.id, question.hash])
        });
        call("topic", self.topic_name(topic), &Value::Array(questions.collect()))
    }

    /// A case as far as its last decision.
    pub(crate) fn practice_case(&self, path: &str, at: usize) -> Result<Vec<u8>, PageError> {
        let cleared = &self.corpus.cases()[at];
        let case = &*cleared.case();
        let desk = self.desk("practice.html");
        let mut stages = StageView::of(desk, cleared, &self.analysis.stages[at].open(), &mut self.mentions(&[]));
        // What follows the last decision is the ending; it is in no card.
        stages.truncate(case.body.decisions.len());
        let mut so_far = Vec::new();
        let mut decisions = Vec::new();
        let practice = &self.analysis.practice;
        let questions: Vec<_> = practice.of_case[at].iter().map(|&at| &practice.questions[at]).collect();
        for (part, stage) in stages.iter().enumerate() {
            let first = part == 0;
            let card = SoFar {
                facts: first.then(|| desk.facts(cleared, Some(first_operators(case)))),
                eye: first.then(|| desk.eye(case)),
                stage,
                part: part + 1,
            };
            so_far.push(self.theme().fill(path, "card.html", &Card { card })?);
            let (Some(decision), Some(question)) = (&stage.decision, questions.get(part)) else { continue };
            let view = json!({ "decision": decision });
            let verdicts: serde_json::Map<String, Value> =
                decision.options.iter().map(|it| (it.letter.clone(), json!(it.verdict))).collect();
            let about = question.teaches.iter().map(|&id| &self.corpus.vocabulary().get(id).name.value);
            let mut about: Vec<&str> = about.map(String::as_str).collect();
            if about.is_empty() {
                about.push(OTHERS);
            }
            decisions.push(json!({
                "id": decision.id,
                "hash": question.hash,
                "about": about,
                "question": self.theme().fill(path, "card-question.html", &view)?,
                "answer": self.theme().fill(path, "card-answer.html", &view)?,
                "verdicts": verdicts,
            }));
        }
        let whole = json!({
            "title": self.places.title(at, true),
            "ask": self.places.ask(at).unwrap_or_default(),
            "straight": self.places.case(at),
            "soFar": so_far,
            "decisions": decisions,
        });
        Ok(call("case", &case.name, &whole))
    }
}

/// A script that hands one part to the page.
fn call(kind: &str, name: &str, part: &Value) -> Vec<u8> {
    format!("casewrightPractice({}, {}, {part});\n", json!(kind), json!(name)).into_bytes()
}
