//! What is searched, and the index made from it.
//!
//! [`Document`] is the seam: the index knows nothing of cases, so that other texts can be measured with it.

pub mod codec;

/// A part of a document, in order of weight.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Field {
    /// The title.
    Title,
    /// What went wrong.
    Complications,
    /// What was done.
    Techniques,
    /// What was there before.
    Findings,
    /// What to take home.
    Lessons,
    /// Everything else.
    Body,
}

impl Field {
    /// How much a word counts here, in halves of a word of the body. Starting values of our own; see the judged queries.
    pub fn weight(self) -> u32 {
        match self {
            Self::Title => 8,
            Self::Complications => 6,
            Self::Techniques | Self::Findings => 5,
            Self::Lessons => 4,
            Self::Body => 2,
        }
    }
}

/// A text with what is known about it.
#[derive(Debug, Clone, Default)]
pub struct Document {
    /// Its texts, each in its field; a field may have several.
    pub texts: Vec<(Field, String)>,
    /// Concepts stated in a field, as places in [`Catalogue::concepts`].
    pub concepts: Vec<(Field, u32)>,
    /// What it can be filtered by, as places in [`Catalogue::values`], wider ones included; in order, each once.
    pub values: Vec<u32>,
    /// What a list of results shows of it.
    pub card: Card,
}

/// What a list of results shows of a document.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Card {
    /// Its name in links.
    pub name: String,
    /// Its title.
    pub title: String,
    /// The title that gives nothing away; empty if it has none and needs none.
    pub ask_title: String,
    /// Whether it has decisions, and so a reading in which they are open.
    pub asks: bool,
    /// Lessons, or the part of them for which there is room.
    pub lessons: Vec<String>,
    /// The values stated in it, as places in [`Catalogue::values`]; in order, each once.
    pub stated: Vec<u32>,
}

/// A concept that people call by several names.
#[derive(Debug, Clone)]
pub struct SearchConcept {
    /// Stable name.
    pub name: String,
    /// The usual term.
    pub label: String,
    /// All terms, the label included.
    pub terms: Vec<String>,
}

/// A group of values by which results are filtered.
#[derive(Debug, Clone)]
pub struct Group {
    /// Name in addresses and options: `complication`.
    pub name: String,
    /// Heading.
    pub label: String,
    /// Whether its counts would tell what happened in a case whose decisions are open.
    pub telling: bool,
}

/// A value by which results are filtered.
#[derive(Debug, Clone)]
pub struct Value {
    /// Place of its group in [`Catalogue::groups`].
    pub group: u32,
    /// Name in addresses and options.
    pub name: String,
    /// What a reader sees.
    pub label: String,
}

/// What documents refer to.
#[derive(Debug, Clone, Default)]
pub struct Catalogue {
    /// Groups in the order in which they are shown.
    pub groups: Vec<Group>,
    /// Values, those of a group together.
    pub values: Vec<Value>,
    /// Concepts.
    pub concepts: Vec<SearchConcept>,
}

/// A term and the documents that have it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Entry {
    /// The term: a stem; `#` and a number for a concept; `"` and two stems for a pair of neighbouring words.
    pub term: String,
    /// How many documents have it.
    pub documents: u32,
    /// The documents, packed by [`codec::pack`].
    pub list: Vec<u8>,
}

/// A word as texts write it, for mending slips.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Spelling {
    /// The word, spelt the American way: letters a to z.
    pub word: String,
    /// About how often: the binary logarithm of the number of documents, in eighths.
    pub often: u8,
}

/// A sequence of stems by which concepts are called.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Call {
    /// Stems joined by blanks.
    pub key: String,
    /// Places in [`Catalogue::concepts`], each of which occurs.
    pub concepts: Vec<u32>,
}

/// The index of a library.
#[derive(Debug, Clone, Default)]
pub struct SearchIndex {
    /// What the documents refer to.
    pub catalogue: Catalogue,
    /// One card for each document.
    pub cards: Vec<Card>,
    /// Terms in order of their bytes.
    pub entries: Vec<Entry>,
    /// Words in order.
    pub spellings: Vec<Spelling>,
    /// How concepts are called, in order of key.
    pub calls: Vec<Call>,
    /// For each value its documents, packed with one level; empty if there is none.
    pub lists: Vec<Vec<u8>>,
    /// How many documents each value has.
    pub counts: Vec<u32>,
    /// For each document its nearest ones with their likeness, 1 to 15; empty if the library is small or its texts short.
    pub near: Vec<Vec<(u32, u8)>>,
    /// Whether every pair of neighbouring words has an entry.
    pub all_pairs: bool,
}

impl SearchIndex {
    /// The entry of a term.
    pub fn find(&self, term: &str) -> Option<&Entry> {
        self.entries.binary_search_by(|entry| entry.term.as_str().cmp(term)).ok().map(|at| &self.entries[at])
    }

    /// The entries that begin so.
    pub fn beginning<'i>(&'i self, start: &'i str) -> impl Iterator<Item = &'i Entry> {
        let from = self.entries.partition_point(|entry| entry.term.as_str() < start);
        self.entries[from..].iter().take_while(move |entry| entry.term.starts_with(start))
    }
}

/// The term of a concept.
pub fn concept_term(concept: u32) -> String {
    format!("#{concept}")
}

/// The term of two neighbouring words.
pub fn pair_term(one: &str, other: &str) -> String {
    format!("\"{one} {other}")
}
