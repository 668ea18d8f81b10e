//! Every type that one phase hands to the next.

pub mod analysis;
pub mod case;
pub mod corpus;
pub mod digest;
pub mod format;
pub mod gist;
pub mod held;
pub mod index;
pub mod inputs;
pub mod library;
pub mod markdown;
pub mod measure;
pub mod moment;
pub mod narration;
pub mod packed;
pub mod risk;
pub mod search;
pub mod session;
pub mod shape;
pub mod site;
pub mod vocabulary;
