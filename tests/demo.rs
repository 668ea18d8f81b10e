//! The demo library, the built-in vocabulary, and what `start` and `schema` make of them.

use crate::drawings::{beside_a_page, readings};
use crate::support::{BASE, demo, demo_cases, halves, prepare, prepare_folder, root, said};
use casewright::discover::discover;
use casewright::files::Memory;
use casewright::model::format;
use casewright::model::shape::{Record, Shape};
use casewright::model::vocabulary::{Kind, Vocabulary};
use casewright::text::{Sources, fold_term};
use casewright::{parse, pipeline};
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::process::Command;

fn built_in() -> Vocabulary {
    let inputs = discover(&Memory::default()).expect("a library in memory opens");
    let (vocabulary, said) = pipeline::vocabulary(&inputs);
    let shown = casewright::diag::human::report(&said, &inputs.sources);
    assert!(said.is_empty(), "the built-in vocabulary is not sound:\n{shown}");
    vocabulary
}

#[test]
fn the_demo_library_has_nothing_to_mend() {
    let prepared = prepare(&demo());
    // Rare numbers are what some of these eyes are about; everything else would be a slip.
    // A coder leaves its name in a film; the published copy is without.
    let usual = ["advice unusual-value ", "advice media-metadata "];
    let slips: Vec<String> =
        said(&prepared).into_iter().filter(|line| !usual.iter().any(|start| line.starts_with(start))).collect();
    assert_eq!(slips, Vec::<String>::new());
    let cases = prepared.checked.corpus.cases();
    assert!(cases.len() >= 8, "{} demo cases", cases.len());
    assert_eq!(cases.len(), prepared.inputs.cases.len(), "no demo case is withheld or left out");
    let decisions: usize = cases.iter().map(|cleared| cleared.case().body.decisions.len()).sum();
    assert!(decisions >= cases.len(), "{decisions} decisions in {} cases", cases.len());
}

/// A case page must open over a slow share: the house limit in bytes, alone and with its style sheet and script.
const PAGE: usize = 60_000;
const PAGE_AND_BESIDE: usize = 120_000;

#[test]
fn a_case_page_weighs_little() {
    let pages = readings(&demo());
    assert!(pages.keys().any(|path| path.ends_with("-ask.html")) && pages.len() > 16, "{} pages", pages.len());
    let beside = beside_a_page();
    assert!(beside > 1000, "a style sheet and a script are weighed too");
    let heavy = |page: &String| page.len() >= PAGE || page.len() + beside >= PAGE_AND_BESIDE;
    let heavy: Vec<String> =
        pages.iter().filter(|(_, page)| heavy(page)).map(|(path, page)| format!("{path}: {}", page.len())).collect();
    assert!(
        heavy.is_empty(),
        "pages over {PAGE} bytes, or over {PAGE_AND_BESIDE} with {beside} beside them: {heavy:?}"
    );
}

#[test]
fn the_vocabulary_is_sound_and_covers_the_trade() {
    let vocabulary = built_in();
    let mut kinds: BTreeMap<Kind, usize> = BTreeMap::new();
    for (_, concept) in vocabulary.iter() {
        *kinds.entry(concept.kind).or_default() += 1;
    }
    for (kind, least) in [
        (Kind::Complication, 70),
        (Kind::Technique, 80),
        (Kind::Finding, 70),
        (Kind::Instrument, 40),
        (Kind::Outcome, 1),
        (Kind::Material, 1),
    ] {
        let there = kinds.get(&kind).copied().unwrap_or_default();
        assert!(there >= least, "{there} concepts of the kind {}; at least {least}", kind.word());
    }
    assert!(vocabulary.len() >= 340, "{} concepts", vocabulary.len());
    let terms: BTreeSet<String> =
        vocabulary.iter().flat_map(|(_, concept)| concept.terms().map(fold_term).collect::<Vec<_>>()).collect();
    assert!(terms.len() >= 900, "{} terms", terms.len());
}

#[test]
fn every_concept_says_where_it_comes_from() {
    let without: Vec<String> = built_in()
        .iter()
        .filter(|(_, concept)| concept.sources.is_empty())
        .map(|(_, concept)| concept.name.value.clone())
        .collect();
    assert!(without.is_empty(), "concepts without a source: {without:?}");
}

/// Whether a dotted path names a field of the case format.
fn field(record: &'static Record, path: &str) -> bool {
    let (first, rest) = path.split_once('.').map_or((path, None), |(first, rest)| (first, Some(rest)));
    let Some(found) = record.field(first) else { return false };
    match (rest, inner(found.shape)) {
        (None, _) => true,
        (Some(rest), Some(record)) => field(record, rest),
        (Some(_), None) => false,
    }
}

fn inner(shape: Shape) -> Option<&'static Record> {
    match shape {
        Shape::Map(record) | Shape::Or(_, record) => Some(record),
        Shape::List(item) | Shape::Few(item) | Shape::Entries(item) => inner(*item),
        _ => None,
    }
}

/// The cells of a line of comma-separated values, in which a cell with commas has quotes around it.
fn cells(line: &str) -> Vec<String> {
    let mut cells = vec![String::new()];
    let mut quoted = false;
    for letter in line.chars() {
        match letter {
            '"' => quoted = !quoted,
            ',' if !quoted => cells.push(String::new()),
            other => cells.last_mut().expect("there is one").push(other),
        }
    }
    cells
}

#[test]
fn every_predicate_of_the_risk_models_can_be_written_down() {
    let table = std::fs::read_to_string(root().join("tests/data/predicates.csv")).expect("the table is there");
    let vocabulary = built_in();
    let mut lines = table.lines();
    assert_eq!(lines.next(), Some("model,factor,label,expressed_by"));
    let mut models = BTreeSet::new();
    for line in lines {
        let cells = cells(line);
        let [model, factor, _, expressed_by] = cells.as_slice() else { panic!("not four cells: {line}") };
        models.insert(model.clone());
        for way in expressed_by.split('|') {
            let known = field(&format::CASE, way) || vocabulary.by_name(way).is_some();
            assert!(known, "{model}, {factor}: `{way}` is neither a concept nor a field of a case");
        }
    }
    assert!(models.len() >= 8, "{models:?}");
    assert!(!field(&format::CASE, "before.colour") && !field(&format::CASE, "eye.left"), "the walk can say no");
}

/// Runs the command and gives standard output; it must end well.
fn run(arguments: &[&str]) -> String {
    let output = Command::new(env!("CARGO_BIN_EXE_casewright")).args(arguments).output().expect("the command runs");
    assert!(output.status.success(), "{arguments:?}: {}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).expect("UTF-8")
}

/// Fields as an editor with YAML 1.2 rules reads them: `yes` is a word.
fn fields(front: &str) -> Value {
    serde_yaml::from_str_with_options(front, serde_yaml::options! { strict_booleans: true })
        .unwrap_or_else(|why| panic!("{why}\n{front}"))
}

#[test]
fn the_schema_takes_every_demo_case_and_refuses_slips() {
    let folder = root().join("cases");
    let schema: Value = serde_json::from_str(&run(&["schema", folder.to_str().expect("a path")])).expect("JSON");
    let validator = jsonschema::validator_for(&schema).expect("a JSON Schema");
    let cases = demo_cases();
    assert!(cases.len() >= 8);
    for (name, text) in &cases {
        let case = fields(halves(text).0);
        let faults: Vec<String> =
            validator.iter_errors(&case).map(|fault| format!("{}: {fault}", fault.instance_path())).collect();
        assert!(faults.is_empty(), "{name}: {}", faults.join("\n"));
    }
    for (right, slip) in [
        ("complications:", "complicatons:"),
        ("eye: right", "eye: lefft"),
        ("findings: [", "findings: [wibble, "),
        ("patient: {age: 71, sex: female}", "patient: {age: 71}"),
        ("do: hydrodissection", "do: keratome"),
        ("follow_up: complete", "follow_up: [complete]"),
        ("{grade: consultant}", "{grade: consultant, years: \"9\"}"),
    ] {
        assert!(validator.is_valid(&fields(halves(BASE).0)), "the base case is sound");
        let faulty = BASE.replace(right, slip);
        assert_ne!(faulty, BASE, "{right}");
        assert!(!validator.is_valid(&fields(halves(&faulty).0)), "the schema takes `{slip}`");
    }
}

#[test]
fn a_new_library_has_nothing_to_mend_and_its_schema_fits() {
    let parent = tempfile::tempdir().expect("a folder");
    let folder = parent.path().join("ours");
    run(&["start", folder.to_str().expect("a path")]);
    let prepared = prepare_folder(&folder);
    assert_eq!(said(&prepared), Vec::<String>::new());
    assert_eq!(prepared.checked.corpus.cases().len(), 2);
    let schema = std::fs::read_to_string(folder.join("case.schema.json")).expect("the schema is laid out");
    assert_eq!(schema, run(&["schema", folder.to_str().expect("a path")]));
    let validator = jsonschema::validator_for(&serde_json::from_str(&schema).expect("JSON")).expect("a JSON Schema");
    let side = std::fs::read_to_string(folder.join("in-two-files.yaml")).expect("the side file");
    let modeline = side.lines().next().expect("a first line");
    assert!(modeline.contains("$schema=./case.schema.json"), "{modeline}");
    assert!(validator.is_valid(&fields(&side)));
    let whole = std::fs::read_to_string(folder.join("a-first-case.md")).expect("the worked example");
    assert!(validator.is_valid(&fields(halves(&whole).0)));
}

fn hash(text: &str) -> String {
    let mut sources = Sources::default();
    let id = sources.add("a.md", text);
    let (case, said) = parse::case("a", sources.get(id).expect("just added"), None);
    assert!(said.is_empty(), "{said:?}");
    case.content_hash
}

#[test]
fn the_content_hash_tells_content_alone() {
    for (name, text) in demo_cases().into_iter().chain([("base".to_owned(), BASE.to_owned())]) {
        // The test writes the review itself; those of the demo stand on one line.
        let text: String = text.split_inclusive('\n').filter(|line| !line.starts_with("review: {")).collect();
        assert!(!text.contains("\nreview:"), "{name} still has a review");
        let plain = hash(&text);
        assert_eq!(plain.len(), 16);
        assert_eq!(plain, hash(&text.replace('\n', "\r\n")), "{name}: with carriage returns");
        assert_eq!(plain, hash(&text.replace("\neye:", " \neye:")), "{name}: with a blank at the end of a line");
        for review in [
            "review: {by: second consultant, on: 2026-05}\n",
            "review:\n  by: second consultant\n  of: 0123456789abcdef\n",
        ] {
            for before in ["\neye:", "\nauthors:"] {
                let reviewed = text.replacen(before, &format!("\n{review}{}", &before[1..]), 1);
                assert_ne!(reviewed, text, "{name}");
                assert_eq!(plain, hash(&reviewed), "{name}: {review}");
            }
            let last = text.replacen("\n---\n", &format!("\n{review}---\n"), 1);
            assert_eq!(plain, hash(&last), "{name}: {review} as the last field");
        }
        assert_ne!(plain, hash(&text.replacen("\nsummary: ", "\nsummary: Not ", 1)), "{name}: another summary");
        assert_ne!(plain, hash(&format!("{text}\nOne word more.\n")), "{name}: another narrative");
    }
}
