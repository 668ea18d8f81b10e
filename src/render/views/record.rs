//! The operation and what followed, as far as a stage lays it bare. The straight reading is one stage that holds all.

use super::exhibit::MediaView;
use super::eye::{DrugView, LensView, PlanView, VisitsView};
use super::{Desk, shown, text, texts};
use crate::model::analysis::Stage;
use crate::model::case::{Arose, Case, Complication, Managed, Meant, Step};
use crate::model::corpus::Cleared;
use crate::render::places::Term;
use serde::Serialize;
use std::collections::BTreeMap;

/// A step, with what happened at it.
#[derive(Debug, Serialize)]
pub(crate) struct StepView {
    /// Its number in the operation, from 1.
    pub(crate) number: usize,
    pub(crate) at: String,
    pub(crate) does: Term,
    pub(crate) with: Vec<Term>,
    pub(crate) settings: Vec<String>,
    pub(crate) gives: Vec<DrugView>,
    pub(crate) place: String,
    pub(crate) extent: String,
    pub(crate) note: String,
    pub(crate) unplanned: bool,
    /// Who takes over here, and whether for difficulty.
    pub(crate) takes_over: Vec<OperatorView>,
    pub(crate) converts: Option<ConversionView>,
    /// Complications that arose in it.
    pub(crate) arose: Vec<Term>,
    /// Complications that arose before and were noticed here.
    pub(crate) noticed: Vec<Term>,
}

/// Somebody who operates.
#[derive(Debug, Serialize)]
pub(crate) struct OperatorView {
    pub(crate) grade: String,
    pub(crate) takeover: bool,
    pub(crate) note: String,
}

/// A change of the operation.
#[derive(Debug, Serialize)]
pub(crate) struct ConversionView {
    pub(crate) to: Term,
    pub(crate) because: String,
}

/// Wound and ports, as phrases.
#[derive(Debug, Serialize)]
pub(crate) struct WoundView {
    pub(crate) surgeon_at: String,
    pub(crate) incision: String,
    pub(crate) ports: Vec<String>,
}

/// A device left or held in the eye.
#[derive(Debug, Serialize)]
pub(crate) struct DeviceView {
    pub(crate) is: Term,
    pub(crate) at: Vec<String>,
    /// The number of the step that put it there; 0 if not said.
    pub(crate) step: usize,
    pub(crate) note: String,
}

/// A complication with what was done about it.
#[derive(Debug, Serialize)]
pub(crate) struct ComplicationView {
    pub(crate) is: Term,
    /// Whether it was known in an earlier stage: then only what was done about it is new.
    pub(crate) known: bool,
    /// The number of the step in which it arose; 0 if not in a step.
    pub(crate) during: usize,
    pub(crate) after: String,
    pub(crate) noticed: usize,
    pub(crate) extent: String,
    pub(crate) at: String,
    pub(crate) managed: Vec<ManagedView>,
    pub(crate) note: String,
}

/// One thing done about a complication.
#[derive(Debug, Serialize)]
pub(crate) struct ManagedView {
    pub(crate) does: Term,
    /// `yes`, `partly` or `no`.
    pub(crate) worked: String,
    pub(crate) step: usize,
    pub(crate) with: Vec<Term>,
    pub(crate) gives: Vec<DrugView>,
    pub(crate) note: String,
}

/// A later operation on the same eye.
#[derive(Debug, Serialize)]
pub(crate) struct LaterView {
    pub(crate) after: String,
    pub(crate) procedure: Term,
    pub(crate) by: String,
    pub(crate) why: String,
    pub(crate) lens: Option<LensView>,
    pub(crate) note: String,
}

/// Everything a stage tells of plan, operation and course.
#[derive(Debug, Serialize)]
pub(crate) struct RecordView {
    pub(crate) plan: Option<PlanView>,
    pub(crate) wound: Option<WoundView>,
    pub(crate) steps: Vec<StepView>,
    pub(crate) devices: Vec<DeviceView>,
    pub(crate) complications: Vec<ComplicationView>,
    pub(crate) lens: Option<LensView>,
    /// How the wound was closed; told at the end, since the words may name what happened to it.
    pub(crate) sutures: String,
    pub(crate) visits: Option<VisitsView>,
    pub(crate) later: Vec<LaterView>,
    pub(crate) media: Vec<MediaView>,
    /// Whether there is nothing in it.
    pub(crate) empty: bool,
}

/// The one stage that holds the whole case.
pub(crate) fn whole(case: &Case) -> Stage {
    let operation = &case.operation;
    let later_operators = |at: &usize| operation.operators[*at].from.is_some();
    Stage {
        plan: true,
        seat: true,
        incision: true,
        ports: (0..operation.ports.len()).collect(),
        steps: (0..operation.steps.len()).collect(),
        devices: (0..operation.devices.len()).collect(),
        operators: (0..operation.operators.len()).filter(later_operators).collect(),
        conversion: operation.converted.is_some(),
        complications: (0..case.complications.len()).collect(),
        lens: true,
        managed: case
            .complications
            .iter()
            .enumerate()
            .flat_map(|(at, complication)| (0..complication.managed.len()).map(move |measure| (at, measure)))
            .collect(),
        outcomes: (0..case.outcomes.len()).collect(),
        later: (0..case.later.len()).collect(),
        media: (0..case.media.len()).collect(),
        decision: None,
    }
}

/// The grades of those who begin the operation: they are known from the start.
pub(crate) fn first_operators(case: &Case) -> Vec<String> {
    let begins = case.operation.operators.iter().filter(|operator| operator.from.is_none());
    begins.map(|operator| shown(&operator.grade)).collect()
}

impl Desk<'_> {
    /// What `stage` tells of the case.
    pub(crate) fn record(&self, cleared: &Cleared, stage: &Stage) -> RecordView {
        let case = &*cleared.case();
        let operation = &case.operation;
        let outcomes: Vec<_> = stage.outcomes.iter().filter_map(|&at| case.outcomes.get(at)).collect();
        let mut record = RecordView {
            plan: stage.plan.then(|| self.plan(case)),
            wound: wound(case, stage),
            steps: stage
                .steps
                .iter()
                .filter_map(|&at| Some(self.step(case, stage, at, operation.steps.get(at)?)))
                .collect(),
            devices: stage
                .devices
                .iter()
                .filter_map(|&at| operation.devices.get(at))
                .map(|device| DeviceView {
                    is: self.term(&device.is),
                    at: texts(&device.at),
                    step: number(case, device.step.as_ref().map(|step| step.value.as_str())),
                    note: text(device.note.as_ref()),
                })
                .collect(),
            complications: self.complications(case, stage),
            lens: operation.lens.as_ref().filter(|_| stage.lens).map(|lens| self.lens(lens)),
            sutures: operation
                .incision
                .as_ref()
                .filter(|_| stage.decision.is_none())
                .map(|incision| text(incision.sutures.as_ref()))
                .unwrap_or_default(),
            visits: (!outcomes.is_empty()).then(|| self.visits_after(&outcomes)),
            later: stage
                .later
                .iter()
                .filter_map(|&at| case.later.get(at))
                .map(|later| LaterView {
                    after: shown(&later.after),
                    procedure: self.term(&later.procedure),
                    by: text(later.by.as_ref()),
                    why: text(later.why.as_ref()),
                    lens: later.lens.as_ref().map(|lens| self.lens(lens)),
                    note: text(later.note.as_ref()),
                })
                .collect(),
            media: stage.media.iter().filter_map(|&at| self.exhibit(cleared, at)).collect(),
            empty: false,
        };
        record.empty = record.plan.is_none()
            && record.wound.is_none()
            && record.steps.is_empty()
            && record.devices.is_empty()
            && record.complications.is_empty()
            && record.lens.is_none()
            && record.sutures.is_empty()
            && record.visits.is_none()
            && record.later.is_empty()
            && record.media.is_empty();
        record
    }

    fn step(&self, case: &Case, stage: &Stage, at: usize, step: &Step<Meant>) -> StepView {
        let here = |name: Option<&str>| name == Some(step.id.value.as_str());
        let named = |told: &[usize], test: &dyn Fn(&Complication<Meant>) -> bool| -> Vec<Term> {
            let known = told.iter().filter_map(|&at| case.complications.get(at));
            known.filter(|complication| test(complication)).map(|complication| self.term(&complication.is)).collect()
        };
        StepView {
            number: at + 1,
            at: text(step.at.as_ref()),
            does: self.term(&step.does),
            with: self.terms(&step.with),
            settings: step.settings.iter().map(|(name, value)| format!("{} {}", shown(name), shown(value))).collect(),
            gives: self.drugs(&step.gives),
            place: text(step.place.as_ref()),
            extent: text(step.extent.as_ref()),
            note: text(step.note.as_ref()),
            unplanned: step.unplanned,
            takes_over: stage
                .operators
                .iter()
                .filter_map(|&at| case.operation.operators.get(at))
                .filter(|operator| here(operator.from.as_ref().map(|from| from.value.as_str())))
                .map(|operator| OperatorView {
                    grade: shown(&operator.grade),
                    takeover: operator.takeover,
                    note: text(operator.note.as_ref()),
                })
                .collect(),
            converts: case
                .operation
                .converted
                .as_ref()
                .filter(|conversion| stage.conversion && here(Some(&conversion.at.value)))
                .map(|conversion| ConversionView {
                    to: self.term(&conversion.to),
                    because: shown(&conversion.because),
                }),
            arose: named(&stage.complications, &|complication| here(during(complication))),
            noticed: named(&stage.complications, &|complication| {
                here(complication.noticed.as_ref().map(|step| step.value.as_str())) && !here(during(complication))
            }),
        }
    }

    /// Complications that become known in the stage, and earlier ones about which something is done in it.
    fn complications(&self, case: &Case, stage: &Stage) -> Vec<ComplicationView> {
        let mut done: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        for &(complication, measure) in &stage.managed {
            done.entry(complication).or_default().push(measure);
        }
        for &complication in &stage.complications {
            done.entry(complication).or_default();
        }
        done.into_iter()
            .filter_map(|(at, measures)| {
                let complication = case.complications.get(at)?;
                let known = !stage.complications.contains(&at);
                let managed = measures.into_iter().filter_map(|measure| complication.managed.get(measure));
                Some(ComplicationView {
                    is: self.term(&complication.is),
                    known,
                    during: number(case, during(complication)),
                    after: match &complication.arose {
                        Some(Arose::After(after)) => shown(after),
                        _ => String::new(),
                    },
                    noticed: number(case, complication.noticed.as_ref().map(|step| step.value.as_str())),
                    extent: text(complication.extent.as_ref()),
                    at: text(complication.at.as_ref()),
                    managed: managed.map(|managed| self.managed(case, managed)).collect(),
                    note: text(complication.note.as_ref()),
                })
            })
            .collect()
    }

    fn managed(&self, case: &Case, managed: &Managed<Meant>) -> ManagedView {
        ManagedView {
            does: self.term(&managed.does),
            worked: managed.worked.value.clone(),
            step: number(case, managed.step.as_ref().map(|step| step.value.as_str())),
            with: self.terms(&managed.with),
            gives: self.drugs(&managed.gives),
            note: text(managed.note.as_ref()),
        }
    }
}

fn during(complication: &Complication<Meant>) -> Option<&str> {
    match &complication.arose {
        Some(Arose::During(step)) => Some(&step.value),
        _ => None,
    }
}

/// The number of a step by its name, from 1; 0 if there is none.
fn number(case: &Case, step: Option<&str>) -> usize {
    step.and_then(|step| case.operation.step_index(step)).map_or(0, |at| at + 1)
}

/// What the stage tells of the surgeon's place, the wound and the ports.
fn wound(case: &Case, stage: &Stage) -> Option<WoundView> {
    let operation = &case.operation;
    let incision = operation.incision.as_ref().filter(|_| stage.incision);
    let mut phrases: Vec<String> = Vec::new();
    if let Some(incision) = incision {
        phrases.extend(incision.width.as_ref().map(shown));
        phrases.extend(incision.kind.as_ref().map(shown));
        phrases.extend(incision.at.as_ref().map(|at| format!("at {}", shown(at))));
    }
    let wound = WoundView {
        surgeon_at: text(operation.surgeon_at.as_ref().filter(|_| stage.seat)),
        incision: phrases.join(", "),
        ports: stage.ports.iter().filter_map(|&at| operation.ports.get(at)).map(|port| shown(&port.at)).collect(),
    };
    (!wound.surgeon_at.is_empty() || !wound.incision.is_empty() || !wound.ports.is_empty()).then_some(wound)
}
