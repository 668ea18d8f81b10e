//! Vocabulary files into [`Entry`] values.

use super::lower::Lower;
use super::yaml;
use crate::diag::Diagnostic;
use crate::model::format;
use crate::model::vocabulary::{Entry, Harm, Kind, Level, Period};
use crate::text::Source;

/// Every entry of a vocabulary file. Everything wrong is added to `out`.
pub fn vocabulary(source: &Source, out: &mut Vec<Diagnostic>) -> Vec<Entry> {
    let document = yaml::parse(&source.text, source.id, 0, out);
    let mut lower = Lower { out, lost: document.lost };
    let lower = &mut lower;
    let Some(fields) = lower.fields(&document.root, &format::VOCABULARY) else { return Vec::new() };
    let Some(kind) = lower.word(&fields, "kind").and_then(|word| Kind::from_word(&word.value)) else {
        return Vec::new();
    };
    lower.list(fields.get("concepts"), |lower, node| {
        let fields = lower.fields(node, &format::CONCEPT)?;
        let level = lower.word(&fields, "level");
        let harm = lower.word(&fields, "severity");
        const PERIODS: [&str; 4] = ["anaesthesia", "during surgery", "early after", "late after"];
        Some(Entry {
            kind,
            span: node.span,
            name: lower.name(fields.get("name"))?,
            label: lower.text(fields.get("label")),
            aliases: lower.texts(fields.get("aliases")),
            broader: lower.few(fields.get("broader"), |lower, node| lower.name(Some(node))),
            definition: lower.text(fields.get("definition")),
            cautions: lower.texts(fields.get("cautions")),
            sources: lower.texts(fields.get("sources")),
            level: level.and_then(|word| Level::ALL.into_iter().find(|level| level.word() == word.value)),
            needs: lower.list(fields.get("needs"), |lower, node| lower.name(Some(node))),
            answers: lower.list(fields.get("answers"), |lower, node| lower.name(Some(node))),
            harm: harm.and_then(|word| Harm::ALL.into_iter().find(|harm| harm.word() == word.value)),
            periods: lower
                .list(fields.get("phases"), |lower, node| lower.one_of(Some(node), &PERIODS))
                .iter()
                .filter_map(|word| Period::ALL.into_iter().find(|period| period.word() == word.value))
                .collect(),
            refer: lower.text(fields.get("refer")),
            misheard: lower.texts(fields.get("misheard")),
        })
    })
}
