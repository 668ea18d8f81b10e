//! What a rule is: its name, weight and explanation.

/// How heavy a finding is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// The file cannot be published as it is.
    Error,
    /// It can be published, but somebody should look first.
    Warning,
    /// It could be better.
    Advice,
}

impl Severity {
    /// The word shown to people and in JSON.
    pub fn word(self) -> &'static str {
        match self {
            Self::Error => "error",
            Self::Warning => "warning",
            Self::Advice => "advice",
        }
    }
}

/// One rule: everything that `casewright explain NAME` prints.
#[derive(Debug)]
pub struct Rule {
    /// Stable name, words joined by hyphens; it names the thing that is wrong.
    pub name: &'static str,
    /// How heavy a finding of this rule is.
    pub severity: Severity,
    /// What the rule looks for, one sentence.
    pub what: &'static str,
    /// Why it matters to the reader or the patient.
    pub why: &'static str,
    /// A short example that the rule complains about.
    pub instead_of: &'static str,
    /// The same, mended.
    pub write: &'static str,
    /// Where a limit comes from: a paper, a standard, or "common practice, no source". Empty if the rule has no limit of the trade.
    pub source: &'static str,
    /// Whether a report may quote the text found. False where the text itself may identify a person.
    pub quotes: bool,
}

impl Rule {
    /// The explanation as plain text for a terminal.
    pub fn explanation(&self) -> String {
        let indent =
            |text: &str| text.trim_matches('\n').lines().map(|line| format!("    {line}\n")).collect::<String>();
        let mut out =
            format!("{} ({})\n\n{}\n\nWhy it matters\n  {}\n", self.name, self.severity.word(), self.what, self.why);
        if !self.instead_of.is_empty() {
            out.push_str(&format!("\nInstead of\n{}Write\n{}", indent(self.instead_of), indent(self.write)));
        }
        if !self.source.is_empty() {
            out.push_str(&format!("\nSource\n  {}\n", self.source));
        }
        out
    }
}
