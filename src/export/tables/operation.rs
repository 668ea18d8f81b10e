//! The operation: plan, people, wounds, steps, drugs, implants, complications and what was done about them.

use super::cases::{extent, extents};
use super::visits::visit;
use super::{concept, concept_if, placed, step_if, within};
use crate::export::table::{
    Cell, Column, Table, amount, any_amount, any_quantity, maybe, number, of_case, place, quantity, row, text, truth,
};
use crate::model::case::{Arose, Case, Drug, Lens, Meant};
use crate::model::corpus::Corpus;
use crate::model::format::{GRADES, LENS_PLACES, ROUTES, WORKED};
use crate::model::measure::Unit;
use crate::model::vocabulary::Vocabulary;

/// The tables of this module.
pub(super) fn tables(corpus: &Corpus) -> Vec<Table> {
    let mut sheets = Sheets::new(corpus.vocabulary());
    for cleared in corpus.cases() {
        let case = &*cleared.case();
        sheets.plan(case);
        sheets.people_and_wounds(case);
        sheets.steps(case);
        sheets.complications(case);
        sheets.later(case);
        sheets.drugs_at_visits(case);
    }
    sheets.finish()
}

struct Sheets<'a> {
    vocabulary: &'a Vocabulary,
    plan: Table,
    operators: Table,
    ports: Table,
    devices: Table,
    steps: Table,
    step_tools: Table,
    settings: Table,
    complications: Table,
    managements: Table,
    management_tools: Table,
    drugs: Table,
    lenses: Table,
    later: Table,
}

/// A table whose rows belong to a case and have a place in it.
fn listed(name: &'static str, says: &'static str, columns: impl IntoIterator<Item = Column>) -> Table {
    let columns = [of_case(), place()].into_iter().chain(columns).collect();
    Table::new(name, says, &["case", "n"], columns).refers("case", "cases", "case")
}

impl<'a> Sheets<'a> {
    fn new(vocabulary: &'a Vocabulary) -> Self {
        let note = || text("note", "Anything else.");
        let tools = |name, says, of: &'static str| {
            let columns = vec![
                text(of, "What it was used in.").must(),
                place(),
                text("tool", "Instrument or material: a concept.").must(),
            ];
            Table::new(name, says, &[of, "n"], columns).refers("tool", "concepts", "concept")
        };
        let plan = listed(
            "plan_parts",
            "Techniques that were planned, and what the operation was combined with.",
            [
                text("part", "A technique, or an operation done with it.")
                    .must()
                    .one_of(["technique", "combined with"]),
                text("technique", "Which: a concept.").must(),
            ],
        );
        let operators = listed(
            "operators",
            "Who operated, in order.",
            [
                text("grade", "Grade of training.").must().one_of(GRADES.iter().copied()),
                text("from_step", "The step from which on; empty for who began."),
                truth("takeover", "Whether this was a takeover for difficulty.").must(),
                note(),
            ],
        );
        let ports = listed(
            "ports",
            "Side ports.",
            [text("at", "Where.").must(), text("step", "The step that made it, if it was not made at the outset.")],
        );
        let devices = listed(
            "devices",
            "Hooks, rings and segments.",
            [
                text("device", "Which: a concept.").must(),
                text("at", "Where, parted by semicolons."),
                text("step", "The step that put it there."),
                note(),
            ],
        );
        let mut columns = vec![
            text("step", "The case and the step.").must(),
            of_case(),
            place(),
            number("seconds", "seconds", "Time from the start of the operation."),
            text("technique", "What was done: a concept.").must(),
            truth("unplanned", "Whether it was no part of the plan.").must(),
            text("at", "Where in the eye."),
        ];
        columns.extend(extent());
        columns.push(note());
        let steps = Table::new("steps", "What was done, in order.", &["step"], columns);
        let mut columns = vec![text("step", "The step.").must(), place(), text("setting", "What was set.").must()];
        columns.extend(any_quantity("value", "How it was set."));
        let settings = Table::new("settings", "Settings of machines.", &["step", "n"], columns);
        let mut columns = vec![
            text("complication", "The case and the complication.").must(),
            of_case(),
            place(),
            text("is", "What went wrong: a concept.").must(),
            text("arose_in", "The step in which it arose."),
            text("arose_after", "When it arose, if it arose after surgery."),
            number("arose_days_after", "days", "When it arose, if it arose after surgery."),
            text("noticed_in", "The step in which it was noticed, if that was later."),
            text("at", "Where."),
        ];
        columns.extend(extent());
        columns.push(note());
        let complications = Table::new("complications", "What went wrong.", &["complication"], columns);
        let managements = Table::new(
            "managements",
            "What was done about complications, in the order tried.",
            &["management"],
            vec![
                text("management", "The complication and the measure.").must(),
                text("complication", "The complication.").must(),
                place(),
                text("technique", "What was done: a concept.").must(),
                text("worked", "Whether it worked.").must().one_of(WORKED.iter().copied()),
                text("step", "The step in which it was done."),
                note(),
            ],
        );
        let mut columns = vec![
            text("drug", "The case and the gift.").must(),
            of_case(),
            text("visit", "The visit at which it was given."),
            text("step", "The step in which it was given."),
            text("management", "The measure against a complication with which it was given."),
            text("substance", "Which: a concept.").must(),
        ];
        columns.extend(quantity("strength", "mg/mL", "Strength; 1 % is 10 mg/mL."));
        columns.extend(any_quantity("dose", "How much was given."));
        columns.extend([text("route", "By which way.").must().one_of(ROUTES.iter().copied()), note()]);
        let drugs = Table::new(
            "drugs",
            "Drugs as they were given in one eye. Local protocols decide what is given in another.",
            &["drug"],
            columns,
        );
        let mut columns = vec![
            text("lens", "The case and the implant.").must(),
            of_case(),
            text("part", "Planned, put in at the operation, or put in at a later one.").must().one_of([
                "planned",
                "implanted",
                "later",
            ]),
            text("kind", "Which kind: a concept. Empty if the eye stays without."),
        ];
        columns.extend(quantity("power", "D", "Power."));
        columns.push(text("place", "Where it sits.").one_of(LENS_PLACES.iter().copied()));
        columns.extend(quantity("target", "D", "Refraction aimed at."));
        columns.extend(quantity("cylinder", "D", "Toric power."));
        columns.extend(quantity("axis", "degrees", "Toric axis."));
        columns.push(note());
        let lenses = Table::new("implants", "Implants, planned and put in.", &["lens"], columns);
        let later = listed(
            "later_operations",
            "Later operations on the same eye.",
            [
                text("after", "How long after the first, as it was written.").must(),
                number("days_after", "days", "How long after the first.").must(),
                text("procedure", "What was done: a concept.").must(),
                text("by", "By whom."),
                text("why", "Why."),
                note(),
            ],
        );
        Self {
            vocabulary,
            plan: plan.refers("technique", "concepts", "concept"),
            operators: operators.refers("from_step", "steps", "step"),
            ports: ports.refers("step", "steps", "step"),
            devices: devices.refers("device", "concepts", "concept").refers("step", "steps", "step"),
            steps: steps.refers("case", "cases", "case").refers("technique", "concepts", "concept"),
            step_tools: tools("step_tools", "Instruments and materials of steps.", "step")
                .refers("step", "steps", "step"),
            settings: settings.refers("step", "steps", "step"),
            complications: complications
                .refers("case", "cases", "case")
                .refers("is", "concepts", "concept")
                .refers("arose_in", "steps", "step")
                .refers("noticed_in", "steps", "step"),
            managements: managements
                .refers("complication", "complications", "complication")
                .refers("technique", "concepts", "concept")
                .refers("step", "steps", "step"),
            management_tools: tools(
                "management_tools",
                "Instruments and materials of measures against complications.",
                "management",
            )
            .refers("management", "managements", "management"),
            drugs: drugs
                .refers("case", "cases", "case")
                .refers("visit", "visits", "visit")
                .refers("step", "steps", "step")
                .refers("management", "managements", "management")
                .refers("substance", "concepts", "concept"),
            lenses: lenses.refers("case", "cases", "case").refers("kind", "concepts", "concept"),
            later: later.refers("procedure", "concepts", "concept"),
        }
    }

    fn finish(self) -> Vec<Table> {
        vec![
            self.plan,
            self.operators,
            self.ports,
            self.devices,
            self.steps,
            self.step_tools,
            self.settings,
            self.complications,
            self.managements,
            self.management_tools,
            self.drugs,
            self.lenses,
            self.later,
        ]
    }

    fn plan(&mut self, case: &Case) {
        let with = case.planned.with.iter().map(|term| ("technique", term));
        let combined = case.planned.combined.iter().map(|term| ("combined with", term));
        for (n, (part, term)) in placed(with.chain(combined)) {
            self.plan.row(row![&case.name, n, part, concept(self.vocabulary, term)]);
        }
        if let Some(lens) = &case.planned.lens {
            self.lens(&case.name, "planned", "planned".to_owned(), lens);
        }
    }

    fn people_and_wounds(&mut self, case: &Case) {
        let (name, operation) = (case.name.as_str(), &case.operation);
        for (n, operator) in placed(&operation.operators) {
            let from = step_if(name, operator.from.as_ref());
            self.operators.row(row![name, n, &operator.grade, from, operator.takeover, operator.note.as_ref()]);
        }
        for (n, port) in placed(&operation.ports) {
            self.ports.row(row![name, n, &port.at, step_if(name, port.step.as_ref())]);
        }
        for (n, device) in placed(&operation.devices) {
            let at: Vec<String> = device.at.iter().map(|at| at.value.to_string()).collect();
            let step = step_if(name, device.step.as_ref());
            let term = concept(self.vocabulary, &device.is);
            self.devices.row(row![name, n, term, at.join("; "), step, device.note.as_ref()]);
        }
    }

    fn steps(&mut self, case: &Case) {
        for (n, step) in placed(&case.operation.steps) {
            let key = within(&case.name, &step.id.value);
            let mut cells = row![
                &key,
                &case.name,
                n,
                maybe(step.at.as_ref().map(|at| f64::from(at.value.seconds()))),
                concept(self.vocabulary, &step.does),
                step.unplanned,
                step.place.as_ref(),
            ];
            cells.extend(extents(step.extent.as_ref()));
            cells.extend(row![step.note.as_ref()]);
            self.steps.row(cells);
            for (n, tool) in placed(&step.with) {
                self.step_tools.row(row![&key, n, concept(self.vocabulary, tool)]);
            }
            for (n, (what, value)) in placed(&step.settings) {
                let mut cells = row![&key, n, what];
                cells.extend(any_amount(Some(value)));
                self.settings.row(cells);
            }
            for (n, drug) in placed(&step.gives) {
                self.drug(&case.name, &key, n, row!["", &key, ""], drug);
            }
        }
        if let Some(lens) = &case.operation.lens {
            self.lens(&case.name, "implanted", "implanted".to_owned(), lens);
        }
    }

    fn complications(&mut self, case: &Case) {
        for (n, complication) in placed(&case.complications) {
            let key = within(&case.name, &format!("c{n}"));
            let (during, after) = match &complication.arose {
                Some(Arose::During(step)) => (Some(step), None),
                Some(Arose::After(after)) => (None, Some(after)),
                None => (None, None),
            };
            let mut cells = row![
                &key,
                &case.name,
                n,
                concept(self.vocabulary, &complication.is),
                step_if(&case.name, during),
                after,
                maybe(after.map(|after| after.value.days())),
                step_if(&case.name, complication.noticed.as_ref()),
                complication.at.as_ref(),
            ];
            cells.extend(extents(complication.extent.as_ref()));
            cells.extend(row![complication.note.as_ref()]);
            self.complications.row(cells);
            for (n, managed) in placed(&complication.managed) {
                let of = within(&key, &format!("m{n}"));
                self.managements.row(row![
                    &of,
                    &key,
                    n,
                    concept(self.vocabulary, &managed.does),
                    &managed.worked,
                    step_if(&case.name, managed.step.as_ref()),
                    managed.note.as_ref(),
                ]);
                for (n, tool) in placed(&managed.with) {
                    self.management_tools.row(row![&of, n, concept(self.vocabulary, tool)]);
                }
                for (n, drug) in placed(&managed.gives) {
                    self.drug(&case.name, &of, n, row!["", "", &of], drug);
                }
            }
        }
    }

    fn later(&mut self, case: &Case) {
        for (n, later) in placed(&case.later) {
            self.later.row(row![
                &case.name,
                n,
                &later.after,
                later.after.value.days(),
                concept(self.vocabulary, &later.procedure),
                later.by.as_ref(),
                later.why.as_ref(),
                later.note.as_ref(),
            ]);
            if let Some(lens) = &later.lens {
                self.lens(&case.name, "later", format!("later{n}"), lens);
            }
        }
    }

    fn drugs_at_visits(&mut self, case: &Case) {
        let before = placed(&case.before).map(|(n, it)| (visit(&case.name, true, n), &it.gives));
        let after = placed(&case.outcomes).map(|(n, it)| (visit(&case.name, false, n), &it.gives));
        for (key, gives) in before.chain(after) {
            for (n, drug) in placed(gives) {
                self.drug(&case.name, &key, n, row![&key, "", ""], drug);
            }
        }
    }

    /// A drug, where it was given: at a visit, in a step or against a complication.
    fn drug(&mut self, case: &str, place: &str, n: usize, given: Vec<Cell>, drug: &Drug<Meant>) {
        let mut cells = row![within(place, &format!("d{n}")), case];
        cells.extend(given);
        cells.extend(row![concept(self.vocabulary, &drug.substance)]);
        cells.extend(amount(drug.strength.as_ref(), Unit::MgPerMl));
        cells.extend(any_amount(drug.dose.as_ref()));
        cells.extend(row![&drug.route, drug.note.as_ref()]);
        self.drugs.row(cells);
    }

    fn lens(&mut self, case: &str, part: &str, name: String, lens: &Lens<Meant>) {
        let mut cells = row![within(case, &name), case, part, concept_if(self.vocabulary, lens.kind.as_ref())];
        cells.extend(amount(lens.power.as_ref(), Unit::Dioptre));
        cells.extend(row![lens.place.as_ref()]);
        cells.extend(amount(lens.target.as_ref(), Unit::Dioptre));
        cells.extend(amount(lens.cylinder.as_ref(), Unit::Dioptre));
        cells.extend(amount(lens.axis.as_ref(), Unit::Degree));
        cells.extend(row![lens.note.as_ref()]);
        self.lenses.row(cells);
    }
}
