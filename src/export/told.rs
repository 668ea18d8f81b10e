//! What a surgeon has seen up to a decision, in words: the eye, then stage by stage what was done, found and written.
//!
//! The stages come from the analysis, which knows what may be told before which answer; the words are those of the record,
//! one line for each thing, for programs that show no page of ours.

use super::markup::Passage;
use crate::model::analysis::Stage;
use crate::model::case::{Arose, Case, Complication, Drug, FellowHistory, Lens, Managed, Meant, Measures, Step};
use crate::model::vocabulary::Vocabulary;
use crate::text::{Spanned, capitalised};
use std::fmt::Display;

/// A part of what was seen, under a heading of its own.
#[derive(Debug, Clone)]
pub(super) struct Piece {
    /// What it is about.
    pub(super) heading: String,
    /// One line for each thing.
    pub(super) lines: Vec<String>,
    /// What the author wrote about it.
    pub(super) account: Passage,
}

impl Piece {
    fn is_empty(&self) -> bool {
        self.lines.is_empty() && self.account.xhtml.is_empty()
    }
}

/// What was seen before the decision that closes the last of these stages. `passages` are those of the narrative, in order.
pub(super) fn seen(case: &Case, vocabulary: &Vocabulary, stages: &[Stage], passages: &[Passage]) -> Vec<Piece> {
    let teller = Teller { case, vocabulary };
    let eye = Piece { heading: "The eye and the patient".to_owned(), lines: teller.eye(), account: Passage::default() };
    let told = stages.iter().enumerate().map(|(at, stage)| Piece {
        heading: if at == 0 { "What was done and seen".to_owned() } else { format!("After decision {at}") },
        lines: teller.stage(stage),
        account: passages.get(at).cloned().unwrap_or_default(),
    });
    std::iter::once(eye).chain(told).filter(|piece| !piece.is_empty()).collect()
}

/// A line of several phrases that ends in a full stop.
fn line(phrases: impl IntoIterator<Item = String>) -> Option<String> {
    let phrases: Vec<String> = phrases.into_iter().filter(|phrase| !phrase.is_empty()).collect();
    let line = phrases.join("; ");
    match line.chars().last() {
        None => None,
        Some('.' | '?' | '!') => Some(line),
        Some(_) => Some(line + "."),
    }
}

fn shown<T: Display>(value: Option<&Spanned<T>>) -> String {
    value.map(|value| value.value.to_string()).unwrap_or_default()
}

fn with(before: &str, value: String) -> String {
    if value.is_empty() { value } else { format!("{before}{value}") }
}

fn list<T: Display>(values: &[Spanned<T>]) -> String {
    values.iter().map(|value| value.value.to_string()).collect::<Vec<_>>().join(", ")
}

struct Teller<'a> {
    case: &'a Case,
    vocabulary: &'a Vocabulary,
}

impl Teller<'_> {
    fn term(&self, meant: &Meant) -> String {
        self.vocabulary.get(meant.value).label.value.clone()
    }

    fn terms(&self, meant: &[Meant]) -> String {
        meant.iter().map(|meant| self.term(meant)).collect::<Vec<_>>().join(", ")
    }

    /// Everything known of the eye before surgery, as every reading of a case tells it.
    fn eye(&self) -> Vec<String> {
        let case = self.case;
        let mut lines = Vec::new();
        lines.extend(line([
            format!("{} eye", capitalised(case.eye.value.word())),
            with("age ", shown(case.patient.age.as_ref())),
            shown(case.patient.sex.as_ref()),
            shown(case.patient.note.as_ref()),
        ]));
        let begins = case.operation.operators.iter().filter(|operator| operator.from.is_none());
        let grades: Vec<&str> = begins.map(|operator| operator.grade.value.as_str()).collect();
        lines.extend(line([with("Operating: ", grades.join(", "))]));
        for finding in &case.findings {
            lines.extend(line([
                format!("Found: {}", self.term(&finding.is)),
                with("grade ", shown(finding.grade.as_ref())),
                shown(finding.scale.as_ref()),
                shown(finding.extent.as_ref()),
                with("at ", shown(finding.at.as_ref())),
                shown(finding.note.as_ref()),
            ]));
        }
        lines.extend(line([with("Looked for and not there: ", self.terms(&case.absent))]));
        if let Some(fellow) = &case.fellow_eye {
            let history = match &fellow.complication {
                None => String::new(),
                Some(FellowHistory::None(_)) => "operated on without complication".to_owned(),
                Some(FellowHistory::Had(term)) => format!("its operation had {}", self.term(term)),
            };
            let told = [shown(fellow.state.as_ref()), history, shown(fellow.note.as_ref())];
            let told: Vec<String> = told.into_iter().filter(|part| !part.is_empty()).collect();
            lines.extend(line([with("The other eye: ", told.join("; "))]));
        }
        if let Some(setting) = &case.setting {
            lines.extend(line([with("Not at hand: ", list(&setting.not_available)), shown(setting.note.as_ref())]));
        }
        for visit in &case.before {
            let mut phrases = vec![capitalised(&visit.when.value)];
            phrases.extend(measures(&visit.measures));
            phrases.extend(visit.gives.iter().map(|drug| self.drug(drug)));
            phrases.push(shown(visit.note.as_ref()));
            lines.extend(line(phrases));
        }
        lines
    }

    /// What one stage lays bare.
    fn stage(&self, stage: &Stage) -> Vec<String> {
        let (case, operation) = (self.case, &self.case.operation);
        let mut lines = Vec::new();
        if stage.plan {
            lines.extend(self.plan());
        }
        if stage.seat {
            lines.extend(line([with("The surgeon's place: ", shown(operation.surgeon_at.as_ref()))]));
        }
        if let Some(incision) = operation.incision.as_ref().filter(|_| stage.incision) {
            let told = [
                shown(incision.width.as_ref()),
                shown(incision.kind.as_ref()),
                with("at ", shown(incision.at.as_ref())),
            ];
            let told: Vec<String> = told.into_iter().filter(|part| !part.is_empty()).collect();
            lines.extend(line([with("Main wound: ", told.join(", "))]));
        }
        let ports: Vec<String> = stage
            .ports
            .iter()
            .filter_map(|&at| operation.ports.get(at))
            .map(|port| port.at.value.to_string())
            .collect();
        lines.extend(line([with("Side ports: ", ports.join(", "))]));
        for &at in &stage.steps {
            if let Some(step) = operation.steps.get(at) {
                lines.extend(self.step(stage, at, step));
            }
        }
        for device in stage.devices.iter().filter_map(|&at| operation.devices.get(at)) {
            lines.extend(line([
                format!("In place: {}", self.term(&device.is)),
                with("at ", list(&device.at)),
                shown(device.note.as_ref()),
            ]));
        }
        for complication in stage.complications.iter().filter_map(|&at| case.complications.get(at)) {
            lines.extend(self.complication(complication));
        }
        if let Some(lens) = operation.lens.as_ref().filter(|_| stage.lens) {
            lines.extend(line([with("Implanted: ", self.lens(lens))]));
        }
        for &(at, nth) in &stage.managed {
            let complication = case.complications.get(at);
            if let Some((complication, managed)) = complication.and_then(|it| Some((it, it.managed.get(nth)?))) {
                lines.extend(self.managed(complication, managed));
            }
        }
        for outcome in stage.outcomes.iter().filter_map(|&at| case.outcomes.get(at)) {
            let mut phrases = vec![format!("{} after surgery", capitalised(&outcome.after.value.to_string()))];
            phrases.extend(measures(&outcome.measures));
            phrases.push(self.terms(&outcome.is));
            phrases.extend(outcome.gives.iter().map(|drug| self.drug(drug)));
            phrases.push(shown(outcome.note.as_ref()));
            lines.extend(line(phrases));
        }
        for later in stage.later.iter().filter_map(|&at| case.later.get(at)) {
            lines.extend(line([
                format!(
                    "{} after surgery: {}",
                    capitalised(&later.after.value.to_string()),
                    self.term(&later.procedure)
                ),
                with("by ", shown(later.by.as_ref())),
                shown(later.why.as_ref()),
                later.lens.as_ref().map(|lens| self.lens(lens)).unwrap_or_default(),
                shown(later.note.as_ref()),
            ]));
        }
        for media in stage.media.iter().filter_map(|&at| case.media.get(at)) {
            lines.extend(line([with("Picture or film, not in this package: ", shown(media.alt.as_ref()))]));
        }
        lines
    }

    fn plan(&self) -> Option<String> {
        let plan = &self.case.planned;
        line([
            format!("Planned: {}", self.term(&plan.procedure)),
            with("with ", self.terms(&plan.with)),
            with("combined with ", self.terms(&plan.combined)),
            plan.anaesthesia.as_ref().map(|term| self.term(term)).unwrap_or_default(),
            with("implant: ", plan.lens.as_ref().map(|lens| self.lens(lens)).unwrap_or_default()),
            shown(plan.note.as_ref()),
        ])
    }

    fn step(&self, stage: &Stage, at: usize, step: &Step<Meant>) -> Vec<String> {
        let here = |name: Option<&Spanned<String>>| name.is_some_and(|name| name.value == step.id.value);
        let operation = &self.case.operation;
        let mut phrases = vec![match &step.at {
            Some(time) => format!("Step {}, at {}: {}", at + 1, time.value, self.term(&step.does)),
            None => format!("Step {}: {}", at + 1, self.term(&step.does)),
        }];
        phrases.push(with("with ", self.terms(&step.with)));
        phrases.extend(step.settings.iter().map(|(name, value)| format!("{} {}", name.value, value.value)));
        phrases.extend(step.gives.iter().map(|drug| self.drug(drug)));
        phrases.extend([
            with("at ", shown(step.place.as_ref())),
            shown(step.extent.as_ref()),
            if step.unplanned { "not planned".to_owned() } else { String::new() },
            shown(step.note.as_ref()),
        ]);
        let mut lines: Vec<String> = line(phrases).into_iter().collect();
        for operator in stage.operators.iter().filter_map(|&at| operation.operators.get(at)) {
            if here(operator.from.as_ref()) {
                let why = if operator.takeover { "taken over for difficulty" } else { "" };
                let who = format!("From step {} on the {} operates", at + 1, operator.grade.value);
                lines.extend(line([who, why.to_owned(), shown(operator.note.as_ref())]));
            }
        }
        if let Some(converted) = operation.converted.as_ref().filter(|it| stage.conversion && here(Some(&it.at))) {
            lines.extend(line([format!("Changed to {}", self.term(&converted.to)), converted.because.value.clone()]));
        }
        lines
    }

    fn complication(&self, complication: &Complication<Meant>) -> Option<String> {
        let step = |id: &Spanned<String>| self.case.operation.step_index(&id.value).map(|at| at + 1);
        let arose = match &complication.arose {
            Some(Arose::During(id)) => step(id).map(|at| format!("in step {at}")).unwrap_or_default(),
            Some(Arose::After(after)) => format!("{} after surgery", after.value),
            None => String::new(),
        };
        let noticed = complication.noticed.as_ref().and_then(step).map(|at| format!("noticed in step {at}"));
        line([
            format!("It came to this: {}", self.term(&complication.is)),
            arose,
            noticed.unwrap_or_default(),
            shown(complication.extent.as_ref()),
            with("at ", shown(complication.at.as_ref())),
            shown(complication.note.as_ref()),
        ])
    }

    fn managed(&self, complication: &Complication<Meant>, managed: &Managed<Meant>) -> Option<String> {
        let mut phrases = vec![
            format!("Against {}: {}", self.term(&complication.is), self.term(&managed.does)),
            with("worked: ", managed.worked.value.clone()),
            with("with ", self.terms(&managed.with)),
        ];
        phrases.extend(managed.gives.iter().map(|drug| self.drug(drug)));
        phrases.push(shown(managed.note.as_ref()));
        line(phrases)
    }

    fn drug(&self, drug: &Drug<Meant>) -> String {
        let how = [shown(drug.strength.as_ref()), shown(drug.dose.as_ref()), drug.route.value.clone()];
        let how: Vec<String> = how.into_iter().filter(|part| !part.is_empty()).collect();
        let note = shown(drug.note.as_ref());
        format!("given: {}, {}{}", self.term(&drug.substance), how.join(", "), with(", ", note))
    }

    fn lens(&self, lens: &Lens<Meant>) -> String {
        let parts = [
            lens.kind.as_ref().map_or_else(|| "no implant".to_owned(), |kind| self.term(kind)),
            shown(lens.power.as_ref()),
            with("cylinder ", shown(lens.cylinder.as_ref())),
            with("axis ", shown(lens.axis.as_ref())),
            shown(lens.place.as_ref().filter(|place| place.value != "none")),
            with("aiming at ", shown(lens.target.as_ref())),
            shown(lens.note.as_ref()),
        ];
        parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(", ")
    }
}

/// Measures of a visit, one phrase each.
fn measures(measures: &Measures) -> Vec<String> {
    let mut phrases: Vec<String> =
        measures.acuity.iter().map(|(taken, acuity)| format!("acuity {taken} {}", acuity.value)).collect();
    phrases.extend(measures.refraction.as_ref().map(|refraction| format!("refraction {}", refraction.value)));
    phrases.extend(measures.quantities.iter().map(|(name, value)| {
        let name = if *name == "iop" { "pressure" } else { name };
        format!("{name} {}", value.value)
    }));
    if let Some(corneal) = &measures.keratometry {
        let parts = [
            with("flat ", shown(corneal.flat.as_ref())),
            with("steep ", shown(corneal.steep.as_ref())),
            with("steep axis ", shown(corneal.steep_axis.as_ref())),
        ];
        let parts: Vec<String> = parts.into_iter().filter(|part| !part.is_empty()).collect();
        phrases.push(with("keratometry ", parts.join(", ")));
    }
    phrases
}
