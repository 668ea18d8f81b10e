//! Pictures and films on a page: the file, the words in its place, and of a film its chapters and what is said.

use super::{Desk, text};
use crate::media::{Cue, clock};
use crate::model::corpus::{Cleared, Exhibit};
use crate::render::places::Term;
use serde::Serialize;

/// A picture or film.
#[derive(Debug, Serialize)]
pub(crate) struct MediaView {
    /// What it shows, in a word.
    pub(crate) shows: String,
    /// What it shows, in a sentence or two.
    pub(crate) alt: String,
    /// Where it lies; empty if it cannot be shown.
    pub(crate) src: String,
    /// Its sizes, for the browser to choose from: `a.jpg 640w, b.jpg 2000w`; empty if there is only one.
    pub(crate) sizes: String,
    pub(crate) width: u32,
    pub(crate) height: u32,
    pub(crate) film: Option<FilmView>,
}

/// What belongs to a film.
#[derive(Debug, Serialize)]
pub(crate) struct FilmView {
    pub(crate) poster: String,
    /// Its length, as people read it; empty if the file does not say.
    pub(crate) length: String,
    pub(crate) chapters: Vec<ChapterView>,
    pub(crate) said: Vec<SaidView>,
    /// The same as files, for other players; empty where there is nothing in them.
    pub(crate) captions_file: String,
    pub(crate) chapters_file: String,
    /// Captions and chapters for the script, as JSON that cannot end its element.
    pub(crate) island: String,
}

/// A step of the operation in the film.
#[derive(Debug, Serialize)]
pub(crate) struct ChapterView {
    /// Seconds from the start.
    pub(crate) at: String,
    pub(crate) clock: String,
    pub(crate) number: usize,
    pub(crate) does: Term,
}

/// Something said.
#[derive(Debug, Serialize)]
pub(crate) struct SaidView {
    pub(crate) at: String,
    pub(crate) clock: String,
    pub(crate) words: String,
}

#[derive(Serialize)]
struct Island {
    captions: Vec<(f64, f64, String)>,
    chapters: Vec<(f64, f64, String)>,
}

/// Where WebVTT with this text lies in the site; its name is the hash of the text.
pub(crate) fn webvtt_path(text: &str) -> String {
    format!("media/{}.vtt", &blake3::hash(text.as_bytes()).to_hex()[..16])
}

/// The chapters of a film of the whole operation: its steps that have a time. A film of one step has none.
///
/// Where decisions are open such a film is told after the last of them, so its chapters give nothing away.
pub(crate) fn chapters(cleared: &Cleared, at: usize, label: impl Fn(usize) -> String) -> Vec<(usize, Cue)> {
    let case = cleared.case();
    let Some(media) = case.media.get(at) else { return Vec::new() };
    let film = cleared.media.get(at).and_then(|exhibit| exhibit.shown.as_ref()?.facts.film.as_ref());
    let whole = media.at.is_none() && media.shows.as_ref().is_some_and(|shows| shows.value == "operation");
    let Some(film) = film.filter(|_| whole) else { return Vec::new() };
    let steps = case.operation.steps.iter().enumerate();
    let mut times: Vec<(usize, f64)> =
        steps.filter_map(|(nth, step)| Some((nth, f64::from(step.at.as_ref()?.value.seconds())))).collect();
    times.retain(|(_, from)| film.seconds <= 0.0 || *from < film.seconds);
    times.sort_by(|one, other| one.1.total_cmp(&other.1));
    let ends: Vec<f64> = times.iter().skip(1).map(|(_, from)| *from).collect();
    times
        .iter()
        .enumerate()
        .filter_map(|(place, &(nth, from))| {
            // A film that does not say how long it is lasts a while after its last step.
            let last = if film.seconds > from { film.seconds } else { from + 60.0 };
            let to = ends.get(place).copied().unwrap_or(last);
            (to > from).then(|| (nth, Cue { from, to, words: label(nth) }))
        })
        .collect()
}

impl Desk<'_> {
    /// What is said of the picture or film at a place in the case.
    pub(crate) fn exhibit(&self, cleared: &Cleared, at: usize) -> Option<MediaView> {
        let case = cleared.case();
        let media = case.media.get(at)?;
        let exhibit = cleared.media.get(at);
        let (src, width, height) = exhibit
            .and_then(|it| it.shown.as_ref())
            .map_or_else(Default::default, |shown| (self.href(&shown.path()), shown.facts.width, shown.facts.height));
        let sizes = exhibit.and_then(|it| it.shown.as_ref()).map_or_else(String::new, |shown| {
            let mut sizes: Vec<String> =
                shown.smaller().map(|(path, smaller)| format!("{} {}w", self.href(&path), smaller.width)).collect();
            if !sizes.is_empty() {
                sizes.push(format!("{src} {width}w"));
            }
            sizes.join(", ")
        });
        let film = exhibit.and_then(|exhibit| self.film(cleared, at, exhibit));
        Some(MediaView {
            shows: text(media.shows.as_ref()),
            alt: text(media.alt.as_ref()),
            src,
            sizes,
            width,
            height,
            film,
        })
    }

    fn film(&self, cleared: &Cleared, at: usize, exhibit: &Exhibit) -> Option<FilmView> {
        let film = exhibit.shown.as_ref()?.facts.film.as_ref()?;
        let steps = &cleared.case().operation.steps;
        let chapters = chapters(cleared, at, |nth| self.chapter_title(cleared, nth));
        let rows = |cues: &mut dyn Iterator<Item = &Cue>| -> Vec<(f64, f64, String)> {
            cues.map(|cue| (cue.from, cue.to, cue.words.clone())).collect()
        };
        let island = Island {
            captions: rows(&mut exhibit.captions.iter()),
            chapters: rows(&mut chapters.iter().map(|(_, cue)| cue)),
        };
        let file = |cues: &[Cue]| {
            if cues.is_empty() { String::new() } else { self.href(&webvtt_path(&crate::media::write_webvtt(cues))) }
        };
        let plain: Vec<Cue> = chapters.iter().map(|(_, cue)| cue.clone()).collect();
        Some(FilmView {
            poster: exhibit.poster.as_ref().map(|poster| self.href(&poster.path())).unwrap_or_default(),
            length: if film.seconds > 0.0 { clock(film.seconds) } else { String::new() },
            captions_file: file(&exhibit.captions),
            chapters_file: file(&plain),
            island: serde_json::to_string(&island).unwrap_or_default().replace('<', "\\u003c"),
            chapters: chapters
                .iter()
                .map(|(nth, cue)| ChapterView {
                    at: cue.from.to_string(),
                    clock: clock(cue.from),
                    number: nth + 1,
                    does: self.term(&steps[*nth].does),
                })
                .collect(),
            said: exhibit
                .captions
                .iter()
                .map(|cue| SaidView { at: cue.from.to_string(), clock: clock(cue.from), words: cue.words.clone() })
                .collect(),
        })
    }

    /// A step as a chapter is called: `3. capsulorhexis`.
    pub(crate) fn chapter_title(&self, cleared: &Cleared, nth: usize) -> String {
        let step = &cleared.case().operation.steps[nth];
        format!("{}. {}", nth + 1, self.term(&step.does).label)
    }
}

impl MediaView {
    /// Whether the page needs the script for films.
    pub(crate) fn is_film(&self) -> bool {
        self.film.is_some()
    }
}

/// All WebVTT that belongs to a case: path and text.
pub(crate) fn webvtt(desk: Desk<'_>, cleared: &Cleared) -> Vec<(String, String)> {
    let all = cleared
        .media
        .iter()
        .enumerate()
        .filter(|(_, exhibit)| exhibit.shown.as_ref().is_some_and(|shown| shown.facts.film.is_some()));
    let texts = all.flat_map(|(at, exhibit)| {
        let chapters: Vec<Cue> =
            chapters(cleared, at, |nth| desk.chapter_title(cleared, nth)).into_iter().map(|(_, cue)| cue).collect();
        [exhibit.captions.clone(), chapters]
    });
    let texts = texts.filter(|cues| !cues.is_empty()).map(|cues| crate::media::write_webvtt(&cues));
    texts.map(|text| (webvtt_path(&text), text)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::media::{Facts, Film, Form, Recipe};
    use crate::model::case::Media;
    use crate::model::digest::Digest;
    use crate::model::held::Held;
    use crate::model::inputs::Shown;
    use crate::model::measure::Clock;
    use crate::model::site::CopyOf;
    use crate::render::sample;
    use crate::text::{Span, Spanned};
    use std::path::PathBuf;
    use std::sync::Arc;

    fn with_film(at: Option<&str>) -> Cleared {
        let words = |text: &str| Spanned::new(text.to_owned(), Span::default());
        let mut cleared = sample::case();
        let mut open = cleared.open();
        let case = Arc::make_mut(&mut open.case);
        for (nth, step) in case.operation.steps.iter_mut().enumerate() {
            let clock = Clock::parse(&format!("{nth}:30")).expect("a time");
            step.at = Some(Spanned::new(clock, Span::default()));
        }
        case.media = vec![Media {
            file: words("op.mp4"),
            shows: Some(words("operation")),
            alt: Some(words("It tears.")),
            captions: None,
            poster: None,
            at: at.map(words),
            looked_at: None,
        }];
        cleared.held = Held::Whole(open);
        let facts = Facts {
            form: Form::Mp4,
            width: 640,
            height: 360,
            traces: Default::default(),
            words: Vec::new(),
            film: Some(Film { seconds: 5000.0, ..Film::default() }),
        };
        let recipe = Arc::new(Recipe::whole(1));
        let copy = CopyOf { from: PathBuf::new(), recipe, size: 1, hash: Digest::of(b"film") };
        let said = Cue { from: 1.0, to: 2.0, words: "</script> & so on".to_owned() };
        cleared.media = vec![Exhibit {
            shown: Some(Arc::new(Shown { facts, original: blake3::hash(b"film"), copy })),
            poster: None,
            captions: vec![said],
        }];
        cleared
    }

    #[test]
    fn chapters_are_the_timed_steps_and_touch_one_another() {
        let cleared = with_film(None);
        let found = chapters(&cleared, 0, |nth| nth.to_string());
        assert!(found.len() > 1, "the sample has timed steps");
        for pair in found.windows(2) {
            assert!((pair[0].1.to - pair[1].1.from).abs() < 1e-9);
        }
        assert!((found[found.len() - 1].1.to - 5000.0).abs() < 1e-9);
    }

    #[test]
    fn a_film_of_one_step_tells_of_no_other() {
        assert_eq!(chapters(&with_film(Some("s1")), 0, |nth| nth.to_string()), []);
    }

    #[test]
    fn no_word_ends_the_island() {
        let (vocabulary, analysis) = sample::vocabulary();
        let places = sample::places(&vocabulary, &analysis);
        let desk = Desk { places: &places, root: "../" };
        let view = desk.exhibit(&with_film(None), 0).and_then(|view| view.film).expect("a film");
        assert!(!view.island.contains('<'));
        let read: serde_json::Value = serde_json::from_str(&view.island).expect("JSON");
        assert_eq!(read["captions"][0][2], "</script> & so on");
    }
}
