//! The vocabulary: concepts, their terms, and how they hang together.

use super::placed;
use crate::export::table::{Table, place, row, text};
use crate::model::vocabulary::{Harm, Kind, Level, Period, Vocabulary};

/// The tables of this module.
pub(super) fn tables(vocabulary: &Vocabulary) -> Vec<Table> {
    let of = || text("concept", "The concept.").must();
    let mut concepts = Table::new(
        "concepts",
        "The vocabulary: findings, techniques, complications, outcomes, materials and instruments.",
        &["concept"],
        vec![
            text("concept", "Its name.").must(),
            text("kind", "What sort of thing it is.").must().one_of(Kind::ALL.map(Kind::word)),
            text("label", "The usual term.").must(),
            text("definition", "One or two sentences.").must(),
            text("level", "Techniques: how demanding.").one_of(Level::ALL.map(Level::word)),
            text("harm", "Complications: how grave.").one_of(Harm::ALL.map(Harm::word)),
            text("refer", "Complications: to whom to send the patient."),
        ],
    );
    let mut relations = Table::new(
        "concept_relations",
        "How concepts hang together.",
        &["concept", "relation", "other"],
        vec![
            of(),
            text(
                "relation",
                "broader: the other is wider; needs: the other is learnt first; answers: the other is a complication that it treats.",
            )
            .must()
            .one_of(["broader", "needs", "answers"]),
            text("other", "The other concept.").must(),
        ],
    )
    .refers("concept", "concepts", "concept")
    .refers("other", "concepts", "concept");
    let listed = |name, says, column: &'static str, told: &'static str| {
        let columns = vec![of(), place(), text(column, told).must()];
        Table::new(name, says, &["concept", "n"], columns).refers("concept", "concepts", "concept")
    };
    let mut terms = listed("concept_terms", "Other terms for concepts.", "term", "The term.");
    let mut cautions = listed("concept_cautions", "What to beware of.", "caution", "The caution.");
    let mut sources = listed("concept_sources", "Where definitions and cautions come from.", "source", "The source.");
    let mut periods = Table::new(
        "concept_periods",
        "When complications arise.",
        &["concept", "n"],
        vec![of(), place(), text("period", "The period.").must().one_of(Period::ALL.map(Period::word))],
    )
    .refers("concept", "concepts", "concept");
    for (_, concept) in vocabulary.iter() {
        let name = &concept.name;
        concepts.row(row![
            name,
            concept.kind.word(),
            &concept.label,
            &concept.definition,
            concept.level.map_or("", Level::word),
            concept.harm.map_or("", Harm::word),
            concept.refer.as_ref(),
        ]);
        for (relation, others) in
            [("broader", &concept.broader), ("needs", &concept.needs), ("answers", &concept.answers)]
        {
            for &other in others {
                relations.row(row![name, relation, &vocabulary.get(other).name]);
            }
        }
        for (table, texts) in
            [(&mut terms, &concept.aliases), (&mut cautions, &concept.cautions), (&mut sources, &concept.sources)]
        {
            for (n, text) in placed(texts) {
                table.row(row![name, n, text]);
            }
        }
        for (n, period) in placed(&concept.periods) {
            periods.row(row![name, n, period.word()]);
        }
    }
    vec![concepts, relations, terms, cautions, sources, periods]
}
