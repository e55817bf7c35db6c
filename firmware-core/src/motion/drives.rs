//! Four drives that ramp together: their ratios are held at every moment of a ramp.

use crate::math;
use crate::params::CheckedParams;
use crate::process_image::{DRIVES, DriveOutput};
use crate::sequence::DriveGoal;
use crate::signal::Measured;
use crate::units::{Rpm, TICK_SECONDS};

/// References of the four drives.
#[derive(Clone, Debug)]
pub struct DriveSet {
    from: [f32; DRIVES],
    to: [f32; DRIVES],
    now: [f32; DRIVES],
    share: f32,
    share_tick: f32,
    ramp: f32,
    /// Following a faulted drive down: which one, and its reference when it faulted.
    following: Option<(usize, f32)>,
    goal: DriveGoal,
    /// What was asked of the drives in the last tick.
    asked: [DriveOutput; DRIVES],
}

impl DriveSet {
    /// At standstill, unpowered.
    #[must_use]
    pub fn new(params: &CheckedParams) -> Self {
        Self {
            from: [0.0; DRIVES],
            to: [0.0; DRIVES],
            now: [0.0; DRIVES],
            share: 1.0,
            share_tick: 1.0,
            ramp: params.get().drive_ramp.get(),
            following: None,
            goal: DriveGoal::Off,
            asked: [DriveOutput::default(); DRIVES],
        }
    }

    /// One tick towards the goal; `targets` are the speeds that `Run` (or, reduced, `Reduced`) means.
    pub fn step(
        &mut self,
        goal: DriveGoal,
        targets: &[Rpm; DRIVES],
        faults: [bool; DRIVES],
        m: &Measured,
    ) -> [DriveOutput; DRIVES] {
        let wanted = match goal {
            DriveGoal::Off | DriveGoal::Stop => [0.0; DRIVES],
            DriveGoal::Run | DriveGoal::Reduced => targets.map(Rpm::get),
        };
        if goal == DriveGoal::Off {
            // Whatever still turns, coasts: the next ramp starts from what is measured.
            self.now = m.speeds;
            self.from = m.speeds;
            self.to = m.speeds;
            self.share = 1.0;
            self.goal = goal;
            self.following = None;
            self.asked = [DriveOutput::default(); DRIVES];
            return [DriveOutput::default(); DRIVES];
        }
        let faulted = faults.iter().any(|fault| *fault);
        let changed = wanted
            .iter()
            .zip(&self.to)
            .any(|(a, b)| (a - b).abs() > 0.0)
            || goal != self.goal;
        if changed {
            self.aim(wanted);
            self.goal = goal;
        }
        // The ordinary tick: at speed, nothing new, every drive sound. What was asked is asked again.
        if !changed && !faulted && self.share >= 1.0 && self.following.is_none() {
            return self.asked;
        }
        self.follow(faults, m);
        let mut out = [DriveOutput::default(); DRIVES];
        for ((drive, now), faulted) in out.iter_mut().zip(&self.now).zip(faults) {
            *drive = DriveOutput {
                enable: !faulted,
                setpoint: math::to_i16(now * 100.0),
            };
        }
        self.asked = out;
        out
    }

    fn aim(&mut self, wanted: [f32; DRIVES]) {
        self.from = self.now;
        self.to = wanted;
        self.share = 0.0;
        let mut furthest = 0.0;
        for (a, b) in self.from.iter().zip(&self.to) {
            furthest = math::max(furthest, (b - a).abs());
        }
        // The drive with the furthest to go ramps at the machine's acceleration, the others in proportion.
        self.share_tick = if furthest > 0.0 {
            self.ramp * TICK_SECONDS / furthest
        } else {
            1.0
        };
    }

    fn follow(&mut self, faults: [bool; DRIVES], m: &Measured) {
        if self.following.is_none() {
            let fastest = faults
                .iter()
                .zip(&self.now)
                .enumerate()
                .filter(|(_, (fault, _))| **fault)
                .fold(
                    None,
                    |best: Option<(usize, f32)>, (index, (_, speed))| match best {
                        Some((_, other)) if other.abs() >= speed.abs() => best,
                        _ => Some((index, *speed)),
                    },
                );
            if let Some((index, speed)) = fastest {
                self.following = Some((index, speed));
                self.from = self.now;
                self.to = [0.0; DRIVES];
                self.share = 0.0;
            }
        }
        match self.following {
            // All four go down with the one that has lost its power, so that carriers see no wrong ratio under load.
            Some((index, at_fault)) if at_fault.abs() > 0.0 => {
                let speed = m.speeds.get(index).copied().unwrap_or(0.0);
                let gone = 1.0 - math::hold(speed / at_fault, 0.0, 1.0);
                self.share = math::max(self.share, gone);
            }
            // The faulted one was not turning: an ordinary ramp.
            _ => self.share = math::min(self.share + self.share_tick, 1.0),
        }
        for ((now, from), to) in self.now.iter_mut().zip(&self.from).zip(&self.to) {
            *now = from + (to - from) * self.share;
        }
        if self.share >= 1.0 {
            self.now = self.to;
        }
    }

    /// References now, rpm.
    #[must_use]
    pub const fn references(&self) -> [f32; DRIVES] {
        self.now
    }

    /// The ramp has arrived at its targets.
    #[must_use]
    pub const fn arrived(&self) -> bool {
        self.share >= 1.0
    }

    /// Power is on.
    #[must_use]
    pub fn powered(&self) -> bool {
        self.goal != DriveGoal::Off
    }

    /// Every drive within half the out-of-ratio tolerance of its reference.
    #[must_use]
    pub fn in_band(&self, m: &Measured, tolerance: f32) -> bool {
        self.powered()
            && m.speeds
                .iter()
                .zip(&self.now)
                .all(|(speed, now)| (speed - now).abs() <= tolerance * 0.5)
    }
}
