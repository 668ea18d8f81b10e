//! The search against its twin: the same index and the same queries in Rust and in the page's script.

pub(crate) mod made;
pub(crate) mod queries;
pub(crate) mod twin;
