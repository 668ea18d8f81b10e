//! Exit codes, each with a name.

use std::process::{ExitCode, Termination};

/// How a command ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Exit {
    /// 0: nothing to mend, or only warnings and advice.
    Fine = 0,
    /// 1: there are problems in the cases.
    Problems = 1,
    /// 2: the command could not run.
    CouldNotRun = 2,
}

impl Termination for Exit {
    fn report(self) -> ExitCode {
        ExitCode::from(self as u8)
    }
}
