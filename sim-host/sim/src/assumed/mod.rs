//! What a machine file leaves out, and what is assumed instead: one [`Rule`] a key, with its value from what the file gives, how far off
//! that may be, and how to measure it. Reader, schema, reports and the book take the rules from here.
//!
//! A property that is assumed varies in every drawn machine, each from a stream of its own name; a setting is what the controller is set
//! to, and does not. A file that gives everything has nothing to vary: its draws are as they ever were.

pub mod batch;
mod table;

use crate::math::{exp, log, max};
use crate::model::{Deviations, Envelope, Machine, Varied};
use crate::plant::envelope::corner;
use crate::plant::seed::stream;
use rand_distr::{Distribution, Uniform};
use std::borrow::Cow;

/// How far from its assumed value a key may truly lie. Each is wider than what a given value of the key counts with.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Width {
    /// Nothing to be wrong about: the machine is set so.
    Setting,
    /// Divided or multiplied by up to this factor.
    Factor(f64),
    /// Up to this share more or less.
    Share(f64),
    /// Up to so much more or less, in SI units.
    Plus(f64),
    /// A width that the envelope has anyhow, widened to this.
    Declared(Declared, f64),
    /// The same, and above its upper end multiplied by up to this factor besides: what is known to reach further up than down.
    Stretched(Declared, f64, f64),
}

impl Width {
    /// The width of the envelope that belongs to it, and how wide that is then.
    #[must_use]
    pub const fn declared(self) -> Option<(Declared, f64)> {
        match self {
            Self::Declared(declared, width) | Self::Stretched(declared, width, _) => {
                Some((declared, width))
            }
            Self::Setting | Self::Factor(_) | Self::Share(_) | Self::Plus(_) => None,
        }
    }
}

/// A width of the envelope that belongs to a key.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Declared {
    /// Of the counterbalance pressure.
    Counterbalance,
    /// Of friction and breakaway of the seals.
    SealFriction,
    /// Of the regulator's lag.
    Lag,
    /// Of its dead time.
    DeadTime,
    /// Of the supply pressure.
    Supply,
    /// Of the cell's noise.
    Noise,
}

impl Declared {
    /// Its key in the machine file.
    #[must_use]
    pub const fn key(self) -> &'static str {
        match self {
            Self::Counterbalance => "envelope.counterbalance",
            Self::SealFriction => "envelope.seal-friction",
            Self::Lag => "envelope.lag",
            Self::DeadTime => "envelope.dead-time",
            Self::Supply => "envelope.supply",
            Self::Noise => "envelope.noise-factor",
        }
    }

    const fn of(self, envelope: &mut Envelope) -> &mut f64 {
        match self {
            Self::Counterbalance => &mut envelope.counterbalance,
            Self::SealFriction => &mut envelope.seal_friction,
            Self::Lag => &mut envelope.lag,
            Self::DeadTime => &mut envelope.dead_time,
            Self::Supply => &mut envelope.supply,
            Self::Noise => &mut envelope.noise_factor,
        }
    }

    /// Its place among the widths, in the order of [`Deviations`].
    const fn place(self) -> u64 {
        match self {
            Self::Counterbalance => 3,
            Self::SealFriction => 4,
            Self::Lag => 5,
            Self::DeadTime => 6,
            Self::Supply => 8,
            Self::Noise => 10,
        }
    }
}

/// What stands for a key that is left out.
pub struct Rule {
    /// The key, by its path in the file.
    pub key: &'static str,
    /// How its value comes about, in words.
    pub rule: &'static str,
    /// Equation or source of the rule, or that it is typical and invented.
    pub source: &'static str,
    /// Unit in which it is shown; none for a pure number.
    pub unit: &'static str,
    /// How far off it may be.
    pub width: Width,
    /// Why it may be so far off, with the source, or that there is none; empty for a setting.
    pub spread: &'static str,
    /// What measures it: a verb of this program, or an instrument.
    pub by: &'static str,
    /// What to do, in a sentence or two.
    pub how: &'static str,
    /// What to write down.
    pub write: &'static str,
    derive: fn(&Machine) -> f64,
    field: fn(&mut Machine) -> &mut f64,
}

impl std::fmt::Debug for Rule {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_tuple("Rule").field(&self.key).finish()
    }
}

/// Lower and upper end of an envelope, as places in -1..=1.
pub const ENDS: [f64; 2] = [-1.0, 1.0];

impl Rule {
    /// Whether a machine has this key at all: a ring that is fixed turns nothing.
    fn applies(&self, machine: &Machine) -> bool {
        let fixed = |drive: usize| machine.drives.get(drive).is_some_and(|drive| drive.fixed);
        !(self.key.starts_with("drives.inner.") && fixed(0)
            || self.key.starts_with("drives.outer.") && fixed(1))
    }

    /// The value of the key in a machine.
    #[must_use]
    pub fn value(&self, machine: &Machine) -> f64 {
        *(self.field)(&mut machine.clone())
    }

    /// Whether assuming it makes the machine uncertain.
    #[must_use]
    pub fn varies(&self) -> bool {
        self.width != Width::Setting
    }

    /// A value at a place of its envelope.
    fn at(&self, value: f64, place: f64) -> f64 {
        match self.width {
            Width::Factor(factor) => value * exp(log(factor) * place),
            Width::Share(share) => value * (1.0 + share * place),
            Width::Plus(half) => value + half * place,
            Width::Stretched(_, _, factor) => value * exp(log(factor) * max(place, 0.0)),
            // The envelope's own deviation does it.
            Width::Setting | Width::Declared(..) => value,
        }
    }

    /// The machine with this key at a place of its envelope, all else as assumed; for keys whose width is the envelope's, as it is.
    #[must_use]
    pub fn end(&self, machine: &Machine, place: f64) -> Machine {
        let mut changed = machine.clone();
        let field = (self.field)(&mut changed);
        *field = self.at(*field, place);
        changed
    }

    /// Deviations of a machine that has this key at the lower or upper end of its envelope (a place of [`ENDS`]), all else as assumed.
    #[must_use]
    pub fn deviated(&self, machine: &Machine, end: f64) -> Deviations {
        let rest = match self.width.declared() {
            Some((declared, _)) => {
                let upper = u64::from(end > 0.0);
                corner(&machine.envelope, 2 * declared.place() + upper)
            }
            None => Deviations::NOMINAL,
        };
        Deviations {
            assumed: Varied::One {
                key: number(self.key),
                place: end,
            },
            ..rest
        }
    }
}

/// Every rule, in the order in which they are applied.
pub fn rules() -> impl Iterator<Item = &'static Rule> {
    table::all()
}

/// The rule of a key, by its path in the file.
#[must_use]
pub fn rule(key: &str) -> Option<&'static Rule> {
    rules().find(|rule| rule.key == key)
}

/// Number of a key among the rules, as journals name it.
fn number(key: &str) -> u8 {
    let place = rules().position(|rule| rule.key == key);
    place
        .and_then(|place| u8::try_from(place).ok())
        .unwrap_or(u8::MAX)
}

/// Rules whose keys a machine's file left out.
pub fn assumed(machine: &Machine) -> impl Iterator<Item = &'static Rule> {
    machine.assumed.iter().filter_map(|key| rule(key))
}

/// Gives every key that `left_out` names its assumed value, in order, and widens the envelope where its width is not `given`.
pub(crate) fn fill(machine: &mut Machine, left_out: impl Fn(&str) -> bool) {
    for rule in rules().filter(|rule| left_out(rule.key)) {
        if !rule.applies(machine) {
            continue;
        }
        let value = (rule.derive)(machine);
        *(rule.field)(machine) = value;
        if let Some((declared, width)) = rule.width.declared()
            && left_out(declared.key())
        {
            let known = declared.of(&mut machine.envelope);
            *known = max(*known, width);
        }
        machine.assumed.push(rule.key);
    }
}

/// The machine as a draw makes it: assumed keys where the draw has them.
#[must_use]
pub(crate) fn varied(machine: &Machine, varied: Varied) -> Cow<'_, Machine> {
    let place = |rule: &Rule| match varied {
        Varied::Nominal => 0.0,
        Varied::One { key, place } if number(rule.key) == key => place,
        Varied::One { .. } => 0.0,
        Varied::Drawn { seed, index } => {
            let mut random = stream(seed, "assumed", rule.key, index);
            Uniform::new_inclusive(-1.0, 1.0).map_or(0.0, |uniform| uniform.sample(&mut random))
        }
    };
    if varied == Varied::Nominal || machine.assumed.is_empty() {
        return Cow::Borrowed(machine);
    }
    let mut changed = machine.clone();
    for rule in assumed(machine).filter(|rule| rule.varies()) {
        let field = (rule.field)(&mut changed);
        *field = rule.at(*field, place(rule));
    }
    Cow::Owned(changed)
}

/// `wanted` with the assumed keys of `read`: what a value that is written into a file changes by rule is meant.
pub(crate) fn settled(mut wanted: Machine, read: &Machine) -> Machine {
    let mut read = read.clone();
    let assumed: Vec<&'static Rule> = assumed(&read).collect();
    for rule in assumed {
        *(rule.field)(&mut wanted) = *(rule.field)(&mut read);
        if let Some((declared, _)) = rule.width.declared() {
            *declared.of(&mut wanted.envelope) = *declared.of(&mut read.envelope);
        }
    }
    // A key that is given now no longer widens the envelope.
    let before: Vec<&'static Rule> = self::assumed(&wanted).collect();
    for rule in before {
        if let Some((declared, _)) = rule.width.declared() {
            *declared.of(&mut wanted.envelope) = *declared.of(&mut read.envelope);
        }
    }
    wanted.assumed.clone_from(&read.assumed);
    wanted
}

#[cfg(test)]
mod tests;
