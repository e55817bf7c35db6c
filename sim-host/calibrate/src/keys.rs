//! What the sheets of slurry, heat and plates have in common: keys of a machine file with their intervals, and what stands behind them.

use crate::least_squares::{Estimate, Row};
use twinplate_sim::files::quantity::{Unit, find};

/// What a sheet says of a key.
#[derive(Clone, Debug, PartialEq)]
pub enum Found {
    /// Its value.
    Told {
        /// In SI units, with its interval.
        estimate: Estimate,
        /// What belongs into the file, SI: the value, or the cautious end of its interval.
        written: f64,
    },
    /// Why it says nothing.
    Untold(String),
}

impl Found {
    /// The value itself is written.
    pub(crate) const fn plain(estimate: Estimate) -> Self {
        Self::Told {
            written: estimate.value,
            estimate,
        }
    }

    /// Nothing, and why.
    pub(crate) fn untold(why: &str) -> Self {
        Self::Untold(why.to_owned())
    }
}

/// A key of a machine file.
#[derive(Clone, Debug, PartialEq)]
pub struct Key {
    /// Its table.
    pub table: &'static str,
    /// Its name.
    pub name: &'static str,
    /// Unit in which it is shown and written.
    pub unit: &'static Unit,
    /// Readings behind it.
    pub readings: usize,
    /// What was found.
    pub found: Found,
}

impl Key {
    /// A value of SI units in the key's own unit.
    #[must_use]
    pub fn typed(&self, si: f64) -> f64 {
        (si - self.unit.offset) * self.unit.denominator / self.unit.numerator
    }

    /// The estimate in SI units, where there is one.
    #[must_use]
    pub const fn told(&self) -> Option<Estimate> {
        match self.found {
            Found::Told { estimate, .. } => Some(estimate),
            Found::Untold(_) => None,
        }
    }

    /// What belongs into the file, SI, where there is something.
    #[must_use]
    pub const fn written(&self) -> Option<f64> {
        match self.found {
            Found::Told { written, .. } => Some(written),
            Found::Untold(_) => None,
        }
    }

    /// Whether the end of the interval is written, and not the value.
    #[must_use]
    pub fn cautious(&self) -> bool {
        matches!(self.found, Found::Told { estimate, written } if written != estimate.value)
    }
}

/// A unit of the tables that is known to be there.
pub(crate) fn known(symbol: &'static str) -> &'static Unit {
    const NONE: &Unit = &Unit {
        symbol: "",
        dimension: twinplate_sim::files::quantity::Dimension::Ratio,
        numerator: 1.0,
        denominator: 1.0,
        offset: 0.0,
        reciprocal: false,
    };
    find(symbol).unwrap_or(NONE)
}

/// Rows that were fitted together.
#[derive(Clone, Debug, PartialEq)]
pub struct Group {
    /// What they measure.
    pub name: &'static str,
    /// The rows; residuals in `unit`, or shares where that is `%`.
    pub rows: Vec<Row>,
    /// As measured and as fitted, in `unit` of `value`.
    pub values: Vec<[f64; 2]>,
    /// What `values` are.
    pub value: String,
    /// Unit of the residuals; `%` where they are logarithms.
    pub unit: &'static str,
    /// SI units in it.
    pub size: f64,
    /// Coefficients that were fitted.
    pub coefficients: usize,
}

/// A picture: points as measured, a line as fitted.
#[derive(Clone, Debug, PartialEq)]
pub struct Chart {
    /// Its title.
    pub title: String,
    /// Words at its axes: upright, along.
    pub axes: [String; 2],
    /// Points as measured.
    pub points: Vec<[f64; 2]>,
    /// Lines as fitted, each in order.
    pub lines: Vec<Vec<[f64; 2]>>,
}

/// Which sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Stopwatch and bucket: the slurry system.
    Slurry,
    /// Temperatures of the plates.
    Heat,
    /// Form of the plates over batches.
    Plates,
}

impl Kind {
    /// Word of the verb.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Slurry => "slurry",
            Self::Heat => "heat",
            Self::Plates => "plates",
        }
    }
}

/// What a calibration of keys found.
#[derive(Clone, Debug, PartialEq)]
pub struct KeysReport {
    /// Which sheet.
    pub kind: Kind,
    /// The sheet.
    pub file: String,
    /// What is in it.
    pub subject: String,
    /// The keys, in the order of the file.
    pub keys: Vec<Key>,
    /// What follows, and what cannot be told apart.
    pub findings: Vec<String>,
    /// Why the readings do not fit; nothing is written then.
    pub contradicted: Vec<String>,
    /// Rows with their residuals.
    pub groups: Vec<Group>,
    /// Pictures.
    pub charts: Vec<Chart>,
    /// What was assumed.
    pub notes: Vec<String>,
}

impl KeysReport {
    /// Whether the readings follow what the keys mean.
    #[must_use]
    pub fn fits(&self) -> bool {
        self.contradicted.is_empty()
    }

    /// Word of the verdict, for programs and people.
    #[must_use]
    pub fn word(&self) -> &'static str {
        match (
            self.fits(),
            self.keys.iter().any(|key| key.told().is_some()),
        ) {
            (false, _) => "does not fit",
            (true, true) => "fits",
            (true, false) => "tells nothing",
        }
    }
}
