//! From model files as written to models: terms become concepts, and what cannot be is told.

use super::rules::unsound_model;
use crate::diag::Diagnostic;
use crate::model::index::{PARTS, WHOLE};
use crate::model::risk::{
    Bearer, Condition, ConditionList, Model, ModelFile, ModelSyntax, Models, Scale, Test, too_many,
};
use crate::model::vocabulary::{ConceptId, Kind, Vocabulary};
use crate::text::Spanned;
use std::collections::BTreeSet;

/// All sound models, built-in ones first; a later one of the same name takes the place of an earlier one.
pub(crate) fn build(files: &[ModelFile], vocabulary: &Vocabulary, out: &mut Vec<Diagnostic>) -> Models {
    let mut models = Models::default();
    let mut sound: Vec<(&ModelSyntax, Model)> = Vec::new();
    let written = files.iter().filter_map(|file| match file {
        ModelFile::Model(syntax) => Some(&**syntax),
        ModelFile::NotUsed(_) => None,
    });
    let written: Vec<&ModelSyntax> = written.collect();
    for file in files {
        match file {
            ModelFile::NotUsed(list) => models.not_used.extend(list.iter().cloned()),
            ModelFile::Model(syntax) => {
                let before = out.len();
                let model = resolve(syntax, vocabulary, out);
                of_scope(syntax, &written, out);
                of_factors(syntax, &model, out);
                of_groups(syntax, &model, out);
                if out.len() == before {
                    sound.push((syntax, model));
                }
            }
        }
    }
    while let Some((at, factor)) = too_many_ways(&sound) {
        out.push(unsound_model::too_many_ways(&sound[at].0.factors[factor].name));
        sound.remove(at);
    }
    for at in in_use(&sound) {
        models.used.push(sound[at].1.clone());
    }
    models
}

/// Places of the models that are used: each name once, where it stood first, the last of that name.
fn in_use(sound: &[(&ModelSyntax, Model)]) -> Vec<usize> {
    let mut used: Vec<usize> = Vec::new();
    for (at, (_, model)) in sound.iter().enumerate() {
        match used.iter_mut().find(|known| sound[**known].1.name == model.name) {
            Some(known) => *known = at,
            None => used.push(at),
        }
    }
    used
}

/// A model, and its factor, with which the parts of eye difficulty ask too much of one eye.
fn too_many_ways(sound: &[(&ModelSyntax, Model)]) -> Option<(usize, usize)> {
    let used = in_use(sound);
    for parts in [&PARTS[..WHOLE], &PARTS[WHOLE..]] {
        // In order of the files: built-in models stand first, so the blame falls on one of the library's own.
        let mut of_parts: Vec<usize> =
            used.iter().copied().filter(|at| parts.iter().any(|part| part.model == sound[*at].1.name)).collect();
        of_parts.sort_unstable();
        for (nth, &at) in of_parts.iter().enumerate() {
            let before: Vec<&Model> = of_parts[..nth].iter().map(|before| &sound[*before].1).collect();
            if let Some(factor) = too_many(&before, &sound[at].1) {
                return Some((at, factor));
            }
        }
    }
    None
}

/// What cannot be of a model's kind and scope.
fn of_scope(syntax: &ModelSyntax, written: &[&ModelSyntax], out: &mut Vec<Diagnostic>) {
    for name in &syntax.where_not {
        let said = match written.iter().find(|other| other.name.value == name.value) {
            _ if name.value == syntax.name.value => "a model cannot stand in its own place".to_owned(),
            None => format!("no model has the name `{}`", name.value),
            Some(other) if !other.where_not.is_empty() => {
                format!("`{}` stands in the place of others itself, so nothing can stand in its place", name.value)
            }
            Some(_) => continue,
        };
        out.push(unsound_model::found(name.span, said, "name a model that applies by itself, or leave it out"));
    }
    let Some(part) = PARTS.iter().position(|part| part.model == syntax.name.value) else { return };
    if PARTS[part].odds != matches!(syntax.plain.scale, Scale::Odds(_)) {
        let kind = if PARTS[part].odds { "odds ratios" } else { "points" };
        let said = format!("`{}` is a part of eye difficulty and goes in as a model of {kind}", syntax.name.value);
        out.push(unsound_model::found(syntax.kind, said, "give the model another name, or make it of that kind"));
    }
    if part == WHOLE {
        for &limit in &syntax.limits {
            let said =
                "the list that stands where no other part of eye difficulty applies leaves no eye out".to_owned();
            out.push(unsound_model::found(limit, said, "leave this out, or give the model another name"));
        }
        let parts = &PARTS[..WHOLE];
        for name in syntax.where_not.iter().filter(|name| parts.iter().all(|part| part.model != name.value)) {
            let said =
                format!("`{}` is no part of eye difficulty, and without a part an eye has no number", name.value);
            let mend = format!("name {}", crate::text::any_of(&parts.iter().map(|it| it.model).collect::<Vec<_>>()));
            out.push(unsound_model::found(name.span, said, &mend));
        }
    }
}

/// The greatest product of a model's ratios; the least is as far below 1. Beyond it a number is no risk that anybody
/// counted. Common practice, no source.
const GREATEST: f64 = 1e9;

/// What cannot be of a model's factors.
fn of_factors(syntax: &ModelSyntax, model: &Model, out: &mut Vec<Diagnostic>) {
    let (mut least, mut greatest) = (1.0, 1.0);
    for (factor, written) in model.factors.iter().zip(&syntax.factors) {
        let lists = written.bands.iter().flat_map(|(when, absent_if)| when.iter().chain(absent_if));
        for condition in lists.chain(&written.absent_if) {
            let of_surgeon = matches!(condition.value.test, Test::Operator(_));
            if of_surgeon != (factor.by == Bearer::Surgeon) {
                let (said, mend) = if of_surgeon {
                    (
                        "the grade of the surgeon is no property of the eye",
                        "write `by: surgeon` beside the factor's name",
                    )
                } else {
                    ("this is a property of the eye, and the factor is the surgeon's", "leave `by: surgeon` out")
                };
                out.push(unsound_model::found(condition.span, said.to_owned(), mend));
            }
        }
        let weights = || factor.bands.iter().map(|band| band.weight).chain([factor.least]);
        if !model.groups.is_empty() && weights().any(|points| points.fract() != 0.0) {
            let said = "parts of a point fall between the groups".to_owned();
            out.push(unsound_model::found(written.name.span, said, "give it whole points, or leave the groups out"));
        }
        if matches!(model.scale, Scale::Odds(_)) {
            let within = |low: f64, high: f64| low * GREATEST >= 1.0 && high <= GREATEST;
            let before = within(least, greatest);
            least *= weights().fold(f64::INFINITY, f64::min);
            greatest *= weights().fold(0.0, f64::max);
            if before && !within(least, greatest) {
                let said = format!(
                    "with this factor the ratios multiply to more than {GREATEST}, or less than one part of that"
                );
                out.push(unsound_model::found(written.name.span, said, "look its ratios up once more"));
            }
        }
    }
}

/// What cannot be of a model's groups.
fn of_groups(syntax: &ModelSyntax, model: &Model, out: &mut Vec<Diagnostic>) {
    for (at, (group, &span)) in model.groups.iter().zip(&syntax.groups).enumerate() {
        if group.n == 0 {
            out.push(unsound_model::group(span, format!("{} had no eyes, so nothing was observed in it", group.label)));
        } else if let Some(most) = group.observed.iter().find(|observed| observed.events > group.n) {
            let said = format!("{} of {} cannot have had {}", most.events, group.n, most.what);
            out.push(unsound_model::group(span, said));
        }
        if group.to.is_some_and(|to| to < group.from) {
            out.push(unsound_model::group(span, format!("{} ends before it begins", group.label)));
        }
        let before = at.checked_sub(1).map(|at| &model.groups[at]);
        let expected = before.map_or(0, |before| before.to.map_or(u32::MAX, |to| to.saturating_add(1)));
        if group.from != expected {
            let said = match before {
                None => format!("the first group begins at 0 points, {} at {}", group.label, group.from),
                Some(before) if before.to.is_none() => {
                    format!("no group can follow {}, which has no limit", before.label)
                }
                Some(before) => format!("after {} the next group begins at {expected} points", before.label),
            };
            out.push(unsound_model::group(span, said));
        }
        let most = model.greatest();
        if at + 1 == model.groups.len()
            && let Some(to) = group.to
            && f64::from(to) < most
        {
            let said = format!("points go up to {most}, and no group holds more than {to}");
            out.push(unsound_model::group(span, said));
        }
    }
}

fn resolve(syntax: &ModelSyntax, vocabulary: &Vocabulary, out: &mut Vec<Diagnostic>) -> Model {
    let mut model = syntax.plain.clone();
    let concept = |name: &Spanned<String>, kind: Kind, out: &mut Vec<Diagnostic>| {
        let found = vocabulary.by_name(&name.value).filter(|&id| vocabulary.get(id).kind == kind);
        if found.is_none() {
            out.push(unsound_model::unknown(name, kind, vocabulary));
        }
        found
    };
    let procedures = syntax.procedures.iter().filter_map(|name| concept(name, Kind::Technique, out));
    model.applies.procedures = procedures.collect();
    let without = syntax.without.iter().filter_map(|name| concept(name, Kind::Finding, out));
    model.applies.without = without.collect();
    let conditions = |list: &ConditionList, out: &mut Vec<Diagnostic>| -> Vec<Condition<ConceptId>> {
        let one = |condition: &Spanned<Condition<String>>| {
            let look = |name: &String| {
                let found = vocabulary.by_name(name).filter(|&id| vocabulary.get(id).kind == Kind::Finding);
                found.ok_or_else(|| {
                    unsound_model::unknown(&Spanned::new(name.clone(), condition.span), Kind::Finding, vocabulary)
                })
            };
            condition.value.map(look)
        };
        list.iter().filter_map(|condition| one(condition).map_err(|said| out.push(said)).ok()).collect()
    };
    for (at, (factor, written)) in model.factors.iter_mut().zip(&syntax.factors).enumerate() {
        if let Some(first) = syntax.factors[..at].iter().find(|first| first.name.value == written.name.value) {
            out.push(unsound_model::twice(&written.name, first.name.span));
        }
        for (band, (when, absent_if)) in factor.bands.iter_mut().zip(&written.bands) {
            band.when = conditions(when, out);
            band.absent_if = conditions(absent_if, out);
        }
        factor.absent_if = conditions(&written.absent_if, out);
    }
    for (overlap, names) in model.overlaps.iter_mut().zip(&syntax.overlaps) {
        let distinct: BTreeSet<&str> = names.value.iter().map(|name| name.value.as_str()).collect();
        if distinct.len() < 2 {
            let said = "an overlap is of two factors or more".to_owned();
            out.push(unsound_model::found(names.span, said, "name the factors that are often one thing"));
        }
        for name in &names.value {
            match model.factors.iter().position(|factor| factor.name == name.value) {
                Some(at) => overlap.factors.push(at),
                None => out.push(unsound_model::no_factor(name, model.factors.iter().map(|it| it.name.as_str()))),
            }
        }
    }
    model
}
