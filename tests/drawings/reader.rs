//! Reads the drawings of a page with an XML reader: flat lists of elements, parts taken in from earlier drawings put in.

use std::collections::BTreeMap;

/// A point in a drawing: to the right, and down.
pub(super) type Point = (f64, f64);

/// An element that draws something, with the move of the link about it already in its numbers.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Item {
    pub(super) tag: String,
    /// Its class, or none.
    pub(super) class: String,
    attributes: BTreeMap<String, String>,
    /// Its text.
    pub(super) words: String,
    /// The link it stands in, and that link's name.
    pub(super) link: Option<(String, String)>,
    moved: Point,
}

/// A drawing.
#[derive(Debug, Clone)]
pub(super) struct Drawing {
    pub(super) class: String,
    /// What it says to those who cannot see it.
    pub(super) label: String,
    pub(super) role: String,
    pub(super) width: f64,
    pub(super) items: Vec<Item>,
}

/// The code of every drawing of a page, in order.
pub(super) fn codes(page: &str) -> Vec<&str> {
    let mut found = Vec::new();
    let mut rest = page;
    while let Some(begin) = rest.find("<svg") {
        let end = begin + rest[begin..].find("</svg>").expect("every drawing ends") + "</svg>".len();
        found.push(&rest[begin..end]);
        rest = &rest[end..];
    }
    found
}

/// Every drawing of a page, in order.
pub(super) fn drawings(page: &str) -> Vec<Drawing> {
    let mut parts: BTreeMap<String, Vec<Item>> = BTreeMap::new();
    codes(page)
        .into_iter()
        .map(|code| {
            let tree = roxmltree::Document::parse(code).unwrap_or_else(|why| panic!("{why}\n{code}"));
            let root = tree.root_element();
            let mut items = Vec::new();
            gather(root, (0.0, 0.0), None, &mut parts, &mut items);
            let get = |name: &str| root.attribute(name).unwrap_or_default().to_owned();
            let view: Vec<f64> = numbers(&get("viewBox"));
            Drawing { class: get("class"), label: get("aria-label"), role: get("role"), width: view[2], items }
        })
        .collect()
}

/// The drawings of one kind.
pub(super) fn of_kind(page: &str, class: &str) -> Vec<Drawing> {
    drawings(page).into_iter().filter(|drawing| drawing.class == class).collect()
}

fn gather(
    node: roxmltree::Node<'_, '_>,
    moved: Point,
    link: Option<&(String, String)>,
    parts: &mut BTreeMap<String, Vec<Item>>,
    items: &mut Vec<Item>,
) {
    for child in node.children().filter(roxmltree::Node::is_element) {
        let get = |name: &str| child.attribute(name).unwrap_or_default().to_owned();
        match child.tag_name().name() {
            "title" => {}
            "use" => {
                let name = get("href");
                let part = parts.get(name.trim_start_matches('#'));
                items.extend(part.unwrap_or_else(|| panic!("{name} is not drawn before it is taken in")).clone());
            }
            "g" => {
                let begin = items.len();
                gather(child, moved, link, parts, items);
                let name = get("id");
                assert!(!name.is_empty(), "a group is there to be taken in");
                assert!(parts.insert(name.clone(), items[begin..].to_vec()).is_none(), "{name} is drawn twice");
            }
            "a" => {
                let by = numbers(&get("transform"));
                let name = child.children().find(|it| it.has_tag_name("title")).and_then(|it| it.text());
                let link = (get("href"), name.unwrap_or_default().to_owned());
                gather(child, (moved.0 + by[0], moved.1 + by[1]), Some(&link), parts, items);
            }
            tag => items.push(Item {
                tag: tag.to_owned(),
                class: get("class"),
                attributes: child.attributes().map(|it| (it.name().to_owned(), it.value().to_owned())).collect(),
                words: child.text().unwrap_or_default().to_owned(),
                link: link.cloned(),
                moved,
            }),
        }
    }
}

/// Every number in a text.
fn numbers(text: &str) -> Vec<f64> {
    text.split(|letter: char| !letter.is_ascii_digit() && letter != '.' && letter != '-')
        .filter(|piece| !piece.is_empty())
        .map(|piece| piece.parse().unwrap_or_else(|why| panic!("{piece}: {why}")))
        .collect()
}

impl Item {
    /// A number; what is not said is nought.
    pub(super) fn number(&self, name: &str) -> f64 {
        self.attributes.get(name).map_or(0.0, |value| value.parse().expect("a number"))
    }

    /// The points it is drawn through: a circle's centre, a line's ends, a text's foot, every point of a path.
    pub(super) fn points(&self) -> Vec<Point> {
        let at = |x: &str, y: &str| (self.number(x), self.number(y));
        let points = match self.tag.as_str() {
            "circle" => vec![at("cx", "cy")],
            "line" => vec![at("x1", "y1"), at("x2", "y2")],
            "text" => vec![at("x", "y")],
            "rect" => {
                let (x, y) = at("x", "y");
                vec![(x, y), (x + self.number("width"), y + self.number("height"))]
            }
            "path" => {
                let path = &self.attributes["d"];
                match path.split_once('A') {
                    // Radii, turn and flags of an arc are no points.
                    Some((begin, arc)) => {
                        let (begin, arc) = (numbers(begin), numbers(arc));
                        vec![(begin[0], begin[1]), (arc[5], arc[6])]
                    }
                    None => numbers(path).chunks(2).map(|pair| (pair[0], pair[1])).collect(),
                }
            }
            other => panic!("<{other}> is not known here"),
        };
        points.into_iter().map(|(x, y)| (x + self.moved.0, y + self.moved.1)).collect()
    }

    /// Radius, whether it is the long way, and whether it runs with the clock, of an arc.
    pub(super) fn arc(&self) -> Option<(f64, bool, bool)> {
        let arc = numbers(self.attributes.get("d")?.split_once('A')?.1);
        Some((arc[0], arc[3] == 1.0, arc[4] == 1.0))
    }
}

impl Drawing {
    /// The elements with a class, in order.
    pub(super) fn all(&self, class: &str) -> Vec<&Item> {
        self.items.iter().filter(|item| item.class.split(' ').any(|it| it == class)).collect()
    }
}
