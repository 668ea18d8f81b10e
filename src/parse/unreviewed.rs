//! The entries of `unreviewed`: which place of the case each one speaks of, and whether anything stands there.

use super::lower::Lower;
use super::yaml::{Node, NodeKind};
use crate::model::case::{Body, Unreviewed, Written};
use crate::model::format;
use crate::model::measure::Clock;
use crate::text::{Span, Spanned};

/// Every entry, with the span of what it speaks of.
pub(crate) fn entries(lower: &mut Lower<'_>, node: &Node, root: &Node, body: &Body<Written>) -> Vec<Unreviewed> {
    let NodeKind::Map(pairs) = &node.kind else {
        lower.out.push(
            super::rules::wrong_type::found(node.span, node.what(), "places and what was heard of them,")
                .mend("write {eye: {at: \"0:04\", heard: this is a left eye, sure: certain}}"),
        );
        return Vec::new();
    };
    let mut taken: Vec<Unreviewed> = Vec::with_capacity(pairs.len());
    let mut seen = std::collections::BTreeMap::new();
    for (key, value) in pairs {
        let Some(place) = lower.text(Some(key)) else { continue };
        if let Some(first) = seen.insert(place.value.clone(), place.span) {
            lower.out.push(super::rules::duplicate_field::found(place.span, first, &place.value));
            continue;
        }
        let Some(fields) = lower.fields(value, &format::HEARD) else { continue };
        lower.value(fields.get("at"), Clock::parse);
        lower.text(fields.get("heard"));
        let sure = lower.word(&fields, "sure").unwrap_or_else(|| Spanned::new(String::new(), value.span));
        let there = there(root, body, &place.value);
        taken.push(Unreviewed { place, there, sure });
    }
    taken
}

/// What stands at a place: a value of the front matter, or a decision of the narrative or one of its options.
fn there(root: &Node, body: &Body<Written>, place: &str) -> Option<Span> {
    if let Some(id) = place.strip_prefix("decisions/") {
        let (id, option) = id.split_once("/options/").map_or((id, None), |(id, option)| (id, Some(option)));
        let decision = body.decisions.iter().find(|decision| decision.id.value == id)?;
        return match option {
            None => Some(decision.id.span),
            Some(number) => decision.options.get(number.parse::<usize>().ok()?.checked_sub(1)?).map(|it| it.span),
        };
    }
    let mut node = root;
    for part in place.split('/') {
        node = match &node.kind {
            NodeKind::Map(pairs) => pairs.iter().find(|(key, _)| key.text() == Some(part)).map(|(_, value)| value)?,
            NodeKind::List(items) => items
                .iter()
                .find(|item| id(item) == Some(part))
                .or_else(|| items.get(part.parse::<usize>().ok()?.checked_sub(1)?))?,
            NodeKind::Scalar { .. } => return None,
        };
    }
    (!node.is_null()).then_some(node.span)
}

/// The `id` of an item, as steps have it.
fn id(item: &Node) -> Option<&str> {
    let NodeKind::Map(pairs) = &item.kind else { return None };
    pairs.iter().find(|(key, _)| key.text() == Some("id")).and_then(|(_, value)| value.text())
}
