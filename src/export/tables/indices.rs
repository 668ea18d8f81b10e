//! What was computed of the cases: models of risk and difficulty, eye difficulty, demand, judgement, reading order.

use crate::export::table::{Cell, Table, number, of_case, row, text, truth, whole};
use crate::model::analysis::Analysis;
use crate::model::corpus::Corpus;
use crate::model::index::{DifficultyBand, Interval, Reckoned};
use crate::model::risk::{Model, Scale};

/// The tables of this module.
pub(super) fn tables(corpus: &Corpus, analysis: &Analysis) -> [Table; 2] {
    let models = &corpus.library().models.used;
    [indices(corpus, analysis, models), described(models)]
}

/// The indices that are not a model of their own: name, and what is said of it.
const OURS: [(&str, &str); 4] = [
    ("eye difficulty", "from facts known before the first cut, 0 to 100"),
    ("demand", "of the operation as it went, 0 to 100"),
    ("judgement", "that its decisions ask for, 0 to 100"),
    ("reading order", "less first"),
];

fn indices(corpus: &Corpus, analysis: &Analysis, models: &[Model]) -> Table {
    let ours: Vec<String> = OURS.iter().map(|(name, says)| format!("{name} ({says})")).collect();
    let mut table = Table::new(
        "indices",
        "What was computed of each case, for the order of reading: no prognosis, and no measure of a surgeon.",
        &["case", "index"],
        vec![
            of_case(),
            text(
                "index",
                format!("Which: {}; or a model by its name. A model's value is that of the eye alone, the surgeon left out.", ours.join(", ")),
            )
            .must()
            .one_of(OURS.iter().map(|(name, _)| *name).chain(models.iter().map(|model| model.name.as_str()))),
            text("model", "The model, if it is one."),
            truth("applies", "Whether the model was made for such an eye. Without that there is no value.").must(),
            text("why_not", "Why the model does not apply."),
            number("value", "1", "The value, with everything that was not recorded taken as not there."),
            number("low", "1", "The lowest value that fits what was recorded."),
            number("high", "1", "The highest value that fits what was recorded."),
            text("scale", "What the value is.").must().one_of(["0 to 100", "points", "probability", "order"]),
            text("band", "Eye difficulty in words.").one_of(DifficultyBand::ALL.map(DifficultyBand::word)),
        ],
    )
    .refers("case", "cases", "case")
    .refers("model", "models", "model");
    for (cleared, of) in corpus.cases().iter().zip(&analysis.indices) {
        let case = &cleared.name;
        let values =
            [of.difficulty, Interval::exact(of.demand), Interval::exact(of.judgement), Interval::exact(of.order)];
        for ((name, _), value) in OURS.iter().zip(values) {
            let scale = if *name == "reading order" { "order" } else { "0 to 100" };
            let band = if *name == "eye difficulty" { DifficultyBand::of(value.value).word() } else { "" };
            table.row(row![case, *name, "", true, "", value.value, value.low, value.high, scale, band]);
        }
        for (model, reckoned) in models.iter().zip(of.models.open()).filter(|(_, it)| !it.replaced) {
            table.row(of_model(case, model, &reckoned));
        }
    }
    table
}

fn of_model(case: &str, model: &Model, reckoned: &Reckoned) -> Vec<Cell> {
    let (scale, value) = match &model.scale {
        Scale::Points => ("points", Some(reckoned.eye)),
        Scale::Odds(_) => ("probability", reckoned.risk),
    };
    let mut cells = row![case, &model.name, &model.name];
    match value.filter(|_| reckoned.barred.is_empty()) {
        Some(value) => cells.extend(row![true, "", value.value, value.low, value.high]),
        None => cells.extend(row![false, reckoned.barred.join("; "), Cell::Empty, Cell::Empty, Cell::Empty]),
    }
    cells.extend(row![scale, ""]);
    cells
}

fn described(models: &[Model]) -> Table {
    let mut table = Table::new(
        "models",
        "The models of risk and difficulty that were used, with their sources.",
        &["model"],
        vec![
            text("model", "Its name.").must(),
            text("label", "What it is called.").must(),
            text("citation", "Where it was published.").must(),
            text("doi", "Its DOI."),
            text("population", "On whom it was made.").must(),
            whole("eyes", "On how many."),
            text("outcome", "What it predicts.").must(),
            text("scale", "Whether points add up or ratios multiply odds.").must().one_of(["points", "odds"]),
            number("baseline", "1", "The probability of an eye with no factor."),
            text("verified", "How far its weights were verified.").must(),
        ],
    );
    for model in models {
        let (scale, baseline) = match &model.scale {
            Scale::Points => ("points", Cell::Empty),
            Scale::Odds(baseline) => ("odds", baseline.probability.into()),
        };
        table.row(row![
            &model.name,
            &model.label,
            &model.citation,
            model.doi.as_deref().unwrap_or(""),
            &model.population,
            model.n.map_or(Cell::Empty, |n| Cell::Whole(n.into())),
            &model.outcome,
            scale,
            baseline,
            model.verified.word(),
        ]);
    }
    table
}
