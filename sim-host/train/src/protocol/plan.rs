//! The machine from above, for the panel's plan view.

use serde::{Deserialize, Serialize};
use twinplate_sim::math::{cos, sin};
use twinplate_sim::model::{Batch, Machine, Outline};
use twinplate_sim::plant::places::dealt;

/// What lies in the plane of the plates. Angles counter-clockwise seen from above.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct PlanCard {
    /// Inner and outer radius of the plates, m.
    pub plate_m: [f64; 2],
    /// Pitch radius of the inner and the outer ring's pins, m.
    pub pins_m: [f64; 2],
    /// Pins of the inner and the outer ring.
    pub pins: [u32; 2],
    /// Radius on which the carriers' centres go round, m.
    pub orbit_m: f64,
    /// Pitch radius of a carrier, m.
    pub carrier_m: f64,
    /// Carriers; the first is laid in on the first axis, the others evenly round the machine.
    pub carriers: u32,
    /// Outline of a piece that is round: radius of its bore (0: none) and of its edge, m.
    pub round_m: Option<[f64; 2]>,
    /// Corners of one that is not, along and across from its middle, m.
    pub corners_m: Vec<[f64; 2]>,
    /// Pieces as they are laid in.
    pub pieces: Vec<PiecePlan>,
}

/// Where a piece lies in its carrier.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct PiecePlan {
    /// Its carrier, from 0.
    pub carrier: u32,
    /// From the carrier's centre, outwards and across as the carrier is laid in, m.
    pub at_m: [f64; 2],
    /// Direction in which it lies from there, rad.
    pub turned: f64,
}

impl PlanCard {
    /// The plan of a machine with a batch laid in.
    #[must_use]
    pub fn of(machine: &Machine, batch: &Batch) -> Self {
        let geometry = &machine.geometry;
        let (orbit, carrier) = (geometry.radius_orbit(), geometry.radius_carrier());
        let (round_m, corners_m) = outline(batch.outline);
        let pieces = dealt(geometry, batch).into_iter().map(|pocket| {
            let radius = batch
                .circles
                .get(pocket.circle as usize)
                .map_or(0.0, |circle| circle.radius);
            PiecePlan {
                carrier: pocket.carrier,
                at_m: [radius * cos(pocket.angle), radius * sin(pocket.angle)],
                turned: pocket.angle,
            }
        });
        Self {
            plate_m: [geometry.plate_inner / 2.0, geometry.plate_outer / 2.0],
            pins_m: [orbit - carrier, orbit + carrier],
            pins: [geometry.teeth_inner, geometry.teeth_outer],
            orbit_m: orbit,
            carrier_m: carrier,
            carriers: geometry.carriers,
            round_m,
            corners_m,
            pieces: pieces.collect(),
        }
    }
}

fn outline(outline: Outline) -> (Option<[f64; 2]>, Vec<[f64; 2]>) {
    match outline {
        Outline::Disc { diameter } => (Some([0.0, diameter / 2.0]), Vec::new()),
        Outline::Ring { outer, inner } => (Some([inner / 2.0, outer / 2.0]), Vec::new()),
        Outline::Rectangle { length, width } => {
            let (along, across) = (length / 2.0, width / 2.0);
            let corners = [[1.0, 1.0], [-1.0, 1.0], [-1.0, -1.0], [1.0, -1.0]];
            (None, corners.map(|[a, b]| [a * along, b * across]).to_vec())
        }
        Outline::Polygon(polygon) => (None, polygon.corners().to_vec()),
    }
}
