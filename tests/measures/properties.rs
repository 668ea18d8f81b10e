//! What holds for every text: nothing panics, what is read is written back, and every mend can be read.

use std::fmt::{Debug, Display};

use casewright::model::measure::{
    Acuity, After, Age, Clock, Dimension, Eye, Fault, Place, Quantity, Refraction, Sex, Taken,
};
use proptest::prelude::*;
use proptest::sample::select;

/// Pieces that real texts are made of, so that joined at random they come close to real ones.
const PIECES: &[&str] = &[
    "6",
    "/",
    "24",
    "20",
    "80",
    "+2",
    "-1",
    "-",
    "+",
    " ",
    "\u{a0}",
    "–",
    "−",
    ".",
    ",",
    "0",
    "5",
    "30",
    "100",
    "1000",
    "about ",
    "~",
    " to ",
    " or ",
    " mmHg",
    "kPa",
    "mm",
    " µm",
    "mm Hg",
    "cells/mm²",
    "%",
    "mL/min",
    "cc",
    "drops",
    "mg",
    "g/kg",
    "1:",
    "IU/mL",
    " D",
    "DS",
    " x ",
    "×",
    "plano",
    "axis",
    "@",
    "°",
    "CF",
    "HM",
    "PL",
    "NPL",
    " at ",
    "1 m",
    "cm",
    "ft",
    "with projection",
    "logMAR",
    "decimal",
    "letters",
    "o'clock",
    "’",
    "clock hours",
    " clockwise",
    " of the incision",
    "at the incision",
    "superonasal",
    "temporal",
    "quadrant",
    ":",
    ":30",
    "day ",
    " days",
    "weeks",
    "month",
    "/52",
    "2024",
    "years",
    "90+",
    "half",
    "é",
    "🙂",
    "\n",
    "`",
    "between ",
    " and ",
    "one",
];

/// Checks one text against one way of reading it.
fn holds<T: Debug + PartialEq + Display>(text: &str, parse: impl Fn(&str) -> Result<T, Fault>) {
    match parse(text) {
        Ok(value) => {
            let written = value.to_string();
            match parse(&written) {
                Ok(again) => {
                    assert_eq!(value, again, "{text:?} written as {written:?}");
                    assert_eq!(written, again.to_string(), "{text:?}");
                }
                Err(fault) => panic!("{text:?} is written as {written:?}, which is refused: {fault:?}"),
            }
        }
        Err(fault) => {
            assert!(text.get(fault.part.clone()).is_some(), "{text:?}: the part lies outside: {fault:?}");
            assert!(!fault.message.is_empty() && !fault.message.ends_with('.'), "{text:?}: {fault:?}");
            assert!(!fault.message.contains(char::is_control), "{text:?}: {fault:?}");
            assert!(fault.message.matches('`').count() % 2 == 0, "{text:?}: {fault:?}");
            for mend in &fault.mends {
                assert!(parse(mend).is_ok(), "{text:?}: the mend {mend:?} is refused");
            }
        }
    }
}

fn every_way(text: &str) {
    for dimension in Dimension::ALL {
        holds(text, |text| Quantity::parse(text, dimension));
    }
    holds(text, Acuity::parse);
    holds(text, Taken::parse);
    holds(text, Place::parse);
    holds(text, Eye::parse);
    holds(text, Refraction::parse);
    holds(text, After::parse);
    holds(text, Clock::parse);
    holds(text, Age::parse);
    holds(text, Sex::parse);
}

fn number() -> impl Strategy<Value = String> {
    prop_oneof!["[1-9][0-9]{0,3}", "[0-9]\\.[0-9]{1,3}", "[1-9][0-9]{1,4}\\.[0-9]{1,2}"]
}

fn settings() -> ProptestConfig {
    ProptestConfig { cases: 512, failure_persistence: None, ..ProptestConfig::default() }
}

proptest! {
    #![proptest_config(settings())]

    #[test]
    fn no_text_panics(text in "\\PC{0,80}") {
        every_way(&text);
    }

    #[test]
    fn no_bytes_panic(bytes in proptest::collection::vec(any::<u8>(), 0..260)) {
        every_way(&String::from_utf8_lossy(&bytes));
    }

    #[test]
    fn joined_pieces_hold(pieces in proptest::collection::vec(select(PIECES), 0..9)) {
        every_way(&pieces.concat());
    }

    #[test]
    fn quantities_come_back(
        dimension in select(&Dimension::ALL[..]),
        pick in any::<prop::sample::Index>(),
        first in number(),
        second in number(),
        range in any::<bool>(),
        about in any::<bool>(),
        gap in select(&["", " ", "\u{a0}"][..]),
    ) {
        let units = dimension.units();
        let unit = units[pick.index(units.len())];
        prop_assume!(unit.singular() != "1:");
        let hedge = if about { "about " } else { "" };
        let (first, second): (f64, f64) = (first.parse().unwrap(), second.parse().unwrap());
        let (low, high) = if first <= second { (first, second) } else { (second, first) };
        let text = if range { format!("{hedge}{low} to {high}{gap}{unit}") } else { format!("{hedge}{low}{gap}{unit}") };
        let read = Quantity::parse(&text, dimension).unwrap_or_else(|fault| panic!("{text}: {fault:?}"));
        prop_assert_eq!(read.low().value(), low);
        prop_assert_eq!(read.high().value(), if range { high } else { low });
        prop_assert_eq!(read.unit(), unit);
        prop_assert_eq!(read.about(), about);
        holds(&text, |text| Quantity::parse(text, dimension));
    }

    #[test]
    fn fractions_come_back(num in 1..=20u32, den in 1..=400u32, letters in -9..=9i8) {
        let text = if letters == 0 { format!("{num}/{den}") } else { format!("{num}/{den}{letters:+}") };
        prop_assume!(f64::from(den) / f64::from(num) > 0.32);
        let read = Acuity::parse(&text).unwrap_or_else(|fault| panic!("{text}: {fault:?}"));
        prop_assert_eq!(read.to_string(), text);
        prop_assert!(read.logmar().is_some_and(f64::is_finite));
    }

    #[test]
    fn logmar_and_letters_turn_back(letters in 0.0..100.0f64) {
        prop_assert!((letters_of(letters) - letters).abs() < 1e-9);
    }

    #[test]
    fn refractions_come_back(sphere in -120..=120i32, cylinder in -40..=40i32, axis in 1..=180u8) {
        let (sphere, cylinder) = (f64::from(sphere) / 4.0, f64::from(cylinder) / 4.0);
        let text = format!("{sphere:+.2} {cylinder:+.2} x {axis}");
        let read = Refraction::parse(&text).unwrap_or_else(|fault| panic!("{text}: {fault:?}"));
        holds(&text, Refraction::parse);
        prop_assert_eq!(read.transposed().transposed(), read);
        let vector = read.power_vector();
        let lens = if cylinder < 0.0 { vector.minus_cylinder() } else { vector.plus_cylinder() };
        prop_assert!((lens.sphere - sphere).abs() < 1e-9);
        prop_assert!((lens.cylinder - cylinder).abs() < 1e-9);
        if cylinder != 0.0 {
            prop_assert!((lens.axis.unwrap() - f64::from(axis)).abs() < 1e-6);
        }
    }

    #[test]
    fn the_operations_clock_comes_back(seconds in 0..86_400u32) {
        let (hours, minutes, rest) = (seconds / 3600, seconds / 60 % 60, seconds % 60);
        let text = format!("{hours}:{minutes:02}:{rest:02}");
        prop_assert_eq!(Clock::parse(&text).unwrap().seconds(), seconds);
        holds(&text, Clock::parse);
    }

    #[test]
    fn hours_come_back(one in 1..=12u8, other in 1..=12u8, half in any::<bool>(), joint in select(&["to", "or"][..])) {
        prop_assume!(one != other);
        let text = format!("{one}{} {joint} {other} o'clock", if half { ":30" } else { "" });
        let read = Place::parse(&text).unwrap_or_else(|fault| panic!("{text}: {fault:?}"));
        prop_assert_eq!(read.to_string(), text);
    }
}

fn letters_of(letters: f64) -> f64 {
    casewright::model::measure::letters_from_logmar(casewright::model::measure::logmar_from_letters(letters))
}
