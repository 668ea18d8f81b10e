//! How well drafts agree with what a listener would write down: figures by kind, those held back apart, and their floors.

use super::gold::{Gold, all};
use super::{drafted, vocabulary};
use casewright::draft::{Draft, Entry, Sure};
use casewright::model::vocabulary::{Kind, Vocabulary};
use std::collections::{BTreeMap, BTreeSet};

/// Right, invented and missed.
#[derive(Debug, Default, Clone, Copy)]
pub(crate) struct Tally {
    pub(crate) right: usize,
    pub(crate) invented: usize,
    pub(crate) missed: usize,
}

impl Tally {
    fn add(&mut self, other: Self) {
        self.right += other.right;
        self.invented += other.invented;
        self.missed += other.missed;
    }

    #[expect(clippy::cast_precision_loss, reason = "counts of a few hundred")]
    pub(crate) fn recall(self) -> f64 {
        if self.right + self.missed == 0 { 1.0 } else { self.right as f64 / (self.right + self.missed) as f64 }
    }

    #[expect(clippy::cast_precision_loss, reason = "counts of a few hundred")]
    pub(crate) fn precision(self) -> f64 {
        if self.right + self.invented == 0 { 1.0 } else { self.right as f64 / (self.right + self.invented) as f64 }
    }
}

/// What was compared, by kind, and every mistake in words.
#[derive(Debug, Default)]
pub(crate) struct Score {
    pub(crate) kinds: BTreeMap<&'static str, Tally>,
    pub(crate) mistakes: Vec<String>,
    /// Wrong sides, doses and negations: there may be none.
    pub(crate) grave: Vec<String>,
}

const KINDS: [(&str, Kind); 6] = [
    ("findings", Kind::Finding),
    ("techniques", Kind::Technique),
    ("complications", Kind::Complication),
    ("outcomes", Kind::Outcome),
    ("materials", Kind::Material),
    ("instruments", Kind::Instrument),
];

impl Score {
    pub(crate) fn add(&mut self, other: Score) {
        for (kind, tally) in other.kinds {
            self.kinds.entry(kind).or_default().add(tally);
        }
        self.mistakes.extend(other.mistakes);
        self.grave.extend(other.grave);
    }

    /// All concepts together.
    pub(crate) fn concepts(&self) -> Tally {
        let mut all = Tally::default();
        for (kind, _) in KINDS {
            all.add(self.kinds.get(kind).copied().unwrap_or_default());
        }
        all
    }

    pub(crate) fn of(&self, kind: &str) -> Tally {
        self.kinds.get(kind).copied().unwrap_or_default()
    }

    pub(crate) fn table(&self, title: &str) -> String {
        let mut out = format!("{title}\n{:28} {:>6} {:>6} {:>9} {:>9}\n", "", "right", "wrong", "recall", "precision");
        let mut line = |what: &str, tally: Tally| {
            out.push_str(&format!(
                "{what:28} {:>6} {:>6} {:>9.3} {:>9.3}\n",
                tally.right,
                tally.invented + tally.missed,
                tally.recall(),
                tally.precision()
            ));
        };
        for (kind, tally) in &self.kinds {
            line(kind, *tally);
        }
        line("concepts, all kinds", self.concepts());
        out.push_str(&format!("wrong sides, doses, negations: {} {:?}\n", self.grave.len(), self.grave));
        out
    }
}

/// The name of the concept of a kind that a term means.
fn named(vocabulary: &Vocabulary, term: &str, kind: Kind) -> String {
    let found = vocabulary.by_term(term).iter().find(|id| vocabulary.get(**id).kind == kind);
    found.map_or_else(|| panic!("`{term}` is no {}", kind.word()), |id| vocabulary.get(*id).name.value.clone())
}

/// Whether an entry holds a term, and of which kind.
fn term(vocabulary: &Vocabulary, entry: &Entry) -> Option<(Kind, String)> {
    let parts: Vec<&str> = entry.place.split('/').collect();
    let kinds: &[Kind] = match parts[..] {
        ["findings", _] | ["findings", _, "is"] => &[Kind::Finding],
        ["planned", "anaesthesia"] => &[Kind::Technique],
        // The plan may follow from the steps; it counts where it was said.
        ["planned", "procedure"] if entry.sure == Sure::Certain => &[Kind::Technique],
        ["operation", "steps", _, "do"] | ["complications", _, "managed", _, "do"] => &[Kind::Technique],
        ["operation", "steps", _, "with", _] => &[Kind::Material, Kind::Instrument],
        [.., "gives", _, "substance"] | ["operation", "lens", "kind"] => &[Kind::Material],
        ["complications", _, "is"] => &[Kind::Complication],
        ["outcomes", _, "is", _] => &[Kind::Outcome],
        _ => return None,
    };
    let id = vocabulary.by_term(&entry.value).iter().find(|id| kinds.contains(&vocabulary.get(**id).kind))?;
    let concept = vocabulary.get(*id);
    Some((concept.kind, concept.name.value.clone()))
}

/// A value with its numbers in one form.
fn plain(value: &str) -> String {
    // An estimate is told as one; what a listener writes down is its number.
    let parts: Vec<String> = value
        .trim_start_matches("about ")
        .split(' ')
        .map(|part| part.parse::<f64>().map_or_else(|_| part.to_lowercase(), |number| format!("{number}")))
        .collect();
    parts.join(" ")
}

/// The quantities of a draft as pairs of what and value.
fn quantities(draft: &Draft) -> Vec<(String, String)> {
    certain(draft).into_iter().map(|(what, value, _)| (what, value)).collect()
}

/// The same, each with whether the draft calls it certain.
fn certain(draft: &Draft) -> Vec<(String, String, bool)> {
    let value = |place: &str| draft.entries.iter().find(|entry| entry.place == place).map(|entry| entry.value.as_str());
    let mut found = Vec::new();
    for entry in &draft.entries {
        let parts: Vec<&str> = entry.place.split('/').collect();
        let when = |number: &str| value(&format!("outcomes/{number}/after")).unwrap_or("no time").to_owned();
        let of = |list: &str, number: &str| {
            value(&format!("{list}/{number}/is"))
                .or_else(|| value(&format!("{list}/{number}")))
                .unwrap_or("")
                .to_owned()
        };
        let what = match parts[..] {
            ["eye"] => "eye".to_owned(),
            ["patient", "age"] => "age".to_owned(),
            ["patient", "sex"] => "sex".to_owned(),
            ["before", _, "acuity", _] => "acuity before".to_owned(),
            ["before", _, "iop"] => "iop before".to_owned(),
            ["before", _, what @ ("pupil" | "axial length" | "anterior chamber depth")] => what.to_owned(),
            ["findings", number, "grade"] => format!("grade {}", of("findings", number)),
            ["operation", "surgeon_at"] => "surgeon at".to_owned(),
            ["operation", "incision", "at"] => "incision at".to_owned(),
            ["operation", "incision", "width"] => "incision width".to_owned(),
            ["operation", "incision", "sutures"] => "sutures".to_owned(),
            ["operation", "ports", _] => "port".to_owned(),
            ["operation", "lens", "power"] => "lens power".to_owned(),
            ["operation", "lens", "place"] => "lens place".to_owned(),
            ["operation", "lens", "target"] => "target".to_owned(),
            ["operation", "steps", _, "settings", name] => format!("setting {name}"),
            ["complications", number, what @ ("extent" | "at")] => format!("{what} {}", of("complications", number)),
            ["outcomes", number, "acuity", _] => format!("acuity after {}", when(number)),
            ["outcomes", number, what @ ("iop" | "refraction")] => format!("{what} after {}", when(number)),
            [.., "gives", _, what @ ("dose" | "strength")] => {
                let substance = entry.place.rsplit_once('/').map_or("", |(drug, _)| drug);
                format!("{} {what}", value(&format!("{substance}/substance")).unwrap_or(""))
            }
            ["before" | "outcomes", number, "note"] => {
                // An acuity of which nobody said how it was taken stands in a note.
                let acuities = entry.value.split("Acuity ").skip(1).filter_map(|rest| rest.split_once(';'));
                let what = if parts[0] == "before" {
                    "acuity before".to_owned()
                } else {
                    format!("acuity after {}", when(number))
                };
                found.extend(acuities.map(|(acuity, _)| (what.clone(), acuity.to_owned(), false)));
                continue;
            }
            _ => continue,
        };
        // A sphere alone is written with its unit.
        let value = if what.starts_with("refraction") { entry.value.trim_end_matches(" D") } else { &entry.value };
        found.push((what, value.to_owned(), entry.sure == Sure::Certain));
    }
    found
}

/// What a draft calls certain and a listener does not say so: values that differ, and what did not happen.
pub(crate) fn contradictions(gold: &Gold, draft: &Draft, vocabulary: &Vocabulary) -> Vec<String> {
    let wanted: Vec<(String, String)> =
        gold.quantities().into_iter().map(|(what, value)| (what, plain(&value))).collect();
    let unclear: Vec<String> = gold.list("quantities_unclear").iter().map(|what| plain(what)).collect();
    let mut found: Vec<String> = certain(draft)
        .into_iter()
        .filter(|(_, _, sure)| *sure)
        .map(|(what, value, _)| (what, plain(&value)))
        .filter(|quantity| !wanted.contains(quantity) && !unclear.contains(&plain(&quantity.0)))
        .map(|(what, value)| format!("{}: {what} is {value}", gold.name))
        .collect();
    let kinds = KINDS.map(|(field, kind)| {
        let names = |field: &str| gold.list(field).iter().map(|term| named(vocabulary, term, kind)).collect::<Vec<_>>();
        (kind, [names(field), names(&format!("{field}_either"))].concat())
    });
    for entry in draft.entries.iter().filter(|entry| entry.sure == Sure::Certain) {
        let Some((kind, name)) = term(vocabulary, entry) else { continue };
        // A wider word for what stands there contradicts nothing.
        let wider = |narrow: &String| {
            let id = vocabulary.by_name(narrow).expect("a concept");
            vocabulary.by_name(&name).is_some_and(|wide| vocabulary.upwards(id).contains(&wide))
        };
        let may = kinds.iter().any(|(of, names)| *of == kind && names.iter().any(wider));
        if !may {
            found.push(format!("{}: {} is {name}", gold.name, entry.place));
        }
    }
    let absent = [gold.list("absent"), gold.list("absent_either")].concat();
    let absent: Vec<String> = absent.iter().map(|term| named(vocabulary, term, Kind::Finding)).collect();
    for entry in draft.entries.iter().filter(|entry| entry.place.starts_with("absent/")) {
        if !absent.contains(&named(vocabulary, &entry.value, Kind::Finding)) {
            found.push(format!("{}: {} is called absent", gold.name, entry.value));
        }
    }
    found
}

/// Compares a draft with what a listener would write down.
pub(crate) fn score(gold: &Gold, draft: &Draft, vocabulary: &Vocabulary) -> Score {
    let mut score = Score::default();
    concepts(gold, draft, vocabulary, &mut score);
    amounts(gold, draft, vocabulary, &mut score);
    faults(gold, draft, vocabulary, &mut score);
    // The answer within a decision has an entry of its own.
    let count = |prefix: &str| {
        let own = |entry: &&Entry| entry.place.strip_prefix(prefix).is_some_and(|rest| !rest.contains('/'));
        draft.entries.iter().filter(own).count()
    };
    for (kind, wanted, found) in [
        ("decisions", gold.count("decisions"), count("decisions/")),
        ("lessons", gold.count("lessons"), count("lessons/")),
    ] {
        let tally = Tally {
            right: wanted.min(found),
            invented: found.saturating_sub(wanted),
            missed: wanted.saturating_sub(found),
        };
        score.kinds.insert(kind, tally);
        if wanted != found {
            score.mistakes.push(format!("{}: {found} {kind}, not {wanted}", gold.name));
        }
    }
    score
}

fn concepts(gold: &Gold, draft: &Draft, vocabulary: &Vocabulary, score: &mut Score) {
    let mut found: BTreeMap<&str, BTreeSet<String>> = BTreeMap::new();
    for (kind, name) in draft.entries.iter().filter_map(|entry| term(vocabulary, entry)) {
        let (word, _) = KINDS.iter().find(|(_, of)| *of == kind).expect("six kinds");
        found.entry(word).or_default().insert(name);
    }
    // What was done at a visit and answers no trouble has no field of its own: it stands in the visit's note, by its label.
    let note = |entry: &&Entry| matches!(entry.place.split('/').collect::<Vec<_>>()[..], ["outcomes", _, "note"]);
    for sentence in draft.entries.iter().filter(note).flat_map(|entry| entry.value.split_inclusive('.')) {
        let label = sentence.trim().trim_end_matches('.').to_lowercase();
        let technique = vocabulary
            .iter()
            .find(|(_, concept)| concept.kind == Kind::Technique && concept.label.value.to_lowercase() == label);
        if let Some((_, concept)) = technique {
            found.entry("techniques").or_default().insert(concept.name.value.clone());
        }
    }
    let absent = draft.entries.iter().filter(|entry| entry.place.starts_with("absent/"));
    let absent: BTreeSet<String> = absent.map(|entry| named(vocabulary, &entry.value, Kind::Finding)).collect();
    for (field, kind) in KINDS.into_iter().chain([("absent", Kind::Finding)]) {
        let names = |field: &str| -> BTreeSet<String> {
            gold.list(field).iter().map(|term| named(vocabulary, term, kind)).collect()
        };
        let (wanted, either) = (names(field), names(&format!("{field}_either")));
        let have = if field == "absent" { absent.clone() } else { found.remove(field).unwrap_or_default() };
        let mut tally = Tally::default();
        for name in have.iter().filter(|name| wanted.contains(*name)) {
            let _ = name;
            tally.right += 1;
        }
        for name in have.iter().filter(|name| !wanted.contains(*name) && !either.contains(*name)) {
            tally.invented += 1;
            score.mistakes.push(format!("{}: {field} has {name}", gold.name));
            if field == "absent" && names("findings").contains(name) {
                score.grave.push(format!("{}: {name} is called absent", gold.name));
            }
        }
        // What one may take either way is not missed.
        for name in wanted.iter().filter(|name| !have.contains(*name) && !either.contains(*name)) {
            tally.missed += 1;
            score.mistakes.push(format!("{}: {field} lacks {name}", gold.name));
        }
        // What is named and did not happen, of this kind.
        for denied in gold.list("not") {
            let of_kind = vocabulary.by_term(&denied).iter().map(|id| vocabulary.get(*id)).find(|it| it.kind == kind);
            if let Some(concept) = of_kind.filter(|it| field != "absent" && have.contains(&it.name.value)) {
                score.grave.push(format!("{}: {} is said to be so", gold.name, concept.name.value));
            }
        }
        score.kinds.insert(field, tally);
    }
}

fn amounts(gold: &Gold, draft: &Draft, vocabulary: &Vocabulary, score: &mut Score) {
    // Concepts within a quantity's name are compared by what they mean.
    let label = |what: &str| {
        let words: Vec<&str> = what.split(' ').collect();
        for cut in
            (1..words.len()).flat_map(|at| [(words[..at].join(" "), at, true), (words[at..].join(" "), at, false)])
        {
            if let Some(id) = vocabulary
                .by_term(&cut.0)
                .iter()
                .find(|id| matches!(vocabulary.get(**id).kind, Kind::Finding | Kind::Complication | Kind::Material))
            {
                let name = &vocabulary.get(*id).name.value;
                return if cut.2 {
                    format!("{name} {}", words[cut.1..].join(" "))
                } else {
                    format!("{} {name}", words[..cut.1].join(" "))
                };
            }
        }
        what.to_owned()
    };
    let normal = |(what, value): (String, String)| {
        let value = plain(&value);
        // A sphere alone is written with its unit or without.
        let value = if what.starts_with("refraction") { value.trim_end_matches(" d").to_owned() } else { value };
        (label(&what), value)
    };
    let mut wanted: Vec<(String, String)> = gold.quantities().into_iter().map(normal).collect();
    let unclear: Vec<String> = gold.list("quantities_unclear").iter().map(|what| label(what)).collect();
    let mut tally = Tally::default();
    for (what, value) in quantities(draft).into_iter().map(normal) {
        match wanted.iter().position(|known| *known == (what.clone(), value.clone())) {
            Some(at) => {
                wanted.remove(at);
                tally.right += 1;
            }
            // What may be filled or left blank, and of which the annotation holds no value.
            None if unclear.contains(&what) && !wanted.iter().any(|(known, _)| *known == what) => {}
            None => {
                let text = format!("{}: {what} is {value}", gold.name);
                if what == "eye" || what.ends_with(" dose") || what.ends_with(" strength") {
                    score.grave.push(text.clone());
                }
                tally.invented += 1;
                score.mistakes.push(text);
            }
        }
    }
    for (what, value) in wanted.into_iter().filter(|(what, _)| !unclear.contains(what)) {
        tally.missed += 1;
        score.mistakes.push(format!("{}: {what} {value} is missing", gold.name));
    }
    score.kinds.insert("quantities", tally);
}

fn faults(gold: &Gold, draft: &Draft, vocabulary: &Vocabulary, score: &mut Score) {
    let value = |place: &str| draft.entries.iter().find(|entry| entry.place == place).map(|entry| entry.value.as_str());
    let place_of = |trouble: &str| {
        let wanted = named(vocabulary, trouble, Kind::Complication);
        (1..20).map(|at| format!("complications/{at}")).find(|place| {
            value(&format!("{place}/is")).is_some_and(|is| named(vocabulary, is, Kind::Complication) == wanted)
        })
    };
    let (mut steps, mut answers) = (Tally::default(), Tally::default());
    for (trouble, during) in gold.faults() {
        let found = place_of(&trouble).and_then(|place| {
            let step = value(&format!("{place}/during"));
            step.and_then(|id| value(&format!("operation/steps/{id}/do")))
                .map(|term| named(vocabulary, term, Kind::Technique))
                .or_else(|| value(&format!("{place}/after")).map(|time| format!("after {time}")))
        });
        let fits = |step: &String| {
            during
                .iter()
                .any(|it| it == step || (!it.starts_with("after ") && named(vocabulary, it, Kind::Technique) == *step))
        };
        if found.as_ref().is_some_and(fits) {
            steps.right += 1;
        } else {
            steps.missed += 1;
            score.mistakes.push(format!("{}: {trouble} stands in {found:?}", gold.name));
        }
    }
    for (trouble, wanted) in gold.answers() {
        let place = place_of(&trouble).unwrap_or_default();
        let managed: Vec<String> = (1..20)
            .map_while(|at| value(&format!("{place}/managed/{at}/do")))
            .map(|term| named(vocabulary, term, Kind::Technique))
            .collect();
        for answer in wanted {
            if managed.contains(&named(vocabulary, &answer, Kind::Technique)) {
                answers.right += 1;
            } else {
                answers.missed += 1;
                score.mistakes.push(format!("{}: {answer} is not told as the answer to {trouble}", gold.name));
            }
        }
    }
    score.kinds.insert("complications in their step", steps);
    score.kinds.insert("answers", answers);
}

/// The scores of all annotated narrations: those that were seen while building, and those held back.
pub(crate) fn scores() -> [Score; 2] {
    let vocabulary = vocabulary();
    let mut scores = [Score::default(), Score::default()];
    for gold in all() {
        let draft = drafted(&gold.file);
        scores[usize::from(gold.held_back)].add(score(&gold, &draft, vocabulary));
    }
    scores
}

/// The floors of the order for this command: concepts 0.90 each way, quantities 0.95, complications in their step 0.85, and no
/// wrong side, dose or negation. `cargo test drafts_agree -- --nocapture` shows the figures.
#[test]
fn drafts_agree_with_what_a_listener_writes_down() {
    let [seen, held_back] = scores();
    println!("{}", seen.table("Seen while building"));
    println!("{}", seen.mistakes.join("\n"));
    println!("{}", held_back.table("Held back"));
    for (which, score) in [("seen", &seen), ("held back", &held_back)] {
        let concepts = score.concepts();
        assert!(concepts.recall() >= 0.90 && concepts.precision() >= 0.90, "{which}: {concepts:?}");
        let quantities = score.of("quantities");
        assert!(quantities.recall() >= 0.95 && quantities.precision() >= 0.95, "{which}: {quantities:?}");
        assert!(score.grave.is_empty(), "{which}: {:?}", score.grave);
    }
    // So few went wrong that the two are counted together.
    let mut steps = seen.of("complications in their step");
    steps.add(held_back.of("complications in their step"));
    assert!(steps.recall() >= 0.85, "{steps:?}");
}
