//! Packing long lists into pages of bounded size.

use std::ops::Range;

/// Bytes of entries that one page of a list may hold; with the frame around them a page stays far below 300 KB.
pub(crate) const PAGE_BUDGET: usize = 150_000;

/// Cuts a list with the given sizes into consecutive ranges whose sizes add up to at most `budget`.
///
/// There is always at least one range, and an entry larger than the budget stands alone.
pub(crate) fn pack(sizes: impl IntoIterator<Item = usize>, budget: usize) -> Vec<Range<usize>> {
    let mut ranges = Vec::new();
    let (mut start, mut sum, mut len) = (0, 0usize, 0);
    for (at, size) in sizes.into_iter().enumerate() {
        if at > start && sum + size > budget {
            ranges.push(start..at);
            (start, sum) = (at, 0);
        }
        sum += size;
        len = at + 1;
    }
    ranges.push(start..len);
    ranges
}

/// The file stem of the `number`th page (from 1) of a list: `cases`, `cases-2`, …
///
/// `taken` tells whether another page has that stem by itself; then the page is called `cases-part-2`.
pub(crate) fn stem(base: &str, number: usize, taken: impl Fn(&str) -> bool) -> String {
    if number == 1 {
        return base.to_owned();
    }
    let plain = format!("{base}-{number}");
    if taken(&plain) { format!("{base}-part-{number}") } else { plain }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pages_are_filled_to_the_budget_and_lose_nothing() {
        assert_eq!(pack([40, 40, 40, 10], 100), vec![0..2, 2..4]);
        assert_eq!(pack([], 100), vec![0..0]);
        assert_eq!(pack([500, 1, 500], 100), vec![0..1, 1..2, 2..3]);
    }

    #[test]
    fn a_later_page_never_takes_the_name_of_another_concept() {
        assert_eq!(stem("grade", 1, |_| false), "grade");
        assert_eq!(stem("grade", 2, |_| false), "grade-2");
        assert_eq!(stem("grade", 2, |name| name == "grade-2"), "grade-part-2");
    }
}
