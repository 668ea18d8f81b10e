//! A case: one operation on one eye.
//!
//! `T` is how a term stands in it: as written ([`Written`], in [`CaseSyntax`]) or resolved to a concept
//! ([`Meant`], in [`Case`]). Every value an author wrote knows its place.

use super::format::MEASURES;
use super::measure::{Acuity, After, Age, Clock, Eye, Place, Quantity, Refraction, Sex, Taken};
use super::site::Audience;
use super::vocabulary::ConceptId;
use crate::text::{Span, Spanned};
use serde::{Deserialize, Serialize};

/// A term as its author wrote it.
pub type Written = Spanned<String>;
/// A term that was found in the vocabulary; the place is kept for later diagnostics.
pub type Meant = Spanned<ConceptId>;
/// A case as parsed, before any term is looked up.
pub type CaseSyntax = CaseOf<Written>;
/// A case whose every term has its concept.
pub type Case = CaseOf<Meant>;

/// Text with its place.
pub type Text = Spanned<String>;

/// One operation on one eye, with all that the format can say of it.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct CaseOf<T> {
    /// The file's name without its ending: the case's name in links and in the site.
    pub name: String,
    /// Whole front matter: where a missing field is reported.
    pub span: Span,
    /// Title of the straight reading.
    pub title: Text,
    /// Title while decisions are open; gives nothing away.
    pub ask_title: Option<Text>,
    /// One to three sentences.
    pub summary: Text,
    /// Which eye.
    pub eye: Spanned<Eye>,
    /// Age and sex.
    pub patient: Patient,
    /// The other eye.
    pub fellow_eye: Option<FellowEye<T>>,
    /// What was not at hand.
    pub setting: Option<Circumstances>,
    /// What the eye and the patient brought along.
    pub findings: Vec<Finding<T>>,
    /// Looked for and not there; neither present nor unrecorded.
    pub absent: Vec<T>,
    /// Visits before the operation, in order.
    pub before: Vec<Visit<T>>,
    /// The plan.
    pub planned: Plan<T>,
    /// The operation.
    pub operation: Operation<T>,
    /// What went wrong.
    pub complications: Vec<Complication<T>>,
    /// Visits afterwards.
    pub outcomes: Vec<Outcome<T>>,
    /// Whether the patient was followed to the end.
    pub follow_up: Option<Spanned<FollowUp>>,
    /// Later operations on this eye.
    pub later: Vec<Later<T>>,
    /// What to take home.
    pub lessons: Vec<Text>,
    /// Cases that teach by contrast.
    pub contrast: Vec<Contrast>,
    /// Pictures and films.
    pub media: Vec<Media>,
    /// What the patient agreed to.
    pub consent: Consent,
    /// What privacy rules found and may stand.
    pub waivers: Vec<Waiver>,
    /// What a draft wrote and nobody has looked at yet.
    pub unreviewed: Vec<Unreviewed>,
    /// A second surgeon's reading.
    pub review: Option<Review>,
    /// Who may read it.
    pub audience: Spanned<Audience>,
    /// Who wrote it.
    pub authors: Vec<Author>,
    /// Declared interests.
    pub interests: Option<Text>,
    /// Literature.
    pub references: Vec<Text>,
    /// The narrative.
    pub body: Body<T>,
    /// Comments in its YAML: the author's own notes, which no page shows.
    pub comments: Vec<Span>,
    /// Hash of the content without its review: what a second reader vouches for.
    pub content_hash: String,
}

impl<T> CaseOf<T> {
    /// Every drug the case names: before, in steps, against complications, afterwards.
    pub fn drugs(&self) -> impl Iterator<Item = &Drug<T>> {
        let before = self.before.iter().flat_map(|visit| &visit.gives);
        let steps = self.operation.steps.iter().flat_map(|step| &step.gives);
        let managed = self.complications.iter().flat_map(|it| &it.managed).flat_map(|it| &it.gives);
        before.chain(steps).chain(managed).chain(self.outcomes.iter().flat_map(|visit| &visit.gives))
    }

    /// Every mention of another case, by place and name: links of the narrative, then contrasts.
    pub fn case_links(&self) -> impl Iterator<Item = (Span, &str)> {
        let links = self.body.links.iter().filter_map(|link| Some((link.span, link.value.strip_prefix("case:")?)));
        links.chain(self.contrast.iter().map(|contrast| (contrast.case.span, contrast.case.value.as_str())))
    }
}

/// A place of a case that a draft filled and no person has looked at.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Unreviewed {
    /// The way to the place: names of fields, names of steps and numbers of items from 1, parted by `/`.
    pub place: Text,
    /// What stands there; none if nothing does.
    pub there: Option<Span>,
    /// How sure the draft was, one of [`super::format::SURE`].
    pub sure: Text,
}

/// Who was operated on: no more than teaching needs.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct Patient {
    /// Age at surgery.
    pub age: Option<Spanned<Age>>,
    /// Sex.
    pub sex: Option<Spanned<Sex>>,
    /// Anything else that mattered.
    pub note: Option<Text>,
}

/// The other eye.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct FellowEye<T> {
    /// Its state, one of [`super::format::FELLOW_STATES`].
    pub state: Option<Text>,
    /// What went wrong when it was operated on; `Some(None)`-like absence is [`FellowHistory::None`].
    pub complication: Option<FellowHistory<T>>,
    /// Anything else.
    pub note: Option<Text>,
}

/// What is known of the fellow eye's operation.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub enum FellowHistory<T> {
    /// It went without complication.
    None(Span),
    /// It had this complication.
    Had(T),
}

/// The place and what it lacked.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct Circumstances {
    /// Things not at hand.
    pub not_available: Vec<Text>,
    /// Anything else.
    pub note: Option<Text>,
}

/// A finding that was present.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Finding<T> {
    /// Which.
    pub is: T,
    /// Its grade on the scale.
    pub grade: Option<Text>,
    /// The scale's name.
    pub scale: Option<Text>,
    /// How large.
    pub extent: Option<Spanned<Quantity>>,
    /// Where.
    pub at: Option<Spanned<Place>>,
    /// Anything else.
    pub note: Option<Text>,
}

/// What can be measured at a visit. One record serves before and after.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct Measures {
    /// Acuity by how it was taken, in the order written.
    pub acuity: Vec<(Taken, Spanned<Acuity>)>,
    /// Refraction.
    pub refraction: Option<Spanned<Refraction>>,
    /// Named quantities in the order of [`super::format::MEASURES`].
    #[serde(with = "quantities")]
    pub quantities: Vec<(&'static str, Spanned<Quantity>)>,
    /// Keratometry: flat, steep, axis of the steep meridian in degrees.
    pub keratometry: Option<Keratometry>,
}

/// Names of quantities as their places in [`MEASURES`], since they are not the case's own words.
mod quantities {
    use super::{MEASURES, Quantity, Spanned};
    use serde::{Deserialize, Deserializer, Serializer};

    type Named = (&'static str, Spanned<Quantity>);

    pub(super) fn serialize<S: Serializer>(all: &[Named], to: S) -> Result<S::Ok, S::Error> {
        let place = |name: &str| MEASURES.iter().position(|(known, _)| *known == name);
        to.collect_seq(all.iter().map(|(name, value)| (place(name), value)))
    }

    pub(super) fn deserialize<'d, D: Deserializer<'d>>(from: D) -> Result<Vec<Named>, D::Error> {
        let all: Vec<(Option<usize>, Spanned<Quantity>)> = Vec::deserialize(from)?;
        let name = |place: Option<usize>| MEASURES.get(place?).map(|(name, _)| *name);
        Ok(all.into_iter().filter_map(|(place, value)| Some((name(place)?, value))).collect())
    }
}

impl Measures {
    /// The named quantity, if it was measured.
    pub fn quantity(&self, name: &str) -> Option<&Spanned<Quantity>> {
        self.quantities.iter().find(|(of, _)| *of == name).map(|(_, value)| value)
    }

    /// Whether nothing was measured.
    pub fn is_empty(&self) -> bool {
        self.acuity.is_empty() && self.refraction.is_none() && self.quantities.is_empty() && self.keratometry.is_none()
    }
}

/// Corneal curvature.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct Keratometry {
    /// Flat meridian, dioptres.
    pub flat: Option<Spanned<Quantity>>,
    /// Steep meridian, dioptres.
    pub steep: Option<Spanned<Quantity>>,
    /// Axis of the steep meridian, degrees.
    pub steep_axis: Option<Spanned<Quantity>>,
}

/// A visit before the operation.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Visit<T> {
    /// When, in words.
    pub when: Text,
    /// What was measured.
    pub measures: Measures,
    /// Drugs given.
    pub gives: Vec<Drug<T>>,
    /// Anything else.
    pub note: Option<Text>,
}

/// A drug as given.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Drug<T> {
    /// The whole entry.
    pub span: Span,
    /// Which substance.
    pub substance: T,
    /// Its strength.
    pub strength: Option<Spanned<Quantity>>,
    /// How much of it.
    pub dose: Option<Spanned<Quantity>>,
    /// By which way, one of [`super::format::ROUTES`].
    pub route: Text,
    /// Anything else.
    pub note: Option<Text>,
}

/// The plan before the first cut.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Plan<T> {
    /// The operation intended.
    pub procedure: T,
    /// Techniques chosen beforehand.
    pub with: Vec<T>,
    /// What it was combined with.
    pub combined: Vec<T>,
    /// How the eye was to be made numb.
    pub anaesthesia: Option<T>,
    /// The implant intended.
    pub lens: Option<Lens<T>>,
    /// Anything else.
    pub note: Option<Text>,
}

/// An implant, or its absence.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Lens<T> {
    /// What kind; none when the eye stays aphakic.
    pub kind: Option<T>,
    /// Power, dioptres.
    pub power: Option<Spanned<Quantity>>,
    /// Where it sits, one of [`super::format::LENS_PLACES`].
    pub place: Option<Text>,
    /// Refraction aimed at, dioptres.
    pub target: Option<Spanned<Quantity>>,
    /// Toric power, dioptres.
    pub cylinder: Option<Spanned<Quantity>>,
    /// Toric axis, degrees.
    pub axis: Option<Spanned<Quantity>>,
    /// Anything else.
    pub note: Option<Text>,
}

/// The operation as it went.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Operation<T> {
    /// Where the surgeon sat.
    pub surgeon_at: Option<Spanned<Place>>,
    /// Who operated, in order.
    pub operators: Vec<Operator>,
    /// The main wound.
    pub incision: Option<Incision>,
    /// Side ports.
    pub ports: Vec<Port>,
    /// Hooks, rings, segments.
    pub devices: Vec<Device<T>>,
    /// What was done, in order.
    pub steps: Vec<Step<T>>,
    /// Change to another operation.
    pub converted: Option<Conversion<T>>,
    /// What was implanted.
    pub lens: Option<Lens<T>>,
}

impl<T> Operation<T> {
    /// The place of a step in the order of the operation.
    pub fn step_index(&self, id: &str) -> Option<usize> {
        self.steps.iter().position(|step| step.id.value == id)
    }
}

/// Somebody who operated.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Operator {
    /// Grade, one of [`super::format::GRADES`].
    pub grade: Text,
    /// The step from which on.
    pub from: Option<Text>,
    /// Whether this was a takeover for difficulty.
    pub takeover: bool,
    /// Anything else, such as experience.
    pub note: Option<Text>,
}

/// The main wound.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct Incision {
    /// Where.
    pub at: Option<Spanned<Place>>,
    /// How wide.
    pub width: Option<Spanned<Quantity>>,
    /// Which kind, one of [`super::format::INCISIONS`].
    pub kind: Option<Text>,
    /// The step that made it, if it was not made at the outset.
    pub step: Option<Text>,
    /// How it was closed.
    pub sutures: Option<Text>,
}

/// A side port.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Port {
    /// Where.
    pub at: Spanned<Place>,
    /// The step that made it, if it was not made at the outset.
    pub step: Option<Text>,
}

/// A device left or held in the eye.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Device<T> {
    /// Which.
    pub is: T,
    /// Where.
    pub at: Vec<Spanned<Place>>,
    /// The step that put it there.
    pub step: Option<Text>,
    /// Anything else.
    pub note: Option<Text>,
}

/// One step of the operation.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Step<T> {
    /// Its name within the case.
    pub id: Text,
    /// Time from the start.
    pub at: Option<Spanned<Clock>>,
    /// What was done.
    pub does: T,
    /// With which instruments and materials.
    pub with: Vec<T>,
    /// Machine settings, in the order written.
    pub settings: Vec<(Text, Spanned<Quantity>)>,
    /// Drugs given.
    pub gives: Vec<Drug<T>>,
    /// Where in the eye.
    pub place: Option<Spanned<Place>>,
    /// How large.
    pub extent: Option<Spanned<Quantity>>,
    /// Anything else.
    pub note: Option<Text>,
    /// Whether it was not part of the plan.
    pub unplanned: bool,
}

/// Change of the operation on the table.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Conversion<T> {
    /// To what.
    pub to: T,
    /// At which step.
    pub at: Text,
    /// Why.
    pub because: Text,
}

/// Something that went wrong.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Complication<T> {
    /// The whole entry.
    pub span: Span,
    /// What.
    pub is: T,
    /// When it arose.
    pub arose: Option<Arose>,
    /// The step at which it was noticed, if later.
    pub noticed: Option<Text>,
    /// How large.
    pub extent: Option<Spanned<Quantity>>,
    /// Where.
    pub at: Option<Spanned<Place>>,
    /// What was done about it, in the order tried.
    pub managed: Vec<Managed<T>>,
    /// Anything else.
    pub note: Option<Text>,
}

/// When a complication arose.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub enum Arose {
    /// During a step.
    During(Text),
    /// So long after surgery.
    After(Spanned<After>),
}

/// One thing done about a complication.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Managed<T> {
    /// What.
    pub does: T,
    /// Whether it worked, one of [`super::format::WORKED`].
    pub worked: Text,
    /// The step in which it was done.
    pub step: Option<Text>,
    /// With which instruments and materials.
    pub with: Vec<T>,
    /// Drugs given.
    pub gives: Vec<Drug<T>>,
    /// Anything else.
    pub note: Option<Text>,
}

/// A visit after the operation.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Outcome<T> {
    /// The whole entry.
    pub span: Span,
    /// How long after surgery.
    pub after: Spanned<After>,
    /// What was measured.
    pub measures: Measures,
    /// The state of the eye.
    pub is: Vec<T>,
    /// Drugs given.
    pub gives: Vec<Drug<T>>,
    /// Anything else.
    pub note: Option<Text>,
}

/// Whether the patient was followed to the end.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub enum FollowUp {
    /// To the end that was planned.
    Complete,
    /// Not finished yet.
    Continuing,
    /// Not seen again after this time.
    LostAfter(After),
}

/// A later operation on the same eye.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Later<T> {
    /// How long after the first.
    pub after: Spanned<After>,
    /// What was done.
    pub procedure: T,
    /// By whom, in words.
    pub by: Option<Text>,
    /// Why.
    pub why: Option<Text>,
    /// The implant, if one was placed.
    pub lens: Option<Lens<T>>,
    /// Anything else.
    pub note: Option<Text>,
}

/// A case to read beside this one.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Contrast {
    /// The whole entry.
    pub span: Span,
    /// The other case's name.
    pub case: Text,
    /// What the comparison teaches.
    pub principle: Text,
}

/// A picture or film.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Media {
    /// File under `media/`.
    pub file: Text,
    /// What it shows, one of [`super::format::SHOWS`].
    pub shows: Option<Text>,
    /// What a reader who cannot see it should know.
    pub alt: Option<Text>,
    /// Captions file.
    pub captions: Option<Text>,
    /// Still picture shown before a film runs.
    pub poster: Option<Text>,
    /// The step it belongs to.
    pub at: Option<Text>,
    /// What somebody attests who looked at it.
    pub looked_at: Option<LookedAt>,
}

/// What no rule can see, attested for one state of a file.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct LookedAt {
    /// By whom, a role.
    pub by: Text,
    /// Month or year.
    pub on: Option<Text>,
    /// Hash of the file that was looked at, with its poster and captions.
    pub of: Text,
    /// Faces, one of [`super::format::FACES`].
    pub faces: Option<Text>,
    /// Irises, one of [`super::format::IRISES`].
    pub iris: Option<Text>,
    /// Words burned in, one of [`super::format::BURNED_IN`].
    pub words: Option<Text>,
    /// Voices, one of [`super::format::VOICES`].
    pub voices: Option<Text>,
}

/// A reason to let something stand that a privacy rule found.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Waiver {
    /// The rule.
    pub rule: Text,
    /// Hash of the line that was looked at.
    pub of: Text,
    /// Why it identifies nobody.
    pub because: Text,
}

/// What the patient agreed to.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Consent {
    /// Whether consent stands.
    pub status: Spanned<ConsentStatus>,
    /// What it covers, of [`super::format::SCOPES`].
    pub scope: Vec<Text>,
    /// Where the record is kept; never the record.
    pub reference: Option<Text>,
    /// The policy under which none is required.
    pub policy: Option<Text>,
}

/// Whether consent stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum ConsentStatus {
    /// Given.
    Obtained,
    /// Not required under a policy.
    NotRequired,
    /// Asked for, not yet given.
    Pending,
    /// Taken back.
    Withdrawn,
}

impl ConsentStatus {
    /// All states.
    pub const ALL: [Self; 4] = [Self::Obtained, Self::NotRequired, Self::Pending, Self::Withdrawn];

    /// The words in files.
    pub fn word(self) -> &'static str {
        match self {
            Self::Obtained => "obtained",
            Self::NotRequired => "not required",
            Self::Pending => "pending",
            Self::Withdrawn => "withdrawn",
        }
    }
}

/// A second surgeon's reading.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Review {
    /// By whom, a role.
    pub by: Text,
    /// Month or year.
    pub on: Option<Text>,
    /// Hash of the content that was read.
    pub of: Option<Text>,
}

/// Who wrote the case.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Author {
    /// Name or role.
    pub name: Text,
    /// Part in the work.
    pub role: Option<Text>,
}

/// The narrative as Markdown, with the decisions that stand in it.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct Body<T> {
    /// Where the Markdown stands in its file.
    pub span: Span,
    /// Decisions in the order in which they stand.
    pub decisions: Vec<Decision<T>>,
    /// Destinations of links on purpose and of pictures, with their places.
    pub links: Vec<Text>,
    /// Places of raw HTML.
    pub html: Vec<Span>,
    /// The names by which the headings can be linked to, in order.
    pub anchors: Vec<String>,
    /// Values of fields that their file writes with escapes, so that its text alone does not tell them.
    pub escaped: Vec<Text>,
}

/// A decision point.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Decision<T> {
    /// The whole fenced block.
    pub span: Span,
    /// Its name within the case.
    pub id: Text,
    /// The moment that the answer decides.
    pub at: Spanned<Moment>,
    /// The question.
    pub ask: Text,
    /// What it teaches.
    pub teaches: Vec<T>,
    /// Grade of the operator who must choose.
    pub given_grade: Option<Text>,
    /// What is at hand.
    pub at_hand: Vec<Text>,
    /// What is not.
    pub not_at_hand: Vec<Text>,
    /// The choices.
    pub options: Vec<Choice>,
}

/// One choice of a decision.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Choice {
    /// The whole entry.
    pub span: Span,
    /// What one could do.
    pub choice: Text,
    /// How good it is.
    pub verdict: Spanned<Verdict>,
    /// Why.
    pub because: Option<Text>,
    /// When it would be otherwise.
    pub unless: Option<Text>,
    /// Where that comes from.
    pub source: Option<Text>,
}

/// How good a choice is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Verdict {
    /// What the authors would do.
    Best,
    /// Defensible.
    Acceptable,
    /// Often goes wrong.
    Risky,
    /// Does harm.
    Harmful,
}

impl Verdict {
    /// All verdicts, best first.
    pub const ALL: [Self; 4] = [Self::Best, Self::Acceptable, Self::Risky, Self::Harmful];

    /// The word in files and on pages.
    pub fn word(self) -> &'static str {
        match self {
            Self::Best => "best",
            Self::Acceptable => "acceptable",
            Self::Risky => "risky",
            Self::Harmful => "harmful",
        }
    }
}

/// A point on the way from the first visit to the last, in the order in which a reader may learn things.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub enum Moment {
    /// Before the plan was made.
    Plan,
    /// A step, by name.
    Step(String),
    /// So long after surgery.
    After(After),
}
