//! Casewright compiles a folder of surgical teaching cases into a folder a browser can open.
//!
//! The phases, in order; each is a module with one entry function, and none imports another:
//!
//! 1. [`discover`]: a library folder becomes texts in memory and a list of media.
//! 2. [`parse`]: each text becomes syntax in which every value knows its place. It cannot fail.
//! 3. [`check`]: all syntax and the vocabulary become one corpus, or diagnostics. Consent and audience are applied here.
//! 4. [`analyse`]: what the corpus says as a whole. Pure and total.
//! 5. [`render`]: corpus and analysis become a site, an ordered map from path to page.
//! 6. [`publish`]: the site becomes a folder, the old one or the new one and never half.
//!
//! [`pipeline`] runs them. Types that pass from phase to phase live in [`model`]; [`diag`] and [`text`] lie beneath everything.

pub mod analyse;
pub mod check;
pub mod cli;
pub mod diag;
pub mod discover;
pub mod draft;
pub mod export;
pub mod files;
pub mod media;
pub mod model;
pub mod parse;
pub mod pipeline;
pub mod preview;
pub mod publish;
pub mod render;
pub mod rules;
pub mod text;
