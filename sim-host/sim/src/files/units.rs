//! The table of units: spelling, dimension and exact ratio to SI.
//!
//! A ratio is kept as numerator and denominator so that "3 µm" becomes the double nearest to 3e-6, not three times a
//! rounded 1e-6.

mod dimension;

pub use dimension::Dimension;

/// One unit: SI value = (number × `numerator` / `denominator`) + `offset`; of a reciprocal unit the number's reciprocal is taken.
#[derive(Debug, PartialEq)]
pub struct Unit {
    /// Spelling in files, in the form that messages show.
    pub symbol: &'static str,
    /// What it measures.
    pub dimension: Dimension,
    /// Numerator of the ratio to the SI unit.
    pub numerator: f64,
    /// Denominator of the ratio to the SI unit.
    pub denominator: f64,
    /// Offset in the SI unit; zero but for temperatures.
    pub offset: f64,
    /// The larger the number, the smaller the quantity: teeth for each inch of pitch diameter.
    pub reciprocal: bool,
}

impl Unit {
    /// So many of this unit, in the SI unit of its dimension.
    #[must_use]
    pub fn to_si(&self, number: f64) -> f64 {
        if self.reciprocal {
            self.numerator / (number * self.denominator)
        } else {
            number * self.numerator / self.denominator + self.offset
        }
    }
}

const fn unit(
    symbol: &'static str,
    dimension: Dimension,
    numerator: f64,
    denominator: f64,
) -> Unit {
    Unit {
        symbol,
        dimension,
        numerator,
        denominator,
        offset: 0.0,
        reciprocal: false,
    }
}

use Dimension as D;

/// Avoirdupois pound, kg; exact by definition (NIST SP 811 appendix B.9).
pub(super) const POUND: f64 = 0.453_592_37;
/// Pound-force, N: the pound times standard gravity; exact.
pub const POUND_FORCE: f64 = 4.448_221_615_260_5;
/// Inch, m; exact.
pub const INCH: f64 = 0.025_4;
/// Pound-force on a square inch, Pa.
pub const PSI: f64 = POUND_FORCE / (INCH * INCH);
/// Gallon of the United States, m³: 231 cubic inches, exact (NIST SP 811 appendix B.8).
pub(super) const GALLON: f64 = 231.0 * INCH * INCH * INCH;
/// Revolution, rad.
const TURN: f64 = std::f64::consts::TAU;

/// Every unit that files may use. Spellings are compared after [`fold`], so "N m", "N*m" and "N·m" are one.
pub const UNITS: &[Unit] = &[
    unit("m", D::Length, 1.0, 1.0),
    unit("cm", D::Length, 1.0, 100.0),
    unit("mm", D::Length, 1.0, 1e3),
    unit("µm", D::Length, 1.0, 1e6),
    unit("nm", D::Length, 1.0, 1e9),
    unit("in", D::Length, INCH, 1.0),
    unit("µin", D::Length, INCH, 1e6),
    unit("microinch", D::Length, INCH, 1e6),
    unit("mil", D::Length, INCH, 1e3),
    unit("thou", D::Length, INCH, 1e3),
    unit("ft", D::Length, 12.0 * INCH, 1.0),
    unit("micron", D::Length, 1.0, 1e6),
    // Half a wavelength of the yellow helium line; where a batch names another lamp, half of its wavelength.
    unit(LIGHT_BANDS, D::Length, crate::plant::part_form::HELIUM, 2.0),
    unit("kg", D::Mass, 1.0, 1.0),
    unit("g", D::Mass, 1.0, 1e3),
    unit("t", D::Mass, 1e3, 1.0),
    unit("lb", D::Mass, POUND, 1.0),
    unit("oz", D::Mass, POUND, 16.0),
    unit("N", D::Force, 1.0, 1.0),
    unit("mN", D::Force, 1.0, 1e3),
    unit("kN", D::Force, 1e3, 1.0),
    unit("lbf", D::Force, POUND_FORCE, 1.0),
    unit("kgf", D::Force, crate::model::G, 1.0),
    unit("Pa", D::Pressure, 1.0, 1.0),
    unit("hPa", D::Pressure, 100.0, 1.0),
    unit("kPa", D::Pressure, 1e3, 1.0),
    unit("MPa", D::Pressure, 1e6, 1.0),
    unit("GPa", D::Pressure, 1e9, 1.0),
    unit("mbar", D::Pressure, 100.0, 1.0),
    unit("bar", D::Pressure, 1e5, 1.0),
    unit("N/cm²", D::Pressure, 1e4, 1.0),
    unit("N/mm²", D::Pressure, 1e6, 1.0),
    unit("kgf/cm²", D::Pressure, crate::model::G * 1e4, 1.0),
    // What a scale shows on a square centimetre.
    unit("g/cm²", D::Pressure, crate::model::G * 10.0, 1.0),
    unit("gf/cm²", D::Pressure, crate::model::G * 10.0, 1.0),
    unit("psi", D::Pressure, POUND_FORCE, INCH * INCH),
    unit("lbf/in²", D::Pressure, POUND_FORCE, INCH * INCH),
    unit("s", D::Time, 1.0, 1.0),
    unit("ms", D::Time, 1.0, 1e3),
    unit("µs", D::Time, 1.0, 1e6),
    unit("min", D::Time, 60.0, 1.0),
    unit("h", D::Time, 3600.0, 1.0),
    unit("m/s", D::Speed, 1.0, 1.0),
    unit("mm/s", D::Speed, 1.0, 1e3),
    unit("µm/s", D::Speed, 1.0, 1e6),
    unit("m/min", D::Speed, 1.0, 60.0),
    unit("mm/min", D::Speed, 1.0, 60e3),
    unit("in/s", D::Speed, INCH, 1.0),
    unit("in/min", D::Speed, INCH, 60.0),
    unit("ft/min", D::Speed, 12.0 * INCH, 60.0),
    unit("µm/min", D::Speed, 1.0, 60e6),
    unit("nm/min", D::Speed, 1.0, 60e9),
    unit("mil/min", D::Speed, INCH, 60e3),
    unit("rpm", D::AngularSpeed, TURN, 60.0),
    unit("r/min", D::AngularSpeed, TURN, 60.0),
    unit("1/min", D::AngularSpeed, TURN, 60.0),
    unit("rad/s", D::AngularSpeed, 1.0, 1.0),
    unit("deg/s", D::AngularSpeed, TURN, 360.0),
    unit("rad/s²", D::AngularAcceleration, 1.0, 1.0),
    unit("rpm/s", D::AngularAcceleration, TURN, 60.0),
    unit("N·m", D::Torque, 1.0, 1.0),
    unit("Nm", D::Torque, 1.0, 1.0),
    unit("mN·m", D::Torque, 1.0, 1e3),
    unit("kN·m", D::Torque, 1e3, 1.0),
    unit("lbf·in", D::Torque, POUND_FORCE * INCH, 1.0),
    unit("lbf·ft", D::Torque, POUND_FORCE * INCH * 12.0, 1.0),
    unit("kg·m²", D::Inertia, 1.0, 1.0),
    unit("kg·cm²", D::Inertia, 1.0, 1e4),
    unit("g·cm²", D::Inertia, 1.0, 1e7),
    unit("lb·ft²", D::Inertia, POUND * 144.0 * INCH * INCH, 1.0),
    unit("lb·in²", D::Inertia, POUND * INCH * INCH, 1.0),
    unit("m³/s", D::Flow, 1.0, 1.0),
    unit("m³/h", D::Flow, 1.0, 3600.0),
    unit("L/s", D::Flow, 1.0, 1e3),
    unit("L/min", D::Flow, 1.0, 60e3),
    unit("L/h", D::Flow, 1.0, 3600e3),
    unit("mL/s", D::Flow, 1.0, 1e6),
    unit("mL/min", D::Flow, 1.0, 60e6),
    unit("cc/min", D::Flow, 1.0, 60e6),
    unit("cm³/min", D::Flow, 1.0, 60e6),
    unit("gal/min", D::Flow, GALLON, 60.0),
    unit("gal/h", D::Flow, GALLON, 3600.0),
    unit("m³", D::Volume, 1.0, 1.0),
    unit("L", D::Volume, 1.0, 1e3),
    unit("mL", D::Volume, 1.0, 1e6),
    unit("cm³", D::Volume, 1.0, 1e6),
    unit("cc", D::Volume, 1.0, 1e6),
    unit("gal", D::Volume, GALLON, 1.0),
    unit("qt", D::Volume, GALLON, 4.0),
    unit("°C", D::Temperature, 1.0, 1.0),
    unit("degC", D::Temperature, 1.0, 1.0),
    Unit {
        symbol: "K",
        dimension: D::Temperature,
        numerator: 1.0,
        denominator: 1.0,
        offset: -273.15,
        reciprocal: false,
    },
    Unit {
        symbol: "°F",
        dimension: D::Temperature,
        numerator: 5.0,
        denominator: 9.0,
        offset: -160.0 / 9.0,
        reciprocal: false,
    },
    unit("J/m²", D::EnergyPerArea, 1.0, 1.0),
    unit("kJ/m²", D::EnergyPerArea, 1e3, 1.0),
    unit("MJ/m²", D::EnergyPerArea, 1e6, 1.0),
    unit("J/cm²", D::EnergyPerArea, 1e4, 1.0),
    unit("N/m³", D::StiffnessPerArea, 1.0, 1.0),
    unit("N/mm³", D::StiffnessPerArea, 1e9, 1.0),
    unit("Pa/m", D::StiffnessPerArea, 1.0, 1.0),
    unit("kPa/µm", D::StiffnessPerArea, 1e9, 1.0),
    unit("MPa/mm", D::StiffnessPerArea, 1e9, 1.0),
    unit("kg/m³", D::Density, 1.0, 1.0),
    unit("g/cm³", D::Density, 1e3, 1.0),
    unit("kg/L", D::Density, 1e3, 1.0),
    unit("lb/in³", D::Density, POUND, INCH * INCH * INCH),
    unit("lb/ft³", D::Density, POUND, 1728.0 * INCH * INCH * INCH),
    unit("%", D::Ratio, 1.0, 100.0),
    unit("‰", D::Ratio, 1.0, 1e3),
    unit("ppm", D::Ratio, 1.0, 1e6),
    unit("Hz", D::Frequency, 1.0, 1.0),
    unit("kHz", D::Frequency, 1e3, 1.0),
    unit("1/s", D::Frequency, 1.0, 1.0),
    unit("J/K", D::HeatCapacity, 1.0, 1.0),
    unit("kJ/K", D::HeatCapacity, 1e3, 1.0),
    unit("W/K", D::Conductance, 1.0, 1.0),
    unit("kW/K", D::Conductance, 1e3, 1.0),
    unit("N·s/m", D::Damping, 1.0, 1.0),
    unit("kN·s/m", D::Damping, 1e3, 1.0),
    unit("N·s/mm", D::Damping, 1e3, 1.0),
    unit("lbf·s/in", D::Damping, POUND_FORCE, INCH),
    unit("N/K", D::ForceDrift, 1.0, 1.0),
    unit("mN/K", D::ForceDrift, 1.0, 1e3),
    unit("lbf/°F", D::ForceDrift, POUND_FORCE * 9.0, 5.0),
    unit("N/s", D::ForceRate, 1.0, 1.0),
    unit("kN/s", D::ForceRate, 1e3, 1.0),
    unit("N/min", D::ForceRate, 1.0, 60.0),
    unit("lbf/s", D::ForceRate, POUND_FORCE, 1.0),
    unit("1/Pa", D::PerPressure, 1.0, 1.0),
    unit("1/kPa", D::PerPressure, 1.0, 1e3),
    unit("1/MPa", D::PerPressure, 1.0, 1e6),
    unit("1/bar", D::PerPressure, 1.0, 1e5),
    unit("m²/N", D::PerPressure, 1.0, 1.0),
    unit("1/N", D::PerForce, 1.0, 1.0),
    unit("1/kN", D::PerForce, 1.0, 1e3),
    unit("%/N", D::PerForce, 1.0, 100.0),
    unit("1/lbf", D::PerForce, 1.0, POUND_FORCE),
    unit("%/lbf", D::PerForce, 1.0, 100.0 * POUND_FORCE),
    unit("1/kgf", D::PerForce, 1.0, crate::model::G),
    unit("1/K", D::Expansion, 1.0, 1.0),
    unit("ppm/K", D::Expansion, 1.0, 1e6),
    unit("W/(m·K)", D::Conductivity, 1.0, 1.0),
    unit("rad", D::Angle, 1.0, 1.0),
    unit("°", D::Angle, TURN, 360.0),
    unit("deg", D::Angle, TURN, 360.0),
    // Diametral pitch: teeth for each inch of pitch diameter.
    Unit {
        symbol: "DP",
        dimension: D::Module,
        numerator: INCH,
        denominator: 1.0,
        offset: 0.0,
        reciprocal: true,
    },
];

/// How a length in light bands is written.
pub(super) const LIGHT_BANDS: &str = "light bands";

/// Brings spellings of one unit together: both micro signs and `u`, every multiplication sign, superscripts and `^`,
/// litre in either case, one and several of what is written out.
pub(super) fn fold(unit: &str) -> String {
    let mut folded = String::with_capacity(unit.len());
    for c in unit.trim().chars() {
        match c {
            '\u{b5}' | '\u{3bc}' => folded.push('u'),
            '*' | '⋅' | '·' | '×' | ' ' | '\u{a0}' | '\u{202f}' => {
                if !folded.ends_with('·') {
                    folded.push('·');
                }
            }
            '²' => folded.push('2'),
            '³' => folded.push('3'),
            '^' => {}
            c => folded.push(c),
        }
    }
    match folded.as_str() {
        "l" => "L".into(),
        "light·band" | "bands" | "band" => fold(LIGHT_BANDS),
        "mils" => "mil".into(),
        "microns" => "micron".into(),
        "microinches" => "microinch".into(),
        "ml" => "mL".into(),
        _ => {
            if let Some(rest) = folded.strip_prefix("l/") {
                format!("L/{rest}")
            } else if let Some(rest) = folded.strip_prefix("ml/") {
                format!("mL/{rest}")
            } else {
                folded
            }
        }
    }
}

/// Units of the table that are made of pounds and inches: trade units beside SI.
pub(super) const TRADE: [&str; 33] = [
    "in",
    "µin",
    "microinch",
    "mil",
    "thou",
    "ft",
    "in/s",
    "in/min",
    "ft/min",
    "mil/min",
    "lb",
    "oz",
    "lbf",
    "lbf/s",
    "lbf·in",
    "lbf·ft",
    "psi",
    "lbf/in²",
    "gal",
    "qt",
    "gal/min",
    "gal/h",
    "lb·ft²",
    "lb·in²",
    "lbf·s/in",
    "lbf/°F",
    "1/lbf",
    "%/lbf",
    "lb/in³",
    "lb/ft³",
    "DP",
    "°F",
    LIGHT_BANDS,
];

/// Whether a length was typed in inches or what belongs to them: its differences are then told in micro-inches.
#[must_use]
pub fn is_of_inches(symbol: &str) -> bool {
    ["in", "µin", "microinch", "mil", "thou", "ft"].contains(&symbol)
}

/// Finds a unit by any of its spellings.
#[must_use]
pub fn find(symbol: &str) -> Option<&'static Unit> {
    let folded = fold(symbol);
    UNITS.iter().find(|unit| fold(unit.symbol) == folded)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_psi_is_what_nist_says() {
        // NIST SP 811 (2008), B.8: psi to pascal, 6.894 757 E+03.
        assert!(crate::math::abs(PSI - 6894.757) < 5e-4, "{PSI}");
    }

    #[test]
    fn trade_units_are_units_of_the_table() {
        for symbol in TRADE {
            assert!(
                find(symbol).is_some_and(|unit| unit.symbol == symbol),
                "{symbol}"
            );
        }
    }
}
