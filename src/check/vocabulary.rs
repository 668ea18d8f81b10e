//! From entries as written to one vocabulary: library entries extend or override built-in ones, names become numbers.

use super::rules::{shared_term, vocabulary_cycle, vocabulary_incomplete, vocabulary_reference};
use crate::diag::Diagnostic;
use crate::model::vocabulary::{Concept, ConceptId, Entry, Kind, Vocabulary};
use crate::text::{Spanned, fold_term};
use std::collections::{BTreeMap, BTreeSet};

/// Merges entries in order (built-in first) and resolves them. Everything wrong is added to `out`; what is wrong is left out.
pub(crate) fn build(entries: &[Entry], out: &mut Vec<Diagnostic>) -> Vocabulary {
    let merged = merge(entries, out);
    let numbers: BTreeMap<&str, (ConceptId, Kind)> = (0u32..)
        .zip(merged.values())
        .map(|(at, entry)| (entry.name.value.as_str(), (ConceptId(at), entry.kind)))
        .collect();
    let resolve = |names: &[Spanned<String>], field: &str, kind: Kind, out: &mut Vec<Diagnostic>| {
        let mut ids: Vec<ConceptId> = Vec::new();
        for name in names {
            match numbers.get(name.value.as_str()) {
                Some((id, found)) if *found == kind => {
                    if !ids.contains(id) {
                        ids.push(*id);
                    }
                }
                _ => {
                    let names =
                        merged.values().filter(|entry| entry.kind == kind).map(|entry| entry.name.value.as_str());
                    out.push(vocabulary_reference::found(name, field, kind, names));
                }
            }
        }
        ids
    };
    let mut concepts: Vec<Concept> = merged
        .values()
        .map(|entry| Concept {
            kind: entry.kind,
            name: entry.name.clone(),
            label: entry.label.clone().unwrap_or_default(),
            aliases: entry.aliases.clone(),
            broader: resolve(&entry.broader, "broader", entry.kind, out),
            definition: entry.definition.clone().unwrap_or_default(),
            cautions: entry.cautions.clone(),
            sources: entry.sources.clone(),
            level: entry.level,
            needs: resolve(&entry.needs, "needs", Kind::Technique, out),
            answers: resolve(&entry.answers, "answers", Kind::Complication, out),
            harm: entry.harm,
            periods: entry.periods.clone(),
            refer: entry.refer.clone(),
            misheard: entry.misheard.clone(),
        })
        .collect();
    share(&mut concepts, out);
    break_cycles(&mut concepts, "broader", |concept| &mut concept.broader, out);
    break_cycles(&mut concepts, "needs", |concept| &mut concept.needs, out);
    let answered: BTreeSet<ConceptId> = concepts.iter().flat_map(|concept| concept.answers.iter().copied()).collect();
    for (at, concept) in (0u32..).zip(&concepts) {
        vocabulary_incomplete::check(concept, answered.contains(&ConceptId(at)), out);
    }
    Vocabulary::new(concepts)
}

/// Entries of one name become one: a later single value replaces the earlier, later list items are added.
fn merge(entries: &[Entry], out: &mut Vec<Diagnostic>) -> BTreeMap<String, Entry> {
    let mut merged: BTreeMap<String, Entry> = BTreeMap::new();
    for entry in entries {
        let Some(known) = merged.get_mut(&entry.name.value) else {
            merged.insert(entry.name.value.clone(), entry.clone());
            continue;
        };
        // Within one file, or with another kind, the same name is a slip, not an extension.
        if known.kind != entry.kind || known.name.span.file == entry.name.span.file {
            out.push(shared_term::name_taken(&entry.name, &known.name));
            continue;
        }
        let one = |known: &mut Option<Spanned<String>>, later: &Option<Spanned<String>>| {
            if later.is_some() {
                known.clone_from(later);
            }
        };
        let many = |known: &mut Vec<Spanned<String>>, later: &[Spanned<String>]| {
            let mut there: BTreeSet<String> = known.iter().map(|old| old.value.clone()).collect();
            known.extend(later.iter().filter(|item| there.insert(item.value.clone())).cloned());
        };
        if let (Some(old), Some(_)) = (&known.label, &entry.label) {
            // The built-in label stays a term, so that write-ups in its words still resolve.
            let old = old.clone();
            many(&mut known.aliases, &[old]);
        }
        one(&mut known.label, &entry.label);
        one(&mut known.definition, &entry.definition);
        one(&mut known.refer, &entry.refer);
        many(&mut known.misheard, &entry.misheard);
        many(&mut known.aliases, &entry.aliases);
        many(&mut known.broader, &entry.broader);
        many(&mut known.cautions, &entry.cautions);
        many(&mut known.sources, &entry.sources);
        many(&mut known.needs, &entry.needs);
        many(&mut known.answers, &entry.answers);
        known.level = entry.level.or(known.level);
        known.harm = entry.harm.or(known.harm);
        if !entry.periods.is_empty() {
            known.periods.clone_from(&entry.periods);
        }
        if let Some(label) = &known.label {
            let key = fold_term(&label.value);
            known.aliases.retain(|alias| fold_term(&alias.value) != key);
        }
    }
    merged
}

/// Takes away terms that an earlier concept of the same kind has already.
fn share(concepts: &mut [Concept], out: &mut Vec<Diagnostic>) {
    let mut seen: BTreeMap<(Kind, String), (Spanned<String>, String)> = BTreeMap::new();
    for concept in concepts {
        let label = concept.label.clone();
        let mut own = BTreeSet::new();
        let name = concept.name.value.clone();
        let kind = concept.kind;
        let mut taken = |term: &Spanned<String>, out: &mut Vec<Diagnostic>| {
            let key = fold_term(&term.value);
            // A concept may write one term twice in two spellings; that is harmless.
            if term.value.is_empty() || !own.insert(key.clone()) {
                return false;
            }
            if let Some((first, other)) = seen.get(&(kind, key.clone())) {
                out.push(shared_term::found(term, first, other));
                return true;
            }
            seen.insert((kind, key), (term.clone(), name.clone()));
            false
        };
        taken(&label, out);
        concept.aliases.retain(|alias| !taken(alias, out));
    }
}

/// Reports every circle along a field once and takes out the link that closes it.
fn break_cycles(
    concepts: &mut [Concept],
    field: &str,
    links: impl Fn(&mut Concept) -> &mut Vec<ConceptId>,
    out: &mut Vec<Diagnostic>,
) {
    // 0 not seen, 1 on the path, 2 done.
    let mut state = vec![0u8; concepts.len()];
    for root in 0..concepts.len() {
        if state[root] != 0 {
            continue;
        }
        let mut path = vec![(root, 0usize)];
        state[root] = 1;
        while let Some((at, next)) = path.last_mut() {
            let here = *at;
            let target = links(&mut concepts[here]).get(*next).map(|id| id.0 as usize);
            *next += 1;
            match target {
                None => {
                    state[here] = 2;
                    path.pop();
                }
                Some(target) if state[target] == 0 => {
                    state[target] = 1;
                    path.push((target, 0));
                }
                Some(target) if state[target] == 1 => {
                    let from = path.iter().position(|(at, _)| *at == target).unwrap_or(0);
                    let circle: Vec<&Spanned<String>> =
                        path[from..].iter().map(|(at, _)| *at).chain([target]).map(|at| &concepts[at].name).collect();
                    out.push(vocabulary_cycle::found(concepts[here].name.span, field, &circle));
                    links(&mut concepts[here]).retain(|id| id.0 as usize != target);
                    if let Some((_, next)) = path.last_mut() {
                        *next -= 1;
                    }
                }
                Some(_) => {}
            }
        }
    }
}
