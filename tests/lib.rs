//! The one test binary: literate suites of every rule, the demo library, hostile input, the command line, the tree itself.
#![expect(clippy::disallowed_methods, reason = "tests read the tree, lay out folders and run the command")]

mod cli;
#[path = "preview/client.rs"]
mod client;
mod contact_sheet;
mod demo;
mod drafting;
mod drawings;
mod export;
mod floods;
mod held;
mod hostile;
mod identifiers;
mod incremental;
mod indices;
mod interference;
mod measures;
mod media;
mod mutate;
mod nothing_leaks;
mod preview;
mod publish;
#[path = "measuring/random.rs"]
mod random;
mod related;
mod search;
mod searching;
mod sessions;
mod study;
mod suites;
mod support;
mod tidy;
mod withheld;
#[path = "measuring/words.rs"]
mod words;
