//! `casewright proofread --contact-sheet DIR`: pictures of each film to look at before somebody attests.
//!
//! Names, dates and faces sit in the first and last seconds and in the corners. The sheets show these and the beginning of each
//! step. They are for the eyes of the one who attests: never published, and to be deleted afterwards.
#![expect(clippy::disallowed_methods, reason = "the sheets are written where the person asked for them")]

use super::exit::Exit;
use super::terminal::Terminal;
use crate::model::case::CaseSyntax;
use crate::model::inputs::Inputs;
use crate::parse;
use crate::pipeline::Prepared;
use crate::text::count;
use std::collections::BTreeSet;
use std::path::Path;
use std::process::{Command, Stdio};

/// The corners of the picture, each a quarter of its width and height.
const CORNERS: &[(&str, &str)] =
    &[("top-left", "0:0"), ("top-right", "iw-ow:0"), ("bottom-left", "0:ih-oh"), ("bottom-right", "iw-ow:ih-oh")];

/// Makes the sheets of every film of the library, whether or not its case is sound: before it is attested it cannot be.
pub(crate) fn make(prepared: &Prepared, dir: &Path, terminal: &Terminal) -> Exit {
    let present = Command::new("ffmpeg").arg("-version").stdout(Stdio::null()).stderr(Stdio::null()).status();
    if !present.is_ok_and(|status| status.success()) {
        terminal.could_not("contact sheets need ffmpeg, and it is not on the path; look at the films in a player instead, at the first and last seconds and the corners");
        return Exit::CouldNotRun;
    }
    let films =
        prepared.inputs.media.iter().filter_map(|(name, file)| Some((name, file, file.shown()?.facts.film.as_ref()?)));
    let mut made = 0;
    let cases = cases(&prepared.inputs);
    for (name, file, film) in films {
        let folder = dir.join(name.replace(['/', '.'], "-"));
        if let Err(error) = std::fs::create_dir_all(&folder) {
            terminal.could_not(&format!("could not create `{}`: {error}", folder.display()));
            return Exit::CouldNotRun;
        }
        let mut sheets: Vec<(String, Vec<String>)> = vec![
            ("first-seconds".to_owned(), vec!["-t".into(), "10".into()]),
            ("last-seconds".to_owned(), vec!["-sseof".into(), "-10".into()]),
        ];
        let each: Vec<String> = step_times(&cases, name).iter().map(ToString::to_string).collect();
        sheets.extend(
            each.iter().map(|at| (format!("step-at-{at}"), vec!["-ss".into(), at.clone(), "-t".into(), "1".into()])),
        );
        let mut wanted: Vec<(String, Vec<String>, String)> = sheets
            .into_iter()
            .map(|(sheet, when)| {
                let tile = if sheet.starts_with("step") { "scale=960:-2" } else { "fps=1,scale=480:-2,tile=5x2" };
                (sheet, when, tile.to_owned())
            })
            .collect();
        for moment in ["0", &format!("{:.0}", (film.seconds - 2.0).max(0.0))] {
            wanted.extend(CORNERS.iter().map(|(corner, place)| {
                let crop = format!("crop=iw/4:ih/4:{place},scale=960:-2");
                (format!("corner-{corner}-at-{moment}"), vec!["-ss".into(), moment.to_owned()], crop)
            }));
        }
        for (sheet, when, filter) in wanted {
            let status = Command::new("ffmpeg")
                .args(["-v", "error", "-y"])
                .args(&when)
                .arg("-i")
                .arg(&file.path)
                .args(["-vf", &filter, "-frames:v", "1", "-update", "1"])
                .arg(folder.join(format!("{sheet}.jpg")))
                .stdin(Stdio::null())
                .status();
            match status {
                Ok(status) if status.success() => made += 1,
                _ => terminal.could_not(&format!("ffmpeg made no sheet `{sheet}` of `{name}`")),
            }
        }
    }
    let sheets = count(made, "sheet");
    terminal.tell(&format!("{sheets} in {}. Look at them, listen to each film to its end, and delete the folder: it is never to be published.\n", dir.display()));
    Exit::Fine
}

/// Every case as far as it can be read.
fn cases(inputs: &Inputs) -> Vec<CaseSyntax> {
    let read = inputs.cases.iter().filter_map(|files| {
        let side = files.side.and_then(|side| inputs.sources.get(side));
        Some(parse::case(&files.name, inputs.sources.get(files.markdown)?, side).0)
    });
    read.collect()
}

/// When the steps begin of the cases that show this film as a whole, in seconds.
fn step_times(cases: &[CaseSyntax], film: &str) -> BTreeSet<u32> {
    let shows = |case: &&CaseSyntax| case.media.iter().any(|media| media.file.value == film && media.at.is_none());
    let steps = cases.iter().filter(shows).flat_map(|case| &case.operation.steps);
    steps.filter_map(|step| Some(step.at.as_ref()?.value.seconds())).collect()
}
