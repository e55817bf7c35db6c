use super::*;
use crate::bench::columns::{FAST, Format, SLOW, SLOW_COLUMNS, cell_name, slow};
use crate::bench::testing::{STILL, plant, status};
use crate::plant::FastTruth;
use firmware_core::process_image::{ALL_ROD_VALVES, DRIVES, Inputs, Outputs};
use firmware_core::sequence::{ALL_MODES, ALL_PHASES, ALL_PLATES, ALL_STATES, Phase};
use firmware_core::status::{ALL_LOAD_MODES, ALL_RESPONSES};
use firmware_core::units::{Newtons, Ticks};

/// Shows `recorder` so many ticks; the true load is the tick's number, `active` one bit a tick.
fn record(recorder: &mut TraceRecorder, ticks: u32) {
    let plant = plant();
    for tick in 0..ticks {
        let mut status = status();
        status.active = 1 << (tick % 4);
        status.phase = Phase::Dwell;
        status.reference = Newtons::new(-1.5);
        status.step_time = Ticks(tick);
        let load = f64::from(tick);
        let view = TickView {
            tick,
            inputs: &Inputs::default(),
            outputs: &Outputs::default(),
            status: &status,
            truth: FastTruth { load, ..STILL },
            plant: &plant,
        };
        recorder.record(&view);
        if tick + 1 == ticks {
            recorder.finish(&view);
        }
    }
}

fn column(trace: &Trace, name: &str) -> Vec<f64> {
    trace.column(name).unwrap().collect()
}

#[test]
fn a_row_keeps_the_ends_of_what_is_fast_and_the_last_of_what_is_slow() {
    let mut recorder = TraceRecorder::new(10, 4);
    record(&mut recorder, 10);
    let trace = recorder.into_trace().unwrap();
    assert_eq!(trace.ticks(), [3, 7, 9]); // the last row is short
    assert_eq!(column(&trace, "true_load_min"), [0.0, 4.0, 8.0]);
    assert_eq!(column(&trace, "true_load_max"), [3.0, 7.0, 9.0]);
    assert_eq!(
        column(&trace, "controller_step_time"),
        [0.003, 0.007, 0.009]
    );
    // An interlock row that asked for one tick is not lost.
    assert_eq!(column(&trace, "controller_active_rows"), [15.0, 15.0, 3.0]);
    assert_eq!(trace.dropped(), 0);
    assert!(trace.column("true_nothing").is_none());
}

#[test]
fn a_run_longer_than_announced_drops_rows_and_says_so() {
    let mut recorder = TraceRecorder::new(8, 4);
    let room = recorder.trace.cells.capacity();
    record(&mut recorder, 100);
    let trace = recorder.into_trace().unwrap();
    assert_eq!((trace.rows(), trace.dropped()), (3, 22));
    assert_eq!(trace.cells.capacity(), room);
}

#[test]
fn hash_is_of_the_rows() {
    let hash = |every, ticks| {
        let mut recorder = TraceRecorder::new(100, every);
        record(&mut recorder, ticks);
        recorder.trace_hash().unwrap()
    };
    assert_eq!(hash(4, 100), hash(4, 100));
    assert_ne!(hash(4, 100), hash(4, 99));
    assert_ne!(hash(4, 100), hash(5, 100));
}

/// Every field lands in the column that carries its name: each is set to a number of its own.
#[test]
fn values_stand_in_their_columns() {
    let plant = plant();
    let mut truth = plant.truth();
    let mut status = status();
    let now = FastTruth {
        load_without_runout: 11.0,
        cap_pressure: 12_000.0,
        speeds: [0.0, 0.0, 0.0, -std::f64::consts::PI],
        torques: [0.0, 0.0, 13.0, 0.0],
        ..STILL
    };
    truth.slurry_used = 14e-6;
    truth.first_contact = 15.0;
    truth.friction = 0.16;
    truth.tilt = [19e-6, -20e-6];
    truth.part_load = 21.0;
    truth.part_most = 6;
    status.governor = firmware_core::units::Fraction::new(0.5);
    status.missing = 17;
    let mut inputs = Inputs::default();
    inputs.gauge.value = 18_000;
    inputs.supply_pressure = 6000;
    let outputs = Outputs {
        agitator: true,
        pump: 250,
        ..Outputs::default()
    };
    let view = TickView {
        tick: 0,
        inputs: &inputs,
        outputs: &outputs,
        status: &status,
        truth: now,
        plant: &plant,
    };
    let mut ends = Fast::ENDS;
    Fast::widen(&mut ends, &view, true);
    let (fast, slow) = (ends[0].cells(), slow(&view, &truth, 0));
    assert_eq!(fast, ends[1].cells());
    let cells: Vec<f64> = fast.iter().flat_map(|v| [*v, *v]).chain(slow).collect();
    for (name, value) in [
        ("true_load_without_runout_min", 11.0),
        ("true_cap_pressure_max", 12.0),
        ("true_speed_upper_min", -30.0),
        ("true_torque_lower_max", 13.0),
        ("true_slurry_used", 14.0),
        ("true_first_contact", 15.0),
        ("true_friction", 0.16),
        ("true_tilt_x", 19.0),
        ("true_tilt_y", -20.0),
        ("true_part_load", 21.0),
        ("true_part_most", 7.0),
        ("controller_governor_min", 0.5),
        ("controller_missing", 17.0),
        ("measured_gauge", 18.0),
        ("measured_supply_pressure", 600.0),
        ("output_agitator", 1.0),
        ("output_pump", 0.25),
    ] {
        let cell = (0..CELLS)
            .find(|cell| cell_name(*cell).as_deref() == Some(name))
            .unwrap_or_else(|| panic!("no column {name}"));
        assert!(
            (cells[cell] - value).abs() < 1e-9,
            "{name}: {}",
            cells[cell]
        );
    }
}

#[test]
fn no_two_columns_have_one_name() {
    let mut names: Vec<_> = (0..CELLS).filter_map(cell_name).collect();
    assert_eq!(names.len(), 2 * FAST + SLOW);
    names.sort();
    names.dedup();
    assert_eq!(names.len(), CELLS);
}

#[test]
fn names_follow_the_numbers_of_the_core() {
    let column = |name: &str| SLOW_COLUMNS.iter().find(|column| column.name == name);
    let says = |name: &str, number: u8| match column(name).unwrap().format {
        Format::Name(names) => names(number),
        Format::Decimals(_) => panic!("{name} has no names"),
    };
    macro_rules! follow {
        ($($column:literal: $all:expr;)+) => {
            $(for member in $all {
                assert_eq!(says($column, member as u8), member.name());
            })+
        };
    }
    follow! {
        "state": ALL_STATES;
        "phase": ALL_PHASES;
        "mode": ALL_MODES;
        "plate": ALL_PLATES;
        "load_mode": ALL_LOAD_MODES;
        "response": ALL_RESPONSES;
        "rod_valve": ALL_ROD_VALVES;
    }
    assert_eq!(says("phase", 200), "?");
}

#[test]
fn csv_has_a_header_with_units_and_a_line_a_row() {
    let mut recorder = TraceRecorder::new(8, 4);
    record(&mut recorder, 8);
    let mut text = Vec::new();
    recorder.trace.write_csv(&mut text).unwrap();
    let mut reader = csv::Reader::from_reader(text.as_slice());
    let header = reader.headers().unwrap().clone();
    assert_eq!(header.len(), CELLS + 2);
    assert_eq!(&header[0], "trace_version");
    assert_eq!(&header[1], "time [s]");
    assert_eq!(&header[2], "true_load_min [N]");
    let rows: Vec<_> = reader.records().map(Result::unwrap).collect();
    assert_eq!(rows.len(), 2);
    let cell = |row: usize, name: &str| {
        let index = header.iter().position(|column| column == name).unwrap();
        rows[row][index].to_owned()
    };
    assert_eq!(cell(1, "trace_version"), TRACE_VERSION.to_string());
    assert_eq!(cell(1, "time [s]"), "0.007");
    assert_eq!(cell(1, "true_load_max [N]"), "7.000");
    assert_eq!(cell(1, "controller_reference_min [N]"), "-1.500");
    assert_eq!(cell(1, "controller_phase"), "dwell");
    assert_eq!(cell(1, "controller_state"), "idle");
}

/// Speeds and torques count where the drives turned, and at the beginning of a row in any case.
#[test]
fn a_row_has_the_ends_of_what_the_drives_did() {
    let plant = plant();
    let mut recorder = TraceRecorder::new(8, 4);
    for tick in 0..8 {
        let view = TickView {
            tick,
            inputs: &Inputs::default(),
            outputs: &Outputs::default(),
            status: &status(),
            truth: FastTruth {
                torques: [f64::from(tick / 2); DRIVES],
                turned: tick % 2 == 0,
                ..STILL
            },
            plant: &plant,
        };
        recorder.record(&view);
    }
    let trace = recorder.into_trace().unwrap();
    assert_eq!(column(&trace, "true_torque_lower_min"), [0.0, 2.0]);
    assert_eq!(column(&trace, "true_torque_lower_max"), [1.0, 3.0]);
}
