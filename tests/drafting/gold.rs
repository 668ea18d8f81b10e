//! What a listener would write down, as annotated before the program was written.

use crate::support::root;
use serde_json::Value;

/// An annotated narration.
pub(crate) struct Gold {
    /// Its name.
    pub(crate) name: String,
    /// The narration's file.
    pub(crate) file: String,
    /// Whether nobody looked at its mistakes while building.
    pub(crate) held_back: bool,
    fields: Value,
}

/// Every annotated narration of the first set, in order of name.
pub(crate) fn all() -> Vec<Gold> {
    let all = within("");
    assert!(all.len() >= 12, "{}", all.len());
    all
}

/// Every annotated narration of a folder below `tests/narrations/`, in order of name.
pub(crate) fn within(set: &str) -> Vec<Gold> {
    let folder = root().join("tests/narrations").join(set);
    let mut names: Vec<String> = std::fs::read_dir(&folder)
        .expect("the folder opens")
        .filter_map(|entry| {
            entry.expect("an entry").file_name().to_str()?.strip_suffix(".gold.yaml").map(str::to_owned)
        })
        .collect();
    names.sort();
    names
        .into_iter()
        .map(|name| {
            let text = std::fs::read_to_string(folder.join(format!("{name}.gold.yaml"))).expect("a text");
            let fields: Value = serde_yaml::from_str(&text).unwrap_or_else(|why| panic!("{name}: {why}"));
            let ending =
                ["vtt", "srt", "txt"].into_iter().find(|ending| folder.join(format!("{name}.{ending}")).exists());
            Gold {
                file: format!(
                    "{set}{}{name}.{}",
                    if set.is_empty() { "" } else { "/" },
                    ending.expect("the narration beside it")
                ),
                held_back: fields["held_back"].as_bool().unwrap_or(false),
                name,
                fields,
            }
        })
        .collect()
}

/// A scalar as it was written, but for the form of numbers.
fn text(value: &Value) -> String {
    value.as_str().map_or_else(|| value.to_string(), str::to_owned)
}

impl Gold {
    /// A list of texts.
    pub(crate) fn list(&self, field: &str) -> Vec<String> {
        self.fields[field].as_array().map_or_else(Vec::new, |items| items.iter().map(text).collect())
    }

    /// A count.
    pub(crate) fn count(&self, field: &str) -> usize {
        self.fields[field].as_u64().and_then(|count| usize::try_from(count).ok()).unwrap_or(0)
    }

    /// Quantities as pairs of what and value.
    pub(crate) fn quantities(&self) -> Vec<(String, String)> {
        let items = self.fields["quantities"].as_array().expect("quantities");
        items
            .iter()
            .flat_map(|item| {
                item.as_object().expect("what and value").iter().map(|(what, value)| (what.clone(), text(value)))
            })
            .collect()
    }

    /// What went wrong, with the steps that may be taken for the one in which it did.
    pub(crate) fn faults(&self) -> Vec<(String, Vec<String>)> {
        let items = self.fields["faults"].as_array().map_or(&[][..], Vec::as_slice);
        items
            .iter()
            .map(|item| {
                let during = item["during"].as_array().expect("steps").iter().map(text).collect();
                (text(&item["is"]), during)
            })
            .collect()
    }

    /// What was done about it.
    pub(crate) fn answers(&self) -> Vec<(String, Vec<String>)> {
        let Some(answers) = self.fields["answers"].as_object() else { return Vec::new() };
        answers
            .iter()
            .map(|(trouble, list)| (trouble.clone(), list.as_array().expect("answers").iter().map(text).collect()))
            .collect()
    }
}
