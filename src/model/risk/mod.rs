//! Published models of risk and difficulty, as data: what they weigh, where they apply, what was observed.

mod condition;
pub mod format;
mod joint;

pub(crate) use condition::base;
pub use condition::{Comparison, Condition, Measured, Test};
pub use joint::{MOST_WAYS, conditions, stretches, too_many, ways};

use super::vocabulary::ConceptId;
use crate::text::{Span, Spanned};

/// How far a value was verified.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verified {
    /// In a table of the paper itself.
    PrimaryTable,
    /// In its abstract.
    Abstract,
    /// In a digest of the paper by somebody else.
    Digest,
    /// From memory.
    FromMemory,
    /// No paper: common practice.
    CommonPractice,
}

impl Verified {
    /// All, best first.
    pub const ALL: [Self; 5] =
        [Self::PrimaryTable, Self::Abstract, Self::Digest, Self::FromMemory, Self::CommonPractice];

    /// The words in files and on pages.
    pub fn word(self) -> &'static str {
        match self {
            Self::PrimaryTable => "primary table",
            Self::Abstract => "abstract",
            Self::Digest => "digest",
            Self::FromMemory => "from memory",
            Self::CommonPractice => "common practice",
        }
    }
}

/// Whose factor it is. What the surgeon brings is never part of an eye's difficulty.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Bearer {
    /// The eye and its patient.
    Eye,
    /// The surgeon.
    Surgeon,
}

/// How the factors of a model act together.
#[derive(Debug, Clone, PartialEq)]
pub enum Scale {
    /// Points add up.
    Points,
    /// Ratios multiply the odds of a baseline.
    Odds(Baseline),
}

/// The risk of an eye with no factor.
#[derive(Debug, Clone, PartialEq)]
pub struct Baseline {
    /// Its probability, above 0 and below 1.
    pub probability: f64,
    /// Which eye that is, in words.
    pub of: String,
    /// How far the probability was verified.
    pub verified: Verified,
}

impl Baseline {
    /// Its odds.
    pub fn odds(&self) -> f64 {
        self.probability / (1.0 - self.probability)
    }
}

/// Where a model applies.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Scope {
    /// Procedures for which it was made, narrower ones included; none: any.
    pub procedures: Vec<ConceptId>,
    /// The least age in years.
    pub youngest: Option<u8>,
    /// Findings with which it was not made. Such a finding counts as absent unless it is recorded.
    pub without: Vec<ConceptId>,
    /// Names of models in whose place it stands: it applies only where none of these does.
    pub where_not: Vec<String>,
    /// Whether it holds for operations combined with another.
    pub combined: bool,
}

/// One level of a factor.
#[derive(Debug, Clone, PartialEq)]
pub struct Band {
    /// What it is called.
    pub label: String,
    /// It holds if one of these does.
    pub when: Vec<Condition<ConceptId>>,
    /// Where nothing in `when` is recorded, one of these says that it does not hold.
    pub absent_if: Vec<Condition<ConceptId>>,
    /// Points, or a ratio of odds.
    pub weight: f64,
}

/// Something that a model weighs.
#[derive(Debug, Clone, PartialEq)]
pub struct Factor {
    /// Its name within the model.
    pub name: String,
    /// What it is called.
    pub label: String,
    /// Whose it is.
    pub by: Bearer,
    /// Its levels, of which the first that holds counts.
    pub bands: Vec<Band>,
    /// Says that no band holds where none is recorded.
    pub absent_if: Vec<Condition<ConceptId>>,
    /// What counts if no band holds: no points, or a ratio of 1, unless the model says otherwise.
    pub least: f64,
    /// What that is called, if anything.
    pub least_label: Option<String>,
}

/// Something observed in a group.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Observed {
    /// What.
    pub what: String,
    /// In how many.
    pub events: u32,
}

/// Eyes with about as many points, and what became of them where the model was made.
#[derive(Debug, Clone, PartialEq)]
pub struct Group {
    /// What it is called.
    pub label: String,
    /// Least points.
    pub from: u32,
    /// Most points; none: no limit.
    pub to: Option<u32>,
    /// How many eyes it had.
    pub n: u32,
    /// What was observed.
    pub observed: Vec<Observed>,
}

/// Two or more factors that are often one thing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Overlap {
    /// Places in [`Model::factors`].
    pub factors: Vec<usize>,
    /// Why their sum says too much.
    pub why: String,
}

/// A model.
#[derive(Debug, Clone, PartialEq)]
pub struct Model {
    /// Its name in files and addresses.
    pub name: String,
    /// What it is called.
    pub label: String,
    /// Where it was published.
    pub citation: String,
    /// Its DOI.
    pub doi: Option<String>,
    /// On whom it was made.
    pub population: String,
    /// On how many.
    pub n: Option<u32>,
    /// What it predicts.
    pub outcome: String,
    /// Points or odds.
    pub scale: Scale,
    /// How far its weights were verified.
    pub verified: Verified,
    /// Where it applies.
    pub applies: Scope,
    /// What it weighs.
    pub factors: Vec<Factor>,
    /// What was observed.
    pub groups: Vec<Group>,
    /// Where it counts twice.
    pub overlaps: Vec<Overlap>,
    /// What to beware of.
    pub cautions: Vec<String>,
}

impl Model {
    /// The group of so many points.
    pub fn group(&self, points: f64) -> Option<&Group> {
        self.groups
            .iter()
            .find(|group| points >= f64::from(group.from) && group.to.is_none_or(|to| points <= f64::from(to)))
    }

    /// The most points there can be; for odds the greatest product of ratios. Factors of the eye only.
    pub fn greatest(&self) -> f64 {
        let most = |factor: &Factor| factor.bands.iter().map(|band| band.weight).fold(factor.least, f64::max);
        let of_eye = self.factors.iter().filter(|factor| factor.by == Bearer::Eye).map(most);
        match self.scale {
            Scale::Points => of_eye.sum(),
            Scale::Odds(_) => of_eye.product(),
        }
    }
}

/// A model that is not computed, and why.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NotUsed {
    /// What it is called.
    pub label: String,
    /// Where it was published.
    pub citation: String,
    /// Why it is not used.
    pub why: String,
}

/// All models of a library.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Models {
    /// Those that are computed, built-in ones first.
    pub used: Vec<Model>,
    /// Those that are not.
    pub not_used: Vec<NotUsed>,
}

impl Models {
    /// The model with this name.
    pub fn named(&self, name: &str) -> Option<&Model> {
        self.used.iter().find(|model| model.name == name)
    }
}

/// A model as its file writes it, before its terms are looked up.
#[derive(Debug, Clone)]
pub struct ModelSyntax {
    /// Its name.
    pub name: Spanned<String>,
    /// Everything that needs no looking up; conditions, scope and places of factors are filled in by the check.
    pub plain: Model,
    /// Names of procedures.
    pub procedures: Vec<Spanned<String>>,
    /// Names of findings with which it does not apply.
    pub without: Vec<Spanned<String>>,
    /// Names of models in whose place it stands.
    pub where_not: Vec<Spanned<String>>,
    /// Where it says of its scope what leaves eyes or operations out.
    pub limits: Vec<Span>,
    /// Where its kind stands.
    pub kind: Span,
    /// The factors in order.
    pub factors: Vec<FactorSyntax>,
    /// The groups with their places, in order.
    pub groups: Vec<Span>,
    /// The overlaps with their places: names of factors.
    pub overlaps: Vec<Spanned<Vec<Spanned<String>>>>,
}

/// A factor as its file writes it.
#[derive(Debug, Clone)]
pub struct FactorSyntax {
    /// Its name.
    pub name: Spanned<String>,
    /// Conditions of each band, then of the whole.
    pub bands: Vec<(ConditionList, ConditionList)>,
    /// Conditions that say that no band holds.
    pub absent_if: ConditionList,
}

/// Conditions with their places.
pub type ConditionList = Vec<Spanned<Condition<String>>>;

/// What a model file holds.
#[derive(Debug, Clone)]
pub enum ModelFile {
    /// A model.
    Model(Box<ModelSyntax>),
    /// Models that are not computed.
    NotUsed(Vec<NotUsed>),
}
