//! How hard an eye was: on its page with the working, in lists as a mark, on Methods as definitions.

use super::{Desk, typeset};
use crate::model::corpus::Corpus;
use crate::model::index::{DifficultyBand, Indices, Interval, Part, Reckoned, one_figure, wilson};
use crate::model::risk::{Bearer, Factor, Model, Scale, Verified};
use crate::render::pictures::Picture;
use crate::render::pictures::build_up::{Row, build_up};
use crate::text::count;
use serde::Serialize;

/// A compact mark for lists.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct MarkedView {
    /// Signs that work without colour.
    pub(crate) signs: String,
    /// The band in words.
    pub(crate) words: String,
    /// With one figure: `20`.
    pub(crate) value: String,
}

/// Eye difficulty of a case with its working.
#[derive(Debug, Serialize)]
pub(crate) struct DifficultyView {
    pub(crate) mark: MarkedView,
    /// With the range that unrecorded facts leave.
    pub(crate) value: String,
    pub(crate) parts: Vec<PartView>,
    pub(crate) picture: Option<Picture>,
    /// What was not recorded, of the model that is drawn.
    pub(crate) open: Vec<String>,
    pub(crate) models: Vec<ModelView>,
    pub(crate) methods: String,
}

/// A part of an index.
#[derive(Debug, Serialize)]
pub(crate) struct PartView {
    pub(crate) label: String,
    pub(crate) share: String,
    pub(crate) value: String,
}

/// A model as it came out for a case.
#[derive(Debug, Serialize)]
pub(crate) struct ModelView {
    pub(crate) label: String,
    pub(crate) href: String,
    /// Why it does not apply; empty if it does.
    pub(crate) barred: String,
    pub(crate) result: String,
    /// What counted: `small pupil 1`.
    pub(crate) counted: Vec<String>,
    /// What was observed where the model was made.
    pub(crate) observed: Vec<String>,
    pub(crate) overlaps: Vec<String>,
}

/// A range in words; `turn` writes one value.
fn range(interval: Interval, turn: impl Fn(f64) -> String) -> String {
    let (low, value, high) = (turn(interval.low), turn(interval.value), turn(interval.high));
    if low == high { value } else { format!("{value} ({low} to {high})") }
}

/// A probability as a page shows it.
fn percent(probability: f64) -> String {
    format!("{} %", one_figure(probability * 100.0))
}

/// The mark of a case in lists.
pub(crate) fn marked(indices: &Indices) -> MarkedView {
    let band = DifficultyBand::of(indices.difficulty.value);
    let value = one_figure(indices.difficulty.value);
    MarkedView { signs: band.signs().to_owned(), words: band.word().to_owned(), value }
}

/// A factor that counts, in words.
fn words(factor: &Factor, band: Option<usize>) -> String {
    let label = band.map(|at| factor.bands[at].label.as_str()).or(factor.least_label.as_deref()).unwrap_or_default();
    if label.is_empty() { factor.label.clone() } else { format!("{}: {label}", factor.label) }
}

impl Desk<'_> {
    /// Eye difficulty of a case.
    pub(crate) fn difficulty(&self, indices: &Indices) -> DifficultyView {
        let models = &self.places.models().used;
        let reckoned = indices.models.open();
        let drawn = models
            .iter()
            .zip(&reckoned)
            .find(|(model, reckoned)| matches!(model.scale, Scale::Odds(_)) && reckoned.barred.is_empty());
        let part = |part: &Part| PartView {
            label: part.label.to_owned(),
            share: format!("{:.0} %", part.share * 100.0),
            value: range(part.value, |value| one_figure(value * 100.0)),
        };
        DifficultyView {
            mark: marked(indices),
            value: range(indices.difficulty, one_figure),
            parts: indices.parts.iter().map(part).collect(),
            picture: drawn.and_then(|(model, reckoned)| drawing(model, reckoned)),
            open: drawn.map(|(model, reckoned)| not_recorded(model, reckoned)).unwrap_or_default(),
            models: models
                .iter()
                .zip(&reckoned)
                .filter(|(_, it)| !it.replaced)
                .map(|(model, it)| self.model(model, it))
                .collect(),
            methods: self.href("methods.html#_difficulty"),
        }
    }

    fn model(&self, model: &Model, reckoned: &Reckoned) -> ModelView {
        let applies = reckoned.barred.is_empty();
        let counted = model.factors.iter().zip(&reckoned.factors).filter(|(factor, it)| {
            factor.by == Bearer::Eye && (it.band.is_some() || (factor.least_label.is_some() && !it.open))
        });
        let odds = matches!(model.scale, Scale::Odds(_));
        let counted = counted.map(|(factor, it)| {
            let sign = if odds { "× " } else { "" };
            format!("{}, {sign}{}", words(factor, it.band), it.weight.value)
        });
        let result = match (&model.scale, reckoned.risk, reckoned.with_surgeon) {
            (Scale::Odds(_), Some(risk), Some((with, grade))) => {
                let surgeon = if grade == 1.0 {
                    String::new()
                } else {
                    format!(
                        " The first surgeon’s grade, kept apart, multiplies the odds by {grade}: about {}.",
                        percent(with.value)
                    )
                };
                format!("About {} for {}, in the hands of a consultant.{surgeon}", range(risk, percent), model.outcome)
            }
            _ => {
                let points = range(reckoned.eye, |points| format!("{points:.0}"));
                format!("{points} of {:.0} points.", model.greatest())
            }
        };
        let overlaps = model.overlaps.iter().filter(|overlap| {
            let there = overlap.factors.iter().filter(|at| reckoned.factors[**at].band.is_some());
            there.count() > 1
        });
        ModelView {
            label: model.label.clone(),
            href: self.href(&format!("methods.html#model_{}", model.name)),
            barred: reckoned.barred.join("; "),
            result: if applies { typeset(&result) } else { String::new() },
            counted: if applies { counted.collect() } else { Vec::new() },
            observed: if applies { observed(model, reckoned.eye) } else { Vec::new() },
            overlaps: if applies { overlaps.map(|overlap| overlap.why.clone()).collect() } else { Vec::new() },
        }
    }
}

/// Labels of the factors that were not recorded.
fn not_recorded(model: &Model, reckoned: &Reckoned) -> Vec<String> {
    let open = model.factors.iter().zip(&reckoned.factors);
    let open = open.filter(|(factor, it)| factor.by == Bearer::Eye && it.open);
    open.map(|(factor, _)| factor.label.clone()).collect()
}

/// The build-up of a risk.
fn drawing(model: &Model, reckoned: &Reckoned) -> Option<Picture> {
    let Scale::Odds(baseline) = &model.scale else { return None };
    let probability = |product: f64| {
        let odds = product * baseline.odds();
        odds / (1.0 + odds)
    };
    let mut rows = vec![Row {
        label: format!("Baseline, {}", percent(baseline.probability)),
        from: baseline.probability,
        to: baseline.probability,
        open: false,
    }];
    let mut product = 1.0;
    for (factor, it) in model.factors.iter().zip(&reckoned.factors) {
        if factor.by == Bearer::Surgeon || it.weight.value == 1.0 {
            continue;
        }
        let before = product;
        product *= it.weight.value;
        rows.push(Row {
            label: typeset(&format!("{}, × {}", words(factor, it.band), it.weight.value)),
            from: probability(before),
            to: probability(product),
            open: false,
        });
    }
    let risk = reckoned.risk?;
    let open = not_recorded(model, reckoned);
    if !open.is_empty() {
        rows.push(Row {
            label: typeset(&format!("Not recorded: {}, up to {}", count(open.len(), "factor"), percent(risk.high))),
            from: risk.low,
            to: risk.high,
            open: true,
        });
    }
    let name = format!(
        "From {} by {} to {}{}",
        percent(baseline.probability),
        count(rows.len() - 1 - usize::from(!open.is_empty()), "recorded factor"),
        percent(risk.value),
        if open.is_empty() {
            String::new()
        } else {
            format!("; what was not recorded leaves {} to {}", percent(risk.low), percent(risk.high))
        }
    );
    let caption = format!(
        "Odds of {}, factor by factor, by the {}. A hatched bar is what was not recorded.",
        model.outcome, model.label
    );
    Some(build_up(&rows, &name, caption))
}

/// What was observed in the groups that the points may fall into.
fn observed(model: &Model, points: Interval) -> Vec<String> {
    let may = model
        .groups
        .iter()
        .filter(|group| points.high >= f64::from(group.from) && group.to.is_none_or(|to| points.low <= f64::from(to)));
    may.filter_map(|group| {
        let first = group.observed.first()?;
        let (low, high) = wilson(first.events, group.n);
        let here = model.group(points.value) == Some(group);
        Some(typeset(&format!(
            "{}{}: {} of {} had {} (95 % interval by Wilson {:.1} to {:.1} %).",
            crate::text::capitalised(&group.label),
            if here { "" } else { " (if what was not recorded counts)" },
            first.events,
            group.n,
            first.what,
            low * 100.0,
            high * 100.0
        )))
    })
    .collect()
}

/// What Methods says of the models and of our own indices.
#[derive(Debug, Serialize)]
pub(crate) struct RiskMethodsView {
    pub(crate) models: Vec<ModelMethodsView>,
    pub(crate) not_used: Vec<NotUsedView>,
    pub(crate) weights: Vec<PartView>,
    pub(crate) anchors: Vec<PartView>,
    pub(crate) draws: u32,
    /// How many pairs of neighbours turn round so often.
    pub(crate) turned: Vec<TurnedView>,
    pub(crate) pairs: usize,
}

/// How many pairs of neighbours turn round so often.
#[derive(Debug, Serialize)]
pub(crate) struct TurnedView {
    pub(crate) often: String,
    pub(crate) pairs: usize,
}

/// A model on Methods.
#[derive(Debug, Serialize)]
pub(crate) struct ModelMethodsView {
    pub(crate) name: String,
    pub(crate) label: String,
    pub(crate) citation: String,
    pub(crate) doi: String,
    pub(crate) population: String,
    pub(crate) n: String,
    pub(crate) outcome: String,
    pub(crate) verified: String,
    pub(crate) baseline: String,
    pub(crate) applies: String,
    pub(crate) rows: Vec<FactorView>,
    pub(crate) cautions: Vec<String>,
}

/// A factor on Methods.
#[derive(Debug, Serialize)]
pub(crate) struct FactorView {
    pub(crate) label: String,
    pub(crate) weight: String,
}

/// A model that is not computed.
#[derive(Debug, Serialize)]
pub(crate) struct NotUsedView {
    pub(crate) label: String,
    pub(crate) citation: String,
    pub(crate) why: String,
}

fn verified(how: Verified) -> &'static str {
    match how {
        Verified::PrimaryTable => "read in the paper’s own table",
        Verified::Abstract => "read in the paper’s abstract",
        Verified::Digest => "read in a digest of the paper by others, not in its own table",
        Verified::FromMemory => "from memory",
        Verified::CommonPractice => "common practice, no source",
    }
}

impl Desk<'_> {
    /// What Methods says of models and indices.
    pub(crate) fn risk_methods(&self, corpus: &Corpus) -> RiskMethodsView {
        let library = corpus.library();
        let vocabulary = corpus.vocabulary();
        let label = |id: &crate::model::vocabulary::ConceptId| vocabulary.get(*id).label.value.clone();
        let models = library.models.used.iter().map(|model| {
            let scope = &model.applies;
            let mut applies: Vec<String> = scope.procedures.iter().map(label).collect();
            if applies.is_empty() {
                applies.push("any operation".to_owned());
            }
            applies.push(
                if scope.combined { "alone or combined with another" } else { "not combined with another" }.to_owned(),
            );
            applies.extend(scope.youngest.map(|age| format!("from {age} years on")));
            applies.extend(scope.without.iter().map(|id| format!("without {}", label(id))));
            if !scope.where_not.is_empty() {
                let named =
                    scope.where_not.iter().map(|name| library.models.named(name).map_or(&**name, |it| &it.label));
                let named: Vec<&str> = named.collect();
                applies.push(format!("only where these do not apply: {}", crate::text::list(&named, "and")));
            }
            let rows = model.factors.iter().flat_map(|factor| {
                factor.bands.iter().enumerate().map(|(at, band)| FactorView {
                    label: words(factor, Some(at)),
                    weight: if matches!(model.scale, Scale::Odds(_)) {
                        format!("× {}", band.weight)
                    } else {
                        band.weight.to_string()
                    },
                })
            });
            ModelMethodsView {
                name: model.name.clone(),
                label: model.label.clone(),
                citation: typeset(&model.citation),
                doi: model.doi.clone().unwrap_or_default(),
                population: typeset(&model.population),
                n: model.n.map(|n| n.to_string()).unwrap_or_default(),
                outcome: model.outcome.clone(),
                verified: verified(model.verified).to_owned(),
                baseline: match &model.scale {
                    Scale::Odds(baseline) => typeset(&format!(
                        "{} % for {}, {}",
                        baseline.probability * 100.0,
                        baseline.of,
                        verified(baseline.verified)
                    )),
                    Scale::Points => String::new(),
                },
                applies: applies.join(", "),
                rows: rows.collect(),
                cautions: model.cautions.iter().map(|caution| typeset(caution)).collect(),
            }
        });
        let weights = library.weights;
        let named = ["Odds of rupture", "Potential difficulty", "Eye burden", "Eye difficulty", "Demand", "Judgement"];
        let of = |at: usize| if at < 3 { "eye difficulty" } else { "the reading order" };
        let robustness = &self.places.analysis().robustness;
        let mut turned = [0_usize; 4];
        for (_, _, times) in &robustness.turned {
            let share = f64::from(*times) / f64::from(robustness.draws.max(1));
            turned[if share < 0.05 {
                0
            } else if share < 0.2 {
                1
            } else if share < 0.4 {
                2
            } else {
                3
            }] += 1;
        }
        let often = [
            "in under 5 of 100",
            "in 5 to 20 of 100",
            "in 20 to 40 of 100",
            "in 40 of 100 or more: the order of the two means nothing",
        ];
        RiskMethodsView {
            models: models.collect(),
            not_used: library
                .models
                .not_used
                .iter()
                .map(|it| NotUsedView { label: it.label.clone(), citation: typeset(&it.citation), why: it.why.clone() })
                .collect(),
            weights: named
                .iter()
                .zip(weights.eye.iter().chain(&weights.order))
                .enumerate()
                .map(|(at, (label, weight))| PartView {
                    label: (*label).to_owned(),
                    share: weight.to_string(),
                    value: of(at).to_owned(),
                })
                .collect(),
            anchors: crate::render::ANCHORS
                .iter()
                .map(|(label, none, full)| PartView {
                    label: (*label).to_owned(),
                    share: (*none).to_owned(),
                    value: (*full).to_owned(),
                })
                .collect(),
            draws: robustness.draws,
            turned: often
                .iter()
                .zip(turned)
                .map(|(often, pairs)| TurnedView { often: (*often).to_owned(), pairs })
                .collect(),
            pairs: robustness.turned.len(),
        }
    }
}
