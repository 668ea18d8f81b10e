//! What a library says of itself.

/// The contents of `library.yaml`.
#[derive(Debug, Clone, Default)]
pub struct Library {
    /// Its name.
    pub title: String,
    /// The unit that publishes it.
    pub unit: Option<String>,
    /// What it is and for whom.
    pub description: Option<String>,
    /// Edition, a year or a year and month.
    pub edition: Option<String>,
    /// How its cases were chosen.
    pub selection: Option<String>,
    /// Whom to tell about a mistake: a role.
    pub contact: Option<String>,
    /// Language tag of its text.
    pub language: String,
}
