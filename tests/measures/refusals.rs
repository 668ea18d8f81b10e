//! What is refused, where the fault is shown, and what is offered instead.

use casewright::model::measure::{Acuity, After, Age, Clock, Dimension, Fault, Place, Quantity, Refraction};

/// The fault, or a panic with what was read.
fn fault<T: std::fmt::Debug>(text: &str, read: Result<T, Fault>) -> Fault {
    read.expect_err(text)
}

/// The fault shows this part of the text, says these words, and offers exactly these texts.
fn says(text: &str, fault: &Fault, part: &str, words: &str, mends: &[&str]) {
    assert_eq!(&text[fault.part.clone()], part, "{text}: {fault:?}");
    assert!(fault.message.contains(words), "{text}: {fault:?}");
    assert_eq!(fault.mends, mends, "{text}: {fault:?}");
}

#[test]
fn quantities() {
    use Dimension as D;
    for (text, dimension, part, words, mends) in [
        ("15", D::Pressure, "15", "`15` has no unit; write mmHg or kPa", &["15 mmHg", "15 kPa"][..]),
        ("about 3.5", D::Length, "3.5", "has no unit", &["about 3.5 mm", "about 3.5 cm", "about 3.5 um"]),
        ("30", D::Setting, "30", "mmHg, mL/min, %", &[]),
        ("2,4 mm", D::Length, "2,4", "a decimal point is allowed", &["2.4 mm"]),
        (
            "2,100 cells/mm2",
            D::CellDensity,
            "2,100",
            "nothing between thousands",
            &["2100 cells/mm2", "2.100 cells/mm2"],
        ),
        ("1:10,000", D::Concentration, "10,000", "with a comma", &["1:10000"]),
        ("2·4 mm", D::Length, "2·4", "a raised point", &["2.4 mm"]),
        (".5 mL", D::Volume, ".5", "a nought before the point", &["0.5 mL"]),
        ("5. mL", D::Volume, "5.", "ends in a point", &["5 mL"]),
        ("52 to 48 mmHg", D::Pressure, "52 to 48", "the smaller number comes first", &["48 to 52 mmHg"]),
        ("-3 mmHg", D::Pressure, "-3", "a pressure never is", &[]),
        ("-1 mm", D::Setting, "-1", "below nought", &[]),
        ("15 cm", D::Pressure, "cm", "`cm` is not a unit of a pressure; write mmHg or kPa", &[]),
        ("15 mmgH", D::Pressure, "mmgH", "not a unit known here", &["15 mmHg"]),
        ("15 mmHg (applanation)", D::Pressure, "(applanation)", "all else is a note", &["15 mmHg"]),
        ("4 hours", D::Extent, "hours", "not a unit of an extent", &["4 clock hours"]),
        ("-2 -1 D", D::Power, "-2 -1 D", "write the range with `to`", &[]),
        ("10 mm to 2 cm", D::Length, "10 mm to 2 cm", "one unit is allowed", &[]),
        ("1:0.5", D::Concentration, "1:0.5", "`1:1000`", &[]),
        ("raised", D::Pressure, "raised", "does not begin with a number", &[]),
        ("1234567890 mm", D::Length, "1234567890", "more digits", &[]),
        ("  ", D::Length, "  ", "nothing is written", &[]),
    ] {
        says(text, &fault(text, Quantity::parse(text, dimension)), part, words, mends);
    }
    let long = "9".repeat(201);
    assert!(fault(&long, Quantity::parse(&long, Dimension::Length)).message.contains("longer than 200 bytes"));
}

#[test]
fn acuities() {
    for (text, part, words, mends) in [
        ("0.6", "0.6", "could be a logMAR or a decimal", &["0.6 logMAR", "0.6 decimal"][..]),
        ("76 letters", "76 letters", "the logMAR is written instead", &["0.18 logMAR"]),
        ("24/6", "24/6", "the distance comes first", &["6/24"]),
        ("6/9 partial", "partial", "does not say how many letters", &["6/9"]),
        ("6/9 to 6/12", "to 6/12", "after the acuity is not understood", &["6/9"]),
        ("6/9+12", "+12", "more letters than a line", &[]),
        ("6/0", "6/0", "above nought", &[]),
        ("CF at 2 ft", "CF at 2 ft", "a distance in m or cm", &["CF at 0.61 m"]),
        ("CF at 1", "CF at 1", "a distance in m or cm", &["CF at 1 m", "CF at 1 cm"]),
        ("CF close to the face", "CF close to the face", "not understood after `CF`", &["CF"]),
        ("PL maybe", "PL maybe", "not understood after `PL`", &["PL"]),
        ("20/40000", "20/40000", "beyond any chart", &[]),
        ("good", "good", "is not an acuity", &[]),
    ] {
        says(text, &fault(text, Acuity::parse(text)), part, words, mends);
    }
}

#[test]
fn places() {
    for (text, part, words, mends) in [
        ("2", "2", "lacks `o'clock`", &["2 o'clock"][..]),
        ("4 to 7", "4 to 7", "lacks `o'clock`", &["4 to 7 o'clock"]),
        ("13 o'clock", "13", "hours from 1 to 12", &[]),
        ("0 o'clock", "0", "hours from 1 to 12", &["12 o'clock"]),
        ("2:15 o'clock", "2:15", "only `:30`", &["2 o'clock", "2:30 o'clock"]),
        ("9 to 9 o'clock", "9 to 9 o'clock", "one hour", &["9 o'clock", "all round"]),
        ("3 and 9 o'clock", "3 and 9 o'clock", "written as a list", &[]),
        ("3 clock hours", "3 clock hours", "an extent and not a place", &[]),
        ("superonsal", "superonsal", "is not a place", &["superonasal"]),
    ] {
        says(text, &fault(text, Place::parse(text)), part, words, mends);
    }
}

#[test]
fn refractions() {
    for (text, part, words, mends) in [
        ("0.25 -0.50 x 90", "0.25", "the sphere `0.25` has no sign", &["-0.25 -0.50 x 90", "+0.25 -0.50 x 90"][..]),
        ("-0.25 0.50 x 90", "0.50", "the cylinder `0.50` has no sign", &["-0.25 -0.50 x 90", "-0.25 +0.50 x 90"]),
        ("-2.25", "-2.25", "a sphere alone", &["-2.25 DS"]),
        ("-2.25 -0.50", "-2.25 -0.50", "without its axis", &[]),
        ("-2.25 -0.50 x 190", "190", "from 1 to 180", &["-2.25 -0.50 x 10"]),
        ("-2.25 -0.50 x 90.5", "90.5", "a whole number", &[]),
        ("-2,25 -0.50 x 90", "-2,25", "with a comma", &["-2.25 -0.50 x 90"]),
        ("emmetropic", "emmetropic", "is not a refraction", &[]),
    ] {
        says(text, &fault(text, Refraction::parse(text)), part, words, mends);
    }
}

#[test]
fn times() {
    for (text, part, words, mends) in [
        ("6/52", "6/52", "shorthand", &["6 weeks"][..]),
        ("3/12", "3/12", "shorthand", &["3 months"]),
        ("2/7", "2/7", "shorthand", &["2 days"]),
        ("10", "10", "has no unit", &["10 days", "10 weeks", "10 months"]),
        ("2 to 3 weeks", "2 to 3 weeks", "is a range", &[]),
        ("3 monhts", "monhts", "not a unit of time", &["3 months"]),
        ("300 years", "300 years", "at most 120 years", &[]),
        ("soon", "soon", "is not understood", &[]),
    ] {
        says(text, &fault(text, After::parse(text)), part, words, mends);
    }
    for (text, words, mends) in [
        ("5", "is not understood", &["5:00"][..]),
        ("12:5", "two digits", &["12:05"]),
        ("2:75", "past the hour", &[]),
        ("25:00:00", "past the hour or the day", &[]),
        ("a:b", "is not understood", &[]),
    ] {
        says(text, &fault(text, Clock::parse(text)), text, words, mends);
    }
}

/// What could point to a person is named and not repeated.
#[test]
fn ages_and_dates_are_not_repeated() {
    for text in ["93", "101 years", "94 +", "97 and a half", "12/03/1931", "3 March 1931", "1931"] {
        let fault = fault(text, Age::parse(text));
        assert!(
            !fault.message.contains(text) && !fault.message.contains("1931") && !fault.message.contains("97"),
            "{fault:?}"
        );
    }
    for text in ["12/03/2024", "2024-03-12", "12 March", "March 2024"] {
        let fault = fault(text, After::parse(text));
        assert!(!fault.message.contains(text) && fault.message.contains("calendar date"), "{fault:?}");
    }
    says("93", &fault("93", Age::parse("93")), "93", "written `90+`", &["90+"]);
    says("6 weeks", &fault("6 weeks", Age::parse("6 weeks")), "6 weeks", "are not told", &["1 month"]);
    says("30 months", &fault("30 months", Age::parse("30 months")), "30 months", "in years", &["2"]);
}
