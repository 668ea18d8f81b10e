//! `casewright start`: a new library with two worked examples.
#![expect(clippy::disallowed_methods, reason = "laying out a library is writing to disk")]

use super::args::Start;
use super::exit::Exit;
use super::schema;
use super::terminal::Terminal;
use crate::discover::discover;
use crate::files::Memory;
use crate::pipeline;
use std::fs;
use std::io;
use std::path::Path;

/// The library as laid out, path and text. The schema is made, so that it always fits this program.
const LAYOUT: &[(&str, &str)] = &[
    ("library.yaml", include_str!("start/library.yaml")),
    ("README.md", include_str!("start/README.md")),
    ("a-first-case.md", include_str!("start/a-first-case.md")),
    ("in-two-files.md", include_str!("start/in-two-files.md")),
    ("in-two-files.yaml", include_str!("start/in-two-files.yaml")),
    ("vocabulary/ours.yaml", include_str!("start/ours.yaml")),
    ("media/README.md", include_str!("start/media.md")),
];

/// Lays out the library, refusing to touch a folder that holds anything.
pub(crate) fn run(options: &Start, terminal: &Terminal) -> Exit {
    match lay_out(&options.dir) {
        Err(why) => {
            terminal.could_not(&why);
            Exit::CouldNotRun
        }
        Ok(()) => {
            let shown = options.dir.display();
            terminal.tell(&format!(
                "A library with two worked examples lies in {shown}. Read {shown}/README.md, then:\n  \
                 casewright proofread {shown}\n  casewright compile {shown} --into {shown}-site\n"
            ));
            Exit::Fine
        }
    }
}

fn lay_out(dir: &Path) -> Result<(), String> {
    let worded = |verb: &str, path: &Path, error: io::Error| format!("could not {verb} `{}`: {error}", path.display());
    match fs::read_dir(dir) {
        Ok(mut entries) => {
            if entries.next().is_some() {
                return Err(format!("`{}` is not empty; a new library needs a folder of its own", dir.display()));
            }
        }
        Err(error) if error.kind() == io::ErrorKind::NotFound => {}
        Err(error) => return Err(worded("open", dir, error)),
    }
    let schema = schema::text(&vocabulary()?);
    let files = LAYOUT.iter().map(|(path, text)| (*path, *text)).chain([("case.schema.json", schema.as_str())]);
    for (path, text) in files {
        let target = dir.join(path);
        if let Some(folder) = target.parent() {
            fs::create_dir_all(folder).map_err(|error| worded("make", folder, error))?;
        }
        fs::write(&target, text).map_err(|error| worded("write", &target, error))?;
    }
    Ok(())
}

/// The vocabulary of the library as laid out.
fn vocabulary() -> Result<crate::model::vocabulary::Vocabulary, String> {
    let files = LAYOUT.iter().fold(Memory::default(), |files, (path, text)| files.with(path, text));
    Ok(pipeline::vocabulary(&discover(&files)?).0)
}
