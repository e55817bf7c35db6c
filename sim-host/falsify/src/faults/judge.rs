//! Judging a cell: its answer against the declared one, its stop against the table's times, its harm against the declarations.

use super::answers::{Longer, answer_to, excused};
use super::fork::{Ending, PLATE_STANDS, Seen};
use super::harms::{Kind, STATED, declared};
use super::moments::{Column, Nominal};
use firmware_core::interlock::{Cond, TABLE};
use firmware_core::sequence::Phase;
use firmware_core::status::{LoadMode, Response};
use std::f64::consts::PI;
use twinplate_sim::bench::Job;
use twinplate_sim::math::{abs, log, max, sqrt};
use twinplate_sim::model::{Component, FaultMode, Machine};
use twinplate_sim::plant::fault_table::Supported;

/// After a stop response in the air the plate stands within this time, s, or within so many swings on the air that is trapped under its
/// piston, or when it has crept to rest on that air against seals and guides, or in the time of a dump, whichever is longest. Invented.
const PLATE_WITHIN: f64 = 1.5;
/// See [`PLATE_WITHIN`].
const PLATE_SWINGS: f64 = 2.0;
/// Absolute pressure of the air around, Pa (standard atmosphere).
const ATMOSPHERE: f64 = 101_325.0;

/// The longest that a plate may take to stand in the air, s: isothermal air of the whole way's length is the softest spring.
fn plate_within(machine: &Machine) -> f64 {
    let a = &machine.actuator;
    let spring = (a.counterbalance + ATMOSPHERE) * a.area_rod() / a.height_raised;
    let swing = 2.0 * PI * sqrt(a.mass / spring);
    [
        PLATE_WITHIN,
        PLATE_SWINGS * swing,
        creeps(machine, spring),
        machine.control.dump_time,
    ]
    .into_iter()
    .fold(0.0, max)
}

/// How long a plate creeps to rest on a spring, s: below their Stribeck speed seals hold like a damper, and what a damper does to a
/// spring dies away with the time constant damping over stiffness.
fn creeps(machine: &Machine, spring: f64) -> f64 {
    let a = &machine.actuator;
    let damping = a.guide_drag + a.seal_friction / a.stribeck_speed;
    damping / spring * log(max(a.speed_fast / PLATE_STANDS, 1.0))
}

/// How a cell differs from what is declared of it.
#[derive(Clone, Debug, PartialEq)]
pub enum Difference {
    /// No answer is declared for this pair at all.
    NotDeclared,
    /// A row answered that is not declared to.
    OtherRow {
        /// The row.
        row: &'static str,
        /// Rows declared.
        declared: &'static [&'static str],
    },
    /// Nothing answered where something must.
    NoAnswer {
        /// Time allowed, s.
        within: f64,
    },
    /// The answer came late.
    Late {
        /// The row.
        row: &'static str,
        /// When, s after the fault.
        after: f64,
        /// Time allowed, s.
        within: f64,
    },
    /// The sequencer did not do what the row asked in the tick in which it asked.
    NotTaken {
        /// The row.
        row: &'static str,
    },
    /// A stop took longer than its time.
    Slow {
        /// What of it.
        what: Longer,
        /// How long, s after the response.
        took: f64,
        /// Time allowed, s.
        allowed: f64,
    },
    /// A row was due by the second reading of the table and did not ask.
    Silent {
        /// The row.
        row: &'static str,
        /// When it should have, s after the fault.
        after: f64,
    },
    /// A limit was truly passed, and the row that guards it did not ask.
    Unheard {
        /// The row.
        row: &'static str,
        /// For how long, s.
        stretch: f64,
    },
    /// No safe state was reached.
    Unsafe,
    /// The run reached no safe state. That is declared of this fault, but no row told the operator.
    Untold,
}

impl std::fmt::Display for Difference {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::NotDeclared => f.write_str("no answer is declared for it"),
            Self::OtherRow { row, declared: [] } => {
                write!(f, "answered by {row}; declared: no row")
            }
            Self::OtherRow { row, declared } => {
                write!(f, "answered by {row}; declared: {}", declared.join(" or "))
            }
            Self::NoAnswer { within } => {
                write!(f, "no answer; declared within {within:.3} s")
            }
            Self::Late { row, after, within } => {
                write!(f, "{row} after {after:.3} s; declared within {within:.3} s")
            }
            Self::NotTaken { row } => write!(f, "{row} asked and the sequencer did not follow"),
            Self::Slow {
                what,
                took,
                allowed,
            } => {
                let what = match what {
                    Longer::Standstill => "standstill",
                    Longer::Load => LoadMode::Resting.word(),
                    Longer::Plate => "the plate's rest",
                    Longer::Never => "the safe state",
                };
                write!(
                    f,
                    "{what} {took:.3} s after the response; allowed {allowed:.3} s"
                )
            }
            Self::Silent { row, after } => {
                write!(f, "{row} was due after {after:.3} s and did not ask")
            }
            Self::Unheard { row, stretch } => write!(
                f,
                "{row} did not ask though its limit was truly passed for {stretch:.3} s"
            ),
            Self::Unsafe => f.write_str("the run reached no safe state"),
            Self::Untold => f.write_str("the run reached no safe state, and no row reported it"),
        }
    }
}

/// Harm in a cell.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Done {
    /// Kind.
    pub kind: Kind,
    /// Worst value, in the monitor's unit.
    pub worst: f64,
    /// Why it is declared; `None` where it is not.
    pub reason: Option<&'static str>,
}

/// Where and what a cell is.
#[derive(Clone, Copy, Debug)]
pub struct Place {
    /// Component.
    pub component: Component,
    /// Mode.
    pub mode: FaultMode,
    /// Column.
    pub column: Column,
    /// Row of the fault table.
    pub fault: &'static Supported,
}

impl Place {
    /// Of a fault that begins in a column.
    #[must_use]
    pub const fn of(fault: &'static Supported, column: Column) -> Self {
        Self {
            component: fault.component,
            mode: fault.mode,
            column,
            fault,
        }
    }
}

fn seconds(ticks: u32) -> f64 {
    f64::from(ticks) * 1e-3
}

/// Everything that differs from what is declared.
#[must_use]
pub fn differences(place: Place, seen: &Seen, job: &Job, nominal: &Nominal) -> Vec<Difference> {
    let mut found = Vec::new();
    let Some(answer) = answer_to(place.fault, job) else {
        return vec![Difference::NotDeclared];
    };
    for trip in [seen.first, seen.acted].into_iter().flatten() {
        let row = trip.row().name;
        if !answer.rows.contains(&row) {
            let difference = Difference::OtherRow {
                row,
                declared: answer.rows,
            };
            if !found.contains(&difference) {
                found.push(difference);
            }
        }
    }
    if let Some((first, last, within)) = answer.must
        && (first..=last).contains(&place.column)
        && let Some(within) = within.of(job, place.fault)
    {
        match seen.first {
            None => found.push(Difference::NoAnswer { within }),
            Some(trip) if seconds(trip.after) > within => found.push(Difference::Late {
                row: trip.row().name,
                after: seconds(trip.after),
                within,
            }),
            Some(_) => {}
        }
    }
    found.extend(silent(seen));
    found.extend(unheard(place, seen));
    stop(place, seen, job, nominal, &mut found);
    found
}

/// Name of a row.
fn name(row: Cond) -> &'static str {
    TABLE.get(row as usize).map_or("", |row| row.name)
}

/// Rows that were due and did not ask.
pub fn silent(seen: &Seen) -> impl Iterator<Item = Difference> {
    seen.silent.iter().map(|(row, after)| Difference::Silent {
        row: name(*row),
        after: seconds(*after),
    })
}

/// Rows that should have asked by what was true. What the load cell cannot show no row that reads it can see.
fn unheard(place: Place, seen: &Seen) -> impl Iterator<Item = Difference> {
    seen.witness
        .unheard()
        .filter(move |(row, _)| place.component != Component::LoadCell || *row == Cond::Direction)
        .map(|(row, stretch)| Difference::Unheard {
            row: name(row),
            stretch: seconds(stretch),
        })
}

/// The stop against its times.
fn stop(place: Place, seen: &Seen, job: &Job, nominal: &Nominal, found: &mut Vec<Difference>) {
    let excuse = |what| excused(place.component, place.mode, what).is_some();
    if seen.ending == Ending::Unsettled && seen.rows & Cond::CoastOverrun.bit() == 0 {
        found.push(Difference::Untold);
    }
    let Some(trip) = seen.acted else {
        if seen.ending == Ending::Unsettled && !excuse(Longer::Never) {
            found.push(Difference::Unsafe);
        }
        return;
    };
    if !trip.taken {
        found.push(Difference::NotTaken {
            row: trip.row().name,
        });
    }
    if seen.ending == Ending::Unsettled && !excuse(Longer::Never) {
        found.push(Difference::Unsafe);
    }
    if trip.response < Response::ControlledStop {
        return;
    }
    let control = &job.machine.control;
    // A stop that is made graver on its way, or a drive that has tripped, coasts.
    let coasts = seen.ending == Ending::Aborted || trip.index == Cond::DriveFault as usize;
    let still = if trip.response == Response::ImmediateStop {
        nominal.coast
    } else if coasts {
        max(control.stop_time, nominal.coast)
    } else {
        control.stop_time
    };
    let mut check = |what, last: u32, allowed: f64| {
        let took = seconds(last.saturating_sub(trip.after));
        if took > allowed && !excuse(what) {
            found.push(Difference::Slow {
                what,
                took,
                allowed,
            });
        }
    };
    check(Longer::Standstill, seen.turned, still);
    check(Longer::Load, seen.loaded, control.dump_time);
    let in_air = matches!(
        place.column,
        Column::Running(Phase::Lower | Phase::Lift | Phase::Precheck) | Column::Idle
    );
    if in_air {
        check(Longer::Plate, seen.moved, plate_within(&job.machine));
    }
}

/// All harm done in a cell.
#[must_use]
pub fn harms(place: Place, seen: &Seen, job: &Job, nominal: &Nominal) -> Vec<Done> {
    let monitors = seen
        .harm
        .marks()
        .into_iter()
        .zip(&STATED)
        .filter(|((_, mark), _)| mark.happened())
        .map(|((_, mark), stated)| (stated.kind, mark.worst));
    let rated =
        (seen.peak > job.machine.control.rated_load).then_some((Kind::AboveRated, seen.peak));
    let size = seen
        .off_size
        .filter(|off| abs(*off) > job.batch.tolerance)
        .map(|off| (Kind::OffSize, abs(off)));
    debug_assert!(!nominal.harm.any());
    monitors
        .chain(rated)
        .chain(size)
        .map(|(kind, worst)| Done {
            kind,
            worst,
            reason: declared(place.component, place.mode, place.column, kind)
                .map(|entry| entry.reason),
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::answers::ANSWERS;
    use super::*;
    use twinplate_sim::plant::Harm;
    use twinplate_sim::plant::fault_table::SUPPORTED;

    #[test]
    fn every_supported_pair_has_its_declared_answer_and_every_row_named_exists() {
        let job = twinplate_sim::demo::job("glass-f800");
        for row in SUPPORTED {
            assert!(
                answer_to(row, &job).is_some(),
                "{:?} {:?}",
                row.component,
                row.mode
            );
        }
        for name in ANSWERS.iter().flat_map(|answer| answer.rows) {
            assert!(TABLE.iter().any(|row| row.name == *name), "{name}");
        }
    }

    #[test]
    fn the_stated_kinds_are_the_plants_monitors_in_their_order() {
        for ((name, _), stated) in Harm::default().marks().iter().zip(&STATED) {
            assert_eq!(*name, stated.name);
        }
    }

    /// On softer air, farther up, a plate takes longer to creep to rest: v e^(-t k / c) falls to the speed that counts as standing.
    #[test]
    fn a_plate_far_up_creeps_longer() {
        let mut machine = twinplate_sim::demo::machine("machine-a");
        assert_eq!(plate_within(&machine), PLATE_WITHIN);
        machine.actuator.height_raised *= 2.0;
        let time = plate_within(&machine);
        let a = &machine.actuator;
        let spring = (a.counterbalance + ATMOSPHERE) * a.area_rod() / a.height_raised;
        let damping = a.guide_drag + a.seal_friction / a.stribeck_speed;
        let speed = a.speed_fast * (-time * spring / damping).exp();
        assert!((speed / PLATE_STANDS - 1.0).abs() < 1e-9, "{speed}");
        assert!(time > 1.5 * PLATE_WITHIN, "{time}");
    }
}
