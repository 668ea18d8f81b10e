//! Terms into concepts: the same case, with every term meaning something.

use super::rules::{unknown_term, wrong_kind};
use crate::diag::Diagnostic;
use crate::model::case::{
    Body, Case, CaseSyntax, Complication, Conversion, Decision, Device, Drug, FellowEye, FellowHistory, Finding, Later,
    Lens, Managed, Meant, Operation, Outcome, Plan, Step, Visit, Written,
};
use crate::model::format::{TEACHES, TOOLS};
use crate::model::vocabulary::{ConceptId, Kind, Vocabulary};
use crate::text::Spanned;

/// Looks terms up and collects what cannot be found.
struct Resolver<'a> {
    vocabulary: &'a Vocabulary,
    out: &'a mut Vec<Diagnostic>,
    failed: bool,
    /// How many terms were looked for in vain; after the first hundred nothing near is looked for.
    in_vain: usize,
}

/// For how many terms of a case near ones are looked for. A file may hold a million words that are no terms.
const HELPED: usize = 100;

/// The case with every term resolved; `None` if any term could not be.
pub(crate) fn resolve(case: CaseSyntax, vocabulary: &Vocabulary, out: &mut Vec<Diagnostic>) -> Option<Case> {
    let mut look = Resolver { vocabulary, out, failed: false, in_vain: 0 };
    let resolved = look.case(case);
    if look.failed { None } else { Some(resolved) }
}

/// The concept of a term that could not be resolved: the case is then thrown away as a whole.
const NOTHING: ConceptId = ConceptId(u32::MAX);

impl Resolver<'_> {
    fn term(&mut self, term: Written, kinds: &[Kind]) -> Meant {
        let span = term.span;
        let known = self.vocabulary.by_term(&term.value);
        // A kind has one concept of a term; where a field takes several kinds, the order of its list decides.
        let fitting = kinds.iter().find_map(|&kind| known.iter().find(|&&id| self.vocabulary.get(id).kind == kind));
        let found = match (fitting, known) {
            (Some(&id), _) => return Spanned::new(id, span),
            // A missing term was reported as a missing field already.
            _ if term.value.is_empty() => None,
            (None, []) => {
                self.in_vain += 1;
                Some(unknown_term::found(&term, kinds, self.vocabulary, self.in_vain <= HELPED))
            }
            (None, [other, ..]) => Some(wrong_kind::found(&term, self.vocabulary.get(*other), kinds)),
        };
        self.failed = true;
        self.out.extend(found);
        Spanned::new(NOTHING, span)
    }

    fn terms(&mut self, terms: Vec<Written>, kinds: &[Kind]) -> Vec<Meant> {
        terms.into_iter().map(|term| self.term(term, kinds)).collect()
    }

    fn case(&mut self, case: CaseSyntax) -> Case {
        Case {
            fellow_eye: case.fellow_eye.map(|eye| FellowEye {
                state: eye.state,
                complication: eye.complication.map(|history| match history {
                    FellowHistory::None(span) => FellowHistory::None(span),
                    FellowHistory::Had(term) => FellowHistory::Had(self.term(term, &[Kind::Complication])),
                }),
                note: eye.note,
            }),
            findings: case
                .findings
                .into_iter()
                .map(|finding| Finding {
                    is: self.term(finding.is, &[Kind::Finding]),
                    grade: finding.grade,
                    scale: finding.scale,
                    extent: finding.extent,
                    at: finding.at,
                    note: finding.note,
                })
                .collect(),
            absent: self.terms(case.absent, &[Kind::Finding]),
            before: case
                .before
                .into_iter()
                .map(|visit| Visit {
                    when: visit.when,
                    measures: visit.measures,
                    gives: self.drugs(visit.gives),
                    note: visit.note,
                })
                .collect(),
            planned: self.plan(case.planned),
            operation: self.operation(case.operation),
            complications: case.complications.into_iter().map(|it| self.complication(it)).collect(),
            outcomes: case
                .outcomes
                .into_iter()
                .map(|outcome| Outcome {
                    span: outcome.span,
                    after: outcome.after,
                    measures: outcome.measures,
                    is: self.terms(outcome.is, &[Kind::Outcome]),
                    gives: self.drugs(outcome.gives),
                    note: outcome.note,
                })
                .collect(),
            later: case
                .later
                .into_iter()
                .map(|later| Later {
                    after: later.after,
                    procedure: self.term(later.procedure, &[Kind::Technique]),
                    by: later.by,
                    why: later.why,
                    lens: later.lens.map(|lens| self.lens(lens)),
                    note: later.note,
                })
                .collect(),
            body: Body {
                span: case.body.span,
                decisions: case.body.decisions.into_iter().map(|decision| self.decision(decision)).collect(),
                links: case.body.links,
                html: case.body.html,
                anchors: case.body.anchors,
                escaped: case.body.escaped,
            },
            comments: case.comments,
            name: case.name,
            span: case.span,
            title: case.title,
            ask_title: case.ask_title,
            summary: case.summary,
            eye: case.eye,
            patient: case.patient,
            setting: case.setting,
            follow_up: case.follow_up,
            lessons: case.lessons,
            contrast: case.contrast,
            media: case.media,
            waivers: case.waivers,
            unreviewed: case.unreviewed,
            consent: case.consent,
            review: case.review,
            audience: case.audience,
            authors: case.authors,
            interests: case.interests,
            references: case.references,
            content_hash: case.content_hash,
        }
    }

    fn drugs(&mut self, drugs: Vec<Drug<Written>>) -> Vec<Drug<Meant>> {
        drugs
            .into_iter()
            .map(|drug| Drug {
                span: drug.span,
                substance: self.term(drug.substance, &[Kind::Material]),
                strength: drug.strength,
                dose: drug.dose,
                route: drug.route,
                note: drug.note,
            })
            .collect()
    }

    fn lens(&mut self, lens: Lens<Written>) -> Lens<Meant> {
        Lens {
            kind: lens.kind.map(|kind| self.term(kind, &[Kind::Material])),
            power: lens.power,
            place: lens.place,
            target: lens.target,
            cylinder: lens.cylinder,
            axis: lens.axis,
            note: lens.note,
        }
    }

    fn plan(&mut self, plan: Plan<Written>) -> Plan<Meant> {
        Plan {
            procedure: self.term(plan.procedure, &[Kind::Technique]),
            with: self.terms(plan.with, &[Kind::Technique]),
            combined: self.terms(plan.combined, &[Kind::Technique]),
            anaesthesia: plan.anaesthesia.map(|term| self.term(term, &[Kind::Technique])),
            lens: plan.lens.map(|lens| self.lens(lens)),
            note: plan.note,
        }
    }

    fn operation(&mut self, operation: Operation<Written>) -> Operation<Meant> {
        Operation {
            surgeon_at: operation.surgeon_at,
            operators: operation.operators,
            incision: operation.incision,
            ports: operation.ports,
            devices: operation
                .devices
                .into_iter()
                .map(|device| Device {
                    is: self.term(device.is, TOOLS),
                    at: device.at,
                    step: device.step,
                    note: device.note,
                })
                .collect(),
            steps: operation
                .steps
                .into_iter()
                .map(|step| Step {
                    id: step.id,
                    at: step.at,
                    does: self.term(step.does, &[Kind::Technique]),
                    with: self.terms(step.with, TOOLS),
                    settings: step.settings,
                    gives: self.drugs(step.gives),
                    place: step.place,
                    extent: step.extent,
                    note: step.note,
                    unplanned: step.unplanned,
                })
                .collect(),
            converted: operation.converted.map(|conversion| Conversion {
                to: self.term(conversion.to, &[Kind::Technique]),
                at: conversion.at,
                because: conversion.because,
            }),
            lens: operation.lens.map(|lens| self.lens(lens)),
        }
    }

    fn complication(&mut self, complication: Complication<Written>) -> Complication<Meant> {
        Complication {
            span: complication.span,
            is: self.term(complication.is, &[Kind::Complication]),
            arose: complication.arose,
            noticed: complication.noticed,
            extent: complication.extent,
            at: complication.at,
            managed: complication
                .managed
                .into_iter()
                .map(|managed| Managed {
                    does: self.term(managed.does, &[Kind::Technique]),
                    worked: managed.worked,
                    step: managed.step,
                    with: self.terms(managed.with, TOOLS),
                    gives: self.drugs(managed.gives),
                    note: managed.note,
                })
                .collect(),
            note: complication.note,
        }
    }

    fn decision(&mut self, decision: Decision<Written>) -> Decision<Meant> {
        Decision {
            span: decision.span,
            id: decision.id,
            at: decision.at,
            ask: decision.ask,
            teaches: self.terms(decision.teaches, TEACHES),
            given_grade: decision.given_grade,
            at_hand: decision.at_hand,
            not_at_hand: decision.not_at_hand,
            options: decision.options,
        }
    }
}
