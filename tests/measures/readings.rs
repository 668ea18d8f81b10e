//! The ways people write a measure, and the one way it is written back. Common practice of the trade.

use casewright::model::measure::{
    Acuity, After, Age, Clock, Convention, Dimension, Eye, Impairment, Number, PLAUSIBLE, Period, Place, Quantity,
    Refraction, Sex, Side, Taken, Unit, Verdict, plausible, vertex,
};

fn quantity(text: &str, dimension: Dimension) -> Quantity {
    Quantity::parse(text, dimension).unwrap_or_else(|fault| panic!("{text}: {fault:?}"))
}

#[test]
fn quantities_are_written_back_in_one_way() {
    use Dimension as D;
    for (text, dimension, written) in [
        ("24 mmHg", D::Pressure, "24 mmHg"),
        ("24mmHg", D::Pressure, "24 mmHg"),
        ("24\u{a0}mm Hg", D::Pressure, "24 mmHg"),
        ("48 to 52 mmHg", D::Pressure, "48 to 52 mmHg"),
        ("48-52 mmHg", D::Pressure, "48 to 52 mmHg"),
        ("48–52mmHg", D::Pressure, "48 to 52 mmHg"),
        ("48 − 52 mmHg", D::Pressure, "48 to 52 mmHg"),
        ("48 mmHg to 52 mmHg", D::Pressure, "48 to 52 mmHg"),
        ("12 to 12 mmHg", D::Pressure, "12 mmHg"),
        ("2.0 kPa", D::Pressure, "2.0 kPa"),
        ("about 3.5 mm", D::Length, "about 3.5 mm"),
        ("~3.5mm", D::Length, "about 3.5 mm"),
        ("approx. 3.5 mm", D::Length, "about 3.5 mm"),
        ("540 µm", D::Length, "540 um"),
        ("540 μm", D::Length, "540 um"),
        ("540 microns", D::Length, "540 um"),
        ("21.0 D", D::Power, "21.0 D"),
        ("−0.25 D", D::Power, "-0.25 D"),
        ("-2.00 to -1.50 D", D::Power, "-2.00 to -1.50 D"),
        ("21.0-21.5 D", D::Power, "21.0 to 21.5 D"),
        ("2100 cells/mm²", D::CellDensity, "2100 cells/mm2"),
        ("2100 cells/mm2", D::CellDensity, "2100 cells/mm2"),
        ("30%", D::Percent, "30 %"),
        ("22 cc/min", D::Flow, "22 mL/min"),
        ("0.1 ml", D::Volume, "0.1 mL"),
        ("1 drop", D::Volume, "1 drop"),
        ("2 drop", D::Volume, "2 drops"),
        ("50 mcg", D::Mass, "50 ug"),
        ("1 g/kg", D::MassPerKg, "1 g/kg"),
        ("1 g/kg", D::Dose, "1 g/kg"),
        ("20 %", D::Concentration, "20 %"),
        ("1:1000", D::Concentration, "1:1000"),
        ("1 in 10000", D::Concentration, "1:10000"),
        ("1 mg/ml", D::Concentration, "1 mg/mL"),
        ("150 IU/mL", D::Concentration, "150 IU/mL"),
        ("1500 units", D::Units, "1500 IU"),
        ("90 secs", D::Time, "90 s"),
        ("4 clock-hours", D::Extent, "4 clock hours"),
        ("1 clock hour", D::Extent, "1 clock hour"),
        ("90°", D::Extent, "90 degrees"),
        ("2 mm", D::Extent, "2 mm"),
        ("95", D::Angle, "95 degrees"),
        ("5000 cpm", D::Frequency, "5000 cuts/min"),
        ("60 cm", D::Setting, "60 cm"),
        ("90 cmH2O", D::Setting, "90 cmH2O"),
    ] {
        assert_eq!(quantity(text, dimension).to_string(), written, "{text}");
    }
}

#[test]
fn every_unit_is_read_under_its_own_name() {
    for dimension in Dimension::ALL {
        for &unit in dimension.units() {
            let text = if unit == Unit::OneIn { "1:7".to_owned() } else { format!("7 {unit}") };
            assert_eq!(quantity(&text, dimension).unit(), unit, "{text}");
        }
    }
    assert!(Unit::all().all(|unit| Dimension::Setting.units().contains(&unit)));
}

#[test]
fn units_of_one_kind_turn_into_one_another() {
    use Dimension as D;
    for (text, dimension, unit, value) in [
        ("540 um", D::Length, Unit::Mm, 0.54),
        ("2.34 cm", D::Length, Unit::Mm, 23.4),
        ("1 %", D::Concentration, Unit::MgPerMl, 10.0),
        ("1:1000", D::Concentration, Unit::MgPerMl, 1.0),
        ("1 mg/mL", D::Concentration, Unit::OneIn, 1000.0),
        ("50 ug/mL", D::Concentration, Unit::MgPerMl, 0.05),
        ("1 g", D::Mass, Unit::Mg, 1000.0),
        ("90 s", D::Time, Unit::Minute, 1.5),
        ("1 g/kg", D::MassPerKg, Unit::MgPerKg, 1000.0),
    ] {
        assert_eq!(quantity(text, dimension).middle_in(unit), Some(value), "{text}");
    }
    assert_eq!(quantity("1 mm", D::Length).middle_in(Unit::Mmhg), None);
    assert_eq!(quantity("1 drop", D::Volume).middle_in(Unit::Ml), None);
    assert_eq!(quantity("10 to 20 mm", D::Length).bounds_in(Unit::Cm), Some((1.0, 2.0)));
}

#[test]
fn bands_tell_the_impossible_from_the_unusual() {
    for (measure, text, dimension, verdict) in [
        ("iop", "15 mmHg", Dimension::Pressure, Verdict::Usual),
        ("iop", "52 mmHg", Dimension::Pressure, Verdict::Unusual),
        ("iop", "2.0 kPa", Dimension::Pressure, Verdict::Usual),
        ("iop", "24 kPa", Dimension::Pressure, Verdict::Impossible),
        ("iop", "48 to 96 mmHg", Dimension::Pressure, Verdict::Impossible),
        ("axial length", "23.4 mm", Dimension::Length, Verdict::Usual),
        ("axial length", "234 mm", Dimension::Length, Verdict::Impossible),
        ("corneal thickness", "0.54 mm", Dimension::Length, Verdict::Usual),
        ("corneal thickness", "54 um", Dimension::Length, Verdict::Impossible),
        ("lens power", "-3.0 D", Dimension::Power, Verdict::Unusual),
        ("incision width", "2.2 mm", Dimension::Length, Verdict::Usual),
        ("incision width", "22 mm", Dimension::Length, Verdict::Impossible),
    ] {
        assert_eq!(plausible(measure).unwrap().judge(&quantity(text, dimension)), Some(verdict), "{measure} {text}");
    }
    assert_eq!(plausible("iop").unwrap().judge(&quantity("15 mm", Dimension::Length)), None);
    assert_eq!(plausible("sphere").unwrap().judge_number(Number::whole(-60)), Verdict::Impossible);
    assert!(plausible("mood").is_none());
}

#[test]
fn every_band_is_sourced_and_in_order() {
    for row in PLAUSIBLE {
        assert!(!row.source.is_empty(), "{}", row.measure);
        assert!(row.possible.0 <= row.usual.0 && row.usual.1 <= row.possible.1, "{}", row.measure);
        assert!(row.usual.0 < row.usual.1, "{}", row.measure);
        assert_eq!(PLAUSIBLE.iter().filter(|other| other.measure == row.measure).count(), 1, "{}", row.measure);
    }
}

#[test]
fn acuities_are_written_back_in_one_way() {
    for (text, written) in [
        ("6/24", "6/24"),
        ("6 / 24", "6/24"),
        ("20/80", "20/80"),
        ("5/60", "5/60"),
        ("6/9.5", "6/9.5"),
        ("6/9+2", "6/9+2"),
        ("6/9 +2", "6/9+2"),
        ("6/12-1", "6/12-1"),
        ("6/12 −1", "6/12-1"),
        ("6/12 -1 letter", "6/12-1"),
        ("0.6 logMAR", "0.6 logMAR"),
        ("LogMAR 0.60", "0.60 logMAR"),
        ("-0.1 logmar", "-0.1 logMAR"),
        ("0.25 decimal", "0.25 decimal"),
        ("CF", "CF"),
        ("counting fingers", "CF"),
        ("CF at 1 m", "CF at 1 m"),
        ("CF 1m", "CF at 1 m"),
        ("CF@30cm", "CF at 0.3 m"),
        ("HM", "HM"),
        ("Hand movements", "HM"),
        ("HM at 30 cm", "HM at 0.3 m"),
        ("PL", "PL"),
        ("LP", "PL"),
        ("perception of light", "PL"),
        ("PL with projection", "PL with projection"),
        ("PL with poor projection", "PL without projection"),
        ("PL without projection", "PL without projection"),
        ("NPL", "NPL"),
        ("NLP", "NPL"),
        ("no perception of light", "NPL"),
    ] {
        let read = Acuity::parse(text).unwrap_or_else(|fault| panic!("{text}: {fault:?}"));
        assert_eq!(read.to_string(), written, "{text}");
    }
    for taken in Taken::ALL {
        assert_eq!(Taken::parse(&taken.to_string()), Ok(taken));
    }
    assert_eq!(Taken::parse("BCVA"), Ok(Taken::BestCorrected));
}

/// Words below the chart have no logMAR unasked, and the categories still know them.
#[test]
fn words_below_the_chart_are_no_numbers() {
    for words in ["CF", "CF at 1 m", "HM", "PL", "NPL"] {
        let read = Acuity::parse(words).unwrap();
        assert_eq!((read.logmar(), read.decimal(), read.letters()), (None, None, None), "{words}");
        assert_eq!(read.impairment(Convention::Fraction), Impairment::Blindness, "{words}");
    }
    let three_metres = Acuity::parse("CF at 3 m").unwrap();
    assert_eq!(three_metres.impairment(Convention::Fraction), Impairment::Severe);
}

/// A letter beyond the chart's last line, or on a chart of another make, counts 0.02 (Bach); letters never pass a line.
#[test]
fn letters_off_the_interpolated_chart_count_alike() {
    let logmar = |text: &str| Acuity::parse(text).unwrap().logmar().unwrap();
    assert!((logmar("6/5+1") - (logmar("6/5") - 0.02)).abs() < 1e-12);
    assert!((logmar("6/60-1") - 1.02).abs() < 1e-12);
    assert!((logmar("20/40-2") - (logmar("20/40") + 0.04)).abs() < 1e-12);
    assert!((logmar("6/9+9") - logmar("6/6")).abs() < 1e-12);
    // On the letters formula 20/2000 would be below nought (Gregori 2010).
    assert_eq!(Acuity::parse("20/2000").unwrap().letters(), Some(0.0));
}

#[test]
fn places_are_written_back_in_one_way() {
    for (text, written) in [
        ("2 o'clock", "2 o'clock"),
        ("2 o’clock", "2 o'clock"),
        ("at 2 oclock", "2 o'clock"),
        ("02:30 o'clock", "2:30 o'clock"),
        ("12:30 o'clock", "12:30 o'clock"),
        ("4 to 7 o'clock", "4 to 7 o'clock"),
        ("4–7 o'clock", "4 to 7 o'clock"),
        ("from 4 o'clock to 7 o'clock", "4 to 7 o'clock"),
        ("between 10 and 2 o'clock", "10 to 2 o'clock"),
        ("2 or 3 o'clock", "2 or 3 o'clock"),
        ("superonasal", "superonasal"),
        ("Supero-nasal quadrant", "superonasal"),
        ("temporal side", "temporal"),
        ("at the incision", "at the incision"),
        ("3 clock hours clockwise of the incision", "3 clock hours clockwise of the incision"),
        ("1.5 clock hours anti-clockwise of the incision", "1.5 clock hours anticlockwise of the incision"),
        ("1 clock hour clockwise of the incision", "1 clock hour clockwise of the incision"),
        ("central", "central"),
        ("all round", "all round"),
    ] {
        let read = Place::parse(text).unwrap_or_else(|fault| panic!("{text}: {fault:?}"));
        assert_eq!(read.to_string(), written, "{text}");
    }
}

/// Temporal is 9 o'clock in a right eye and 3 in a left (anatomy, common practice).
#[test]
fn sides_lie_by_the_eye() {
    let degrees = |text: &str, eye| Place::parse(text).unwrap().centre_degrees(eye);
    for (text, right, left) in [
        ("temporal", 180.0, 0.0),
        ("nasal", 0.0, 180.0),
        ("superior", 90.0, 90.0),
        ("inferior", 270.0, 270.0),
        ("superotemporal", 135.0, 45.0),
        ("superonasal", 45.0, 135.0),
        ("inferotemporal", 225.0, 315.0),
        ("inferonasal", 315.0, 225.0),
        ("10 to 2 o'clock", 90.0, 90.0),
        ("2 or 3 o'clock", 15.0, 15.0),
        ("12 or 11 o'clock", 105.0, 105.0),
        ("2:30 o'clock", 15.0, 15.0),
    ] {
        assert_eq!(degrees(text, Eye::Right), Some(right), "{text}");
        assert_eq!(degrees(text, Eye::Left), Some(left), "{text}");
    }
    for text in ["3 or 9 o'clock", "central", "all round", "at the incision"] {
        assert_eq!(degrees(text, Eye::Right), None, "{text}");
    }
    for side in Side::ALL {
        assert_eq!(Place::parse(&side.to_string()), Ok(Place::Side(side)));
    }
}

#[test]
fn places_by_the_incision_follow_it() {
    let place = |text: &str| Place::parse(text).unwrap();
    let by = |text: &str, incision: &str| place(text).with_incision(place(incision), Eye::Left);
    assert_eq!(by("3 clock hours clockwise of the incision", "11 o'clock"), Some(place("2 o'clock")));
    assert_eq!(by("0.5 clock hours anticlockwise of the incision", "temporal"), Some(place("2:30 o'clock")));
    assert_eq!(by("at the incision", "temporal"), Some(place("temporal")));
    assert_eq!(by("6 o'clock", "10 to 2 o'clock"), Some(place("6 o'clock")));
    assert_eq!(by("at the incision", "10 to 2 o'clock"), None);
}

#[test]
fn refractions_are_written_back_in_one_way() {
    for (text, written) in [
        ("-0.25 -0.50 x 90", "-0.25 -0.50 x 90"),
        ("−0.25 −0.50 × 90", "-0.25 -0.50 x 90"),
        ("-0.25/-0.50x90", "-0.25 -0.50 x 90"),
        ("-0.25 DS / -0.50 DC x 90°", "-0.25 -0.50 x 90"),
        ("-0.25 -0.5 axis 0", "-0.25 -0.50 x 180"),
        ("plano", "plano"),
        ("plano -0.50 x 90", "plano -0.50 x 90"),
        ("0.00 -1.00 x 60", "plano -1.00 x 60"),
        ("+1.00 DS", "+1.00 DS"),
        ("+1 D", "+1.00 DS"),
        ("+1.00 0.00 x 90", "+1.00 DS"),
        ("-2.125 -0.50 x 5", "-2.125 -0.50 x 5"),
    ] {
        let read = Refraction::parse(text).unwrap_or_else(|fault| panic!("{text}: {fault:?}"));
        assert_eq!(read.to_string(), written, "{text}");
    }
    assert_eq!(vertex(100.0, 12.0), None);
}

#[test]
fn times_after_surgery_are_ordered_by_length() {
    for (text, written, days) in [
        ("30 minutes", "30 minutes", 30.0 / 1440.0),
        ("2 hours", "2 hours", 2.0 / 24.0),
        ("1 day", "1 day", 1.0),
        ("day 1", "1 day", 1.0),
        ("post-op day 1", "1 day", 1.0),
        ("about 10 days", "about 10 days", 10.0),
        ("two weeks", "2 weeks", 14.0),
        ("1 month", "1 month", 30.4375),
        ("6 weeks", "6 weeks", 42.0),
        ("6 wks later", "6 weeks", 42.0),
        ("3 months", "3 months", 91.3125),
        ("1.5 years", "1.5 years", 547.875),
    ] {
        let read = After::parse(text).unwrap_or_else(|fault| panic!("{text}: {fault:?}"));
        assert_eq!(read.to_string(), written, "{text}");
        assert!((read.days() - days).abs() < 1e-9, "{text}: {}", read.days());
    }
    let after = |text: &str| After::parse(text).unwrap();
    let long = |text: &str| after(text).minutes();
    assert!(long("23 hours") < long("1 day") && long("1 day") < long("1 week") && long("4 weeks") < long("1 month"));
    assert_eq!(long("42 days"), long("6 weeks"));
    assert_eq!(after("same day"), after("0 days"));
    assert_eq!(after("6 weeks").period(), Period::Week);
}

#[test]
fn the_operations_clock_counts_seconds() {
    for (text, seconds, written) in
        [("0:20", 20, "0:20"), ("37:30", 2250, "37:30"), ("75:00", 4500, "1:15:00"), ("1:02:03", 3723, "1:02:03")]
    {
        let read = Clock::parse(text).unwrap();
        assert_eq!((read.seconds(), read.to_string().as_str()), (seconds, written));
    }
}

#[test]
fn persons_are_told_by_little() {
    for (text, age) in [
        ("58", Age::Years(58)),
        ("58 years", Age::Years(58)),
        ("0", Age::Years(0)),
        ("89", Age::Years(89)),
        ("4 months", Age::Months(4)),
        ("90+", Age::NinetyAndOver),
    ] {
        assert_eq!(Age::parse(text), Ok(age), "{text}");
    }
    assert_eq!(Age::NinetyAndOver.at_least_years(), 90);
    for sex in Sex::ALL {
        assert_eq!(Sex::parse(&sex.to_string()), Ok(sex));
    }
    for eye in Eye::ALL {
        assert_eq!(Eye::parse(&eye.to_string()), Ok(eye));
    }
}
