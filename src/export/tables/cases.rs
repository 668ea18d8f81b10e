//! The cases themselves, and what is written of them besides visits, operation and decisions.

use super::{concept, concept_if, placed, step_if, within};
use crate::export::markup;
use crate::export::table::{
    Cell, Column, Table, amount, maybe, number, of_case, place, quantity, row, text, truth, whole,
};
use crate::model::case::{FellowHistory, FollowUp};
use crate::model::corpus::{Cleared, Corpus};
use crate::model::format::{AUDIENCES, CONSENT, FELLOW_STATES, INCISIONS, SHOWS};
use crate::model::measure::{Quantity, Unit};
use crate::text::Spanned;

/// The tables of this module.
pub(super) fn tables(corpus: &Corpus) -> Vec<Table> {
    let mut all = vec![cases(corpus), findings(corpus)];
    all.extend(words(corpus));
    all.extend([contrasts(corpus), media(corpus), passages(corpus)]);
    all
}

fn cases(corpus: &Corpus) -> Table {
    let mut columns = vec![
        text("case", "The name of the case.").must(),
        text("title", "Its title, which may tell how it ended.").must(),
        text("ask_title", "Its title while decisions are open: gives nothing away."),
        text("summary", "One to three sentences, which may tell how it ended.").must(),
        text("eye", "Which eye was operated on.").must().one_of(["right", "left"]),
        text("age", "Age at surgery as it was written: years, months of an infant, or 90+."),
        whole("age_years", "Age at surgery in whole years; 90 stands for 90 and over.").between(0.0, 90.0),
        text("sex", "Sex, as far as the case needs it."),
        text("patient_note", "What else mattered of the patient."),
        text("fellow_state", "State of the other eye.").one_of(FELLOW_STATES.iter().copied()),
        truth("fellow_uneventful", "Whether the other eye is known to have been operated on without complication."),
        text("fellow_complication", "What went wrong when the other eye was operated on: a concept."),
        text("fellow_note", "What else is known of the other eye."),
        text("setting_note", "What mattered of the place."),
        text("procedure", "The operation that was planned: a concept.").must(),
        text("anaesthesia", "How the eye was to be made numb: a concept."),
        text("plan_note", "What else was planned."),
        text("surgeon_at", "Where the surgeon sat."),
        text("incision_at", "Where the main wound was."),
    ];
    columns.extend(quantity("incision_width", "mm", "Width of the main wound."));
    columns.extend([
        text("incision_kind", "Kind of the main wound.").one_of(INCISIONS.iter().copied()),
        text("incision_step", "The step that made the main wound, if it was not made at the outset."),
        text("sutures", "How the main wound was closed."),
        text("converted_to", "The operation to which it was changed on the table: a concept."),
        text("converted_at", "The step at which it was changed."),
        text("converted_because", "Why it was changed."),
        text("follow_up", "Whether the patient was followed to the end.").one_of(["complete", "continuing", "lost"]),
        text("lost_after", "The last visit of a patient who was lost, as time after surgery."),
        text("consent", "Whether consent stands.").must().one_of(CONSENT.iter().copied()),
        text("consent_scope", "What consent covers, parted by semicolons."),
        text("consent_policy", "The policy under which no consent is required."),
        truth("reviewed", "Whether a second surgeon has read the case as it stands now.").must(),
        text("reviewed_by", "The second surgeon's role."),
        text("reviewed_on", "Month or year of that reading."),
        text("audience", "Who may read the case.").must().one_of(AUDIENCES.iter().copied()),
        text("interests", "Interests that its authors declare."),
    ]);
    let mut table = Table::new("cases", "One operation on one eye in each row.", &["case"], columns)
        .refers("fellow_complication", "concepts", "concept")
        .refers("procedure", "concepts", "concept")
        .refers("anaesthesia", "concepts", "concept")
        .refers("incision_step", "steps", "step")
        .refers("converted_to", "concepts", "concept")
        .refers("converted_at", "steps", "step");
    for cleared in corpus.cases() {
        table.row(cells(corpus, cleared));
    }
    table
}

fn cells(corpus: &Corpus, cleared: &Cleared) -> Vec<Cell> {
    let (case, vocabulary) = (&cleared.case(), corpus.vocabulary());
    let name = case.name.as_str();
    let fellow = case.fellow_eye.as_ref();
    let history = fellow.and_then(|fellow| fellow.complication.as_ref());
    let incision = case.operation.incision.as_ref();
    let converted = case.operation.converted.as_ref();
    let follow_up = case.follow_up.as_ref().map(|it| &it.value);
    let mut cells = row![
        name,
        &case.title,
        case.ask_title.as_ref(),
        &case.summary,
        case.eye.value.word(),
        case.patient.age.as_ref(),
        maybe(case.patient.age.as_ref().map(|age| usize::from(age.value.at_least_years()))),
        case.patient.sex.as_ref(),
        case.patient.note.as_ref(),
        fellow.and_then(|fellow| fellow.state.as_ref()),
        maybe(history.map(|history| matches!(history, FellowHistory::None(_)))),
        match history {
            Some(FellowHistory::Had(term)) => concept(vocabulary, term),
            _ => Cell::Empty,
        },
        fellow.and_then(|fellow| fellow.note.as_ref()),
        case.setting.as_ref().and_then(|setting| setting.note.as_ref()),
        concept(vocabulary, &case.planned.procedure),
        concept_if(vocabulary, case.planned.anaesthesia.as_ref()),
        case.planned.note.as_ref(),
        case.operation.surgeon_at.as_ref(),
        incision.and_then(|incision| incision.at.as_ref()),
    ];
    cells.extend(amount(incision.and_then(|incision| incision.width.as_ref()), Unit::Mm));
    cells.extend(row![
        incision.and_then(|incision| incision.kind.as_ref()),
        step_if(name, incision.and_then(|incision| incision.step.as_ref())),
        incision.and_then(|incision| incision.sutures.as_ref()),
        concept_if(vocabulary, converted.map(|it| &it.to)),
        step_if(name, converted.map(|it| &it.at)),
        converted.map(|it| &it.because),
        match follow_up {
            None => "",
            Some(FollowUp::Complete) => "complete",
            Some(FollowUp::Continuing) => "continuing",
            Some(FollowUp::LostAfter(_)) => "lost",
        },
        match follow_up {
            Some(FollowUp::LostAfter(after)) => after.to_string(),
            _ => String::new(),
        },
        case.consent.status.value.word(),
        case.consent.scope.iter().map(|scope| scope.value.as_str()).collect::<Vec<_>>().join("; "),
        case.consent.policy.as_ref(),
        cleared.reviewed,
        case.review.as_ref().map(|review| &review.by),
        case.review.as_ref().and_then(|review| review.on.as_ref()),
        case.audience.value.word(),
        case.interests.as_ref(),
    ]);
    cells
}

fn findings(corpus: &Corpus) -> Table {
    let mut columns = vec![
        of_case(),
        place(),
        text("finding", "Which finding: a concept.").must(),
        text(
            "state",
            "Whether it was there, or was looked for and not there. A finding without a row was not recorded.",
        )
        .must()
        .one_of(["present", "absent"]),
        text("grade", "Its grade on the scale."),
        text("scale", "The scale."),
    ];
    columns.extend(extent());
    columns.extend([text("at", "Where."), text("note", "Anything else.")]);
    let mut table =
        Table::new("findings", "What was found, or looked for in vain, before surgery.", &["case", "n"], columns)
            .refers("case", "cases", "case")
            .refers("finding", "concepts", "concept");
    let vocabulary = corpus.vocabulary();
    for cleared in corpus.cases() {
        let case = &*cleared.case();
        for (n, finding) in placed(&case.findings) {
            let mut cells = row![
                &case.name,
                n,
                concept(vocabulary, &finding.is),
                "present",
                finding.grade.as_ref(),
                finding.scale.as_ref(),
            ];
            cells.extend(extents(finding.extent.as_ref()));
            cells.extend(row![finding.at.as_ref(), finding.note.as_ref()]);
            table.row(cells);
        }
        for (n, absent) in placed(&case.absent) {
            let mut cells = row![&case.name, case.findings.len() + n, concept(vocabulary, absent), "absent", "", ""];
            cells.extend(extents(None));
            cells.extend(row!["", ""]);
            table.row(cells);
        }
    }
    table
}

/// The columns of an extent: a length or an arc of the clock, and as written.
pub(super) fn extent() -> [Column; 5] {
    let hours = "clock hours of 30 degrees";
    [
        number("extent_mm_low", "mm", "How large, if a length was told: the number, or the lower end of a range."),
        number("extent_mm_high", "mm", "How large, if a length was told: the number, or the upper end of a range."),
        number("extent_hours_low", hours, "How large, if an arc was told: the number, or the lower end of a range."),
        number("extent_hours_high", hours, "How large, if an arc was told: the number, or the upper end of a range."),
        text("extent", "How large, as it was written."),
    ]
}

/// The cells of [`extent`].
pub(super) fn extents(value: Option<&Spanned<Quantity>>) -> [Cell; 5] {
    let [low, high, written] = amount(value, Unit::Mm);
    let [hours_low, hours_high, _] = amount(value, Unit::ClockHour);
    [low, high, hours_low, hours_high, written]
}

/// Lists of words: authors, literature, lessons, what was not at hand.
fn words(corpus: &Corpus) -> [Table; 4] {
    let table = |name, says, columns: Vec<_>| {
        let columns = [of_case(), place()].into_iter().chain(columns).collect();
        Table::new(name, says, &["case", "n"], columns).refers("case", "cases", "case")
    };
    let mut authors = table(
        "authors",
        "Who wrote the cases.",
        vec![text("name", "Name or role.").must(), text("role", "Part in the work.")],
    );
    let mut references = table(
        "literature",
        "Literature that the cases name.",
        vec![text("reference", "A citation, or a DOI with doi: before it.").must()],
    );
    let mut lessons = table("lessons", "What to take home.", vec![text("lesson", "The lesson.").must()]);
    let mut missing =
        table("not_at_hand", "What the place lacked.", vec![text("thing", "What was not at hand.").must()]);
    for case in corpus.cases().iter().map(Cleared::case) {
        for (n, author) in placed(&case.authors) {
            authors.row(row![&case.name, n, &author.name, author.role.as_ref()]);
        }
        for (n, reference) in placed(&case.references) {
            references.row(row![&case.name, n, reference]);
        }
        for (n, lesson) in placed(&case.lessons) {
            lessons.row(row![&case.name, n, lesson]);
        }
        for (n, thing) in placed(case.setting.iter().flat_map(|setting| &setting.not_available)) {
            missing.row(row![&case.name, n, thing]);
        }
    }
    [authors, references, lessons, missing]
}

fn contrasts(corpus: &Corpus) -> Table {
    let columns = vec![
        of_case(),
        place(),
        text("other", "The case to read beside it; empty if it is not among these cases."),
        text("principle", "What the comparison teaches.").must(),
    ];
    let mut table = Table::new("contrasts", "Cases that teach by contrast.", &["case", "n"], columns)
        .refers("case", "cases", "case")
        .refers("other", "cases", "case");
    for case in corpus.cases().iter().map(Cleared::case) {
        for (n, contrast) in placed(&case.contrast) {
            let other = corpus.find(&contrast.case.value).map(|_| &contrast.case);
            table.row(row![&case.name, n, other, &contrast.principle]);
        }
    }
    table
}

fn media(corpus: &Corpus) -> Table {
    let columns = vec![
        of_case(),
        place(),
        text("shows", "What it shows.").one_of(SHOWS.iter().copied()),
        text("alt", "What a reader who cannot see it should know."),
        text("step", "The step it belongs to."),
    ];
    let says = "Pictures and films of the cases, in words. The files themselves stand in the site, not here.";
    let mut table = Table::new("media", says, &["case", "n"], columns)
        .refers("case", "cases", "case")
        .refers("step", "steps", "step");
    for case in corpus.cases().iter().map(Cleared::case) {
        for (n, media) in placed(&case.media) {
            let step = step_if(&case.name, media.at.as_ref());
            table.row(row![&case.name, n, media.shows.as_ref(), media.alt.as_ref(), step]);
        }
    }
    table
}

fn passages(corpus: &Corpus) -> Table {
    let columns = vec![
        of_case(),
        place(),
        text("decision", "The decision that stands behind it in the account; the last passage has none."),
        text("words", "The passage, without marks of layout."),
    ];
    let says = "The account of each case, cut at its decisions.";
    let mut table = Table::new("passages", says, &["case", "n"], columns).refers("case", "cases", "case").refers(
        "decision",
        "decisions",
        "decision",
    );
    for cleared in corpus.cases() {
        let case = &*cleared.case();
        let mut decisions = case.body.decisions.iter();
        for (n, passage) in placed(markup::passages(cleared.open().narrative())) {
            let decision = decisions.next().map(|decision| within(&case.name, &decision.id.value));
            table.row(row![&case.name, n, maybe(decision), passage.plain]);
        }
    }
    table
}
