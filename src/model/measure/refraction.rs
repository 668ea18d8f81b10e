//! Refractions: sphere, cylinder and axis, and what is computed from them.

use serde::{Deserialize, Serialize};
use std::fmt;
use std::ops::{Add, Sub};

use super::Fault;
use super::number::Number;
use super::scan::{Cursor, Written, body, judged, quoted, replaced};

/// What a refraction may be, for messages.
const REFRACTIONS: &str = "sphere, cylinder and axis with their signs (`-0.25 -0.50 x 90`), `+1.00 DS` or `plano`";

/// A refraction in dioptres with its axis in degrees.
///
/// The axis is a whole number from 1 to 180 and is there exactly when the cylinder is not nought.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct Refraction {
    sphere: Number,
    cylinder: Number,
    axis: Option<u8>,
}

impl Refraction {
    /// Reads a refraction.
    ///
    /// # Errors
    /// A fault when the words are no refraction, or a power lacks its sign.
    pub fn parse(text: &str) -> Result<Self, Fault> {
        judged(text, REFRACTIONS, read)
    }

    /// The sphere in dioptres.
    pub fn sphere(&self) -> Number {
        self.sphere
    }

    /// The cylinder in dioptres, of either sign.
    pub fn cylinder(&self) -> Number {
        self.cylinder
    }

    /// The axis in degrees, 1 to 180; `None` without a cylinder.
    pub fn axis(&self) -> Option<u8> {
        self.axis
    }

    /// Spherical equivalent in dioptres: sphere and half the cylinder.
    pub fn spherical_equivalent(&self) -> f64 {
        // In whole millionths, so that both ways to write one lens give the same number.
        (2 * self.sphere.micro() + self.cylinder.micro()) as f64 / 2e6
    }

    /// Prediction error in dioptres: this spherical equivalent less the target. Below nought is a surprise towards
    /// short sight.
    pub fn prediction_error(&self, target: Number) -> f64 {
        self.spherical_equivalent() - target.value()
    }

    /// The same lens with the cylinder of the other sign.
    pub fn transposed(&self) -> Self {
        Self {
            sphere: self.sphere.plus(self.cylinder),
            cylinder: self.cylinder.negated(),
            axis: self.axis.map(|axis| if axis > 90 { axis - 90 } else { axis + 90 }),
        }
    }

    /// The refraction as a power vector.
    pub fn power_vector(&self) -> PowerVector {
        let double = f64::from(self.axis.unwrap_or(0)).to_radians() * 2.0;
        let half = -self.cylinder.value() / 2.0;
        PowerVector { m: self.spherical_equivalent(), j0: half * libm::cos(double), j45: half * libm::sin(double) }
    }
}

/// A refraction as three independent parts in dioptres, which may be added and averaged
/// (Thibos, Wheeler & Horner 1997): M = S + C/2, J0 = -(C/2) cos 2A, J45 = -(C/2) sin 2A.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PowerVector {
    /// Spherical equivalent.
    pub m: f64,
    /// Astigmatism along 180 and 90 degrees.
    pub j0: f64,
    /// Astigmatism along 45 and 135 degrees.
    pub j45: f64,
}

impl PowerVector {
    /// Overall blur strength B, the length of the vector.
    pub fn blur(&self) -> f64 {
        libm::sqrt(self.m * self.m + self.j0 * self.j0 + self.j45 * self.j45)
    }

    /// The lens of this vector, with a cylinder that is nought or below.
    pub fn minus_cylinder(&self) -> Spherocylinder {
        let half = libm::sqrt(self.j0 * self.j0 + self.j45 * self.j45);
        Spherocylinder { sphere: self.m + half, cylinder: -2.0 * half, axis: axis_of(half, self.j0, self.j45) }
    }

    /// The lens of this vector, with a cylinder that is nought or above.
    pub fn plus_cylinder(&self) -> Spherocylinder {
        let half = libm::sqrt(self.j0 * self.j0 + self.j45 * self.j45);
        Spherocylinder { sphere: self.m - half, cylinder: 2.0 * half, axis: axis_of(half, -self.j0, -self.j45) }
    }
}

/// Axis in degrees above 0 and up to 180; `None` when the cylinder is less than a thousandth of a dioptre, too small
/// to have one.
fn axis_of(half: f64, j0: f64, j45: f64) -> Option<f64> {
    if half < 0.0005 {
        return None;
    }
    let axis = (libm::atan2(j45, j0) / 2.0).to_degrees();
    Some(if axis <= 0.0 { axis + 180.0 } else { axis })
}

impl Add for PowerVector {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self { m: self.m + other.m, j0: self.j0 + other.j0, j45: self.j45 + other.j45 }
    }
}

impl Sub for PowerVector {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self { m: self.m - other.m, j0: self.j0 - other.j0, j45: self.j45 - other.j45 }
    }
}

/// A computed lens: powers in dioptres, axis in degrees above 0 and up to 180.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spherocylinder {
    /// Sphere.
    pub sphere: f64,
    /// Cylinder.
    pub cylinder: f64,
    /// Axis, if there is a cylinder.
    pub axis: Option<f64>,
}

/// Power at the cornea of a lens worn `distance_mm` before it: F / (1 - d F). `None` where the focus of the lens falls
/// on the cornea or before it, so that no power could stand in its place.
pub fn vertex(power: f64, distance_mm: f64) -> Option<f64> {
    let left = 1.0 - distance_mm / 1000.0 * power;
    (left > 0.0).then(|| power / left)
}

fn read(text: &str) -> Result<Refraction, Fault> {
    let mut cursor = Cursor::new(text);
    let (sphere, flat) = read_sphere(text, &mut cursor)?;
    let named = cursor.any_word(&["DS", "D", "dioptres", "dioptre", "sph"]);
    cursor.spaces();
    if cursor.done() {
        if !named && !flat {
            let fault = Fault::new(
                format!("{} is a sphere alone; `DS` after it says that the cylinder was not forgotten", quoted(text)),
                body(text),
            );
            return Err(fault.or(format!("{} DS", sphere.signed())));
        }
        return Ok(Refraction { sphere, cylinder: Number::whole(0), axis: None });
    }
    if cursor.eat(&['/', ',', ';']).is_some() {
        cursor.spaces();
    }
    let Some(cylinder) = cursor.number()? else {
        return Err(unclear(&cursor));
    };
    needs_sign(text, &cylinder, "cylinder")?;
    cursor.spaces();
    cursor.any_word(&["DC", "D", "dioptres", "dioptre", "cyl"]);
    cursor.spaces();
    let cylinder = cylinder.number;
    let crossed = cursor.eat(&['x', 'X', '×', '@', '*']).is_some() || cursor.word("axis") || cursor.word("ax");
    if !crossed {
        if cylinder.is_zero() && cursor.done() {
            return Ok(Refraction { sphere, cylinder, axis: None });
        }
        if !cursor.done() {
            return Err(unclear(&cursor));
        }
        return Err(Fault::new(
            format!("{} has a cylinder without its axis; write `x` and the axis from 1 to 180", quoted(text)),
            body(text),
        ));
    }
    cursor.spaces();
    cursor.any_word(&["axis"]);
    let axis = cursor.number()?.ok_or_else(|| unclear(&cursor))?;
    cursor.spaces();
    cursor.eat(&['°', 'º']);
    cursor.any_word(&["degrees", "deg"]);
    if !cursor.done() {
        return Err(unclear(&cursor));
    }
    let axis = read_axis(text, &axis)?;
    Ok(Refraction { sphere, cylinder, axis: (!cylinder.is_zero()).then_some(axis) })
}

/// The sphere, and whether it was written as a word.
fn read_sphere(text: &str, cursor: &mut Cursor<'_>) -> Result<(Number, bool), Fault> {
    if cursor.any_word(&["plano", "pl"]) {
        return Ok((Number::whole(0), true));
    }
    let Some(sphere) = cursor.number()? else {
        return Err(Fault::new(format!("{} is not a refraction; allowed is {REFRACTIONS}", quoted(text)), body(text)));
    };
    needs_sign(text, &sphere, "sphere")?;
    cursor.spaces();
    Ok((sphere.number, false))
}

/// Refuses a power without its sign: nobody can tell a forgotten minus from a plus.
fn needs_sign(text: &str, power: &Written, name: &str) -> Result<(), Fault> {
    if power.signed || power.number.is_zero() {
        return Ok(());
    }
    let written = &text[power.part.clone()];
    Err(Fault::new(format!("the {name} {} has no sign; plus or minus is needed", quoted(written)), power.part.clone())
        .or(replaced(text, power.part.clone(), &format!("-{written}")))
        .or(replaced(text, power.part.clone(), &format!("+{written}"))))
}

/// The axis as a whole number from 1 to 180; 0 is written 180.
fn read_axis(text: &str, axis: &Written) -> Result<u8, Fault> {
    let fault = || {
        Fault::new(
            format!("the axis {} is not a whole number from 1 to 180", quoted(&text[axis.part.clone()])),
            axis.part.clone(),
        )
    };
    let whole = axis.number.as_whole().filter(|_| !axis.signed).ok_or_else(fault)?;
    match u8::try_from(whole) {
        Ok(0) => Ok(180),
        Ok(axis) if axis <= 180 => Ok(axis),
        // Half a turn further is the same axis.
        _ if whole <= 360 => Err(fault().or(replaced(text, axis.part.clone(), &(whole - 180).to_string()))),
        _ => Err(fault()),
    }
}

fn unclear(cursor: &Cursor<'_>) -> Fault {
    let part = cursor.rest_part();
    Fault::new(format!("{} is not understood here; allowed is {REFRACTIONS}", quoted(cursor.rest())), part)
}

impl fmt::Display for Refraction {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sphere = if self.sphere.is_zero() { "plano".to_owned() } else { self.sphere.signed() };
        match self.axis {
            Some(axis) => write!(out, "{sphere} {} x {axis}", self.cylinder.signed()),
            None if self.sphere.is_zero() => out.write_str(&sphere),
            None => write!(out, "{sphere} DS"),
        }
    }
}
