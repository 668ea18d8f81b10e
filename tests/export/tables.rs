//! The tables: described as they stand, in order, and harmless in a spreadsheet.

use super::support::{of, of_demo, records, rows, text};
use crate::support::{BASE, LIBRARY};
use casewright::files::Memory;
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};

fn descriptor(files: &BTreeMap<String, Vec<u8>>) -> Value {
    serde_json::from_slice(&files["datapackage.json"]).expect("JSON")
}

/// What the descriptor says of each table, by path.
fn resources(files: &BTreeMap<String, Vec<u8>>) -> BTreeMap<String, Value> {
    let descriptor = descriptor(files);
    let all = descriptor["resources"].as_array().expect("resources");
    all.iter().map(|it| (it["path"].as_str().expect("a path").to_owned(), it.clone())).collect()
}

fn texts(values: &Value) -> Vec<&str> {
    values.as_array().into_iter().flatten().filter_map(Value::as_str).collect()
}

#[test]
fn every_table_is_described_as_it_stands() {
    let files = of_demo();
    let described = resources(&files);
    let tables: BTreeSet<&String> = files.keys().filter(|path| path.ends_with(".csv")).collect();
    assert_eq!(described.keys().collect::<BTreeSet<_>>(), tables);
    for (path, resource) in &described {
        let bytes = &files[path];
        assert_eq!(resource["bytes"], bytes.len(), "{path}");
        let hash = casewright::model::digest::Digest::of(bytes).to_string();
        assert_eq!(resource["hash"].as_str(), Some(format!("sha256:{hash}").as_str()), "{path}");
        let records = records(&text(&files, path));
        let fields = resource["schema"]["fields"].as_array().expect("fields");
        let names: Vec<&str> = fields.iter().filter_map(|field| field["name"].as_str()).collect();
        assert_eq!(records[0], names, "{path}");
        for field in fields {
            assert!(field["description"].as_str().is_some_and(|says| says.ends_with('.')), "{path}: {field}");
        }
        // Keys tell rows apart, and lead somewhere.
        let places = |columns: &Value| -> Vec<usize> {
            let at = |name: &&str| names.iter().position(|known| known == name).expect("a column");
            texts(columns).iter().map(at).collect()
        };
        let key = places(&resource["schema"]["primaryKey"]);
        assert!(!key.is_empty(), "{path} has no key");
        let keys: BTreeSet<Vec<&String>> =
            records[1..].iter().map(|row| key.iter().map(|&at| &row[at]).collect()).collect();
        assert_eq!(keys.len(), records.len() - 1, "{path} has a key twice");
        for foreign in resource["schema"]["foreignKeys"].as_array().into_iter().flatten() {
            let to = foreign["reference"]["resource"].as_str().expect("a table");
            let column = texts(&foreign["reference"]["fields"])[0].to_owned();
            let known: BTreeSet<String> =
                rows(&files, to).into_iter().map(|mut row| row.remove(&column).expect("a key")).collect();
            let at = places(&foreign["fields"])[0];
            for row in &records[1..] {
                assert!(row[at].is_empty() || known.contains(&row[at]), "{path}: {} is not in {to}", row[at]);
            }
        }
    }
}

#[test]
fn the_descriptor_carries_the_caution_and_says_that_no_licence_is_stated() {
    let descriptor = descriptor(&of_demo());
    let says = descriptor["description"].as_str().expect("a description");
    for part in [
        "Teaching material, not a clinical decision tool",
        "its counts are not rates",
        "states no licence",
        "drop one apostrophe",
    ] {
        assert!(says.contains(part), "{part}");
    }
    assert!(descriptor.get("licenses").is_none());
}

#[test]
fn every_number_has_one_plain_unit_which_its_column_names() {
    // 540 um, 0.6 cm, a twelfth of a year: written in the units that the descriptor names (SI prefixes; a month by the
    // Gregorian mean year of 365.2425 days, taken as 365.25: common practice).
    let case = BASE
        .replace("iop: 16 mmHg}", "iop: 2 kPa, corneal thickness: 540 um, refraction: -0.25 -0.50 x 90}")
        .replace("{after: 6 weeks, acuity: {unaided: 6/9}}", "{after: 3 months, acuity: {unaided: CF at 1 m}}");
    assert!(case.contains("540 um") && case.contains("3 months"));
    let files = of(&Memory::default().with("library.yaml", LIBRARY).with("a.md", &case));
    let measured: BTreeMap<(String, String), (String, String)> = rows(&files, "measurements")
        .into_iter()
        .map(|row| ((row["visit"].clone(), row["measure"].clone()), (row["low"].clone(), row["unit"].clone())))
        .collect();
    let of = |visit: &str, measure: &str| {
        let (low, unit) = &measured[&(visit.to_owned(), measure.to_owned())];
        (low.as_str(), unit.as_str())
    };
    assert_eq!(of("a/b1", "corneal thickness"), ("0.54", "mm"));
    // 1 kPa is 7.50062 mmHg (NIST SP 811, table B.8: 1 mmHg is 133.3224 Pa).
    let (pressure, unit) = of("a/b1", "iop");
    assert!(pressure.starts_with("15.001") && unit == "mmHg", "{pressure} {unit}");
    // A signed number in a number column stays one.
    assert_eq!(of("a/b1", "refraction, sphere"), ("-0.25", "D"));
    assert_eq!(of("a/b1", "refraction, axis"), ("90", "degrees"));
    // 6/18 is 0.477 logMAR: log10 of 3.
    assert_eq!(of("a/b1", "acuity, best corrected"), ("0.477121255", "logMAR"));
    assert_eq!(of("a/a2", "acuity, unaided"), ("", "logMAR"));
    let days: Vec<String> = rows(&files, "visits").into_iter().map(|row| row["days_after"].clone()).collect();
    assert_eq!(days, ["", "1", "91.3125"]);
}

#[test]
fn what_an_author_wrote_cannot_run_in_a_spreadsheet() {
    // OWASP, "CSV Injection": signs with which a formula begins.
    for sign in ['=', '+', '-', '@', '＝'] {
        let evil = format!("{sign}HYPERLINK(1)");
        let quoted = format!("\"{evil};{evil}\"");
        let case = BASE
            .replace("title: A hard lens in a small eye", &format!("title: {quoted}"))
            .replace(
                "summary: An uneventful operation in words that no rule objects to.",
                &format!("summary: {quoted}"),
            )
            .replace("do: hydrodissection", &format!("do: hydrodissection, note: {quoted}"))
            .replace("{name: Consultant,", &format!("{{name: {quoted},"))
            .replace("\nfollow_up:", &format!("\nlessons: [{quoted}]\nfollow_up:"))
            + &format!(
                "\n```decision\nid: one\nat: s2\nask: {quoted}\noptions: [{{choice: {quoted}, verdict: best, because: {quoted}}}, {{choice: Wait, verdict: risky, because: {quoted}}}]\n```\n"
            );
        let files = of(&Memory::default().with("library.yaml", LIBRARY).with("a.md", &case));
        let mut met = 0;
        for (path, resource) in resources(&files) {
            let kinds: Vec<&str> = resource["schema"]["fields"]
                .as_array()
                .expect("fields")
                .iter()
                .filter_map(|field| field["type"].as_str())
                .collect();
            for record in &records(&text(&files, &path))[1..] {
                for (cell, kind) in record.iter().zip(&kinds) {
                    // A spreadsheet set to another separator cuts at these.
                    for piece in cell.split([';', '\t', '\r', '\n']) {
                        let runs = piece.starts_with(['=', '+', '-', '@', '\t', '\r', '＝', '＋', '－', '＠']);
                        assert!(!runs || piece.parse::<f64>().is_ok() && *kind == "number", "{path}: {cell:?}");
                    }
                    met += usize::from(cell.contains(&format!("'{evil};'{evil}")));
                }
            }
        }
        assert!(met >= 8, "the planted cells are there: {met}");
    }
}

#[test]
fn the_order_of_the_files_does_not_matter() {
    let cases = ["a.md", "b.md", "c.md"];
    let folder = |order: &[&str]| {
        let files = Memory::default().with("library.yaml", LIBRARY);
        of(&order.iter().fold(files, |files, name| files.with(name, BASE)))
    };
    let [a, b, c] = cases;
    assert_eq!(folder(&[a, b, c]), folder(&[c, a, b]));
}
