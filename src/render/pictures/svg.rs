//! The little that our drawings need of SVG. No style attribute ever: the page's policy forbids it.

use crate::text::escape;
use std::fmt::Write as _;

/// A drawing that grows.
pub(super) struct Svg {
    out: String,
}

/// A number with at most one decimal, the same on every platform.
pub(super) fn num(value: f64) -> String {
    let tenths = libm::round(value * 10.0) as i64;
    let (sign, tenths) = if tenths < 0 { ("-", -tenths) } else { ("", tenths) };
    match tenths % 10 {
        0 => format!("{sign}{}", tenths / 10),
        rest => format!("{sign}{}.{rest}", tenths / 10),
    }
}

impl Svg {
    /// A drawing with a name for those who cannot see it. `view` is left, top, width, height.
    pub(super) fn new(class: &str, view: (f64, f64, f64, f64), name: &str) -> Self {
        Self::with_role("img", class, view, name)
    }

    /// A drawing with links in it: a single picture to assistive technology would hide them.
    pub(super) fn with_links(class: &str, view: (f64, f64, f64, f64), name: &str) -> Self {
        Self::with_role("group", class, view, name)
    }

    fn with_role(role: &str, class: &str, view: (f64, f64, f64, f64), name: &str) -> Self {
        let (left, top, width, height) = view;
        let mut out = String::with_capacity(4096);
        let _ = write!(
            out,
            "<svg class=\"{class}\" viewBox=\"{} {} {} {}\" role=\"{role}\" aria-label=\"{}\" focusable=\"false\">",
            num(left),
            num(top),
            num(width),
            num(height),
            escape(name)
        );
        Self { out }
    }

    pub(super) fn circle(&mut self, class: &str, centre: (f64, f64), radius: f64) {
        let (x, y) = centre;
        let _ =
            write!(self.out, "<circle class=\"{class}\" cx=\"{}\" cy=\"{}\" r=\"{}\"/>", num(x), num(y), num(radius));
    }

    pub(super) fn line(&mut self, class: &str, from: (f64, f64), to: (f64, f64)) {
        let _ = write!(
            self.out,
            "<line class=\"{class}\" x1=\"{}\" y1=\"{}\" x2=\"{}\" y2=\"{}\"/>",
            num(from.0),
            num(from.1),
            num(to.0),
            num(to.1)
        );
    }

    pub(super) fn rect(&mut self, class: &str, corner: (f64, f64), size: (f64, f64)) {
        let _ = write!(
            self.out,
            "<rect class=\"{class}\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"/>",
            num(corner.0),
            num(corner.1),
            num(size.0),
            num(size.1)
        );
    }

    /// A closed shape, or an open line of several pieces.
    pub(super) fn path(&mut self, class: &str, points: &[(f64, f64)], closed: bool) {
        let _ = write!(self.out, "<path class=\"{class}\" d=\"");
        for (at, (x, y)) in points.iter().enumerate() {
            let _ = write!(self.out, "{}{} {}", if at == 0 { "M" } else { "L" }, num(*x), num(*y));
        }
        self.out.push_str(if closed { "Z\"/>" } else { "\"/>" });
    }

    /// An arc of a circle about the origin between two points on it, against the clock as drawn.
    pub(super) fn arc(&mut self, class: &str, from: (f64, f64), to: (f64, f64), radius: f64, long: bool) {
        let _ = write!(
            self.out,
            "<path class=\"{class}\" d=\"M{} {}A{r} {r} 0 {} 0 {} {}\"/>",
            num(from.0),
            num(from.1),
            u8::from(long),
            num(to.0),
            num(to.1),
            r = num(radius)
        );
    }

    /// Words; `class` also says how they are anchored.
    pub(super) fn text(&mut self, class: &str, at: (f64, f64), words: &str) {
        let _ = write!(
            self.out,
            "<text class=\"{class}\" x=\"{}\" y=\"{}\">{}</text>",
            num(at.0),
            num(at.1),
            escape(words)
        );
    }

    pub(super) fn open_link(&mut self, href: &str) {
        let _ = write!(self.out, "<a href=\"{}\">", escape(href));
    }

    pub(super) fn close_link(&mut self) {
        self.out.push_str("</a>");
    }

    /// A name for the element that is open, such as a link.
    pub(super) fn title(&mut self, words: &str) {
        let _ = write!(self.out, "<title>{}</title>", escape(words));
    }

    pub(super) fn done(mut self) -> String {
        self.out.push_str("</svg>");
        self.out
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_keep_one_decimal_and_no_minus_nought() {
        for (value, shown) in [(1.0, "1"), (-0.04, "0"), (0.25, "0.3"), (-12.34, "-12.3"), (99.96, "100")] {
            assert_eq!(num(value), shown);
        }
    }

    #[test]
    fn words_are_escaped() {
        let mut svg = Svg::new("x", (0.0, 0.0, 10.0, 10.0), "a \"b\"");
        svg.text("t", (1.0, 2.0), "<&>");
        assert_eq!(
            svg.done(),
            "<svg class=\"x\" viewBox=\"0 0 10 10\" role=\"img\" aria-label=\"a &quot;b&quot;\" focusable=\"false\">\
             <text class=\"t\" x=\"1\" y=\"2\">&lt;&amp;&gt;</text></svg>"
        );
    }
}
