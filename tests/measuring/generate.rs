//! A library of made-up cases, shaped like the demo's: any number of them, always the same ones.
//!
//! A case hangs on the seed and its own number alone, so a library of 10,000 begins with the one of 1,000. Prose is as
//! [`super::words`] says; terms come from the built-in vocabulary, the ones that the demo narratives use first and the
//! rest after, with Zipf frequencies within each kind. What the cases say makes no sense, but `proofread` finds no
//! error in them. Nobody is to learn from them: they stand for the size and shape of a department's library.

use super::random::{Random, Zipf, mix};
use super::words::{Lexicon, Writer};
use casewright::model::vocabulary::{ConceptId, Kind, Vocabulary};
use std::collections::BTreeMap;
use std::fmt::Write as _;

/// Mean length of a narrative and its deviation, in words.
const WORDS: (f64, f64) = (900.0, 220.0);

/// The kind of random stream for fields.
const FIELDS: u64 = 4;

/// The steps that nearly every operation has, in order.
const STEPS: &[(&str, &str)] = &[
    ("paracentesis", ""),
    ("viscoelastic injection", "with: [cohesive viscoelastic], "),
    ("clear corneal incision", "with: [keratome], where: 3 o'clock, "),
    ("capsulorhexis", "with: [capsule forceps], "),
    ("hydrodissection", "with: [hydrodissection cannula], "),
    (
        "phacoemulsification",
        "with: [chopper], settings: {vacuum: 380 mmHg, flow: 32 mL/min, bottle height: 90 cm, power: 40 %}, ",
    ),
    ("cortex removal", "settings: {vacuum: 450 mmHg, flow: 28 mL/min, bottle height: 70 cm}, "),
    ("lens implantation", "with: [lens injector, cohesive viscoelastic], "),
    ("viscoelastic removal", "settings: {vacuum: 450 mmHg, bottle height: 70 cm}, "),
    ("wound hydration", ""),
    (
        "intracameral antibiotic",
        "gives: [{substance: cefuroxime, strength: 10 mg/mL, dose: 0.1 mL, route: intracameral}], ",
    ),
];

/// Titles that give nothing away.
const ASKING: &[&str] = &["An ordinary eye on an ordinary list", "A dense lens on a full list", "A long morning"];

const ACUITIES: &[&str] =
    &["6/6", "6/7.5", "6/9", "6/9+2", "6/12", "6/12-1", "6/18", "6/24", "6/36", "6/60", "CF", "HM"];
const GRADES: &[&str] = &["consultant", "associate specialist", "fellow", "specialist registrar"];
const LENSES: &[&str] = &["one-piece acrylic lens", "three-piece acrylic lens", "toric lens"];
const TIMES: &[&str] = &["1 day", "1 week", "2 weeks", "6 weeks", "3 months", "6 months"];

/// The concepts of one kind, most frequent first.
#[derive(Debug)]
struct Ranked {
    ids: Vec<ConceptId>,
    zipf: Zipf,
}

/// Makes cases.
#[derive(Debug)]
pub(crate) struct Generator<'v> {
    seed: u64,
    vocabulary: &'v Vocabulary,
    kinds: BTreeMap<Kind, Ranked>,
    lexicon: Lexicon,
}

impl<'v> Generator<'v> {
    /// A generator whose terms are those of the vocabulary and whose prose resembles the narratives.
    pub(crate) fn new(seed: u64, vocabulary: &'v Vocabulary, narratives: &[String]) -> Self {
        let mut texts: Vec<&str> = narratives.iter().map(String::as_str).collect();
        texts.extend(vocabulary.iter().flat_map(|(_, concept)| concept.terms()));
        let all = narratives.concat().to_lowercase();
        let ranked = |kind: Kind| {
            let mut ids: Vec<ConceptId> =
                vocabulary.iter().filter(|(_, concept)| concept.kind == kind).map(|(id, _)| id).collect();
            ids.sort_by_cached_key(|&id| {
                let used = all.matches(&vocabulary.get(id).label.value.to_lowercase()).count();
                (std::cmp::Reverse(used), mix(seed ^ u64::from(id.0)))
            });
            Ranked { zipf: Zipf::new(ids.len()), ids }
        };
        let kinds = Kind::ALL.into_iter().map(|kind| (kind, ranked(kind))).collect();
        Self { seed, vocabulary, kinds, lexicon: Lexicon::new(seed, &texts) }
    }

    /// The name of a case, which is its file's without the ending.
    pub(crate) fn name(number: u64) -> String {
        format!("case-{number:06}")
    }

    /// The text of a case file.
    pub(crate) fn case(&self, number: u64) -> String {
        Draft::new(self, number).write()
    }

    fn label(&self, id: ConceptId) -> &'v str {
        &self.vocabulary.get(id).label.value
    }

    /// So many different concepts of a kind, as often as their rank says.
    fn several(&self, kind: Kind, many: usize, random: &mut Random) -> Vec<ConceptId> {
        let ranked = &self.kinds[&kind];
        let mut chosen = Vec::new();
        while chosen.len() < many.min(ranked.ids.len()) {
            let id = ranked.ids[ranked.zipf.place(random)];
            if !chosen.contains(&id) {
                chosen.push(id);
            }
        }
        chosen
    }
}

/// A case that is being written.
struct Draft<'g, 'v> {
    from: &'g Generator<'v>,
    number: u64,
    random: Random,
    prose: Writer<'g>,
    findings: Vec<ConceptId>,
    complications: Vec<ConceptId>,
    techniques: Vec<ConceptId>,
    /// Time and technique of each step, and what else stands in it.
    steps: Vec<(u64, &'v str, &'static str)>,
    out: String,
}

impl<'g, 'v> Draft<'g, 'v> {
    fn new(from: &'g Generator<'v>, number: u64) -> Self {
        let mut random = Random::new(from.seed, FIELDS, number);
        let many = random.from(2, 5) as usize;
        let findings = from.several(Kind::Finding, many, &mut random);
        let many = *random.one(&[0, 1, 1, 1, 2, 2, 3]);
        let complications = from.several(Kind::Complication, many, &mut random);
        let many = random.from(2, 6) as usize;
        let techniques = from.several(Kind::Technique, many, &mut random);
        let about = findings.iter().chain(&complications).chain(&techniques).map(|&id| from.label(id).to_owned());
        let prose = Writer::new(&from.lexicon, number, about.collect());
        let mut steps: Vec<(u64, &str, &str)> =
            STEPS.iter().filter(|_| random.happens(0.93)).map(|&(does, more)| (0, does, more)).collect();
        for &technique in &techniques {
            let at = 1 + random.place(steps.len() - 1);
            steps.insert(at, (0, from.label(technique), "unplanned: true, "));
        }
        let mut clock = 0;
        for step in &mut steps {
            clock += random.from(20, 150);
            step.0 = clock;
        }
        Self { from, number, random, prose, findings, complications, techniques, steps, out: String::new() }
    }

    fn write(mut self) -> String {
        self.out.push_str("---\n");
        self.head();
        self.before();
        self.operation();
        self.complications();
        self.outcomes();
        self.tail();
        self.out.push_str("---\n");
        self.narrative();
        self.out
    }

    /// A whole line.
    fn line(&mut self, line: &str) {
        self.out.push_str(line);
        self.out.push('\n');
    }

    /// A phrase in quotes, as a value.
    fn said(&mut self, least: u64, most: u64) -> String {
        format!("\"{}.\"", self.prose.phrase(least, most))
    }

    fn labels(&self, ids: &[ConceptId]) -> String {
        ids.iter().map(|&id| format!("\"{}\"", self.from.label(id))).collect::<Vec<_>>().join(", ")
    }

    fn some(&mut self, kind: Kind, least: u64, most: u64) -> String {
        let many = self.random.from(least, most) as usize;
        let ids = self.from.several(kind, many, &mut self.random);
        self.labels(&ids)
    }

    fn step(&mut self) -> usize {
        self.random.place(self.steps.len())
    }

    /// Whether anybody may read the case: every second one.
    fn is_public(&self) -> bool {
        self.number.is_multiple_of(2)
    }

    /// An earlier case that this one may link to: a public case links to public ones only.
    fn other(&mut self) -> String {
        let number = self.random.below(self.number);
        Generator::name(if self.is_public() { number & !1 } else { number })
    }

    fn head(&mut self) {
        let title = self.prose.phrase(3, 7);
        self.line(&format!("title: \"{title}\""));
        let asking = *self.random.one(ASKING);
        self.line(&format!("ask_title: {asking}"));
        let summary = format!("{} {}", self.prose.sentence(), self.prose.sentence());
        self.line(&format!("summary: \"{summary}\""));
        let eye = *self.random.one(&["left", "right"]);
        let sex = *self.random.one(&["female", "male"]);
        let (age, note) = (self.random.from(48, 89), self.said(3, 9));
        self.line(&format!("eye: {eye}\npatient: {{age: {age}, sex: {sex}, note: {note}}}"));
        let state = *self.random.one(&["phakic", "pseudophakic"]);
        let note = self.said(3, 8);
        self.line(&format!("fellow_eye: {{state: {state}, complication: none, note: {note}}}\nfindings:"));
        for at in 0..self.findings.len() {
            let label = self.from.label(self.findings[at]);
            let more = match self.random.below(3) {
                0 => format!(", note: {}", self.said(3, 10)),
                1 => format!(", grade: \"{}\", scale: LOCS III", self.random.from(1, 4)),
                _ => String::new(),
            };
            self.line(&format!("  - {{is: \"{label}\"{more}}}"));
        }
        let absent = self.absent();
        self.line(&format!("absent: [{}]", self.labels(&absent)));
    }

    /// Findings that are not there: none of those that are, and none wider than those.
    fn absent(&mut self) -> Vec<ConceptId> {
        let many = self.random.from(2, 5) as usize;
        let mut absent = self.from.several(Kind::Finding, many, &mut self.random);
        let vocabulary = self.from.vocabulary;
        // A label may mean more than one concept; none of them may be there.
        let meant = |id: ConceptId| vocabulary.by_term(&vocabulary.get(id).label.value).iter();
        let there: Vec<ConceptId> =
            self.findings.iter().flat_map(|&id| meant(id)).flat_map(|&id| vocabulary.upwards(id)).copied().collect();
        absent.retain(|&id| !meant(id).any(|one| there.contains(one)));
        absent
    }

    fn before(&mut self) {
        let acuity = *self.random.one(&ACUITIES[5..]);
        let (iop, axial) = (self.random.from(11, 24), self.random.from(210, 270));
        let (depth, power) = (self.random.from(22, 38), self.random.from(420, 460));
        let note = self.said(6, 16);
        let tenths = |value: u64| format!("{}.{}", value / 10, value % 10);
        let (axial, depth) = (tenths(axial), tenths(depth));
        let (flat, steep) = (tenths(power), tenths(power + 8));
        self.line(&format!(
            "before:\n  - when: in clinic\n    acuity: {{best corrected: {acuity}}}\n    iop: {iop} mmHg\n    pupil: 6.5 mm\n    \
             anterior chamber depth: {depth} mm\n    axial length: {axial} mm\n    lens thickness: 4.6 mm\n    keratometry: \
             {{flat: {flat} D, steep: {steep} D, steep axis: 95}}\n    refraction: -1.50 -0.75 x 95\n    note: {note}"
        ));
        let note = self.said(4, 9);
        self.line(&format!(
            "  - when: on the day\n    gives: [{{substance: povidone iodine, strength: 5 %, route: topical, note: {note}}}]"
        ));
    }

    fn operation(&mut self) {
        let anaesthesia = *self.random.one(&["topical anaesthesia", "sub-Tenon anaesthesia"]);
        let (kind, power) = (*self.random.one(LENSES), self.random.from(14, 27));
        self.line(&format!(
            "planned:\n  procedure: phacoemulsification\n  anaesthesia: {anaesthesia}\n  lens: {{kind: {kind}, power: \
             {power}.5 D, place: bag, target: -0.25 D}}\noperation:\n  surgeon_at: temporal\n  operators:"
        ));
        let grade = *self.random.one(GRADES);
        self.line(&format!("    - {{grade: {grade}}}"));
        if self.random.happens(0.3) {
            let from = self.step() + 1;
            self.line(&format!("    - {{grade: consultant, from: s{from}, takeover: true}}"));
        }
        self.line("  incision: {at: 3 o'clock, width: 2.4 mm, kind: clear corneal}\n  ports: [1 o'clock, 5 o'clock]\n  steps:");
        for at in 0..self.steps.len() {
            let (clock, does, more) = self.steps[at];
            let tools = if more.is_empty() && self.random.happens(0.6) {
                format!("with: [{}], ", self.some(Kind::Instrument, 1, 2))
            } else {
                String::new()
            };
            let note = if self.random.happens(0.6) { format!("note: {}", self.said(5, 16)) } else { String::new() };
            let line = format!(
                "    - {{id: s{}, at: \"{}:{:02}\", do: \"{does}\", {more}{tools}{note}",
                at + 1,
                clock / 60,
                clock % 60
            );
            self.line(&format!("{}}}", line.trim_end_matches([',', ' '])));
        }
        self.line(&format!("  lens: {{kind: {kind}, power: {power}.0 D, place: bag, target: -0.25 D}}"));
    }

    fn complications(&mut self) {
        if self.complications.is_empty() {
            return;
        }
        self.line("complications:");
        for at in 0..self.complications.len() {
            let id = self.complications[at];
            let label = self.from.label(id);
            self.line(&format!("  - is: \"{label}\""));
            let arose = self.step();
            let noticed = (arose + 1).min(self.steps.len() - 1);
            if self.random.happens(0.7) {
                self.line(&format!("    during: s{}\n    noticed: s{}", arose + 1, noticed + 1));
            } else {
                let days = self.random.from(1, 20);
                self.line(&format!("    after: {days} days"));
            }
            self.line("    managed:");
            let vocabulary = self.from.vocabulary;
            let mut answers: Vec<ConceptId> =
                vocabulary.iter().filter(|(_, it)| it.answers.contains(&id)).map(|(answer, _)| answer).collect();
            if answers.is_empty() {
                answers = self.techniques.clone();
            }
            for _ in 0..self.random.from(1, 2) {
                let does = self.from.label(*self.random.one(&answers));
                let worked = *self.random.one(&["yes", "partly", "no"]);
                let (tools, note) = (self.some(Kind::Material, 1, 2), self.said(6, 18));
                self.line(&format!(
                    "      - {{do: \"{does}\", worked: {worked}, step: s{}, with: [{tools}], note: {note}}}",
                    noticed + 1
                ));
            }
        }
    }

    fn outcomes(&mut self) {
        self.line("outcomes:");
        for (at, time) in TIMES.iter().enumerate() {
            if at > 0 && !self.random.happens(0.6) {
                continue;
            }
            let acuity = *self.random.one(ACUITIES);
            let (iop, is, note) = (self.random.from(9, 24), self.some(Kind::Outcome, 1, 3), self.said(5, 16));
            let gives = if at == 0 {
                ", gives: [{substance: chloramphenicol, strength: 0.5 %, route: topical}, {substance: dexamethasone, \
                 strength: 0.1 %, route: topical}]"
            } else {
                ""
            };
            self.line(&format!(
                "  - {{after: {time}, acuity: {{best corrected: {acuity}}}, iop: {iop} mmHg, is: [{is}]{gives}, note: {note}}}"
            ));
        }
        self.line("follow_up: complete");
    }

    fn tail(&mut self) {
        self.line("lessons:");
        for _ in 0..self.random.from(3, 4) {
            let lesson = self.prose.sentence();
            self.line(&format!("  - \"{lesson}\""));
        }
        if self.number > 0 {
            let other = self.other();
            let principle = self.said(8, 18);
            self.line(&format!("contrast:\n  - {{case: {other}, principle: {principle}}}"));
        }
        let (audience, scope) =
            if self.is_public() { ("public", "[teaching, publication]") } else { ("department", "teaching") };
        self.line(&format!("consent: {{status: obtained, scope: {scope}, reference: kept in the department's file}}"));
        self.line(&format!(
            "audience: {audience}\nauthors: [{{name: Consultant A, role: operator and writer}}]\ninterests: none\n\
             references:\n  - \"doi:10.1016/j.jcrs.2007.02.013\""
        ));
    }

    /// Sections, paragraphs and decisions, each decision at a later step than the one before.
    fn narrative(&mut self) {
        let words = (WORDS.0 + WORDS.1 * self.random.normal()).max(250.0) as usize;
        let decisions = self.random.from(2, 3) as usize;
        let sections = decisions + 1;
        for section in 0..sections {
            let heading = self.prose.phrase(2, 4);
            let _ = write!(self.out, "\n## {heading}\n\n");
            let mut left = words / sections;
            while left > 20 {
                let wanted = self.random.from(40, 110) as usize;
                let mut paragraph = self.prose.paragraph(wanted.min(left));
                left = left.saturating_sub(paragraph.split(' ').count());
                paragraph.push_str(&self.link());
                self.line(&paragraph);
                self.line("");
            }
            if section < decisions {
                let at = (self.steps.len() - 1) * (section + 1) / decisions;
                self.decision(section + 1, at);
            }
        }
    }

    /// Now and then a link on purpose.
    fn link(&mut self) -> String {
        if self.random.happens(0.08) && self.number > 0 {
            return format!(" See [the other eye](case:{}).", self.other());
        }
        if self.random.happens(0.08) {
            let concept = self.from.vocabulary.get(*self.random.one(&self.techniques));
            return format!(" This is [how it is done](concept:{}).", concept.name.value);
        }
        String::new()
    }

    fn decision(&mut self, number: usize, step: usize) {
        let ask = format!("{} {}", self.prose.sentence(), self.prose.sentence());
        let mut teaches = vec![*self.random.one(&self.techniques)];
        teaches.extend(self.complications.first());
        let (grade, tools) = (*self.random.one(GRADES), self.some(Kind::Instrument, 1, 3));
        self.line(&format!(
            "```decision\nid: decision-{number}\nat: s{}\nask: \"{ask}\"\nteaches: [{}]\ngiven: {{grade: {grade}, at hand: \
             [{tools}]}}\noptions:",
            step + 1,
            self.labels(&teaches)
        ));
        let best = self.random.below(3);
        for option in 0..3 {
            let verdict = if option == best { "best" } else { *self.random.one(&["acceptable", "risky", "harmful"]) };
            let choice = self.prose.phrase(6, 18);
            let because = format!("{} {}", self.prose.sentence(), self.prose.sentence());
            self.line(&format!(
                "  - choice: \"{choice}\"\n    verdict: {verdict}\n    because: \"{because}\"\n    source: common practice"
            ));
        }
        self.line("```");
    }
}
