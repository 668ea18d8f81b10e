//! A story as a case file: front matter, decisions, and for every value the words that it rests on.

use super::Entry;
use super::acuity::taken_word;
use super::story::{Concept, Drug, Held, Slot, Story, Sure, Text, Trouble, Visit};
use super::tree::{Node, Support, scalar};
use super::words::Speech;
use crate::media::clock;
use crate::model::vocabulary::Vocabulary;
use crate::text::capitalised;

/// The case file and an entry for every value in it.
pub(super) fn write(
    story: &Story,
    speech: &Speech<'_>,
    vocabulary: &Vocabulary,
    transcript: bool,
) -> (String, Vec<Entry>) {
    let writer = Writer { story, speech, vocabulary };
    let root = writer.front();
    let mut entries = Vec::new();
    let mut add = |place: &str, value: &str, support: &Support| {
        let at = support.words.first().map_or(0.0, |words| speech.time(words.start));
        let heard: Vec<String> = support.words.iter().map(|words| speech.heard(words.clone())).collect();
        entries.push(Entry {
            place: place.to_owned(),
            value: value.to_owned(),
            at,
            heard: heard.join(" … "),
            sure: support.sure,
        });
    };
    root.walk("", &mut add);
    let mut body = String::new();
    for (number, decision) in (1..).zip(&story.decisions) {
        let id = format!("question-{number}");
        add(&format!("decisions/{id}"), &decision.ask.value, &support([&decision.ask]));
        let at = decision.step.map_or("plan".to_owned(), step_id);
        body.push_str(&format!(
            "\n```decision\nid: {id}\nat: {at}\nask: {}\noptions:\n",
            scalar(&sentence(&decision.ask.value, '?'))
        ));
        body.push_str(
            "  # What the narrator did; write what else one could do, and a verdict and a reason for each.\n",
        );
        if let Some(answer) = &decision.answer {
            let choice = sentence(&answer.value, '.');
            add(&format!("decisions/{id}/options/1"), &choice, &support([answer]));
            body.push_str(&format!("  - {{choice: {}}}\n", scalar(&choice)));
        } else {
            body.push_str("  []\n");
        }
        body.push_str("```\n");
    }
    if transcript {
        body.push_str("\n## What was said\n");
        for range in &speech.sentences {
            let words = range.words.clone();
            let end = if range.asks { '?' } else { '.' };
            let said = escaped(&sentence(&speech.heard(words), end));
            body.push_str(&format!("\n{} {said}\n", clock(speech.time(range.words.start))));
        }
    }
    let mut text = "---\n".to_owned();
    root.write(0, &mut text);
    text.push_str("audience: department\nconsent: {status: pending}\n");
    if !entries.is_empty() {
        text.push_str("unreviewed:\n");
        for entry in &entries {
            text.push_str(&format!(
                "  {}: {{at: \"{}\", heard: {}, sure: {}}}\n",
                scalar(&entry.place),
                clock(entry.at),
                scalar(&entry.heard),
                entry.sure.word()
            ));
        }
    }
    text.push_str("---\n");
    text.push_str(&body);
    (text, entries)
}

/// Words as text of Markdown, in which no mark means anything.
fn escaped(words: &str) -> String {
    let mut out = String::with_capacity(words.len());
    for letter in words.chars() {
        if matches!(letter, '<' | '>' | '[' | ']' | '*' | '_' | '`' | '\\' | '&' | '#' | '|' | '~') {
            out.push('\\');
        }
        out.push(letter);
    }
    out
}

/// The name of a step by its place.
fn step_id(at: usize) -> String {
    format!("s{}", at + 1)
}

/// Words as a sentence: a capital first and a stop last.
fn sentence(words: &str, stop: char) -> String {
    let mut text = capitalised(words.trim());
    if !text.ends_with(['.', '?', '!']) {
        text.push(stop);
    }
    text
}

/// What several things rest on together; the least sure of them counts.
fn support<'h, T: 'h>(held: impl IntoIterator<Item = &'h Held<T>>) -> Support {
    let mut all = Support { words: Vec::new(), sure: Sure::Certain };
    for held in held {
        all.words.push(held.words.clone());
        all.sure = all.sure.max(held.sure);
    }
    all
}

struct Writer<'w> {
    story: &'w Story,
    speech: &'w Speech<'w>,
    vocabulary: &'w Vocabulary,
}

/// Fields that are left out when there is nothing to put in them.
#[derive(Default)]
struct Fields(Vec<(String, Node)>);

impl Fields {
    fn put(&mut self, name: &str, node: Option<Node>) {
        let empty = |node: &Node| match node {
            Node::List(items) => items.is_empty(),
            Node::Map(fields) => fields.is_empty(),
            Node::Text(..) => false,
        };
        if let Some(node) = node.filter(|node| !empty(node)) {
            self.0.push((name.to_owned(), node));
        }
    }

    fn text(&mut self, name: &str, text: Option<&Text>) {
        self.put(name, text.map(Node::text));
    }

    fn slot(&mut self, name: &str, slot: &Slot) {
        self.text(name, slot.value());
    }

    fn map(self) -> Node {
        Node::Map(self.0)
    }
}

impl Writer<'_> {
    fn label(&self, concept: &Concept) -> &str {
        &self.vocabulary.get(concept.value).label.value
    }

    fn term(&self, concept: &Concept) -> Node {
        Node::held(concept, self.label(concept))
    }

    fn terms(&self, concepts: &[Concept]) -> Node {
        Node::List(concepts.iter().map(|concept| self.term(concept)).collect())
    }

    fn front(&self) -> Node {
        let story = self.story;
        let mut case = Fields::default();
        let troubles = story.troubles.iter().map(|trouble| &trouble.is).filter(|is| is.sure == Sure::Certain);
        let about: Vec<&Concept> = story.procedure.iter().chain(troubles).collect();
        let guess = |concepts: &[&Concept]| Support { sure: Sure::Guess, ..support(concepts.iter().copied()) };
        // What went wrong is not in the title: a reader of the page with open questions must not learn it there, and a
        // mishearing would name the whole case.
        if let Some(first) = story.procedure.as_ref() {
            case.put("title", Some(Node::Text(capitalised(self.label(first)), Some(guess(&[first])))));
            let labels: Vec<&str> = about.iter().map(|concept| self.label(concept)).collect();
            case.put("summary", Some(Node::Text(capitalised(&labels.join("; ")) + ".", Some(guess(&about)))));
        }
        case.slot("eye", &story.eye);
        let mut patient = Fields::default();
        patient.slot("age", &story.age);
        patient.text("sex", story.sex.as_ref());
        case.put("patient", Some(patient.map()));
        case.put("findings", Some(self.findings()));
        case.put("absent", Some(self.terms(&story.absent)));
        case.put("before", Some(Node::List(story.before.iter().map(|visit| self.before(visit)).collect())));
        let mut plan = Fields::default();
        plan.put("procedure", story.procedure.as_ref().map(|it| self.term(it)));
        plan.put("anaesthesia", story.anaesthesia.as_ref().map(|it| self.term(it)));
        case.put("planned", Some(plan.map()));
        case.put("operation", Some(self.operation()));
        case.put("complications", Some(Node::List(story.troubles.iter().map(|it| self.trouble(it)).collect())));
        case.put("outcomes", Some(Node::List(story.outcomes.iter().map(|visit| self.after(visit)).collect())));
        let lesson = |text: &Text| {
            Node::held(text, format!("{} (The operator's rule of thumb, unreviewed.)", sentence(&text.value, '.')))
        };
        case.put("lessons", Some(Node::List(story.lessons.iter().map(lesson).collect())));
        case.map()
    }

    fn findings(&self) -> Node {
        let finding = |it: &super::story::Finding| match it.grade.value() {
            None => self.term(&it.is),
            Some(grade) => {
                Node::Map(vec![("is".to_owned(), self.term(&it.is)), ("grade".to_owned(), Node::text(grade))])
            }
        };
        Node::List(self.story.findings.iter().map(finding).collect())
    }

    fn measures(&self, visit: &Visit, fields: &mut Fields) {
        let acuity = visit
            .acuity
            .iter()
            .filter_map(|(taken, slot)| Some((taken_word(*taken).to_owned(), Node::text(slot.value()?))))
            .collect();
        fields.put("acuity", Some(Node::Map(acuity)));
        fields.slot("refraction", &visit.refraction);
        fields.slot("iop", &visit.iop);
        fields.slot("pupil", &visit.pupil);
        fields.slot("anterior chamber depth", &visit.depth);
        fields.slot("axial length", &visit.length);
    }

    fn notes(&self, notes: &[Text], fields: &mut Fields) {
        if notes.is_empty() {
            return;
        }
        let text: Vec<String> = notes.iter().map(|note| sentence(&note.value, '.')).collect();
        fields.put("note", Some(Node::Text(text.join(" "), Some(support(notes)))));
    }

    fn before(&self, visit: &Visit) -> Node {
        let mut fields = Fields::default();
        // The field is needed and nobody says it: this much is known of every visit told before the first step.
        fields.put("when", Some(visit.when.as_ref().map_or_else(|| Node::tie("before the operation"), Node::text)));
        self.measures(visit, &mut fields);
        fields.put("gives", Some(Node::List(visit.gives.iter().map(|drug| self.drug(drug)).collect())));
        self.notes(&visit.notes, &mut fields);
        fields.map()
    }

    fn after(&self, visit: &Visit) -> Node {
        let mut fields = Fields::default();
        fields.text("after", visit.when.as_ref());
        self.measures(visit, &mut fields);
        fields.put("is", Some(self.terms(&visit.states)));
        fields.put("gives", Some(Node::List(visit.gives.iter().map(|drug| self.drug(drug)).collect())));
        self.notes(&visit.notes, &mut fields);
        fields.map()
    }

    fn drug(&self, drug: &Drug) -> Node {
        let mut fields = Fields::default();
        fields.put("substance", Some(self.term(&drug.substance)));
        fields.slot("strength", &drug.strength);
        fields.slot("dose", &drug.dose);
        fields.text("route", drug.route.as_ref());
        fields.text("note", drug.note.as_ref());
        fields.map()
    }

    fn operation(&self) -> Node {
        let story = self.story;
        let mut operation = Fields::default();
        operation.slot("surgeon_at", &story.surgeon_at);
        let mut incision = Fields::default();
        incision.slot("at", &story.incision_at);
        incision.slot("width", &story.incision_width);
        incision.slot("sutures", &story.sutures);
        operation.put("incision", Some(incision.map()));
        operation.put("ports", Some(Node::List(story.ports.iter().map(Node::text).collect())));
        let steps = story.steps.iter().enumerate().map(|(at, step)| {
            let mut fields = Fields::default();
            fields.put("id", Some(Node::tie(step_id(at))));
            let time = clock(self.speech.time(step.does.words.start));
            fields.put("at", Some(Node::held(&step.does, time)));
            fields.put("do", Some(self.term(&step.does)));
            fields.put("with", Some(self.terms(&step.with)));
            let settings = step
                .settings
                .iter()
                .filter_map(|(name, slot)| Some(((*name).to_owned(), Node::text(slot.value()?))))
                .collect();
            fields.put("settings", Some(Node::Map(settings)));
            fields.put("gives", Some(Node::List(step.gives.iter().map(|drug| self.drug(drug)).collect())));
            self.notes(&step.notes, &mut fields);
            fields.map()
        });
        operation.put("steps", Some(Node::List(steps.collect())));
        let mut lens = Fields::default();
        let kind = story.lens.kind.as_ref().filter(|it| it.sure != Sure::Blank);
        lens.put("kind", kind.map(|it| self.term(it)));
        lens.slot("power", &story.lens.power);
        lens.slot("place", &story.lens.place);
        lens.slot("target", &story.lens.target);
        operation.put("lens", Some(lens.map()));
        operation.map()
    }

    fn trouble(&self, trouble: &Trouble) -> Node {
        let mut fields = Fields::default();
        fields.put("is", Some(self.term(&trouble.is)));
        // The step is that which was spoken of last: a guess, and the words are those that named the trouble.
        let during = trouble.during.filter(|_| trouble.after.is_none());
        let guess =
            |text: String| Node::Text(text, Some(Support { words: vec![trouble.is.words.clone()], sure: Sure::Guess }));
        fields.put("during", during.map(|at| guess(step_id(at))));
        fields.text("after", trouble.after.as_ref());
        fields.slot("extent", &trouble.extent);
        fields.slot("at", &trouble.at);
        let managed = trouble.managed.iter().map(|(does, step)| {
            let mut fields = Fields::default();
            fields.put("do", Some(self.term(does)));
            fields.put("step", step.map(|at| Node::held(does, step_id(at))));
            fields.map()
        });
        fields.put("managed", Some(Node::List(managed.collect())));
        fields.map()
    }
}
