//! The parts: each its own thickness, its own pressure, its own removal on two faces.
//!
//! Removal (Preston, Journal of the Society of Glass Technology 11 (1927) 214): `dh/dt = k_p p v f(w) g(c) b` per face, the
//! lower face under the part's own weight as well. Updated every hundred ticks from the mean load of the window.

use super::contact::Contact;
use super::seed::stream;
use crate::math::{exp, limit, max};
use crate::model::{Batch, Consumables, Deviations, G};
use firmware_core::process_image::FACES;
use rand_distr::{Distribution, StandardNormal};

/// Thickness is drawn normal and cut at this many standard deviations (sorted stock has no tails).
const CUT: f64 = 2.5;

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
    /// A dummy that carries load and is not product.
    pub dummy: bool,
    /// It is in its pocket (a fault can leave a pocket empty).
    pub present: bool,
}

/// What a window of ticks did to the parts.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Window {
    /// Mean load, N.
    pub load: f64,
    /// Largest load of the window, runout included, N.
    pub peak: f64,
    /// Integral of `k_p v f g b` over the window for the lower and upper face, m/Pa.
    pub work: [f64; FACES],
}

/// All parts of a machine.
#[derive(Clone, Debug)]
pub(super) struct Parts {
    thickness: Vec<f64>,
    removed: [Vec<f64>; FACES],
    peak: Vec<f64>,
    /// Contact stiffness, N/m; zero for an empty pocket.
    stiffness: Vec<f64>,
    /// Height of the top, m: the thickness, twice that for a doubled part, far below for an empty pocket.
    top: Vec<f64>,
    /// What lies in the pocket besides the part, m.
    extra: Vec<f64>,
    load: Vec<f64>,
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

impl Parts {
    pub fn new(batch: &Batch, consumables: &Consumables, dev: &Deviations, seed: u64) -> Self {
        let count = batch.pieces() as usize;
        let mut random = stream(seed, "parts", "thickness", 0);
        let sigma = batch.spread * dev.spread;
        let thickness: Vec<f64> = (0..count)
            .map(|_| {
                let normal: f64 = StandardNormal.sample(&mut random);
                batch.thickness + sigma * limit(normal, -CUT, CUT)
            })
            .collect();
        let area = batch.outline.area();
        let part_stiffness = batch.stiffness_per_area * area * dev.stiffness;
        let mut parts = Self {
            top: thickness.clone(),
            thickness,
            removed: [vec![0.0; count], vec![0.0; count]],
            peak: vec![0.0; count],
            stiffness: vec![part_stiffness; count],
            extra: vec![0.0; count],
            load: vec![0.0; count],
            highest_total: 0.0,
            windows_since_peak: 0,
            real: batch.parts as usize,
            part_stiffness,
            area,
            weight: batch.density * area * batch.thickness * G,
            incoming: batch.thickness,
            settle_depth: max(consumables.settle_depth, 1e-12),
            roughness_start: batch.roughness,
            roughness_end: consumables.roughness,
            damage_start: batch.damage,
            damage_end: consumables.damage,
            mean: 0.0,
            mean_removed: [0.0; FACES],
            recession: 0.0,
        };
        parts.average();
        parts
    }

    pub fn tops(&self) -> (&[f64], &[f64]) {
        (&self.top, &self.stiffness)
    }

    pub fn count(&self) -> usize {
        self.thickness.len()
    }

    /// Weight of all parts present, N: what the lower faces carry besides the load.
    pub(crate) fn total_weight(&self) -> f64 {
        let present = self.stiffness.iter().filter(|k| **k > 0.0).count();
        self.weight * present as f64
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
            peak_load: self.peak[i],
            dummy: i >= self.real,
            present: self.stiffness[i] > 0.0,
        }
    }

    /// True states in pocket order, dummies last.
    pub fn iter(&self) -> impl ExactSizeIterator<Item = PartTruth> + '_ {
        (0..self.thickness.len()).map(|i| self.part(i))
    }

    /// Shares the mean load of a window over the parts and takes off what it removed.
    pub fn update(&mut self, window: &Window, contact: &Contact) {
        if window.peak <= 0.0 {
            return;
        }
        let share = |load: f64| {
            let height = contact.height_for(load);
            // The three highest share equally while the plate leans on them (see `contact`).
            let highest = contact.highest();
            let three = highest.len() as f64;
            let leaning = highest.first().is_some_and(|&i| {
                self.stiffness[i as usize] * (self.top[i as usize] - height) * three > load
            });
            (height, leaning.then(|| contact.even_share(height)))
        };
        let (height, leaning) = share(window.load);
        let (peak_height, peak_leaning) = share(window.peak);
        let mut before = [0.0; 3];
        for (old, &i) in before.iter_mut().zip(contact.highest()) {
            *old = self.peak[i as usize];
        }
        for (load, (top, k)) in self
            .load
            .iter_mut()
            .zip(self.top.iter().zip(&self.stiffness))
        {
            *load = k * max(top - height, 0.0);
        }
        // A window that presses no harder than an earlier one moves the peaks only as the parts wear: look now and then.
        self.windows_since_peak += 1;
        let look = window.peak > self.highest_total || self.windows_since_peak >= PEAK_WINDOWS;
        if look {
            self.highest_total = max(self.highest_total, window.peak);
            self.windows_since_peak = 0;
            for (peak, (top, k)) in self
                .peak
                .iter_mut()
                .zip(self.top.iter().zip(&self.stiffness))
            {
                *peak = max(*peak, k * max(top - peak_height, 0.0));
            }
        }
        for (old, &i) in before.iter().zip(contact.highest()) {
            if let Some(even) = leaning {
                self.load[i as usize] = max(even, 0.0);
            }
            if let Some(even) = peak_leaning
                && look
            {
                self.peak[i as usize] = max(*old, even);
            }
        }
        if window.load > 0.0 && window.work != [0.0; FACES] {
            self.remove(window);
        }
    }

    fn remove(&mut self, window: &Window) {
        let upper = window.work[1] / self.area;
        let lower = window.work[0] / self.area;
        let own = lower * self.weight;
        let [removed_lower, removed_upper] = &mut self.removed;
        let lists = removed_lower
            .iter_mut()
            .zip(removed_upper.iter_mut())
            .zip(self.thickness.iter_mut())
            .zip(self.top.iter_mut());
        let mut total = 0.0;
        for ((((below, above), thickness), top), load) in lists.zip(&self.load) {
            let (from_below, from_above) = (lower * load + own, upper * load);
            let off = from_below + from_above;
            *below += from_below;
            *above += from_above;
            *thickness -= off;
            *top -= off;
            total += load;
        }
        // The sums follow from the loads: what all parts lost is what they carried.
        let count = max(self.thickness.len() as f64, 1.0);
        self.recession = (lower + upper) * total / count + own;
        self.average();
    }

    fn average(&mut self) {
        let mut sum = [0.0; 3];
        let mut n = 0.0;
        let real = ..self.real.min(self.thickness.len());
        let lists = self.thickness[real]
            .iter()
            .zip(&self.removed[0][real])
            .zip(&self.removed[1][real])
            .zip(&self.stiffness[real]);
        for (((thickness, lower), upper), k) in lists {
            let present = if *k > 0.0 { 1.0 } else { 0.0 };
            sum[0] += present * thickness;
            sum[1] += present * lower;
            sum[2] += present * upper;
            n += present;
        }
        if n > 0.0 {
            self.mean = sum[0] / n;
            self.mean_removed = [sum[1] / n, sum[2] / n];
        }
    }

    /// A first contact put `load` newtons on the part that carried most.
    pub(crate) fn struck(&mut self, load: f64, contact: &Contact) {
        for &i in contact.highest() {
            let peak = &mut self.peak[i as usize];
            *peak = max(*peak, load);
        }
    }

    /// Roughness Ra, m: tends to the process's value over the settle depth removed per face.
    pub fn roughness(&self) -> f64 {
        let depth = 0.5 * (self.mean_removed[0] + self.mean_removed[1]);
        self.roughness_end
            + (self.roughness_start - self.roughness_end) * exp(-depth / self.settle_depth)
    }

    /// Damage depth left in the lower and the upper face, m: incoming damage until it is removed, then the process's own.
    pub fn damage(&self) -> [f64; FACES] {
        self.mean_removed
            .map(|removed| max(self.damage_start - removed, self.damage_end))
    }

    /// Puts a second part on top of the first in `count` pockets spread over the machine.
    pub fn double(&mut self, count: usize) {
        self.spread_over(count, |p, i| {
            p.extra[i] = p.incoming;
            p.stiffness[i] = 0.5 * p.part_stiffness;
        });
    }

    /// Takes the part out of `count` pockets.
    pub fn empty(&mut self, count: usize) {
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
            self.top[i] = self.thickness[i];
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
            self.top[i] = self.thickness[i] + self.extra[i];
        }
        self.average();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::demo;

    fn loaded(spread: f64) -> (Parts, Contact) {
        let mut batch = demo::batch("glass-discs");
        batch.spread = spread;
        let parts = Parts::new(
            &batch,
            &demo::recipe("glass-f800").consumables,
            &Deviations::NOMINAL,
            3,
        );
        let mut contact = Contact::new(parts.count(), batch.carrier_thickness);
        let (top, k) = parts.tops();
        contact.rebuild(top, k);
        (parts, contact)
    }

    fn spread(parts: &Parts) -> f64 {
        let n = parts.count() as f64;
        let mean = parts.iter().map(|p| p.thickness).sum::<f64>() / n;
        (parts
            .iter()
            .map(|p| (p.thickness - mean).powi(2))
            .sum::<f64>()
            / n)
            .sqrt()
    }

    #[test]
    fn spread_decays_as_the_closed_form_says_while_all_touch() {
        // Spread small against the deflection, so that all touch: exp(-k_p (v_u + v_l) k_i t / A).
        let (mut parts, mut contact) = loaded(0.1e-6);
        let start = spread(&parts);
        let (kp, speeds, seconds) = (8e-12, [0.385, 0.380], 200.0);
        let window = Window {
            load: 265.0,
            peak: 265.0,
            work: speeds.map(|v| kp * v * 0.1),
        };
        for _ in 0..(seconds * 10.0) as u32 {
            parts.update(&window, &contact);
            let (top, k) = parts.tops();
            contact.rebuild(top, k);
        }
        let k_over_a = demo::batch("glass-discs").stiffness_per_area;
        let exponent = kp * (speeds[0] + speeds[1]) * k_over_a * seconds;
        let expected = start * (-exponent).exp();
        // 2000 explicit steps of a decay of this exponent err by exponent^2/(2 * 2000).
        let tolerance = expected * (exponent * exponent / 4000.0) * 1.1;
        assert!(
            (spread(&parts) - expected).abs() < tolerance,
            "{} against {expected}",
            spread(&parts)
        );
        assert!(expected < 1e-3 * start);
    }

    #[test]
    fn mean_removal_is_preston_and_the_lower_face_carries_the_weight_too() {
        let (mut parts, contact) = loaded(0.0);
        let window = Window {
            load: 265.0,
            peak: 265.0,
            work: [1e-12, 1e-12],
        };
        parts.update(&window, &contact);
        let pressure = 265.0 / demo::batch("glass-discs").area();
        let p = parts.iter().next().expect("a part");
        assert!((p.removed_upper - 1e-12 * pressure).abs() < 1e-15 * pressure);
        let own = 2500.0 * 0.55e-3 * G;
        assert!((p.removed_lower - 1e-12 * (pressure + own)).abs() < 1e-15 * pressure);
        assert!((0.55e-3 - p.thickness - p.removed_upper - p.removed_lower).abs() < 1e-18);
    }

    #[test]
    fn finish_and_damage_follow_the_removed_depth() {
        let (mut parts, _) = loaded(0.0);
        assert!((parts.roughness() - 0.45e-6).abs() < 1e-15);
        assert_eq!(parts.damage(), [4e-6; 2]);
        parts.mean_removed = [1e-6, 3e-6];
        let expected = 0.25e-6 + 0.2e-6 * (-1.0f64).exp();
        assert!((parts.roughness() - expected).abs() < 1e-15);
        assert!((parts.damage()[0] - 3e-6).abs() < 1e-15);
        assert_eq!(parts.damage()[1], 2e-6);
    }

    #[test]
    fn doubled_and_missing_parts_change_the_tops_and_come_back() {
        let (mut parts, _) = loaded(0.0);
        parts.double(1);
        assert!((parts.tops().0[0] - 1.1e-3).abs() < 1e-12);
        parts.restore();
        parts.empty(15);
        assert!(parts.tops().1.iter().all(|k| *k == 0.0));
        parts.restore();
        assert!((parts.tops().0[0] - 0.55e-3).abs() < 1e-12);
    }
}
