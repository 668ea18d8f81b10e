//! The case format: every field of a write-up, a vocabulary file and `library.yaml`, as tables.

use super::measure::Dimension::{Angle, CellDensity, Concentration, Dose, Extent, Length, Power, Pressure, Setting};
use super::shape::Shape::{Entries, Few, List, Map, Measure, Name, Notation, Or, Term, TermOrWord, Text, Truth, Words};
use super::shape::{Record, Shape, may, must};
use super::vocabulary::Kind;

/// States of the fellow eye.
pub const FELLOW_STATES: &[&str] =
    &["phakic", "pseudophakic", "aphakic", "operated elsewhere", "no useful sight", "absent"];
/// Grades of operators. Source: the categories of Narendran et al. 2009, Eye 23:31–37 (Cataract National Dataset).
pub const GRADES: &[&str] =
    &["consultant", "associate specialist", "staff grade", "fellow", "specialist registrar", "senior house officer"];
/// Routes by which a drug is given. Common practice, no source.
pub const ROUTES: &[&str] = &[
    "topical",
    "intracameral",
    "intravitreal",
    "subconjunctival",
    "sub-Tenon",
    "peribulbar",
    "retrobulbar",
    "oral",
    "intravenous",
    "intramuscular",
];
/// Where an implant may sit. Common practice, no source.
pub const LENS_PLACES: &[&str] = &[
    "bag",
    "bag with optic capture",
    "sulcus",
    "sulcus with optic capture",
    "anterior chamber",
    "iris claw",
    "retropupillary iris claw",
    "scleral fixation",
    "none",
];
/// Kinds of main wound. Common practice, no source.
pub const INCISIONS: &[&str] = &["clear corneal", "limbal", "scleral tunnel", "scleral"];
/// How far something tried worked.
pub const WORKED: &[&str] = &["yes", "partly", "no"];
/// What a picture or film shows.
pub const SHOWS: &[&str] = &["operation", "eye before", "eye after", "imaging", "diagram"];
/// Whether faces can be seen, as somebody who looked found.
pub const FACES: &[&str] = &["none", "consented"];
/// Whether an iris can be recognised: its texture is as good as a finger print.
pub const IRISES: &[&str] = &["none", "not recognisable", "consented"];
/// Whether words are burned into the picture, such as the recorder's line of name and date.
pub const BURNED_IN: &[&str] = &["none", "harmless"];
/// What is to be heard.
pub const VOICES: &[&str] = &["none", "narration only", "listened to the end"];
/// What consent may cover.
pub const SCOPES: &[&str] = &["teaching", "publication"];
/// States of consent.
pub const CONSENT: &[&str] = &["obtained", "not required", "pending", "withdrawn"];
/// Verdicts on a choice.
pub const VERDICTS: &[&str] = &["best", "acceptable", "risky", "harmful"];
/// Audiences.
pub const AUDIENCES: &[&str] = &["department", "public"];

/// Quantities that a visit can record, with their dimension. The order is the order on pages.
pub const MEASURES: &[(&str, super::measure::Dimension)] = &[
    ("iop", Pressure),
    ("pupil", Length),
    ("anterior chamber depth", Length),
    ("axial length", Length),
    ("lens thickness", Length),
    ("white to white", Length),
    ("corneal thickness", Length),
    ("endothelial cell count", CellDensity),
];

const FINDING: &[Kind] = &[Kind::Finding];
const TECHNIQUE: &[Kind] = &[Kind::Technique];
const COMPLICATION: &[Kind] = &[Kind::Complication];
const OUTCOME: &[Kind] = &[Kind::Outcome];
const MATERIAL: &[Kind] = &[Kind::Material];
/// Kinds that may be held in the hand or put into the eye.
pub const TOOLS: &[Kind] = &[Kind::Material, Kind::Instrument];
/// Kinds that a decision may teach.
pub const TEACHES: &[Kind] =
    &[Kind::Complication, Kind::Technique, Kind::Finding, Kind::Outcome, Kind::Material, Kind::Instrument];

const PLACE: Shape = Notation("place", "4 to 7 o'clock");
const AFTER: Shape = Notation("time after surgery", "6 weeks");
const ACUITY_VALUE: Shape = Notation("acuity", "6/24");

/// Acuity by how it was taken.
pub static ACUITY: Record = Record {
    name: "an acuity",
    fields: &[
        may("unaided", ACUITY_VALUE, "Without glasses."),
        may("presenting", ACUITY_VALUE, "With what the patient wore."),
        may("pinhole", ACUITY_VALUE, "Through a pinhole."),
        may("best corrected", ACUITY_VALUE, "With the best correction."),
    ],
};

/// Corneal curvature.
pub static KERATOMETRY: Record = Record {
    name: "a keratometry",
    fields: &[
        may("flat", Measure(Power), "Flat meridian, in D."),
        may("steep", Measure(Power), "Steep meridian, in D."),
        may("steep axis", Measure(Angle), "Axis of the steep meridian, 0 to 180."),
    ],
};

/// A drug as given.
pub static DRUG: Record = Record {
    name: "a drug",
    fields: &[
        must("substance", Term(MATERIAL), "Which substance."),
        may("strength", Measure(Concentration), "Its strength: 20 %, 10 mg/mL."),
        may("dose", Measure(Dose), "How much was given: 0.1 mL, 1 g/kg, 1 drop."),
        must("route", Words(ROUTES), "By which way."),
        may("note", Text, "Anything else."),
    ],
};

macro_rules! visit_fields {
    ($first:expr, $($more:expr),*) => {
        &[
            $first,
            may("acuity", Map(&ACUITY), "Acuity, by how it was taken."),
            may("refraction", Notation("refraction", "-0.25 -0.50 x 90"), "Refraction."),
            may("iop", Measure(Pressure), "Pressure in the eye: 15 mmHg, 12 to 14 mmHg."),
            may("pupil", Measure(Length), "Width of the dilated pupil."),
            may("anterior chamber depth", Measure(Length), "From epithelium to lens."),
            may("axial length", Measure(Length), "Length of the eye."),
            may("lens thickness", Measure(Length), "Thickness of the lens."),
            may("white to white", Measure(Length), "Horizontal width of the cornea."),
            may("corneal thickness", Measure(Length), "Central thickness: 540 um."),
            may("endothelial cell count", Measure(CellDensity), "In cells/mm2."),
            may("keratometry", Map(&KERATOMETRY), "Corneal curvature."),
            may("gives", List(&Map(&DRUG)), "Drugs given."),
            may("note", Text, "Anything else."),
            $($more),*
        ]
    };
}

/// A visit before the operation.
pub static VISIT: Record =
    Record { name: "a visit", fields: visit_fields!(must("when", Text, "When, in words: in clinic, on the day."),) };

/// A visit after the operation.
pub static OUTCOME_VISIT: Record = Record {
    name: "an outcome",
    fields: visit_fields!(
        must("after", AFTER, "How long after surgery: 1 day, 6 weeks."),
        may("is", List(&Term(OUTCOME)), "The state of the eye, as outcomes of the vocabulary.")
    ),
};

/// Age and sex.
pub static PATIENT: Record = Record {
    name: "a patient",
    fields: &[
        must("age", Notation("age", "58"), "Whole years; 90 and over is written \"90+\"."),
        must("sex", Words(&["female", "male", "other"]), "Sex."),
        may("note", Text, "Anything else that mattered."),
    ],
};

/// The other eye.
pub static FELLOW: Record = Record {
    name: "a fellow eye",
    fields: &[
        may("state", Words(FELLOW_STATES), "Its state."),
        may("complication", TermOrWord(COMPLICATION, "none"), "What went wrong when it was operated on, or none."),
        may("note", Text, "Anything else."),
    ],
};

/// The place and what it lacked.
pub static SETTING: Record = Record {
    name: "a setting",
    fields: &[may("not available", List(&Text), "What was not at hand."), may("note", Text, "Anything else.")],
};

/// A finding with detail.
pub static FINDING_DETAIL: Record = Record {
    name: "a finding",
    fields: &[
        must("is", Term(FINDING), "Which finding."),
        may("grade", Text, "Its grade on the scale."),
        may("scale", Text, "The scale: LOCS III."),
        may("extent", Measure(Extent), "How large: 4 clock hours, 2 mm."),
        may("at", PLACE, "Where."),
        may("note", Text, "Anything else."),
    ],
};

/// An implant.
pub static LENS: Record = Record {
    name: "an implant",
    fields: &[
        may("kind", Term(MATERIAL), "What kind of implant."),
        may("power", Measure(Power), "Power in D."),
        may("place", Words(LENS_PLACES), "Where it sits; none leaves the eye aphakic."),
        may("target", Measure(Power), "Refraction aimed at, in D."),
        may("cylinder", Measure(Power), "Toric power, in D."),
        may("axis", Measure(Angle), "Toric axis, 0 to 180."),
        may("note", Text, "Anything else."),
    ],
};

/// The plan.
pub static PLAN: Record = Record {
    name: "a plan",
    fields: &[
        must("procedure", Term(TECHNIQUE), "The operation intended."),
        may("with", List(&Term(TECHNIQUE)), "Techniques chosen beforehand."),
        may("combined", List(&Term(TECHNIQUE)), "What it was combined with."),
        may("anaesthesia", Term(TECHNIQUE), "How the eye was to be made numb."),
        may("lens", Map(&LENS), "The implant intended."),
        may("note", Text, "Anything else."),
    ],
};

/// Somebody who operated.
pub static OPERATOR: Record = Record {
    name: "an operator",
    fields: &[
        must("grade", Words(GRADES), "Grade of training."),
        may("from", Name, "The step from which on."),
        may("takeover", Truth, "Whether this was a takeover for difficulty."),
        may("note", Text, "Anything else, such as experience."),
    ],
};

/// The main wound.
pub static INCISION: Record = Record {
    name: "an incision",
    fields: &[
        may("at", PLACE, "Where."),
        may("width", Measure(Length), "How wide: 2.2 mm."),
        may("kind", Words(INCISIONS), "Which kind."),
        may("step", Name, "The step that made it, if not made at the outset."),
        may("sutures", Text, "How it was closed."),
    ],
};

/// A side port.
pub static PORT: Record = Record {
    name: "a side port",
    fields: &[must("at", PLACE, "Where."), may("step", Name, "The step that made it, if not made at the outset.")],
};

/// A device in the eye.
pub static DEVICE: Record = Record {
    name: "a device",
    fields: &[
        must("is", Term(TOOLS), "Which device."),
        may("at", Few(&PLACE), "Where, one place or several."),
        may("step", Name, "The step that put it there."),
        may("note", Text, "Anything else."),
    ],
};

/// A step of the operation.
pub static STEP: Record = Record {
    name: "a step",
    fields: &[
        must("id", Name, "Its name within the case: s1."),
        may("at", Notation("time on the recording", "2:30"), "Time from the start, minutes and seconds."),
        must("do", Term(TECHNIQUE), "What was done."),
        may("with", List(&Term(TOOLS)), "With which instruments and materials."),
        may("settings", Entries(&Measure(Setting)), "Machine settings: vacuum, flow, bottle height, power."),
        may("gives", List(&Map(&DRUG)), "Drugs given."),
        may("where", PLACE, "Where in the eye."),
        may("extent", Measure(Extent), "How large."),
        may("note", Text, "Anything else."),
        may("unplanned", Truth, "Whether it was not part of the plan."),
    ],
};

/// Change to another operation.
pub static CONVERSION: Record = Record {
    name: "a conversion",
    fields: &[
        must("to", Term(TECHNIQUE), "To what."),
        must("at", Name, "At which step."),
        must("because", Text, "Why."),
    ],
};

/// The operation.
pub static OPERATION: Record = Record {
    name: "an operation",
    fields: &[
        may("surgeon_at", PLACE, "Where the surgeon sat."),
        must("operators", List(&Map(&OPERATOR)), "Who operated, in order."),
        may("incision", Map(&INCISION), "The main wound."),
        may("ports", List(&Or(&PLACE, &PORT)), "Side ports."),
        may("devices", List(&Map(&DEVICE)), "Hooks, rings, segments."),
        must("steps", List(&Map(&STEP)), "What was done, in order."),
        may("converted", Map(&CONVERSION), "Change to another operation on the table."),
        may("lens", Map(&LENS), "What was implanted."),
    ],
};

/// Something done about a complication.
pub static MANAGED: Record = Record {
    name: "a measure taken",
    fields: &[
        must("do", Term(TECHNIQUE), "What was done."),
        must("worked", Words(WORKED), "Whether it worked."),
        may("step", Name, "The step in which it was done."),
        may("with", List(&Term(TOOLS)), "With which instruments and materials."),
        may("gives", List(&Map(&DRUG)), "Drugs given."),
        may("note", Text, "Anything else."),
    ],
};

/// A complication.
pub static COMPLICATION_ENTRY: Record = Record {
    name: "a complication",
    fields: &[
        must("is", Term(COMPLICATION), "What went wrong."),
        may("during", Name, "The step in which it arose."),
        may("after", AFTER, "How long after surgery it arose."),
        may("noticed", Name, "The step at which it was noticed, if later."),
        may("extent", Measure(Extent), "How large."),
        may("at", PLACE, "Where."),
        may("managed", List(&Map(&MANAGED)), "What was done about it, in the order tried."),
        may("note", Text, "Anything else."),
    ],
};

/// A later operation.
pub static LATER: Record = Record {
    name: "a later operation",
    fields: &[
        must("after", AFTER, "How long after the first."),
        must("procedure", Term(TECHNIQUE), "What was done."),
        may("by", Text, "By whom, in words."),
        may("why", Text, "Why."),
        may("lens", Map(&LENS), "The implant, if one was placed."),
        may("note", Text, "Anything else."),
    ],
};

/// A case to compare with.
pub static CONTRAST: Record = Record {
    name: "a contrast",
    fields: &[must("case", Name, "The other case's name."), must("principle", Text, "What the comparison teaches.")],
};

/// What somebody attests who looked at a picture or film.
pub static LOOKED_AT: Record = Record {
    name: "an attestation",
    fields: &[
        must("by", Text, "Who looked: a role."),
        may("on", Notation("month or year", "2026-05"), "Month or year."),
        must("of", Text, "Hash of the file that was looked at, with its poster and captions; proofread tells it."),
        must("faces", Words(FACES), "Whether faces can be seen."),
        must("iris", Words(IRISES), "Whether an iris can be recognised."),
        must(
            "words",
            Words(BURNED_IN),
            "Whether words are burned in; harmless ones name neither person, place nor date.",
        ),
        may("voices", Words(VOICES), "Films: what is to be heard."),
    ],
};

/// A reason to let something stand that a privacy rule found.
pub static WAIVER: Record = Record {
    name: "a waiver",
    fields: &[
        must("rule", Text, "The rule that found something."),
        must("of", Text, "Hash of the line that was looked at; proofread tells it."),
        must("because", Text, "Why it identifies nobody."),
    ],
};

/// A picture or film.
pub static MEDIA: Record = Record {
    name: "a picture or film",
    fields: &[
        must("file", Text, "File under media/."),
        may("shows", Words(SHOWS), "What it shows."),
        may("alt", Text, "What a reader who cannot see it should know."),
        may("captions", Text, "Captions file under media/."),
        may("poster", Text, "Still picture under media/."),
        may("at", Name, "The step it belongs to."),
        may("looked_at", Map(&LOOKED_AT), "What somebody attests who looked at it: what no rule can see."),
    ],
};

/// Consent.
pub static CONSENT_ENTRY: Record = Record {
    name: "a consent",
    fields: &[
        must("status", Words(CONSENT), "Whether consent stands."),
        may("scope", Few(&Words(SCOPES)), "What it covers."),
        may("reference", Text, "Where the record is kept; never the record itself."),
        may("policy", Text, "The policy under which none is required."),
    ],
};

/// A second reading.
pub static REVIEW: Record = Record {
    name: "a review",
    fields: &[
        must("by", Text, "By whom: a role."),
        may("on", Notation("month or year", "2026-05"), "Month or year."),
        may("of", Text, "Hash of the content that was read; proofread tells it."),
    ],
};

/// How sure a draft is of what it wrote.
pub const SURE: &[&str] = &["certain", "guess", "blank"];

/// What a drafted value rests on.
pub static HEARD: Record = Record {
    name: "a drafted value",
    fields: &[
        must("at", Notation("time on the recording", "2:30"), "When it was said."),
        must("heard", Text, "The words, as they were heard."),
        must("sure", Words(SURE), "Whether the value is certain, a guess, or was left blank."),
    ],
};

/// An author.
pub static AUTHOR: Record = Record {
    name: "an author",
    fields: &[must("name", Text, "Name or role."), may("role", Text, "Part in the work.")],
};

/// The front matter of a case.
pub static CASE: Record = Record {
    name: "a case",
    fields: &[
        must("title", Text, "Title of the straight reading."),
        may("ask_title", Text, "Title while decisions are open; gives nothing away."),
        must("summary", Text, "One to three sentences."),
        must("eye", Words(&["left", "right"]), "Which eye."),
        must("patient", Map(&PATIENT), "Age and sex."),
        may("fellow_eye", Map(&FELLOW), "The other eye."),
        may("setting", Map(&SETTING), "What was not at hand."),
        may("findings", List(&Or(&Term(FINDING), &FINDING_DETAIL)), "What the eye and the patient brought along."),
        may("absent", List(&Term(FINDING)), "Looked for and not there."),
        may("before", List(&Map(&VISIT)), "Visits before the operation."),
        must("planned", Map(&PLAN), "The plan."),
        must("operation", Map(&OPERATION), "The operation."),
        may("complications", List(&Map(&COMPLICATION_ENTRY)), "What went wrong."),
        may("outcomes", List(&Map(&OUTCOME_VISIT)), "Visits afterwards."),
        may("follow_up", Notation("follow-up", "complete"), "complete, continuing, or lost after 1 day."),
        may("later", List(&Map(&LATER)), "Later operations on this eye."),
        may("lessons", List(&Text), "What to take home."),
        may("contrast", List(&Map(&CONTRAST)), "Cases that teach by contrast."),
        may("media", List(&Map(&MEDIA)), "Pictures and films."),
        must("consent", Map(&CONSENT_ENTRY), "What the patient agreed to."),
        may("waivers", List(&Map(&WAIVER)), "What privacy rules found and may stand, with the reason."),
        may(
            "unreviewed",
            Entries(&Map(&HEARD)),
            "What a draft wrote and nobody has looked at yet: place, and what was heard.",
        ),
        may("review", Map(&REVIEW), "A second surgeon's reading."),
        must("audience", Words(AUDIENCES), "Who may read it."),
        must("authors", List(&Map(&AUTHOR)), "Who wrote it."),
        may("interests", Text, "Declared interests, or none."),
        may("references", List(&Text), "Literature: doi:… or a citation."),
    ],
};

/// What the operator of a decision has.
pub static GIVEN: Record = Record {
    name: "a situation",
    fields: &[
        may("grade", Words(GRADES), "Grade of the operator who must choose."),
        may("at hand", List(&Text), "What is at hand."),
        may("not at hand", List(&Text), "What is not."),
    ],
};

/// One choice.
pub static OPTION: Record = Record {
    name: "an option",
    fields: &[
        must("choice", Text, "What one could do."),
        must("verdict", Words(VERDICTS), "How good it is."),
        may("because", Text, "Why: every option needs its reason."),
        may("unless", Text, "When it would be otherwise."),
        may("source", Text, "Where that comes from, or common practice."),
    ],
};

/// A decision block.
pub static DECISION: Record = Record {
    name: "a decision",
    fields: &[
        must("id", Name, "Its name within the case."),
        must("at", Notation("moment", "s5"), "The step that the answer decides, or plan, or after 3 days."),
        must("ask", Text, "The question."),
        may("teaches", List(&Term(TEACHES)), "Concepts that it teaches."),
        may("given", Map(&GIVEN), "Who must choose and what is at hand."),
        must("options", List(&Map(&OPTION)), "The choices."),
    ],
};

/// One concept of a vocabulary file.
pub static CONCEPT: Record = Record {
    name: "a concept",
    fields: &[
        must("name", Name, "Stable name, used in links."),
        may("label", Text, "The usual term."),
        may("aliases", List(&Text), "Other terms for it."),
        may("broader", Few(&Name), "Wider concepts of the same kind, by name."),
        may("definition", Text, "One or two sentences."),
        may("cautions", List(&Text), "What to beware of."),
        may("sources", List(&Text), "Where it comes from, or common practice."),
        may("level", Words(&["foundation", "intermediate", "advanced"]), "Techniques: how demanding."),
        may("needs", List(&Name), "Techniques: what to learn first, by name."),
        may("answers", List(&Name), "Techniques: complications it treats, by name."),
        may("severity", Words(&["minor", "moderate", "serious", "sight-threatening"]), "Complications: how grave."),
        may(
            "phases",
            List(&Words(&["anaesthesia", "during surgery", "early after", "late after"])),
            "Complications: when they arise.",
        ),
        may("refer", Text, "Complications: to whom to send the patient."),
        may("misheard", List(&Text), "How a recogniser of speech writes it down; read when a narration is drafted."),
    ],
};

/// A vocabulary file.
pub static VOCABULARY: Record = Record {
    name: "a vocabulary file",
    fields: &[
        must(
            "kind",
            Words(&["finding", "technique", "complication", "outcome", "material", "instrument"]),
            "The kind of every concept in the file.",
        ),
        must("concepts", List(&Map(&CONCEPT)), "The concepts."),
    ],
};

/// How much each part of an index counts.
pub static WEIGHTS: Record = Record {
    name: "weights",
    fields: &[
        may("odds of rupture", WEIGHT, "Part of eye difficulty."),
        may("potential difficulty", WEIGHT, "Part of eye difficulty."),
        may("eye burden", WEIGHT, "Part of eye difficulty."),
        may("eye difficulty", WEIGHT, "Part of the reading order."),
        may("demand", WEIGHT, "Part of the reading order."),
        may("judgement", WEIGHT, "Part of the reading order."),
    ],
};

const WEIGHT: Shape = Notation("weight", "40");

/// How practice goes.
pub static PRACTICE: Record = Record {
    name: "practice",
    fields: &[must(
        "ask again after",
        List(&Notation("time", "3 days")),
        "Times after which a question comes again, growing: the first after a mistake, each later one after another good answer.",
    )],
};

/// `library.yaml`.
pub static LIBRARY: Record = Record {
    name: "a library",
    fields: &[
        must("title", Text, "The library's name."),
        may("unit", Text, "The unit that publishes it."),
        may("description", Text, "What it is and for whom, one or two sentences."),
        may("edition", Text, "Edition, a month or year: 2026-05."),
        may("selection", Text, "How its cases were chosen."),
        may("contact", Text, "Whom to tell about a mistake: a role, not a person."),
        may("language", Text, "Language tag of the text, such as en-GB."),
        may("id", Name, "A short name that never changes: a reader's browser keeps their progress under it."),
        may("practice", Map(&PRACTICE), "How practice goes."),
        may("weights", Map(&WEIGHTS), "How much each part of eye difficulty and of the reading order counts."),
    ],
};
