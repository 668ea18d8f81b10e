//! A cleared case in memory: as it is while a library is small, packed once there are so many that they would fill a machine.
//!
//! A case as a tree takes four times the room of the file it was read from, and a page tells of one or two of them. In a large
//! library each is therefore packed when it is cleared, and unpacked for as long as somebody looks at it.

use super::case::Case;
use lz4_flex::block::{compress_prepend_size, decompress_size_prepended};
use serde::{Deserialize, Serialize};
use std::cell::RefCell;
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

/// How a case is held.
#[derive(Debug, Clone)]
pub enum Held {
    /// As it is.
    Whole(Open),
    /// As bytes that only [`Held::open`] reads, in the same run.
    Packed(Arc<[u8]>),
}

thread_local! {
    /// What this thread unpacked last, with the bytes that it came from.
    static LAST: RefCell<Vec<(Arc<[u8]>, Open)>> = const { RefCell::new(Vec::new()) };
}

impl Held {
    /// The case packed: written by `postcard`, then compressed, which finds the words of the case in its text again.
    pub fn packed(open: &Open) -> Self {
        let plain = postcard::to_stdvec(open).expect("a case holds nothing that cannot be written");
        Self::Packed(compress_prepend_size(&plain).into())
    }

    /// The case.
    pub fn open(&self) -> Open {
        let packed = match self {
            Self::Whole(open) => return open.clone(),
            Self::Packed(packed) => packed,
        };
        LAST.with_borrow_mut(|last| {
            if let Some(at) = last.iter().position(|(from, _)| Arc::ptr_eq(from, packed)) {
                last[..=at].rotate_right(1);
            } else {
                last.truncate(OPEN - 1);
                last.insert(0, (Arc::clone(packed), unpacked(packed)));
            }
            last[0].1.clone()
        })
    }
}

fn unpacked(packed: &[u8]) -> Open {
    let plain = decompress_size_prepended(packed).expect("what was compressed here");
    postcard::from_bytes(&plain).expect("what was written here")
}
