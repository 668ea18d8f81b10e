//! Search: the index of a library, and how a query is answered from it.
//!
//! The page's script answers in the same way from the same integers; tests hold the two together.

mod build;
mod calls;
mod chunk;
mod documents;
mod near;
mod pairs;
mod query;
mod rank;

use foldhash::fast::FixedState;
use std::collections::HashMap;

pub use build::build;
pub use documents::of_corpus;
pub use query::{Alternative, How, Query, Unit};
pub use rank::{Answer, Choice, Hit, answer};

/// A table of which nothing is read in its own order. Its texts come from the library alone, so a quick hash will do.
type Map<K, V> = HashMap<K, V, FixedState>;
