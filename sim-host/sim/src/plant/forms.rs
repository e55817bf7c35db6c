//! Plates and parts press each other into form: once a second, from what the windows of that second did.

use super::circles::{Circles, OnCircles};
use super::footing::{Footing, Rise};
use super::kinematics::CarrierMotion;
use super::part_form::{Lapped, PartForms, Reading, read};
use super::paths::{Footprint, Path, RINGS, Rub, Turning};
use super::places::dealt;
use super::plate_form::{PlateForm, pressure_shares};
use super::{PartTruth, Plant};
use crate::math::{abs, max, min};
use crate::model::{Batch, CIRCLES, Deviations, G, Machine, Outline, Process};
use firmware_core::process_image::FACES;
use std::sync::Arc;

/// Windows of a second: how often the forms are renewed. They change over minutes.
const WINDOWS: u32 = 10;
/// Change of a turning against a plate, share of the fastest, from which the sliding over the rings is worked out anew.
const SAME_SPEED: f64 = 1e-3;

/// What of machine and batch does not change.
#[derive(Debug, PartialEq)]
struct Fixed {
    parts: Rub,
    carriers: Rub,
    circles: Circles,
    /// Of each circle.
    readings: Vec<Reading>,
    footing: Footing,
    /// Area that rubs in each ring, m²: how much a ring counts in the mean pressure.
    weight: [f64; RINGS],
    /// First and last ring under the middle of a part.
    centres: [usize; 2],
}

/// What the forms need of one window.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Rubbed {
    /// Mean load, N.
    pub load: f64,
    /// Integral of `k_p f g b`, s/Pa.
    pub grind: f64,
    /// Integral of `k_p v f g b` at each face of the parts on each circle, m/Pa.
    pub work: OnCircles,
    /// Motion of the carriers and speeds of the plates, rad/s.
    pub motion: CarrierMotion,
    pub plates: [f64; FACES],
}

/// Forms of one loading, and the second that is being gathered.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Forms {
    fixed: Arc<Fixed>,
    pub parts: PartForms,
    /// Wear coefficient of the plates over the parts' removal coefficient.
    wear: f64,
    stiffness: f64,
    area: f64,
    /// Pressure of the carriers' and of the parts' own weight on the lower plate, Pa.
    own: [f64; 2],
    /// Sliding of parts and carriers over the rings of each plate, m/s, and the turnings it belongs to.
    sliding: [[f64; RINGS]; FACES],
    carrier_sliding: [f64; RINGS],
    turning: [Turning; FACES],
    windows: u32,
    grind: f64,
    pressed: f64,
    work: OnCircles,
    /// Least and most pressure along the path of the parts' middles as shares of the mean, summed over the removal, and the removal.
    contact: [f64; 3],
}

impl Forms {
    pub fn new(
        machine: &Machine,
        batch: &Batch,
        process: Process,
        dev: &Deviations,
        seed: u64,
    ) -> Self {
        let g = &machine.geometry;
        let parts = Rub::new(g, &Footprint::of_batch(g, batch));
        let carrier = Outline::Disc {
            diameter: 2.0 * g.radius_carrier(),
        };
        let footprint = Footprint::of_part(carrier, 0.0).times(f64::from(g.carriers));
        let carriers = Rub::new(g, &footprint);
        let rings = parts.rings();
        // The paths on the other circles lie within the outermost's.
        let path = Path {
            orbit: g.radius_orbit(),
            rho: batch.outermost(),
        };
        let circles = Circles::new(g, batch);
        let reading = |(radius, _)| Reading::new(g, batch.outline, radius);
        Self {
            fixed: Arc::new(Fixed {
                carriers,
                readings: circles.iter().map(reading).collect(),
                circles,
                footing: Footing::new(g, batch.outline),
                weight: parts.areas(),
                centres: path.ends().map(|r| rings.holding(r)),
                parts,
            }),
            parts: PartForms::new(batch, process, &dealt(g, batch), dev, seed),
            wear: machine.plates.wear,
            stiffness: batch.stiffness_per_area * dev.stiffness,
            area: max(batch.area(), 1e-9),
            own: [
                batch.carrier_material.density() * G * batch.carrier_thickness,
                batch.density * G * batch.thickness,
            ],
            sliding: [[0.0; RINGS]; FACES],
            carrier_sliding: [0.0; RINGS],
            turning: [Turning::default(); FACES],
            windows: 0,
            grind: 0.0,
            pressed: 0.0,
            work: OnCircles::default(),
            contact: [0.0; 3],
        }
    }

    /// Another loading of the same batch.
    pub(super) fn lay_in(&mut self, batch: &Batch, dev: &Deviations, seed: u64) {
        self.parts.lay_in(batch, dev, seed);
        self.contact = [0.0; 3];
    }

    /// Least and most pressure along the path of the parts' middles, shares of the mean, over what was removed; `None` before.
    fn contact(&self) -> Option<[f64; 2]> {
        let [least, most, removal] = self.contact;
        (removal > 0.0).then(|| [least / removal, most / removal])
    }

    fn gather(&mut self, window: &Rubbed) -> bool {
        self.windows += 1;
        self.grind += window.grind;
        self.pressed += window.grind * window.load;
        let used = self.fixed.circles.count();
        for (sums, work) in self.work.iter_mut().zip(&window.work).take(used) {
            for (sum, work) in sums.iter_mut().zip(work) {
                *sum += work;
            }
        }
        self.windows >= WINDOWS
    }

    /// Sliding over the rings, worked out again where the speeds have changed.
    fn slide(&mut self, window: &Rubbed) {
        let now = window
            .plates
            .map(|plate| Turning::new(window.motion, plate));
        let fastest = now
            .iter()
            .fold(0.0, |most, t| max(most, max(abs(t.orbit), abs(t.spin))));
        let same = self.turning.iter().zip(&now).all(|(was, is)| {
            let off = max(abs(was.orbit - is.orbit), abs(was.spin - is.spin));
            off <= SAME_SPEED * fastest
        });
        if same {
            return;
        }
        self.turning = now;
        for (sliding, turning) in self.sliding.iter_mut().zip(now) {
            self.fixed.parts.sliding(turning, sliding);
        }
        self.fixed
            .carriers
            .sliding(now[0], &mut self.carrier_sliding);
    }

    /// Takes off both plates what a time at `mean` Pa wears, `shares` of which press on each ring.
    pub(super) fn wear_plates(
        &mut self,
        plates: &mut PlateForm,
        rubbed: &Rubbed,
        mean: f64,
        shares: &[f64; RINGS],
    ) {
        self.slide(rubbed);
        let ground = self.wear * rubbed.grind;
        let [carriers, parts] = self.own;
        plates.wear(
            0,
            (0..RINGS).map(|j| {
                ground
                    * (self.sliding[0][j] * (mean * shares[j] + parts)
                        + self.carrier_sliding[j] * carriers)
            }),
        );
        plates.wear(
            1,
            (0..RINGS).map(|j| ground * self.sliding[1][j] * mean * shares[j]),
        );
    }

    /// Pressure of the parts' own weight on their lower face, Pa.
    pub(super) const fn parts_own(&self) -> f64 {
        self.own[1]
    }

    /// Shares of the pressure of `mean` Pa on the rings of plates as they are.
    pub(super) fn pressed(&self, plates: &PlateForm, mean: f64) -> [f64; RINGS] {
        pressure_shares(&plates.together(), &self.fixed.weight, mean, self.stiffness)
    }

    /// Shares of the pressure of `mean` Pa on the rings once plates have run in on each other: what they lose together is then alike
    /// everywhere, what the parts' and the carriers' own weight takes off the lower plate included.
    pub(super) fn run_in(&mut self, rubbed: &Rubbed, mean: f64) -> [f64; RINGS] {
        self.slide(rubbed);
        let [carriers, parts] = self.own;
        // By own weight, and by a pascal between the plates.
        let rates = |j: usize| {
            let own = self.sliding[0][j] * parts + self.carrier_sliding[j] * carriers;
            (own, self.sliding[0][j] + self.sliding[1][j])
        };
        let (mut pressed, mut yields, mut owned) = (0.0, 0.0, 0.0);
        for (j, weight) in self.fixed.weight.iter().enumerate() {
            let (own, both) = rates(j);
            if both > 0.0 {
                pressed += weight * mean;
                yields += weight / both;
                owned += weight * own / both;
            }
        }
        let mut shares = [0.0; RINGS];
        if pressed <= 0.0 {
            return shares;
        }
        let even = (pressed + owned) / yields;
        for (j, share) in shares.iter_mut().enumerate() {
            let (own, both) = rates(j);
            if both > 0.0 && self.fixed.weight[j] > 0.0 {
                *share = max(even - own, 0.0) / (both * mean);
            }
        }
        shares
    }

    /// What the plates' form adds to the tops of the parts.
    pub(super) fn rise(&self, plates: &PlateForm) -> Rise {
        self.fixed
            .footing
            .rise(&plates.together(), &self.fixed.weight)
    }

    /// Form of a face where parts touch it, m, + convex; heat included where `warm`.
    pub(super) fn form_of(&self, plates: &PlateForm, face: usize, warm: bool) -> f64 {
        plates.form(face, &self.fixed.weight, warm)
    }

    /// Edge over middle that a plate offers the parts in the mean of their circles, m, height towards the parts, as warm as it is.
    pub(super) fn sag_of(&self, plates: &PlateForm, face: usize) -> f64 {
        let fixed = &self.fixed;
        fixed
            .circles
            .mean(|i| offered(&fixed.readings[i], plates, face))
    }

    fn clear(&mut self) {
        self.windows = 0;
        self.grind = 0.0;
        self.pressed = 0.0;
        self.work = OnCircles::default();
    }
}

/// Edge over middle that a plate offers parts that read it like this, m, height towards the parts, as warm as it is.
fn offered(reading: &Reading, plates: &PlateForm, face: usize) -> f64 {
    read(&reading.sag, (0..RINGS).map(|j| plates.height(face, j)))
}

impl Plant {
    /// The forms' share of a window.
    pub(super) fn form(&mut self, window: &Rubbed) {
        if !self.forms.gather(window) {
            return;
        }
        let forms = &mut self.forms;
        let plates = &mut self.lasting.plates;
        plates.warm(self.lasting.heat.through);
        if forms.pressed > 0.0 && self.loaded {
            let mean = forms.pressed / (forms.grind * forms.area);
            let shares = pressure_shares(
                &plates.together(),
                &forms.fixed.weight,
                mean,
                forms.stiffness,
            );
            let second = Rubbed {
                grind: forms.grind,
                ..*window
            };
            forms.wear_plates(plates, &second, mean, &shares);
            let fixed = &forms.fixed;
            let [first, last] = fixed.centres;
            let along = shares.get(first..=last).unwrap_or_default();
            let least = along.iter().copied().fold(f64::INFINITY, min);
            let most = along.iter().copied().fold(0.0, max);
            for (sum, share) in forms.contact.iter_mut().zip([least, most, 1.0]) {
                *sum += share * forms.pressed;
            }
            let mut lapped = [Lapped::default(); CIRCLES];
            for ((lapped, work), reading) in lapped.iter_mut().zip(forms.work).zip(&fixed.readings)
            {
                let sag = |face| offered(reading, plates, face);
                lapped.work = work;
                lapped.pressure = mean;
                lapped.offered = [sag(0), -sag(1)];
            }
            forms.parts.lap(&lapped[..fixed.circles.count()]);
        }
        self.seat.rise = forms.rise(plates);
        forms.clear();
    }
}

/// Form of plates and parts, for judging and drawing. Lengths in m.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FormTruth {
    /// Worst peak to valley of a face of the product, the roll-off's bound in it.
    pub flatness: f64,
    /// Largest thickness difference within a part of the product, the roll-off's bound in it.
    pub variation: f64,
    /// The roll-off's bound: the larger of the two faces.
    pub roll: f64,
    /// Least and most pressure on a part along its path, shares of the mean, over the removal; 1 and 1 before any.
    pub contact: [f64; 2],
    /// Form of the lower and the upper plate as it is, heat included: inner edge over outer edge of what parts touch, + convex.
    pub warm: [f64; FACES],
    /// The same at one temperature.
    pub cold: [f64; FACES],
}

impl Plant {
    /// True states of the parts in pocket order, dummies last.
    pub fn parts(&self) -> impl ExactSizeIterator<Item = PartTruth> + '_ {
        let forms = &self.forms.parts;
        self.parts.iter().enumerate().map(|(i, part)| PartTruth {
            sags: forms.shown_sags(i),
            ..part
        })
    }

    /// Form of plates and parts after the last second.
    pub(crate) fn form_truth(&self) -> FormTruth {
        let forms = &self.forms;
        let plates = &self.lasting.plates;
        let product = || {
            let parts = self.parts.iter().enumerate();
            parts
                .filter(|(_, part)| part.present && !part.dummy)
                .map(|(i, _)| i)
        };
        let flatness = product().flat_map(|i| forms.parts.flatness(i));
        let variation = product().map(|i| forms.parts.variation(i));
        let roll = product().flat_map(|i| forms.parts.roll(i)).fold(0.0, max);
        FormTruth {
            flatness: flatness.fold(0.0, max),
            variation: variation.fold(0.0, max),
            roll,
            contact: forms.contact().unwrap_or([1.0, 1.0]),
            warm: [0, 1].map(|face| forms.form_of(plates, face, true)),
            cold: [0, 1].map(|face| forms.form_of(plates, face, false)),
        }
    }
}

/// What heat that has settled does to both plates, and to the pressure on the parts between them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SettledGap {
    /// Temperature difference between face and cooling of the lower and the upper plate, K.
    pub difference: [f64; FACES],
    /// Rise of the middle of each face over its outer edge by that heat, m, as of a full disc.
    pub bow: [f64; FACES],
    /// By how much more the two faces come together at their inner edge than at their outer one by that heat, m.
    pub edges: f64,
    /// Elastic sink of the parts under the mean pressure, m.
    pub sink: f64,
    /// Least pressure on a part along its path as a share of the mean, with the heat and with the form that the machine file gives the
    /// plates. Under zero: so much is missing to touch at all.
    pub least: f64,
}

impl SettledGap {
    /// Where `mean` (Pa) presses and `power` (W) goes through each plate.
    #[must_use]
    pub fn new(machine: &Machine, batch: &Batch, mean: f64, power: [f64; FACES]) -> Self {
        let g = &machine.geometry;
        let mut plates = PlateForm::new(machine);
        plates.warm(power);
        let path = Path {
            orbit: g.radius_orbit(),
            rho: batch.outermost(),
        };
        let parts = Rub::new(g, &Footprint::of_batch(g, batch));
        let (together, areas) = (plates.together(), parts.areas());
        let level = read(&areas, together.into_iter()) / areas.iter().sum::<f64>();
        let [first, last] = path.ends().map(|r| parts.rings().holding(r));
        let along = together.get(first..=last).unwrap_or_default();
        let lowest = along.iter().copied().fold(f64::INFINITY, min);
        let sink = mean / batch.stiffness_per_area;
        let [inner, outer] = [g.plate_inner, g.plate_outer].map(|d| d * d / 8.0);
        let curved = plates.curvature();
        Self {
            difference: plates.difference(power),
            bow: curved.map(|curvature| curvature * outer),
            edges: curved.iter().sum::<f64>() * (outer - inner),
            sink,
            least: 1.0 + (lowest - level) / sink,
        }
    }
}
