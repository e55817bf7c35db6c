//! Plain data about shapes: outlines of parts, the plates, and what keeps them in form.

use super::{Geometry, Polygon};
use crate::math::min;
use std::f64::consts::PI;

/// What the plates are made of, how they are cooled, how fast they wear and how flat they are.
#[derive(Clone, Debug, PartialEq)]
pub struct Plates {
    /// Wear coefficient of a plate over the removal coefficient of the parts on it.
    pub wear: f64,
    /// Form of the lower and the upper working face before the first batch, everywhere at one temperature, m: how much higher the
    /// inner edge is than the outer edge, + convex.
    pub form: [f64; 2],
    /// Thermal expansion, 1/K.
    pub expansion: f64,
    /// Thermal conductivity, W/(m·K).
    pub conductivity: f64,
    /// Depth of the cooling channels under the working face, m; more than the plate is thick means cooled at its back.
    pub cooling_depth: f64,
}

/// Flat ring tools that condition both plates at once, one in the place of each carrier.
#[derive(Clone, Debug, PartialEq)]
pub struct Conditioning {
    /// Outer and inner diameter of a tool, m.
    pub outer: f64,
    /// See `outer`.
    pub inner: f64,
    /// Load on all tools together, N.
    pub load: f64,
    /// Wear coefficient of a plate under a tool, 1/Pa.
    pub wear: f64,
    /// Speeds, rad/s, `Drive` order.
    pub speeds: [f64; 4],
    /// How long, s.
    pub time: f64,
    /// Form of either plate after a batch, inner edge over outer edge to either side, from which they are conditioned, m.
    pub at: f64,
}

/// Outline of a part.
#[derive(Clone, Copy, Debug, PartialEq)]
#[allow(clippy::large_enum_variant)] // a batch has one, and reads it more often than it is copied
pub enum Outline {
    /// Disc of a diameter, m.
    Disc {
        /// Diameter, m.
        diameter: f64,
    },
    /// Ring, m.
    Ring {
        /// Outer diameter, m.
        outer: f64,
        /// Inner diameter, m.
        inner: f64,
    },
    /// Rectangle, m.
    Rectangle {
        /// Length, m.
        length: f64,
        /// Width, m.
        width: f64,
    },
    /// Any polygon.
    Polygon(Polygon),
}

impl Outline {
    /// Area of one face, m².
    #[must_use]
    pub fn area(self) -> f64 {
        match self {
            Self::Disc { diameter } => PI / 4.0 * diameter * diameter,
            Self::Ring { outer, inner } => PI / 4.0 * (outer * outer - inner * inner),
            Self::Rectangle { length, width } => length * width,
            Self::Polygon(polygon) => polygon.area(),
        }
    }

    /// Radius of the largest disc about its middle that its outer edge holds, m: the room for what is written on it.
    #[must_use]
    pub fn room(self) -> f64 {
        match self {
            Self::Disc { .. } | Self::Ring { .. } => self.outer_radius(),
            Self::Rectangle { length, width } => 0.5 * min(length, width),
            Self::Polygon(polygon) => polygon.depth([0.0; 2]),
        }
    }

    /// Radius of the circle around the part, about its middle, m.
    #[must_use]
    pub fn outer_radius(self) -> f64 {
        match self {
            Self::Disc { diameter } => diameter / 2.0,
            Self::Ring { outer, .. } => outer / 2.0,
            Self::Rectangle { length, width } => crate::math::hypot(length, width) / 2.0,
            Self::Polygon(polygon) => polygon.outer_radius(),
        }
    }
}

impl Geometry {
    /// Form of a spherical plate, inner edge over outer edge, over the sag that it leaves on a part between its bore (0: none) and its
    /// outer diameter, m: squares of diameters, because a sphere's height falls with the square of the radius.
    #[must_use]
    pub(crate) fn form_over_sag(&self, outer: f64, bore: f64) -> f64 {
        let band = |outer: f64, inner: f64| outer * outer - inner * inner;
        band(self.plate_outer, self.plate_inner) / band(outer, bore)
    }
}

/// Another way to turn the pin rings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rings {
    /// Both rings turn against their programmed directions.
    pub reverse: bool,
    /// The inner ring turns faster by this share, the outer one slower.
    pub trim: f64,
}

impl Rings {
    /// As the steps say.
    pub const PROGRAMMED: Self = Self {
        reverse: false,
        trim: 0.0,
    };

    /// How the rings turn, for people.
    #[must_use]
    pub fn words(&self) -> String {
        let percent = crate::math::round(self.trim * 1000.0) / 10.0;
        match (self.reverse, crate::math::abs(percent) > 0.0) {
            (false, false) => "as programmed".into(),
            (true, false) => "reversed".into(),
            (false, true) => format!("trimmed by {percent:+} %"),
            (true, true) => format!("reversed, trimmed by {percent:+} %"),
        }
    }
}

/// What an operator reports the form of the plates by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Measured {
    /// A straightedge across each plate: how much higher its inner edge stands than its outer edge.
    Straightedge,
    /// The light bands of the parts that lay on it: the sphere that would leave the same on their faces.
    Bands,
}

impl Measured {
    /// Every member with its word in files.
    pub const NAMES: [(&str, Self); 2] = [
        (Self::Straightedge.name(), Self::Straightedge),
        (Self::Bands.name(), Self::Bands),
    ];

    /// Its word in files.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Straightedge => "straightedge",
            Self::Bands => "bands",
        }
    }

    /// What an operator reads it in.
    #[must_use]
    pub const fn unit(self) -> &'static str {
        match self {
            Self::Straightedge => "µm by the straightedge",
            Self::Bands => "light bands on the parts",
        }
    }
}

/// Flatness control in process: what the controller may choose from, and when.
#[derive(Clone, Debug, PartialEq)]
pub struct FlatnessControl {
    /// What the form is reported by; the computed changes are those of the same measure.
    pub measured: Measured,
    /// Form within which a plate needs no correction, m.
    pub deadband: f64,
    /// Form beyond which no cycle starts, m.
    pub limit: f64,
    /// Batches after which the form must be reported again.
    pub longest_unreported: u32,
    /// Settings beside the programmed one.
    pub settings: Vec<Rings>,
}
