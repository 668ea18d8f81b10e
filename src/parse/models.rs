//! Model files into [`ModelFile`] values.

use super::lower::{Fields, Lower};
use super::rules::{missing_field, unreadable_value};
use super::yaml::{self, Node, NodeKind};
use crate::diag::Diagnostic;
use crate::model::measure::Fault;
use crate::model::risk::{
    Band, Baseline, Bearer, Condition, ConditionList, Factor, FactorSyntax, Group, Model, ModelFile, ModelSyntax,
    NotUsed, Observed, Overlap, Scale, Scope, Verified, format,
};
use crate::text::{Source, Spanned};

/// What a model file holds. Everything wrong is added to `out`; a model with anything wrong is left out.
pub fn model(source: &Source, out: &mut Vec<Diagnostic>) -> Option<ModelFile> {
    let before = out.len();
    let document = yaml::parse(&source.text, source.id, 0, out);
    let mut lower = Lower { out, lost: document.lost };
    let lower = &mut lower;
    let lists = matches!(&document.root.kind, NodeKind::Map(pairs) if pairs.iter().any(|(key, _)| key.text() == Some("not_used")));
    let file = if lists { not_used(lower, &document.root) } else { one(lower, &document.root) };
    file.filter(|_| lower.out.len() == before)
}

fn not_used(lower: &mut Lower<'_>, root: &Node) -> Option<ModelFile> {
    let fields = lower.fields(root, &format::LIST)?;
    let models = lower.list(fields.get("not_used"), |lower, node| {
        let fields = lower.fields(node, &format::NOT_USED)?;
        Some(NotUsed {
            label: lower.text(fields.get("label"))?.value,
            citation: lower.text(fields.get("citation"))?.value,
            why: lower.text(fields.get("why"))?.value,
        })
    });
    Some(ModelFile::NotUsed(models))
}

fn one(lower: &mut Lower<'_>, root: &Node) -> Option<ModelFile> {
    let fields = lower.fields(root, &format::MODEL)?;
    let kind = lower.word(&fields, "kind")?;
    let odds = kind.value == "odds ratios";
    let baseline = fields.get("baseline").and_then(|node| baseline(lower, node));
    if odds && fields.get("baseline").is_none() {
        let help = "The risk of an eye with no factor; odds ratios need it.";
        lower.out.push(missing_field::found(root.span.part(0, 0), "baseline", "a model of odds ratios", help));
    }
    for key in ["baseline", "groups"] {
        if (key == "baseline") != odds
            && let Some(span) = fields.key_span(key)
        {
            let message =
                format!("`{key}` does not belong into a model of {}", if odds { "odds ratios" } else { "points" });
            lower.out.push(unreadable_value::found(span, message, &[]));
        }
    }
    let mut text = |key: &str| lower.text(fields.get(key)).map(|text| text.value);
    let (label, citation) = (text("label"), text("citation"));
    let (population, outcome, doi) = (text("population"), text("outcome"), text("doi"));
    let scope_fields = fields.get("applies").and_then(|node| lower.fields(node, &format::SCOPE));
    let scope = scope_fields.as_ref();
    let names = |lower: &mut Lower<'_>, key: &str| {
        lower.list(scope.and_then(|fields| fields.get(key)), |lower, node| lower.name(Some(node)))
    };
    let (procedures, without) = (names(lower, "procedures"), names(lower, "without"));
    let where_not = names(lower, "where_not");
    let youngest = lower.notation(scope.and_then(|fields| fields.get("youngest")), count);
    let combined = scope.and_then(|fields| fields.get("combined")).is_none_or(|node| lower.truth(Some(node)));
    let narrows = |key: &&str| *key != "combined" || !combined;
    let limits = ["procedures", "youngest", "without", "combined"].iter().filter(|key| narrows(key));
    let limits = limits.filter_map(|key| scope?.key_span(key)).collect();
    let node = some(lower, &fields, "factors", "factor");
    let factors = lower.list(node, |lower, node| factor(lower, node, odds));
    let groups = lower.list(fields.get("groups"), |lower, node| Some((node.span, group(lower, node)?)));
    let overlaps = lower.list(fields.get("overlaps"), |lower, node| {
        let fields = lower.fields(node, &format::OVERLAP)?;
        let names = lower.list(fields.get("factors"), |lower, node| lower.name(Some(node)));
        Some((Spanned::new(names, node.span), lower.text(fields.get("why"))?.value))
    });
    let plain = Model {
        name: lower.name(fields.get("name"))?.value,
        label: label?,
        citation: citation?,
        doi,
        population: population?,
        n: lower.notation(fields.get("n"), count).map(|n| n.value),
        outcome: outcome?,
        scale: if odds { Scale::Odds(baseline?) } else { Scale::Points },
        verified: verified(lower, &fields)?,
        applies: Scope {
            youngest: youngest.and_then(|age| u8::try_from(age.value).ok()),
            combined,
            where_not: where_not.iter().map(|name| name.value.clone()).collect(),
            ..Scope::default()
        },
        factors: factors.iter().map(|(plain, _)| plain.clone()).collect(),
        groups: groups.iter().map(|(_, group)| group.clone()).collect(),
        overlaps: overlaps.iter().map(|(_, why)| Overlap { factors: Vec::new(), why: why.clone() }).collect(),
        cautions: lower.texts(fields.get("cautions")).into_iter().map(|text| text.value).collect(),
    };
    Some(ModelFile::Model(Box::new(ModelSyntax {
        name: lower.name(fields.get("name"))?,
        plain,
        procedures,
        without,
        where_not,
        limits,
        kind: kind.span,
        factors: factors.into_iter().map(|(_, syntax)| syntax).collect(),
        groups: groups.into_iter().map(|(span, _)| span).collect(),
        overlaps: overlaps.into_iter().map(|(names, _)| names).collect(),
    })))
}

fn baseline(lower: &mut Lower<'_>, node: &Node) -> Option<Baseline> {
    let fields = lower.fields(node, &format::BASELINE)?;
    let probability = lower.notation(fields.get("probability"), weight)?;
    if !(probability.value > 0.0 && probability.value < 1.0) {
        let message = "a probability lies above 0 and below 1";
        lower.out.push(unreadable_value::found(probability.span, message, &[]));
    }
    Some(Baseline {
        probability: probability.value,
        of: lower.text(fields.get("of"))?.value,
        verified: verified(lower, &fields)?,
    })
}

fn verified(lower: &mut Lower<'_>, fields: &Fields<'_>) -> Option<Verified> {
    let word = lower.word(fields, "verified")?;
    Verified::ALL.into_iter().find(|verified| verified.word() == word.value)
}

/// The value of a field that may not be an empty list or mapping; the names what it should hold.
fn some<'n>(lower: &mut Lower<'_>, fields: &Fields<'n>, key: &str, of: &str) -> Option<&'n Node> {
    let node = fields.get(key)?;
    let empty = match &node.kind {
        NodeKind::List(items) => items.is_empty(),
        NodeKind::Map(pairs) => pairs.is_empty(),
        _ => false,
    };
    if empty {
        let message = format!("`{key}` is empty; at least one {of} was expected");
        lower.out.push(unreadable_value::found(node.span, message, &[]));
    }
    Some(node)
}

fn conditions(lower: &mut Lower<'_>, fields: &Fields<'_>, key: &str) -> ConditionList {
    let node = some(lower, fields, key, "condition");
    lower.few(node, |lower, node| lower.notation(Some(node), Condition::parse))
}

/// The weight of a factor or band: points or a ratio, as the model's kind asks for.
fn weighed(lower: &mut Lower<'_>, fields: &Fields<'_>, odds: bool) -> Option<f64> {
    let (right, wrong) = if odds { ("ratio", "points") } else { ("points", "ratio") };
    if let Some(span) = fields.key_span(wrong) {
        let message = format!("`{wrong}` does not belong into a model of this kind");
        lower.out.push(unreadable_value::found(span, message, &[right.to_owned()]));
        return None;
    }
    let Some(node) = fields.get(right) else {
        let help = "What it weighs.";
        lower.out.push(missing_field::found(fields.span.part(0, 0), right, "a factor or band", help));
        return None;
    };
    bounded(lower, node, odds)
}

/// The greatest ratio of odds or number of points of one thing, and the least ratio turned round. Beyond them a number is a
/// slip of the pen, and products of many could leave what a computer can hold. Common practice, no source.
const MOST: f64 = 1000.0;

/// Points, or a ratio of odds, that a factor or band may have.
fn bounded(lower: &mut Lower<'_>, node: &Node, odds: bool) -> Option<f64> {
    let read = lower.notation(Some(node), weight)?;
    let least = if odds { 1.0 / MOST } else { 0.0 };
    if (least..=MOST).contains(&read.value) {
        return Some(read.value);
    }
    let what = if odds { "a ratio of odds lies" } else { "points lie" };
    lower.out.push(unreadable_value::found(read.span, format!("{what} between {least} and {MOST}"), &[]));
    None
}

fn factor(lower: &mut Lower<'_>, node: &Node, odds: bool) -> Option<(Factor, FactorSyntax)> {
    let fields = lower.fields(node, &format::FACTOR)?;
    let name = lower.name(fields.get("name"))?;
    let label = lower.text(fields.get("label"))?.value;
    let by = lower
        .word(&fields, "by")
        .map_or(Bearer::Eye, |word| if word.value == "surgeon" { Bearer::Surgeon } else { Bearer::Eye });
    let absent_if = conditions(lower, &fields, "absent_if");
    let mut bands = Vec::new();
    let mut lists = Vec::new();
    if fields.get("bands").is_some() {
        for key in ["when", "points", "ratio"] {
            if let Some(span) = fields.key_span(key) {
                let message = format!("a factor with bands has no `{key}` of its own");
                lower.out.push(unreadable_value::found(span, message, &[]));
            }
        }
        let node = some(lower, &fields, "bands", "band");
        for (band, list) in lower.list(node, |lower, node| {
            let fields = lower.fields(node, &format::BAND)?;
            let label = lower.text(fields.get("label"))?.value;
            let list = (conditions(lower, &fields, "when"), conditions(lower, &fields, "absent_if"));
            let weight = weighed(lower, &fields, odds)?;
            Some((Band { label, when: Vec::new(), absent_if: Vec::new(), weight }, list))
        }) {
            bands.push(band);
            lists.push(list);
        }
    } else {
        let when = conditions(lower, &fields, "when");
        if fields.get("when").is_none() {
            let help = "It is there if one of these holds.";
            lower.out.push(missing_field::found(node.span.part(0, 0), "when", "a factor without bands", help));
        }
        let weight = weighed(lower, &fields, odds)?;
        bands.push(Band { label: String::new(), when: Vec::new(), absent_if: Vec::new(), weight });
        lists.push((when, Vec::new()));
    }
    let least = fields.get("least").and_then(|node| bounded(lower, node, odds));
    let plain = Factor {
        name: name.value.clone(),
        label,
        by,
        bands,
        absent_if: Vec::new(),
        least: least.unwrap_or(if odds { 1.0 } else { 0.0 }),
        least_label: lower.text(fields.get("least_label")).map(|text| text.value),
    };
    Some((plain, FactorSyntax { name, bands: lists, absent_if }))
}

fn group(lower: &mut Lower<'_>, node: &Node) -> Option<Group> {
    let fields = lower.fields(node, &format::GROUP)?;
    let mut observed = Vec::new();
    if let Some(Node { kind: NodeKind::Map(pairs), .. }) = some(lower, &fields, "observed", "outcome") {
        for (key, value) in pairs {
            let what = lower.text(Some(key))?.value;
            observed.push(Observed { what, events: lower.notation(Some(value), count)?.value });
        }
    }
    Some(Group {
        label: lower.text(fields.get("label"))?.value,
        from: lower.notation(fields.get("from"), count)?.value,
        to: lower.notation(fields.get("to"), count).map(|to| to.value),
        n: lower.notation(fields.get("n"), count)?.value,
        observed,
    })
}

/// A whole number, nought or more.
fn count(text: &str) -> Result<u32, Fault> {
    text.parse().map_err(|_| Fault {
        message: format!("`{text}` is no whole number"),
        part: 0..text.len(),
        mends: Vec::new(),
    })
}

/// A number, nought or more.
pub(super) fn weight(text: &str) -> Result<f64, Fault> {
    let read = text.parse::<f64>().ok().filter(|number| number.is_finite() && *number >= 0.0);
    read.ok_or_else(|| Fault {
        message: format!("`{text}` is no number of 0 or more"),
        part: 0..text.len(),
        mends: Vec::new(),
    })
}
