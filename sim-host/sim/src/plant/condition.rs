//! Conditioning: flat ring tools in the carriers' place wear both plates flat between two batches.

use super::kinematics::carrier_motion;
use super::lasting::Lasting;
use super::paths::{Footprint, RINGS, Rub, Turning};
use super::plate_form::PlateForm;
use crate::math::max;
use crate::model::{Conditioning, Geometry, Outline};
use firmware_core::process_image::FACES;

/// Stiffness per area of the film between tool and plates, N/m³: as that of the demonstration parts. Invented.
const TOOL_STIFFNESS: f64 = 1e10;
/// One step, s.
const STEP: f64 = 1.0;

impl Lasting {
    /// Conditions both plates with the machine's tools, as warm as they are. The temperatures stay as they were: the work is light.
    pub fn condition(&mut self, g: &Geometry, tools: &Conditioning) {
        let ring = Outline::Ring {
            outer: tools.outer,
            inner: tools.inner,
        };
        let footprint = Footprint::of_part(ring, 0.0).times(f64::from(g.carriers));
        let rub = Rub::new(g, &footprint);
        let area = footprint.area();
        let motion = carrier_motion(g, &tools.speeds);
        let mut sliding = [[0.0; RINGS]; FACES];
        for (face, sliding) in sliding.iter_mut().enumerate() {
            rub.sliding(Turning::new(motion, tools.speeds[2 + face]), sliding);
        }
        let mean = tools.load / area;
        let steps = (tools.time / STEP) as u32;
        for _ in 0..steps {
            let pressure = under_tools(&self.plates, &rub, mean);
            for face in 0..FACES {
                let worn = sliding[face]
                    .iter()
                    .zip(&pressure[face])
                    .map(|(v, p)| tools.wear * v * p * STEP);
                self.plates.wear(face, worn);
            }
        }
    }
}

/// Pressure of a flat, stiff tool on each ring of the lower and the upper plate, Pa: where the plates come together both are pressed;
/// where one is hollow as the other is crowned the tool leans with the slope, and presses only what is left of it.
fn under_tools(plates: &PlateForm, rub: &Rub, mean: f64) -> [[f64; RINGS]; FACES] {
    let rings = rub.rings();
    let (together, areas) = (plates.together(), rub.areas());
    let mut apart = [0.0; RINGS];
    // Weight, place, their product, square, difference, place times difference.
    let mut sums = [0.0; 5];
    let mut level = 0.0;
    for (j, apart) in apart.iter_mut().enumerate() {
        *apart = plates.height(0, j) - plates.height(1, j);
        let (weight, r) = (areas[j], rings.middle(j));
        for (sum, term) in sums.iter_mut().zip([1.0, r, r * r, *apart, r * *apart]) {
            *sum += weight * term;
        }
        level += weight * together[j];
    }
    let [n, r, rr, h, rh] = sums;
    let slope = (n * rh - r * h) / (n * rr - r * r);
    let start = (h - slope * r) / n;
    let level = level / n;
    let mut pressure = [[0.0; RINGS]; FACES];
    for j in 0..RINGS {
        let pressed = mean + TOOL_STIFFNESS * (together[j] - level);
        let leant = TOOL_STIFFNESS * (apart[j] - start - slope * rings.middle(j));
        pressure[0][j] = max(pressed + leant, 0.0);
        pressure[1][j] = max(pressed - leant, 0.0);
    }
    pressure
}
