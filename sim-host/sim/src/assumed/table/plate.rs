//! What a plate is by its drawing.

use crate::model::Machine;
use std::f64::consts::PI;

/// Density of grey cast iron, kg/m³ (handbook value, from memory).
const IRON: f64 = 7200.0;

/// Working face of a plate, m².
pub(super) fn face(m: &Machine) -> f64 {
    let g = &m.geometry;
    PI / 4.0 * (g.plate_outer * g.plate_outer - g.plate_inner * g.plate_inner)
}

/// Mass of a plate of cast iron, kg.
pub(super) fn mass(m: &Machine) -> f64 {
    IRON * face(m) * m.geometry.plate_thickness
}

/// Moment of inertia of a mass (kg) spread as a plate is, kg·m².
pub(super) fn disc(m: &Machine, mass: f64) -> f64 {
    let g = &m.geometry;
    mass * (g.plate_outer * g.plate_outer + g.plate_inner * g.plate_inner) / 8.0
}
