//! Puts what was found of the cylinder and the drives into the text of a machine file; comments, order and everything else stay.

use super::calibrated::{four_digits, read_back};
use super::edit::{EditError, with_values};
use super::quantity::Dimension;
use super::{Loaded, parse_machine};
use crate::model::{Actuator, Machine};
use firmware_core::process_image::Drive;
use toml_edit::value;

/// A key of the actuator that a log of its load can tell.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ActuatorKey {
    /// Mass of upper plate and all that hangs on the rod, kg.
    Mass,
    /// Cap-side pressure at full command, Pa.
    ReliefPressure,
    /// Counterbalance pressure, Pa.
    Counterbalance,
    /// Seal friction while sliding slowly, N.
    SealFriction,
    /// Seal breakaway, N.
    SealBreakaway,
    /// Dead time of the regulator, s.
    DeadTime,
    /// Its lag, s.
    Lag,
    /// Its fastest change, full scales per second.
    Slew,
    /// Its play, share of full scale.
    Play,
    /// Its resolution, share of full scale.
    Resolution,
    /// Time constant of the dump valve, s.
    DumpLag,
}

impl ActuatorKey {
    /// All of them, in the file's order.
    pub const ALL: [Self; 11] = [
        Self::Mass,
        Self::ReliefPressure,
        Self::Counterbalance,
        Self::SealFriction,
        Self::SealBreakaway,
        Self::DeadTime,
        Self::Lag,
        Self::Slew,
        Self::Play,
        Self::Resolution,
        Self::DumpLag,
    ];

    /// The key as the file has it.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Mass => "mass",
            Self::ReliefPressure => "relief-pressure",
            Self::Counterbalance => "counterbalance",
            Self::SealFriction => "seal-friction",
            Self::SealBreakaway => "seal-breakaway",
            Self::DeadTime => "dead-time",
            Self::Lag => "lag",
            Self::Slew => "slew",
            Self::Play => "play",
            Self::Resolution => "resolution",
            Self::DumpLag => "dump-lag",
        }
    }

    /// The unit in which it is written and told where the file has none for it, and how many of it make an SI unit.
    #[must_use]
    pub const fn unit(self) -> (&'static str, f64) {
        match self {
            Self::Mass => ("kg", 1.0),
            Self::ReliefPressure | Self::Counterbalance => ("bar", 1e-5),
            Self::SealFriction | Self::SealBreakaway => ("N", 1.0),
            Self::DeadTime | Self::Lag | Self::DumpLag => ("ms", 1e3),
            Self::Slew => ("1/s", 1.0),
            Self::Play | Self::Resolution => ("%", 100.0),
        }
    }

    /// The unit in which it is written into a file, and how many of it make an SI unit: that in which it stands there.
    #[must_use]
    pub fn unit_in(self, file: &Loaded<Machine>) -> (&'static str, f64) {
        typed_or(file, &format!("actuator.{}", self.name()), self.unit())
    }

    const fn dimension(self) -> Dimension {
        match self {
            Self::Mass => Dimension::Mass,
            Self::ReliefPressure | Self::Counterbalance => Dimension::Pressure,
            Self::SealFriction | Self::SealBreakaway => Dimension::Force,
            Self::DeadTime | Self::Lag | Self::DumpLag => Dimension::Time,
            Self::Slew => Dimension::Frequency,
            Self::Play | Self::Resolution => Dimension::Ratio,
        }
    }

    /// Its value in a machine, SI units.
    #[must_use]
    pub fn of(self, actuator: &Actuator) -> f64 {
        *self.place(&mut actuator.clone())
    }

    const fn place(self, actuator: &mut Actuator) -> &mut f64 {
        match self {
            Self::Mass => &mut actuator.mass,
            Self::ReliefPressure => &mut actuator.relief_pressure,
            Self::Counterbalance => &mut actuator.counterbalance,
            Self::SealFriction => &mut actuator.seal_friction,
            Self::SealBreakaway => &mut actuator.seal_breakaway,
            Self::DeadTime => &mut actuator.dead_time,
            Self::Lag => &mut actuator.lag,
            Self::Slew => &mut actuator.slew,
            Self::Play => &mut actuator.play,
            Self::Resolution => &mut actuator.resolution,
            Self::DumpLag => &mut actuator.dump_lag,
        }
    }
}

/// The text of a machine file with values (SI units) of some keys of its actuator.
///
/// # Errors
/// A value outside its key's range, values that do not go together, or a text that would not be read back as meant; the file is then to be
/// left alone.
pub fn with_actuator(
    file: &Loaded<Machine>,
    found: &[(ActuatorKey, f64)],
) -> Result<String, EditError> {
    let mut wanted = file.value.clone();
    let mut values = Vec::with_capacity(found.len());
    for (key, si) in found {
        let (unit, per_si) = key.unit_in(file);
        let written = format!("{} {unit}", four_digits(si * per_si));
        *key.place(&mut wanted.actuator) = read_back(&written, key.dimension())?;
        values.push((key.name(), value(written)));
    }
    with_values(file, "actuator", values, &wanted, |text| {
        parse_machine(&file.path, text)
    })
}

/// The unit that a path of a file was typed in and how many of it make an SI unit, or another where it has none.
fn typed_or(
    file: &Loaded<Machine>,
    path: &str,
    without: (&'static str, f64),
) -> (&'static str, f64) {
    file.typed(path).map_or(without, |unit| {
        (unit.symbol, unit.denominator / unit.numerator)
    })
}

/// The unit in which a drive's inertia is written into a file and told beside it, and how many of it make a kg·m².
#[must_use]
pub fn inertia_unit(file: Option<&Loaded<Machine>>, drive: Drive) -> (&'static str, f64) {
    let without = ("kg·m²", 1.0);
    file.map_or(without, |file| {
        typed_or(file, &format!("drives.{}.inertia", drive.name()), without)
    })
}

/// The text of a machine file with a drive's inertia, kg·m², and drag, N·m.
///
/// # Errors
/// As [`with_actuator`]; and a drive that the machine does not have.
pub fn with_drive(
    file: &Loaded<Machine>,
    drive: Drive,
    inertia: f64,
    drag: f64,
) -> Result<String, EditError> {
    let mut wanted = file.value.clone();
    let name = format!("drives.{}", drive.name());
    let own = wanted
        .drives
        .get_mut(drive as usize)
        .filter(|own| !own.fixed)
        .ok_or_else(|| {
            EditError::Edit(format!(
                "`{name}` in {} has no drive that turns",
                file.path.display()
            ))
        })?;
    let units = [
        (inertia, inertia_unit(Some(file), drive)),
        (drag, typed_or(file, &format!("{name}.drag"), ("N·m", 1.0))),
    ];
    let written = units.map(|(si, (unit, per_si))| format!("{} {unit}", four_digits(si * per_si)));
    own.inertia = read_back(&written[0], Dimension::Inertia)?;
    own.drag = read_back(&written[1], Dimension::Torque)?;
    let [inertia, drag] = written;
    let values = vec![("inertia", value(inertia)), ("drag", value(drag))];
    with_values(file, &name, values, &wanted, |text| {
        parse_machine(&file.path, text)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::path::Path;

    const MACHINE: &str = include_str!("../../../../recipes/machines/machine-a.toml");

    /// Lines that differ, old and new.
    fn changed<'a>(old: &'a str, new: &'a str) -> Vec<(&'a str, &'a str)> {
        assert_eq!(old.lines().count(), new.lines().count());
        old.lines()
            .zip(new.lines())
            .filter(|(a, b)| a != b)
            .collect()
    }

    fn read(text: &str) -> Loaded<Machine> {
        parse_machine(Path::new("m.toml"), text).expect("reads")
    }

    #[test]
    fn only_the_lines_of_the_keys_found_change() {
        let old = MACHINE.replace("lag = \"0.12 s\"", "lag = \"0.12 s\" # guessed");
        let found = [
            (ActuatorKey::ReliefPressure, 4.312_345e5),
            (ActuatorKey::Lag, 0.131_41),
        ];
        let new = with_actuator(&read(&old), &found).expect("written");
        assert_eq!(
            changed(&old, &new),
            [
                (
                    "relief-pressure = \"4.2 bar\"",
                    "relief-pressure = \"4.312 bar\""
                ),
                ("lag = \"0.12 s\" # guessed", "lag = \"0.1314 s\" # guessed"),
            ]
        );
        let new = with_drive(&read(MACHINE), Drive::Lower, 1.654_32, 0.512_34).expect("written");
        assert_eq!(
            changed(MACHINE, &new),
            [
                ("inertia = \"1.8 kg·m²\"", "inertia = \"1.654 kg·m²\""),
                ("drag = \"0.4 N·m\"", "drag = \"0.5123 N·m\""),
            ]
        );
    }

    /// Every key is read back as itself: name, unit, dimension and place go together.
    #[test]
    fn every_key_goes_where_it_belongs() {
        let file = read(MACHINE);
        for key in ActuatorKey::ALL {
            // Just off, and still in order with the others.
            let si = 1.01 * key.of(&file.value.actuator);
            let new = with_actuator(&file, &[(key, si)]).expect("written");
            let lines = changed(MACHINE, &new);
            assert_eq!(lines.len(), 1, "{lines:?}");
            assert!(lines[0].1.starts_with(&format!("{} = ", key.name())));
            let value = key.of(&read(&new).value.actuator);
            assert!((value / si - 1.0).abs() < 1e-3, "{}: {value}", key.name());
        }
    }

    #[test]
    fn what_no_machine_can_hold_is_refused() {
        let file = read(MACHINE);
        for found in [
            [(ActuatorKey::SealFriction, 11.0)],
            [(ActuatorKey::Lag, f64::NAN)],
            [(ActuatorKey::Play, -0.01)],
        ] {
            assert!(with_actuator(&file, &found).is_err(), "{found:?}");
        }
        assert!(with_drive(&file, Drive::Lower, -1.0, 0.4).is_err());
        let fixed = MACHINE.replace(
            "[drives.inner]\ntorque = \"20 N·m\"\nspeed = \"60 rpm\"\ninertia = \"0.2 kg·m²\"\ndrag = \"0.5 N·m\"",
            "[drives.inner]\nfixed = true",
        );
        assert!(with_drive(&read(&fixed), Drive::Inner, 0.2, 0.4).is_err());
    }
}
