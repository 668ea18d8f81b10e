//! A case file in the making: fields with what each rests on, written as YAML.

use super::story::{Held, Sure};
use std::ops::Range;

/// Longest line that is written in one piece.
const LINE: usize = 130;

/// What a value rests on.
#[derive(Debug, Clone)]
pub(super) struct Support {
    /// The words, in one or more pieces.
    pub(super) words: Vec<Range<usize>>,
    /// How sure it is.
    pub(super) sure: Sure,
}

/// A value of the file.
#[derive(Debug, Clone)]
pub(super) enum Node {
    /// Text with what it rests on; names that only tie the file together rest on nothing.
    Text(String, Option<Support>),
    /// A list.
    List(Vec<Node>),
    /// Fields in order.
    Map(Vec<(String, Node)>),
}

impl Node {
    /// Text that somebody said.
    pub(super) fn held<T>(held: &Held<T>, text: impl Into<String>) -> Self {
        Self::Text(text.into(), Some(Support { words: vec![held.words.clone()], sure: held.sure }))
    }

    /// Text that stands as it was understood.
    pub(super) fn text(held: &Held<String>) -> Self {
        Self::held(held, held.value.clone())
    }

    /// A name that ties the file together.
    pub(super) fn tie(text: impl Into<String>) -> Self {
        Self::Text(text.into(), None)
    }

    /// Calls `each` with the place and text of every value that rests on something.
    pub(super) fn walk(&self, place: &str, each: &mut dyn FnMut(&str, &str, &Support)) {
        let below = |part: &str| if place.is_empty() { part.to_owned() } else { format!("{place}/{part}") };
        match self {
            Self::Text(text, support) => {
                if let Some(support) = support {
                    each(place, text, support);
                }
            }
            Self::List(items) => {
                for (item, number) in items.iter().zip(1..) {
                    let part = item.id().map_or_else(|| number.to_string(), str::to_owned);
                    item.walk(&below(&part), each);
                }
            }
            Self::Map(fields) => {
                for (name, value) in fields {
                    value.walk(&below(name), each);
                }
            }
        }
    }

    fn id(&self) -> Option<&str> {
        let Self::Map(fields) = self else { return None };
        fields.iter().find_map(|(name, value)| match value {
            Self::Text(text, _) if name == "id" => Some(text.as_str()),
            _ => None,
        })
    }

    /// On one line.
    fn flow(&self) -> String {
        match self {
            Self::Text(text, _) => scalar(text),
            Self::List(items) => format!("[{}]", items.iter().map(Self::flow).collect::<Vec<_>>().join(", ")),
            Self::Map(fields) => {
                let fields: Vec<String> =
                    fields.iter().map(|(name, value)| format!("{}: {}", scalar(name), value.flow())).collect();
                format!("{{{}}}", fields.join(", "))
            }
        }
    }

    /// As YAML, each line `indent` deep.
    pub(super) fn write(&self, indent: usize, out: &mut String) {
        let pad = " ".repeat(indent);
        match self {
            Self::Text(..) => out.push_str(&format!("{pad}{}\n", self.flow())),
            Self::Map(fields) => {
                for (name, value) in fields {
                    let flow = value.flow();
                    let simple = matches!(value, Self::Text(..))
                        || indent + name.len() + flow.len() + 2 <= LINE && !value.is_long();
                    if simple {
                        out.push_str(&format!("{pad}{}: {flow}\n", scalar(name)));
                    } else {
                        out.push_str(&format!("{pad}{}:\n", scalar(name)));
                        value.write(indent + 2, out);
                    }
                }
            }
            Self::List(items) => {
                for item in items {
                    let flow = item.flow();
                    if matches!(item, Self::Text(..)) || indent + flow.len() + 2 <= LINE {
                        out.push_str(&format!("{pad}- {flow}\n"));
                    } else {
                        let mut inner = String::new();
                        item.write(indent + 2, &mut inner);
                        out.push_str(&format!("{pad}- {}", inner.trim_start()));
                    }
                }
            }
        }
    }

    /// Whether it is a list of sets of fields, which read better one below the other.
    fn is_long(&self) -> bool {
        matches!(self, Self::List(items) if items.len() > 1 && items.iter().any(|item| matches!(item, Self::Map(_))))
    }
}

/// Text as a YAML scalar, in quotes where it could be taken for something else.
pub(super) fn scalar(text: &str) -> String {
    let plain = text.starts_with(|first: char| first.is_alphanumeric())
        && text.chars().all(|letter| letter.is_alphanumeric() || " .-/%+()'_".contains(letter))
        && !text.ends_with(' ')
        && !["true", "false", "yes", "no", "null"].contains(&text.to_lowercase().as_str());
    if plain {
        return text.to_owned();
    }
    let mut out = String::from("\"");
    for letter in text.chars() {
        match letter {
            '"' | '\\' => out.extend(['\\', letter]),
            letter if letter.is_control() => out.push(' '),
            letter => out.push(letter),
        }
    }
    out.push('"');
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn scalars_are_quoted_where_they_must_be() {
        for (text, written) in [
            ("6/24", "6/24"),
            ("-0.25 D", "\"-0.25 D\""),
            ("no", "\"no\""),
            ("what now: \"stop\"", "\"what now: \\\"stop\\\"\""),
            ("5 %", "5 %"),
            ("a # b", "\"a # b\""),
        ] {
            assert_eq!(scalar(text), written);
        }
    }
}
