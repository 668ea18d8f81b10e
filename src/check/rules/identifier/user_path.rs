//! A path with a user's or a server's name.

use super::Identifier;
use crate::check::privacy::Class;
use crate::diag::{Rule, Severity};

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "user-path",
    severity: Severity::Error,
    what: r"A path that names a user or a server stands here.",
    why: r"It carries a colleague's login or the name of a machine.",
    instead_of: r#"note: "film in D:\Users\anna\op.mp4""#,
    write: r"note: film in media/",
    source: r"common practice, no source",
    quotes: false,
};

/// What is said where it is found.
pub(super) static FOUND: Identifier = Identifier {
    class: Class::UserPath,
    rule: &RULE,
    what: "a path with a user's or a server's name",
    mend: "name the file alone",
};
