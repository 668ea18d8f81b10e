//! The rules that speak while a library is read, one a file.

pub(crate) mod encoding;
pub(crate) mod no_library;
pub(crate) mod stray_file;
pub(crate) mod stray_link;
pub(crate) mod unreadable_file;

use crate::diag::Rule;

/// Every rule of this phase.
pub static RULES: &[&Rule] =
    &[&encoding::RULE, &no_library::RULE, &stray_file::RULE, &stray_link::RULE, &unreadable_file::RULE];
