//! `casewright schema`: the case format as JSON Schema, for editors.
//!
//! The schema keeps to what draft-07 and 2020-12 have in common, since editors differ in what they read.

use super::args::Schema;
use super::exit::Exit;
use super::terminal::Terminal;
use crate::discover::discover;
use crate::files::{Disk, Files, Memory};
use crate::model::format;
use crate::model::shape::{Record, Shape};
use crate::model::vocabulary::{Kind, Vocabulary};
use crate::pipeline;
use serde_json::{Map, Value, json};

/// Prints the schema of a library's cases.
pub(crate) fn run(options: &Schema, terminal: &Terminal) -> Exit {
    let files: Box<dyn Files> = match &options.library {
        Some(library) => Box::new(Disk::new(library, &[])),
        None => Box::new(Memory::default()),
    };
    match discover(&*files) {
        Err(why) => {
            terminal.could_not(&why);
            Exit::CouldNotRun
        }
        Ok(inputs) => {
            let (vocabulary, said) = pipeline::vocabulary(&inputs);
            if !said.is_empty() {
                terminal.report(&said, &inputs.sources);
            }
            terminal.say(&text(&vocabulary));
            if said.is_empty() { Exit::Fine } else { Exit::Problems }
        }
    }
}

/// The schema as text, with the vocabulary's terms as what each field may hold.
pub(crate) fn text(vocabulary: &Vocabulary) -> String {
    let mut definitions = Map::new();
    let case = record(&format::CASE, vocabulary, &mut definitions);
    let mut schema = Map::new();
    schema.insert("$schema".to_owned(), json!("https://json-schema.org/draft/2020-12/schema"));
    schema.insert("title".to_owned(), json!("A teaching case"));
    if let Value::Object(case) = case {
        schema.extend(case);
    }
    schema.insert("$defs".to_owned(), Value::Object(definitions));
    serde_json::to_string_pretty(&Value::Object(schema)).unwrap_or_default() + "\n"
}

fn record(record_of: &'static Record, vocabulary: &Vocabulary, definitions: &mut Map<String, Value>) -> Value {
    let mut properties = Map::new();
    let mut needed = Vec::new();
    for field in record_of.fields {
        // A description beside `$ref` is ignored by draft-07 readers; `allOf` carries it in both.
        let mut value = match shape(field.shape, vocabulary, definitions) {
            Value::Object(map) if map.contains_key("$ref") => json!({ "allOf": [map] }),
            other => other,
        };
        if let Value::Object(map) = &mut value {
            map.insert("description".to_owned(), json!(field.help));
        }
        properties.insert(field.name.to_owned(), value);
        if field.needed {
            needed.push(field.name);
        }
    }
    json!({
        "type": "object",
        "description": record_of.name,
        "properties": properties,
        "required": needed,
        "additionalProperties": false,
    })
}

fn shape(shape_of: Shape, vocabulary: &Vocabulary, definitions: &mut Map<String, Value>) -> Value {
    match shape_of {
        Shape::Text => json!({ "type": ["string", "number"], "minLength": 1 }),
        Shape::Name => json!({ "type": "string", "pattern": "^[a-z0-9-]{1,40}$" }),
        Shape::Words(words) => json!({ "enum": words }),
        Shape::Truth => json!({ "type": "boolean" }),
        Shape::Term(kinds) => terms(kinds, vocabulary, definitions),
        Shape::TermOrWord(kinds, word) => {
            json!({ "anyOf": [terms(kinds, vocabulary, definitions), { "enum": [word] }] })
        }
        Shape::Measure(dimension) => {
            json!({ "type": ["string", "number"], "minLength": 1, "title": dimension.words() })
        }
        Shape::Notation(name, example) => {
            json!({ "type": ["string", "number"], "minLength": 1, "title": name, "examples": [example] })
        }
        Shape::List(item) => json!({ "type": "array", "items": shape(*item, vocabulary, definitions) }),
        Shape::Few(item) => {
            let one = shape(*item, vocabulary, definitions);
            json!({ "anyOf": [one.clone(), { "type": "array", "items": one }] })
        }
        Shape::Map(fields) => named(fields, vocabulary, definitions),
        Shape::Or(value, fields) => {
            json!({ "anyOf": [shape(*value, vocabulary, definitions), named(fields, vocabulary, definitions)] })
        }
        Shape::Entries(value) => {
            json!({ "type": "object", "additionalProperties": shape(*value, vocabulary, definitions) })
        }
    }
}

/// A record as a definition, referred to by name.
fn named(fields: &'static Record, vocabulary: &Vocabulary, definitions: &mut Map<String, Value>) -> Value {
    let name = fields.name.replace(' ', "-");
    if !definitions.contains_key(&name) {
        definitions.insert(name.clone(), Value::Null);
        let made = record(fields, vocabulary, definitions);
        definitions.insert(name.clone(), made);
    }
    json!({ "$ref": format!("#/$defs/{name}") })
}

/// All terms of some kinds: an enumeration, which an editor completes, and a pattern for the spellings of the same terms that
/// proofreading takes as well (hyphens, a plural, British or American letters, a capital), so that it marks slips only.
fn terms(kinds: &[Kind], vocabulary: &Vocabulary, definitions: &mut Map<String, Value>) -> Value {
    let name = kinds.iter().map(|kind| kind.word()).collect::<Vec<_>>().join("-or-");
    if !definitions.contains_key(&name) {
        let mut terms: Vec<&str> = vocabulary
            .iter()
            .filter(|(_, concept)| kinds.contains(&concept.kind))
            .flat_map(|(_, concept)| concept.terms())
            .collect();
        terms.sort_unstable();
        terms.dedup();
        let spellings: Vec<String> = terms.iter().map(|term| spelling(term)).collect();
        let pattern = format!("^(?:{})$", spellings.join("|"));
        definitions
            .insert(name.clone(), json!({ "anyOf": [{ "enum": terms }, { "type": "string", "pattern": pattern }] }));
    }
    json!({ "$ref": format!("#/$defs/{name}") })
}

/// A regular expression for one term in its usual spellings. Only what every dialect of such expressions knows.
fn spelling(term: &str) -> String {
    let mut out = String::new();
    for (at, word) in term.split([' ', '-']).enumerate() {
        if at > 0 {
            out.push_str("[ -]");
        }
        let capitals = word.chars().count() > 1 && word.chars().all(|letter| letter.is_uppercase());
        if capitals {
            out.push_str(&format!("(?:{word}|{})", word.to_lowercase()));
            continue;
        }
        for (at, letter) in word.chars().enumerate() {
            match letter {
                letter if at == 0 && letter.is_alphabetic() => {
                    out.push('[');
                    out.extend(letter.to_lowercase().chain(letter.to_uppercase()));
                    out.push(']');
                }
                '\'' | '’' => out.push_str("['’]"),
                // The standard's dialect knows these escapes and no others.
                '^' | '$' | '\\' | '.' | '*' | '+' | '?' | '(' | ')' | '[' | ']' | '{' | '}' | '|' | '/' => {
                    out.extend(['\\', letter]);
                }
                letter => out.push(letter),
            }
        }
    }
    if out.ends_with('y') {
        out.truncate(out.len() - 1);
        out.push_str("(?:y|ie)");
    }
    for (british, either) in [("ae", "a?e"), ("oe", "o?e"), ("our", "ou?r"), ("isation", "i[sz]ation")] {
        out = out.replace(british, either);
    }
    out + "(?:e?s)?"
}
