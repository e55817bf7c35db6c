//! Each row speaks for its own cause and no other: alone, beside every other cause, and exactly from its limit on.

use super::*;
use std::vec::Vec;

/// One tick's inputs, measured values and situation.
type Tick = (Inputs, Measured, Situation);
type Change = fn(&mut Tick);

/// What brings rows about, and nothing else. Two that say the same `of` thing cannot be true together.
struct Cause {
    of: &'static str,
    rows: &'static [Cond],
    make: Change,
}

const fn cause(of: &'static str, rows: &'static [Cond], make: Change) -> Cause {
    Cause { of, rows, make }
}

/// A plate dwelling on its parts with nothing wrong.
fn sound() -> Tick {
    let inputs = Inputs {
        estop_a: true,
        estop_b: true,
        guard_a: true,
        guard_b: true,
        guard_locked: true,
        counterbalance_ok: true,
        arm_home: true,
        pin_in: true,
        agitator_turning: true,
        dump_open: false,
        supply_pressure: u16::MAX,
        link_alive: true,
        local_enable: true,
        ..Inputs::default()
    };
    let measured = Measured {
        load_raw: 265.0,
        load: 265.0,
        slurry_flow: 300.0,
        size: 550.0,
        size_valid: true,
        hottest: Some(22.0),
        tank: Some(800),
        standstill: true,
        ..Measured::default()
    };
    let situation = Situation {
        load_limit: 350.0,
        setpoint: 265.0,
        powered: true,
        dump_shut: true,
        gauge_ends: true,
        size_lower: 540.0,
        remote_armed: true,
        plate: Plate::Contact,
        ..Situation::default()
    };
    (inputs, measured, situation)
}

use Cond as C;

const CAUSES: [Cause; 43] = [
    cause("estop", &[C::Estop, C::EstopDisagree], |t| {
        t.0.estop_a = false
    }),
    cause("estop", &[C::Estop, C::EstopDisagree], |t| {
        t.0.estop_b = false
    }),
    cause("estop", &[C::Estop], |t| {
        (t.0.estop_a, t.0.estop_b) = (false, false)
    }),
    cause("lock", &[C::GuardMoving], |t| t.0.guard_locked = false),
    cause(
        "guard",
        &[C::GuardMoving, C::GuardWaiting, C::GuardDisagree],
        |t| t.0.guard_a = false,
    ),
    cause(
        "guard",
        &[C::GuardMoving, C::GuardWaiting, C::GuardDisagree],
        |t| t.0.guard_b = false,
    ),
    cause("guard", &[C::GuardMoving, C::GuardWaiting], |t| {
        (t.0.guard_a, t.0.guard_b) = (false, false)
    }),
    cause(
        "counterbalance",
        &[C::Counterbalance, C::CounterbalanceStopped],
        |t| t.0.counterbalance_ok = false,
    ),
    cause("dump", &[C::DumpFeedback, C::DumpInhibit], |t| {
        t.0.dump_open = true
    }),
    cause("dump", &[C::DumpFeedback, C::DumpInhibit], |t| {
        t.2.dump_shut = false
    }),
    cause("arm", &[C::PinLift], |t| t.0.arm_home = false),
    cause("agitator", &[C::AgitatorStopped, C::AgitatorSettled], |t| {
        t.0.agitator_turning = false
    }),
    cause("link", &[C::LinkLost], |t| t.0.link_alive = false),
    cause("enable", &[C::LinkLost], |t| t.0.local_enable = false),
    cause("cell", &[C::CellInvalid], |t| t.1.cell_bad = true),
    cause("same", &[C::CellStuck], |t| t.1.cell_same = true),
    cause("line", &[C::CellLine], |t| t.1.line_error = -1e6),
    cause("line", &[C::CellLine], |t| t.1.line_error = 1e6),
    cause("raw", &[C::LoadLimit], |t| t.1.load_raw = 400.0),
    cause("raw", &[C::LoadLimit, C::LoadRated], |t| t.1.load_raw = 1e6),
    cause("limit", &[C::LoadLimit], |t| t.2.load_limit = 200.0),
    cause("setpoint", &[C::LoadBand], |t| t.2.setpoint = 1e3),
    cause("load", &[C::ContactLost, C::LoadBand], |t| t.1.load = 0.0),
    cause("fault", &[C::DriveFault], |t| t.1.drive_fault = true),
    cause("ratio", &[C::DriveRatio], |t| t.2.drives.furthest = 1e3),
    cause("way", &[C::Direction], |t| t.2.drives.wrong_way = true),
    cause("torque", &[C::Torque], |t| t.2.drives.torque = true),
    // Over the run-up's limit is over the steady one.
    cause("torque", &[C::Torque, C::TorqueRunUp], |t| {
        (t.2.drives.torque, t.2.drives.run_up_torque) = (true, true);
    }),
    cause("still", &[C::StopOverrun, C::CoastOverrun], |t| {
        t.1.standstill = false
    }),
    cause("flow", &[C::Flow], |t| {
        (t.1.slurry_flow, t.2.drives.turning) = (0.0, true)
    }),
    cause("supply", &[C::SupplyLow, C::SupplyInhibit], |t| {
        t.0.supply_pressure = 0
    }),
    cause("tank", &[C::TankLow, C::TankEmpty], |t| t.1.tank = Some(0)),
    cause("tank", &[C::TankLow], |t| t.1.tank = None),
    cause("heat", &[C::TemperatureHigh, C::TemperatureVeryHigh], |t| {
        t.1.hottest = Some(500.0)
    }),
    cause("heat", &[C::TemperatureStale], |t| t.1.hottest = None),
    cause("late", &[C::TickOverrun], |t| t.1.overrun = true),
    cause("gauge", &[C::GaugeInvalid], |t| t.1.size_valid = false),
    cause("gauge", &[C::SizeLow], |t| {
        (t.1.size, t.2.gauge_ends) = (1.0, false)
    }),
    cause("recipe", &[C::RecipeWrong], |t| t.2.recipe_wrong = true),
    cause("internal", &[C::Internal], |t| t.2.internal = true),
    cause("form", &[C::FormLimit], |t| t.2.form_beyond = true),
    cause("overdue", &[C::FormOverdue], |t| t.2.form_overdue = true),
    cause("found", &[C::PhaseTimeout, C::PartsStuck], |t| {
        t.2.found.set(true, C::PhaseTimeout);
        t.2.found.set(true, C::PartsStuck);
    }),
];

fn rows(tick: &Tick) -> u64 {
    let params = crate::params::tests::sample().check().unwrap();
    Conditions::compare(&tick.0, &tick.1, &tick.2, &params).0
}

fn bits(rows: &[Cond]) -> u64 {
    rows.iter().fold(0, |bits, row| bits | row.bit())
}

/// Names of rows, for a failure that can be read.
fn named(bits: u64) -> Vec<&'static str> {
    let table = crate::interlock::TABLE.iter().enumerate();
    table
        .filter(|(n, _)| bits >> n & 1 == 1)
        .map(|(_, row)| row.name)
        .collect()
}

/// A load above the first-contact limit is ordinary in a dwell: undebounced and unwatched, its row is not looked at here.
const ORDINARY: u64 = Cond::FirstContact.bit();

/// Rows are asked in groups: a group's first question must let every one of its rows through, and no other row with it.
#[test]
fn each_row_speaks_for_its_own_cause_and_no_other() {
    assert_eq!(rows(&sound()) & !ORDINARY, 0);
    for Cause {
        of,
        rows: wanted,
        make,
    } in &CAUSES
    {
        let mut tick = sound();
        make(&mut tick);
        assert_eq!(named(rows(&tick) & !ORDINARY), named(bits(wanted)), "{of}");
    }
    // Judged from values that are not causes here: see the edges below, and the parked plate.
    let elsewhere = [
        C::PinParked,
        C::FirstContact,
        C::ContactHigh,
        C::ContactLow,
        C::HoldTimeout,
        C::StepOvertime,
        C::TareChanged,
        C::NotFollowing,
    ];
    let said = CAUSES
        .iter()
        .fold(bits(&elsewhere), |all, cause| all | bits(cause.rows));
    assert_eq!(
        said.count_ones() as usize,
        crate::interlock::ROWS,
        "every row has its cause"
    );
}

/// No cause silences another's row. One exception is the table's own: beside a drive's fault the ratio does not speak, because the
/// others follow the faulted one.
#[test]
fn no_cause_silences_the_row_of_another() {
    for (n, a) in CAUSES.iter().enumerate() {
        for b in CAUSES.iter().skip(n + 1).filter(|b| b.of != a.of) {
            let mut tick = sound();
            (a.make)(&mut tick);
            (b.make)(&mut tick);
            let mut wanted = bits(a.rows) | bits(b.rows);
            if (a.of, b.of) == ("fault", "ratio") {
                wanted &= !C::DriveRatio.bit();
            }
            assert_eq!(
                named(rows(&tick) & !ORDINARY),
                named(wanted),
                "{} beside {}",
                a.of,
                b.of
            );
        }
    }
}

/// Pin and arm together hold a parked plate; one that lies or hangs has no use for the pin.
#[test]
fn a_parked_plate_wants_its_pin_and_its_arm() {
    let spoken = |plate, pin_in, arm_home| {
        let mut tick = sound();
        (tick.0.pin_in, tick.0.arm_home, tick.2.plate) = (pin_in, arm_home, plate);
        rows(&tick) & (C::PinParked.bit() | C::PinLift.bit())
    };
    let (pin, arm) = (C::PinParked.bit(), C::PinLift.bit());
    assert_eq!(spoken(Plate::Parked, true, true), 0);
    assert_eq!(spoken(Plate::Parked, false, true), pin);
    assert_eq!(spoken(Plate::Parked, true, false), pin | arm);
    assert_eq!(spoken(Plate::Parked, false, false), pin | arm);
    for plate in [Plate::Air, Plate::Contact] {
        assert_eq!(spoken(plate, false, true), 0);
        assert_eq!(spoken(plate, false, false), arm);
    }
}

/// What a row looks at only where it means something.
#[test]
fn a_row_is_silent_where_its_cause_means_nothing() {
    let silent: [(Cond, Change); 14] = [
        (C::CellStuck, |t| {
            (t.1.cell_same, t.2.plate) = (true, Plate::Air)
        }),
        (C::CellStuck, |t| {
            (t.1.cell_same, t.2.plate) = (true, Plate::Parked)
        }),
        (C::CellLine, |t| {
            (t.1.line_error, t.2.plate) = (1e6, Plate::Air)
        }),
        (C::ContactLost, |t| {
            (t.1.load, t.2.plate) = (0.0, Plate::Air)
        }),
        (C::Flow, |t| {
            (t.1.slurry_flow, t.2.drives.turning, t.2.plate) = (0.0, true, Plate::Air);
        }),
        (C::Flow, |t| t.1.slurry_flow = 0.0),
        // A cell that is lost reads no load.
        (C::LoadLimit, |t| {
            (t.1.load_raw, t.1.cell_lost) = (1e6, true)
        }),
        (C::LoadRated, |t| {
            (t.1.load_raw, t.1.cell_lost) = (1e6, true)
        }),
        (C::FirstContact, |t| {
            (t.1.load_raw, t.1.cell_lost) = (1e6, true)
        }),
        (C::DriveRatio, |t| {
            (t.2.drives.furthest, t.2.powered) = (1e3, false)
        }),
        (C::LinkLost, |t| {
            (t.0.link_alive, t.2.remote_armed) = (false, false)
        }),
        (C::GaugeInvalid, |t| {
            (t.1.size_valid, t.2.gauge_ends) = (false, false)
        }),
        (C::SizeLow, |t| (t.1.size, t.1.size_valid) = (1.0, false)),
        // Nothing is too small for a recipe that uses no gauge.
        (C::SizeLow, |t| (t.1.size, t.2.size_lower) = (-1.0, 0.0)),
    ];
    for (row, make) in silent {
        let mut tick = sound();
        make(&mut tick);
        assert_eq!(rows(&tick) & row.bit(), 0, "{row:?} speaks");
    }
    // What turns, or is about to, on parts needs flow: either is enough.
    for turns in [(|t| t.1.standstill = false) as Change, |t| {
        t.2.drives.turning = true
    }] {
        let mut tick = sound();
        tick.1.slurry_flow = 0.0;
        turns(&mut tick);
        assert!(rows(&tick) & C::Flow.bit() != 0);
    }
}

/// The smallest step that an `f32` of some hundreds can show.
const A_LITTLE: f32 = 1e-3;

/// Alone, and where every group of rows is asked for another's sake.
const BESIDE: [Change; 2] = [
    |_| {},
    |t| {
        (t.1.cell_bad, t.1.overrun) = (true, true);
        (t.2.drives.wrong_way, t.2.recipe_wrong) = (true, true);
    },
];

/// The last value at which a row is silent, and the first at which it speaks. Limits of the sample machine: line 40 N, rated 900 N,
/// first contact 300 N, band 8 N or 3 %, contact 24 N, speed tolerance 2 rpm, flow 60 mL/min, supply 5000 mbar, 35 and 45 °C.
#[test]
fn each_row_speaks_exactly_from_its_limit_on() {
    type Put = fn(&mut Tick, f32);
    let above: [(Cond, f32, Put); 14] = [
        (C::CellLine, 40.0, |t, x| t.1.line_error = x),
        (C::CellLine, 40.0, |t, x| t.1.line_error = -x),
        (C::LoadLimit, 350.0, |t, x| t.1.load_raw = x),
        (C::LoadRated, 900.0, |t, x| t.1.load_raw = x),
        (C::FirstContact, 300.0, |t, x| t.1.load_raw = x),
        (C::LoadBand, 273.0, |t, x| t.1.load = x),
        (C::LoadBand, 8.0, |t, x| t.1.load = 265.0 - x),
        (C::LoadBand, 412.0, |t, x| {
            (t.1.load, t.2.setpoint) = (x, 400.0)
        }),
        (C::DriveRatio, 2.0, |t, x| t.2.drives.furthest = x),
        (C::TemperatureHigh, 35.0, |t, x| t.1.hottest = Some(x)),
        (C::TemperatureVeryHigh, 45.0, |t, x| t.1.hottest = Some(x)),
        // Below: of a value that falls.
        (C::ContactLost, -24.0, |t, x| t.1.load = -x),
        (C::Flow, -60.0, |t, x| {
            (t.1.slurry_flow, t.1.standstill) = (-x, false)
        }),
        (C::SizeLow, -540.0, |t, x| t.1.size = -x),
    ];
    for (row, limit, put) in above {
        for (value, speaks) in [(limit, false), (limit + A_LITTLE, true)] {
            for beside in BESIDE {
                let mut tick = sound();
                beside(&mut tick);
                put(&mut tick, value);
                assert_eq!(rows(&tick) & row.bit() != 0, speaks, "{row:?} at {value}");
            }
        }
    }
    type PutWhole = fn(&mut Tick, u16);
    let whole: [(Cond, u16, PutWhole); 4] = [
        (C::SupplyLow, 5000, |t, x| t.0.supply_pressure = x),
        (C::SupplyInhibit, 5000, |t, x| t.0.supply_pressure = x),
        (C::TankLow, 150, |t, x| t.1.tank = Some(x)),
        (C::TankEmpty, 50, |t, x| t.1.tank = Some(x)),
    ];
    for (row, limit, put) in whole {
        for (value, speaks) in [(limit, false), (limit - 1, true)] {
            let mut tick = sound();
            put(&mut tick, value);
            assert_eq!(rows(&tick) & row.bit() != 0, speaks, "{row:?} at {value}");
        }
    }
    // Either fluid wets the gap, and the change from one to the other overlaps.
    let mut tick = sound();
    (tick.1.standstill, tick.1.slurry_flow, tick.1.rinse_flow) = (false, 30.0, 30.0);
    assert_eq!(rows(&tick) & C::Flow.bit(), 0);
}
