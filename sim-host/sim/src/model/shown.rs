//! In which units people are answered: those they typed. Only texts and pictures ask here; nothing is computed in these units.
//!
//! Each kind of quantity has one unit. [`Shown::default`] has the units of the demonstration set; [`crate::files`] puts in their place
//! what recipe, batch and machine were typed in.

use crate::math::{abs, ceil, floor, log, round};

/// A kind of quantity that people are answered in one unit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Of {
    /// A load, N.
    Load,
    /// Pressure on the parts, kPa.
    Pressure,
    /// Pressure of air, bar.
    Air,
    /// Thickness of parts, mm.
    Thickness,
    /// Differences of thickness: errors, tolerances, stock, µm.
    Size,
    /// Roughness Ra, µm.
    Finish,
    /// Depth of damage, µm.
    Depth,
    /// Flatness of a face, µm.
    Flatness,
    /// Thickness difference within a part, µm.
    Parallelism,
    /// Form and wear of the plates, µm.
    Form,
    /// Grains, µm.
    Grain,
    /// Sizes of machine, carriers and pockets, mm.
    Length,
    /// Sliding speed, m/s.
    Sliding,
    /// Speed of the plate up and down, mm/s.
    Travel,
    /// Loss of thickness by time, µm/min.
    Rate,
    /// Rate of change of a load, N/s.
    Ramp,
    /// Flow of slurry, L/min.
    Flow,
    /// Volume of slurry, L.
    Volume,
    /// Torque, N·m.
    Torque,
    /// Mass, kg.
    Mass,
    /// Temperature, °C.
    Temperature,
    /// Gain of the load loop, 1/N.
    Gain,
}

impl Of {
    /// Every kind, in the order of the declaration.
    pub(crate) const ALL: [Self; 22] = [
        Self::Load,
        Self::Pressure,
        Self::Air,
        Self::Thickness,
        Self::Size,
        Self::Finish,
        Self::Depth,
        Self::Flatness,
        Self::Parallelism,
        Self::Form,
        Self::Grain,
        Self::Length,
        Self::Sliding,
        Self::Travel,
        Self::Rate,
        Self::Ramp,
        Self::Flow,
        Self::Volume,
        Self::Torque,
        Self::Mass,
        Self::Temperature,
        Self::Gain,
    ];

    /// The unit that reports count this kind in: the demonstration set's.
    #[must_use]
    pub const fn unit(self) -> &'static str {
        HOUSE[self as usize].symbol
    }
}

/// A unit to answer in: a quantity in SI is (number × `numerator` / `denominator`) + `offset`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct AnswerUnit {
    /// Its spelling.
    pub symbol: &'static str,
    /// See above.
    pub numerator: f64,
    /// See above.
    pub denominator: f64,
    /// See above, in the SI unit.
    pub offset: f64,
}

impl AnswerUnit {
    /// A quantity in SI, in this unit.
    fn of_si(&self, si: f64) -> f64 {
        (si - self.offset) * self.denominator / self.numerator
    }

    /// So many of this unit, in SI.
    fn to_si(self, number: f64) -> f64 {
        number * self.numerator / self.denominator + self.offset
    }
}

/// How light bands are written in answers: as short as they may be typed, for tables have little room.
pub(crate) const BANDS: &str = "bands";

const fn unit(symbol: &'static str, numerator: f64, denominator: f64) -> AnswerUnit {
    AnswerUnit {
        symbol,
        numerator,
        denominator,
        offset: 0.0,
    }
}

/// Micrometres: what most kinds of length are answered in.
const MICRO: AnswerUnit = unit("µm", 1.0, 1e6);

/// The units of the demonstration set, in the order of [`Of`]; `files` holds them against its table.
pub(crate) const HOUSE: [AnswerUnit; Of::ALL.len()] = [
    unit("N", 1.0, 1.0),
    unit("kPa", 1e3, 1.0),
    unit("bar", 1e5, 1.0),
    unit("mm", 1.0, 1e3),
    MICRO,
    MICRO,
    MICRO,
    MICRO,
    MICRO,
    MICRO,
    MICRO,
    unit("mm", 1.0, 1e3),
    unit("m/s", 1.0, 1.0),
    unit("mm/s", 1.0, 1e3),
    unit("µm/min", 1.0, 60e6),
    unit("N/s", 1.0, 1.0),
    unit("L/min", 1.0, 60e3),
    unit("L", 1.0, 1e3),
    unit("N·m", 1.0, 1.0),
    unit("kg", 1.0, 1.0),
    unit("°C", 1.0, 1.0),
    unit("1/N", 1.0, 1.0),
];

/// The units of answers, one for each kind of quantity.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shown([AnswerUnit; Of::ALL.len()]);

impl Default for Shown {
    fn default() -> Self {
        Self(HOUSE)
    }
}

impl Shown {
    /// From the unit of each kind, in the order of [`Of`].
    pub(crate) const fn new(units: [AnswerUnit; Of::ALL.len()]) -> Self {
        Self(units)
    }

    /// The unit of a kind.
    const fn unit(&self, of: Of) -> AnswerUnit {
        self.0[of as usize]
    }

    /// How the unit of a kind is written.
    #[must_use]
    pub const fn symbol(&self, of: Of) -> &'static str {
        self.unit(of).symbol
    }

    /// Whether a kind is answered in light bands.
    #[must_use]
    pub fn is_of_bands(&self, of: Of) -> bool {
        self.symbol(of) == BANDS
    }

    /// SI units in the unit of a kind, and its offset in SI: for pages that convert by themselves.
    #[must_use]
    pub const fn size(&self, of: Of) -> [f64; 2] {
        let unit = self.unit(of);
        [unit.numerator / unit.denominator, unit.offset]
    }

    /// A quantity in SI, in the unit of its kind.
    #[must_use]
    pub fn number(&self, of: Of, si: f64) -> f64 {
        self.unit(of).of_si(si)
    }

    /// So many of the unit of a kind, in SI.
    #[must_use]
    pub fn si(&self, of: Of, number: f64) -> f64 {
        self.unit(of).to_si(number)
    }

    /// A number of the demonstration set's unit of a kind, which reports count in, in the unit of this one.
    #[must_use]
    pub fn again(&self, of: Of, number: f64) -> f64 {
        let (unit, house) = (self.unit(of), HOUSE[of as usize]);
        if unit == house {
            number
        } else {
            unit.of_si(house.to_si(number))
        }
    }

    /// A quantity in SI to so many significant digits, with its unit.
    #[must_use]
    pub fn say(&self, of: Of, si: f64, digits: usize) -> String {
        self.with(of, &significant(self.number(of, si), digits))
    }

    /// The number alone of [`Self::say`].
    #[must_use]
    pub fn bare(&self, of: Of, si: f64, digits: usize) -> String {
        significant(self.number(of, si), digits)
    }

    /// As [`Self::say`], of a number that reports count in.
    #[must_use]
    pub fn tell(&self, of: Of, number: f64, digits: usize) -> String {
        self.with(of, &significant(self.again(of, number), digits))
    }

    /// The number alone of [`Self::tell`], for a table whose head has the unit.
    #[must_use]
    pub fn digits(&self, of: Of, number: f64, digits: usize) -> String {
        significant(self.again(of, number), digits)
    }

    /// The least number of so many digits that is no less than a quantity in SI, with its unit: a cure that asks for so much or more
    /// heals when it is typed as it stands.
    #[must_use]
    pub fn at_least(&self, of: Of, si: f64, digits: usize) -> String {
        self.with(
            of,
            &significant(bound(self.number(of, si), digits, ceil), digits),
        )
    }

    /// The largest number of so many digits that is no more than a quantity in SI, with its unit.
    #[must_use]
    pub fn at_most(&self, of: Of, si: f64, digits: usize) -> String {
        self.with(
            of,
            &significant(bound(self.number(of, si), digits, floor), digits),
        )
    }

    /// A number that reports count in, to the decimals that show as much as `places` decimals do there.
    #[must_use]
    pub fn fixed(&self, of: Of, number: f64, places: usize) -> String {
        format!("{:.*}", self.places(of, places), self.again(of, number))
    }

    /// As [`Self::fixed`], with its unit.
    #[must_use]
    pub fn fixed_with(&self, of: Of, number: f64, places: usize) -> String {
        self.with(of, &self.fixed(of, number, places))
    }

    /// As [`Self::fixed`], with its sign.
    #[must_use]
    pub fn signed(&self, of: Of, number: f64, places: usize) -> String {
        format!("{:+.*}", self.places(of, places), self.again(of, number))
    }

    /// Decimals that show as much in the unit of a kind as `places` decimals do in that of the demonstration set.
    #[must_use]
    pub fn places(&self, of: Of, places: usize) -> usize {
        let (unit, house) = (self.unit(of), HOUSE[of as usize]);
        let ratio = unit.numerator / unit.denominator * house.denominator / house.numerator;
        // Ratios of units lie within ±12 powers of ten; a hair less, so that a power of ten is itself.
        #[allow(clippy::cast_possible_truncation)]
        let more = ceil(log(ratio) / std::f64::consts::LN_10 - 1e-9) as i32;
        let places = i32::try_from(places).unwrap_or(0) + more;
        usize::try_from(places).unwrap_or(0)
    }

    /// A number with the unit of a kind behind it.
    #[must_use]
    pub fn with(&self, of: Of, number: &str) -> String {
        format!("{number} {}", self.symbol(of))
    }
}

/// A number to so many significant digits, rounded by `to` where it has more.
fn bound(value: f64, digits: usize, to: fn(f64) -> f64) -> f64 {
    if value == 0.0 || !value.is_finite() {
        return value;
    }
    // A magnitude of f64 lies within ±324, far inside i32.
    #[allow(clippy::cast_possible_truncation)]
    let magnitude = floor(log(abs(value)) / std::f64::consts::LN_10) as i32;
    let shift = i32::try_from(digits).unwrap_or(3) - 1 - magnitude;
    // Read from text, because a power computed may be a bit off.
    let power = format!("1e{}", shift.abs()).parse().unwrap_or(1.0);
    let scaled = if shift < 0 {
        value / power
    } else {
        value * power
    };
    let nearest = round(scaled);
    // A round number of which its last bits are lost is that number.
    let whole = if abs(nearest - scaled) <= 1e-9 * abs(scaled) {
        nearest
    } else {
        to(scaled)
    };
    if shift < 0 {
        whole * power
    } else {
        whole / power
    }
}

/// A number with `digits` significant digits and no exponent where it can be read without one.
///
/// Values below 1e-4 or from 1e7 in magnitude are written with an exponent.
#[must_use]
pub fn significant(value: f64, digits: usize) -> String {
    if value == 0.0 {
        return "0".to_owned();
    }
    if !value.is_finite() {
        return "unbounded".to_owned();
    }
    let magnitude = floor(log(abs(value)) / std::f64::consts::LN_10);
    // A magnitude of f64 lies within ±324, far inside i32.
    #[allow(clippy::cast_possible_truncation)]
    let magnitude = magnitude as i32;
    if !(-4..7).contains(&magnitude) {
        return format!("{value:.*e}", digits.saturating_sub(1));
    }
    let wanted = i32::try_from(digits).unwrap_or(3) - 1 - magnitude;
    let places = usize::try_from(wanted).unwrap_or(0);
    let text = format!("{value:.places$}");
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}
