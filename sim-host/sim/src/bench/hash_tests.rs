//! Golden values come from `tests/reference/scripts/hash_golden.py`, which reads the byte tables independently of this code.

use super::*;
use firmware_core::process_image::{DriveOutput, RodValve};
use firmware_core::sequence::{Mode, Phase, Plate, State};
use firmware_core::status::{LoadMode, Response};
use firmware_core::units::{Fraction, Micrometres, Newtons, Ticks};

fn outputs() -> Outputs {
    let drive = |enable, setpoint| DriveOutput { enable, setpoint };
    Outputs {
        cap_command: 40_000,
        dump_shut: true,
        rod: RodValve::Float,
        pin_withdraw: false,
        drives: [
            drive(true, 1400),
            drive(true, 500),
            drive(false, 2800),
            drive(true, -1400),
        ],
        pump: 750,
        rinse: false,
        agitator: true,
        guard_unlock: false,
    }
}

fn status() -> Status {
    Status {
        version: 1,
        tick: Ticks(123_456),
        boots: 3,
        state: State::Running,
        phase: Phase::Dwell,
        step: 2,
        mode: Mode::Automatic,
        plate: Plate::Contact,
        load_mode: LoadMode::Tracking,
        drives_in_band: true,
        standstill: false,
        flow_proven: true,
        ends_by_time: true,
        response: Response::Alarm,
        cause: 17,
        active: 0x8000_0000_0000_0001,
        latched: 0x10,
        unacknowledged: 0x8000_0000_0000_0010,
        load_raw: Newtons::new(264.5),
        load: Newtons::new(-0.0),
        reference: Newtons::new(265.0),
        load_limit: Newtons::new(350.0),
        command: Fraction::new(0.25),
        governor: Fraction::new(0.5),
        size: Micrometres::new(549.75),
        step_time: Ticks(9000),
        missing: 5,
        ring_setting: 2,
        form: [Micrometres::new(-1.5), Micrometres::new(4.25)],
        form_age: 3,
    }
}

fn one_tick(outputs: &Outputs, status: &Status) -> u64 {
    let mut hash = ControlHash::new();
    hash.tick(outputs, status);
    hash.value()
}

#[test]
fn control_hash_has_its_golden_values() {
    let mut hash = ControlHash::new();
    assert_eq!(hash.value(), 0x4872_3693_E0BE_113C);
    let mut status = status();
    hash.tick(&outputs(), &status);
    assert_eq!(hash.value(), 0xD39C_B2B2_729A_5D28);
    status.tick.0 += 1;
    hash.tick(&outputs(), &status);
    assert_eq!(hash.value(), 0x4893_834F_C2FB_6809);
}

#[test]
fn trace_hash_has_its_golden_values() {
    let mut hash = TraceHash::new(1);
    hash.row(20, &[1.5, -0.0, f64::INFINITY, -2.25, 0.1]);
    assert_eq!(hash.value(), 0x972D_9F98_9756_727C);
    // Whatever NaN arrives, the canonical one is hashed.
    hash.row(40, &[f64::NAN, -f64::NAN, f64::NAN, -f64::NAN, f64::NAN]);
    assert_eq!(hash.value(), 0x3664_AEA8_AD72_EAF9);
}

/// A named change of one field.
type Change<T> = (&'static str, fn(&mut T));

#[test]
fn every_output_changes_the_hash() {
    let changes: [Change<Outputs>; 16] = [
        ("cap_command", |o| o.cap_command ^= 1),
        ("dump_shut", |o| o.dump_shut ^= true),
        ("rod", |o| o.rod = RodValve::Lift),
        ("pin_withdraw", |o| o.pin_withdraw ^= true),
        ("enable 0", |o| o.drives[0].enable ^= true),
        ("enable 1", |o| o.drives[1].enable ^= true),
        ("enable 2", |o| o.drives[2].enable ^= true),
        ("enable 3", |o| o.drives[3].enable ^= true),
        ("setpoint 0", |o| o.drives[0].setpoint = -1400),
        ("setpoint 1", |o| o.drives[1].setpoint = -500),
        ("setpoint 2", |o| o.drives[2].setpoint = -2800),
        ("setpoint 3", |o| o.drives[3].setpoint = 1400),
        ("pump", |o| o.pump += 1),
        ("rinse", |o| o.rinse ^= true),
        ("agitator", |o| o.agitator ^= true),
        ("guard_unlock", |o| o.guard_unlock ^= true),
    ];
    let base = one_tick(&outputs(), &status());
    let mut seen = vec![base];
    for (name, change) in changes {
        let mut changed = outputs();
        change(&mut changed);
        let value = one_tick(&changed, &status());
        assert!(!seen.contains(&value), "{name} is not in the hash");
        seen.push(value);
    }
}

#[test]
fn every_field_of_the_status_changes_the_hash() {
    let changes: [Change<Status>; 31] = [
        ("version", |s| s.version += 1),
        ("tick", |s| s.tick.0 += 1),
        ("boots", |s| s.boots += 1),
        ("state", |s| s.state = State::Held),
        ("phase", |s| s.phase = Phase::LoadRamp),
        ("step", |s| s.step += 1),
        ("mode", |s| s.mode = Mode::Setup),
        ("plate", |s| s.plate = Plate::Air),
        ("load_mode", |s| s.load_mode = LoadMode::Initial),
        ("drives_in_band", |s| s.drives_in_band ^= true),
        ("standstill", |s| s.standstill ^= true),
        ("flow_proven", |s| s.flow_proven ^= true),
        ("ends_by_time", |s| s.ends_by_time ^= true),
        ("response", |s| s.response = Response::Hold),
        ("cause", |s| s.cause += 1),
        ("active", |s| s.active ^= 1 << 63),
        ("latched", |s| s.latched ^= 1 << 40),
        ("unacknowledged", |s| s.unacknowledged ^= 1 << 41),
        ("load_raw", |s| s.load_raw = -s.load_raw),
        ("load", |s| s.load = Newtons::ZERO), // was -0.0: signed zeros differ
        ("reference", |s| s.reference = Newtons::new(264.999_97)),
        ("load_limit", |s| s.load_limit = Newtons::ZERO),
        ("command", |s| s.command = Fraction::new(0.250_000_03)),
        ("governor", |s| s.governor = -s.governor),
        ("size", |s| s.size = -s.size),
        ("step_time", |s| s.step_time.0 += 1),
        ("missing", |s| s.missing ^= 1 << 15),
        ("ring_setting", |s| s.ring_setting += 1),
        ("form 0", |s| s.form[0] = -s.form[0]),
        ("form 1", |s| s.form[1] = -s.form[1]),
        ("form_age", |s| s.form_age ^= 1 << 15),
    ];
    let base = one_tick(&outputs(), &status());
    let mut seen = vec![base];
    for (name, change) in changes {
        let mut changed = status();
        change(&mut changed);
        let value = one_tick(&outputs(), &changed);
        assert!(!seen.contains(&value), "{name} is not in the hash");
        seen.push(value);
    }
}

/// What a word-wise hash without a rotate gets wrong: the signs of two floats in the same half of two words, or of one float in two
/// ticks, flipped together.
#[test]
fn pairs_of_sign_differences_do_not_cancel() {
    let flips: [Change<Status>; 9] = [
        ("load_raw", |s| s.load_raw = -s.load_raw),
        ("load", |s| s.load = -s.load),
        ("reference", |s| s.reference = -s.reference),
        ("load_limit", |s| s.load_limit = -s.load_limit),
        ("command", |s| s.command = -s.command),
        ("governor", |s| s.governor = -s.governor),
        ("size", |s| s.size = -s.size),
        ("form 0", |s| s.form[0] = -s.form[0]),
        ("form 1", |s| s.form[1] = -s.form[1]),
    ];
    // In two fields of one tick.
    let base = one_tick(&outputs(), &status());
    let mut seen = vec![base];
    for (i, (first, flip_first)) in flips.iter().enumerate() {
        for (second, flip_second) in &flips[i + 1..] {
            let mut changed = status();
            flip_first(&mut changed);
            flip_second(&mut changed);
            let value = one_tick(&outputs(), &changed);
            assert!(!seen.contains(&value), "{first} and {second} cancel");
            seen.push(value);
        }
    }
    // In one field of two ticks, up to 70 ticks apart (more than the places of a word).
    for (name, flip) in flips {
        for apart in 1..=70 {
            let run = |flipped: bool| {
                let mut hash = ControlHash::new();
                for tick in 0..=apart {
                    let mut status = status();
                    if flipped && (tick == 0 || tick == apart) {
                        flip(&mut status);
                    }
                    hash.tick(&outputs(), &status);
                }
                hash.value()
            };
            assert_ne!(run(false), run(true), "{name}, {apart} ticks apart");
        }
    }
}

#[test]
fn kinds_versions_and_counts_are_told_apart() {
    assert_ne!(TraceHash::new(1).value(), ControlHash::new().value());
    assert_ne!(TraceHash::new(1).value(), TraceHash::new(2).value());
    let mut empty_rows = TraceHash::new(1);
    empty_rows.row(0, &[]);
    let mut two = empty_rows;
    two.row(0, &[]);
    assert_ne!(empty_rows.value(), two.value());
}

#[test]
fn a_nan_hashes_the_same_whatever_its_bits() {
    let with = |bits: u32| {
        let mut status = status();
        status.load = Newtons::new(f32::from_bits(bits));
        one_tick(&outputs(), &status)
    };
    assert_eq!(with(0x7FC0_0000), with(0xFFC0_0000));
    assert_eq!(with(0x7FC0_0000), with(0x7F80_0001));
    assert_ne!(with(0x7FC0_0000), with(0x7F80_0000)); // infinity is not NaN
}
