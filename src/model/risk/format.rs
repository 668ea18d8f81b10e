//! The format of a model file, as tables.

use crate::model::shape::Shape::{Entries, Few, List, Map, Name, Notation, Text, Truth, Words};
use crate::model::shape::{Record, Shape, may, must};

/// Words that say how far something was verified.
const VERIFIED: Shape = Words(&["primary table", "abstract", "digest", "from memory", "common practice"]);
const CONDITIONS: Shape = Few(&Notation("condition", "pupil below 3 mm or finding small-pupil"));
const NUMBER: Shape = Notation("number", "1.42");
const COUNT: Shape = Notation("count", "579");

/// One level of a factor.
pub static BAND: Record = Record {
    name: "a band",
    fields: &[
        must("label", Text, "What it is called."),
        must("when", CONDITIONS, "It holds if one of these does."),
        may("absent_if", CONDITIONS, "Says that it does not hold where nothing in `when` is recorded."),
        may("points", NUMBER, "Its points."),
        may("ratio", NUMBER, "Its ratio of odds."),
    ],
};

/// Something that a model weighs.
pub static FACTOR: Record = Record {
    name: "a factor",
    fields: &[
        must("name", Name, "Its name within the model."),
        must("label", Text, "What it is called."),
        may("by", Words(&["eye", "surgeon"]), "Whose it is; eye if it does not say."),
        may("when", CONDITIONS, "It is there if one of these holds."),
        may("absent_if", CONDITIONS, "Says that it is not there where nothing in `when` is recorded."),
        may("points", NUMBER, "Its points."),
        may("ratio", NUMBER, "Its ratio of odds."),
        may("bands", List(&Map(&BAND)), "Its levels instead, of which the first that holds counts."),
        may("least", NUMBER, "What counts if no level holds, if that is not 0 points or a ratio of 1."),
        may("least_label", Text, "What that is called."),
    ],
};

/// Eyes with about as many points.
pub static GROUP: Record = Record {
    name: "a group",
    fields: &[
        must("label", Text, "What it is called."),
        must("from", COUNT, "Least points."),
        may("to", COUNT, "Most points; without it there is no limit."),
        must("n", COUNT, "How many eyes it had."),
        must("observed", Entries(&COUNT), "What happened, and in how many."),
    ],
};

/// Factors that are often one thing.
pub static OVERLAP: Record = Record {
    name: "an overlap",
    fields: &[
        must("factors", List(&Name), "Names of two factors or more."),
        must("why", Text, "Why their sum says too much."),
    ],
};

/// Where a model applies.
pub static SCOPE: Record = Record {
    name: "a scope",
    fields: &[
        may("procedures", List(&Name), "Planned procedures for which it was made, by name."),
        may("youngest", COUNT, "The least age in years."),
        may("without", List(&Name), "Findings with which it was not made, by name."),
        may("where_not", List(&Name), "Models in whose place it stands: it applies only where none of these does."),
        may("combined", Truth, "Whether it holds for operations combined with another; yes if it does not say."),
    ],
};

/// The risk of an eye with no factor.
pub static BASELINE: Record = Record {
    name: "a baseline",
    fields: &[
        must("probability", NUMBER, "Above 0 and below 1."),
        must("of", Text, "Which eye that is."),
        must("verified", VERIFIED, "How far it was verified."),
    ],
};

/// A model that is not computed.
pub static NOT_USED: Record = Record {
    name: "a model that is not used",
    fields: &[
        must("label", Text, "What it is called."),
        must("citation", Text, "Where it was published."),
        must("why", Text, "Why it is not used."),
    ],
};

/// A list of models that are not computed.
pub static LIST: Record =
    Record { name: "a list of models", fields: &[must("not_used", List(&Map(&NOT_USED)), "Models and why not.")] };

/// A model file.
pub static MODEL: Record = Record {
    name: "a model",
    fields: &[
        must("name", Name, "Its name."),
        must("label", Text, "What it is called."),
        must("citation", Text, "Where it was published: without a source nobody can check it."),
        may("doi", Text, "Its DOI."),
        must("population", Text, "On whom it was made."),
        may("n", COUNT, "On how many operations."),
        must("outcome", Text, "What it predicts."),
        must("kind", Words(&["points", "odds ratios"]), "How its factors act together."),
        must("verified", VERIFIED, "How far its weights were verified."),
        may("applies", Map(&SCOPE), "Where it applies; everywhere if it does not say."),
        may("baseline", Map(&BASELINE), "The risk of an eye with no factor; odds ratios need it."),
        must("factors", List(&Map(&FACTOR)), "What it weighs."),
        may("groups", List(&Map(&GROUP)), "What was observed, by points."),
        may("overlaps", List(&Map(&OVERLAP)), "Factors that are often one thing."),
        may("cautions", List(&Text), "What to beware of."),
    ],
};
