//! The command line: arguments as typed, then resolved, then one file a command.

mod args;
mod compile;
mod contact_sheet;
mod draft;
mod exit;
mod explain;
mod export;
mod find;
mod preview;
mod proofread;
mod remembered;
mod schema;
mod start;
mod terminal;
mod verify;

use args::{Arguments, Command};
use clap::Parser;
pub use exit::Exit;
use terminal::Terminal;

/// Reads the arguments, runs the command and says how it ended.
pub fn run() -> Exit {
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(error) => {
            // Help and version are asked for; everything else is a command that could not run.
            let exit = if error.use_stderr() { Exit::CouldNotRun } else { Exit::Fine };
            let printed = error.print();
            return if printed.is_ok() { exit } else { Exit::CouldNotRun };
        }
    };
    let terminal = Terminal::new();
    match arguments.command {
        Command::Compile(options) => compile::run(&options, &terminal),
        Command::Preview(options) => preview::run(&options, &terminal),
        Command::Proofread(options) => proofread::run(&options, &terminal),
        Command::Start(options) => start::run(&options, &terminal),
        Command::Find(options) => find::run(&options, &terminal),
        Command::Explain(options) => explain::run(&options, &terminal),
        Command::Verify(options) => verify::run(&options, &terminal),
        Command::Export(options) => export::run(&options, &terminal),
        Command::Draft(options) => draft::run(&options, &terminal),
        Command::Schema(options) => schema::run(&options, &terminal),
    }
}
