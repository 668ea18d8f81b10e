//! `casewright explain CASE`: how the indices of a case come about, as one would write it on paper.

use crate::analyse::analyse;
use crate::cli::args::{Explain, Format};
use crate::cli::exit::Exit;
use crate::cli::terminal::Terminal;
use crate::discover::discover;
use crate::files::Disk;
use crate::model::index::{DifficultyBand, Indices, Interval, PARTS, Part, Reckoned, Standing, wilson};
use crate::model::library::Weights;
use crate::model::risk::{Bearer, Model, Scale};
use crate::pipeline;
use crate::text::nearest;
use serde_json::{Value, json};
use std::fmt::Write as _;

/// Why there was nothing to explain.
pub(super) enum Missing {
    /// There is no library, or no case in it.
    Library,
    /// There is no such case; one that is called nearly so.
    Case(Option<String>),
}

/// Explains the case with this name.
pub(super) fn run(name: &str, options: &Explain, terminal: &Terminal) -> Result<Exit, Missing> {
    let inputs = discover(&Disk::new(&options.library, &[])).map_err(|_| Missing::Library)?;
    let prepared = pipeline::prepare(inputs, options.audience.into());
    let corpus = &prepared.checked.corpus;
    if prepared.inputs.library.is_none() || corpus.cases().is_empty() {
        return Err(Missing::Library);
    }
    let Some(at) = corpus.find(name) else {
        let names = corpus.cases().iter().map(|cleared| cleared.name.as_str());
        return Err(Missing::Case(nearest(name, names).map(str::to_owned)));
    };
    let analysis = analyse(corpus);
    let (indices, standing, models) = (&analysis.indices[at], analysis.standings[at], &corpus.library().models.used);
    match options.format {
        Format::Text => {
            terminal.say(&on_paper(name, indices, standing, models, corpus.library().weights, corpus.cases().len()));
        }
        Format::Json => terminal.say(
            &(serde_json::to_string_pretty(&for_programs(name, indices, standing, models)).unwrap_or_default() + "\n"),
        ),
    }
    Ok(Exit::Fine)
}

/// All digits that mean anything.
fn digits(value: f64) -> String {
    let text = format!("{value:.6}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// A value with its unit, and in brackets the values that what was not recorded leaves.
fn range(interval: Interval, scale: f64, unit: &str) -> String {
    let [low, value, high] = [interval.low, interval.value, interval.high].map(|it| digits(it * scale));
    if interval.is_exact() {
        return format!("{value}{unit}");
    }
    format!("{value}{unit} ({low} to {high}{unit} with what was not recorded)")
}

fn on_paper(
    name: &str,
    indices: &Indices,
    standing: Standing,
    models: &[Model],
    weights: Weights,
    cases: usize,
) -> String {
    let mut out = String::new();
    let band = DifficultyBand::of(indices.difficulty.value);
    let _ = writeln!(out, "{name}: eye difficulty {}, {}.", range(indices.difficulty, 1.0, " of 100"), band.word());
    let Standing { rank, low, high } = standing;
    let _ = writeln!(
        out,
        "Rank {rank} of {cases}, easiest first; {low} to {high} in nine of ten variations of weights and open facts."
    );
    let _ = writeln!(
        out,
        "An order for reading, no prognosis for a patient; the models tell eyes apart weakly and come from other populations."
    );
    for (model, reckoned) in models.iter().zip(indices.models.open()).filter(|(_, it)| !it.replaced) {
        paper_of_model(&mut out, model, &reckoned);
    }
    for (title, parts, whole) in [
        ("Eye difficulty", &indices.parts, indices.difficulty),
        ("Demand of the operation as it went", &indices.demand_parts, Interval::exact(indices.demand)),
        ("Judgement that its decisions ask for", &indices.judgement_parts, Interval::exact(indices.judgement)),
    ] {
        let _ = writeln!(out, "\n{title}");
        for part in parts {
            let value = range(part.value, 1.0, "");
            let _ = writeln!(out, "  {:40} {} × {value}", part.label, digits(part.share * 100.0));
            if let Some(working) = between_anchors(part, indices, models) {
                let _ = writeln!(out, "    {working}");
            }
        }
        let _ = writeln!(out, "  {:40} {}", "together", range(whole, 1.0, ""));
    }
    let values = [indices.difficulty.value, indices.demand, indices.judgement];
    let products = ["eye difficulty", "demand", "judgement"].iter().zip(values).zip(weights.order);
    let products = products.map(|((label, value), weight)| format!("{label} {} × {}", digits(value), digits(weight)));
    let _ = writeln!(
        out,
        "\nReading order: ({}) ÷ {} = {} (less is read first).",
        products.collect::<Vec<_>>().join(" + "),
        digits(weights.order.iter().sum()),
        digits(indices.order)
    );
    out
}

/// How what a model came to lies between the anchors of a part of eye difficulty.
fn between_anchors(part: &Part, indices: &Indices, models: &[Model]) -> Option<String> {
    let of = PARTS.iter().find(|of| of.label == part.label)?;
    let (_, reckoned) = models.iter().zip(indices.models.open()).find(|(model, _)| model.name == of.model)?;
    let (value, [none, full]) = (digits(reckoned.eye.value), [of.none, of.full].map(digits));
    let working = if of.odds {
        format!("ln({value} ÷ {none}) ÷ ln({full} ÷ {none})")
    } else {
        format!("({value} - {none}) ÷ ({full} - {none})")
    };
    let held = if reckoned.eye.value > of.full || reckoned.eye.value < of.none { ", held between 0 and 1" } else { "" };
    Some(format!("{working} = {}{held}", digits(part.value.value)))
}

fn paper_of_model(out: &mut String, model: &Model, reckoned: &Reckoned) {
    let _ = writeln!(out, "\n{} ({})", model.label, model.citation);
    let _ = writeln!(out, "  Weights verified: {}.", model.verified.word());
    if !reckoned.barred.is_empty() {
        let _ = writeln!(out, "  Does not apply: {}.", reckoned.barred.join("; "));
        return;
    }
    let odds = matches!(model.scale, Scale::Odds(_));
    for (factor, it) in model.factors.iter().zip(&reckoned.factors) {
        let band = it.band.map(|at| factor.bands[at].label.as_str()).filter(|label| !label.is_empty());
        let state = match (it.band, it.open) {
            (Some(_), false) => band.unwrap_or("present"),
            (None, false) => factor.least_label.as_deref().unwrap_or("absent"),
            (_, true) => "not recorded",
        };
        let weight = if it.weight.is_exact() {
            digits(it.weight.value)
        } else {
            format!("{} to {}", digits(it.weight.low), digits(it.weight.high))
        };
        let sign = if odds { "×" } else { "+" };
        let log = if odds { format!("  (log odds {})", digits(libm::log(it.weight.value))) } else { String::new() };
        let apart = if factor.by == Bearer::Surgeon { "  kept apart" } else { "" };
        let _ = writeln!(out, "  {:52} {state:28} {sign} {weight}{log}{apart}", factor.label);
    }
    match &model.scale {
        Scale::Points => {
            let of = format!(" of {} points", digits(model.greatest()));
            let _ = writeln!(out, "  Together: {}.", range(reckoned.eye, 1.0, &of));
            if let Some(group) = model.group(reckoned.eye.value) {
                let _ = writeln!(out, "  {} had {} eyes:", group.label, group.n);
                for observed in &group.observed {
                    let (low, high) = wilson(observed.events, group.n);
                    let _ = writeln!(
                        out,
                        "    {:28} {} of {}, 95 % {} to {} % (Wilson)",
                        observed.what,
                        observed.events,
                        group.n,
                        digits(low * 100.0),
                        digits(high * 100.0)
                    );
                }
            }
        }
        Scale::Odds(baseline) => {
            let _ = writeln!(out, "  Product of the eye's ratios: {}.", range(reckoned.eye, 1.0, ""));
            let _ = writeln!(
                out,
                "  Baseline {} % ({}): odds {}.",
                digits(baseline.probability * 100.0),
                baseline.of,
                digits(baseline.odds())
            );
            let _ = writeln!(out, "  Odds × product = {}.", digits(reckoned.eye.value * baseline.odds()));
            if let Some(risk) = reckoned.risk {
                let _ = writeln!(out, "  Probability = odds ÷ (1 + odds): {}.", range(risk, 100.0, " %"));
            }
            if let Some((with, grade)) = reckoned.with_surgeon {
                let _ = writeln!(
                    out,
                    "  With the first surgeon's grade (× {}): {}.",
                    digits(grade),
                    range(with, 100.0, " %")
                );
            }
        }
    }
    for overlap in &model.overlaps {
        if overlap.factors.iter().filter(|at| reckoned.factors[**at].band.is_some()).count() > 1 {
            let _ = writeln!(out, "  Note: {}", overlap.why);
        }
    }
    for caution in &model.cautions {
        let _ = writeln!(out, "  Caution: {caution}");
    }
}

fn interval(it: Interval) -> Value {
    json!({ "low": it.low, "value": it.value, "high": it.high })
}

fn parts(parts: &[Part]) -> Value {
    parts.iter().map(|part| json!({ "part": part.label, "share": part.share, "value": interval(part.value) })).collect()
}

fn for_programs(name: &str, indices: &Indices, standing: Standing, models: &[Model]) -> Value {
    let models = models.iter().zip(indices.models.open()).map(|(model, reckoned)| {
        // Where a model does not apply no number is given, here as little as on a page.
        let applies = reckoned.barred.is_empty();
        let factors = model.factors.iter().zip(&reckoned.factors).map(|(factor, it)| {
            json!({
                "factor": factor.name,
                "by": if factor.by == Bearer::Surgeon { "surgeon" } else { "eye" },
                "recorded": !it.open,
                "band": it.band.map(|at| factor.bands[at].label.clone()),
                "weight": interval(it.weight),
            })
        });
        let group = model.group(reckoned.eye.value).map(|group| group.label.clone());
        let with_surgeon = reckoned.with_surgeon.filter(|_| applies);
        json!({
            "model": model.name,
            "applies": applies,
            "why_not": reckoned.barred,
            "factors": applies.then(|| factors.collect::<Vec<_>>()),
            "eye": applies.then(|| interval(reckoned.eye)),
            "group": group.filter(|_| applies),
            "probability": reckoned.risk.filter(|_| applies).map(interval),
            "surgeon_ratio": with_surgeon.map(|(_, grade)| grade),
            "probability_with_surgeon": with_surgeon.map(|(with, _)| interval(with)),
        })
    });
    json!({
        "case": name,
        "difficulty": interval(indices.difficulty),
        "band": DifficultyBand::of(indices.difficulty.value).word(),
        "rank": { "rank": standing.rank, "from": standing.low, "to": standing.high },
        "models": models.collect::<Vec<_>>(),
        "parts": parts(&indices.parts),
        "demand": { "value": indices.demand, "parts": parts(&indices.demand_parts) },
        "judgement": { "value": indices.judgement, "parts": parts(&indices.judgement_parts) },
        "order": indices.order,
        "caution": "An order for reading, no prognosis for a patient.",
    })
}
