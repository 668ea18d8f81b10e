//! The theme: templates compiled once, and the style sheet, the script and the faces with their hash in the name.
//!
//! A library may put a file of its own in the place of any file of the built-in theme, by the same path:
//! `templates/case.html`, `assets/style.css`.

use crate::model::digest::Parts;
use crate::model::site::PageError;
use include_dir::{Dir, include_dir};
use std::collections::BTreeMap;

/// The built-in theme.
static BUILT_IN: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/themes/default");

/// Where the style sheet stands in a theme.
const STYLE: &str = "assets/style.css";
/// Where the script stands in a theme.
const SCRIPT: &str = "assets/page.js";
/// Where the script for films stands in a theme.
const FILM_SCRIPT: &str = "assets/film.js";

/// Where the script of the practice page stands in a theme.
const PRACTICE_SCRIPT: &str = "assets/practice.js";

/// Where the licence of the faces stands in a theme and in the site.
const LICENCE: &str = "assets/text-licence.txt";
/// Where the script of the search page stands in a theme; `themes/scripts` holds what it is made from.
const SEARCH: &str = "assets/search.js";

/// Whether a file of a theme is the built-in one of its path.
pub fn is_built_in(path: &str, bytes: &[u8]) -> bool {
    BUILT_IN.get_file(path).is_some_and(|file| file.contents() == bytes)
}

/// Templates ready to use, and what pages lean on.
#[derive(Debug)]
pub struct Theme {
    engine: tera::Tera,
    style: Asset,
    script: Asset,
    /// Faces that the style sheet names, and the text of their licence.
    faces: Vec<Asset>,
    film_script: Asset,
    practice_script: Asset,
    search: Asset,
    content: [u8; 32],
}

/// A file whose name in the site holds its hash, so that a browser may keep it for ever.
#[derive(Debug, Clone)]
pub struct Asset {
    /// Path in the site.
    pub path: String,
    /// Its content.
    pub bytes: Vec<u8>,
}

impl Theme {
    /// The built-in theme with a library's own files in the place of the built-in ones.
    ///
    /// # Errors
    /// Every file that is no part of a theme, is not UTF-8, or is a template that cannot be read, with the place in it.
    pub fn new(own: &BTreeMap<String, Vec<u8>>) -> Result<Self, Vec<PageError>> {
        let mut files: BTreeMap<&str, &[u8]> = BTreeMap::new();
        collect(&BUILT_IN, &mut files);
        let mut errors = Vec::new();
        for (path, bytes) in own {
            if files.contains_key(path.as_str()) {
                files.insert(path, bytes);
            } else {
                let known: Vec<&str> = files.keys().copied().collect();
                let near = crate::text::nearest(path, known.iter().copied());
                let mend = near.map_or_else(
                    || format!("the files of a theme are {}", crate::text::list(&known, "and")),
                    |near| format!("did you mean {near}?"),
                );
                errors.push(fault(path, None, format!("this is no file of a theme; {mend}")));
            }
        }
        let mut templates: Vec<(&str, &str)> = Vec::new();
        for (path, bytes) in &files {
            let Some(name) = path.strip_prefix("templates/") else { continue };
            match std::str::from_utf8(bytes) {
                Ok(text) => templates.push((name, text)),
                Err(error) => {
                    let sound = String::from_utf8_lossy(&bytes[..error.valid_up_to()]);
                    let line = sound.split('\n').count();
                    let column = sound.rsplit('\n').next().map_or(0, |last| last.chars().count()) + 1;
                    errors.push(fault(path, Some((line, column)), "this template is not UTF-8 text".to_owned()));
                }
            }
        }
        if !errors.is_empty() {
            return Err(errors);
        }
        let mut content = Parts::default();
        for (path, bytes) in &files {
            content.add(path);
            content.add(bytes);
        }
        let mut engine = tera::Tera::new();
        engine.add_raw_templates(templates).map_err(|error| vec![page_error("", "", &error)])?;
        let mut style = String::from_utf8_lossy(files.get(STYLE).copied().unwrap_or_default()).into_owned();
        let mut faces = Vec::new();
        for (path, bytes) in files.iter().filter(|(path, _)| path.ends_with(".woff2")) {
            let face = hashed(path, bytes);
            let name = |path: &str| format!("\"{}\"", path.trim_start_matches("assets/"));
            // A face that a library's own style sheet does not name need not travel.
            if style.contains(&name(path)) {
                style = style.replace(&name(path), &name(&face.path));
                faces.push(face);
            }
        }
        if let Some(bytes) = files.get(LICENCE).filter(|_| !faces.is_empty()) {
            faces.push(Asset { path: LICENCE.to_owned(), bytes: bytes.to_vec() });
        }
        let asset = |path: &str| hashed(path, files.get(path).copied().unwrap_or_default());
        Ok(Self {
            engine,
            style: hashed(STYLE, style.as_bytes()),
            script: asset(SCRIPT),
            faces,
            film_script: asset(FILM_SCRIPT),
            practice_script: asset(PRACTICE_SCRIPT),
            search: asset(SEARCH),
            content: *content.hash().as_bytes(),
        })
    }

    /// A hash of all its files.
    pub(crate) fn content(&self) -> [u8; 32] {
        self.content
    }

    /// The style sheet.
    pub fn style(&self) -> &Asset {
        &self.style
    }

    /// The faces that the style sheet names, and their licence.
    pub fn faces(&self) -> &[Asset] {
        &self.faces
    }

    /// The script.
    pub fn script(&self) -> &Asset {
        &self.script
    }

    /// The licence of the faces, where there are any.
    pub fn licence(&self) -> Option<&Asset> {
        self.faces.iter().find(|face| face.path == LICENCE)
    }

    /// The script for films.
    pub fn film_script(&self) -> &Asset {
        &self.film_script
    }

    /// The script of the practice page.
    pub fn practice_script(&self) -> &Asset {
        &self.practice_script
    }

    /// The script of the search page.
    pub fn search(&self) -> &Asset {
        &self.search
    }

    /// A page from a template and what it shows.
    pub(crate) fn fill(&self, page: &str, template: &str, view: &impl serde::Serialize) -> Result<String, PageError> {
        tera::Context::from_serialize(view)
            .and_then(|context| self.engine.render(template, &context))
            .map_err(|error| page_error(page, template, &error))
    }
}

fn collect<'a>(dir: &'a Dir<'a>, into: &mut BTreeMap<&'a str, &'a [u8]>) {
    for file in dir.files() {
        if let Some(path) = file.path().to_str() {
            into.insert(path, file.contents());
        }
    }
    for inner in dir.dirs() {
        collect(inner, into);
    }
}

/// `assets/style.css` becomes `assets/style-0123456789.css`.
fn hashed(path: &str, bytes: &[u8]) -> Asset {
    let hash = blake3::hash(bytes).to_hex();
    let (stem, ending) = path.rsplit_once('.').unwrap_or((path, ""));
    Asset { path: format!("{stem}-{}.{ending}", &hash[..10]), bytes: bytes.to_vec() }
}

fn fault(template: &str, place: Option<(usize, usize)>, message: String) -> PageError {
    PageError { page: String::new(), template: template.to_owned(), place, message }
}

/// A template's fault with its place, as the engine reports it. `template` is named where the engine names none.
fn page_error(page: &str, template: &str, error: &tera::Error) -> PageError {
    let named = |name: &str| {
        let name = if name.is_empty() { template } else { name };
        if name.is_empty() { String::new() } else { format!("templates/{name}") }
    };
    let (template, place, message) = match error.kind() {
        tera::ErrorKind::SyntaxError(report) | tera::ErrorKind::RenderingError(report) => (
            named(report.filename()),
            Some((report.span().start_line, report.span().start_col + 1)),
            report.message().to_owned(),
        ),
        tera::ErrorKind::CircularExtend { tpl, .. } | tera::ErrorKind::CircularInclude { tpl, .. } => {
            (named(tpl), None, error.to_string())
        }
        tera::ErrorKind::MissingParent { current, .. } => (named(current), None, error.to_string()),
        _ => (named(""), None, error.to_string()),
    };
    PageError { page: page.to_owned(), template, place, message }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn own(path: &str, text: &str) -> BTreeMap<String, Vec<u8>> {
        BTreeMap::from([(path.to_owned(), text.as_bytes().to_vec())])
    }

    #[test]
    fn the_built_in_theme_compiles_and_its_assets_carry_their_hash() {
        let theme = Theme::new(&BTreeMap::new()).expect("the built-in theme is sound");
        assert!(theme.style().path.starts_with("assets/style-") && theme.style().path.ends_with(".css"));
        assert!(theme.script().path.starts_with("assets/page-") && theme.script().path.ends_with(".js"));
    }

    #[test]
    fn faces_travel_with_their_licence_where_the_style_sheet_names_them() {
        let theme = Theme::new(&BTreeMap::new()).expect("sound");
        let style = String::from_utf8_lossy(&theme.style().bytes).into_owned();
        let paths: Vec<&str> = theme.faces().iter().map(|face| face.path.as_str()).collect();
        assert_eq!((paths.len(), paths.last()), (4, Some(&LICENCE)));
        for face in &paths[..3] {
            assert!(face.len() > "assets/text-bold.woff2".len(), "{face} carries its hash");
            assert!(style.contains(&format!("url(\"{}\")", face.trim_start_matches("assets/"))), "{face}");
        }
        let licence = String::from_utf8_lossy(&theme.faces()[3].bytes).into_owned();
        assert!(licence.contains("Literata Project Authors") && licence.contains("SIL OPEN FONT LICENSE Version 1.1"));
        assert!(Theme::new(&own("assets/style.css", "p { color: CanvasText }")).expect("sound").faces().is_empty());
    }

    #[test]
    fn another_style_sheet_gets_another_name() {
        let built_in = Theme::new(&BTreeMap::new()).expect("sound");
        let changed = Theme::new(&own("assets/style.css", "p { color: CanvasText }")).expect("sound");
        assert_ne!(built_in.style().path, changed.style().path);
        assert_eq!(changed.style().bytes, b"p { color: CanvasText }");
    }

    #[test]
    fn a_broken_template_names_the_file_and_the_place() {
        let errors = Theme::new(&own("templates/methods.html", "<html>\n<h1>{{ page. }}</h1>")).expect_err("broken");
        assert_eq!(errors[0].template, "templates/methods.html");
        let (line, column) = errors[0].place.expect("a place");
        assert!(line == 2 && (5..=18).contains(&column), "{line}, {column}");
    }

    #[test]
    fn a_file_that_belongs_to_no_theme_is_named() {
        let errors = Theme::new(&own("templates/caes.html", "")).expect_err("unknown");
        assert_eq!(errors[0].template, "templates/caes.html");
        assert!(errors[0].message.contains("templates/case.html"), "{}", errors[0].message);
    }
}
