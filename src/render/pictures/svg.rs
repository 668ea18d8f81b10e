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
        Self::begun(&format!("class=\"{class}\" role=\"img\""), view, name)
    }

    /// A drawing of a fixed size in CSS pixels, with links in it: a single picture to assistive technology would hide them.
    pub(super) fn with_links(class: &str, view: (f64, f64, f64, f64), name: &str) -> Self {
        let size = format!("width=\"{}\" height=\"{}\"", num(view.2), num(view.3));
        Self::begun(&format!("class=\"{class}\" {size} role=\"group\""), view, name)
    }

    fn begun(attributes: &str, (left, top, width, height): (f64, f64, f64, f64), name: &str) -> Self {
        let mut out = String::with_capacity(4096);
        let _ = write!(
            out,
            "<svg {attributes} viewBox=\"{} {} {} {}\" aria-label=\"{}\">",
            num(left),
            num(top),
            num(width),
            num(height),
            escape(name)
        );
        Self { out }
    }

    /// An element without its end. An empty class is left out, and so is a coordinate of nought, which is what it means.
    fn open(&mut self, element: &str, class: &str, numbers: &[(&str, f64)]) {
        let _ = write!(self.out, "<{element}");
        if !class.is_empty() {
            let _ = write!(self.out, " class=\"{class}\"");
        }
        for (name, value) in numbers {
            let value = num(*value);
            if value != "0" {
                let _ = write!(self.out, " {name}=\"{value}\"");
            }
        }
    }

    pub(super) fn circle(&mut self, class: &str, (x, y): (f64, f64), radius: f64) {
        self.open("circle", class, &[("cx", x), ("cy", y), ("r", radius)]);
        self.out.push_str("/>");
    }

    pub(super) fn line(&mut self, class: &str, from: (f64, f64), to: (f64, f64)) {
        self.open("line", class, &[("x1", from.0), ("y1", from.1), ("x2", to.0), ("y2", to.1)]);
        self.out.push_str("/>");
    }

    pub(super) fn rect(&mut self, class: &str, corner: (f64, f64), size: (f64, f64)) {
        self.open("rect", class, &[("x", corner.0), ("y", corner.1), ("width", size.0), ("height", size.1)]);
        self.out.push_str("/>");
    }

    /// A closed shape, or an open line of several pieces.
    pub(super) fn path(&mut self, class: &str, points: &[(f64, f64)], closed: bool) {
        self.open("path", class, &[]);
        self.out.push_str(" d=\"");
        self.points(points);
        self.out.push_str(if closed { "Z\"/>" } else { "\"/>" });
    }

    /// Several straight lines that look alike.
    pub(super) fn lines(&mut self, class: &str, lines: &[[(f64, f64); 2]]) {
        self.open("path", class, &[]);
        self.out.push_str(" d=\"");
        for line in lines {
            self.points(line);
        }
        self.out.push_str("\"/>");
    }

    fn points(&mut self, points: &[(f64, f64)]) {
        for (at, (x, y)) in points.iter().enumerate() {
            let _ = write!(self.out, "{}{} {}", if at == 0 { "M" } else { "L" }, num(*x), num(*y));
        }
    }

    /// An arc of a circle about the origin between two points on it, against the clock as drawn.
    pub(super) fn arc(&mut self, class: &str, from: (f64, f64), to: (f64, f64), radius: f64, long: bool) {
        self.open("path", class, &[]);
        let _ = write!(
            self.out,
            " d=\"M{} {}A{r} {r} 0 {} 0 {} {}\"/>",
            num(from.0),
            num(from.1),
            u8::from(long),
            num(to.0),
            num(to.1),
            r = num(radius)
        );
    }

    /// Words; `class` also says how they are anchored.
    pub(super) fn text(&mut self, class: &str, (x, y): (f64, f64), words: &str) {
        self.open("text", class, &[("x", x), ("y", y)]);
        let _ = write!(self.out, ">{}</text>", escape(words));
    }

    /// A link with a name, whose content is drawn about a point.
    pub(super) fn open_link(&mut self, href: &str, (x, y): (f64, f64), name: &str) {
        let _ = write!(
            self.out,
            "<a href=\"{}\" transform=\"translate({} {})\"><title>{}</title>",
            escape(href),
            num(x),
            num(y),
            escape(name)
        );
    }

    /// A part that a later drawing of the page takes in by its name. It bears the class of its drawing: where it is
    /// taken in, style rules see it and what is in it, and nothing around it.
    pub(super) fn open_group(&mut self, class: &str, name: &str) {
        let _ = write!(self.out, "<g class=\"{class}\" id=\"{name}\">");
    }

    pub(super) fn close_group(&mut self) {
        self.out.push_str("</g>");
    }

    /// Takes in a part of an earlier drawing of the same page.
    pub(super) fn repeat(&mut self, name: &str) {
        let _ = write!(self.out, "<use href=\"#{name}\"/>");
    }

    pub(super) fn close_link(&mut self) {
        self.out.push_str("</a>");
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
    fn words_are_escaped_and_noughts_left_out() {
        let mut svg = Svg::new("x", (0.0, 0.0, 10.0, 10.0), "a \"b\"");
        svg.text("t", (1.0, 0.02), "<&>");
        svg.circle("", (0.0, 0.0), 3.0);
        assert_eq!(
            svg.done(),
            "<svg class=\"x\" role=\"img\" viewBox=\"0 0 10 10\" aria-label=\"a &quot;b&quot;\">\
             <text class=\"t\" x=\"1\">&lt;&amp;&gt;</text><circle r=\"3\"/></svg>"
        );
    }
}
