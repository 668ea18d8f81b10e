//! A table: columns that say what they hold, rows of cells, and what the Data Package descriptor tells of it.

use super::csv;
use crate::model::measure::{Number, Quantity, Unit};
use crate::text::Spanned;
use serde_json::{Value, json};
use std::fmt::Display;

/// What a column holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Holds {
    Text,
    Number,
    Whole,
    Truth,
}

/// A column.
#[derive(Debug, Clone)]
pub(super) struct Column {
    name: String,
    holds: Holds,
    says: String,
    unit: Option<&'static str>,
    must: bool,
    one_of: Vec<String>,
    bounds: Option<(f64, f64)>,
}

impl Column {
    fn new(name: impl Into<String>, holds: Holds, says: impl Into<String>) -> Self {
        Self { name: name.into(), holds, says: says.into(), unit: None, must: false, one_of: Vec::new(), bounds: None }
    }

    /// Every row has a value.
    pub(super) fn must(mut self) -> Self {
        self.must = true;
        self
    }

    /// The values there can be.
    pub(super) fn one_of(mut self, words: impl IntoIterator<Item = impl Into<String>>) -> Self {
        self.one_of = words.into_iter().map(Into::into).collect();
        self
    }

    /// The least and the greatest value.
    pub(super) fn between(mut self, least: f64, most: f64) -> Self {
        self.bounds = Some((least, most));
        self
    }

    /// The unit of its numbers.
    fn unit(mut self, unit: &'static str) -> Self {
        self.unit = Some(unit);
        self
    }

    fn descriptor(&self) -> Value {
        let kind = match self.holds {
            Holds::Text => "string",
            Holds::Number => "number",
            Holds::Whole => "integer",
            Holds::Truth => "boolean",
        };
        let says = match self.unit {
            Some(unit) => format!("{} In {unit}.", self.says),
            None => self.says.clone(),
        };
        let mut field = json!({"name": self.name, "type": kind, "description": says});
        if let Some(unit) = self.unit {
            field["unit"] = json!(unit);
        }
        let mut constraints = json!({});
        if self.must {
            constraints["required"] = json!(true);
        }
        if !self.one_of.is_empty() {
            constraints["enum"] = json!(self.one_of);
        }
        if let Some((least, most)) = self.bounds {
            constraints["minimum"] = number_value(least);
            constraints["maximum"] = number_value(most);
        }
        if constraints != json!({}) {
            field["constraints"] = constraints;
        }
        field
    }
}

/// A bound as JSON: whole where it is, since a bound of a whole column must be.
fn number_value(value: f64) -> Value {
    if libm::floor(value) == value { json!(value as i64) } else { json!(value) }
}

/// A column of text.
pub(super) fn text(name: impl Into<String>, says: impl Into<String>) -> Column {
    Column::new(name, Holds::Text, says)
}

/// A column of numbers in a unit; `1` for a number without one.
pub(super) fn number(name: impl Into<String>, unit: &'static str, says: impl Into<String>) -> Column {
    let column = Column::new(name, Holds::Number, says);
    if unit == "1" { column } else { column.unit(unit) }
}

/// A column of whole numbers.
pub(super) fn whole(name: impl Into<String>, says: impl Into<String>) -> Column {
    Column::new(name, Holds::Whole, says)
}

/// A column of `true` and `false`.
pub(super) fn truth(name: impl Into<String>, says: impl Into<String>) -> Column {
    Column::new(name, Holds::Truth, says)
}

/// The place of a row among its siblings, from 1.
pub(super) fn place() -> Column {
    whole("n", "Its place in the order in which it was written, from 1.").must()
}

/// The case that a row belongs to.
pub(super) fn of_case() -> Column {
    text("case", "The case.").must()
}

/// A cell.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Cell {
    /// Nothing is known or said.
    Empty,
    /// Words.
    Text(String),
    /// A number, written with at most nine places.
    Number(f64),
    /// A whole number.
    Whole(i64),
    /// Yes or no.
    Truth(bool),
}

impl Cell {
    /// As it stands in the file, before quotation marks.
    fn written(&self) -> String {
        match self {
            Self::Empty => String::new(),
            Self::Text(text) => csv::guarded(text).into_owned(),
            Self::Number(value) => digits(*value),
            Self::Whole(value) => value.to_string(),
            Self::Truth(value) => value.to_string(),
        }
    }

    fn fits(&self, column: &Column) -> bool {
        match self {
            Self::Empty => !column.must,
            Self::Text(text) => column.holds == Holds::Text && !text.is_empty(),
            Self::Number(value) => column.holds == Holds::Number && value.is_finite(),
            Self::Whole(_) => column.holds == Holds::Whole,
            Self::Truth(_) => column.holds == Holds::Truth,
        }
    }
}

/// A number with no more places than it needs, nine at the most: what is beyond comes of turning one unit into another.
pub(super) fn digits(value: f64) -> String {
    let text = format!("{value:.9}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

impl From<&str> for Cell {
    fn from(text: &str) -> Self {
        if text.is_empty() { Self::Empty } else { Self::Text(text.to_owned()) }
    }
}

impl From<String> for Cell {
    fn from(text: String) -> Self {
        if text.is_empty() { Self::Empty } else { Self::Text(text) }
    }
}

impl From<&String> for Cell {
    fn from(text: &String) -> Self {
        Self::from(text.as_str())
    }
}

impl From<f64> for Cell {
    fn from(value: f64) -> Self {
        Self::Number(value)
    }
}

impl From<usize> for Cell {
    fn from(value: usize) -> Self {
        Self::Whole(value as i64)
    }
}

impl From<bool> for Cell {
    fn from(value: bool) -> Self {
        Self::Truth(value)
    }
}

impl From<Number> for Cell {
    fn from(value: Number) -> Self {
        Self::Number(value.value())
    }
}

/// A value as it was written; nothing if it was not.
impl<T: Display> From<Option<&Spanned<T>>> for Cell {
    fn from(value: Option<&Spanned<T>>) -> Self {
        value.map_or(Self::Empty, Self::from)
    }
}

impl<T: Display> From<&Spanned<T>> for Cell {
    fn from(value: &Spanned<T>) -> Self {
        Self::from(value.value.to_string())
    }
}

/// A cell for something that may be missing.
pub(super) fn maybe<T: Into<Cell>>(value: Option<T>) -> Cell {
    value.map_or(Cell::Empty, Into::into)
}

/// The columns of a quantity in one unit: least, greatest, as written.
pub(super) fn quantity(name: &str, unit: &'static str, says: &str) -> [Column; 3] {
    [
        number(format!("{name}_low"), unit, format!("{says} The number, or the lower end of a range.")),
        number(format!("{name}_high"), unit, format!("{says} The number, or the upper end of a range.")),
        text(name, format!("{says} As it was written.")),
    ]
}

/// The cells of [`quantity`]. Without a number where the unit measures something else.
pub(super) fn amount(value: Option<&Spanned<Quantity>>, unit: Unit) -> [Cell; 3] {
    let bounds = value.and_then(|value| value.value.bounds_in(unit));
    [maybe(bounds.map(|(low, _)| low)), maybe(bounds.map(|(_, high)| high)), value.into()]
}

/// A quantity of any unit: the columns least, greatest, unit, as written.
pub(super) fn any_quantity(name: &str, says: &str) -> [Column; 4] {
    let in_unit = format!("{says} In the unit of the column {name}_unit.");
    [
        number(format!("{name}_low"), "1", format!("{in_unit} The number, or the lower end of a range.")),
        number(format!("{name}_high"), "1", format!("{in_unit} The number, or the upper end of a range.")),
        text(format!("{name}_unit"), "The unit that was written."),
        text(name, format!("{says} As it was written.")),
    ]
}

/// The cells of [`any_quantity`].
pub(super) fn any_amount(value: Option<&Spanned<Quantity>>) -> [Cell; 4] {
    let Some(Spanned { value, .. }) = value else { return [Cell::Empty, Cell::Empty, Cell::Empty, Cell::Empty] };
    [value.low().into(), value.high().into(), value.unit().plural().into(), value.to_string().into()]
}

/// A column that leads to a row of another table.
#[derive(Debug, Clone)]
struct Refers {
    column: String,
    table: &'static str,
    to: &'static str,
}

/// A table of the package.
#[derive(Debug, Clone)]
pub(super) struct Table {
    /// Its name, which is that of its file without the ending.
    pub(super) name: &'static str,
    says: &'static str,
    columns: Vec<Column>,
    key: Vec<&'static str>,
    refers: Vec<Refers>,
    rows: Vec<Vec<Cell>>,
}

impl Table {
    /// A table without rows, whose rows `key` tells apart.
    pub(super) fn new(name: &'static str, says: &'static str, key: &[&'static str], columns: Vec<Column>) -> Self {
        Self { name, says, columns, key: key.to_vec(), refers: Vec::new(), rows: Vec::new() }
    }

    /// Its column `column` holds a key of another table.
    pub(super) fn refers(mut self, column: &str, table: &'static str, to: &'static str) -> Self {
        self.refers.push(Refers { column: column.to_owned(), table, to });
        self
    }

    /// Adds a row.
    ///
    /// # Panics
    /// The row has other cells than the table has columns: a fault of this program, found by the first library that is exported.
    pub(super) fn row(&mut self, cells: Vec<Cell>) {
        assert_eq!(cells.len(), self.columns.len(), "a row of {}", self.name);
        for (cell, column) in cells.iter().zip(&self.columns) {
            assert!(cell.fits(column), "{} of {}: {cell:?}", column.name, self.name);
        }
        self.rows.push(cells);
    }

    /// The bytes of its file.
    pub(super) fn bytes(&self) -> Vec<u8> {
        let mut out = String::new();
        csv::line(self.columns.iter().map(|column| column.name.as_str()), &mut out);
        for row in &self.rows {
            csv::line(row.iter().map(Cell::written), &mut out);
        }
        out.into_bytes()
    }

    /// What the descriptor tells of it.
    pub(super) fn descriptor(&self) -> Value {
        let mut schema = json!({
            "fields": self.columns.iter().map(Column::descriptor).collect::<Vec<_>>(),
            "missingValues": [""],
            "primaryKey": self.key,
        });
        if !self.refers.is_empty() {
            let keys = self
                .refers
                .iter()
                .map(|it| json!({"fields": [it.column], "reference": {"resource": it.table, "fields": [it.to]}}));
            schema["foreignKeys"] = keys.collect();
        }
        json!({
            "name": self.name,
            "type": "table",
            "path": format!("{}.csv", self.name),
            "description": self.says,
            "format": "csv",
            "mediatype": "text/csv",
            "encoding": "utf-8",
            "dialect": {"delimiter": ",", "lineTerminator": "\r\n", "quoteChar": "\"", "doubleQuote": true, "header": true},
            "schema": schema,
        })
    }
}

/// A row of cells of different kinds.
macro_rules! row {
    ($($cell:expr),* $(,)?) => { vec![$($crate::export::table::Cell::from($cell)),*] };
}
pub(super) use row;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_have_no_more_digits_than_mean_something() {
        for (value, shown) in
            [(-0.25, "-0.25"), (540.0 / 1000.0, "0.54"), (0.1 + 0.2, "0.3"), (-0.0, "0"), (30.0, "30"), (1e-12, "0")]
        {
            assert_eq!(digits(value), shown);
        }
    }

    #[test]
    fn a_signed_number_stays_a_number_and_signed_text_becomes_text() {
        let columns = vec![number("power", "D", "Power."), text("note", "Note.")];
        let mut table = Table::new("lenses", "Lenses.", &["power"], columns);
        table.row(row![-0.25, "-0.25 was aimed at"]);
        assert_eq!(String::from_utf8(table.bytes()).expect("UTF-8"), "power,note\r\n-0.25,'-0.25 was aimed at\r\n");
    }
}
