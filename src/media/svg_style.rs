//! What a drawing says in the language of style sheets: it must not fetch anything, and its comments go.
//!
//! Sources: W3C, CSS Syntax 3, for comments, strings and escapes; CSS Images 4 and CSS Values 5, for what fetches.

/// What starts a request, wherever it stands. A backslash could hide any of them.
const FETCHES: &[&str] = &[
    "image-set(",
    "image(",
    "cross-fade(",
    "element(",
    "src(",
    "expression(",
    "//",
    "\\",
    "data:",
    "javascript:",
    "http:",
    "https:",
    "file:",
    "ftp:",
    "blob:",
    "filesystem:",
];
/// Rules of a sheet that only say when others hold, or how something moves.
const AT_RULES: &[&str] = &["@media", "@supports", "@keyframes", "@-webkit-keyframes", "@font-face"];

/// Whether a sheet, a declaration or an attribute that may hold one is still what it seems when it is drawn: it fetches
/// nothing, and has no comment that could hide from this look what a browser sees, or the other way round.
pub(super) fn is_harmless(text: &str) -> bool {
    let lower = text.to_ascii_lowercase();
    let elsewhere =
        |(at, _): (usize, &str)| !lower[at + "url(".len()..].trim_start_matches([' ', '"', '\'']).starts_with('#');
    let other_rule = |(at, _): (usize, &str)| {
        let rest = &lower[at..];
        let end = rest[1..].find(|letter: char| !letter.is_ascii_alphanumeric() && letter != '-');
        !AT_RULES.contains(&end.map_or(rest, |end| &rest[..=end]))
    };
    !(FETCHES.iter().any(|word| lower.contains(word))
        || ["/*", "*/", "<!--"].iter().any(|word| lower.contains(word))
        || lower.match_indices("url(").any(elsewhere)
        || lower.match_indices('@').any(other_rule)
        || lower.split(['"', '\'']).skip(1).any(names_a_scheme))
}

/// Whether what stands in quotes is an address: letters and a colon at its beginning. Source: RFC 3986, section 3.1.
fn names_a_scheme(quoted: &str) -> bool {
    let Some((scheme, _)) = quoted.trim_start().split_once(':') else { return false };
    scheme.starts_with(|letter: char| letter.is_ascii_lowercase())
        && scheme.bytes().all(|byte| matches!(byte, b'a'..=b'z' | b'0'..=b'9' | b'+' | b'.' | b'-'))
}

/// The text without its comments. One in quotes is none; one that does not end goes on to the end.
pub(super) fn without_comments(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut quote = None;
    let mut rest = text;
    while let Some(letter) = rest.chars().next() {
        match quote {
            None if rest.starts_with("/*") => {
                // What a comment parts stays parted.
                out.push(' ');
                rest = rest[2..].find("*/").map_or("", |end| &rest[end + 4..]);
                continue;
            }
            None if matches!(letter, '"' | '\'') => quote = Some(letter),
            // A string ends with its line at the latest.
            Some(open) if letter == open || letter == '\n' => quote = None,
            _ => {}
        }
        out.push(letter);
        rest = &rest[letter.len_utf8()..];
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_fetches_is_not_harmless() {
        for text in [
            "@import 'a.css';",
            "@IMPORT url(#a);",
            "@\u{69}mport 'a'",
            "@i\\6dport 'a'",
            "fill: url(http://example.org/a)",
            "fill: url( \"a.svg#b\")",
            "mask-image: image-set('a.png' 1x)",
            "mask-image: -webkit-image-set('a.png' 1x)",
            "background: src('a.png')",
            "background: image('a.png')",
            "content: '//example.org'",
            "@font-face { src: 'gopher:x' }",
            "x: \"urn:a\"",
            "@namespace a 'b';",
            "@font-facet { }",
            "a: '/*'; b: '*/'",
        ] {
            assert!(!is_harmless(text), "{text}");
        }
        for text in [
            "",
            "none",
            "fill: url(#a); stroke: url( '#b' )",
            ".a:hover, g::before { content: 'a b'; fill: #123456 }",
            "@media (min-width: 20em) { a { fill: red } }",
            "@keyframes turn { to { opacity: 0 } }",
            "font-family: \"A b\", 'C', serif; color: red",
        ] {
            assert!(is_harmless(text), "{text}");
        }
    }

    #[test]
    fn comments_go_and_quotes_stay() {
        for (text, left) in [
            ("a/* b */c", "a c"),
            ("/* b", " "),
            ("a: '/* b */'; /**/c", "a: '/* b */';  c"),
            ("a: '\n/* b */", "a: '\n "),
            ("/*/ b */c", " c"),
            ("a/b*c", "a/b*c"),
        ] {
            assert_eq!(without_comments(text), left, "{text}");
        }
    }
}
