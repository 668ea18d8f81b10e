//! The shape of items and manifests, element by element, written from the published binding of the standard.
//!
//! No package that we may install ships the schemas of QTI, so this is a table of our own, made from IMS QTI 2.1, XML Binding
//! (the schema `imsqti_v2p1.xsd`, groups `*.AttrGroup` and `*.ContentGroup`; for what it says of interactions and feedback as
//! quoted in the source of the Python package pyslet, the rest from memory). QTI 3.0 says the same with `qti-` and hyphens in
//! its names and a `qti-content-body` in feedback (QTI 3.0 information model). It holds for the elements that we write; any
//! other is a fault. `tests/oracles/export.py` lets other people's readers play the same packages.

use super::support::{of, of_demo, unzipped};
use crate::support::{BASE, LIBRARY};
use casewright::files::Memory;
use roxmltree::{Document, Node};
use std::collections::BTreeSet;

/// What may stand in an element.
enum Content {
    /// These, in this order: names, least, most.
    Row(&'static [(&'static [&'static str], usize, usize)]),
    /// Any of these, in any order.
    Any(&'static [&'static str]),
}

/// What an element is like.
struct Rule {
    must: &'static [&'static str],
    may: &'static [&'static str],
    text: bool,
    content: Content,
}

const MANY: usize = usize::MAX;
const INLINE: &[&str] = &["em", "strong", "code", "br"];
const BLOCK: &[&str] = &["p", "h3", "h4", "pre", "blockquote", "ul", "ol", "table", "hr", "div", "choiceInteraction"];
const FLOW: &[&str] =
    &["p", "h3", "h4", "pre", "blockquote", "ul", "ol", "table", "hr", "div", "em", "strong", "code", "br"];
const EXPRESSION: &[&str] = &["isNull", "variable", "mapResponse", "baseValue"];
const ACTION: &[&str] = &["setOutcomeValue", "responseCondition"];

fn rule(name: &str) -> Option<Rule> {
    use Content::{Any, Row};
    let rule = |must, may, text, content| Some(Rule { must, may, text, content });
    let nothing = Row(&[]);
    match name {
        "assessmentItem" => rule(
            &["identifier", "title", "adaptive", "timeDependent"],
            &["label", "lang", "toolName", "toolVersion", "schemaLocation"],
            false,
            Row(&[
                (&["responseDeclaration"], 0, MANY),
                (&["outcomeDeclaration"], 0, MANY),
                (&["itemBody"], 0, 1),
                (&["responseProcessing"], 0, 1),
                (&["modalFeedback"], 0, MANY),
            ]),
        ),
        "responseDeclaration" => rule(
            &["identifier", "cardinality"],
            &["baseType"],
            false,
            Row(&[(&["correctResponse"], 0, 1), (&["mapping"], 0, 1)]),
        ),
        "correctResponse" | "defaultValue" => rule(&[], &[], false, Row(&[(&["value"], 1, MANY)])),
        "value" => rule(&[], &[], true, nothing),
        "mapping" => rule(&["defaultValue"], &["lowerBound", "upperBound"], false, Row(&[(&["mapEntry"], 1, MANY)])),
        "mapEntry" => rule(&["mapKey", "mappedValue"], &[], false, nothing),
        "outcomeDeclaration" => rule(
            &["identifier", "cardinality"],
            &["baseType", "normalMaximum", "normalMinimum"],
            false,
            Row(&[(&["defaultValue"], 0, 1)]),
        ),
        "itemBody" => rule(&[], &[], false, Any(BLOCK)),
        "choiceInteraction" => rule(
            &["responseIdentifier", "shuffle", "maxChoices"],
            &["minChoices"],
            false,
            Row(&[(&["prompt"], 0, 1), (&["simpleChoice"], 1, MANY)]),
        ),
        "prompt" => rule(&[], &[], true, Any(INLINE)),
        "simpleChoice" => rule(&["identifier"], &["fixed"], true, Any(FLOW)),
        "responseProcessing" => rule(&[], &[], false, Any(ACTION)),
        "responseCondition" => rule(&[], &[], false, Row(&[(&["responseIf"], 1, 1), (&["responseElse"], 0, 1)])),
        "responseIf" => rule(&[], &[], false, Row(&[(EXPRESSION, 1, 1), (ACTION, 0, MANY)])),
        "responseElse" => rule(&[], &[], false, Any(ACTION)),
        "isNull" => rule(&[], &[], false, Row(&[(EXPRESSION, 1, 1)])),
        "variable" | "mapResponse" => rule(&["identifier"], &[], false, nothing),
        "baseValue" => rule(&["baseType"], &[], true, nothing),
        "setOutcomeValue" => rule(&["identifier"], &[], false, Row(&[(EXPRESSION, 1, 1)])),
        "modalFeedback" => rule(&["outcomeIdentifier", "showHide", "identifier"], &["title"], true, Any(FLOW)),
        "contentBody" | "li" | "td" | "th" | "div" => rule(&[], &[], true, Any(FLOW)),
        "p" | "h3" | "h4" | "pre" | "em" | "strong" | "code" => rule(&[], &[], true, Any(INLINE)),
        "blockquote" => rule(&[], &[], false, Any(BLOCK)),
        "ul" | "ol" => rule(&[], &[], false, Row(&[(&["li"], 0, MANY)])),
        "table" => rule(&[], &[], false, Row(&[(&["thead"], 0, 1), (&["tbody"], 1, MANY)])),
        "thead" | "tbody" => rule(&[], &[], false, Row(&[(&["tr"], 1, MANY)])),
        "tr" => rule(&[], &[], false, Any(&["th", "td"])),
        "br" | "hr" => rule(&[], &[], false, nothing),
        _ => None,
    }
}

/// `qti-simple-choice` becomes `simpleChoice`; names that are not the standard's own stay.
fn of_version_two(name: &str) -> String {
    let mut out = String::new();
    let mut up = false;
    for letter in name.strip_prefix("qti-").unwrap_or(name).chars() {
        if letter == '-' {
            up = true;
        } else {
            out.push(if std::mem::take(&mut up) { letter.to_ascii_uppercase() } else { letter });
        }
    }
    out
}

/// The name of an element as version 2.1 writes it. In version 3.0 only elements of HTML go without `qti-`.
fn element(node: Node<'_, '_>, three: bool) -> String {
    let name = node.tag_name().name();
    let html = rule(name).is_some() && !name.contains(|letter: char| letter.is_ascii_uppercase());
    let ours = ["value", "mapping", "prompt", "variable"].contains(&name) || !html;
    assert!(!three || name.starts_with("qti-") || !ours, "{name} lacks qti-");
    if three { of_version_two(name) } else { name.to_owned() }
}

fn check(node: Node<'_, '_>, three: bool) {
    let name = element(node, three);
    let Some(rule) = rule(&name) else { panic!("`{name}` is not an element that we may write") };
    let written: Vec<String> =
        node.attributes().map(|it| if three { of_version_two(it.name()) } else { it.name().to_owned() }).collect();
    for must in rule.must {
        assert!(written.iter().any(|name| name == must), "{name} lacks {must}");
    }
    for known in &written {
        assert!(rule.must.contains(&known.as_str()) || rule.may.contains(&known.as_str()), "{name} has {known}");
    }
    let blank = |node: &Node<'_, '_>| node.text().is_none_or(|text| text.trim().is_empty());
    assert!(rule.text || node.children().filter(Node::is_text).all(|text| blank(&text)), "{name} holds text");
    let children: Vec<String> = node.children().filter(Node::is_element).map(|node| element(node, three)).collect();
    // In version 3.0 feedback holds one body, and nothing beside it.
    if three && name == "modalFeedback" {
        assert_eq!(children, ["contentBody"]);
    } else {
        match rule.content {
            Content::Any(known) => {
                for child in &children {
                    assert!(known.contains(&child.as_str()), "{name} holds {child}");
                }
            }
            Content::Row(parts) => {
                let mut rest = children.iter().map(String::as_str).peekable();
                for (known, least, most) in parts {
                    let mut met = 0;
                    while met < *most && rest.next_if(|child| known.contains(child)).is_some() {
                        met += 1;
                    }
                    assert!(met >= *least, "{name} has {met} of {known:?}");
                }
                assert_eq!(rest.next(), None, "{name} holds something out of place");
            }
        }
    }
    for child in node.children().filter(Node::is_element) {
        check(child, three);
    }
}

/// The values of an attribute of all elements of a name, both as version 2.1 writes them.
fn values(root: Node<'_, '_>, name: &str, attribute: &str) -> Vec<String> {
    let named = |written: &str, wanted: &str| of_version_two(written) == wanted;
    let nodes = root.descendants().filter(|node| named(node.tag_name().name(), name));
    nodes
        .filter_map(|node| node.attributes().find(|it| named(it.name(), attribute)))
        .map(|it| it.value().to_owned())
        .collect()
}

/// An identifier of QTI: a name of XML without a colon, at most 32 characters long so that every system keeps it whole.
fn is_identifier(text: &str) -> bool {
    let mut letters = text.chars();
    letters.next().is_some_and(|first| first.is_ascii_alphabetic() || first == '_')
        && letters.all(|letter| letter.is_ascii_alphanumeric() || "_-.".contains(letter))
        && text.len() <= 32
}

fn item(text: &str, three: bool) {
    let document = Document::parse(text).expect("XML");
    let root = document.root_element();
    check(root, three);
    let space =
        if three { "http://www.imsglobal.org/xsd/imsqtiasi_v3p0" } else { "http://www.imsglobal.org/xsd/imsqti_v2p1" };
    assert!(root.descendants().filter(Node::is_element).all(|node| node.tag_name().namespace() == Some(space)));
    // Everything that is named is there: each choice has a score and a feedback, and the correct one is a choice.
    let choices: BTreeSet<String> = values(root, "simpleChoice", "identifier").into_iter().collect();
    assert!(choices.len() >= 2);
    assert_eq!(values(root, "mapEntry", "mapKey").into_iter().collect::<BTreeSet<_>>(), choices);
    assert_eq!(values(root, "modalFeedback", "identifier").into_iter().collect::<BTreeSet<_>>(), choices);
    let correct = root.descendants().find(|node| of_version_two(node.tag_name().name()) == "correctResponse");
    let correct: Vec<&str> = correct
        .expect("a correct response")
        .descendants()
        .filter_map(|node| node.text().filter(|_| node.is_text()))
        .collect();
    assert!(matches!(correct.as_slice(), [one] if choices.contains(*one)), "{correct:?}");
    let ids = choices.iter().map(String::as_str).chain(root.attribute("identifier"));
    for id in ids {
        assert!(is_identifier(id), "{id}");
    }
}

fn package(zip: &[u8], three: bool) -> usize {
    let files = unzipped(zip);
    let manifest = Document::parse(&files["imsmanifest.xml"]).expect("XML");
    let root = manifest.root_element();
    // IMS Content Packaging: metadata, organizations, resources, in this order.
    let parts: Vec<&str> = root.children().filter(Node::is_element).map(|node| node.tag_name().name()).collect();
    assert_eq!(parts, ["metadata", "organizations", "resources"]);
    let resources: Vec<Node<'_, '_>> = root
        .descendants()
        .filter(|node| node.has_tag_name((root.tag_name().namespace().expect("a namespace"), "resource")))
        .collect();
    let hrefs: BTreeSet<&str> = resources.iter().filter_map(|node| node.attribute("href")).collect();
    let items: BTreeSet<&str> = files.keys().map(String::as_str).filter(|path| *path != "imsmanifest.xml").collect();
    assert_eq!(hrefs, items, "the manifest names what is there");
    let kind = if three { "imsqti_item_xmlv3p0" } else { "imsqti_item_xmlv2p1" };
    let names: BTreeSet<&str> = resources.iter().filter_map(|node| node.attribute("identifier")).collect();
    assert_eq!(names.len(), resources.len());
    for node in &resources {
        assert_eq!(node.attribute("type"), Some(kind));
        let files: Vec<_> = node.children().filter(Node::is_element).filter_map(|it| it.attribute("href")).collect();
        assert_eq!(files, [node.attribute("href").expect("a path")]);
    }
    for path in &items {
        item(&files[*path], three);
    }
    items.len()
}

#[test]
fn every_item_of_the_demo_has_the_shape_of_the_standard() {
    let files = of_demo();
    let two = package(&files["questions-qti-2.1.zip"], false);
    assert_eq!(package(&files["questions-qti-3.0.zip"], true), two);
    assert!(two > 50);
}

#[test]
fn whatever_an_author_writes_the_shape_holds() {
    let account = "# One\n\nText with *marks*, `code`, a [link](#one) and a break\\\nhere[^a].\n\n> Quoted\n>\n> - in a list\n\n\
                   1. first\n2. second\n\n   more\n\n| a | b |\n|---|---|\n| 1 | & < > |\n\n| lonely |\n|---|\n\n    indented\n\n***\n\n~~gone~~ \u{1}\u{b}\n\n[^a]: A note\n\n    of two parts.\n\n- item\n\n```decision\nid: one\nat: s3\nask: \"<b> & \\\"what\\\"?\"\noptions: [{choice: \"<i>\", verdict: best, because: \"& so\"}, {choice: No, verdict: risky, because: \"]]>\"}]\n```\n\nafter\n";
    let files = of(&Memory::default().with("library.yaml", LIBRARY).with("a.md", format!("{BASE}\n{account}")));
    assert_eq!(package(&files["questions-qti-2.1.zip"], false), 1);
    assert_eq!(package(&files["questions-qti-3.0.zip"], true), 1);
}

#[test]
#[should_panic(expected = "holds something out of place")]
fn an_element_out_of_place_is_seen() {
    let files = of_demo();
    let items = unzipped(&files["questions-qti-2.1.zip"]);
    let (_, text) = items.iter().find(|(path, _)| path.starts_with("items/")).expect("an item");
    item(
        &text.replacen(
            "<simpleChoice ",
            "<simpleChoice identifier=\"x\">x</simpleChoice><prompt>late</prompt><simpleChoice ",
            1,
        ),
        false,
    );
}
