//! A small vocabulary and one case with two decisions, made by hand for the tests of this folder.

use super::places::{CasePlace, Places};
use crate::model::analysis::{Analysis, Occurrence, Relation, Relations, Stage};
use crate::model::case::{
    Arose, Body, Case, Choice, Complication, Consent, ConsentStatus, Decision, Finding, Managed, Meant, Measures,
    Moment, Operation, Operator, Outcome, Patient, Plan, Step, Text, Verdict,
};
use crate::model::corpus::Cleared;
use crate::model::held::{Held, Open};
use crate::model::measure::After;
use crate::model::measure::Eye;
use crate::model::packed::Packed;
use crate::model::risk::Models;
use crate::model::site::Audience;
use crate::model::vocabulary::{Concept, ConceptId, Kind, Vocabulary};
use crate::text::{FileId, Span, Spanned};
use std::sync::Arc;

/// The narrative of the sample case. Its blocks' own text is not read here: the decisions stand in [`case`].
pub(crate) const NARRATIVE: &str = "\
## The start

The chamber was deep.

```decision
id: first
```

Then a posterior capsule rupture was plain.

```decision
id: second
```

## The end

It healed.
";

/// Concepts with a name, their terms, and whether a case has them.
const CONCEPTS: [(Kind, &str, &[&str], bool); 8] = [
    (Kind::Technique, "anterior-vitrectomy", &["anterior vitrectomy"], true),
    (Kind::Complication, "hyphaema", &["hyphaema", "bleed"], true),
    (Kind::Instrument, "iris-hook", &["iris hook"], false),
    (Kind::Complication, "iris-prolapse", &["iris prolapse"], true),
    (Kind::Technique, "littles-manoeuvre", &["Little's manoeuvre"], true),
    (Kind::Finding, "old-bleed", &["old bleed", "bleed"], true),
    (Kind::Technique, "phacoemulsification", &["phacoemulsification"], true),
    (Kind::Complication, "posterior-capsule-rupture", &["posterior capsule rupture", "PCR"], true),
];

/// Words at no place.
pub(crate) fn said<T>(value: T) -> Spanned<T> {
    Spanned::new(value, Span::default())
}

fn words(value: &str) -> Text {
    said(value.to_owned())
}

/// The vocabulary, and an analysis in which one case has the concepts marked so.
pub(crate) fn vocabulary() -> (Vocabulary, Analysis) {
    let concepts = CONCEPTS.iter().map(|(kind, name, terms, _)| Concept {
        kind: *kind,
        name: words(name),
        label: words(terms[0]),
        aliases: terms[1..].iter().map(|term| words(term)).collect(),
        broader: Vec::new(),
        definition: words("What it is."),
        cautions: Vec::new(),
        sources: Vec::new(),
        level: None,
        needs: Vec::new(),
        answers: Vec::new(),
        harm: None,
        periods: Vec::new(),
        refer: None,
        misheard: Vec::new(),
    });
    let occurrences = CONCEPTS.iter().map(|(_, _, _, occurs)| {
        let mut relations = Relations::default();
        relations.insert(Relation::Used);
        let found = Occurrence { case: 0, relations, through: None };
        if *occurs { vec![found] } else { Vec::new() }
    });
    let analysis = Analysis {
        occurrences: occurrences.collect(),
        narrower: vec![Vec::new(); CONCEPTS.len()],
        concepts_of: vec![(0u32..).map(ConceptId).zip(CONCEPTS).filter(|(_, it)| it.3).map(|(id, _)| id).collect()],
        stages: vec![Packed::new(&stages())],
        ..Analysis::default()
    };
    (Vocabulary::new(concepts.collect()), analysis)
}

/// Two cases: the sample, which asks, and `plain`, which does not.
pub(crate) fn places<'a>(vocabulary: &'a Vocabulary, analysis: &'a Analysis) -> Places<'a> {
    let place = |name: &str, asks: bool| CasePlace {
        name: name.to_owned(),
        title: format!("Title of {name}"),
        ask_title: if asks { format!("Neutral title of {name}") } else { String::new() },
        asks,
    };
    static NONE: Models = Models { used: Vec::new(), not_used: Vec::new() };
    Places::new(vocabulary, &NONE, analysis, vec![place("other", true), place("plain", false), place("sample", true)])
}

fn term(name: &str) -> Meant {
    let at = CONCEPTS.iter().position(|it| it.1 == name).expect("a concept of the sample");
    said(ConceptId(u32::try_from(at).expect("few")))
}

/// Three stages: before the tear, after it, and after the second question.
pub(crate) fn stages() -> Vec<Stage> {
    vec![
        Stage { plan: true, seat: true, steps: vec![0], operators: vec![0], decision: Some(0), ..Stage::default() },
        Stage { steps: vec![1], operators: vec![1], complications: vec![0], decision: Some(1), ..Stage::default() },
        Stage { lens: true, managed: vec![(0, 0)], outcomes: vec![0], ..Stage::default() },
    ]
}

fn step(id: &str, does: &str, note: &str) -> Step<Meant> {
    Step {
        id: words(id),
        at: None,
        does: term(does),
        with: Vec::new(),
        settings: Vec::new(),
        gives: Vec::new(),
        place: None,
        extent: None,
        note: Some(words(note)),
        unplanned: false,
    }
}

fn decision(id: &str, at: &str) -> Decision<Meant> {
    let choice = |choice: &str, verdict: Verdict| Choice {
        span: Span::default(),
        choice: words(choice),
        verdict: said(verdict),
        because: Some(words(&format!("Because of {id}."))),
        unless: None,
        source: None,
    };
    Decision {
        span: Span::default(),
        id: words(id),
        at: said(Moment::Step(at.to_owned())),
        ask: words(&format!("Question {id}?")),
        teaches: vec![term("posterior-capsule-rupture")],
        given_grade: None,
        at_hand: Vec::new(),
        not_at_hand: Vec::new(),
        options: vec![choice("Stay", Verdict::Best), choice("Go", Verdict::Harmful), choice("Wait", Verdict::Risky)],
    }
}

/// The sample case: a tear at the second step, a takeover, a vitrectomy.
pub(crate) fn case() -> Cleared {
    let operator = |grade: &str, from: Option<&str>| Operator {
        grade: words(grade),
        from: from.map(words),
        takeover: from.is_some(),
        note: None,
    };
    let case = Case {
        name: "sample".to_owned(),
        span: Span::default(),
        title: words("The telling title"),
        ask_title: Some(words("The neutral title")),
        summary: words("The telling summary."),
        eye: said(Eye::Left),
        patient: Patient::default(),
        fellow_eye: None,
        setting: None,
        findings: vec![Finding { is: term("old-bleed"), grade: None, scale: None, extent: None, at: None, note: None }],
        absent: Vec::new(),
        before: Vec::new(),
        planned: Plan {
            procedure: term("phacoemulsification"),
            with: Vec::new(),
            combined: Vec::new(),
            anaesthesia: None,
            lens: None,
            note: None,
        },
        operation: Operation {
            surgeon_at: None,
            operators: vec![operator("specialist registrar", None), operator("consultant", Some("s2"))],
            incision: None,
            ports: Vec::new(),
            devices: Vec::new(),
            steps: vec![
                step("s1", "phacoemulsification", "Note of step one."),
                step("s2", "anterior-vitrectomy", "Note of step two."),
            ],
            converted: None,
            lens: None,
        },
        complications: vec![Complication {
            span: Span::default(),
            is: term("posterior-capsule-rupture"),
            arose: Some(Arose::During(words("s1"))),
            noticed: Some(words("s2")),
            extent: None,
            at: None,
            managed: vec![Managed {
                does: term("anterior-vitrectomy"),
                worked: words("yes"),
                step: None,
                with: Vec::new(),
                gives: Vec::new(),
                note: Some(words("How it was managed.")),
            }],
            note: None,
        }],
        outcomes: vec![Outcome {
            span: Span::default(),
            after: said(After::parse("1 day").expect("a time")),
            measures: Measures::default(),
            is: Vec::new(),
            gives: Vec::new(),
            note: Some(words("Outcome of day one.")),
        }],
        follow_up: None,
        later: Vec::new(),
        lessons: vec![words("The telling lesson.")],
        contrast: Vec::new(),
        media: Vec::new(),
        waivers: Vec::new(),
        unreviewed: Vec::new(),
        consent: Consent {
            status: said(ConsentStatus::Obtained),
            scope: vec![words("teaching")],
            reference: None,
            policy: None,
        },
        review: None,
        audience: said(Audience::Department),
        authors: Vec::new(),
        interests: None,
        references: Vec::new(),
        body: Body {
            span: Span::new(FileId(0), 0, NARRATIVE.len()),
            decisions: vec![decision("first", "s2"), decision("second", "s2")],
            links: Vec::new(),
            anchors: Vec::new(),
            html: Vec::new(),
            escaped: Vec::new(),
        },
        comments: Vec::new(),
        content_hash: String::new(),
    };
    Cleared {
        name: case.name.clone(),
        held: Held::Whole(Open { case: Arc::new(case), markdown: NARRATIVE.into(), side: None }),
        path: "sample.md".to_owned(),
        side: None,
        media: Vec::new(),
        reviewed: false,
    }
}
