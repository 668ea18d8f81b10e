//! Ladders: the rungs on a concept's page, and the page that says where to start.

use super::{Desk, Link, Pager};
use crate::model::analysis::Ladder;
use crate::model::vocabulary::{ConceptId, Kind};
use crate::render::places::Term;
use crate::text::capitalised;
use serde::Serialize;

/// The kinds that have ladders, in the order in which they are listed.
const KINDS: [Kind; 3] = [Kind::Complication, Kind::Technique, Kind::Finding];

/// What a list says of a case because it stands on a ladder.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct RungView {
    /// From 1.
    pub(crate) number: usize,
    /// To be read as a worked example.
    pub(crate) worked: bool,
    /// Known before the first cut, and on no rung before.
    pub(crate) new: Vec<Term>,
}

/// A ladder in the list of all.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct LadderLink {
    #[serde(skip)]
    kind: Kind,
    pub(crate) term: Term,
    pub(crate) rungs: usize,
    /// Cases beyond the last rung.
    pub(crate) below: usize,
    pub(crate) first: Link,
    /// What a technique needs first.
    pub(crate) needs: Vec<Term>,
}

impl LadderLink {
    /// About how many bytes it takes on a page.
    pub(crate) fn size(&self) -> usize {
        let needs: usize = self.needs.iter().map(|term| 20 + term.label.len() + term.href.len()).sum();
        220 + self.term.label.len() + self.term.href.len() + self.first.label.len() + self.first.href.len() + needs
    }
}

/// A part of the list of ladders.
#[derive(Debug, Serialize)]
pub(crate) struct LaddersView {
    pub(crate) groups: Vec<LadderGroup>,
    pub(crate) pager: Pager,
}

/// The ladders of one kind.
#[derive(Debug, Serialize)]
pub(crate) struct LadderGroup {
    pub(crate) kind: String,
    pub(crate) ladders: Vec<LadderLink>,
}

impl LaddersView {
    /// A page with these ladders, which come in order of kind.
    pub(crate) fn new(links: &[LadderLink], pager: Pager) -> Self {
        let groups = links.chunk_by(|one, other| one.kind == other.kind).map(|links| LadderGroup {
            kind: capitalised(&format!("{}s", links[0].kind.word())),
            ladders: links.to_vec(),
        });
        Self { groups: groups.collect(), pager }
    }
}

/// The way of reading to which a rung leads: the first ones to the straight reading, the others to the one that asks.
fn way(desk: &Desk<'_>, case: usize, worked: bool) -> String {
    let ask = if worked { None } else { desk.places.ask(case) };
    desk.href(&ask.unwrap_or_else(|| desk.places.case(case)))
}

impl Desk<'_> {
    /// What the ladder of a concept says of a case.
    pub(crate) fn rung(&self, concept: ConceptId, case: usize) -> Option<RungView> {
        let ladder = self.places.analysis().ladders.get(concept.0 as usize)?;
        // One case is no ladder.
        let at = ladder.rungs.iter().position(|rung| rung.case == case).filter(|_| ladder.rungs.len() > 1)?;
        let rung = &ladder.rungs[at];
        let asks = self.places.ask(case).is_some();
        Some(RungView {
            number: at + 1,
            worked: rung.worked || !asks,
            new: if at == 0 {
                Vec::new()
            } else {
                rung.new.iter().filter(|&&id| id != concept).map(|&id| self.places.term(id, self.root)).collect()
            },
        })
    }

    /// Every ladder of two rungs or more, by kind and label.
    pub(crate) fn ladder_links(&self) -> Vec<LadderLink> {
        let vocabulary = self.places.vocabulary();
        let ladders = &self.places.analysis().ladders;
        let mut links = Vec::new();
        for kind in KINDS {
            for id in self.listed(kind) {
                let ladder: &Ladder = &ladders[id.0 as usize];
                let Some(first) = ladder.rungs.first().filter(|_| ladder.rungs.len() > 1) else { continue };
                links.push(LadderLink {
                    kind,
                    term: self.places.term(id, self.root),
                    rungs: ladder.rungs.len(),
                    below: ladder.below.len(),
                    first: Link {
                        label: self.places.title(first.case, true).to_owned(),
                        href: way(self, first.case, first.worked),
                    },
                    needs: vocabulary.get(id).needs.iter().map(|&need| self.places.term(need, self.root)).collect(),
                });
            }
        }
        links
    }
}
