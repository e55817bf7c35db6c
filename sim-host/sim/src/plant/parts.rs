//! The parts: each its own thickness, its own pressure, its own removal on two faces.
//!
//! Removal (Preston, Journal of the Society of Glass Technology 11 (1927) 214): `dh/dt = k_p p v f(w) g(c) b` per face, the
//! lower face under the part's own weight as well. Updated every hundred ticks from the mean load of the window, shared as the
//! plate tilts on the parts (`tilt`).

use super::abrasion::Abrasion;
use super::circles::OnCircles;
use super::contact::Contact;
use super::pair::{sum, sums_where_over};
use super::places::Places;
use super::seat::Seat;
use super::seed::stream;
use crate::math::{abs, exp, max};
use crate::model::{Batch, Consumables, Deviations, G, LoadingOrder};
use firmware_core::process_image::FACES;
use rand_distr::{Distribution, StandardNormal};

/// Thickness is drawn normal, and drawn again beyond this many standard deviations: sorted stock has no tails.
pub const CUT: f64 = 2.5;

/// Windows between two looks at the parts' peak loads while the total presses no harder than before.
const PEAK_WINDOWS: u32 = 10;

/// True state of one part.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PartTruth {
    /// Thickness, m.
    pub thickness: f64,
    /// Removed from the lower face, m.
    pub removed_lower: f64,
    /// Removed from the upper face, m.
    pub removed_upper: f64,
    /// Largest load it ever carried, N.
    pub peak_load: f64,
    /// Largest load it carried, first contacts apart, N.
    pub pressed: f64,
    /// What each part would have borne then had all shared alike, N.
    pub pressed_mean: f64,
    /// Sag of the lower and the upper face over its whole width: rim over middle, or over the rim of the bore of a ring, m, upwards.
    pub sags: [f64; FACES],
    /// A dummy that carries load and is not product.
    pub dummy: bool,
    /// It is in its pocket (a fault can leave a pocket empty).
    pub present: bool,
}

/// The deepest damage that is left in a batch, and where.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DamageLeft {
    /// Depth, m.
    pub depth: f64,
    /// What is left of the damage that the part came with, m; no more than the depth.
    pub incoming: f64,
    /// The part, in pocket order from 0.
    pub part: usize,
    /// Its face: 0 lower, 1 upper.
    pub face: usize,
}

/// What a window of ticks did to the parts.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Window {
    /// Mean load, N.
    pub load: f64,
    /// Integral of `k_p v f g b` over the window for the lower and upper face of the parts on each circle, m/Pa.
    pub work: OnCircles,
}

/// All parts of a machine.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Parts {
    thickness: Vec<f64>,
    removed: [Vec<f64>; FACES],
    /// Largest load, first contacts apart, N, and what each would have borne then had all shared alike.
    peak: Vec<f64>,
    peak_mean: Vec<f64>,
    /// Largest first contact, N.
    struck: Vec<f64>,
    /// Contact stiffness, N/m; zero for an empty pocket.
    stiffness: Vec<f64>,
    /// Height of the top over the lower plate, m: see `top_of`.
    top: Vec<f64>,
    /// What lies in the pocket besides the part, m.
    extra: Vec<f64>,
    /// Mean load of the last window, N.
    load: Vec<f64>,
    /// The part that bore most of it.
    pub worst: usize,
    highest_total: f64,
    windows_since_peak: u32,
    real: usize,
    part_stiffness: f64,
    area: f64,
    weight: f64,
    incoming: f64,
    settle_depth: f64,
    roughness_start: f64,
    roughness_end: f64,
    damage_start: f64,
    damage_end: f64,
    /// Mean thickness of the real parts present, m.
    pub mean: f64,
    /// Mean removal of the lower and the upper face since loading, m.
    pub mean_removed: [f64; FACES],
    /// Mean recession of a top in the last window, m.
    pub recession: f64,
}

/// Height of the top of an empty pocket: never touched, m.
const NOTHING: f64 = -1.0;

/// Height of a part's top over the lower plate, m: what all that lies in its pocket adds up to. The one place where tops are made.
#[inline(always)]
fn top_of(thickness: f64, extra: f64) -> f64 {
    thickness + extra
}

/// Mean over a stretch of what decays by `exp(-x)` in it, of what it was at its beginning: `(1 - exp(-x))/x`.
fn mean_of_decay(x: f64) -> f64 {
    if x < 0.02 {
        // The series, to the last digit or two.
        1.0 - x / 2.0 * (1.0 - x / 3.0 * (1.0 - x / 4.0 * (1.0 - x / 5.0 * (1.0 - x / 6.0))))
    } else {
        (1.0 - exp(-x)) / x
    }
}

/// Thicknesses of parts that nobody measured, m, laid in as the batch says.
fn drawn(batch: &Batch, dev: &Deviations, seed: u64, places: &Places) -> Vec<f64> {
    let mut random = stream(seed, "parts", "thickness", 0);
    let sigma = batch.spread * dev.spread;
    let mut thickness: Vec<f64> = (0..batch.pieces())
        .map(|_| {
            loop {
                let normal: f64 = StandardNormal.sample(&mut random);
                if abs(normal) <= CUT {
                    break batch.thickness + sigma * normal;
                }
            }
        })
        .collect();
    if batch.order == LoadingOrder::ByThickness {
        let mut lot = thickness.clone();
        lot.sort_by(f64::total_cmp);
        for (piece, next) in places.in_order().into_iter().zip(lot) {
            thickness[piece] = next;
        }
    }
    thickness
}

impl Parts {
    pub(crate) fn new(
        batch: &Batch,
        consumables: &Consumables,
        dev: &Deviations,
        seed: u64,
        places: &Places,
    ) -> Self {
        let count = batch.pieces() as usize;
        let thickness = if batch.measured.len() == count {
            batch.measured.clone()
        } else {
            drawn(batch, dev, seed, places)
        };
        let left = Abrasion::of(consumables, &batch.material);
        let area = batch.outline.area();
        let part_stiffness = batch.stiffness_per_area * area * dev.stiffness;
        let mut parts = Self {
            top: thickness.clone(),
            thickness,
            removed: [vec![0.0; count], vec![0.0; count]],
            peak: vec![0.0; count],
            peak_mean: vec![0.0; count],
            struck: vec![0.0; count],
            stiffness: vec![part_stiffness; count],
            extra: vec![0.0; count],
            load: vec![0.0; count],
            worst: 0,
            highest_total: 0.0,
            windows_since_peak: 0,
            real: batch.parts as usize,
            part_stiffness,
            area,
            weight: batch.density * area * batch.thickness * G,
            incoming: batch.thickness,
            settle_depth: max(consumables.settle_depth, 1e-12),
            roughness_start: batch.roughness,
            roughness_end: left.roughness,
            damage_start: batch.damage,
            damage_end: left.damage,
            mean: 0.0,
            mean_removed: [0.0; FACES],
            recession: 0.0,
        };
        parts.average();
        parts
    }

    pub(crate) fn tops(&self) -> (&[f64], &[f64]) {
        (&self.top, &self.stiffness)
    }

    pub(crate) fn count(&self) -> usize {
        self.thickness.len()
    }

    /// Mean load of each piece in the last window, and of the one that bore most, N.
    pub(crate) fn loads(&self) -> &[f64] {
        &self.load
    }

    pub(crate) fn worst_load(&self) -> f64 {
        self.load[self.worst]
    }

    /// Pockets that hold a part.
    pub(crate) fn present(&self) -> f64 {
        self.stiffness.iter().filter(|k| **k > 0.0).count() as f64
    }

    /// Weight of one part, N.
    pub(crate) fn part_weight(&self) -> f64 {
        self.weight
    }

    fn part(&self, i: usize) -> PartTruth {
        PartTruth {
            thickness: self.thickness[i],
            removed_lower: self.removed[0][i],
            removed_upper: self.removed[1][i],
            peak_load: max(self.peak[i], self.struck[i]),
            pressed: self.peak[i],
            pressed_mean: self.peak_mean[i],
            sags: [0.0; FACES],
            dummy: i >= self.real,
            present: self.stiffness[i] > 0.0,
        }
    }

    /// True states in pocket order, dummies last.
    pub(crate) fn iter(&self) -> impl ExactSizeIterator<Item = PartTruth> + '_ {
        (0..self.thickness.len()).map(|i| self.part(i))
    }

    /// Shares the mean load of a window over the parts as the plate tilts on them, and takes off what it removed.
    ///
    /// A part that is higher than the plane bears more and is lapped faster: its deviation `d` obeys `d' = -r d` with
    /// `r = k_i (work of both faces)/(area time)`. Over a window the deviation falls by `exp(-x)`, `x` being `r` times the window, and
    /// its mean is `(1 - exp(-x))/x` of the first. So the mean loads of a window are those of pieces that are softer by this share,
    /// which holds load and moments, is the explicit step where `x` is small, and levels the parts, no more, where it is large. Where
    /// circles differ it is the fastest's `x`: the others level a little less than they might in a window in which `x` is large.
    pub(crate) fn wear(&mut self, window: &Window, seat: &mut Seat) {
        let both = window.work.iter().map(|[lower, upper]| lower + upper);
        let softer = mean_of_decay(self.part_stiffness * both.fold(0.0, max) / self.area);
        seat.settle(window.load / softer);
        self.worst = seat.loads(softer, &mut self.load);
        if window.work != OnCircles::default() {
            self.remove(window, &seat.places);
            seat.lower(&self.top);
        }
    }

    /// Notes what the parts bore at the window's peak, with the plate at `height` over the tops of `contact`. Returns that of the part
    /// that bore most, N. `mean` is what each would have borne had all shared alike, N.
    pub(crate) fn press(&mut self, peak: f64, mean: f64, contact: &Contact, height: f64) -> f64 {
        // A window that presses no harder than an earlier one moves the peaks only as the parts wear: look now and then.
        self.windows_since_peak += 1;
        if peak > self.highest_total || self.windows_since_peak >= PEAK_WINDOWS {
            self.highest_total = max(self.highest_total, peak);
            self.windows_since_peak = 0;
            for part in 0..self.peak.len() {
                self.bore(part, contact.on_part(part, height), mean);
            }
        }
        let most = contact.on_part(self.worst, height);
        self.bore(self.worst, most, mean);
        most
    }

    fn bore(&mut self, part: usize, load: f64, mean: f64) {
        if load > self.peak[part] {
            self.peak[part] = load;
            self.peak_mean[part] = mean;
        }
    }

    fn remove(&mut self, window: &Window, places: &Places) {
        let count = max(self.thickness.len() as f64, 1.0);
        self.recession = 0.0;
        for (run, circle) in &places.runs_on_circles {
            // What a newton takes off the lower and the upper face, and what the own weight does.
            let [lower, upper] = window.work[*circle].map(|work| work / self.area);
            let own = lower * self.weight;
            let [removed_lower, removed_upper] = &mut self.removed;
            let lists = removed_lower[run.clone()]
                .iter_mut()
                .zip(&mut removed_upper[run.clone()])
                .zip(&mut self.thickness[run.clone()])
                .zip(
                    self.top[run.clone()]
                        .iter_mut()
                        .zip(&self.extra[run.clone()]),
                );
            let loads = &self.load[run.clone()];
            for ((((below, above), thickness), (top, extra)), load) in lists.zip(loads) {
                let (from_below, from_above) = (lower * load + own, upper * load);
                *below += from_below;
                *above += from_above;
                *thickness -= from_below + from_above;
                *top = top_of(*thickness, *extra);
            }
            // The sums follow from the loads: what all parts lost is what they carried.
            let share = loads.len() as f64 / count;
            self.recession += (lower + upper) * sum(loads) / count + own * share;
        }
        self.average();
    }

    fn average(&mut self) {
        let real = ..self.real.min(self.thickness.len());
        let [removed_lower, removed_upper] = &self.removed;
        let lists = [&self.thickness, removed_lower, removed_upper].map(|list| &list[real]);
        let [n, sums @ ..] = sums_where_over(&self.stiffness[real], lists);
        if n > 0.0 {
            let [thickness, lower, upper] = sums;
            self.mean = thickness / n;
            self.mean_removed = [lower / n, upper / n];
        }
    }

    /// A first contact put `load` newtons at most on one part: on the one that bears most where the plate comes down.
    pub(crate) fn struck(&mut self, load: f64, part: usize) {
        if let Some(struck) = self.struck.get_mut(part) {
            *struck = max(*struck, load);
        }
    }

    /// Roughness Ra, m: tends to the process's value over the settle depth removed per face.
    pub(crate) fn roughness(&self) -> f64 {
        let depth = 0.5 * (self.mean_removed[0] + self.mean_removed[1]);
        self.roughness_end
            + (self.roughness_start - self.roughness_end) * exp(-depth / self.settle_depth)
    }

    /// Damage depth left in a face that lost a depth, m: incoming damage until it is removed, then the process's own.
    fn left(&self, removed: f64) -> f64 {
        if removed > 0.0 {
            max(self.damage_start - removed, self.damage_end)
        } else {
            self.damage_start
        }
    }

    /// Damage depth left in the lower and the upper face of a part that lost what all lost on average, m.
    pub fn damage(&self) -> [f64; FACES] {
        self.mean_removed.map(|removed| self.left(removed))
    }

    /// The deepest damage left in any face of the product, and where; `None` without product. Of equals the first.
    pub(crate) fn deepest_damage(&self) -> Option<DamageLeft> {
        let mut deepest: Option<DamageLeft> = None;
        let product = 0..self.real.min(self.thickness.len());
        for part in product.filter(|&i| self.stiffness[i] > 0.0) {
            for (face, removed) in self.removed.iter().enumerate() {
                let depth = self.left(removed[part]);
                if deepest.is_none_or(|so_far| depth > so_far.depth) {
                    let incoming = max(self.damage_start - removed[part], 0.0);
                    deepest = Some(DamageLeft {
                        depth,
                        incoming,
                        part,
                        face,
                    });
                }
            }
        }
        deepest
    }

    /// Puts a second part on top of the first in `count` pockets spread over the machine.
    pub(crate) fn double(&mut self, count: usize) {
        self.spread_over(count, |p, i| {
            p.extra[i] = p.incoming;
            p.stiffness[i] = 0.5 * p.part_stiffness;
        });
    }

    /// Takes the part out of `count` pockets.
    pub(crate) fn empty(&mut self, count: usize) {
        self.spread_over(count, |p, i| {
            p.stiffness[i] = 0.0;
            p.extra[i] = NOTHING - p.thickness[i];
        });
    }

    /// Every pocket holds its one part again.
    pub(crate) fn restore(&mut self) {
        for i in 0..self.count() {
            self.extra[i] = 0.0;
            self.stiffness[i] = self.part_stiffness;
            self.top[i] = top_of(self.thickness[i], self.extra[i]);
        }
        self.average();
    }

    /// Takes all parts out: the pockets are empty, with the carriers beside the machine.
    pub(crate) fn take_out(&mut self) {
        for i in 0..self.count() {
            self.stiffness[i] = 0.0;
            self.extra[i] = NOTHING - self.thickness[i];
            self.top[i] = NOTHING;
        }
    }

    fn spread_over(&mut self, count: usize, mut change: impl FnMut(&mut Self, usize)) {
        let all = self.count();
        for k in 0..count.min(all) {
            let i = k * all / count.min(all);
            change(self, i);
            self.top[i] = top_of(self.thickness[i], self.extra[i]);
        }
        self.average();
    }
}

#[cfg(test)]
mod tests;
