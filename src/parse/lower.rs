//! From tree to values: every getter records what is wrong and goes on, so one pass finds every mistake.

use super::rules::{duplicate_field, missing_field, missing_unit, unknown_field, unreadable_value, wrong_type};
use super::yaml::{Node, NodeKind};
use crate::diag::Diagnostic;
use crate::model::measure::{Dimension, Fault, Quantity};
use crate::model::shape::{Record, Shape};
use crate::text::{Span, Spanned, fold_term, list};

/// Takes values out of a tree and collects what is wrong with them.
pub(crate) struct Lower<'d> {
    /// Where findings go.
    pub(crate) out: &'d mut Vec<Diagnostic>,
    /// First-level fields that a syntax error swallowed.
    pub(crate) lost: Vec<String>,
}

/// The fields of one mapping, each known to its record and standing once.
pub(crate) struct Fields<'n> {
    /// The whole mapping.
    pub(crate) span: Span,
    record: &'static Record,
    pairs: Vec<(&'n Node, &'n Node)>,
}

impl<'n> Fields<'n> {
    /// No fields at all, for a mapping that could not be read.
    pub(crate) fn none(span: Span, record: &'static Record) -> Self {
        Self { span, record, pairs: Vec::new() }
    }

    /// The value of a field of the record.
    pub(crate) fn get(&self, key: &str) -> Option<&'n Node> {
        debug_assert!(self.record.field(key).is_some(), "{} has no field {key}", self.record.name);
        self.pairs.iter().find(|(name, _)| name.text() == Some(key)).map(|(_, value)| *value)
    }

    /// Where the key of a field stands.
    pub(crate) fn key_span(&self, key: &str) -> Option<Span> {
        self.pairs.iter().find(|(name, _)| name.text() == Some(key)).map(|(name, _)| name.span)
    }
}

impl Lower<'_> {
    /// The fields of a mapping: unknown, repeated, empty and missing ones are reported.
    pub(crate) fn fields<'n>(&mut self, node: &'n Node, record: &'static Record) -> Option<Fields<'n>> {
        let NodeKind::Map(pairs) = &node.kind else {
            let mut example: Vec<String> =
                record.fields.iter().filter(|field| field.needed).map(|field| format!("{}: …", field.name)).collect();
            if example.is_empty() {
                let names: Vec<&str> = record.fields.iter().map(|field| field.name).collect();
                example.push(format!("{}: …", list(&names, "or")));
            }
            self.out.push(
                wrong_type::found(node.span, node.what(), &format!("{}, written as fields,", record.name))
                    .mend(format!("write {{{}}}", example.join(", "))),
            );
            return None;
        };
        let known: Vec<&str> = record.fields.iter().map(|field| field.name).collect();
        let mut seen: Vec<(&Node, &Node)> = Vec::with_capacity(pairs.len());
        for (key, value) in pairs {
            let Some(name) = key.text() else {
                self.out.push(wrong_type::found(key.span, key.what(), "the name of a field"));
                continue;
            };
            if let Some((first, _)) = seen.iter().find(|(first, _)| first.text() == Some(name)) {
                self.out.push(duplicate_field::found(key.span, first.span, name));
            } else if record.field(name).is_none() {
                self.out.push(unknown_field::found(key.span, name, record.name, &known, value.is_null()));
            } else if value.is_null() {
                self.out.push(wrong_type::empty(key.span, name));
                seen.push((key, value));
            } else {
                seen.push((key, value));
            }
        }
        let lost_all = self.lost.iter().any(|key| key == "*");
        for field in record.fields.iter().filter(|field| field.needed) {
            let there = seen.iter().any(|(key, _)| key.text() == Some(field.name))
                // Written in other letters it was reported as unknown; one slip is one finding.
                || pairs.iter().any(|(key, _)| key.text().is_some_and(|key| fold_term(key) == fold_term(field.name)));
            if !there && !lost_all && !self.lost.iter().any(|key| key == field.name) {
                // No wider than nothing: what stands here may be the first byte of a long character.
                let at = node.span.part(0, 0);
                self.out.push(missing_field::found(at, field.name, record.name, field.help));
            }
        }
        seen.retain(|(_, value)| !value.is_null());
        Some(Fields { span: node.span, record, pairs: seen })
    }

    /// Text that is not empty.
    pub(crate) fn text(&mut self, node: Option<&Node>) -> Option<Spanned<String>> {
        let node = node?;
        let Some(text) = node.text() else {
            self.out.push(wrong_type::found(node.span, node.what(), "text"));
            return None;
        };
        let trimmed = text.trim();
        if trimmed.is_empty() {
            self.out.push(wrong_type::found(node.span, "nothing", "text"));
            return None;
        }
        Some(Spanned::new(trimmed.to_owned(), node.span))
    }

    /// Text of a field, or nothing at the field's place if it is missing; the missing field was already reported.
    pub(crate) fn text_or_empty(&mut self, fields: &Fields<'_>, key: &str) -> Spanned<String> {
        self.text(fields.get(key)).unwrap_or_else(|| Spanned::new(String::new(), fields.span))
    }

    /// A short name: letters, digits and hyphens.
    pub(crate) fn name(&mut self, node: Option<&Node>) -> Option<Spanned<String>> {
        let text = self.text(node)?;
        let sound = (1..=40).contains(&text.value.len())
            && text.value.bytes().all(|byte| matches!(byte, b'a'..=b'z' | b'0'..=b'9' | b'-'));
        if !sound {
            let slug = crate::text::slug(&text.value);
            let mut diagnostic = Diagnostic::at(
                &unreadable_value::RULE,
                text.span,
                format!(
                    "`{}` cannot be a name: names are at most 40 lower-case letters, digits and hyphens",
                    text.value.chars().take(60).collect::<String>()
                ),
            );
            if !slug.is_empty() {
                diagnostic = diagnostic.mend(format!("write `{slug}`"));
            }
            self.out.push(diagnostic);
            return None;
        }
        Some(text)
    }

    /// One of the words that the field allows.
    pub(crate) fn word(&mut self, fields: &Fields<'_>, key: &str) -> Option<Spanned<String>> {
        let Some(Shape::Words(allowed)) = fields.record.field(key).map(|field| field.shape) else { return None };
        self.one_of(fields.get(key), allowed)
    }

    /// One of these words.
    pub(crate) fn one_of(&mut self, node: Option<&Node>, allowed: &[&str]) -> Option<Spanned<String>> {
        let text = self.text(node)?;
        if allowed.contains(&text.value.as_str()) {
            return Some(text);
        }
        self.out.push(unreadable_value::not_one_of(text.span, &text.value, allowed));
        None
    }

    /// `true` or `false`.
    pub(crate) fn truth(&mut self, node: Option<&Node>) -> bool {
        match self.text(node) {
            None => false,
            Some(text) => match text.value.as_str() {
                "true" => true,
                "false" => false,
                other => {
                    self.out.push(wrong_type::not_truth(text.span, other));
                    false
                }
            },
        }
    }

    /// A value that is measured: where a bare number stands, its unit is missing.
    pub(crate) fn value<T>(
        &mut self,
        node: Option<&Node>,
        read: impl FnOnce(&str) -> Result<T, Fault>,
    ) -> Option<Spanned<T>> {
        self.read(node, read, true)
    }

    /// A value with a notation of its own, to which no unit belongs.
    pub(crate) fn notation<T>(
        &mut self,
        node: Option<&Node>,
        read: impl FnOnce(&str) -> Result<T, Fault>,
    ) -> Option<Spanned<T>> {
        self.read(node, read, false)
    }

    fn read<T>(
        &mut self,
        node: Option<&Node>,
        read: impl FnOnce(&str) -> Result<T, Fault>,
        measured: bool,
    ) -> Option<Spanned<T>> {
        let node = node?;
        let text = self.text(Some(node))?;
        match read(&text.value) {
            Ok(value) => Some(Spanned::new(value, text.span)),
            Err(fault) => {
                self.fault(node, &text, &fault, measured);
                None
            }
        }
    }

    /// A number with a unit.
    pub(crate) fn quantity(&mut self, node: Option<&Node>, dimension: Dimension) -> Option<Spanned<Quantity>> {
        self.value(node, |text| Quantity::parse(text, dimension))
    }

    /// A quantity of the field's own dimension.
    pub(crate) fn measure(&mut self, fields: &Fields<'_>, key: &str) -> Option<Spanned<Quantity>> {
        let Some(Shape::Measure(dimension)) = fields.record.field(key).map(|field| field.shape) else { return None };
        self.quantity(fields.get(key), dimension)
    }

    fn fault(&mut self, node: &Node, text: &Spanned<String>, fault: &Fault, measured: bool) {
        // Only plain text stands in the file exactly as it is read; in quoted text the offsets would be wrong.
        let exact = matches!(&node.kind, NodeKind::Scalar { text: raw, plain: true } if *raw == text.value)
            && (node.span.end - node.span.start) as usize == text.value.len();
        let span = if exact && fault.part.start < fault.part.end {
            node.span.part(fault.part.start, fault.part.end)
        } else {
            node.span
        };
        let bare =
            text.value.trim_start_matches(['-', '+', '~']).bytes().all(|byte| byte.is_ascii_digit() || byte == b'.');
        let diagnostic = if measured && bare && !text.value.is_empty() {
            missing_unit::found(span, fault.message.clone(), &fault.mends)
        } else {
            unreadable_value::found(span, fault.message.clone(), &fault.mends)
        };
        self.out.push(diagnostic);
    }

    /// Each item of a list, taken by `take`; items that cannot be taken are left out.
    pub(crate) fn list<T>(
        &mut self,
        node: Option<&Node>,
        mut take: impl FnMut(&mut Self, &Node) -> Option<T>,
    ) -> Vec<T> {
        let Some(node) = node else { return Vec::new() };
        let NodeKind::List(items) = &node.kind else {
            self.out.push(
                wrong_type::found(node.span, node.what(), "a list")
                    .mend("put square brackets around it, or write each item after `- `"),
            );
            return Vec::new();
        };
        items.iter().filter_map(|item| take(self, item)).collect()
    }

    /// A list, or one item alone.
    pub(crate) fn few<T>(
        &mut self,
        node: Option<&Node>,
        mut take: impl FnMut(&mut Self, &Node) -> Option<T>,
    ) -> Vec<T> {
        match node {
            Some(Node { kind: NodeKind::List(_), .. }) => self.list(node, take),
            Some(node) => take(self, node).into_iter().collect(),
            None => Vec::new(),
        }
    }

    /// A list of texts.
    pub(crate) fn texts(&mut self, node: Option<&Node>) -> Vec<Spanned<String>> {
        self.list(node, |lower, item| lower.text(Some(item)))
    }
}
