//! From raw inputs to measured values with validity. Scaling happens here and nowhere else.

mod filter;

pub use filter::Biquad;

use crate::math;
use crate::params::CheckedParams;
use crate::process_image::{DRIVES, DriveInput, Inputs, Slow};
use crate::units::{Newtons, TICK_SECONDS};

/// Ticks over which the tare is averaged.
pub const TARE_TICKS: u32 = 512;
/// Standstill: every drive slower than this, rpm …
pub const STANDSTILL_RPM: f32 = 0.15;
/// … for this long, ticks.
pub const STANDSTILL_TICKS: u16 = 250;
/// Time constant of the flow average: about one turn of a pump, s.
pub const FLOW_AVERAGE_SECONDS: f32 = 0.5;
/// A slow input older than this is not valid, ticks.
pub(crate) const SLOW_AGE: u16 = 1000;
/// Late ticks that count as too many …
pub(crate) const OVERRUNS: usize = 3;
/// … within this time, ticks.
pub(crate) const OVERRUN_WINDOW: u32 = 1000;
/// Samples without validity, one after another, after which what the cell reads is no load any more, and its row asks.
pub const CELL_LOST: u32 = 3;
/// Cap pressure at or below which the cap side is vented, 0.1 mbar counts (50 mbar).
pub const VENTED_COUNTS: u16 = 500;

/// One tick's measured values.
#[derive(Clone, Copy, Debug, Default)]
pub struct Measured {
    /// Load, tared, unfiltered, N.
    pub load_raw: f32,
    /// Load, tared, filtered, N.
    pub load: f32,
    /// The cell's raw sample is not valid.
    pub cell_bad: bool,
    /// It has not been valid for so long that it is no load: limits of the load are not judged by it.
    pub cell_lost: bool,
    /// The cell's counts are the previous tick's.
    pub cell_same: bool,
    /// Cell force less the force that the cylinder pressures give, N.
    pub line_error: f32,
    /// Plate height, µm.
    pub height: f32,
    /// Speeds, rpm.
    pub speeds: [f32; DRIVES],
    /// Torques, N·m, magnitude.
    pub torques: [f32; DRIVES],
    /// Any drive reports a fault.
    pub drive_fault: bool,
    /// Proven standstill of all drives.
    pub standstill: bool,
    /// The cap side is vented.
    pub vented: bool,
    /// Slurry flow averaged over a pump turn, mL/min.
    pub slurry_flow: f32,
    /// Rinse flow averaged likewise, mL/min.
    pub rinse_flow: f32,
    /// Size by gauge, µm.
    pub size: f32,
    /// The gauge reading is valid.
    pub size_valid: bool,
    /// Hotter plate, °C; `None` when neither was received.
    pub hottest: Option<f32>,
    /// Tank level, per mille; `None` when not received.
    pub tank: Option<u16>,
    /// Three late ticks within a second.
    pub overrun: bool,
}

/// What the drives last reported, and what it means. They report over a bus of their own: most ticks bring nothing new.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Reports {
    /// Speed and torque as they came, one word a drive: four comparisons tell whether anything is new.
    raw: [u32; DRIVES],
    speeds: [f32; DRIVES],
    torques: [f32; DRIVES],
    fault: bool,
    /// Every drive is slower than what counts as standing.
    slow: bool,
}

impl Reports {
    /// Of drives that stand.
    const NONE: Self = Self {
        raw: [0; DRIVES],
        speeds: [0.0; DRIVES],
        torques: [0.0; DRIVES],
        fault: false,
        slow: true,
    };

    fn of(raw: &[DriveInput; DRIVES]) -> Self {
        let mut reports = Self {
            raw: raw.map(word),
            fault: any_fault(raw),
            ..Self::NONE
        };
        for ((speed, torque), drive) in reports.speeds.iter_mut().zip(&mut reports.torques).zip(raw)
        {
            *speed = math::from_i16(drive.speed) * 0.01;
            *torque = (math::from_i16(drive.torque) * 0.1).abs();
            reports.slow &= speed.abs() <= STANDSTILL_RPM;
        }
        reports
    }

    /// These are not the reports last taken. Without a branch: every comparison is made in any case.
    fn differ(&self, drives: &[DriveInput; DRIVES]) -> bool {
        let mut bits = 0;
        for (old, new) in self.raw.iter().zip(drives) {
            bits |= old ^ word(*new);
        }
        (bits != 0) | (self.fault != any_fault(drives))
    }
}

/// Speed and torque of one report in one word.
const fn word(drive: DriveInput) -> u32 {
    (drive.speed.cast_unsigned() as u32) | (drive.torque.cast_unsigned() as u32).wrapping_shl(16)
}

/// Any drive reports a fault.
const fn any_fault([a, b, c, d]: &[DriveInput; DRIVES]) -> bool {
    a.fault | b.fault | c.fault | d.fault
}

/// Filters, tare and proofs that need memory.
#[derive(Clone, Debug, PartialEq)]
pub struct Signal {
    filter: Biquad,
    last_counts: i32,
    bad_for: u32,
    tare: f32,
    tare_sum: f32,
    tare_count: u32,
    tare_done: bool,
    /// The tare that was last believed; none after power-up and another plate.
    known: Option<f32>,
    /// The tare learned last is the machine's, and the last one.
    believed: bool,
    drives: Reports,
    still_for: u16,
    slurry_flow: f32,
    rinse_flow: f32,
    flow_share: f32,
    overruns: [u32; OVERRUNS],
    seen_overruns: usize,
    primed: bool,
}

impl Signal {
    /// Fresh, with the tare the parameters expect.
    #[must_use]
    pub fn new(params: &CheckedParams) -> Self {
        let p = params.get();
        Self {
            filter: Biquad::low_pass(p.filter),
            last_counts: i32::MIN,
            bad_for: 0,
            tare: -p.weight.get(),
            tare_sum: 0.0,
            tare_count: 0,
            tare_done: false,
            known: None,
            believed: false,
            drives: Reports::NONE,
            still_for: 0,
            slurry_flow: 0.0,
            rinse_flow: 0.0,
            flow_share: TICK_SECONDS / (FLOW_AVERAGE_SECONDS + TICK_SECONDS),
            overruns: [0; OVERRUNS],
            seen_overruns: 0,
            primed: false,
        }
    }

    /// Begins a new tare: the plate must be hanging free until [`Signal::tared`].
    pub(crate) const fn start_tare(&mut self) {
        self.tare_sum = 0.0;
        self.tare_count = 0;
        self.tare_done = false;
        self.believed = false;
    }

    /// Another plate may hang there now: what the last one weighed says nothing of it.
    pub(crate) const fn forget_tare(&mut self) {
        self.start_tare();
        self.known = None;
    }

    /// Takes one hanging sample into the tare while it is being learned. A tare that cannot be this plate's alone is not taken: parts
    /// that hang on it would be weighed as if they were plate, and the load be off by their weight. The reading keeps showing them.
    pub(crate) fn learn_tare(&mut self, inputs: &Inputs, params: &CheckedParams) {
        if self.tare_done {
            return;
        }
        self.tare_sum += math::from_i32(inputs.cell_counts) * params.get().cell_scale.get();
        self.tare_count = self.tare_count.saturating_add(1);
        if self.tare_count >= TARE_TICKS {
            let p = params.get();
            let tare = self.tare_sum / math::from_u32(TARE_TICKS);
            let of_the_machine = (tare + p.weight.get()).abs() <= p.tare_band.get();
            let as_before = self
                .known
                .is_none_or(|known| (tare - known).abs() <= p.stuck.get());
            self.tare_done = true;
            self.believed = of_the_machine & as_before;
            if self.believed {
                self.tare = tare;
                self.known = Some(tare);
                self.filter.settle_at(0.0);
            }
        }
    }

    /// A tare was learned since [`Signal::start_tare`].
    #[must_use]
    pub(crate) const fn tared(&self) -> bool {
        self.tare_done
    }

    /// The tare learned since [`Signal::start_tare`] is as heavy as the machine's plate, and as the last one.
    #[must_use]
    pub(crate) const fn tare_believed(&self) -> bool {
        self.believed
    }

    /// The tare in force, N; about minus the plate's weight.
    #[must_use]
    pub const fn tare(&self) -> Newtons {
        Newtons::new(self.tare)
    }

    /// Takes what the drives report; answers whether it is something else than in the tick before. To be called before
    /// [`Signal::measure`].
    #[inline(always)]
    pub(crate) fn hear(&mut self, drives: &[DriveInput; DRIVES]) -> bool {
        let new = self.drives.differ(drives);
        if new {
            self.drives = Reports::of(drives);
        }
        new
    }

    /// Speeds that the drives last reported, rpm.
    pub(crate) const fn speeds(&self) -> [f32; DRIVES] {
        self.drives.speeds
    }

    /// Magnitudes of the torques that they last reported, N·m.
    pub(crate) const fn torques(&self) -> [f32; DRIVES] {
        self.drives.torques
    }

    /// One tick.
    #[inline(always)]
    pub fn measure(&mut self, inputs: &Inputs, params: &CheckedParams, tick: u32) -> Measured {
        let p = params.get();
        let force = math::from_i32(inputs.cell_counts) * p.cell_scale.get();
        let load_raw = force - self.tare;
        if !self.primed {
            self.filter.settle_at(load_raw);
            self.primed = true;
        }
        let pressures = math::from_u16(inputs.cap_pressure) * p.cap_scale.get()
            - math::from_u16(inputs.rod_pressure) * p.rod_scale.get();
        let cell_same = inputs.cell_counts == self.last_counts;
        self.last_counts = inputs.cell_counts;
        let cell_bad = !inputs.cell_ok
            | (inputs.cell_counts.unsigned_abs() >= p.cell_range_counts.unsigned_abs());
        self.bad_for = if cell_bad {
            self.bad_for.saturating_add(1)
        } else {
            0
        };
        let drives = &self.drives;
        self.still_for = if drives.slow {
            self.still_for.saturating_add(1)
        } else {
            0
        };
        self.slurry_flow +=
            (math::from_u16(inputs.slurry_flow) - self.slurry_flow) * self.flow_share;
        self.rinse_flow += (math::from_u16(inputs.rinse_flow) - self.rinse_flow) * self.flow_share;
        Measured {
            load_raw,
            load: self.filter.step(load_raw),
            cell_bad,
            cell_lost: self.bad_for >= CELL_LOST,
            cell_same,
            line_error: force - pressures,
            height: math::from_i32(inputs.plate_height),
            speeds: drives.speeds,
            torques: drives.torques,
            drive_fault: drives.fault,
            standstill: self.still_for >= STANDSTILL_TICKS,
            vented: inputs.cap_pressure <= VENTED_COUNTS,
            slurry_flow: self.slurry_flow,
            rinse_flow: self.rinse_flow,
            size: math::from_i32(inputs.gauge.value) * 0.001,
            size_valid: inputs.gauge_ok & fresh(&inputs.gauge),
            hottest: hottest(&inputs.plate_temperature),
            tank: fresh(&inputs.tank_level).then_some(inputs.tank_level.value),
            overrun: self.overrun(inputs.tick_overrun, tick),
        }
    }

    fn overrun(&mut self, late: bool, tick: u32) -> bool {
        if !late {
            return false;
        }
        let [_, second, third] = self.overruns;
        self.overruns = [second, third, tick];
        self.seen_overruns = self.seen_overruns.saturating_add(1);
        let [first, ..] = self.overruns;
        self.seen_overruns >= OVERRUNS && tick.wrapping_sub(first) < OVERRUN_WINDOW
    }
}

/// Young enough to be believed.
const fn fresh<T>(slow: &Slow<T>) -> bool {
    slow.age <= SLOW_AGE
}

/// The hotter of two plates, °C; `None` when neither was received.
fn hottest([a, b]: &[Slow<i16>; 2]) -> Option<f32> {
    let value = match (fresh(a), fresh(b)) {
        (true, true) => a.value.max(b.value),
        (true, false) => a.value,
        (false, true) => b.value,
        (false, false) => return None,
    };
    Some(math::from_i16(value) * 0.01)
}

#[cfg(test)]
mod tests;
