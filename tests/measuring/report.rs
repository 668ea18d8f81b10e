//! The figures as a table that people read.

use std::collections::BTreeMap;

/// Share of the machine that others may use during a measurement.
const QUIET: f64 = 0.05;

/// The phases of a compile, in order.
const PHASES: [&str; 5] = ["discover", "parse and check", "analyse", "lay out", "make and write pages"];

/// One measurement taken several times.
#[derive(Debug, Default)]
pub(crate) struct Measured {
    runs: Vec<BTreeMap<String, f64>>,
}

impl Measured {
    /// One more.
    pub(crate) fn add(&mut self, figures: BTreeMap<String, f64>) {
        self.runs.push(figures);
    }

    /// How many of them nothing disturbed.
    pub(crate) fn quiet(&self) -> usize {
        self.runs.iter().filter(|run| run["others"] <= QUIET).count()
    }

    /// A figure of every run that counts, in order of size. Noisy runs count only where no run was quiet.
    fn sorted(&self, name: &str) -> Vec<f64> {
        let all = self.quiet() == 0;
        let counts = self.runs.iter().filter(|run| all || run["others"] <= QUIET);
        let mut figures: Vec<f64> = counts.filter_map(|run| run.get(name).copied()).collect();
        figures.sort_by(f64::total_cmp);
        figures
    }

    /// The middle figure.
    fn median(&self, name: &str) -> Option<f64> {
        let sorted = self.sorted(name);
        sorted.get(sorted.len() / 2).copied()
    }

    /// Names of figures that begin so, without that beginning.
    fn named<'m>(&'m self, start: &'m str) -> impl Iterator<Item = (&'m str, f64)> {
        self.runs.iter().take(1).flatten().filter_map(move |(name, figure)| Some((name.strip_prefix(start)?, *figure)))
    }
}

/// All figures of one library in one place.
#[derive(Debug)]
pub(crate) struct Column {
    pub(crate) cases: u64,
    pub(crate) place: &'static str,
    /// Distinct words in its cases.
    pub(crate) words: f64,
    pub(crate) figures: BTreeMap<String, Measured>,
}

impl Column {
    fn median(&self, what: &str, name: &str) -> Option<f64> {
        self.figures.get(what)?.median(name)
    }

    /// Median and least in seconds, with a mark where quiet runs are too few.
    fn time(&self, what: &str, name: &str) -> Option<String> {
        let measured = self.figures.get(what)?;
        let least = *measured.sorted(name).first()?;
        let mark = if measured.quiet() < super::ROUNDS { " !" } else { "" };
        Some(format!("{} ({}){mark}", seconds(measured.median(name)?), seconds(least)))
    }

    /// A time divided by that of a floor: the medians, and the least times.
    fn ratio(&self, (what, name): (&str, &str), floor: &str) -> Option<String> {
        let least = |what: &str, name: &str| self.figures.get(what)?.sorted(name).first().copied();
        let medians = self.median(what, name)? / self.median(floor, "wall")?;
        Some(format!("{medians:.1} ({:.1})", least(what, name)? / least(floor, "wall")?))
    }

    /// A compile as a share of another: the medians, in hundredths.
    fn share(&self, what: &str, of: &str) -> Option<String> {
        Some(format!("{:.1} %", self.median(what, "wall")? / self.median(of, "wall")? * 100.0))
    }

    fn memory(&self, what: &str) -> Option<String> {
        Some(megabytes(self.median(what, "peak")?))
    }

    fn pages(&self, start: &str) -> Option<f64> {
        let measured = self.figures.get("pages")?;
        Some(measured.named(start).map(|(_, figure)| figure).sum())
    }
}

fn seconds(time: f64) -> String {
    if time < 1.0 { format!("{time:.3} s") } else { format!("{time:.2} s") }
}

fn megabytes(bytes: f64) -> String {
    format!("{:.1} MB", bytes / 1e6)
}

/// Prints a line.
#[expect(clippy::print_stdout, reason = "this is where figures are printed")]
pub(crate) fn say(line: &str) {
    println!("{line}");
}

/// Prints every figure, a column for each library and place.
pub(crate) fn table(columns: &[Column]) {
    let row = |name: &str, cell: &dyn Fn(&Column) -> Option<String>| {
        let cells: String =
            columns.iter().map(|column| format!("{:>24}", cell(column).unwrap_or_else(|| "-".to_owned()))).collect();
        say(&format!("{name:<44}{cells}"));
    };
    say("\nTimes and ratios: median (least) of the quiet runs; `!` marks a figure with fewer than three of them.\n");
    row("", &|it| Some(format!("{} cases, {}", it.cases, it.place)));
    row("A: read, Markdown to HTML, write two pages", &|it| it.time("floor", "wall"));
    row("first compile, into an empty folder", &|it| it.time("first", "wall"));
    row("   divided by A", &|it| it.ratio(("first", "wall"), "floor"));
    row("   without search, divided by A", &|it| it.ratio(("searchless", "wall"), "floor"));
    row("one case changed", &|it| it.time("one", "wall"));
    row("   divided by the first compile", &|it| it.share("one", "first"));
    row("compile again, nothing changed", &|it| it.time("again", "wall"));
    row("   divided by A", &|it| it.ratio(("again", "wall"), "floor"));
    row("B: read, fold, stem and count the words", &|it| it.time("words", "wall"));
    row("index of the search, from checked cases", &|it| it.time("search", "index"));
    row("   divided by B", &|it| it.ratio(("search", "index"), "words"));
    say("the first compile, phase by phase");
    for phase in PHASES.into_iter().chain(["of it, sync"]) {
        row(&format!("   {phase}"), &|it| it.time("apart", phase));
    }
    row("   making all pages, none written", &|it| it.time("pages", "make pages"));
    say("most memory held");
    for (name, what) in [("A", "floor"), ("first compile", "first"), ("compile again", "again")] {
        row(&format!("   {name}"), &|it| it.memory(what));
    }
    for phase in PHASES {
        let held = format!("held after {phase}");
        row(&format!("   {held}"), &|it| Some(megabytes(it.figures.get("apart")?.median(&held)?)));
    }
    say("the library and its site");
    row("   distinct words in the cases", &|it| Some(it.words.to_string()));
    row("   source", &|it| it.pages("source").map(megabytes));
    row("   site", &|it| it.pages("bytes of ").map(megabytes));
    row("   bytes of site for a byte of source", &|it| {
        Some(format!("{:.1}", it.pages("bytes of ")? / it.pages("source")?))
    });
    for column in columns {
        let Some(pages) = column.figures.get("pages") else { continue };
        say(&format!("\nThe site of {} cases:", column.cases));
        for (name, bytes) in pages.named("bytes of ") {
            let count = pages.median(&format!("count of {name}")).unwrap_or(0.0);
            say(&format!("   {name:<30}{count:>8} files {:>12}", megabytes(bytes)));
        }
        for (name, size) in pages.named("largest ") {
            say(&format!("   The largest page is {name}, {:.0} KB.", size / 1e3));
        }
        for (name, size) in pages.named("over ") {
            say(&format!("   DEFECT: {name} is over 300 KB: {:.0} KB.", size / 1e3));
        }
    }
}

/// Prints how time and memory grow from the smallest library to each larger one.
pub(crate) fn growth(columns: &[Column]) {
    for larger in columns {
        let Some(smaller) = columns.iter().find(|it| it.place == larger.place && it.cases < larger.cases) else {
            continue;
        };
        let times = larger.cases as f64 / smaller.cases as f64;
        let growth = |what: &str, name: &str| {
            let (one, other) = (smaller.median(what, name), larger.median(what, name));
            one.zip(other).map_or_else(|| "-".to_owned(), |(one, other)| format!("{:.2}", other / one / times))
        };
        say(&format!(
            "\nFor each case, {} cases against {} on {} (1.00 is growth in step):",
            larger.cases, smaller.cases, larger.place
        ));
        for (name, what) in [("A", "floor"), ("first compile", "first"), ("compile again", "again")] {
            say(&format!("   {name:<16} time × {:>5}   memory × {:>5}", growth(what, "wall"), growth(what, "peak")));
        }
        for phase in PHASES {
            say(&format!("   {phase:<22} time × {}", growth("apart", phase)));
        }
        let more = larger.median("first", "peak").zip(smaller.median("first", "peak"));
        if let Some((large, small)) = more {
            let each = (large - small) / (larger.cases - smaller.cases) as f64;
            say(&format!("   Each further case holds {:.1} KB of memory in the first compile.", each / 1e3));
        }
    }
}
