//! Four drives that ramp together: their ratios are held at every moment of a ramp.

use crate::math;
use crate::params::CheckedParams;
use crate::process_image::{DRIVES, DriveInput, DriveOutput};
use crate::sequence::DriveGoal;
use crate::signal::Measured;
use crate::units::{NewtonMetres, Rpm, TICK_SECONDS};

/// Extra torque allowed while running up.
pub(crate) const RUN_UP_TORQUE: f32 = 1.1;
/// A drive is turning the wrong way when it turns at least this fast against its reference, rpm.
const WRONG_WAY_RPM: f32 = 1.0;

/// Share of the monitored stop time in which the drives go down with a tripped one at the latest: the rest is for their lag and for the
/// proof of standstill, before row 3 takes their power.
const DOWN_WITHIN: f32 = 0.75;

/// How the drives stand against what is asked of them and what they may.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct DriveCheck {
    /// Largest difference between a drive's speed and its reference, rpm.
    pub furthest: f32,
    /// A drive turns against its reference.
    pub wrong_way: bool,
    /// A torque is above its limit.
    pub torque: bool,
    /// A torque is above the limit of a run-up.
    pub run_up_torque: bool,
    /// A reference is not zero.
    pub turning: bool,
}

/// References of the four drives.
#[derive(Clone, Debug, PartialEq)]
pub struct DriveSet {
    from: [f32; DRIVES],
    to: [f32; DRIVES],
    now: [f32; DRIVES],
    share: f32,
    share_tick: f32,
    ramp: f32,
    /// Following a faulted drive down: which one, and its reference when it faulted.
    following: Option<(usize, f32)>,
    /// For how long, ticks; and the share of the way down that each of them makes due, whatever the faulted drive does.
    following_for: u32,
    due_tick: f32,
    goal: DriveGoal,
    /// What was asked of the drives in the last tick.
    asked: [DriveOutput; DRIVES],
    torque_max: [f32; DRIVES],
    /// Largest setpoint of each drive, rpm; a fixed ring has none.
    speed_max: [f32; DRIVES],
    check: DriveCheck,
}

impl DriveSet {
    /// At standstill, unpowered.
    #[must_use]
    pub fn new(params: &CheckedParams) -> Self {
        let p = params.get();
        let mut speed_max = p.speed_max.map(Rpm::get);
        for (most, fixed) in speed_max.iter_mut().zip(p.fixed) {
            if fixed {
                *most = 0.0;
            }
        }
        Self {
            from: [0.0; DRIVES],
            to: [0.0; DRIVES],
            now: [0.0; DRIVES],
            share: 1.0,
            share_tick: 1.0,
            ramp: p.drive_ramp.get(),
            following: None,
            following_for: 0,
            due_tick: 1.0 / math::max(DOWN_WITHIN * math::from_u32(p.stop_time.0), 1.0),
            goal: DriveGoal::Off,
            asked: [DriveOutput::default(); DRIVES],
            torque_max: p.torque_max.map(NewtonMetres::get),
            speed_max,
            check: DriveCheck::default(),
        }
    }

    /// Takes what the drives report. To be called when it is new: they report over a bus of their own, so that most ticks bring
    /// nothing new, and what follows from a report is not worked out again.
    ///
    /// `speeds` in rpm, `torques` as magnitudes in N·m.
    pub fn see(&mut self, speeds: [f32; DRIVES], torques: [f32; DRIVES]) {
        let mut check = DriveCheck::default();
        for (torque, most) in torques.iter().zip(&self.torque_max) {
            check.torque |= torque > most;
            check.run_up_torque |= *torque > most * RUN_UP_TORQUE;
        }
        self.check = check;
        self.compare(speeds);
    }

    /// Holds speeds against the references.
    #[inline(always)]
    fn compare(&mut self, speeds: [f32; DRIVES]) {
        let check = &mut self.check;
        (check.furthest, check.wrong_way, check.turning) = (0.0, false, false);
        for (speed, reference) in speeds.iter().zip(&self.now) {
            check.furthest = math::max(check.furthest, (speed - reference).abs());
            check.wrong_way |= speed * reference < 0.0 && speed.abs() > WRONG_WAY_RPM;
            check.turning |= reference.abs() > 0.0;
        }
    }

    /// How the drives stood against their references and limits when either last changed.
    #[must_use]
    pub const fn check(&self) -> &DriveCheck {
        &self.check
    }

    /// One tick towards the goal; `targets` are the speeds that `Run` (or, reduced, `Reduced`) means.
    #[inline(always)]
    pub fn step(
        &mut self,
        goal: DriveGoal,
        targets: &[Rpm; DRIVES],
        reports: &[DriveInput; DRIVES],
        m: &Measured,
    ) -> [DriveOutput; DRIVES] {
        // The ordinary tick: off or at speed, nothing new, every drive sound. What was asked is asked again.
        let settled = goal == self.goal && self.share >= 1.0 && self.following.is_none();
        let nothing_new = match goal {
            DriveGoal::Off => true,
            DriveGoal::Stop => !m.drive_fault,
            DriveGoal::Run | DriveGoal::Reduced => !m.drive_fault && !self.differs(targets),
        };
        if !(settled && nothing_new) {
            self.go(goal, targets, reports, m.speeds);
            // The torques and their limits are what they were.
            self.compare(m.speeds);
        }
        self.asked
    }

    /// A tick in which something changes.
    #[inline(never)]
    fn go(
        &mut self,
        goal: DriveGoal,
        targets: &[Rpm; DRIVES],
        reports: &[DriveInput; DRIVES],
        speeds: [f32; DRIVES],
    ) {
        let wanted = match goal {
            DriveGoal::Off => {
                self.coast();
                return;
            }
            DriveGoal::Stop => [Rpm::ZERO; DRIVES],
            DriveGoal::Run | DriveGoal::Reduced => *targets,
        };
        // While they follow a faulted drive down they are not led anywhere else: only power off ends that.
        if self.following.is_none() && (goal != self.goal || self.differs(&wanted)) {
            self.aim(wanted.map(Rpm::get));
            self.goal = goal;
        }
        let faults = reports.map(|drive| drive.fault);
        self.follow(faults, speeds);
        // The one place where setpoints leave: none is above its drive's largest, whatever went before.
        let wanted = self.now.iter().zip(&self.speed_max).zip(faults);
        for (drive, ((now, most), faulted)) in self.asked.iter_mut().zip(wanted) {
            *drive = DriveOutput {
                enable: !faulted,
                setpoint: math::to_i16(math::hold(*now, -most, *most) * 100.0),
            };
        }
    }

    /// Power off. Whatever still turns, coasts; power comes back only at proven standstill, so that the next ramp starts at zero. What
    /// the drives report never becomes a setpoint: a report may lie.
    const fn coast(&mut self) {
        self.now = [0.0; DRIVES];
        self.share = 1.0;
        self.goal = DriveGoal::Off;
        self.following = None;
        self.asked = [DriveOutput {
            enable: false,
            setpoint: 0,
        }; DRIVES];
    }

    /// These speeds are not what the present ramp leads to.
    fn differs(&self, wanted: &[Rpm; DRIVES]) -> bool {
        let mut differs = false;
        for (a, b) in wanted.iter().zip(&self.to) {
            differs |= (a.get() - b).abs() > 0.0;
        }
        differs
    }

    fn aim(&mut self, wanted: [f32; DRIVES]) {
        self.from = self.now;
        self.to = wanted;
        self.share = 0.0;
        let mut furthest = 0.0;
        for (a, b) in self.from.iter().zip(&self.to) {
            furthest = math::max(furthest, (b - a).abs());
        }
        // The drive with the furthest to go ramps at the machine's acceleration, the others in proportion. With nowhere to go it is
        // infinite: they arrive at once.
        self.share_tick = self.ramp * TICK_SECONDS / furthest;
    }

    fn follow(&mut self, faults: [bool; DRIVES], speeds: [f32; DRIVES]) {
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
                self.following_for = 0;
            }
        }
        match self.following {
            // All four go down with the one that has lost its power, so that carriers see no wrong ratio under load. It may be dragged
            // along by the others, or its report may stand: they are at rest well within the monitored stop time all the same.
            Some((index, at_fault)) if at_fault.abs() > 0.0 => {
                let speed = speeds.get(index).copied().unwrap_or(0.0);
                let gone = 1.0 - math::hold(speed / at_fault, 0.0, 1.0);
                self.following_for = self.following_for.saturating_add(1);
                let due = math::from_u32(self.following_for) * self.due_tick;
                self.share = math::max(self.share, math::max(gone, math::min(due, 1.0)));
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
    pub fn in_band(&self, tolerance: f32) -> bool {
        self.powered() && self.check.furthest <= tolerance * 0.5
    }
}

#[cfg(test)]
mod tests;
