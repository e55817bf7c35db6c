//! Failures at the components' ports: what a signal becomes on its way through a broken component.

use super::fault_table::{COMPONENTS, SUPPORTED, mode_name, name, supported};
use super::seed::{Stream, stream};
use crate::model::{Component, Fault, FaultMode};
use rand_distr::{Distribution, StandardUniform};

/// Longest lag, delay or half period that a fault may have, s.
pub const LONGEST: f64 = 600.0;
/// Rate at which a positive factor on the load cell drifts to its value, 1/s.
pub const DRIFT_RATE: f64 = 0.02;

/// Why a fault was not injected. Nothing has changed then.
#[derive(Clone, Debug, PartialEq)]
pub enum FaultRefused {
    /// The component does not fail this way.
    Unsupported {
        /// Component asked for.
        component: Component,
        /// Mode asked for.
        mode: FaultMode,
    },
    /// The magnitude cannot be used.
    Magnitude {
        /// Component asked for.
        component: Component,
        /// Mode asked for.
        mode: FaultMode,
        /// What was given.
        given: f64,
        /// What is accepted, with its unit.
        expected: &'static str,
    },
    /// Parts can only be misplaced or stuck while the plate is off them.
    PlateDown,
}

impl std::fmt::Display for FaultRefused {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Unsupported { component, mode } => {
                let modes: Vec<&str> = SUPPORTED
                    .iter()
                    .filter(|row| row.component == *component)
                    .map(|row| mode_name(row.mode))
                    .collect();
                write!(
                    f,
                    "{} cannot fail as '{}'; it can be: {}",
                    name(*component),
                    mode_name(*mode),
                    modes.join(", ")
                )
            }
            Self::Magnitude {
                component,
                mode,
                given,
                expected,
            } => write!(
                f,
                "magnitude {given} of {} '{}' cannot be used; give {expected}",
                name(*component),
                mode_name(*mode)
            ),
            Self::PlateDown => write!(
                f,
                "parts can only be misplaced while the plate is off them; inject this fault before touch-down or after lift"
            ),
        }
    }
}

impl std::error::Error for FaultRefused {}

/// What a fault comes to, in the unit of its row of [`SUPPORTED`]; 0 where it has none.
///
/// # Errors
/// [`FaultRefused`] where the component does not fail this way, or with a magnitude that cannot be used.
pub fn magnitude(fault: &Fault) -> Result<f64, FaultRefused> {
    let (component, mode) = (fault.component, fault.mode);
    let Some(row) = supported(component, mode) else {
        return Err(FaultRefused::Unsupported { component, mode });
    };
    let magnitude = fault.magnitude.or(row.magnitude).unwrap_or(0.0);
    let timed = matches!(
        mode,
        FaultMode::Slow | FaultMode::Delayed | FaultMode::Intermittent
    );
    let refuse = |expected| {
        Err(FaultRefused::Magnitude {
            component,
            mode,
            given: magnitude,
            expected,
        })
    };
    if !magnitude.is_finite() || magnitude.abs() > 1e6 {
        return refuse("a finite number in the unit of the table");
    }
    if timed && !(magnitude > 0.0 && magnitude <= LONGEST) {
        return refuse("more than 0 s and at most 600 s");
    }
    if component == Component::Parts && !(1.0..=100_000.0).contains(&magnitude) {
        return refuse("a count of at least 1");
    }
    Ok(magnitude)
}

/// How a signal is distorted by [`Faults::pass`].
#[derive(Clone, Copy, Debug)]
pub(super) struct Port {
    /// Value of a dead signal.
    pub off: f64,
    /// Range of garbage.
    pub range: (f64, f64),
    /// What `Wrong` does.
    pub wrong: Wrong,
    /// Seconds between two calls.
    pub step: f64,
}

/// What a wrong signal looks like.
#[derive(Clone, Copy, Debug)]
pub(super) enum Wrong {
    /// Multiplied by the magnitude.
    Factor,
    /// Multiplied; a positive factor is reached at [`DRIFT_RATE`].
    DriftFactor,
    /// Magnitude added, scaled by this.
    Offset(f64),
    /// A bit inverted.
    Invert,
    /// Handled by the component itself.
    Own,
}

#[derive(Clone, Debug)]
struct Active {
    mode: FaultMode,
    magnitude: f64,
    memory: Option<f64>,
    line: Vec<f64>,
    head: usize,
    /// Time that an intermittent fault or a drift has lasted, s.
    elapsed: f64,
}

/// All faults in force.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Faults {
    mask: u64,
    active: [Option<Box<Active>>; COMPONENTS],
    random: Stream,
}

impl Faults {
    pub fn new(seed: u64) -> Self {
        Self {
            mask: 0,
            active: [const { None }; COMPONENTS],
            random: stream(seed, "faults", "garbage", 0),
        }
    }

    /// Checks and puts a fault in force, replacing what the component had. Returns its magnitude.
    pub fn inject(&mut self, fault: &Fault) -> Result<f64, FaultRefused> {
        let (component, mode) = (fault.component, fault.mode);
        let magnitude = magnitude(fault)?;
        if let Some(slot) = self.active.get_mut(component as usize) {
            *slot = Some(Box::new(Active {
                mode,
                magnitude,
                memory: None,
                line: Vec::new(),
                head: 0,
                elapsed: 0.0,
            }));
            self.mask |= 1 << component as u64;
        }
        Ok(magnitude)
    }

    pub fn clear(&mut self, component: Component) {
        if let Some(slot) = self.active.get_mut(component as usize) {
            *slot = None;
        }
        self.mask &= !(1 << component as u64);
    }

    /// Any fault at all: the tick's fast path asks this once.
    #[inline]
    pub fn any(&self) -> bool {
        self.mask != 0
    }

    #[inline]
    pub fn has(&self, component: Component) -> bool {
        self.mask >> component as u64 & 1 == 1
    }

    /// Mode and magnitude in force on a component.
    #[inline]
    pub fn get(&self, component: Component) -> Option<(FaultMode, f64)> {
        if !self.has(component) {
            return None;
        }
        self.active
            .get(component as usize)
            .and_then(|slot| slot.as_ref())
            .map(|a| (a.mode, a.magnitude))
    }

    /// Magnitude if the component is in this mode.
    #[inline]
    pub(crate) fn in_mode(&self, component: Component, mode: FaultMode) -> Option<f64> {
        self.get(component)
            .and_then(|(m, magnitude)| (m == mode).then_some(magnitude))
    }

    /// A signal through a component.
    #[inline]
    pub fn pass(&mut self, component: Component, value: f64, port: &Port) -> f64 {
        if self.has(component) {
            self.distort(component, value, port)
        } else {
            value
        }
    }

    /// A bit through a component; garbage is chatter.
    #[inline]
    pub(crate) fn pass_bit(&mut self, component: Component, value: bool, step: f64) -> bool {
        if !self.has(component) {
            return value;
        }
        let port = Port {
            off: 0.0,
            range: (0.0, 1.0),
            wrong: Wrong::Invert,
            step,
        };
        self.distort(component, f64::from(u8::from(value)), &port) > 0.5
    }

    /// True in the dead half of an intermittent fault and always in `Off`. Advances the fault's clock by `step`.
    pub fn dead(&mut self, component: Component, step: f64) -> bool {
        if !self.has(component) {
            return false;
        }
        let port = Port {
            off: 0.0,
            range: (1.0, 1.0),
            wrong: Wrong::Own,
            step,
        };
        matches!(
            self.get(component),
            Some((FaultMode::Off | FaultMode::Intermittent, _))
        ) && self.distort(component, 1.0, &port) < 0.5
    }

    #[cold]
    fn distort(&mut self, component: Component, value: f64, port: &Port) -> f64 {
        let Some(Some(a)) = self.active.get_mut(component as usize) else {
            return value;
        };
        match a.mode {
            FaultMode::Off => port.off,
            FaultMode::Stuck => *a.memory.get_or_insert(value),
            FaultMode::Garbage => {
                let unit: f64 = StandardUniform.sample(&mut self.random);
                port.range.0 + (port.range.1 - port.range.0) * unit
            }
            FaultMode::Wrong => match port.wrong {
                Wrong::Factor => value * a.magnitude,
                Wrong::DriftFactor if a.magnitude < 0.0 => value * a.magnitude,
                Wrong::DriftFactor => {
                    a.elapsed += port.step;
                    let way = DRIFT_RATE * a.elapsed;
                    let to_go = a.magnitude - 1.0;
                    value * (1.0 + crate::math::limit(to_go, -way, way))
                }
                Wrong::Offset(scale) => value + a.magnitude * scale,
                Wrong::Invert => 1.0 - value,
                Wrong::Own => value,
            },
            FaultMode::Slow => {
                let last = a.memory.unwrap_or(value);
                let next = last + (value - last) * super::actuator::share(a.magnitude, port.step);
                a.memory = Some(next);
                next
            }
            FaultMode::Delayed => a.delay(value, port.step),
            FaultMode::Intermittent => {
                a.elapsed += port.step;
                // Dead half first, so that the fault shows at once.
                if ((a.elapsed / a.magnitude) as u64).is_multiple_of(2) {
                    port.off
                } else {
                    value
                }
            }
        }
    }
}

/// The same from here on: a delay line by what will come out of it, wherever it begins in memory.
impl PartialEq for Active {
    fn eq(&self, other: &Self) -> bool {
        fn to_come(a: &Active) -> impl Iterator<Item = &f64> {
            let (last, first) = a.line.split_at(a.head.min(a.line.len()));
            first.iter().chain(last)
        }
        self.mode == other.mode
            && self.magnitude == other.magnitude
            && self.memory == other.memory
            && self.elapsed == other.elapsed
            && to_come(self).eq(to_come(other))
    }
}

impl Active {
    fn delay(&mut self, value: f64, step: f64) -> f64 {
        if step <= 0.0 {
            // A look between two steps: no time has passed.
            return self.line.get(self.head).copied().unwrap_or(value);
        }
        if self.line.is_empty() {
            let length = (self.magnitude / step + 0.5) as usize;
            self.line = vec![value; length.max(1)];
        }
        let out = std::mem::replace(&mut self.line[self.head], value);
        self.head = (self.head + 1) % self.line.len();
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fault_words::COMPONENTS as NAMES;

    const PORT: Port = Port {
        off: -1.0,
        range: (10.0, 20.0),
        wrong: Wrong::Factor,
        step: 0.1,
    };

    fn with(mode: FaultMode, magnitude: f64) -> Faults {
        let mut f = Faults::new(1);
        f.inject(&Fault {
            component: Component::LoadCell,
            mode,
            magnitude: Some(magnitude),
        })
        .expect("supported");
        f
    }

    fn run(f: &mut Faults, values: &[f64]) -> Vec<f64> {
        values
            .iter()
            .map(|v| f.pass(Component::LoadCell, *v, &PORT))
            .collect()
    }

    #[test]
    fn each_mode_does_what_its_name_says() {
        assert_eq!(
            run(&mut with(FaultMode::Off, 0.0), &[3.0, 4.0]),
            [-1.0, -1.0]
        );
        assert_eq!(
            run(&mut with(FaultMode::Stuck, 0.0), &[3.0, 4.0]),
            [3.0, 3.0]
        );
        assert_eq!(run(&mut with(FaultMode::Wrong, -1.0), &[3.0]), [-3.0]);
        assert_eq!(
            run(&mut with(FaultMode::Delayed, 0.2), &[1.0, 2.0, 3.0, 4.0]),
            [1.0, 1.0, 1.0, 2.0]
        );
        let garbage = run(&mut with(FaultMode::Garbage, 0.0), &[3.0; 50]);
        assert!(garbage.iter().all(|g| (10.0..20.0).contains(g)));
        assert!(garbage[0] != garbage[1]);
        let slow = run(&mut with(FaultMode::Slow, 1.0), &[0.0, 1.0]);
        assert!((slow[1] - (1.0 - (-0.1f64).exp())).abs() < 1e-12);
        let flicker = run(&mut with(FaultMode::Intermittent, 0.25), &[5.0; 6]);
        assert_eq!(flicker, [-1.0, -1.0, 5.0, 5.0, -1.0, -1.0]);
        let mut f = with(FaultMode::Off, 0.0);
        f.clear(Component::LoadCell);
        assert_eq!(run(&mut f, &[3.0]), [3.0]);
        assert!(!f.any());
    }

    #[test]
    fn every_pair_is_either_in_the_table_or_refused_by_name() {
        for &(name, component) in NAMES {
            for mode in FaultMode::ALL {
                let fault = Fault {
                    component,
                    mode,
                    magnitude: None,
                };
                match Faults::new(1).inject(&fault) {
                    Ok(_) => assert!(supported(component, mode).is_some()),
                    Err(refused) => {
                        assert!(supported(component, mode).is_none());
                        assert!(refused.to_string().contains(name), "{refused}");
                    }
                }
            }
        }
    }

    #[test]
    fn bad_magnitudes_are_refused_with_what_is_expected() {
        for (mode, magnitude) in [
            (FaultMode::Wrong, f64::NAN),
            (FaultMode::Wrong, f64::INFINITY),
            (FaultMode::Slow, 0.0),
            (FaultMode::Delayed, -1.0),
            (FaultMode::Intermittent, 1e4),
        ] {
            let refused = Faults::new(1).inject(&Fault {
                component: Component::LoadCell,
                mode,
                magnitude: Some(magnitude),
            });
            assert!(matches!(refused, Err(FaultRefused::Magnitude { .. })));
        }
    }
}
