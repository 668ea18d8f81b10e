//! A cleared case in memory: as it is while a library is small, packed once there are so many that they would fill a machine.
//!
//! A case as a tree takes four times the room of the file it was read from, and a page tells of one or two of them. In a large
//! library each is therefore packed when it is cleared, put away, and opened for as long as somebody looks at it.

use super::case::Case;
use super::packed::{pack, unpack};
use serde::{Deserialize, Serialize};
use std::cell::RefCell;
use std::fmt;
use std::sync::Arc;

/// Cases that each thread keeps unpacked: the pages of a case are made one after the other, those of a pair tell of two.
const OPEN: usize = 4;

/// A case with the texts it was read from.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Open {
    /// The case; shared with whoever remembers that it was cleared.
    pub case: Arc<Case>,
    /// The whole file of the narrative; [`super::case::Body::span`] is a range of it.
    pub markdown: Arc<str>,
    /// The text of the side file, where the fields stand apart.
    pub side: Option<Arc<str>>,
}

impl Open {
    /// The narrative.
    pub fn narrative(&self) -> &str {
        self.markdown.get(self.case.body.span.range()).unwrap_or("")
    }
}

/// Where packed cases lie.
pub trait Shelf: fmt::Debug + Send + Sync {
    /// Puts bytes away.
    fn put(&self, bytes: &[u8]) -> Place;

    /// What was put away at a place of this shelf.
    fn get(&self, place: Place) -> Vec<u8>;
}

/// A place on a shelf.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Place {
    /// In its file: so many bytes from there.
    InFile {
        /// The first byte.
        at: u64,
        /// How many.
        length: usize,
    },
    /// Beside the file, by number.
    Beside(usize),
}

/// How a case is held.
#[derive(Debug, Clone)]
pub enum Held {
    /// As it is.
    Whole(Open),
    /// As bytes that only [`Held::open`] reads, in the same run.
    Packed(Arc<dyn Shelf>, Place),
}

/// A packed case that was opened, and where it came from.
type Opened = (Arc<dyn Shelf>, Place, Open);

thread_local! {
    /// What this thread opened last; it is held until the thread opens something else, or ends.
    static LAST: RefCell<Vec<Opened>> = const { RefCell::new(Vec::new()) };
}

impl Held {
    /// The case packed and put away.
    pub fn packed(open: &Open, shelf: &Arc<dyn Shelf>) -> Self {
        Self::Packed(Arc::clone(shelf), shelf.put(&pack(open)))
    }

    /// The case.
    pub fn open(&self) -> Open {
        let (shelf, place) = match self {
            Self::Whole(open) => return open.clone(),
            Self::Packed(shelf, place) => (shelf, *place),
        };
        LAST.with_borrow_mut(|last| {
            if let Some(at) = last.iter().position(|(on, at, _)| Arc::ptr_eq(on, shelf) && *at == place) {
                last[..=at].rotate_right(1);
            } else {
                last.truncate(OPEN - 1);
                last.insert(0, (Arc::clone(shelf), place, unpack(&shelf.get(place))));
            }
            last[0].2.clone()
        })
    }
}
