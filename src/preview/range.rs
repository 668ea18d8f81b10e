//! A part of a file, as a browser asks for it. Source: RFC 9110, section 14.

use std::ops::Range;

/// What of a file is wanted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Wanted {
    /// All of it: nothing was asked for, or something that a server may leave unheeded.
    Whole,
    /// These bytes.
    Part(Range<u64>),
    /// Bytes that it does not have.
    Beyond,
}

/// Reads a `Range` field for a file of so many bytes. Several ranges at once, other units and what cannot be read are left
/// unheeded, as section 14.2 allows.
pub(super) fn wanted(field: &str, size: u64) -> Wanted {
    let Some((from, to)) = field.split_once('=').and_then(|(unit, set)| {
        unit.trim().eq_ignore_ascii_case("bytes").then_some(set.trim()).and_then(|set| set.split_once('-'))
    }) else {
        return Wanted::Whole;
    };
    let number = |text: &str| -> Option<Option<u64>> {
        match text {
            "" => Some(None),
            // A number too large to count is still a number.
            digits if digits.bytes().all(|byte| byte.is_ascii_digit()) => {
                Some(Some(digits.parse().unwrap_or(u64::MAX)))
            }
            _ => None,
        }
    };
    match (number(from), number(to)) {
        (Some(Some(from)), Some(to)) if to.is_none_or(|to| to >= from) => {
            if from < size {
                Wanted::Part(from..to.map_or(size, |to| to.saturating_add(1).min(size)))
            } else {
                Wanted::Beyond
            }
        }
        (Some(None), Some(Some(last))) => {
            if last > 0 && size > 0 {
                Wanted::Part(size.saturating_sub(last)..size)
            } else {
                Wanted::Beyond
            }
        }
        _ => Wanted::Whole,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_examples_of_the_standard_hold() {
        // RFC 9110, section 14.1.2, over a representation of 10,000 bytes.
        assert_eq!(wanted("bytes=0-499", 10_000), Wanted::Part(0..500));
        assert_eq!(wanted("bytes=500-999", 10_000), Wanted::Part(500..1000));
        assert_eq!(wanted("bytes=-500", 10_000), Wanted::Part(9_500..10_000));
        assert_eq!(wanted("bytes=9500-", 10_000), Wanted::Part(9_500..10_000));
        assert_eq!(wanted("bytes=-99999", 10_000), Wanted::Part(0..10_000));
        assert_eq!(wanted("bytes=10000-", 10_000), Wanted::Beyond);
        assert_eq!(wanted("bytes=-0", 10_000), Wanted::Beyond);
        assert_eq!(wanted("bytes=0-", 0), Wanted::Beyond);
        assert_eq!(wanted("bytes=0-99999999999999999999999", 10), Wanted::Part(0..10));
        for unheeded in ["bytes=0-0,-1", "bytes=5-2", "bytes=-", "bytes=a-b", "bytes", "lines=0-1", "bytes=0-1-2"] {
            assert_eq!(wanted(unheeded, 10_000), Wanted::Whole, "{unheeded}");
        }
    }
}
