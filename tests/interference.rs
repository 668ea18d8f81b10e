//! A site or an export for the public is byte for byte what it would be if the withheld cases did not exist.

use crate::support::{BASE, LIBRARY, prepare_for};
use casewright::analyse::analyse;
use casewright::export::export;
use casewright::files::Memory;
use casewright::model::site::{Audience, Page};
use casewright::render::{Theme, render};
use proptest::prelude::*;
use std::collections::BTreeMap;

/// A word that stands in every part of every withheld case, and nowhere else.
const PLANTED: &str = "quernstone";

/// What is generated of a case.
#[derive(Debug, Clone)]
struct Sketch {
    public: bool,
    withdrawn: bool,
    age: u8,
    complication: &'static str,
    finding: &'static str,
    technique: &'static str,
    /// Whether it shows the picture that other cases may show too.
    picture: bool,
    /// The public case it names, by its place.
    links: Option<usize>,
}

fn sketch() -> impl Strategy<Value = Sketch> {
    let complication =
        prop::sample::select(vec!["posterior capsule rupture", "vitreous loss", "iris prolapse", "zonular dialysis"]);
    let finding = prop::sample::select(vec!["small pupil", "white cataract", "short eye", "pseudoexfoliation"]);
    let technique = prop::sample::select(vec!["anterior vitrectomy", "cortex removal", "hydrodelineation"]);
    (
        any::<bool>(),
        prop::bool::weighted(0.2),
        40..89_u8,
        complication,
        finding,
        technique,
        any::<bool>(),
        prop::option::of(0..8_usize),
    )
        .prop_map(|(public, withdrawn, age, complication, finding, technique, picture, links)| Sketch {
            public,
            withdrawn,
            age,
            complication,
            finding,
            technique,
            picture,
            links,
        })
}

const PICTURE: &str = "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 4 3\"><path d=\"M0 0L4 3\"/></svg>\n";

/// The text of a case; `name` is its own.
fn write(sketch: &Sketch, name: &str, public: &[String]) -> String {
    let shown = sketch.public && !sketch.withdrawn;
    let word = if shown { "millstone" } else { PLANTED };
    let status = if sketch.withdrawn { "withdrawn" } else { "obtained" };
    let audience = if sketch.public { "public" } else { "department" };
    let hash = &blake3::hash(PICTURE.as_bytes()).to_hex()[..16];
    let mut text = BASE
        .replace("A hard lens in a small eye", &format!("Case {name} of the {word}"))
        .replace("A routine list, the third patient", &format!("A list with a {word}"))
        .replace("age: 71", &format!("age: {}", sketch.age))
        .replace("small pupil]", &format!("{}]", sketch.finding))
        .replace("absent: [pseudoexfoliation]", "absent: [glaucoma]")
        .replace("posterior capsule rupture", sketch.complication)
        .replace("do: hydrodissection", &format!("do: {}, note: A {word} was heard", sketch.technique))
        .replace("scope: teaching", "scope: [teaching, publication]")
        .replace("status: obtained", &format!("status: {status}"))
        .replace("audience: department", &format!("audience: {audience}"));
    if sketch.picture {
        let looked = format!("looked_at: {{by: nobody, of: {hash}, faces: none, iris: none, words: none}}");
        let media = format!("media: [{{file: eye.svg, alt: A {word}., {looked}}}]\nconsent:");
        text = text.replace("\nconsent:", &format!("\n{media}"));
    }
    if let Some(other) = sketch.links.and_then(|at| public.get(at)).filter(|other| *other != name) {
        text = text.replace(
            "\nconsent:",
            &format!("\ncontrast: [{{case: {other}, principle: Compare the {word}.}}]\nconsent:"),
        );
    }
    text.push_str(&format!("\nThe {word} stood by the door.\n"));
    let options = format!(
        "[{{choice: Open the {word}, verdict: best, because: A {word} opens}}, {{choice: Wait, verdict: risky, because: It waits}}]"
    );
    text.push_str(&format!("\n```decision\nid: door\nat: s2\nask: What of the {word}?\noptions: {options}\n```\n"));
    if shown {
        let mut sources = casewright::text::Sources::default();
        let id = sources.add("a.md", text.as_str());
        let hash = casewright::parse::case(name, sources.get(id).expect("added"), None).0.content_hash;
        text = text.replace("\naudience:", &format!("\nreview: {{by: second consultant, of: {hash}}}\naudience:"));
    }
    text
}

/// Every byte of the site and of the export for an audience, by path.
fn site(files: &Memory, audience: Audience) -> BTreeMap<String, Vec<u8>> {
    let prepared = prepare_for(files, audience);
    let shown = casewright::diag::human::report(&prepared.diagnostics, &prepared.inputs.sources);
    assert_eq!(prepared.checked.faulty, Vec::<String>::new(), "{shown}");
    let analysis = analyse(&prepared.checked.corpus);
    let theme = Theme::new(&prepared.inputs.theme).expect("the built-in theme is sound");
    let site = render(&prepared.checked.corpus, &analysis, &theme).expect("the site is made");
    let exported = export(&prepared.checked.corpus, &analysis);
    let of_site = site.pages.iter().map(|(path, page)| (path.to_string(), page));
    let of_export = exported.pages.iter().map(|(path, page)| (format!("export/{path}"), page));
    of_site
        .chain(of_export)
        .map(|(path, (_, page))| {
            let bytes = match page {
                Page::Ready(bytes) => bytes.clone(),
                Page::Made(make) => make().expect("the page is made"),
                Page::Smaller(smaller) => format!("{smaller:?}").into_bytes(),
                Page::Copied(copy) => format!("{:?} {}", copy.recipe, copy.hash).into_bytes(),
            };
            (path, bytes)
        })
        .collect()
}

fn library(cases: &[(String, String)]) -> Memory {
    let files = Memory::default().with("library.yaml", LIBRARY).with("media/eye.svg", PICTURE);
    cases.iter().fold(files, |files, (name, text)| files.with(&format!("{name}.md"), text))
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn withheld_cases_leave_no_trace(sketches in prop::collection::vec(sketch(), 2..6)) {
        let name = |at: usize| format!("case-{at}");
        let is_public = |sketch: &Sketch| sketch.public && !sketch.withdrawn;
        let public: Vec<String> = (0..sketches.len()).filter(|at| is_public(&sketches[*at])).map(name).collect();
        prop_assume!(!public.is_empty());
        let all: Vec<(String, String)> =
            sketches.iter().enumerate().map(|(at, sketch)| (name(at), write(sketch, &name(at), &public))).collect();
        let alone: Vec<(String, String)> = all.iter().filter(|(name, _)| public.contains(name)).cloned().collect();
        let whole = site(&library(&all), Audience::Public);
        prop_assert_eq!(&whole, &site(&library(&alone), Audience::Public));
        for (path, bytes) in &whole {
            prop_assert!(!String::from_utf8_lossy(bytes).to_lowercase().contains(PLANTED), "{} tells of it", path);
        }
        // The word would be found if it were there: the department's site has it wherever a case is withheld from the public.
        if sketches.iter().any(|sketch| !sketch.public && !sketch.withdrawn) {
            let inside = site(&library(&all), Audience::Department);
            prop_assert!(inside.values().any(|bytes| String::from_utf8_lossy(bytes).contains(PLANTED)));
        }
    }
}
