//! How wrong a machine file may be, and how one drawn machine differs from it.

use serde::{Deserialize, Serialize};

/// Half-widths of what the machine file admits about itself; each a share unless a unit is named.
/// No narrower than the process model's section 9.
#[derive(Clone, Debug, PartialEq)]
pub struct Envelope {
    /// Regulator gain (0.05).
    pub regulator_gain: f64,
    /// Regulator offset, share of full scale (0.01).
    pub regulator_offset: f64,
    /// Upper plate weight (0.02).
    pub weight: f64,
    /// Counterbalance pressure (0.02).
    pub counterbalance: f64,
    /// Seal friction (0.5).
    pub seal_friction: f64,
    /// Regulator lag (0.3).
    pub lag: f64,
    /// Regulator dead time (0.3).
    pub dead_time: f64,
    /// Contact stiffness: divided or multiplied by up to this factor (3).
    pub stiffness_factor: f64,
    /// Supply pressure may be lower by this share (0.15), never higher.
    pub supply: f64,
    /// Cell span (0.005).
    pub cell_span: f64,
    /// Cell noise may be up to this factor (2).
    pub noise_factor: f64,
    /// Friction coefficient (0.4).
    pub friction: f64,
    /// Removal coefficient (0.3).
    pub removal: f64,
    /// Part thickness spread may be up to this factor (1.5).
    pub spread_factor: f64,
    /// Zero of the size gauge after it was set, ±m (0.5 µm).
    pub gauge_bias: f64,
    /// Drift of the size gauge's zero over a shift of eight hours, ±m (0.5 µm).
    pub gauge_drift: f64,
    /// Thermal offset of the size gauge (0.5).
    pub gauge_temperature: f64,
}

/// How one drawn machine and batch differ from their files. [`Deviations::NOMINAL`] is the file itself.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Deviations {
    /// Factor on the regulator's gain.
    pub regulator_gain: f64,
    /// Offset of the regulator, share of full scale.
    pub regulator_offset: f64,
    /// Factor on the plate's weight.
    pub weight: f64,
    /// Factor on the counterbalance pressure.
    pub counterbalance: f64,
    /// Factor on seal friction and breakaway.
    pub seal_friction: f64,
    /// Factor on the regulator's lag.
    pub lag: f64,
    /// Factor on the regulator's dead time.
    pub dead_time: f64,
    /// Factor on contact stiffness.
    pub stiffness: f64,
    /// Factor on supply pressure.
    pub supply: f64,
    /// Factor on cell span.
    pub cell_span: f64,
    /// Factor on cell noise.
    pub noise: f64,
    /// Factor on the friction coefficient.
    pub friction: f64,
    /// Factor on the removal coefficient.
    pub removal: f64,
    /// Factor on the part thickness spread.
    pub spread: f64,
    /// Zero of the size gauge, m. Journals from before this and the two below have none.
    #[serde(default)]
    pub gauge_bias: f64,
    /// Drift of the size gauge's zero over a shift, m.
    #[serde(default)]
    pub gauge_drift: f64,
    /// Factor on the size gauge's thermal offset.
    #[serde(default = "one")]
    pub gauge_temperature: f64,
    /// Where the machine file's assumed keys truly lie.
    #[serde(default, skip_serializing_if = "Varied::is_nominal")]
    pub assumed: Varied,
}

/// Where the keys that a machine file leaves out truly lie within their envelopes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub enum Varied {
    /// As assumed.
    #[default]
    Nominal,
    /// All drawn: draw `index` of `seed`.
    Drawn {
        /// Seed of the draws.
        seed: u64,
        /// Number of the draw.
        index: u64,
    },
    /// One key at a place of its envelope, the others as assumed.
    One {
        /// Number of the key's [rule](crate::assumed::rules).
        key: u8,
        /// Place, -1 its lower and 1 its upper end.
        place: f64,
    },
}

impl Varied {
    // Serde hands over a reference.
    #[allow(clippy::trivially_copy_pass_by_ref)]
    fn is_nominal(&self) -> bool {
        *self == Self::Nominal
    }
}

const fn one() -> f64 {
    1.0
}

impl Deviations {
    /// The machine and batch exactly as their files say.
    pub const NOMINAL: Self = Self {
        regulator_gain: 1.0,
        regulator_offset: 0.0,
        weight: 1.0,
        counterbalance: 1.0,
        seal_friction: 1.0,
        lag: 1.0,
        dead_time: 1.0,
        stiffness: 1.0,
        supply: 1.0,
        cell_span: 1.0,
        noise: 1.0,
        friction: 1.0,
        removal: 1.0,
        spread: 1.0,
        gauge_bias: 0.0,
        gauge_drift: 0.0,
        gauge_temperature: 1.0,
        assumed: Varied::Nominal,
    };

    /// The first value that no machine can have, by name: a factor outside 0.01..=100, an offset outside ±1, or a gauge more than
    /// 1 mm off. A journal may carry anything; what it carries is checked here before a machine is made of it.
    #[must_use]
    pub fn impossible(&self) -> Option<(&'static str, f64)> {
        let factors = [
            ("regulator_gain", self.regulator_gain),
            ("weight", self.weight),
            ("counterbalance", self.counterbalance),
            ("seal_friction", self.seal_friction),
            ("lag", self.lag),
            ("dead_time", self.dead_time),
            ("stiffness", self.stiffness),
            ("supply", self.supply),
            ("cell_span", self.cell_span),
            ("noise", self.noise),
            ("friction", self.friction),
            ("removal", self.removal),
            ("spread", self.spread),
        ];
        let place = match self.assumed {
            Varied::One { place, .. } => place,
            Varied::Nominal | Varied::Drawn { .. } => 0.0,
        };
        // A gauge may not feel the heat at all, or feel it the other way round.
        let offsets = [
            ("regulator_offset", self.regulator_offset, 1.0),
            ("gauge_bias", self.gauge_bias, 1e-3),
            ("gauge_drift", self.gauge_drift, 1e-3),
            ("gauge_temperature", self.gauge_temperature, 100.0),
            ("assumed", place, 1.0),
        ];
        for (name, off, most) in offsets {
            if !(-most..=most).contains(&off) {
                return Some((name, off));
            }
        }
        factors
            .into_iter()
            .find(|(_, factor)| !(0.01..=100.0).contains(factor))
    }
}
