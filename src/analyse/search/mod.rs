//! Search: the index of a library, and how a query is answered from it.
//!
//! The page's script answers in the same way from the same integers; tests hold the two together.

mod build;
mod calls;
mod chunk;
mod compact;
mod documents;
mod near;
mod pairs;
mod query;
mod rank;

use crate::text::Map;
pub use build::build;
pub use documents::of_corpus;
pub use query::{Alternative, How, Query, Unit};
pub use rank::{Answer, Choice, Hit, answer};
