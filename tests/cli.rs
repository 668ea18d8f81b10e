//! The command as people run it: what it prints, where, and how it ends.

use crate::support::{BASE, LIBRARY, root};
use std::path::Path;
use std::process::{Command, Output};

fn casewright(args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_casewright")).current_dir(root()).args(args).output().expect("the command runs")
}

fn told(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).expect("UTF-8")
}

fn said(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).expect("UTF-8")
}

fn library(cases: &[(&str, &str)]) -> tempfile::TempDir {
    let place = tempfile::tempdir().expect("a folder");
    std::fs::write(place.path().join("library.yaml"), LIBRARY).expect("a file");
    for (name, text) in cases {
        std::fs::write(place.path().join(name), text).expect("a file");
    }
    place
}

fn path(place: &Path) -> &str {
    place.to_str().expect("a plain path")
}

#[test]
fn proofreading_says_place_line_reason_and_mend() {
    let place = library(&[("a.md", &BASE.replacen("eye: ", "eye: un", 1))]);
    let output = casewright(&["proofread", path(place.path())]);
    assert_eq!(output.status.code(), Some(1));
    assert_eq!(said(&output), "");
    let report = told(&output);
    assert!(report.starts_with("a.md, line "), "{report}");
    assert!(
        report.contains("~~~") && report.contains("To mend it: write") && report.ends_with("1 case read: 1 error.\n"),
        "{report}"
    );
}

#[test]
fn proofreading_for_programs_is_one_json_document() {
    let place = library(&[("a.md", &BASE.replacen("eye: ", "eye: un", 1))]);
    let output = casewright(&["proofread", path(place.path()), "--format", "json"]);
    assert_eq!(output.status.code(), Some(1));
    let document: serde_json::Value = serde_json::from_str(&said(&output)).expect("JSON");
    assert_eq!(document["version"], 1);
    assert_eq!(document["errors"], 1);
    assert_eq!(document["diagnostics"][0]["rule"], "unreadable-value");
    assert_eq!(document["diagnostics"][0]["path"], "a.md");
    assert!(document["diagnostics"][0]["column"].as_u64().is_some_and(|column| column > 1));
}

#[test]
fn a_faulty_case_stops_everything_unless_it_is_left_out() {
    let place = library(&[("a.md", BASE), ("b.md", &BASE.replacen("eye: ", "eye: un", 1))]);
    let site = place.path().join("site");
    let refused = casewright(&["compile", path(place.path()), "--into", path(&site)]);
    assert_eq!(refused.status.code(), Some(1));
    assert!(told(&refused).contains("Nothing was written: 1 error in 1 case."), "{}", told(&refused));
    assert!(!site.exists());
    let partly = casewright(&["compile", path(place.path()), "--into", path(&site), "--leave-out-faulty"]);
    assert_eq!(partly.status.code(), Some(1));
    assert!(told(&partly).contains("Left out for their errors: b.md"), "{}", told(&partly));
    assert!(site.join("cases/a.html").exists() && !site.join("cases/b.html").exists());
}

#[test]
fn a_withdrawn_case_leaves_the_site_and_the_others_stay() {
    let withdrawn = BASE.replacen("status: obtained", "status: withdrawn", 1);
    assert_ne!(withdrawn, BASE);
    let place = library(&[("a.md", BASE), ("b.md", BASE)]);
    let site = place.path().join("site");
    let args = ["compile", path(place.path()), "--into", path(&site)];
    assert_eq!(casewright(&args).status.code(), Some(0));
    assert!(site.join("cases/b.html").exists());
    std::fs::write(place.path().join("b.md"), withdrawn).expect("a file");
    let again = casewright(&args);
    assert_eq!(again.status.code(), Some(0), "{}", told(&again));
    assert!(site.join("cases/a.html").exists() && !site.join("cases/b.html").exists());
}

#[test]
fn a_withdrawal_waits_for_nobodys_errors() {
    let withdrawn = BASE.replacen("status: obtained", "status: withdrawn", 1);
    let place = library(&[("a.md", BASE), ("b.md", BASE), ("c.md", BASE)]);
    let site = place.path().join("site");
    let args = ["compile", path(place.path()), "--into", path(&site)];
    assert_eq!(casewright(&args).status.code(), Some(0));
    let put = |name: &str, text: &str| {
        let file = place.path().join(name);
        std::fs::create_dir_all(file.parent().expect("a folder")).expect("a folder");
        std::fs::write(file, text).expect("a file");
    };

    // A typo alone changes nothing; one beside a withdrawal does not keep the withdrawn case online.
    put("a.md", &BASE.replacen("eye: ", "eye: un", 1));
    assert!(told(&casewright(&args)).contains("Nothing was written"));
    assert!(site.join("cases/a.html").exists());
    put("b.md", &withdrawn);
    let taken_down = casewright(&args);
    assert_eq!(taken_down.status.code(), Some(1));
    assert!(
        told(&taken_down)
            .contains("Taken down, since it is withdrawn, not for these readers, or gone from the library: b."),
        "{}",
        told(&taken_down)
    );
    assert!(told(&taken_down).contains("Left out for their errors: a.md"), "{}", told(&taken_down));
    assert!(site.join("cases/c.html").exists() && !site.join("cases/b.html").exists());
    // Once it is gone, errors stop a compile again.
    assert!(told(&casewright(&args)).contains("Nothing was written"));

    // Nor do errors outside the cases, a broken theme, or having no case left.
    put("a.md", BASE);
    put("theme/templates/case.html", "{{ nonsense(");
    put("vocabulary/own.yaml", "kind: technique\nconcepts: [{nonsense: 1}]\n");
    put("c.md", &withdrawn);
    put("library.yaml", "titel: wrong\n");
    let last = casewright(&args);
    assert!(
        told(&last).contains("Taken down, since it is withdrawn, not for these readers, or gone from the library: c."),
        "{}",
        told(&last)
    );
    assert!(site.join("cases/a.html").exists() && !site.join("cases/c.html").exists());
    put("a.md", &withdrawn);
    let none = casewright(&args);
    assert!(
        told(&none).contains("Taken down, since it is withdrawn, not for these readers, or gone from the library: a."),
        "{}",
        told(&none)
    );
    assert!(site.join("index.html").exists() && !site.join("cases").exists());
}

#[test]
fn what_may_be_shown_no_longer_is_taken_down_for_whatever_reason() {
    let public = BASE.replacen("audience: department", "audience: public", 1).replacen(
        "scope: teaching",
        "scope: [teaching, publication]",
        1,
    );
    assert_ne!(public, BASE);
    // A second reader vouches for the case as it stands; the error says what it is.
    let alone = library(&[("a.md", &public)]);
    let asked = told(&casewright(&["proofread", path(alone.path()), "--for", "public"]));
    let hash = asked.split("of: ").nth(1).and_then(|rest| rest.get(..16)).expect("a hash");
    let review = format!("review: {{by: second consultant, on: 2026-05, of: {hash}}}\naudience: public");
    let public = public.replacen("audience: public", &review, 1);
    let place = library(&[
        ("narrowed.md", &public),
        ("pending.md", &public),
        ("gone.md", &public),
        ("stays.md", &public),
        ("typo.md", &public),
    ]);
    let site = place.path().join("site");
    let args = ["compile", path(place.path()), "--into", path(&site), "--for", "public"];
    assert_eq!(casewright(&args).status.code(), Some(0), "{}", told(&casewright(&args)));
    let put = |name: &str, text: &str| std::fs::write(place.path().join(name), text).expect("a file");
    put("typo.md", &public.replacen("eye: ", "eye: un", 1));
    assert!(told(&casewright(&args)).contains("Nothing was written"));
    // Each with a typo of its own besides.
    let typo = |text: String| text.replacen("eye: ", "eye: un", 1);
    put("narrowed.md", &typo(public.replacen("audience: public", "audience: department", 1)));
    put("pending.md", &typo(public.replacen("status: obtained", "status: pending", 1)));
    std::fs::remove_file(place.path().join("gone.md")).expect("it was there");
    let again = casewright(&args);
    assert!(told(&again).contains("gone from the library: gone, narrowed and pending."), "{}", told(&again));
    let shown = |name: &str| site.join(format!("cases/{name}.html")).exists();
    assert!(shown("stays") && !["gone", "narrowed", "pending", "typo"].into_iter().any(shown));
}

#[test]
fn a_public_site_holds_nothing_of_the_departments_cases() {
    let site = tempfile::tempdir().expect("a folder");
    let into = site.path().join("site");
    let output = casewright(&["compile", "cases", "--into", path(&into), "--for", "public"]);
    assert_eq!(output.status.code(), Some(0), "{}", told(&output));
    let manifest = std::fs::read_to_string(into.join("casewright-manifest.json")).expect("a manifest");
    assert!(manifest.contains("cases/first-on-the-list.html"));
    assert!(!manifest.contains("a-fixed-smudge") && !manifest.contains("the-quiet-fourth-day"));
    let other = casewright(&["compile", "cases", "--into", path(&into)]);
    assert_eq!(other.status.code(), Some(2), "a change of audience has to be asked for");
    let asked = casewright(&["compile", "cases", "--into", path(&into), "--change-audience"]);
    assert_eq!(asked.status.code(), Some(0), "{}", told(&asked));
}

#[test]
fn explanations_are_for_people_and_programs() {
    let one = casewright(&["explain", "missing-unit"]);
    assert_eq!(one.status.code(), Some(0));
    let text = said(&one);
    assert!(text.starts_with("missing-unit (error)\n") && text.contains("Instead of") && text.contains("iop: 15 mmHg"));
    let json: serde_json::Value =
        serde_json::from_str(&said(&casewright(&["explain", "missing-unit", "--format", "json"]))).expect("JSON");
    assert_eq!(json["rule"], "missing-unit");
    let all = said(&casewright(&["explain"]));
    assert_eq!(all.lines().count(), casewright::rules::all().len());
    let odd = casewright(&["explain", "missing-units"]);
    assert_eq!(odd.status.code(), Some(2));
    assert_eq!(told(&odd), "casewright: no rule is called `missing-units`; did you mean `missing-unit`?\n");
}

#[test]
fn what_cannot_run_ends_with_two_and_says_why() {
    let nowhere = casewright(&["proofread", "no-such-folder"]);
    assert_eq!(nowhere.status.code(), Some(2));
    assert!(told(&nowhere).contains("could not open the library `no-such-folder`"));
    assert_eq!(casewright(&["compile", "--colour"]).status.code(), Some(2));
    assert_eq!(casewright(&["--help"]).status.code(), Some(0));
    let place = library(&[("a.md", BASE)]);
    let full = tempfile::tempdir().expect("a folder");
    std::fs::write(full.path().join("thesis.txt"), "mine").expect("a file");
    let refused = casewright(&["compile", path(place.path()), "--into", path(full.path())]);
    assert_eq!(refused.status.code(), Some(2), "{}", told(&refused));
    assert_eq!(std::fs::read_to_string(full.path().join("thesis.txt")).expect("still there"), "mine");
    let over = casewright(&["compile", path(place.path()), "--into", path(place.path())]);
    assert_eq!(over.status.code(), Some(2));
    assert!(told(&over).contains("a site cannot be written over its own library"), "{}", told(&over));
}

#[test]
fn a_report_is_whole_and_goes_to_standard_error() {
    let place = library(&[("a.md", &BASE.replacen("eye: right", "eye: rihgt", 1)), ("b.md", BASE)]);
    let output = casewright(&["proofread", path(place.path())]);
    assert_eq!(
        told(&output),
        "a.md, line 5, column 6
      eye: rihgt
           ~~~~~
  `rihgt` cannot stand here.
  To mend it: write `right`; allowed are left or right.
  More: casewright explain unreadable-value

2 cases read: 1 error.
"
    );
    let sound = library(&[("a.md", BASE)]);
    let output = casewright(&["proofread", path(sound.path())]);
    assert_eq!(
        (output.status.code(), said(&output), told(&output)),
        (Some(0), String::new(), "1 case read: nothing to mend.\n".to_owned())
    );
}

#[test]
fn warnings_do_not_fail_a_run() {
    let place = library(&[("a.md", &BASE.replacen("status: obtained", "status: withdrawn", 1)), ("b.yml", BASE)]);
    let output = casewright(&["proofread", path(place.path())]);
    assert_eq!(output.status.code(), Some(0));
    assert!(told(&output).ends_with("\n1 case read: 2 warnings.\n"), "{}", told(&output));
}

#[test]
fn a_refused_compile_is_a_json_report_for_programs() {
    let place = library(&[("a.md", &BASE.replacen("eye: ", "eye: un", 1))]);
    let site = place.path().join("site");
    let refused = casewright(&["compile", path(place.path()), "--into", path(&site), "--format", "json"]);
    assert_eq!((refused.status.code(), told(&refused)), (Some(1), String::new()));
    let document: serde_json::Value = serde_json::from_str(&said(&refused)).expect("JSON");
    let report = &document["report"];
    assert_eq!((&report["errors"], &report["diagnostics"][0]["line"]), (&1.into(), &5.into()));
    assert!(
        document["why"].as_str().is_some_and(|why| why.contains("1 error in 1 case")) && document["published"] == false
    );
    assert!(!site.exists());
    std::fs::write(place.path().join("a.md"), BASE).expect("a file");
    let done = casewright(&["compile", path(place.path()), "--into", path(&site), "--format", "json"]);
    assert_eq!((done.status.code(), told(&done)), (Some(0), String::new()));
    let summary: serde_json::Value = serde_json::from_str(&said(&done)).expect("JSON");
    assert_eq!((&summary["cases"], &summary["audience"]), (&1.into(), &"department".into()));
    assert_eq!((&summary["published"], &summary["report"]["errors"]), (&true.into(), &0.into()));
    assert!(Path::new(summary["open"].as_str().expect("a path")).is_file());
}

#[test]
fn a_fault_that_is_in_no_case_cannot_be_left_out() {
    let place = library(&[("a.md", BASE)]);
    std::fs::create_dir(place.path().join("vocabulary")).expect("a folder");
    std::fs::write(place.path().join("vocabulary/ours.yaml"), "kind: tool\nconcepts: []\n").expect("a file");
    let site = place.path().join("site");
    let output = casewright(&["compile", path(place.path()), "--into", path(&site), "--leave-out-faulty"]);
    assert_eq!(output.status.code(), Some(1));
    assert!(told(&output).contains("the error in vocabulary/ours.yaml is not in a case"), "{}", told(&output));
    assert!(!site.exists());
}

#[test]
fn a_new_library_is_laid_out_in_an_empty_folder_only() {
    let place = tempfile::tempdir().expect("a folder");
    let dir = path(place.path());
    let begun = casewright(&["start", dir]);
    assert_eq!((begun.status.code(), said(&begun)), (Some(0), String::new()));
    assert!(told(&begun).contains(&format!("casewright proofread {dir}\n")), "{}", told(&begun));
    let proofread = casewright(&["proofread", dir]);
    assert_eq!((proofread.status.code(), told(&proofread)), (Some(0), "2 cases read: nothing to mend.\n".to_owned()));
    std::fs::write(place.path().join("library.yaml"), "title: Ours now\n").expect("a file");
    let again = casewright(&["start", dir]);
    assert_eq!(again.status.code(), Some(2));
    assert_eq!(told(&again), format!("casewright: `{dir}` is not empty; a new library needs a folder of its own\n"));
    let kept = std::fs::read_to_string(place.path().join("library.yaml")).expect("still there");
    assert_eq!(kept, "title: Ours now\n");
}

#[test]
fn the_schema_knows_the_librarys_own_terms() {
    let place = library(&[]);
    std::fs::create_dir(place.path().join("vocabulary")).expect("a folder");
    let ours = "kind: finding\nconcepts:\n  - {name: zz-wibble, label: wibble, definition: What we call it here.}\n";
    std::fs::write(place.path().join("vocabulary/ours.yaml"), ours).expect("a file");
    let (with, without) = (casewright(&["schema", path(place.path())]), casewright(&["schema"]));
    for output in [&with, &without] {
        assert_eq!((output.status.code(), told(output)), (Some(0), String::new()));
        let schema: serde_json::Value = serde_json::from_str(&said(output)).expect("JSON");
        assert_eq!(schema["$schema"], "https://json-schema.org/draft/2020-12/schema");
    }
    assert!(said(&with).contains("\"wibble\"") && !said(&without).contains("\"wibble\""));
}

#[test]
fn options_that_do_not_exist_are_refused_with_help() {
    for args in
        [&["proofread", "--colour"][..], &["compile", "cases"], &["explain", "--format", "xml"], &["publish"], &[]]
    {
        let output = casewright(args);
        assert_eq!(output.status.code(), Some(2), "{args:?}");
        assert_eq!(said(&output), "", "{args:?}");
        let helped = ["Usage: casewright", "try '--help'"].iter().any(|help| told(&output).contains(help));
        assert!(helped, "{args:?}: {}", told(&output));
    }
    let nothing_near = casewright(&["explain", "weather"]);
    assert_eq!(
        told(&nothing_near),
        "casewright: no rule is called `weather`; `casewright explain` alone lists all rules\n"
    );
}

#[test]
fn verify_finds_what_is_missing_changed_or_foreign() {
    let place = library(&[("a.md", BASE)]);
    let site = place.path().join("site");
    let verify = || {
        let output = casewright(&["verify", path(&site), "--format", "json"]);
        let told: serde_json::Value = serde_json::from_str(&said(&output)).expect("JSON");
        (output.status.code(), told)
    };
    assert_eq!(casewright(&["verify", path(place.path())]).status.code(), Some(2), "a library is no site");
    assert_eq!(casewright(&["compile", path(place.path()), "--into", path(&site)]).status.code(), Some(0));
    let (code, told) = verify();
    assert_eq!((code, &told["whole"]), (Some(0), &serde_json::json!(true)));
    std::fs::write(site.join("note.txt"), "not ours").expect("a file");
    let (code, told) = verify();
    assert_eq!((code, &told["foreign"]), (Some(0), &serde_json::json!(["note.txt"])));
    std::fs::write(site.join("cases/a.html"), "something else").expect("a file");
    std::fs::remove_file(site.join("methods.html")).expect("it stands there");
    std::fs::remove_file(site.join("SHA256SUMS")).expect("it stands there");
    let (code, told) = verify();
    assert_eq!((code, &told["whole"]), (Some(1), &serde_json::json!(false)));
    assert_eq!(told["changed"], serde_json::json!(["cases/a.html"]));
    assert_eq!(told["missing"], serde_json::json!(["methods.html", "SHA256SUMS"]));
}

#[test]
fn withdrawing_names_what_to_delete_elsewhere() {
    let place = library(&[("a.md", BASE), ("b.md", BASE)]);
    let site = place.path().join("site");
    assert_eq!(casewright(&["compile", path(place.path()), "--into", path(&site)]).status.code(), Some(0));
    // A tombstone: nothing of the patient is left in the library.
    std::fs::write(place.path().join("b.md"), "---\nconsent: {status: withdrawn}\n---\n").expect("a file");
    let output = casewright(&["compile", path(place.path()), "--into", path(&site)]);
    assert_eq!(output.status.code(), Some(0), "{}", told(&output));
    let words = told(&output);
    assert!(
        words.contains("delete these wherever it was copied to:\n  cases/b-source.html\n  cases/b.html\n"),
        "{words}"
    );
    assert!(
        words.contains("  find/") && words.contains("put the whole of this site in the place of every copy"),
        "{words}"
    );
    assert!(!site.join("cases/b.html").exists() && site.join("cases/a.html").exists());
}

#[test]
fn a_report_of_what_singles_a_case_out_names_the_facts() {
    let place = library(&[("a.md", BASE), ("b.md", &BASE.replacen("age: 71", "age: 34", 1))]);
    let output = casewright(&["proofread", path(place.path()), "--singling-out", "--format", "json"]);
    let told: serde_json::Value = serde_json::from_str(&said(&output)).expect("JSON");
    assert_eq!(told[0], serde_json::json!({ "case": "a", "facts": [["70 to 79 years"]] }));
    assert_eq!(told[1]["facts"][0], serde_json::json!(["30 to 39 years"]));
}

#[test]
fn finding_tells_cases_reasons_and_what_else_was_searched() {
    let output = casewright(&["find", "PCR", "--library", "cases"]);
    assert_eq!(output.status.code(), Some(0));
    let text = said(&output);
    assert!(text.starts_with("Also searched: every name of posterior capsule rupture.\n"), "{text}");
    assert!(text.contains("The disc that took the capsule with it (a-fixed-smudge)"), "{text}");
    assert!(text.contains("    posterior capsule rupture\n"), "{text}");

    let output = casewright(&["find", "posterior", "polar", "vitrectmy", "--library", "cases", "--format", "json"]);
    let found: serde_json::Value = serde_json::from_str(&said(&output)).expect("JSON");
    assert_eq!(found["cases"][0]["name"], "a-fixed-smudge");
    assert_eq!(found["mended"][0]["word"], "vitrectmy");
    assert_eq!(found["mended"][0]["searched"][0], "vitrectomy");
}

#[test]
fn finding_filters_and_hides_lessons() {
    let all = ["find", "--library", "cases", "--only", "complication=vitreous-loss", "--format", "json", "--filters"];
    let found: serde_json::Value = serde_json::from_str(&said(&casewright(&all))).expect("JSON");
    let count = found["whole"].as_u64().expect("a number");
    assert!(count >= 5, "{count} cases with vitreous loss");
    let filters = found["filters"].as_array().expect("filters");
    let same = filters.iter().find(|it| it["only"] == "complication=vitreous-loss").expect("the filter itself");
    assert_eq!(same["cases"].as_u64(), Some(count));
    let further = filters.iter().find(|it| it["only"] == "complication=posterior-capsule-rupture").expect("a filter");
    let both = [&all[..], &["--only", "complication=posterior-capsule-rupture"]].concat();
    let narrowed: serde_json::Value = serde_json::from_str(&said(&casewright(&both))).expect("JSON");
    assert_eq!(narrowed["whole"], further["cases"], "a filter leaves as many as it says");

    let hidden = said(&casewright(&["find", "PCR", "--library", "cases", "--hide-lessons"]));
    assert!(hidden.contains("A central smudge that never moves") && !hidden.contains("The disc that took"), "{hidden}");

    let slip = casewright(&["find", "--library", "cases", "--only", "complication=vitreous-los"]);
    assert_eq!(slip.status.code(), Some(2));
    assert!(told(&slip).contains("did you mean `complication=vitreous-loss`?"), "{}", told(&slip));
    assert_eq!(casewright(&["find", "--library", "cases"]).status.code(), Some(2));
}

#[test]
fn a_case_is_explained_as_on_paper_and_for_programs() {
    let paper = said(&casewright(&["explain", "the-allotment", "--library", "cases"]));
    for line in [
        "the-allotment: eye difficulty ",
        "Product of the eye's ratios: ",
        "Baseline 0.736 % (a woman under 60",
        "Probability = odds ÷ (1 + odds): ",
        "Together: 4 of 18 points (4 to ",
        " of 18 points with what was not recorded).",
        " % with what was not recorded).",
        "group 3 had 141 eyes:",
        "not recorded",
        "no prognosis for a patient",
    ] {
        assert!(paper.contains(line), "{line}\n{paper}");
    }
    let json = said(&casewright(&["explain", "the-allotment", "--library", "cases", "--format", "json"]));
    let told: serde_json::Value = serde_json::from_str(&json).expect("JSON");
    let model = |name: &str| {
        told["models"].as_array().expect("models").iter().find(|it| it["model"] == name).expect("a model").clone()
    };
    let dataset = model("narendran-2009");
    let product: f64 = dataset["factors"]
        .as_array()
        .expect("factors")
        .iter()
        .filter(|it| it["by"] == "eye")
        .map(|it| it["weight"]["value"].as_f64().expect("a ratio"))
        .product();
    assert!((product - dataset["eye"]["value"].as_f64().expect("a product")).abs() < 1e-12);
    assert_eq!(model("muhtaseb-2004")["group"], "group 3");
    // Between the anchors and in the reading order every step stands on the paper, with the numbers that were used.
    let digits = |value: f64| format!("{value:.6}").trim_end_matches('0').trim_end_matches('.').to_owned();
    let value = |of: &serde_json::Value| of["value"].as_f64().expect("a value");
    let (odds, points) = (value(&dataset["eye"]), value(&model("habib-2006")["eye"]));
    for (working, part) in [
        (format!("ln({} ÷ 1) ÷ ln(50 ÷ 1) = ", digits(odds)), (odds.ln() / 50_f64.ln()).clamp(0.0, 1.0)),
        (format!("({points} - 1) ÷ (8 - 1) = "), ((points - 1.0) / 7.0).clamp(0.0, 1.0)),
    ] {
        let line = format!("{working}{}\n", digits(part));
        assert!(paper.contains(&line), "{line}\n{paper}");
    }
    let [difficulty, demand, judgement] = [&told["difficulty"], &told["demand"], &told["judgement"]].map(value);
    let order = (50.0 * difficulty + 30.0 * demand + 20.0 * judgement) / 100.0;
    let line = format!(
        "Reading order: (eye difficulty {} × 50 + demand {} × 30 + judgement {} × 20) ÷ 100 = {} (less",
        digits(difficulty),
        digits(demand),
        digits(judgement),
        digits(order)
    );
    assert!(paper.contains(&line), "{line}\n{paper}");
    // What was not recorded is told as that even where it would change nothing, and nothing else is.
    let recorded = |name: &str| {
        let factors = dataset["factors"].as_array().expect("factors");
        factors.iter().find(|it| it["factor"] == name).expect("a factor")["recorded"].clone()
    };
    assert_eq!(recorded("surgeon"), true);
    assert_eq!(recorded("doxazosin"), false);
    // A model that does not apply gives no number, to programs as little as to readers.
    let whole = model("whole-burden");
    assert_eq!(whole["applies"], false);
    for key in ["factors", "eye", "group", "probability", "surgeon_ratio", "probability_with_surgeon"] {
        assert!(whole[key].is_null(), "{key}: {}", whole[key]);
    }
    let child = said(&casewright(&["explain", "the-picture-book", "--library", "cases", "--format", "json"]));
    let child: serde_json::Value = serde_json::from_str(&child).expect("JSON");
    for it in child["models"].as_array().expect("models").iter().filter(|it| it["applies"] == false) {
        assert!(it["probability"].is_null() && it["eye"].is_null() && it["group"].is_null(), "{it}");
    }
    let odd = casewright(&["explain", "the-alotment", "--library", "cases"]);
    assert_eq!(odd.status.code(), Some(2));
    let near = String::from_utf8_lossy(&odd.stderr).into_owned();
    assert!(near.contains("did you mean `the-allotment`?"), "{near}");
}

/// The README shows a narration beside its draft: every sentence was said, and everything drafted is in the draft.
#[test]
fn the_readme_shows_what_is_drafted() {
    let narration = std::fs::read_to_string(root().join("tests/narrations/hot-tip.txt")).expect("the narration");
    let draft = said(&casewright(&["draft", "tests/narrations/hot-tip.txt"]));
    let readme = std::fs::read_to_string(root().join("README.md")).expect("the README");
    let (_, table) =
        readme.split_once("| heard (`tests/narrations/hot-tip.txt`) | drafted |\n|---|---|\n").expect("the table");
    let mut rows = 0;
    for row in table.lines().take_while(|line| line.starts_with('|')) {
        let cells: Vec<&str> = row.trim_matches('|').split(" | ").map(str::trim).collect();
        assert!(narration.contains(cells[0]), "not said: {}", cells[0]);
        for drafted in cells[1].split('`').skip(1).step_by(2) {
            assert!(draft.contains(drafted), "not drafted: {drafted}\n{draft}");
        }
        rows += 1;
    }
    assert_eq!(rows, 6);
}

/// Words in which nothing of an operation is recognised give no file: it would publish, for nothing in it waits for review.
#[test]
fn a_narration_of_nothing_drafts_nothing() {
    let place = tempfile::tempdir().expect("a folder");
    let (talk, into) = (place.path().join("talk.txt"), place.path().join("case.md"));
    std::fs::write(&talk, "[0:01] um\n[0:05] erm, well\n").expect("a narration");
    let run = casewright(&["draft", path(&talk), "--into", path(&into)]);
    assert_eq!(run.status.code(), Some(1), "{}", told(&run));
    assert!(told(&run).contains("Nothing of an operation was recognised") && said(&run).is_empty(), "{}", told(&run));
    assert!(!into.exists(), "nothing is written");
}
