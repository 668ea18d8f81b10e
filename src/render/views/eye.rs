//! The eye and the patient: findings, visits, drugs, implants, the plan.

use super::{Desk, shown, text, texts};
use crate::model::case::{Case, Drug, FellowHistory, Finding, Lens, Meant, Measures, Outcome, Visit};
use crate::render::places::Term;
use crate::text::capitalised;
use serde::Serialize;

/// A finding with what is known of it.
#[derive(Debug, Serialize)]
pub(crate) struct FindingView {
    pub(crate) term: Term,
    /// Grade, extent, place, one phrase each.
    pub(crate) details: Vec<String>,
    pub(crate) note: String,
}

/// A drug as given.
#[derive(Debug, Serialize)]
pub(crate) struct DrugView {
    pub(crate) substance: Term,
    /// Strength, dose and route in one phrase.
    pub(crate) how: String,
    pub(crate) note: String,
}

/// An implant, or its absence.
#[derive(Debug, Serialize)]
pub(crate) struct LensView {
    /// The kind; none when the eye stays aphakic.
    pub(crate) kind: Option<Term>,
    /// Power, place and so on, one phrase each.
    pub(crate) details: Vec<String>,
    pub(crate) note: String,
}

/// Measures of several visits as a table.
#[derive(Debug, Serialize)]
pub(crate) struct Grid {
    /// What the first column holds.
    pub(crate) corner: String,
    pub(crate) columns: Vec<String>,
    pub(crate) rows: Vec<GridRow>,
}

/// A row of a [`Grid`].
#[derive(Debug, Serialize)]
pub(crate) struct GridRow {
    pub(crate) head: String,
    pub(crate) cells: Vec<String>,
}

/// What was said of a visit besides its measures.
#[derive(Debug, Serialize)]
pub(crate) struct VisitView {
    pub(crate) when: String,
    pub(crate) is: Vec<Term>,
    pub(crate) gives: Vec<DrugView>,
    pub(crate) note: String,
}

/// A run of visits: a table of measures, and what was seen and given.
#[derive(Debug, Serialize)]
pub(crate) struct VisitsView {
    pub(crate) grid: Option<Grid>,
    pub(crate) said: Vec<VisitView>,
}

/// Everything known of the eye before surgery.
#[derive(Debug, Serialize)]
pub(crate) struct EyeView {
    pub(crate) findings: Vec<FindingView>,
    pub(crate) absent: Vec<Term>,
    pub(crate) visits: VisitsView,
    pub(crate) patient_note: String,
    pub(crate) fellow: Option<FellowView>,
    pub(crate) not_available: Vec<String>,
    pub(crate) setting_note: String,
}

/// The other eye.
#[derive(Debug, Serialize)]
pub(crate) struct FellowView {
    pub(crate) state: String,
    /// Whether it is known to have gone without complication.
    pub(crate) uneventful: bool,
    pub(crate) had: Option<Term>,
    pub(crate) note: String,
}

/// The plan before the first cut.
#[derive(Debug, Serialize)]
pub(crate) struct PlanView {
    pub(crate) procedure: Term,
    pub(crate) with: Vec<Term>,
    pub(crate) combined: Vec<Term>,
    pub(crate) anaesthesia: Option<Term>,
    pub(crate) lens: Option<LensView>,
    pub(crate) note: String,
}

impl Desk<'_> {
    /// Everything known of the eye before surgery.
    pub(crate) fn eye(&self, case: &Case) -> EyeView {
        EyeView {
            findings: case.findings.iter().map(|finding| self.finding(finding)).collect(),
            absent: self.terms(&case.absent),
            visits: self.visits_before(&case.before),
            patient_note: text(case.patient.note.as_ref()),
            fellow: case.fellow_eye.as_ref().map(|fellow| FellowView {
                state: text(fellow.state.as_ref()),
                uneventful: matches!(fellow.complication, Some(FellowHistory::None(_))),
                had: match &fellow.complication {
                    Some(FellowHistory::Had(term)) => Some(self.term(term)),
                    _ => None,
                },
                note: text(fellow.note.as_ref()),
            }),
            not_available: case.setting.as_ref().map(|setting| texts(&setting.not_available)).unwrap_or_default(),
            setting_note: case.setting.as_ref().map(|setting| text(setting.note.as_ref())).unwrap_or_default(),
        }
    }

    fn finding(&self, finding: &Finding<Meant>) -> FindingView {
        let mut details = Vec::new();
        match (&finding.grade, &finding.scale) {
            (Some(grade), Some(scale)) => details.push(format!("grade {} ({})", shown(grade), shown(scale))),
            (Some(grade), None) => details.push(format!("grade {}", shown(grade))),
            (None, Some(scale)) => details.push(shown(scale)),
            (None, None) => {}
        }
        details.extend(finding.extent.as_ref().map(shown));
        details.extend(finding.at.as_ref().map(shown));
        FindingView { term: self.term(&finding.is), details, note: text(finding.note.as_ref()) }
    }

    /// The plan.
    pub(crate) fn plan(&self, case: &Case) -> PlanView {
        let plan = &case.planned;
        PlanView {
            procedure: self.term(&plan.procedure),
            with: self.terms(&plan.with),
            combined: self.terms(&plan.combined),
            anaesthesia: plan.anaesthesia.as_ref().map(|term| self.term(term)),
            lens: plan.lens.as_ref().map(|lens| self.lens(lens)),
            note: text(plan.note.as_ref()),
        }
    }

    /// An implant.
    pub(crate) fn lens(&self, lens: &Lens<Meant>) -> LensView {
        let mut details = Vec::new();
        details.extend(lens.power.as_ref().map(shown));
        match (&lens.cylinder, &lens.axis) {
            (Some(cylinder), Some(axis)) => {
                details.push(format!("cylinder {} at axis {}", shown(cylinder), shown(axis)));
            }
            (Some(cylinder), None) => details.push(format!("cylinder {}", shown(cylinder))),
            (None, Some(axis)) => details.push(format!("axis {}", shown(axis))),
            (None, None) => {}
        }
        details.extend(lens.place.as_ref().map(|place| lens_place(&place.value)));
        details.extend(lens.target.as_ref().map(|target| format!("aiming at {}", shown(target))));
        LensView {
            kind: lens.kind.as_ref().map(|kind| self.term(kind)),
            details: details.into_iter().filter(|detail| !detail.is_empty()).collect(),
            note: text(lens.note.as_ref()),
        }
    }

    /// A drug as given.
    pub(crate) fn drug(&self, drug: &Drug<Meant>) -> DrugView {
        let mut how: Vec<String> = Vec::new();
        how.extend(drug.strength.as_ref().map(shown));
        how.extend(drug.dose.as_ref().map(shown));
        how.push(shown(&drug.route));
        how.retain(|part| !part.is_empty());
        // The note stands in brackets, where a full stop would be one too many.
        let note = text(drug.note.as_ref()).trim_end_matches('.').to_owned();
        DrugView { substance: self.term(&drug.substance), how: how.join(", "), note }
    }

    /// Drugs as given.
    pub(crate) fn drugs(&self, drugs: &[Drug<Meant>]) -> Vec<DrugView> {
        drugs.iter().map(|drug| self.drug(drug)).collect()
    }

    fn visits_before(&self, visits: &[Visit<Meant>]) -> VisitsView {
        let said = visits.iter().map(|visit| VisitView {
            when: capitalised(&shown(&visit.when)),
            is: Vec::new(),
            gives: self.drugs(&visit.gives),
            note: text(visit.note.as_ref()),
        });
        let measured = visits.iter().map(|visit| (capitalised(&shown(&visit.when)), &visit.measures));
        VisitsView { grid: grid("Visit", &measured.collect::<Vec<_>>(), true), said: worth_saying(said) }
    }

    /// Visits after surgery.
    pub(crate) fn visits_after(&self, visits: &[&Outcome<Meant>]) -> VisitsView {
        let said = visits.iter().map(|visit| VisitView {
            when: shown(&visit.after),
            is: self.terms(&visit.is),
            gives: self.drugs(&visit.gives),
            note: text(visit.note.as_ref()),
        });
        let measured = visits.iter().map(|visit| (shown(&visit.after), &visit.measures));
        VisitsView { grid: grid("After", &measured.collect::<Vec<_>>(), false), said: worth_saying(said) }
    }
}

fn worth_saying(said: impl Iterator<Item = VisitView>) -> Vec<VisitView> {
    said.filter(|visit| !visit.is.is_empty() || !visit.gives.is_empty() || !visit.note.is_empty()).collect()
}

/// Where an implant sits, as it is said. Words for [`crate::model::format::LENS_PLACES`].
fn lens_place(place: &str) -> String {
    match place {
        "none" => String::new(),
        "bag" | "bag with optic capture" | "sulcus" | "sulcus with optic capture" | "anterior chamber" => {
            format!("in the {place}")
        }
        other => other.to_owned(),
    }
}

/// The measures of visits as a table: one row a visit, or, where there are few visits and `tall` is asked for, one row
/// a measure. `None` where nothing was measured.
fn grid(corner: &str, visits: &[(String, &Measures)], tall: bool) -> Option<Grid> {
    let visits: Vec<&(String, &Measures)> = visits.iter().filter(|(_, measures)| !measures.is_empty()).collect();
    let mut names: Vec<String> = Vec::new();
    let said: Vec<Vec<(String, String)>> = visits.iter().map(|(_, measures)| measured(measures)).collect();
    for (name, _) in said.iter().flatten() {
        if !names.contains(name) {
            names.push(name.clone());
        }
    }
    if names.is_empty() {
        return None;
    }
    let cell = |visit: usize, name: &str| {
        said[visit].iter().find(|(known, _)| known == name).map(|(_, value)| value.clone()).unwrap_or_default()
    };
    let heads: Vec<String> = visits.iter().map(|(when, _)| when.clone()).collect();
    let order = |names: &[String]| -> Vec<String> { names.iter().map(|name| capitalised(name)).collect() };
    if tall && visits.len() <= 3 {
        let rows = names
            .iter()
            .map(|name| GridRow {
                head: capitalised(name),
                cells: (0..visits.len()).map(|visit| cell(visit, name)).collect(),
            })
            .collect();
        return Some(Grid { corner: "Measure".to_owned(), columns: heads, rows });
    }
    let rows = heads
        .into_iter()
        .enumerate()
        .map(|(visit, head)| GridRow { head, cells: names.iter().map(|name| cell(visit, name)).collect() })
        .collect();
    Some(Grid { corner: corner.to_owned(), columns: order(&names), rows })
}

/// Every measure of a visit with its name, in the order of pages.
fn measured(measures: &Measures) -> Vec<(String, String)> {
    let mut said: Vec<(String, String)> = Vec::new();
    for (taken, acuity) in &measures.acuity {
        said.push((format!("acuity, {taken}"), shown(acuity)));
    }
    said.extend(measures.refraction.as_ref().map(|value| ("refraction".to_owned(), shown(value))));
    for (name, quantity) in &measures.quantities {
        let name = if *name == "iop" { "pressure" } else { name };
        said.push((name.to_owned(), shown(quantity)));
    }
    if let Some(keratometry) = &measures.keratometry {
        let mut parts = Vec::new();
        parts.extend(keratometry.flat.as_ref().map(|flat| format!("flat {}", shown(flat))));
        parts.extend(keratometry.steep.as_ref().map(|steep| format!("steep {}", shown(steep))));
        parts.extend(keratometry.steep_axis.as_ref().map(|axis| format!("steep axis {}", shown(axis))));
        said.push(("keratometry".to_owned(), parts.join(", ")));
    }
    said
}
