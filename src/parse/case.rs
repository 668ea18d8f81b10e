//! Front matter into [`CaseSyntax`].

use super::lower::{Fields, Lower};
use super::unreviewed;
use super::yaml::{Node, NodeKind};
use crate::model::case::{
    Arose, Author, Body, CaseSyntax, Circumstances, Complication, Consent, ConsentStatus, Contrast, Conversion, Device,
    Drug, FellowEye, FellowHistory, Finding, FollowUp, Incision, Keratometry, Later, Lens, LookedAt, Managed, Measures,
    Media, Operation, Operator, Outcome, Patient, Plan, Port, Review, Step, Visit, Waiver, Written,
};
use crate::model::format;
use crate::model::measure::{
    Acuity, After, Age, Clock, Dimension, Eye, Fault, Place, Quantity, Refraction, Sex, Taken,
};
use crate::model::site::Audience;
use crate::text::{Span, Spanned};
use std::collections::BTreeMap;

use super::rules::{missing_field, unreadable_value};

/// Takes a case out of its front matter. Every mistake is recorded; what is missing is left at a neutral value,
/// and a case with errors never becomes part of a corpus.
pub(crate) fn case(
    lower: &mut Lower<'_>,
    root: &Node,
    name: &str,
    body: Body<Written>,
    comments: Vec<Span>,
    content_hash: String,
) -> CaseSyntax {
    let fields = lower.fields(root, &format::CASE).unwrap_or_else(|| Fields::none(root.span, &format::CASE));
    let fields = &fields;
    CaseSyntax {
        name: name.to_owned(),
        span: root.span,
        title: lower.text_or_empty(fields, "title"),
        ask_title: lower.text(fields.get("ask_title")),
        summary: lower.text_or_empty(fields, "summary"),
        eye: lower.word(fields, "eye").map_or_else(
            || Spanned::new(Eye::Right, root.span),
            |word| word.map(|word| if word == "left" { Eye::Left } else { Eye::Right }),
        ),
        patient: fields.get("patient").and_then(|node| patient(lower, node)).unwrap_or_default(),
        fellow_eye: fields.get("fellow_eye").and_then(|node| fellow(lower, node)),
        setting: fields.get("setting").and_then(|node| setting(lower, node)),
        findings: lower.list(fields.get("findings"), finding),
        absent: lower.texts(fields.get("absent")),
        before: lower.list(fields.get("before"), visit),
        planned: fields.get("planned").and_then(|node| plan(lower, node)).unwrap_or_else(|| Plan {
            procedure: Spanned::new(String::new(), root.span),
            with: Vec::new(),
            combined: Vec::new(),
            anaesthesia: None,
            lens: None,
            note: None,
        }),
        operation: fields.get("operation").and_then(|node| operation(lower, node)).unwrap_or_else(|| Operation {
            surgeon_at: None,
            operators: Vec::new(),
            incision: None,
            ports: Vec::new(),
            devices: Vec::new(),
            steps: Vec::new(),
            converted: None,
            lens: None,
        }),
        complications: lower.list(fields.get("complications"), complication),
        outcomes: lower.list(fields.get("outcomes"), outcome),
        follow_up: lower.value(fields.get("follow_up"), follow_up),
        later: lower.list(fields.get("later"), later),
        lessons: lower.texts(fields.get("lessons")),
        contrast: lower.list(fields.get("contrast"), contrast),
        media: lower.list(fields.get("media"), media),
        consent: consent(lower, fields.get("consent"), root),
        waivers: lower.list(fields.get("waivers"), waiver),
        unreviewed: fields
            .get("unreviewed")
            .map_or_else(Vec::new, |node| unreviewed::entries(lower, node, root, &body)),
        review: fields.get("review").and_then(|node| review(lower, node)),
        audience: lower
            .word(fields, "audience")
            .map(|word| word.map(|word| Audience::from_word(&word).unwrap_or_default()))
            .unwrap_or_default(),
        authors: lower.list(fields.get("authors"), author),
        interests: lower.text(fields.get("interests")),
        references: lower.texts(fields.get("references")),
        body,
        comments,
        content_hash,
    }
}

fn patient(lower: &mut Lower<'_>, node: &Node) -> Option<Patient> {
    let fields = lower.fields(node, &format::PATIENT)?;
    Some(Patient {
        age: lower.notation(fields.get("age"), Age::parse),
        sex: lower.notation(fields.get("sex"), Sex::parse),
        note: lower.text(fields.get("note")),
    })
}

fn fellow(lower: &mut Lower<'_>, node: &Node) -> Option<FellowEye<Written>> {
    let fields = lower.fields(node, &format::FELLOW)?;
    Some(FellowEye {
        state: lower.word(&fields, "state"),
        complication: lower
            .text(fields.get("complication"))
            .map(|term| if term.value == "none" { FellowHistory::None(term.span) } else { FellowHistory::Had(term) }),
        note: lower.text(fields.get("note")),
    })
}

fn setting(lower: &mut Lower<'_>, node: &Node) -> Option<Circumstances> {
    let fields = lower.fields(node, &format::SETTING)?;
    Some(Circumstances {
        not_available: lower.texts(fields.get("not available")),
        note: lower.text(fields.get("note")),
    })
}

fn finding(lower: &mut Lower<'_>, node: &Node) -> Option<Finding<Written>> {
    if node.text().is_some() {
        let is = lower.text(Some(node))?;
        return Some(Finding { is, grade: None, scale: None, extent: None, at: None, note: None });
    }
    let fields = lower.fields(node, &format::FINDING_DETAIL)?;
    Some(Finding {
        is: lower.text_or_empty(&fields, "is"),
        grade: lower.text(fields.get("grade")),
        scale: lower.text(fields.get("scale")),
        extent: lower.measure(&fields, "extent"),
        at: lower.value(fields.get("at"), Place::parse),
        note: lower.text(fields.get("note")),
    })
}

fn measures(lower: &mut Lower<'_>, fields: &Fields<'_>) -> Measures {
    let acuity =
        fields.get("acuity").and_then(|node| lower.fields(node, &format::ACUITY)).map_or_else(Vec::new, |taken| {
            Taken::ALL
                .into_iter()
                .filter_map(|how| Some((how, lower.value(taken.get(&how.to_string()), Acuity::parse)?)))
                .collect()
        });
    let keratometry =
        fields.get("keratometry").and_then(|node| lower.fields(node, &format::KERATOMETRY)).map(|fields| Keratometry {
            flat: lower.measure(&fields, "flat"),
            steep: lower.measure(&fields, "steep"),
            steep_axis: lower.measure(&fields, "steep axis"),
        });
    Measures {
        acuity,
        refraction: lower.value(fields.get("refraction"), Refraction::parse),
        quantities: format::MEASURES
            .iter()
            .filter_map(|(name, dimension)| Some((*name, lower.quantity(fields.get(name), *dimension)?)))
            .collect(),
        keratometry,
    }
}

fn visit(lower: &mut Lower<'_>, node: &Node) -> Option<Visit<Written>> {
    let fields = lower.fields(node, &format::VISIT)?;
    Some(Visit {
        when: lower.text_or_empty(&fields, "when"),
        measures: measures(lower, &fields),
        gives: lower.list(fields.get("gives"), drug),
        note: lower.text(fields.get("note")),
    })
}

fn drug(lower: &mut Lower<'_>, node: &Node) -> Option<Drug<Written>> {
    let fields = lower.fields(node, &format::DRUG)?;
    Some(Drug {
        span: node.span,
        substance: lower.text_or_empty(&fields, "substance"),
        strength: lower.measure(&fields, "strength"),
        dose: lower.measure(&fields, "dose"),
        route: lower.word(&fields, "route").unwrap_or_default(),
        note: lower.text(fields.get("note")),
    })
}

fn plan(lower: &mut Lower<'_>, node: &Node) -> Option<Plan<Written>> {
    let fields = lower.fields(node, &format::PLAN)?;
    Some(Plan {
        procedure: lower.text_or_empty(&fields, "procedure"),
        with: lower.texts(fields.get("with")),
        combined: lower.texts(fields.get("combined")),
        anaesthesia: lower.text(fields.get("anaesthesia")),
        lens: fields.get("lens").and_then(|node| lens(lower, node)),
        note: lower.text(fields.get("note")),
    })
}

fn lens(lower: &mut Lower<'_>, node: &Node) -> Option<Lens<Written>> {
    let fields = lower.fields(node, &format::LENS)?;
    let place = lower.word(&fields, "place");
    let kind = lower.text(fields.get("kind"));
    if kind.is_none() && fields.get("kind").is_none() && place.as_ref().is_none_or(|place| place.value != "none") {
        lower.out.push(missing_field::found(
            node.span.part(0, 0),
            "kind",
            format::LENS.name,
            "what kind of implant, unless its place is none",
        ));
    }
    Some(Lens {
        kind,
        power: lower.measure(&fields, "power"),
        place,
        target: lower.measure(&fields, "target"),
        cylinder: lower.measure(&fields, "cylinder"),
        axis: lower.measure(&fields, "axis"),
        note: lower.text(fields.get("note")),
    })
}

fn operation(lower: &mut Lower<'_>, node: &Node) -> Option<Operation<Written>> {
    let fields = lower.fields(node, &format::OPERATION)?;
    Some(Operation {
        surgeon_at: lower.value(fields.get("surgeon_at"), Place::parse),
        operators: lower.list(fields.get("operators"), operator),
        incision: fields.get("incision").and_then(|node| incision(lower, node)),
        ports: lower.list(fields.get("ports"), port),
        devices: lower.list(fields.get("devices"), device),
        steps: lower.list(fields.get("steps"), step),
        converted: fields.get("converted").and_then(|node| conversion(lower, node)),
        lens: fields.get("lens").and_then(|node| lens(lower, node)),
    })
}

fn operator(lower: &mut Lower<'_>, node: &Node) -> Option<Operator> {
    let fields = lower.fields(node, &format::OPERATOR)?;
    if lower.truth(fields.get("takeover")) && fields.get("from").is_none() {
        let what = "the step from which on, since this operator took over";
        lower.out.push(missing_field::found(node.span.part(0, 0), "from", format::OPERATOR.name, what));
    }
    Some(Operator {
        grade: lower.word(&fields, "grade").unwrap_or_default(),
        from: lower.name(fields.get("from")),
        takeover: lower.truth(fields.get("takeover")),
        note: lower.text(fields.get("note")),
    })
}

fn incision(lower: &mut Lower<'_>, node: &Node) -> Option<Incision> {
    let fields = lower.fields(node, &format::INCISION)?;
    Some(Incision {
        at: lower.value(fields.get("at"), Place::parse),
        width: lower.measure(&fields, "width"),
        kind: lower.word(&fields, "kind"),
        step: lower.name(fields.get("step")),
        sutures: lower.text(fields.get("sutures")),
    })
}

fn port(lower: &mut Lower<'_>, node: &Node) -> Option<Port> {
    if node.text().is_some() {
        return Some(Port { at: lower.value(Some(node), Place::parse)?, step: None });
    }
    let fields = lower.fields(node, &format::PORT)?;
    let step = lower.name(fields.get("step"));
    Some(Port { at: lower.value(fields.get("at"), Place::parse)?, step })
}

fn device(lower: &mut Lower<'_>, node: &Node) -> Option<Device<Written>> {
    let fields = lower.fields(node, &format::DEVICE)?;
    Some(Device {
        is: lower.text_or_empty(&fields, "is"),
        at: lower.few(fields.get("at"), |lower, node| lower.value(Some(node), Place::parse)),
        step: lower.name(fields.get("step")),
        note: lower.text(fields.get("note")),
    })
}

fn step(lower: &mut Lower<'_>, node: &Node) -> Option<Step<Written>> {
    let fields = lower.fields(node, &format::STEP)?;
    Some(Step {
        id: lower.name(fields.get("id")).unwrap_or_else(|| Spanned::new(String::new(), node.span)),
        at: lower.notation(fields.get("at"), Clock::parse),
        does: lower.text_or_empty(&fields, "do"),
        with: lower.texts(fields.get("with")),
        settings: fields.get("settings").map_or_else(Vec::new, |node| settings(lower, node)),
        gives: lower.list(fields.get("gives"), drug),
        place: lower.value(fields.get("where"), Place::parse),
        extent: lower.measure(&fields, "extent"),
        note: lower.text(fields.get("note")),
        unplanned: lower.truth(fields.get("unplanned")),
    })
}

/// Machine settings: the names are the machine's own, so any key goes, but each once and each with a unit.
fn settings(lower: &mut Lower<'_>, node: &Node) -> Vec<(Written, Spanned<Quantity>)> {
    let super::yaml::NodeKind::Map(pairs) = &node.kind else {
        lower.out.push(
            super::rules::wrong_type::found(node.span, node.what(), "a set of settings")
                .mend("write {vacuum: 250 mmHg, flow: 22 mL/min}"),
        );
        return Vec::new();
    };
    let mut taken: Vec<(Written, Spanned<Quantity>)> = Vec::new();
    let mut seen: BTreeMap<String, Span> = BTreeMap::new();
    for (key, value) in pairs {
        let Some(name) = lower.text(Some(key)) else { continue };
        if let Some(first) = seen.get(&name.value) {
            lower.out.push(super::rules::duplicate_field::found(name.span, *first, &name.value));
        } else if let Some(quantity) = lower.quantity(Some(value), Dimension::Setting) {
            seen.insert(name.value.clone(), name.span);
            taken.push((name, quantity));
        }
    }
    taken
}

fn conversion(lower: &mut Lower<'_>, node: &Node) -> Option<Conversion<Written>> {
    let fields = lower.fields(node, &format::CONVERSION)?;
    Some(Conversion {
        to: lower.text_or_empty(&fields, "to"),
        at: lower.name(fields.get("at")).unwrap_or_default(),
        because: lower.text_or_empty(&fields, "because"),
    })
}

fn complication(lower: &mut Lower<'_>, node: &Node) -> Option<Complication<Written>> {
    let fields = lower.fields(node, &format::COMPLICATION_ENTRY)?;
    let during = lower.name(fields.get("during"));
    let after = lower.value(fields.get("after"), After::parse);
    let arose = match (during, after) {
        (Some(step), None) => Some(Arose::During(step)),
        (None, Some(after)) => Some(Arose::After(after)),
        (Some(_), Some(after)) => {
            let span = fields.key_span("after").unwrap_or(after.span);
            lower.out.push(unreadable_value::found(
                span,
                "a complication arose either during a step or after surgery, not both; keep one of the fields",
                &[],
            ));
            None
        }
        (None, None) => {
            if fields.get("during").is_none() && fields.get("after").is_none() {
                lower.out.push(missing_field::found(
                    node.span.part(0, 0),
                    "during",
                    format::COMPLICATION_ENTRY.name,
                    "the step in which it arose; or `after: 3 days` if it came later",
                ));
            }
            None
        }
    };
    Some(Complication {
        span: node.span,
        is: lower.text_or_empty(&fields, "is"),
        arose,
        noticed: lower.name(fields.get("noticed")),
        extent: lower.measure(&fields, "extent"),
        at: lower.value(fields.get("at"), Place::parse),
        managed: lower.list(fields.get("managed"), managed),
        note: lower.text(fields.get("note")),
    })
}

fn managed(lower: &mut Lower<'_>, node: &Node) -> Option<Managed<Written>> {
    let fields = lower.fields(node, &format::MANAGED)?;
    Some(Managed {
        does: lower.text_or_empty(&fields, "do"),
        worked: lower.word(&fields, "worked").unwrap_or_default(),
        step: lower.name(fields.get("step")),
        with: lower.texts(fields.get("with")),
        gives: lower.list(fields.get("gives"), drug),
        note: lower.text(fields.get("note")),
    })
}

fn outcome(lower: &mut Lower<'_>, node: &Node) -> Option<Outcome<Written>> {
    let fields = lower.fields(node, &format::OUTCOME_VISIT)?;
    let after = lower.value(fields.get("after"), After::parse);
    Some(Outcome {
        span: node.span,
        measures: measures(lower, &fields),
        is: lower.texts(fields.get("is")),
        gives: lower.list(fields.get("gives"), drug),
        note: lower.text(fields.get("note")),
        after: after?,
    })
}

fn follow_up(text: &str) -> Result<FollowUp, Fault> {
    match text {
        "complete" => Ok(FollowUp::Complete),
        "continuing" => Ok(FollowUp::Continuing),
        _ => match text.strip_prefix("lost after ") {
            Some(after) => After::parse(after).map(FollowUp::LostAfter).map_err(|mut fault| {
                fault.part = fault.part.start + 11..fault.part.end + 11;
                fault
            }),
            None => Err(Fault {
                message: format!(
                    "`{}` does not say whether the patient was followed up",
                    text.chars().take(60).collect::<String>()
                ),
                part: 0..text.len(),
                mends: vec!["complete".to_owned(), "continuing".to_owned(), "lost after 1 day".to_owned()],
            }),
        },
    }
}

fn later(lower: &mut Lower<'_>, node: &Node) -> Option<Later<Written>> {
    let fields = lower.fields(node, &format::LATER)?;
    let after = lower.value(fields.get("after"), After::parse);
    Some(Later {
        procedure: lower.text_or_empty(&fields, "procedure"),
        by: lower.text(fields.get("by")),
        why: lower.text(fields.get("why")),
        lens: fields.get("lens").and_then(|node| lens(lower, node)),
        note: lower.text(fields.get("note")),
        after: after?,
    })
}

fn contrast(lower: &mut Lower<'_>, node: &Node) -> Option<Contrast> {
    let fields = lower.fields(node, &format::CONTRAST)?;
    let case = lower.name(fields.get("case"))?;
    Some(Contrast { span: node.span, case, principle: lower.text_or_empty(&fields, "principle") })
}

fn media(lower: &mut Lower<'_>, node: &Node) -> Option<Media> {
    let fields = lower.fields(node, &format::MEDIA)?;
    Some(Media {
        file: lower.text_or_empty(&fields, "file"),
        shows: lower.word(&fields, "shows"),
        alt: lower.text(fields.get("alt")),
        captions: lower.text(fields.get("captions")),
        poster: lower.text(fields.get("poster")),
        at: lower.name(fields.get("at")),
        looked_at: fields.get("looked_at").and_then(|node| looked_at(lower, node)),
    })
}

fn looked_at(lower: &mut Lower<'_>, node: &Node) -> Option<LookedAt> {
    let fields = lower.fields(node, &format::LOOKED_AT)?;
    Some(LookedAt {
        by: lower.text_or_empty(&fields, "by"),
        on: lower.notation(fields.get("on"), month_or_year),
        of: lower.text_or_empty(&fields, "of"),
        faces: lower.word(&fields, "faces"),
        iris: lower.word(&fields, "iris"),
        words: lower.word(&fields, "words"),
        voices: lower.word(&fields, "voices"),
    })
}

fn waiver(lower: &mut Lower<'_>, node: &Node) -> Option<Waiver> {
    let fields = lower.fields(node, &format::WAIVER)?;
    Some(Waiver {
        rule: lower.text_or_empty(&fields, "rule"),
        of: lower.text_or_empty(&fields, "of"),
        because: lower.text_or_empty(&fields, "because"),
    })
}

fn consent(lower: &mut Lower<'_>, node: Option<&Node>, root: &Node) -> Consent {
    let fields = node.and_then(|node| lower.fields(node, &format::CONSENT_ENTRY));
    let status = fields.as_ref().and_then(|fields| lower.word(fields, "status"));
    let given = status.map(|word| {
        word.map(|word| {
            ConsentStatus::ALL.into_iter().find(|status| status.word() == word).unwrap_or(ConsentStatus::Pending)
        })
    });
    let status = withdrawn(root).or(given);
    let place = node.map_or(root.span, |node| node.span);
    let mut few = |name| {
        let node = fields.as_ref().and_then(|fields| fields.get(name));
        lower.few(node, |lower, node| lower.one_of(Some(node), format::SCOPES))
    };
    let scope = few("scope");
    let mut text = |name| lower.text(fields.as_ref().and_then(|fields| fields.get(name)));
    Consent {
        status: status.unwrap_or_else(|| Spanned::new(ConsentStatus::Pending, place)),
        scope,
        reference: text("reference"),
        policy: text("policy"),
    }
}

/// Consent that any field of this name calls withdrawn, in whatever form it is written: a slip keeps nothing in the site.
fn withdrawn(root: &Node) -> Option<Spanned<ConsentStatus>> {
    let says = |node: &&Node| node.text().is_some_and(|text| text.trim().eq_ignore_ascii_case("withdrawn"));
    let NodeKind::Map(pairs) = &root.kind else { return None };
    let named =
        pairs.iter().filter(|(key, _)| key.text().is_some_and(|key| key.trim().eq_ignore_ascii_case("consent")));
    let found = named.flat_map(|(_, value)| value.scalars()).find(says)?;
    Some(Spanned::new(ConsentStatus::Withdrawn, found.span))
}

fn review(lower: &mut Lower<'_>, node: &Node) -> Option<Review> {
    let fields = lower.fields(node, &format::REVIEW)?;
    Some(Review {
        by: lower.text_or_empty(&fields, "by"),
        on: lower.notation(fields.get("on"), month_or_year),
        of: lower.text(fields.get("of")),
    })
}

/// A year, or a year and month: the one place besides editions and citations where the calendar may be named.
pub(crate) fn month_or_year(text: &str) -> Result<String, Fault> {
    let bytes = text.as_bytes();
    let digits =
        |range: std::ops::Range<usize>| bytes.get(range).is_some_and(|part| part.iter().all(u8::is_ascii_digit));
    let year = digits(0..4) && matches!(&bytes[..2], b"19" | b"20");
    let month = bytes.len() == 7 && bytes[4] == b'-' && digits(5..7) && ("01"..="12").contains(&&text[5..7]);
    if year && (bytes.len() == 4 || month) {
        return Ok(text.to_owned());
    }
    Err(Fault {
        message: "a year or a year and month is needed here".to_owned(),
        part: 0..text.len(),
        mends: vec!["2026".to_owned(), "2026-05".to_owned()],
    })
}

fn author(lower: &mut Lower<'_>, node: &Node) -> Option<Author> {
    let fields = lower.fields(node, &format::AUTHOR)?;
    Some(Author { name: lower.text_or_empty(&fields, "name"), role: lower.text(fields.get("role")) })
}
