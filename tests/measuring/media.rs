//! Memory while large films are published: it must not grow with them. `tests/measure media [GIB]` runs this.

use super::{machine, report, run, text};
use std::fs::{self, File, OpenOptions};
use std::io::{self, Seek, SeekFrom, Write};
use std::path::Path;

/// Size of the large film in GiB if none is asked for.
const LARGE: u64 = 5;
/// Where the media data of the demo's film begin, with an empty box before them that makes room for a length of 64 bits.
const EMPTY: &[u8; 8] = b"\0\0\0\x08free";

/// Publishes the demo's film as it is and with so many GiB of media data, each in a process of its own.
pub(super) fn measure(arguments: &[String]) {
    let gib = arguments.first().map_or(LARGE, |it| it.parse().expect("a number of GiB"));
    let target = std::env::current_exe().expect("a place");
    let folder = target.ancestors().nth(2).expect("the folder for build results").join("measure-media");
    let _ = fs::remove_dir_all(&folder);
    fs::create_dir_all(&folder).expect("a folder");
    let (_, free) = machine::room(&folder).expect("a file system");
    let needed = (gib << 30) as f64 * 1.1;
    if free < needed {
        report::say(&format!("Not measured: {gib} GiB need {:.1} GB of room.", needed / 1e9));
        return;
    }
    report::say(&format!("Machine: {}.", machine::description()));
    let mut peaks = Vec::new();
    for bytes in [0, gib << 30] {
        let library = folder.join("library");
        let size = lay_out(&library, bytes);
        let into = folder.join("site");
        let figures = run(&["compile", &text(&library), "--into", &text(&into), "--format", "json"]);
        report::say(&format!(
            "a film of {:.2} GB: published in {:.1} s, {:.1} MB of memory at most",
            size as f64 / 1e9,
            figures["wall"],
            figures["peak"] / 1e6
        ));
        peaks.push(figures["peak"]);
        fs::remove_dir_all(&into).expect("our own folder");
    }
    report::say(&format!("memory with the large film ÷ with the small one: {:.2}", peaks[1] / peaks[0]));
    fs::remove_dir_all(&folder).expect("our own folder");
}

/// The demo's case with a film, alone in a library, its film longer by so many bytes. Gives the film's size.
fn lay_out(library: &Path, more: u64) -> u64 {
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("cases");
    let _ = fs::remove_dir_all(library);
    fs::create_dir_all(library.join("media")).expect("a folder");
    fs::copy(demo.join("library.yaml"), library.join("library.yaml")).expect("copied");
    for name in ["low-ceiling.mp4", "low-ceiling.jpg", "low-ceiling.vtt", "low-ceiling-section.png"] {
        fs::copy(demo.join("media").join(name), library.join("media").join(name)).expect("copied");
    }
    let film = library.join("media/low-ceiling.mp4");
    let before = attested(&film, &library.join("media/low-ceiling.jpg"));
    if more > 0 {
        lengthen(&film, more);
    }
    let after = attested(&film, &library.join("media/low-ceiling.jpg"));
    let case = fs::read_to_string(demo.join("a-low-ceiling.md")).expect("the case");
    assert!(case.contains(&before), "the case attests the film");
    // What it says beside other cases is left out with them.
    let case = case.replace(&before, &after);
    let (head, rest) = case.split_once("\ncontrast:").unwrap_or((&case, ""));
    let kept: String = rest.split_inclusive('\n').skip(1).skip_while(|line| line.starts_with([' ', '-'])).collect();
    let case = if rest.is_empty() { head.to_owned() } else { format!("{head}\n{kept}") };
    fs::write(library.join("a-low-ceiling.md"), case).expect("written");
    fs::metadata(&film).expect("the film").len()
}

/// The hash over a film and its poster, as `unattested-media` asks for it.
fn attested(film: &Path, poster: &Path) -> String {
    let hash = |path: &Path| {
        let mut hasher = blake3::Hasher::new();
        io::copy(&mut File::open(path).expect("the file"), &mut hasher).expect("read");
        hasher.finalize()
    };
    let mut both = blake3::Hasher::new();
    both.update(hash(film).as_bytes()).update(hash(poster).as_bytes());
    both.finalize().to_hex()[..16].to_owned()
}

/// Lengthens the media data at the end of an MP4 by zeros. Source of the form: ISO/IEC 14496-12, 4.2 (a size of 1 is followed by one of 64 bits).
fn lengthen(film: &Path, more: u64) {
    let bytes = fs::read(film).expect("the film");
    let at = bytes.windows(8).position(|it| it == EMPTY).expect("an empty box before the media data");
    assert_eq!(&bytes[at + 12..at + 16], b"mdat");
    let size = bytes.len() as u64 + more;
    let mut file = OpenOptions::new().write(true).open(film).expect("opened");
    file.seek(SeekFrom::Start(at as u64)).expect("there");
    file.write_all(b"\0\0\0\x01mdat").expect("written");
    file.write_all(&(size - at as u64).to_be_bytes()).expect("written");
    file.set_len(size).expect("longer");
}
