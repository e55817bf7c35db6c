//! The columns of a trace: one table says name, unit, whose number it is and how it is written.
//!
//! Fast columns change within a row's ticks, so a row keeps their smallest and largest value; of the others it keeps the last.

use super::TickView;
use crate::plant::Truth;
use firmware_core::interlock::ROWS;
use firmware_core::process_image::{DRIVES, RodValve};
use firmware_core::sequence::{Mode, Phase, Plate, State};
use firmware_core::status::{LoadMode, Response};
use std::f64::consts::PI;

/// Version of the columns: their names, units, order and meaning. 2: names are the core's, and responses 3 and 4 no longer exchanged.
pub const TRACE_VERSION: u16 = 2;

/// Whose number a column holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Source {
    /// The simulated machine's true value, which no controller sees.
    True,
    /// What an input card delivered.
    Measured,
    /// What an output card was told.
    Output,
    /// What the controller thinks.
    Controller,
}

impl Source {
    /// The word in front of a column's name.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::True => "true",
            Self::Measured => "measured",
            Self::Output => "output",
            Self::Controller => "controller",
        }
    }
}

/// How a column's cells are written.
#[derive(Clone, Copy, Debug)]
pub enum Format {
    /// A number with so many decimals.
    Decimals(usize),
    /// A name for a whole number.
    Name(fn(u8) -> &'static str),
}

/// One column.
#[derive(Clone, Copy, Debug)]
pub struct Column {
    /// Whose number it is.
    pub source: Source,
    /// Name, `snake_case`, without the source.
    pub name: &'static str,
    /// Unit; `1` for shares, counts and yes-or-no, empty for names.
    pub unit: &'static str,
    /// How it is written.
    pub format: Format,
}

const fn number(source: Source, name: &'static str, unit: &'static str, decimals: usize) -> Column {
    Column {
        source,
        name,
        unit,
        format: Format::Decimals(decimals),
    }
}

const fn named(source: Source, name: &'static str, names: fn(u8) -> &'static str) -> Column {
    Column {
        source,
        name,
        unit: "",
        format: Format::Name(names),
    }
}

/// What stands for a number that means nothing.
const UNKNOWN: &str = "?";

/// The core's name for a number of one of its enums.
macro_rules! names {
    ($type:ident) => {
        |number| $type::numbered(u16::from(number)).map_or(UNKNOWN, $type::name)
    };
}

use Source::{Controller, Measured, Output, True};

/// Number of fast columns.
pub const FAST: usize = 16;

/// Columns kept as a pair, smallest and largest in the row's ticks. Order of [`fast`].
pub const FAST_COLUMNS: [Column; FAST] = [
    number(True, "load", "N", 3),
    number(True, "load_without_runout", "N", 3),
    number(Controller, "load_raw", "N", 3),
    number(Controller, "load", "N", 3),
    number(Controller, "reference", "N", 3),
    number(Controller, "command", "1", 6),
    number(Controller, "governor", "1", 6),
    number(True, "cap_pressure", "kPa", 3),
    number(True, "speed_inner", "rpm", 3),
    number(True, "speed_outer", "rpm", 3),
    number(True, "speed_lower", "rpm", 3),
    number(True, "speed_upper", "rpm", 3),
    number(True, "torque_inner", "N·m", 2),
    number(True, "torque_outer", "N·m", 2),
    number(True, "torque_lower", "N·m", 2),
    number(True, "torque_upper", "N·m", 2),
];

/// Values of [`FAST_COLUMNS`] in the units in which they come. Turning them into the columns' units grows with the value, so that it
/// can wait until a row is written: the smallest is the smallest in either unit.
#[derive(Clone, Copy, Debug)]
pub struct Fast {
    /// Load, load without runout, N; cap pressure, Pa.
    plate: [f64; 3],
    /// Load unfiltered and filtered, reference, N; command and governor, 0..=1.
    controller: [f32; 5],
    /// Speeds of the drives, rad/s, then their torques, N·m.
    drives: [[f64; DRIVES]; 2],
}

impl Fast {
    /// Larger, and smaller, than everything.
    pub const ENDS: [Self; 2] = [
        Self::all(f64::INFINITY, f32::INFINITY),
        Self::all(f64::NEG_INFINITY, f32::NEG_INFINITY),
    ];

    const fn all(wide: f64, narrow: f32) -> Self {
        Self {
            plate: [wide; 3],
            controller: [narrow; 5],
            drives: [[wide; DRIVES]; 2],
        }
    }

    /// Widens the two ends to the values of a tick; those of the drives only where they are `new`.
    #[inline(always)]
    pub fn widen([least, most]: &mut [Self; 2], view: &TickView<'_>, new: bool) {
        let (truth, status) = (&view.truth, view.status);
        let plate = [truth.load, truth.load_without_runout, truth.cap_pressure];
        for ((least, most), value) in least.plate.iter_mut().zip(&mut most.plate).zip(plate) {
            *least = if value < *least { value } else { *least };
            *most = if value > *most { value } else { *most };
        }
        let controller = [
            status.load_raw.get(),
            status.load.get(),
            status.reference.get(),
            status.command.get(),
            status.governor.get(),
        ];
        let ends = least.controller.iter_mut().zip(&mut most.controller);
        for ((least, most), value) in ends.zip(controller) {
            *least = if value < *least { value } else { *least };
            *most = if value > *most { value } else { *most };
        }
        if new {
            let now = [truth.speeds, truth.torques];
            for ((least, most), now) in least.drives.iter_mut().zip(&mut most.drives).zip(now) {
                for ((least, most), value) in least.iter_mut().zip(most).zip(now) {
                    *least = if value < *least { value } else { *least };
                    *most = if value > *most { value } else { *most };
                }
            }
        }
    }

    /// In the order and units of [`FAST_COLUMNS`].
    #[must_use]
    pub fn cells(&self) -> [f64; FAST] {
        let [load, load_without_runout, cap_pressure] = self.plate;
        let [raw, filtered, reference, command, governor] = self.controller.map(f64::from);
        let [s, t] = self.drives;
        [
            load,
            load_without_runout,
            raw,
            filtered,
            reference,
            command,
            governor,
            cap_pressure * KPA,
            s[0] * RPM,
            s[1] * RPM,
            s[2] * RPM,
            s[3] * RPM,
            t[0],
            t[1],
            t[2],
            t[3],
        ]
    }
}

/// Number of slow columns.
pub const SLOW: usize = 57;

/// Columns of which a row keeps the last value. Order of [`slow`].
pub const SLOW_COLUMNS: [Column; SLOW] = [
    named(Controller, "state", names!(State)),
    named(Controller, "phase", names!(Phase)),
    number(Controller, "step", "1", 0),
    named(Controller, "mode", names!(Mode)),
    named(Controller, "plate", names!(Plate)),
    named(Controller, "load_mode", names!(LoadMode)),
    named(Controller, "response", names!(Response)),
    number(Controller, "cause", "1", 0),
    number(Controller, "active_rows", "1", 0),
    number(Controller, "latched_rows", "1", 0),
    number(Controller, "drives_in_band", "1", 0),
    number(Controller, "standstill", "1", 0),
    number(Controller, "flow_proven", "1", 0),
    number(Controller, "ends_by_time", "1", 0),
    number(Controller, "load_limit", "N", 3),
    number(Controller, "size", "µm", 3),
    number(Controller, "step_time", "s", 3),
    number(Controller, "missing", "1", 0),
    number(Output, "dump_shut", "1", 0),
    named(Output, "rod_valve", names!(RodValve)),
    number(Output, "setpoint_inner", "rpm", 2),
    number(Output, "setpoint_outer", "rpm", 2),
    number(Output, "setpoint_lower", "rpm", 2),
    number(Output, "setpoint_upper", "rpm", 2),
    number(Output, "pump", "1", 3),
    number(Output, "rinse", "1", 0),
    number(Output, "agitator", "1", 0),
    number(Measured, "cell", "counts", 0),
    number(Measured, "cap_pressure", "kPa", 2),
    number(Measured, "rod_pressure", "kPa", 2),
    number(Measured, "supply_pressure", "kPa", 1),
    number(Measured, "height", "µm", 0),
    number(Measured, "speed_inner", "rpm", 2),
    number(Measured, "speed_outer", "rpm", 2),
    number(Measured, "speed_lower", "rpm", 2),
    number(Measured, "speed_upper", "rpm", 2),
    number(Measured, "flow", "mL/min", 0),
    number(Measured, "rinse_flow", "mL/min", 0),
    number(Measured, "tank_level", "1", 3),
    number(Measured, "temperature_lower", "°C", 2),
    number(Measured, "temperature_upper", "°C", 2),
    number(Measured, "gauge", "µm", 3),
    number(True, "rod_force", "N", 3),
    number(True, "height", "µm", 3),
    number(True, "rod_pressure", "kPa", 3),
    number(True, "flow", "mL/min", 2),
    number(True, "wetness", "1", 5),
    number(True, "suspended", "1", 5),
    number(True, "friction", "1", 5),
    number(True, "temperature_lower", "°C", 3),
    number(True, "temperature_upper", "°C", 3),
    number(True, "thickness", "µm", 4),
    number(True, "removed_upper", "µm", 4),
    number(True, "removed_lower", "µm", 4),
    number(True, "roughness", "µm", 4),
    number(True, "slurry_used", "mL", 3),
    number(True, "first_contact", "N", 2),
];

/// Values of [`SLOW_COLUMNS`] at one tick with its true values; `active` gathers the rows that asked at any tick of the row.
#[must_use]
pub fn slow(view: &TickView<'_>, truth: &Truth, active: u64) -> [f64; SLOW] {
    let TickView {
        inputs,
        outputs,
        status,
        ..
    } = *view;
    let yes = |bit: bool| f64::from(u8::from(bit));
    let centi = |value: i16| f64::from(value) / 100.0;
    [
        f64::from(status.state as u8),
        f64::from(status.phase as u8),
        f64::from(status.step),
        f64::from(status.mode as u8),
        f64::from(status.plate as u8),
        f64::from(status.load_mode as u8),
        f64::from(status.response as u8),
        f64::from(status.cause),
        rows(active),
        rows(status.latched),
        yes(status.drives_in_band),
        yes(status.standstill),
        yes(status.flow_proven),
        yes(status.ends_by_time),
        f64::from(status.load_limit.get()),
        f64::from(status.size.get()),
        f64::from(status.step_time.0) / 1e3,
        f64::from(status.missing),
        yes(outputs.dump_shut),
        f64::from(outputs.rod as u8),
        centi(outputs.drives[0].setpoint),
        centi(outputs.drives[1].setpoint),
        centi(outputs.drives[2].setpoint),
        centi(outputs.drives[3].setpoint),
        f64::from(outputs.pump) / 1e3,
        yes(outputs.rinse),
        yes(outputs.agitator),
        f64::from(inputs.cell_counts),
        f64::from(inputs.cap_pressure) / 100.0,
        f64::from(inputs.rod_pressure) / 100.0,
        f64::from(inputs.supply_pressure) / 10.0,
        f64::from(inputs.plate_height),
        centi(inputs.drives[0].speed),
        centi(inputs.drives[1].speed),
        centi(inputs.drives[2].speed),
        centi(inputs.drives[3].speed),
        f64::from(inputs.slurry_flow),
        f64::from(inputs.rinse_flow),
        f64::from(inputs.tank_level.value) / 1e3,
        centi(inputs.plate_temperature[0].value),
        centi(inputs.plate_temperature[1].value),
        f64::from(inputs.gauge.value) / 1e3,
        truth.rod_force,
        truth.height * MICRO,
        truth.rod_pressure * KPA,
        truth.flow * ML_PER_MIN,
        truth.wetness,
        truth.suspended,
        truth.friction,
        truth.temperatures[0],
        truth.temperatures[1],
        truth.thickness * MICRO,
        truth.removed[1] * MICRO,
        truth.removed[0] * MICRO,
        truth.roughness * MICRO,
        truth.slurry_used * MICRO, // m³ to mL is the same million
        truth.first_contact,
    ]
}

/// Cells of a row.
pub const CELLS: usize = 2 * FAST + SLOW;

/// rad/s to rev/min.
const RPM: f64 = 30.0 / PI;
/// Pa to kPa.
const KPA: f64 = 1e-3;
/// m to µm.
const MICRO: f64 = 1e6;
/// m³/s to mL/min.
const ML_PER_MIN: f64 = 60e6;

const _: () = assert!(
    ROWS <= f64::MANTISSA_DIGITS as usize,
    "a cell holds every row's bit exactly"
);

/// Interlock rows as a whole number.
#[allow(clippy::cast_precision_loss)] // no more bits than a cell holds, asserted above
const fn rows(bits: u64) -> f64 {
    bits as f64
}

/// The column a cell belongs to, and which end of a pair it is.
#[must_use]
pub(crate) fn of_cell(cell: usize) -> Option<(&'static Column, Option<End>)> {
    if cell < 2 * FAST {
        let end = if cell.is_multiple_of(2) {
            End::Least
        } else {
            End::Most
        };
        Some((&FAST_COLUMNS[cell / 2], Some(end)))
    } else {
        SLOW_COLUMNS
            .get(cell - 2 * FAST)
            .map(|column| (column, None))
    }
}

/// Which end of a smallest-and-largest pair.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    /// Smallest in the row's ticks.
    Least,
    /// Largest in the row's ticks.
    Most,
}

/// Name of a cell without its unit, such as `true_load_min` or `controller_phase`.
#[must_use]
pub(crate) fn cell_name(cell: usize) -> Option<String> {
    let (column, end) = of_cell(cell)?;
    let end = match end {
        Some(End::Least) => "_min",
        Some(End::Most) => "_max",
        None => "",
    };
    Some(format!("{}_{}{end}", column.source.word(), column.name))
}
