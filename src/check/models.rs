//! From model files as written to models: terms become concepts, and what cannot be is told.

use super::rules::unsound_model;
use crate::diag::Diagnostic;
use crate::model::risk::{Condition, ConditionList, ModelFile, ModelSyntax, Models};
use crate::model::vocabulary::{ConceptId, Kind, Vocabulary};
use crate::text::Spanned;

/// All sound models, built-in ones first; a later one of the same name takes the place of an earlier one.
pub(crate) fn build(files: &[ModelFile], vocabulary: &Vocabulary, out: &mut Vec<Diagnostic>) -> Models {
    let mut models = Models::default();
    for file in files {
        match file {
            ModelFile::NotUsed(list) => models.not_used.extend(list.iter().cloned()),
            ModelFile::Model(syntax) => {
                let before = out.len();
                let model = resolve(syntax, vocabulary, out);
                if out.len() > before {
                    continue;
                }
                match models.used.iter_mut().find(|known| known.name == model.name) {
                    Some(known) => *known = model,
                    None => models.used.push(model),
                }
            }
        }
    }
    models
}

fn resolve(syntax: &ModelSyntax, vocabulary: &Vocabulary, out: &mut Vec<Diagnostic>) -> crate::model::risk::Model {
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
        for name in names {
            match model.factors.iter().position(|factor| factor.name == name.value) {
                Some(at) => overlap.factors.push(at),
                None => out.push(unsound_model::no_factor(name, model.factors.iter().map(|it| it.name.as_str()))),
            }
        }
    }
    for (at, (group, &span)) in model.groups.iter().zip(&syntax.groups).enumerate() {
        if let Some(most) = group.observed.iter().find(|observed| observed.events > group.n) {
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
    }
    model
}
