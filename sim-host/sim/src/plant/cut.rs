//! How finely the vertical motion is cut, and the seals that go with a step.

use super::contact::DAMPING_TIME;
use super::friction::{LuGre, Stepped};
use crate::math::{ceil, max, min, sqrt};
use crate::model::{Deviations, Machine};

/// Viscous friction of the greased seals: at the fast descent it takes this share of what drives the plate down. It is what
/// damps the plate on its air, and being inside the cylinder the cell does not see it. Invented.
const GREASE_SHARE: f64 = 0.4;
/// Longest step while the plate strikes the parts, leaves them or swings on them, s: a swing on the stiffest demonstration parts
/// lasts 0.7 ms, and how the plate bounces decides what friction its seals are left with. An implicit step damps a swing that it
/// resolves as a damping time of its own length would: this one just as the contact does.
const STRIKE_STEP: f64 = DAMPING_TIME;
/// Longest step while it bounces, s: it swings on its seals' bristles for some tens of milliseconds.
const BOUNCE_STEP: f64 = 1e-4;

/// What depends on the length of a step.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Cut {
    /// How many make a fast step.
    pub count: u32,
    /// Step, s.
    pub h: f64,
    /// Mass over the step, N·s/m.
    pub inertia: f64,
    /// Contact damping as a time, s.
    pub damping: f64,
    pub seal: Stepped,
}

/// Which of the cuts.
pub(super) const FAST: usize = 0;
pub(super) const BOUNCE: usize = 1;
pub(super) const STRIKE: usize = 2;

impl Cut {
    /// A fast step of `fast` seconds, and the finer ones.
    pub(super) fn all(mass: f64, seal: &LuGre, fast: f64) -> [Self; 3] {
        [fast, BOUNCE_STEP, STRIKE_STEP].map(|longest| Self::new(mass, seal, fast, longest))
    }

    /// A fast step of `fast` seconds in parts that are no longer than `longest`.
    fn new(mass: f64, seal: &LuGre, fast: f64, longest: f64) -> Self {
        let count = max(ceil(fast / longest - 1e-9), 1.0);
        let h = fast / count;
        Self {
            count: count as u32,
            h,
            inertia: mass / h,
            damping: if longest > STRIKE_STEP {
                DAMPING_TIME
            } else {
                DAMPING_TIME - h
            },
            seal: seal.every(h),
        }
    }
}

/// Seals of a machine, N and m: bristle stiffness from breakaway and presliding distance, damping as large as the model stays
/// passive with up to the fast descent.
pub(super) fn seal(machine: &Machine, dev: &Deviations) -> LuGre {
    let a = &machine.actuator;
    let coulomb = max(a.seal_friction * dev.seal_friction, 1e-3);
    let breakaway = max(a.seal_breakaway * dev.seal_friction, coulomb);
    let sigma0 = breakaway / max(a.presliding, 1e-9);
    let sigma1 = min(
        0.4 * sqrt(sigma0 * a.mass),
        2.0 * coulomb / max(a.speed_fast, 1e-3),
    );
    let drives_down = max(a.resting_load() - a.seal_friction, 0.0);
    let sigma2 = GREASE_SHARE * drives_down / max(a.speed_fast, 1e-3);
    LuGre::new(
        [sigma0, sigma1, sigma2],
        coulomb,
        breakaway,
        max(a.stribeck_speed, 1e-6),
    )
}
