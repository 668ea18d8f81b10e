//! Captions and chapters: WebVTT read and written. Source: W3C, WebVTT: The Web Video Text Tracks Format.

use std::fmt::Write as _;

/// Words with the time in which they are shown.
#[derive(Debug, Clone, PartialEq)]
pub struct Cue {
    /// Seconds from the start.
    pub from: f64,
    /// Seconds from the start.
    pub to: f64,
    /// What is said, in plain text; lines end in line feeds.
    pub words: String,
}

/// The cues of a text.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Cues {
    /// In the order in which they stand.
    pub cues: Vec<Cue>,
    /// The bytes of lines that cannot be read, each with what is wrong.
    pub faults: Vec<(std::ops::Range<usize>, &'static str)>,
}

impl Cues {
    /// Reads WebVTT. Notes, styles, regions, names of cues and settings of place are left out.
    pub fn read(text: &str) -> Self {
        let mut cues = Self::default();
        let mut blocks = blocks(text).into_iter();
        let head = blocks.next();
        let first = head.as_ref().and_then(|block| block.first()).map_or("", |(_, line)| *line);
        if !(first == "WEBVTT" || first.starts_with("WEBVTT ") || first.starts_with("WEBVTT\t")) {
            cues.faults.push((0..first.len(), "captions begin with the line WEBVTT"));
            return cues;
        }
        for block in blocks {
            let Some(at) = block.iter().take(2).position(|(_, line)| line.contains("-->")) else {
                let (start, line) = block[0];
                let other = ["NOTE", "STYLE", "REGION"].iter().any(|word| line.split([' ', '\t']).next() == Some(word));
                if !other {
                    cues.faults
                        .push((start..start + line.len(), "here a time was expected, such as 00:05.000 --> 00:08.000"));
                }
                continue;
            };
            let (start, line) = block[at];
            let place = start..start + line.len();
            let (from, rest) = line.split_once("-->").unwrap_or((line, ""));
            let to = rest.split_whitespace().next().unwrap_or("");
            match (seconds(from.trim()), seconds(to)) {
                (Some(from), Some(to)) if from < to => {
                    let lines: Vec<String> = block[at + 1..].iter().map(|(_, line)| plain(line)).collect();
                    cues.cues.push(Cue { from, to, words: lines.join("\n") });
                }
                (Some(_), Some(_)) => cues.faults.push((place, "this ends before it begins")),
                _ => cues.faults.push((place, "times are written 00:05.000 --> 00:08.000")),
            }
        }
        cues
    }
}

/// Lines with their places, in groups that empty lines part.
pub fn blocks(text: &str) -> Vec<Vec<(usize, &str)>> {
    let mut blocks: Vec<Vec<(usize, &str)>> = Vec::new();
    let (mut at, mut open) = (0, false);
    for whole in text.split_inclusive('\n') {
        let line = whole.trim_end_matches(['\n', '\r']);
        if line.is_empty() {
            open = false;
        } else if open {
            blocks.last_mut().expect("a block is open").push((at, line));
        } else {
            blocks.push(vec![(at, line)]);
            open = true;
        }
        at += whole.len();
    }
    blocks
}

/// `1:02:03.456` or `02:03.456`.
fn seconds(text: &str) -> Option<f64> {
    let parts: Vec<&str> = text.split(':').collect();
    let (hours, minutes, rest) = match parts[..] {
        [hours, minutes, rest] => (hours.parse::<u32>().ok()?, minutes, rest),
        [minutes, rest] => (0, minutes, rest),
        _ => return None,
    };
    let (whole, thousandths) = rest.split_once('.')?;
    let two = |text: &str| (text.len() == 2).then(|| text.parse::<u32>().ok()).flatten().filter(|number| *number < 60);
    let thousandths = (thousandths.len() == 3).then(|| thousandths.parse::<u32>().ok()).flatten()?;
    let seconds = hours.checked_mul(3600)?.checked_add(two(minutes)? * 60 + two(whole)?)?;
    Some(f64::from(seconds) + f64::from(thousandths) / 1000.0)
}

/// A line without its tags, and with its entities read.
pub fn plain(line: &str) -> String {
    let mut out = String::new();
    let mut inside = false;
    for letter in line.chars() {
        match letter {
            '<' => inside = true,
            '>' if inside => inside = false,
            letter if !inside => out.push(letter),
            _ => {}
        }
    }
    for (entity, letter) in
        [("&lt;", "<"), ("&gt;", ">"), ("&nbsp;", " "), ("&lrm;", ""), ("&rlm;", ""), ("&amp;", "&")]
    {
        out = out.replace(entity, letter);
    }
    out
}

/// Writes WebVTT; a line that could end a cue early is made harmless.
pub fn write(cues: &[Cue]) -> String {
    let mut out = "WEBVTT\n".to_owned();
    for cue in cues {
        let words = cue.words.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;");
        let lines: Vec<&str> = words.lines().filter(|line| !line.trim().is_empty()).collect();
        let _ = write!(out, "\n{} --> {}\n{}\n", stamp(cue.from), stamp(cue.to), lines.join("\n"));
    }
    out
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a time within a film is small and not negative"
)]
fn thousandths(seconds: f64) -> u64 {
    (seconds.clamp(0.0, 359_999.0) * 1000.0 + 0.5) as u64
}

fn stamp(seconds: f64) -> String {
    let all = thousandths(seconds);
    format!("{:02}:{:02}:{:02}.{:03}", all / 3_600_000, all / 60_000 % 60, all / 1000 % 60, all % 1000)
}

/// A time as people read it: `2:30`, `1:02:05`.
pub fn clock(seconds: f64) -> String {
    let all = thousandths(seconds) / 1000;
    if all >= 3600 {
        format!("{}:{:02}:{:02}", all / 3600, all / 60 % 60, all % 60)
    } else {
        format!("{}:{:02}", all / 60, all % 60)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cue(from: f64, to: f64, words: &str) -> Cue {
        Cue { from, to, words: words.to_owned() }
    }

    #[test]
    fn cues_are_read_without_what_is_not_said() {
        // The example of section 1.1 of the recommendation, shortened, with a note, a style and a name.
        let text = "WEBVTT Kind: captions\n\nSTYLE\n::cue { color: red }\n\nNOTE by nobody\n\n00:11.000 --> 00:13.000 align:start\n<v Roger Bingham>We are in New York City\n\nsecond\n01:00:13.500 --> 01:00:16.000\nA &lt;b&gt; &amp; C\nand on\n";
        let read = Cues::read(text);
        assert_eq!(read.faults, []);
        assert_eq!(read.cues, [cue(11.0, 13.0, "We are in New York City"), cue(3613.5, 3616.0, "A <b> & C\nand on")]);
    }

    #[test]
    fn faults_have_their_place() {
        for (text, at) in [
            ("1\n00:01.000 --> 00:02.000\nhm\n", "1"),
            ("WEBVTT\n\n00:01 --> 00:02\nhm\n", "00:01 --> 00:02"),
            ("WEBVTT\n\n00:03.000 --> 00:02.000\nhm\n", "00:03.000 --> 00:02.000"),
            ("WEBVTT\n\nhm\nhm\n", "hm"),
        ] {
            let read = Cues::read(text);
            assert_eq!(read.faults.len(), 1, "{text}");
            assert_eq!(&text[read.faults[0].0.clone()], at);
        }
    }

    #[test]
    fn what_is_written_is_read_back() {
        let cues = [cue(0.0, 62.5, "one --> two"), cue(62.5, 4000.0, "a < b & c\nsecond line")];
        let written = write(&cues);
        assert_eq!(Cues::read(&written), Cues { cues: cues.to_vec(), faults: Vec::new() });
        assert_eq!((clock(62.5), clock(4000.0)), ("1:02".to_owned(), "1:06:40".to_owned()));
    }
}
