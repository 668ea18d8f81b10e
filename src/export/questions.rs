//! Decision points as questions: one best answer of several, each with its verdict and its reason.

use super::markup::{self, Passage};
use super::table::digits;
use super::told::{Piece, seen};
use crate::model::analysis::Analysis;
use crate::model::case::{Case, Decision, Meant, Verdict};
use crate::model::corpus::Corpus;
use crate::model::packed::Packed;
use crate::text::capitalised;
use std::ops::RangeInclusive;

/// The letters of options, in the order of the site.
pub(super) const LETTERS: RangeInclusive<char> = 'A'..='Z';

/// What a question gives for each verdict.
pub(super) struct Scores {
    best: f64,
    acceptable: f64,
    risky: f64,
    harmful: f64,
}

/// Equal steps from best to harmful, so that a score tells which kind of option was chosen. Common practice, no source: a
/// platform may weigh them otherwise.
pub(super) const SCORES: Scores = Scores { best: 1.0, acceptable: 0.5, risky: 0.0, harmful: -0.5 };

impl Scores {
    /// The score of a verdict.
    pub(super) fn of(&self, verdict: Verdict) -> f64 {
        match verdict {
            Verdict::Best => self.best,
            Verdict::Acceptable => self.acceptable,
            Verdict::Risky => self.risky,
            Verdict::Harmful => self.harmful,
        }
    }
}

/// A question.
#[derive(Debug, Clone)]
pub(super) struct Question {
    /// Its identifier: from the names of case and decision alone, so that it stays when their words change.
    pub(super) id: String,
    /// The name of the case.
    pub(super) case: String,
    /// The case and the decision.
    pub(super) decision: String,
    /// Its place among the decisions of the case, from 1.
    pub(super) number: usize,
    /// Gives nothing away.
    pub(super) title: String,
    /// What the surgeon has seen by then.
    pub(super) seen: Vec<Piece>,
    /// Who must choose and with what, one line each.
    pub(super) given: Vec<String>,
    /// The question.
    pub(super) ask: String,
    /// The options, in the order in which the site shows them.
    pub(super) options: Vec<Choice>,
}

/// An option of a question.
#[derive(Debug, Clone)]
pub(super) struct Choice {
    /// Its identifier, from its words: it tells neither its place in the file nor how good it is.
    pub(super) id: String,
    /// What one could do.
    pub(super) choice: String,
    /// How good it is.
    pub(super) verdict: Verdict,
    /// Why.
    pub(super) because: String,
    /// When it would be otherwise.
    pub(super) unless: Option<String>,
    /// Where that comes from.
    pub(super) source: Option<String>,
}

impl Choice {
    /// Verdict and reason in one text.
    pub(super) fn why(&self) -> String {
        let mut out = format!("{}. {}", capitalised(self.verdict.word()), self.because);
        if let Some(unless) = &self.unless {
            out.push_str(&format!(" Unless: {unless}"));
        }
        if let Some(source) = &self.source {
            out.push_str(&format!(" (Source: {source})"));
        }
        out
    }

    /// Its score as text.
    pub(super) fn score(&self) -> String {
        digits(SCORES.of(self.verdict))
    }
}

impl Question {
    /// What was seen, as words: a line for each thing.
    pub(super) fn seen_in_words(&self) -> String {
        let mut lines: Vec<&str> = Vec::new();
        for piece in &self.seen {
            lines.push(&piece.heading);
            lines.extend(piece.lines.iter().map(String::as_str));
            if !piece.account.plain.is_empty() {
                lines.push(&piece.account.plain);
            }
        }
        lines.extend(self.given.iter().map(String::as_str));
        lines.join("\n")
    }
}

/// Every decision of the corpus as a question, in order of case and decision.
pub(super) fn questions(corpus: &Corpus, analysis: &Analysis) -> Vec<Question> {
    let cases = corpus.cases().iter().zip(analysis.stages.iter().map(Packed::open));
    cases
        .flat_map(|(cleared, stages)| {
            let open = cleared.open();
            let case = &*open.case;
            let passages = if case.body.decisions.is_empty() { Vec::new() } else { markup::passages(open.narrative()) };
            let decisions = case.body.decisions.iter().enumerate();
            let made = decisions.map(|(at, decision)| {
                let told = seen(case, corpus.vocabulary(), &stages[..=at], upto(&passages, at));
                question(case, at, decision, told)
            });
            made.collect::<Vec<_>>()
        })
        .collect()
}

/// The passages before the decision at `at`.
fn upto(passages: &[Passage], at: usize) -> &[Passage] {
    &passages[..passages.len().min(at + 1)]
}

fn question(case: &Case, at: usize, decision: &Decision<Meant>, seen: Vec<Piece>) -> Question {
    let of = case.body.decisions.len();
    let title = case.ask_title.as_ref().map_or(case.name.as_str(), |title| title.value.as_str());
    let words = |things: &[crate::model::case::Text]| {
        things.iter().map(|thing| thing.value.as_str()).collect::<Vec<_>>().join(", ")
    };
    let mut given = Vec::new();
    if let Some(grade) = &decision.given_grade {
        given.push(format!("The choice is that of: {}.", grade.value));
    }
    if !decision.at_hand.is_empty() {
        given.push(format!("At hand: {}.", words(&decision.at_hand)));
    }
    if !decision.not_at_hand.is_empty() {
        given.push(format!("Not at hand: {}.", words(&decision.not_at_hand)));
    }
    Question {
        id: format!("q-{}", short(&[&case.name, &decision.id.value])),
        case: case.name.clone(),
        decision: format!("{}/{}", case.name, decision.id.value),
        number: at + 1,
        title: if of > 1 { format!("{title}, decision {} of {of}", at + 1) } else { title.to_owned() },
        seen,
        given,
        ask: decision.ask.value.clone(),
        options: options(case, decision),
    }
}

/// The options in the order of the site: by a hash of their words.
fn options(case: &Case, decision: &Decision<Meant>) -> Vec<Choice> {
    let mut options: Vec<Choice> = decision
        .options
        .iter()
        .take(LETTERS.count())
        .map(|option| Choice {
            id: format!("c-{}", short(&[&case.name, &decision.id.value, &option.choice.value])),
            choice: option.choice.value.clone(),
            verdict: option.verdict.value,
            because: option.because.as_ref().map(|because| because.value.clone()).unwrap_or_default(),
            unless: option.unless.as_ref().map(|unless| unless.value.clone()),
            source: option.source.as_ref().map(|source| source.value.clone()),
        })
        .collect();
    options.sort_by(|one, other| one.id.cmp(&other.id));
    options
}

/// The first 16 hexadecimal digits of a hash over these words; the site orders options by the same hash.
fn short(words: &[&str]) -> String {
    blake3::hash(words.join("\n").as_bytes()).to_hex()[..16].to_owned()
}
