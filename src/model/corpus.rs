//! The corpus: what was checked and cleared. Nothing else ever reaches a page.

use super::case::Case;
use super::held::{Held, Open};
use super::inputs::Shown;
use super::library::Library;
use super::site::Audience;
use super::vocabulary::Vocabulary;
use crate::media::Cue;
use std::sync::Arc;

/// Proof that consent and audience were applied. Only the clearance step of `check` makes one.
#[derive(Debug)]
pub struct Clearance(());

impl Clearance {
    /// Made at exactly one place; a test of the tree counts the callers.
    pub(crate) fn granted() -> Self {
        Self(())
    }
}

/// A cleared case and what belongs to it.
#[derive(Debug, Clone)]
pub struct Cleared {
    /// Its name in links and in the site.
    pub name: String,
    /// The case with its texts.
    pub held: Held,
    /// The file as the library names it: `plaque.md`.
    pub path: String,
    /// The side file's path, where the fields stand apart.
    pub side: Option<String>,
    /// What its pictures and films are, in the order of [`super::case::CaseOf::media`].
    pub media: Vec<Exhibit>,
    /// Whether a second surgeon's review matches the content as it is now.
    pub reviewed: bool,
}

/// A picture or film of a case, ready to publish.
#[derive(Debug, Clone, Default)]
pub struct Exhibit {
    /// The picture or film itself.
    pub shown: Option<Arc<Shown>>,
    /// The still picture before a film runs.
    pub poster: Option<Arc<Shown>>,
    /// What is said in it.
    pub captions: Vec<Cue>,
}

impl Cleared {
    /// The case with its texts.
    pub fn open(&self) -> Open {
        self.held.open()
    }

    /// The case.
    pub fn case(&self) -> Arc<Case> {
        self.open().case
    }
}

/// All cleared cases of one compile, in order of name, with the vocabulary they lean on.
#[derive(Debug)]
pub struct Corpus {
    library: Library,
    audience: Audience,
    vocabulary: Vocabulary,
    cases: Vec<Cleared>,
}

impl Corpus {
    /// A corpus of cleared cases. The clearance is asked for so that nothing unchecked or withheld can be put in.
    pub fn new(
        _clearance: &Clearance,
        library: Library,
        audience: Audience,
        vocabulary: Vocabulary,
        mut cases: Vec<Cleared>,
    ) -> Self {
        cases.sort_by(|one, other| one.name.cmp(&other.name));
        Self { library, audience, vocabulary, cases }
    }

    /// What the library says of itself.
    pub fn library(&self) -> &Library {
        &self.library
    }

    /// For whom the cases were cleared.
    pub fn audience(&self) -> Audience {
        self.audience
    }

    /// The vocabulary.
    pub fn vocabulary(&self) -> &Vocabulary {
        &self.vocabulary
    }

    /// The cases in order of name.
    pub fn cases(&self) -> &[Cleared] {
        &self.cases
    }

    /// The place of the case with this name.
    pub fn find(&self, name: &str) -> Option<usize> {
        self.cases.binary_search_by(|cleared| cleared.name.as_str().cmp(name)).ok()
    }
}
