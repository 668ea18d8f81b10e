//! Drawings: what could show something else than before is refused, and every word that stays can be searched.

use super::{clean, holds, walk};

/// A drawing that holds this.
fn drawing(inner: &str) -> String {
    format!("<svg xmlns=\"http://www.w3.org/2000/svg\" xmlns:xlink=\"http://www.w3.org/1999/xlink\">{inner}</svg>")
}

#[test]
fn drawings_that_could_show_something_else_are_refused() {
    for inner in [
        "<script>1</script>",
        "<g onclick=\"x()\"/>",
        "<foreignObject/>",
        "<image href=\"data:image/png;base64,AA\"/>",
        "<use href=\"other.svg#a\"/>",
        "<use xlink:href=\"http://example.org/#a\"/>",
        "<rect fill=\"url(http://example.org/a)\"/>",
        "<style>@import 'a.css';</style>",
        "<rect style=\"fill: u\\72l(http://example.org/a)\"/>",
        "<a href=\"#b\"/>",
        "&unknown;",
        // Chromium asked for all of these when it opened the drawing by itself.
        "<style>&#64;import 'http://example.org/a.css';</style>",
        "<style>@imp<![CDATA[ort 'http://example.org/a.css']]>;</style>",
        "<style>@imp<!-- a -->ort 'a.css';</style>",
        "<style>@imp<g/>ort 'a.css';</style>",
        "<style>@imp<metadata/>ort 'a.css';</style>",
        "<style>a{mask-image:image-set('http://example.org/a' 1x)}</style>",
        "<rect style=\"mask-image:-webkit-image-set('a.png' 1x)\"/>",
        "<rect style=\"mask-image:src('a.png')\"/>",
        "<style>a{content:'/*'} @import 'a.css'; b{content:'*/'}</style>",
        "<style>a{fill:u\\72l(http://example.org/a)}</style>",
    ] {
        assert!(walk(drawing(inner).as_bytes()).is_err(), "{inner}");
    }
    for second in ["<svg/>", "<g/>", "<text>Mr Smith</text>", "Mr Smith"] {
        assert!(walk((drawing("<g/>") + second).as_bytes()).is_err(), "{second}");
    }
    let drawn = drawing("<title>Mr Smith</title><rect fill=\"url(#a)\"/><use href=\"#b\"/>");
    let (facts, recipe) = walk(drawn.as_bytes()).expect("it is sound");
    assert!(facts.words.iter().any(|words| words.contains("Mr Smith")), "{:?}", facts.words);
    assert!(holds(&clean(drawn.as_bytes(), &recipe), b"url(#a)"));
}

#[test]
fn what_stays_of_a_drawing_can_be_read() {
    // Every place in which a drawing keeps words: they are searched, or they go.
    for (inner, searched) in [
        ("<g data-patient=\"Mr Smith\"/>", false),
        ("<style>/* Mr Smith */ a{fill:red}</style>", false),
        ("<rect style=\"fill:red/* Mr Smith */\"/>", false),
        ("<metadata>Mr Smith</metadata>", false),
        ("<style>.a{font-family:'Mr Smith'}</style>", true),
        ("<style>.a{font-<![CDATA[family:'Mr Sm]]>i&#116;h'}</style>", true),
        ("<rect style=\"--x: Mr Smith\"/>", true),
        ("<text font-family=\"Mr Smith\">a</text>", true),
        ("<g xml:lang=\"Mr Smith\"/>", true),
        ("<g systemLanguage=\"Mr Smith\"/>", true),
        ("<use href=\"#Mr-Smith\"/>", true),
        ("<g id=\"Mr_Smith\"/>", true),
        ("<g aria-label=\"Mr Smith\"/>", true),
        ("<g Mr-Smith=\"1\"/>", true),
        ("<path d=\"M0 0 Mr Smith\"/>", true),
        ("<text><tspan>M</tspan><tspan>r Sm</tspan><tspan>ith</tspan></text>", true),
        ("<text><tspan>Mr</tspan><tspan>Smith</tspan></text>", true),
        ("<text>M&#114; Smith</text>", true),
    ] {
        let drawn = drawing(inner);
        let (facts, recipe) = walk(drawn.as_bytes()).unwrap_or_else(|why| panic!("{inner}: {why}"));
        let copied = clean(drawn.as_bytes(), &recipe);
        assert_eq!(facts.words.iter().any(|words| words.contains("Mr Smith")), searched, "{inner}: {:?}", facts.words);
        assert!(searched || !holds(&copied, b"Smith"), "{inner}");
        let (again, recipe) = walk(&copied).unwrap_or_else(|why| panic!("{inner}, the copy: {why}"));
        assert_eq!(again.words, facts.words, "{inner}");
        assert!(clean(&copied, &recipe) == copied, "{inner}: the copy of the copy differs");
    }
    // What only draws is left as it is, and is no words.
    for inner in [
        "<path d=\"M10 20.12345678l-3-4 5e-1.5zM0 0\"/>",
        "<g transform=\"translate(600 800) rotate(45, 1000 1000)\"/>",
        "<rect x=\"600 800 1000\"/>",
        "<style>.a:hover{fill:url(#b);content:'a &gt; b'}</style>",
    ] {
        let drawn = drawing(inner);
        let (facts, recipe) = walk(drawn.as_bytes()).unwrap_or_else(|why| panic!("{inner}: {why}"));
        assert!(!facts.words.iter().any(|words| words.contains("00 ") || words.contains("12345")), "{:?}", facts.words);
        let copied = String::from_utf8(clean(drawn.as_bytes(), &recipe)).expect("it is text");
        assert!(copied.replace("&apos;", "'").contains(inner), "{copied}");
    }
}
