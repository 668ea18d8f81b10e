//! Render: what is known becomes a site, an ordered map from path to page.
//!
//! Pages are made when somebody wants them, from the corpus, the analysis and the theme alone: the same bytes each
//! time. Nothing here reads a file, a clock or the network. Every path goes through [`SitePath`].

mod code;
mod grammar;
mod leans;
mod mention;
mod narrative;
mod pack;
mod pictures;
mod places;
mod press;
#[cfg(test)]
mod sample;
pub mod search;
mod theme;
mod views;

pub use theme::{Asset, Theme, is_built_in};

use crate::model::analysis::{Analysis, Occurrence};
use crate::model::corpus::Corpus;
use crate::model::site::{Leaning, Leans, Page, PageError, Site, SitePath, Turn};
use crate::model::vocabulary::{ConceptId, Kind};
use pack::{PAGE_BUDGET, pack};
use places::{Term, list_page, numbered};
use press::{Press, Section};
use rayon::prelude::*;
use std::ops::Range;
use std::sync::{Arc, OnceLock};
use views::Pager;
use views::compare::{PairLink, PairsView};
use views::exhibit::webvtt;
use views::ladders::{LadderLink, LaddersView};
use views::lists::{CasesView, GlossaryPage, GlossaryView, Group, ListView, narrow_cases, narrow_groups, why_size};
use views::narrow::NarrowView;
use views::practice::{case_path, topic_path};
use views::search::{SearchView, TermRow, TermsView};
use views::session::PARTS_ON_A_PAGE;

/// Lays out the whole site. No page is made yet: each is made, from the same data, when it is asked for.
///
/// # Errors
/// Faults of the theme's templates that show before any page is made, and names that no server could serve.
pub fn render<'a>(corpus: &'a Corpus, analysis: &'a Analysis, theme: &'a Theme) -> Result<Site<'a>, Vec<PageError>> {
    let press = Arc::new(Press::new(corpus, analysis, theme).map_err(|error| vec![error])?);
    let desk = press.desk("cases.html");
    let sizes = (0..corpus.cases().len()).map(|at| desk.entry_size(at)).collect();
    let mut sheets =
        Sheets { press, sizes, site: Site { audience: corpus.audience(), ..Site::default() }, errors: Vec::new() };
    for asset in
        [theme.style(), theme.script(), theme.search(), theme.practice_script()].into_iter().chain(theme.faces())
    {
        sheets.add(&asset.path, Turn::Hashed, Page::Ready(asset.bytes.clone()));
    }
    sheets.made("index.html", |press, path| {
        let view = press.desk(path).home(press.corpus);
        press.page("home.html", path, Section::Home, "", &view)
    });
    sheets.made("methods.html", |press, path| {
        let view = press.desk(path).methods(press.corpus);
        press.page("methods.html", path, Section::Methods, "Methods", &view)
    });
    sheets.cases();
    sheets.media();
    sheets.case_list();
    sheets.lists();
    sheets.glossary();
    sheets.made("map.html", |press, path| {
        let view = press.desk(path).map(press.corpus.cases());
        press.page("map.html", path, Section::Elsewhere, "Map of the library", &view)
    });
    sheets.made("coverage.html", |press, path| {
        let view = press.desk(path).coverage();
        press.page("coverage.html", path, Section::Elsewhere, "Not yet taught", &view)
    });
    sheets.pairs();
    sheets.ladders();
    sheets.practice();
    sheets.sessions();
    let (terms, concepts) =
        rayon::join(|| sheets.press.desk("terms.html").every_term(), || concepts(&sheets.press, &sheets.sizes));
    sheets.search(terms);
    for (id, found, pages) in concepts {
        sheets.concept(id, Arc::new(found), pages);
    }
    let Sheets { site: Site { pages, leans, .. }, errors, .. } = sheets;
    // Maps that grow are little more than half full; made at once of what is in order they have no room to spare.
    let site =
        Site { audience: corpus.audience(), pages: pages.into_iter().collect(), leans: leans.into_iter().collect() };
    if errors.is_empty() { Ok(site) } else { Err(errors) }
}

/// Bytes that the cases on a concept's page may take: its answers stand above them.
const CONCEPT_BUDGET: usize = PAGE_BUDGET / 2;

/// The parts of eye difficulty and the values that count as 0 and as 1, in words; [`crate::model::index::PARTS`] holds
/// the numbers, and a test holds the two together.
pub(crate) const ANCHORS: [(&str, &str, &str); 4] = [
    ("Odds of rupture, by their logarithm", "those of the reference eye", "50 times those"),
    ("Potential difficulty", "1 point", "8 points"),
    ("Eye burden", "0 points", "3 points"),
    ("Eye burden, whole list, in place of the others where no published model applies", "0 points", "6 points"),
];

/// The site as it grows.
struct Sheets<'a> {
    press: Arc<Press<'a>>,
    /// About how many bytes each case takes in a list: a case stands in some eighty of them.
    sizes: Vec<usize>,
    site: Site<'a>,
    errors: Vec<PageError>,
}

impl<'a> Sheets<'a> {
    fn add(&mut self, path: &str, turn: Turn, page: Page<'a>) {
        if let Some(path) = self.sound(path) {
            self.site.pages.insert(path, (turn, page));
        }
    }

    /// The path of a page that is to be added; if there cannot be such a page, that is an error.
    fn sound(&mut self, path: &str) -> Option<SitePath> {
        let fault = match SitePath::new(path) {
            None => "no server or file share could be trusted with this name",
            Some(path) if self.site.pages.contains_key(&path) => "two pages have this name",
            sound => return sound,
        };
        self.errors.push(PageError {
            page: path.to_owned(),
            template: String::new(),
            place: None,
            message: fault.to_owned(),
        });
        None
    }

    /// A page that is made on demand; gives its path.
    fn made(
        &mut self,
        path: &str,
        make: impl Fn(&Press<'a>, &str) -> Result<Vec<u8>, PageError> + Send + Sync + 'a,
    ) -> Option<SitePath> {
        let path = self.sound(path)?;
        let (press, name) = (Arc::clone(&self.press), path.clone());
        let page = Page::Made(Box::new(move || make(&press, name.as_str())));
        self.site.pages.insert(path.clone(), (Turn::Page, page));
        Some(path)
    }

    /// A page that is made on demand, of which it can be told what it leans on.
    fn leaning(
        &mut self,
        path: &str,
        leans: impl Fn(&Press<'a>, &str) -> Leaning + Send + Sync + 'a,
        make: impl Fn(&Press<'a>, &str) -> Result<Vec<u8>, PageError> + Send + Sync + 'a,
    ) {
        if let Some(path) = self.made(path, make) {
            let (press, name) = (Arc::clone(&self.press), path.clone());
            self.site.leans.insert(path, Leans(Box::new(move || leans(&press, name.as_str()))));
        }
    }

    /// Two readings of each case, and how it was written.
    fn cases(&mut self) {
        let press = Arc::clone(&self.press);
        for at in 0..press.corpus.cases().len() {
            let leans = move |press: &Press<'a>, path: &str| press.leans_on_case(path, at);
            self.leaning(&press.places.case(at), leans, move |press, path| press.case(path, at));
            if let Some(ask) = press.places.ask(at) {
                self.leaning(&ask, leans, move |press, path| press.ask(path, at));
            }
            self.leaning(&press.places.source(at), leans, move |press, path| press.source(path, at));
        }
    }

    /// Pictures, films and what is said in them. Two cases may show the same file: it lies there once.
    fn media(&mut self) {
        let press = Arc::clone(&self.press);
        let mut films = false;
        for cleared in press.corpus.cases() {
            let files = cleared.media.iter().flat_map(|it| it.shown.iter().chain(&it.poster));
            for shown in files {
                films |= shown.facts.film.is_some();
                self.once(&shown.path(), || Page::Copied(Box::new(shown.copy.clone())));
                // A still picture before a film is shown by an element that takes one size only.
                if cleared.media.iter().any(|it| it.shown.as_ref().is_some_and(|it| Arc::ptr_eq(it, shown))) {
                    for (path, smaller) in shown.smaller() {
                        self.once(&path, || Page::Smaller(Box::new(smaller)));
                    }
                }
            }
            for (path, text) in webvtt(press.desk("cases/film.html"), cleared) {
                self.once(&path, || Page::Ready(text.into_bytes()));
            }
        }
        if films {
            let script = press.theme().film_script();
            self.add(&script.path, Turn::Hashed, Page::Ready(script.bytes.clone()));
        }
    }

    /// A file whose name is the hash of its content, added once.
    fn once(&mut self, path: &str, page: impl FnOnce() -> Page<'a>) {
        if SitePath::new(path).is_none_or(|path| !self.site.pages.contains_key(&path)) {
            self.add(path, Turn::Hashed, page());
        }
    }

    /// The cases in order of name, and in order of eye difficulty.
    fn case_list(&mut self) {
        let count = self.press.corpus.cases().len();
        let mut ranked: Vec<usize> = (0..count).collect();
        ranked.sort_by_key(|&at| self.press.analysis.standings[at].rank);
        for (base, order) in [("cases", (0..count).collect()), ("cases-by-difficulty", ranked)] {
            let by_rank = base != "cases";
            let order: Arc<Vec<usize>> = Arc::new(order);
            let pages = pack(order.iter().map(|&at| self.sizes[at]), PAGE_BUDGET);
            let of = pages.len();
            for (number, range) in (1..).zip(pages) {
                let order = Arc::clone(&order);
                let (listed, part) = (Arc::clone(&order), range.clone());
                let leans =
                    move |press: &Press<'a>, path: &str| press.leans_on_list(path, by_rank, of, &listed[part.clone()]);
                self.leaning(&numbered(base, number), leans, move |press, path| {
                    let entries = order[range.clone()].iter().map(|&at| press.entry(path, at, by_rank));
                    let entries = entries.collect::<Result<Vec<_>, _>>()?;
                    let view = CasesView {
                        count,
                        ranked: by_rank,
                        narrow: narrow_cases(&entries),
                        entries,
                        pager: Pager::new(number, of, |number| numbered(base, number)),
                    };
                    let title = if by_rank { "Cases by eye difficulty" } else { "Cases" };
                    press.page("cases.html", path, Section::Cases, title, &view)
                });
            }
        }
    }

    fn lists(&mut self) {
        let press = Arc::clone(&self.press);
        let desk = press.desk("list.html");
        let lists: Vec<_> = Kind::ALL.into_par_iter().map(|kind| (kind, desk.groups(kind), desk.rest(kind))).collect();
        for (kind, groups, rest) in lists {
            self.list(kind, Arc::new(groups), Arc::new(rest));
        }
    }

    fn list(&mut self, kind: Kind, groups: Arc<Vec<Group>>, rest: Arc<Vec<Term>>) {
        // First the groups, then what occurs in no case: both count towards the size of a page.
        let sizes =
            groups.iter().map(Group::size).chain(rest.iter().map(|term| 80 + term.label.len() + term.href.len()));
        let pages = pack(sizes, PAGE_BUDGET);
        let of = pages.len();
        let section = Section::of(kind);
        for (number, range) in (1..).zip(pages) {
            let (groups, rest) = (Arc::clone(&groups), Arc::clone(&rest));
            self.made(&list_page(kind, number), move |press, path| {
                let cut = groups.len();
                let view = ListView {
                    kind: kind.word().to_owned(),
                    narrow: narrow_groups(&groups[range.start.min(cut)..range.end.min(cut)]),
                    groups: groups[range.start.min(cut)..range.end.min(cut)].to_vec(),
                    rest: rest[range.start.saturating_sub(cut)..range.end.saturating_sub(cut)].to_vec(),
                    occur: press.desk(path).listed(kind).len() - rest.len(),
                    pager: Pager::new(number, of, |number| list_page(kind, number)),
                };
                let title = crate::text::capitalised(&format!("{}s", kind.word()));
                press.page("list.html", path, section, &title, &view)
            });
        }
    }

    fn glossary(&mut self) {
        let press = Arc::clone(&self.press);
        let of = press.places.glossary_pages.len();
        for (number, range) in (1..).zip(press.places.glossary_pages.clone()) {
            self.made(&numbered("glossary", number), move |press, path| {
                let desk = press.desk(path);
                let places = &press.places;
                let pages = (1..).zip(&places.glossary_pages).map(|(other, range)| GlossaryPage {
                    label: press.letters(range.clone()),
                    href: numbered("glossary", other),
                    current: other == number,
                });
                let entries: Vec<_> =
                    places.glossary[range.clone()].iter().map(|&id| desk.glossary_entry(id)).collect();
                let view = GlossaryView {
                    count: places.glossary.len(),
                    narrow: NarrowView::new(entries.iter().map(|entry| std::slice::from_ref(&entry.kind))),
                    entries,
                    pages: pages.collect(),
                    pager: Pager::new(number, of, |number| numbered("glossary", number)),
                };
                press.page("glossary.html", path, Section::Glossary, "Glossary", &view)
            });
        }
    }

    /// Where to start: every ladder with its first rung.
    fn ladders(&mut self) {
        let press = Arc::clone(&self.press);
        let groups: Arc<Vec<_>> = Arc::new(press.desk("ladders.html").ladder_links());
        let pages = pack(groups.iter().map(LadderLink::size), PAGE_BUDGET);
        let of = pages.len();
        for (number, range) in (1..).zip(pages) {
            let links = Arc::clone(&groups);
            self.made(&numbered("ladders", number), move |press, path| {
                let pager = Pager::new(number, of, |number| numbered("ladders", number));
                let view = LaddersView::new(&links[range.clone()], pager);
                press.page("ladders.html", path, Section::Study, "Where to start", &view)
            });
        }
    }

    /// The page that keeps a reader's progress, and the scripts from which it draws its questions.
    fn practice(&mut self) {
        let press = Arc::clone(&self.press);
        self.made("practice.html", |press, path| {
            press.page("practice.html", path, Section::Study, "Practice", &press.practice())
        });
        self.made("practice/topics.js", |press, _| Ok(press.practice_topics()));
        for topic in &press.analysis.practice.topics {
            self.made(&topic_path(press.topic_name(topic)), move |press, _| Ok(press.practice_topic(topic)));
        }
        for (at, cleared) in press.corpus.cases().iter().enumerate() {
            if !press.analysis.practice.of_case[at].is_empty() {
                let leans = move |press: &Press<'a>, path: &str| press.leans_on_case(path, at);
                let make = move |press: &Press<'a>, path: &str| press.practice_case(path, at);
                self.leaning(&case_path(&cleared.name), leans, make);
            }
        }
    }

    /// Teaching sessions: for each a handout for learners and one for whoever leads it, some parts to a page.
    fn sessions(&mut self) {
        let press = Arc::clone(&self.press);
        let sessions = &press.corpus.library().sessions;
        self.made("sessions.html", |press, path| {
            let view = press.desk(path).sessions(&press.corpus.library().sessions);
            press.page("sessions.html", path, Section::Study, "Teaching sessions", &view)
        });
        for session in sessions {
            let of = session.parts.len().div_ceil(PARTS_ON_A_PAGE);
            for (number, tutor) in (1..=of).flat_map(|number| [(number, false), (number, true)]) {
                self.made(&press.places.session(&session.name, tutor, number), move |press, path| {
                    let view = press.session(path, session, tutor, number)?;
                    press.page("session.html", path, Section::Study, &view.title, &view)
                });
            }
        }
    }

    /// Cases against each other, and the list of all pairs.
    fn pairs(&mut self) {
        let press = Arc::clone(&self.press);
        for pair in &press.analysis.pairs {
            let leans = |press: &Press<'a>, path: &str| press.leans_on_pair(path, pair);
            self.leaning(&press.places.compare(pair.one, pair.other), leans, move |press, path| {
                let view = press.desk(path).compare(press.corpus.cases(), pair);
                let title = format!("{} / {}", view.one.title, view.other.title);
                press.page("pair.html", path, Section::Compare, &title, &view)
            });
        }
        let mut order: Vec<usize> = (0..press.analysis.pairs.len()).collect();
        order.sort_by_key(|&at| press.analysis.pairs[at].by);
        let links = order.into_iter().map(|at| press.desk("compare.html").pair_link(&press.analysis.pairs[at], None));
        let links: Arc<Vec<_>> = Arc::new(links.collect());
        let pages = pack(links.iter().map(PairLink::size), PAGE_BUDGET);
        let of = pages.len();
        for (number, range) in (1..).zip(pages) {
            let links = Arc::clone(&links);
            self.made(&numbered("compare", number), move |press, path| {
                let view = PairsView {
                    count: links.len(),
                    pairs: links[range.clone()].to_vec(),
                    pager: Pager::new(number, of, |number| numbered("compare", number)),
                };
                press.page("compare.html", path, Section::Compare, "Compare two cases", &view)
            });
        }
    }

    /// The search page, the terms from A to Z, and the index.
    fn search(&mut self, terms: Vec<TermRow>) {
        let parts = search::parts(&self.press.analysis.search);
        for (path, bytes) in parts.files {
            self.add(&path, Turn::Hashed, Page::Ready(bytes));
        }
        self.add(search::POINTER, Turn::Pointer, Page::Ready(parts.pointer.into_bytes()));
        let terms = Arc::new(terms);
        let pages = Arc::new(pack(terms.iter().map(|term| term.size()), PAGE_BUDGET));
        let of = pages.len();
        let (listed, cut) = (Arc::clone(&terms), Arc::clone(&pages));
        self.made("search.html", move |press, path| {
            let view = SearchView {
                script: press.search_script().to_owned(),
                pointer: search::POINTER,
                letters: views::search::letters(&listed, &cut),
            };
            press.page("search.html", path, Section::Search, "Search", &view)
        });
        for (number, range) in (1..).zip(pages.iter().cloned()) {
            let (terms, pages) = (Arc::clone(&terms), Arc::clone(&pages));
            self.made(&numbered("terms", number), move |press, path| {
                let view = TermsView {
                    letters: views::search::letters(&terms, &pages),
                    groups: views::search::groups(&terms[range.clone()]),
                    pager: Pager::new(number, of, |number| numbered("terms", number)),
                };
                press.page("terms.html", path, Section::Search, "Terms from A to Z", &view)
            });
        }
    }

    /// The pages of a concept with these cases, cut into these parts.
    fn concept(&mut self, id: ConceptId, found: Arc<Vec<&'a Occurrence>>, pages: Vec<Range<usize>>) {
        let press = Arc::clone(&self.press);
        let of = pages.len();
        let whole: Arc<OnceLock<Leaning>> = Arc::default();
        for (number, range) in (1..).zip(pages) {
            let found = Arc::clone(&found);
            let (whole, listed, part) = (Arc::clone(&whole), Arc::clone(&found), range.clone());
            let leans = move |press: &Press<'a>, path: &str| {
                let whole = whole.get_or_init(|| press.of_concept(id, &listed));
                press.leans_on_concept(path, whole, of, part.clone())
            };
            self.leaning(&press.places.concept_page(id, number), leans, move |press, path| {
                let desk = press.desk(path);
                let cases = press.corpus.cases();
                let found = &found[range.clone()];
                let entries = found.iter().map(|found| press.entry_for(path, found, id)).collect::<Result<_, _>>()?;
                let pager = Pager::new(number, of, |number| desk.href(&press.places.concept_page(id, number)));
                let view = desk.concept(id, entries, pager, (number == 1).then_some(cases));
                let title = crate::text::capitalised(&view.label);
                let section = Section::of(press.corpus.vocabulary().get(id).kind);
                press.page("concept.html", path, section, &title, &view)
            });
        }
    }
}

/// A concept, its cases in their order, and the parts into which its page is cut.
type LaidOut<'a> = (ConceptId, Vec<&'a Occurrence>, Vec<Range<usize>>);

/// Every concept that occurs.
fn concepts<'a>(press: &Press<'a>, sizes: &[usize]) -> Vec<LaidOut<'a>> {
    let ids = press.corpus.vocabulary().iter().map(|(id, _)| id).filter(|id| press.analysis.has_page(*id));
    let ids: Vec<ConceptId> = ids.collect();
    ids.into_par_iter()
        .map_init(
            || vec![usize::MAX; sizes.len()],
            |room, id| {
                let found = up_the_ladder(press.analysis, id, room);
                let sizes = found.iter().map(|found| sizes[found.case] + why_size(found));
                let pages = pack(sizes, CONCEPT_BUDGET);
                (id, found, pages)
            },
        )
        .collect()
}

/// The cases of a concept up its ladder, then what stands beyond it, then what only names the concept. `room` has a place for
/// each case, all of them `usize::MAX` before and after.
fn up_the_ladder<'a>(analysis: &'a Analysis, id: ConceptId, room: &mut [usize]) -> Vec<&'a Occurrence> {
    let ladder = &analysis.ladders[id.0 as usize];
    let climb = || ladder.rungs.iter().map(|rung| rung.case).chain(ladder.below.iter().copied());
    climb().zip(0..).for_each(|(case, place)| room[case] = place);
    let mut found: Vec<&Occurrence> = analysis.of(id).iter().collect();
    found.sort_unstable_by_key(|found| (room[found.case], analysis.reading[found.case]));
    climb().for_each(|case| room[case] = usize::MAX);
    found
}
