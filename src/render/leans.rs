//! What a page leans on, as one hash: while that is the same, so is the page.
//!
//! Pages of a case, of a concept, of two cases and of the lists of cases are nearly the whole of a site, and the only ones that
//! are asked about here. Each hash holds everything from which its view is made: the ground that all pages share, the files of the cases that
//! it tells of with what was computed of them, and what it says of others. A view that comes to lean on
//! something else has to say so here; a test edits libraries at random and holds sites made so against clean ones.

use super::press::Press;
use crate::model::analysis::{Occurrence, Pair};
use crate::model::digest::Parts;
use crate::model::held::Open;
use crate::model::index::Standing;
use crate::model::site::Leaning;
use crate::model::vocabulary::ConceptId;
use std::fmt::{Debug, Write};
use std::ops::Range;
use std::sync::OnceLock;

/// Hashes that are needed for many pages, each computed when it is first asked for.
#[derive(Debug)]
pub(super) struct Leanings {
    ground: OnceLock<Leaning>,
    /// By place in the corpus.
    cases: Vec<OnceLock<Leaning>>,
    fields: Vec<OnceLock<Leaning>>,
}

impl Leanings {
    pub(super) fn new(cases: usize) -> Self {
        let fresh = || (0..cases).map(|_| OnceLock::new()).collect();
        Self { ground: OnceLock::new(), cases: fresh(), fields: fresh() }
    }
}

/// Gathers what is hashed.
#[derive(Default)]
struct Gathered {
    parts: Parts,
    words: String,
}

impl Gathered {
    fn add(&mut self, part: impl AsRef<[u8]>) {
        self.parts.add(part);
    }

    /// Anything by what its derived `Debug` tells, which is all that it holds.
    fn say(&mut self, part: &impl Debug) {
        let mut words = std::mem::take(&mut self.words);
        words.clear();
        // Writing to a string cannot fail.
        let _ = write!(words, "{part:?}");
        self.add(&words);
        self.words = words;
    }

    fn number(&mut self, number: usize) {
        self.add((number as u64).to_le_bytes());
    }

    fn finish(self) -> Leaning {
        *self.parts.hash().as_bytes()
    }
}

impl Press<'_> {
    /// What every page leans on: theme, vocabulary, library, models, and which cases and concepts have which pages.
    fn ground(&self) -> &Leaning {
        self.leanings.ground.get_or_init(|| {
            let mut all = Gathered::default();
            all.add(self.theme().content());
            all.say(&self.corpus.audience());
            all.say(self.corpus.library());
            all.say(self.corpus.vocabulary());
            for (id, _) in self.corpus.vocabulary().iter() {
                let term = self.places.term(id, "");
                all.add(term.label.as_bytes());
                all.add(term.href.as_bytes());
            }
            for at in 0..self.corpus.cases().len() {
                all.add(self.corpus.cases()[at].name.as_bytes());
                all.say(&self.places.ask(at).is_some());
            }
            all.say(&self.analysis.practice.topics.iter().map(|topic| topic.concept).collect::<Vec<_>>());
            all.finish()
        })
    }

    /// What of a case other pages than its own can tell: its fields, its decisions and its media. What is computed of it alone,
    /// as its indices are, follows from these and from the ground.
    fn of_fields(&self, at: usize) -> &Leaning {
        self.leanings.fields[at].get_or_init(|| {
            let cleared = &self.corpus.cases()[at];
            let Open { case, markdown, side } = cleared.open();
            let body = &case.body;
            let mut all = Gathered::default();
            all.add(&cleared.path);
            all.add(markdown.get(..body.span.start as usize).unwrap_or(&markdown));
            all.say(&(&cleared.side, side));
            for decision in &body.decisions {
                all.add(markdown.get(decision.span.range()).unwrap_or(&markdown));
            }
            all.say(&cleared.media);
            all.add([u8::from(cleared.reviewed)]);
            all.finish()
        })
    }

    /// Everything of one case.
    fn of_case(&self, at: usize) -> &Leaning {
        self.leanings.cases[at].get_or_init(|| {
            let mut all = Gathered::default();
            all.add(self.of_fields(at));
            all.add(self.corpus.cases()[at].open().markdown.as_bytes());
            all.finish()
        })
    }

    fn begin(&self, path: &str) -> Gathered {
        let mut all = Gathered::default();
        all.add(self.ground());
        all.add(path.as_bytes());
        all
    }

    /// A page that tells of one case, and names others beside it.
    pub(super) fn leans_on_case(&self, path: &str, at: usize) -> Leaning {
        let mut all = self.begin(path);
        all.add(self.of_case(at));
        for related in self.analysis.related.of(at) {
            all.add(self.places.case(related.case).as_bytes());
            all.add(self.places.title(related.case, true).as_bytes());
            all.say(&related.why);
        }
        for &pair in self.analysis.pairs_of.get(at).into_iter().flatten() {
            let pair = &self.analysis.pairs[pair];
            for case in [pair.one, pair.other] {
                all.add(self.places.case(case).as_bytes());
                all.add(self.places.title(case, true).as_bytes());
            }
            all.say(&(pair.by, &pair.differ));
        }
        all.finish()
    }

    /// A page that sets two cases against each other.
    pub(super) fn leans_on_pair(&self, path: &str, pair: &Pair) -> Leaning {
        let mut all = self.begin(path);
        all.add(self.of_fields(pair.one));
        all.add(self.of_fields(pair.other));
        let principles: Vec<_> = pair.principles.iter().map(|(case, at)| (*case == pair.one, *at)).collect();
        all.say(&(pair.by, &pair.differ, &pair.rows, principles));
        all.finish()
    }

    /// A page of a list of cases with this part of them, of so many pages.
    pub(super) fn leans_on_list(&self, path: &str, ranked: bool, of: usize, part: &[usize]) -> Leaning {
        let mut all = self.begin(path);
        all.number(of);
        for &at in part {
            all.add(self.of_fields(at));
            if ranked {
                let Standing { rank, low, high } = self.analysis.standings[at];
                [rank, low, high].into_iter().for_each(|number| all.number(number));
            }
        }
        all.finish()
    }

    /// A page of a concept with this part of its cases, of so many pages; `whole` is [`Self::of_concept`].
    pub(super) fn leans_on_concept(&self, path: &str, whole: &Leaning, of: usize, part: Range<usize>) -> Leaning {
        let mut all = self.begin(path);
        all.add(whole);
        [of, part.start, part.end].into_iter().for_each(|number| all.number(number));
        all.finish()
    }

    /// A concept with all its cases, of which its first page tells.
    pub(super) fn of_concept(&self, id: ConceptId, found: &[&Occurrence]) -> Leaning {
        let name = |case: usize| &self.corpus.cases()[case].name;
        let mut all = Gathered::default();
        for found in found {
            all.add(self.of_fields(found.case));
            all.number(usize::from(found.relations.bits()));
            all.number(found.through.map_or(usize::MAX, |through| through.0 as usize));
        }
        let mut reading: Vec<usize> = found.iter().map(|found| found.case).collect();
        reading.sort_unstable_by_key(|&case| self.analysis.reading[case]);
        reading.iter().for_each(|&case| all.add(name(case)));
        for rung in &self.analysis.ladders[id.0 as usize].rungs {
            all.add(name(rung.case));
            all.say(&(&rung.new, rung.worked));
        }
        for &wider in self.corpus.vocabulary().upwards(id) {
            all.number(self.analysis.cases_with(wider));
        }
        all.finish()
    }
}
