//! The log of temperatures: a sheet with a row for each reading, or a trace.

use super::warming::Log;
use crate::keys::known;
use crate::sheet::{Heading, Holds, Quantities, Sheet};
use crate::trace;
use firmware_core::process_image::ALL_DRIVES;
use twinplate_sim::files::FileError;
use twinplate_sim::files::quantity::{Dimension as D, Unit};
use twinplate_sim::math::{abs, max};
use twinplate_sim::model::Machine;

const TEMPERATURE: Holds = Holds::Quantity(&[(D::Temperature, ["-20 °C", "200 °C"])]);

const HEADINGS: &[Heading] = &[
    Heading {
        name: "time",
        holds: Holds::Quantity(&[(D::Time, ["0 s", "1000 h"])]),
    },
    Heading {
        name: "plate",
        holds: TEMPERATURE,
    },
    Heading {
        name: "lower",
        holds: TEMPERATURE,
    },
    Heading {
        name: "upper",
        holds: TEMPERATURE,
    },
    Heading {
        name: "ambient",
        holds: TEMPERATURE,
    },
    Heading {
        name: "power",
        holds: Holds::Number,
    },
    Heading {
        name: "carried",
        holds: Holds::Number,
    },
    Heading {
        name: "note",
        holds: Holds::Word,
    },
];

/// Fewest rows: more than what is asked of them.
const LEAST: usize = 8;
/// Rows that a trace is brought down to.
const TRACE_ROWS: usize = 1000;

/// The units in which times and temperatures are told: those that were typed.
pub(super) struct Shown {
    time: &'static Unit,
    pub(super) temperature: &'static Unit,
}

impl Shown {
    pub(super) fn in_unit(&self, si: f64) -> f64 {
        si * self.time.denominator / self.time.numerator
    }

    pub(super) fn symbol(&self) -> &'static str {
        self.time.symbol
    }

    pub(super) fn time(&self, si: f64) -> String {
        let value = self.in_unit(si);
        let decimals = usize::from(abs(value) < 100.0);
        format!("{value:.decimals$} {}", self.time.symbol)
    }

    /// A temperature.
    pub(super) fn warm(&self, celsius: f64) -> f64 {
        self.difference(celsius - self.temperature.offset)
    }

    /// A difference of temperatures.
    pub(super) fn difference(&self, kelvin: f64) -> f64 {
        kelvin * self.temperature.denominator / self.temperature.numerator
    }

    /// The unit of a difference.
    pub(super) fn degree(&self) -> &'static str {
        match self.temperature.symbol {
            "°C" | "degC" => "K",
            symbol => symbol,
        }
    }
}

type Read = (Log, Shown, Vec<String>);

/// Reads a sheet or a trace.
pub(super) fn read(
    file: &str,
    bytes: &[u8],
    machine: Option<&Machine>,
) -> Result<Read, Vec<FileError>> {
    if trace::is_trace(bytes) {
        return of_trace(file, bytes, machine);
    }
    let mut sheet = Sheet::read(file, bytes, HEADINGS)?;
    let plates: Vec<&str> = ["plate", "lower", "upper"]
        .into_iter()
        .filter(|name| sheet.has(name))
        .collect();
    if !sheet.has("time") {
        sheet.missing("time", "`time [min]` since the log began");
    }
    if plates.is_empty() {
        sheet.missing("lower", "`lower [°C]` and `upper [°C]`, or `plate [°C]`");
    }
    let time = sheet.quantities("time");
    let temperatures: Vec<Option<Quantities>> =
        plates.iter().map(|name| sheet.quantities(name)).collect();
    let ambient = sheet.quantities("ambient");
    let power = watts(&mut sheet, "power");
    let carried = watts(&mut sheet, "carried");
    if sheet.len() < LEAST {
        let message = format!("{} rows", sheet.len());
        sheet.wrong_whole("too-few-items", message, &format!("at least {LEAST}"));
    }
    let temperatures: Option<Vec<Quantities>> = temperatures.into_iter().collect();
    let (Some(time), Some(temperatures)) = (time, temperatures) else {
        return sheet.finish(None);
    };
    for row in 1..time.si.len() {
        if time.si[row] <= time.si[row - 1] {
            let message = "time goes back or stands still".to_owned();
            sheet.wrong(
                "inconsistent",
                row,
                "time",
                message,
                "rows in the order of time",
            );
        }
    }
    let mut notes = Vec::new();
    notes.push(match plates.len() {
        1 => "one plate was measured; the other is taken to be alike".to_owned(),
        _ => "the mean of both plates, each with half of the power".to_owned(),
    });
    if power.is_none() {
        notes.push(
            "no column `power`: the plates are taken to cool by themselves, with nothing that warms them"
                .to_owned(),
        );
    }
    let log = Log {
        plate: (0..sheet.len())
            .map(|row| {
                let all = temperatures.iter().map(|column| column.si[row]);
                all.sum::<f64>() / temperatures.len() as f64
            })
            .collect(),
        ambient: ambient.map(|column| column.si),
        power: power.map(|all| all.iter().map(|p| 0.5 * p).collect()),
        carried,
        lines: (0..sheet.len()).map(|row| sheet.line(row)).collect(),
        time: time.si,
    };
    sheet.finish(Some((
        log,
        Shown {
            time: time.unit,
            temperature: temperatures
                .first()
                .map_or_else(|| known("°C"), |column| column.unit),
        },
        notes,
    )))
}

/// A column of powers in W or kW.
fn watts(sheet: &mut Sheet, name: &str) -> Option<Vec<f64>> {
    if !sheet.has(name) {
        return None;
    }
    let (unit, mut values) = sheet.numbers(name);
    let size = match unit.as_deref() {
        Some("W") => 1.0,
        Some("kW") => 1e3,
        other => {
            let message = format!("the column `{name}` is in {}", other.unwrap_or("no unit"));
            sheet.wrong_whole(
                "unknown-unit",
                message,
                &format!("`{name} [W]` or `{name} [kW]`"),
            );
            return None;
        }
    };
    for value in &mut values {
        *value *= size;
    }
    Some(values)
}

/// A trace: temperatures as measured; power of the four drives less the drag that a machine file states.
fn of_trace(file: &str, bytes: &[u8], machine: Option<&Machine>) -> Result<Read, Vec<FileError>> {
    let mut names = vec![
        "time".to_owned(),
        "measured_temperature_lower".to_owned(),
        "measured_temperature_upper".to_owned(),
    ];
    for drive in ALL_DRIVES {
        for what in ["torque", "speed"] {
            for end in ["min", "max"] {
                names.push(format!("true_{what}_{}_{end}", drive.name()));
            }
        }
    }
    let columns = trace::columns(file, bytes, &names)?;
    let rows = columns.first().map_or(0, Vec::len);
    const RPM: f64 = std::f64::consts::PI / 30.0;
    let power = |row: usize| -> f64 {
        (0..ALL_DRIVES.len())
            .map(|at| {
                let mean = |from: usize| {
                    let [low, high] = [0, 1].map(|end| columns[3 + 4 * at + from + end][row]);
                    0.5 * (low + high)
                };
                let speed = mean(2) * RPM;
                let drag = machine.map_or(0.0, |machine| machine.drives[at].drag);
                mean(0) * speed - drag * abs(speed)
            })
            .sum()
    };
    let each = rows.div_ceil(TRACE_ROWS).max(1);
    let mut log = Log {
        power: Some(Vec::new()),
        ..Log::default()
    };
    let mut from = 0;
    while from + each <= rows {
        let over = |value: &dyn Fn(usize) -> f64| {
            (from..from + each).map(value).sum::<f64>() / each as f64
        };
        log.time.push(over(&|row| columns[0][row]));
        log.plate
            .push(over(&|row| 0.5 * (columns[1][row] + columns[2][row])));
        if let Some(all) = &mut log.power {
            all.push(0.5 * max(over(&power), 0.0));
        }
        log.lines.push(from + 2);
        from += each;
    }
    if log.time.len() < LEAST {
        let message = format!("{rows} rows");
        let expected = format!("at least {LEAST}");
        return Err(vec![FileError::whole(
            "too-few-items",
            file,
            message,
            &expected,
        )]);
    }
    let drag = if machine.is_some() {
        "less the drag of the machine file"
    } else {
        "the drag of the drives in it, because no machine file was given"
    };
    let notes = vec![
        "the mean of both plates, each with half of the power".to_owned(),
        format!("a trace: power is torque times speed of the four drives, {drag}"),
    ];
    Ok((
        log,
        Shown {
            time: known("s"),
            temperature: known("°C"),
        },
        notes,
    ))
}
