//! Visual acuity as it is written: fractions, logMAR, decimals, and the words below the chart.

use serde::{Deserialize, Serialize};
use std::fmt;

use super::Fault;
use super::number::Number;
use super::scan::{Cursor, body, judged, plain, quoted, replaced};
use super::sight;

/// What an acuity may be, for messages.
const ACUITIES: &str =
    "a fraction (`6/24`, `20/80`, `6/9+2`), `0.6 logMAR`, `0.25 decimal`, `CF at 1 m`, `CF`, `HM`, `PL` or `NPL`";
/// Most letters more or fewer than a line; no line of a chart holds ten (common practice, no source).
const MOST_LETTERS: i64 = 9;
/// Farthest test distance of a fraction: 20 feet.
const FARTHEST: Number = Number::whole(20);
/// Best and worst logMAR that can be written: better than any eye resolves, and 20/20000 (the largest fraction of the
/// conversion charts, Holladay 2004).
const RANGE: (f64, f64) = (-0.5, 3.0);
/// Farthest distance at which fingers are counted or a hand is waved, in metres: the test distance of the chart.
const HAND_FARTHEST: Number = Number::whole(6);

/// An acuity of one eye. Numbers are kept as written; the words are never turned into a number unasked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum Acuity {
    /// A fraction: test distance over letter size, with letters read beyond (`+`) or missed on (`-`) the line.
    Snellen {
        /// Test distance in metres (6) or feet (20).
        num: Number,
        /// Letter size in the same unit.
        den: Number,
        /// Letters more or fewer than the line, -9 to 9.
        letters: i8,
    },
    /// Logarithm of the minimum angle of resolution in minutes of arc, -0.5 to 3.
    LogMar(Number),
    /// One over the minimum angle of resolution in minutes of arc.
    Decimal(Number),
    /// Counts fingers.
    CountingFingers {
        /// At this distance in metres, up to 6, if it was written.
        distance_m: Option<Number>,
    },
    /// Sees the movement of a hand.
    HandMovements {
        /// At this distance in metres, up to 6, if it was written.
        distance_m: Option<Number>,
    },
    /// Perceives light.
    LightPerception {
        /// Whether the eye tells where the light comes from, if that was written.
        projection: Option<bool>,
    },
    /// Does not perceive light.
    NoLightPerception,
}

impl Acuity {
    /// Reads an acuity.
    ///
    /// # Errors
    /// A fault when the words are no acuity. A bare number is one: it could be a logMAR or a decimal.
    pub fn parse(text: &str) -> Result<Self, Fault> {
        judged(text, ACUITIES, read)
    }
}

fn read(text: &str) -> Result<Acuity, Fault> {
    if let Some(words) = read_words(text)? {
        return Ok(words);
    }
    let mut cursor = Cursor::new(text);
    let before = cursor.any_word(&["logmar", "decimal"]).then(|| plain(&text[..cursor.at()]));
    let Some(first) = cursor.number()? else {
        return Err(Fault::new(format!("{} is not an acuity; allowed is {ACUITIES}", quoted(text)), body(text)));
    };
    cursor.spaces();
    if before.is_none() && cursor.eat(&['/', '\u{2044}', '\u{2215}']).is_some() {
        return read_fraction(text, cursor, first.number, first.signed);
    }
    let after = plain(cursor.rest());
    let number = first.number;
    match (before.as_deref(), after.as_str()) {
        (Some("logmar"), "") | (None, "logmar") => in_range(text, Acuity::LogMar(number)),
        (Some("decimal"), "") | (None, "decimal") => in_range(text, Acuity::Decimal(number)),
        (None, "") => Err(Fault::new(
            format!("{} could be a logMAR or a decimal acuity; one of the two words is needed", quoted(text)),
            first.part,
        )
        .or(format!("{number} logMAR"))
        .or(format!("{number} decimal"))),
        (None, "letters" | "etdrs letters" | "etdrs") => Err(Fault::new(
            format!("{} counts letters; the logMAR is written instead (1.7 less 0.02 for each letter)", quoted(text)),
            body(text),
        )
        .or(format!("{:.2} logMAR", sight::logmar_from_letters(number.value())))),
        _ => Err(Fault::new(
            format!("{} is not understood after the number; allowed is {ACUITIES}", quoted(cursor.rest())),
            cursor.rest_part(),
        )),
    }
}

/// A fraction from behind its stroke.
fn read_fraction(text: &str, mut cursor: Cursor<'_>, num: Number, signed: bool) -> Result<Acuity, Fault> {
    cursor.spaces();
    let den = cursor.number()?.filter(|den| !den.signed);
    let Some(den) = den.filter(|den| !signed && num.micro() > 0 && den.number.micro() > 0) else {
        return Err(Fault::new(
            format!("{} is not a fraction of two numbers above nought, such as `6/24` or `20/80`", quoted(text)),
            body(text),
        ));
    };
    let den = den.number;
    let line_end = cursor.at();
    let mut letters = 0;
    if let Some(more) = cursor_letters(&mut cursor) {
        letters = more;
    }
    if !cursor.done() {
        let rest = quoted(cursor.rest());
        let message = match plain(cursor.rest()).as_str() {
            "p" | "part" | "partial" | "partly" | "+" | "-" => {
                format!("{rest} does not say how many letters; the number of letters is written, like `6/9-1`")
            }
            _ => format!("{rest} after the acuity is not understood; letters more or fewer are written like `6/9+2`"),
        };
        let part = cursor.rest_part();
        return Err(Fault::new(message, part.clone()).or(replaced(text, line_end..part.end, "")));
    }
    let Ok(letters) = i8::try_from(letters) else {
        return Err(Fault::new(
            format!("{} has more letters than a line; at most {MOST_LETTERS} are allowed", quoted(text)),
            line_end..body(text).end,
        ));
    };
    if i64::from(letters).abs() > MOST_LETTERS {
        return Err(Fault::new(
            format!("{} has more letters than a line; at most {MOST_LETTERS} are allowed", quoted(text)),
            line_end..body(text).end,
        ));
    }
    if num > FARTHEST {
        return Err(Fault::new(
            format!(
                "in {} the test distance is above 20; the distance comes first and the letter size second",
                quoted(text)
            ),
            body(text),
        )
        .or(format!("{den}/{num}")));
    }
    in_range(text, Acuity::Snellen { num, den, letters })
}

/// Letters more (`+2`) or fewer (`-1`) than the line; nothing is taken when no such number stands here.
fn cursor_letters(cursor: &mut Cursor<'_>) -> Option<i64> {
    let start = *cursor;
    cursor.spaces();
    let number = cursor.number().ok().flatten().filter(|number| number.signed);
    match number.and_then(|number| number.number.as_whole()) {
        Some(letters) => {
            cursor.spaces();
            cursor.any_word(&["letters", "letter"]);
            Some(letters)
        }
        None => {
            *cursor = start;
            None
        }
    }
}

/// Refuses an acuity better or worse than any that is written.
fn in_range(text: &str, acuity: Acuity) -> Result<Acuity, Fault> {
    let positive = !matches!(acuity, Acuity::Decimal(number) if number.micro() <= 0);
    let logmar = sight::line_logmar(&acuity).filter(|logmar| {
        // The widest chart ends at 20/20000 exactly; the slack is for the last bit of the logarithm.
        positive && (RANGE.0..=RANGE.1 + 1e-9).contains(logmar)
    });
    if logmar.is_some() {
        return Ok(acuity);
    }
    let fault = Fault::new(
        format!("{} is beyond any chart; allowed is from -0.5 to 3 logMAR (20/20000)", quoted(text)),
        body(text),
    );
    Err(match acuity {
        Acuity::Snellen { num, den, letters: 0 } if num > den => fault.or(format!("{den}/{num}")),
        _ => fault,
    })
}

/// Names of the grades below the chart.
const FINGERS: &[&str] = &["counting fingers", "counts fingers", "count fingers", "finger counting", "cf", "fc"];
const HAND: &[&str] = &["hand movements", "hand movement", "hand motions", "hand motion", "hand movts", "hm", "hms"];
const NO_LIGHT: &[&str] =
    &["no perception of light", "no light perception", "no perception light", "npl", "nlp", "no pl", "no lp"];
const LIGHT: &[&str] = &["perception of light", "light perception", "light projection", "pl", "lp"];

/// An acuity below the chart, if the text begins with one.
fn read_words(text: &str) -> Result<Option<Acuity>, Fault> {
    let words = plain(text);
    if NO_LIGHT.contains(&words.as_str()) {
        return Ok(Some(Acuity::NoLightPerception));
    }
    let after = |names: &[&str]| {
        names.iter().find_map(|name| {
            let rest = words.strip_prefix(name)?;
            rest.chars().next().is_none_or(|letter| !letter.is_alphabetic()).then(|| rest.trim().to_owned())
        })
    };
    if let Some(rest) = after(LIGHT) {
        return match projection(&rest) {
            Some(projection) => Ok(Some(Acuity::LightPerception { projection })),
            None => Err(Fault::new(
                format!(
                    "{} is not understood after `PL`; `with projection` or `without projection` is allowed",
                    quoted(&rest)
                ),
                body(text),
            )
            .or("PL")),
        };
    }
    if let Some(rest) = after(FINGERS) {
        let distance_m = distance(text, &rest, "CF")?;
        return Ok(Some(Acuity::CountingFingers { distance_m }));
    }
    if let Some(rest) = after(HAND) {
        let distance_m = distance(text, &rest, "HM")?;
        return Ok(Some(Acuity::HandMovements { distance_m }));
    }
    Ok(None)
}

/// What is written of the projection of light; `None` when it is not understood.
fn projection(rest: &str) -> Option<Option<bool>> {
    let rest = rest.trim_start_matches([',', ';']).trim();
    let rest = rest.strip_prefix('(').and_then(|inner| inner.strip_suffix(')')).unwrap_or(rest);
    match rest {
        "" => Some(None),
        "with projection"
        | "with good projection"
        | "with accurate projection"
        | "good projection"
        | "accurate projection"
        | "projection"
        | "projection good"
        | "projection accurate" => Some(Some(true)),
        "without projection"
        | "no projection"
        | "with poor projection"
        | "with inaccurate projection"
        | "poor projection"
        | "inaccurate projection"
        | "projection poor"
        | "projection inaccurate" => Some(Some(false)),
        _ => None,
    }
}

/// The distance after `CF` or `HM`, in metres.
fn distance(text: &str, rest: &str, sign: &str) -> Result<Option<Number>, Fault> {
    if rest.is_empty() {
        return Ok(None);
    }
    let fault = |why: &str| Fault::new(format!("{} is not understood after `{sign}`; {why}", quoted(rest)), body(text));
    let allowed = "a distance in m or cm such as `at 1 m` or `at 30 cm`, up to 6 m, is allowed";
    let mut cursor = Cursor::new(rest);
    if cursor.eat(&['@']).is_some() {
        cursor.spaces();
    } else {
        cursor.any_word(&["at"]);
    }
    let number = cursor.number().map_err(|inner| {
        // The inner fault counts in the rest, not in the text.
        let mends = inner.mends.into_iter().map(|mend| format!("{sign} {mend}"));
        Fault::new(inner.message, body(text)).or_any(mends)
    })?;
    let Some(number) = number.filter(|number| !number.signed) else {
        return Err(fault(allowed).or(sign));
    };
    cursor.spaces();
    let metres = match cursor.rest() {
        "m" | "metre" | "metres" | "meter" | "meters" => number.number,
        "cm" | "centimetres" | "centimeters" => Number::from_micro(number.number.micro() / 100),
        "ft" | "feet" | "foot" | "'" => {
            // One foot is 0.3048 m exactly (the international foot).
            return Err(fault(allowed).or(format!("{sign} at {:.2} m", number.number.value() * 0.3048)));
        }
        _ => {
            return Err(fault(allowed)
                .or(format!("{sign} at {} m", number.number))
                .or(format!("{sign} at {} cm", number.number)));
        }
    };
    if metres.micro() <= 0 || metres > HAND_FARTHEST {
        return Err(fault(allowed));
    }
    Ok(Some(metres))
}

impl fmt::Display for Acuity {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Snellen { num, den, letters: 0 } => write!(out, "{num}/{den}"),
            Self::Snellen { num, den, letters } => write!(out, "{num}/{den}{letters:+}"),
            Self::LogMar(number) => write!(out, "{number} logMAR"),
            Self::Decimal(number) => write!(out, "{number} decimal"),
            Self::CountingFingers { distance_m: None } => out.write_str("CF"),
            Self::CountingFingers { distance_m: Some(metres) } => write!(out, "CF at {metres} m"),
            Self::HandMovements { distance_m: None } => out.write_str("HM"),
            Self::HandMovements { distance_m: Some(metres) } => write!(out, "HM at {metres} m"),
            Self::LightPerception { projection: None } => out.write_str("PL"),
            Self::LightPerception { projection: Some(true) } => out.write_str("PL with projection"),
            Self::LightPerception { projection: Some(false) } => out.write_str("PL without projection"),
            Self::NoLightPerception => out.write_str("NPL"),
        }
    }
}

/// How an acuity was taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Taken {
    /// Without any correction.
    Unaided,
    /// With what the patient wears, if anything.
    Presenting,
    /// Through a pinhole.
    Pinhole,
    /// With the best correction found.
    BestCorrected,
}

impl Taken {
    /// Every way.
    pub const ALL: [Self; 4] = [Self::Unaided, Self::Presenting, Self::Pinhole, Self::BestCorrected];

    /// Reads `unaided`, `presenting`, `pinhole` or `best corrected`.
    ///
    /// # Errors
    /// A fault when the words are others.
    pub fn parse(text: &str) -> Result<Self, Fault> {
        let allowed = "unaided, presenting, pinhole or best corrected";
        judged(text, allowed, |text| match plain(text).as_str() {
            "unaided" | "uncorrected" | "ucva" | "udva" => Ok(Self::Unaided),
            "presenting" => Ok(Self::Presenting),
            "pinhole" | "ph" => Ok(Self::Pinhole),
            "best corrected" | "bcva" | "bscva" | "cdva" => Ok(Self::BestCorrected),
            words => {
                let near = crate::text::nearest(words, ["unaided", "presenting", "pinhole", "best corrected"]);
                Err(Fault::new(
                    format!("{} is not a way to take an acuity; allowed is {allowed}", quoted(text)),
                    body(text),
                )
                .or_any(near.map(str::to_owned)))
            }
        })
    }
}

impl fmt::Display for Taken {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(match self {
            Self::Unaided => "unaided",
            Self::Presenting => "presenting",
            Self::Pinhole => "pinhole",
            Self::BestCorrected => "best corrected",
        })
    }
}
