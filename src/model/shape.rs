//! Shapes: what a YAML file may hold, as data. One table checks structure, writes the JSON Schema and documents the fields.

use super::measure::Dimension;
use super::vocabulary::Kind;

/// What a value may be.
#[derive(Debug, Clone, Copy)]
pub enum Shape {
    /// Any text that is not empty.
    Text,
    /// A short name of lower-case letters, digits and hyphens.
    Name,
    /// One of these words.
    Words(&'static [&'static str]),
    /// `true` or `false`.
    Truth,
    /// A term of the vocabulary, of one of these kinds.
    Term(&'static [Kind]),
    /// A term, or a word that says there is none.
    TermOrWord(&'static [Kind], &'static str),
    /// A number with a unit.
    Measure(Dimension),
    /// Something with a notation of its own: its name and an example.
    Notation(&'static str, &'static str),
    /// A list.
    List(&'static Shape),
    /// A list, or one item alone.
    Few(&'static Shape),
    /// A mapping with known fields.
    Map(&'static Record),
    /// A value alone, or a mapping with known fields, one of which holds the value.
    Or(&'static Shape, &'static Record),
    /// A mapping whose keys are free and whose values have this shape.
    Entries(&'static Shape),
}

/// One field of a mapping.
#[derive(Debug, Clone, Copy)]
pub struct Field {
    /// Its key.
    pub name: &'static str,
    /// Whether it must be there.
    pub needed: bool,
    /// What it may hold.
    pub shape: Shape,
    /// What it is for, one sentence.
    pub help: &'static str,
}

/// A mapping with known fields.
#[derive(Debug)]
pub struct Record {
    /// What it describes, with an article: `a drug`.
    pub name: &'static str,
    /// Its fields in the order in which documentation lists them.
    pub fields: &'static [Field],
}

impl Record {
    /// The field with this key.
    pub fn field(&self, name: &str) -> Option<&'static Field> {
        self.fields.iter().find(|field| field.name == name)
    }
}

/// A field that must be there.
pub const fn must(name: &'static str, shape: Shape, help: &'static str) -> Field {
    Field { name, needed: true, shape, help }
}

/// A field that may be there.
pub const fn may(name: &'static str, shape: Shape, help: &'static str) -> Field {
    Field { name, needed: false, shape, help }
}
