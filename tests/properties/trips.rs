//! How each interlock row is tripped: where, and by what the controller is made to see.
//!
//! Every row of the table has an entry here (asserted), so a new row cannot be forgotten.

use crate::tamper::{Lie, Scene};
use firmware_core::process_image::Inputs;
use firmware_core::sequence::Phase;

/// Where a row is tripped.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// In this phase of a running cycle.
    Running(Phase),
    /// Held after a hold in the dwell.
    Held,
    /// Stopping from the dwell.
    Stopping,
    /// Aborting from the dwell: power off, coasting.
    Aborting,
    /// Stopped after a stop in the dwell.
    Stopped,
    /// Idle, before the start.
    Idle,
}

/// How one row is tripped.
pub struct Trip {
    /// Row name.
    pub row: &'static str,
    /// Places to choose from.
    pub places: &'static [Place],
    /// What the controller is made to see from then on.
    pub lie: Lie,
    /// Ticks beyond the debounce that the signal chain may take (filters, averages), with the reason in the entry.
    pub slack: u32,
}

use Phase::{
    Dwell, Lift, LoadRamp, LoadRelease, Lower, Precheck, RunDown, RunUp, SlurryPrestart,
    SlurryStop, TouchDown,
};
use Place::{Aborting, Held, Idle, Running, Stopped, Stopping};

const ANY: &[Place] = &[
    Running(Precheck),
    Running(Lower),
    Running(TouchDown),
    Running(SlurryPrestart),
    Running(RunUp),
    Running(LoadRamp),
    Running(Dwell),
    Running(LoadRelease),
    Running(RunDown),
    Running(SlurryStop),
    Running(Lift),
];
const CONTACT: &[Place] = &[
    Running(SlurryPrestart),
    Running(RunUp),
    Running(LoadRamp),
    Running(Dwell),
    Running(LoadRelease),
    Running(RunDown),
    Running(SlurryStop),
];
const TURNING: &[Place] = &[
    Running(RunUp),
    Running(LoadRamp),
    Running(Dwell),
    Running(LoadRelease),
    Running(RunDown),
];
const AT_SPEED: &[Place] = &[Running(LoadRamp), Running(Dwell), Running(LoadRelease)];
const LOADED: &[Place] = AT_SPEED;

/// Makes the tared load read `load`, with a little dither so that the cell is not stuck.
fn read_load(i: &mut Inputs, s: &Scene, load: f32) {
    let tare = -s.params.weight.get();
    let counts = (load + tare) / s.params.cell_scale.get();
    #[allow(clippy::cast_possible_truncation)]
    let counts = counts as i32;
    i.cell_counts = counts + if s.since.is_multiple_of(2) { 1 } else { -1 };
}

const fn trip(row: &'static str, places: &'static [Place], slack: u32, lie: Lie) -> Trip {
    Trip {
        row,
        places,
        lie,
        slack,
    }
}

/// One entry a row. Slack is 2 ticks for what is judged raw.
pub const TRIPS: &[Trip] = &[
    trip("emergency-stop", ANY, 2, |i, _| i.estop_b = false),
    trip("emergency-stop-channels", ANY, 2, |i, _| i.estop_a = false),
    trip("stop-time-overrun", &[Stopping], 2, |i, _| {
        i.drives[2].speed = 300
    }),
    trip("guard-open", ANY, 2, |i, _| i.guard_locked = false),
    trip("guard-open-waiting", &[Held, Stopped], 2, |i, _| {
        (i.guard_a, i.guard_b) = (false, false)
    }),
    trip("guard-channels", ANY, 2, |i, _| i.guard_b = false),
    trip("cell-invalid", ANY, 2, |i, _| i.cell_ok = false),
    trip("cell-stuck", CONTACT, 2, |i, s| {
        i.cell_counts = s.before.cell_counts
    }),
    // Far enough off for any machine of the envelope, whichever way its own error goes.
    trip(
        "cell-line",
        &[Running(SlurryPrestart), Running(RunUp), Running(Dwell)],
        60,
        |i, s| {
            let off = 2.5 * s.params.line_tolerance.get() / s.params.cell_scale.get();
            #[allow(clippy::cast_possible_truncation)]
            let off = off as i32;
            i.cell_counts -= off;
        },
    ),
    trip("load-above-step-limit", LOADED, 2, |i, s| {
        read_load(i, s, s.limit * 1.05 + 0.03 * s.params.weight.get())
    }),
    trip("load-above-rated", ANY, 2, |i, s| {
        read_load(i, s, s.params.rated.get() + 0.05 * s.params.weight.get())
    }),
    trip(
        "first-contact-limit",
        &[Running(Lower), Running(TouchDown)],
        2,
        |i, s| {
            read_load(
                i,
                s,
                s.params.first_contact.get() + 0.03 * s.params.weight.get(),
            );
        },
    ),
    // Tripped by its own test: a lie about the load is answered by the loop before two seconds are over.
    trip("load-out-of-band", &[], 0, |_, _| {}),
    // The filter of the load needs a few of its time constants to fall below the threshold.
    trip("contact-lost", CONTACT, 150, |i, s| {
        read_load(i, s, -0.05 * s.params.weight.get())
    }),
    trip("counterbalance-lost", ANY, 2, |i, _| {
        i.counterbalance_ok = false
    }),
    trip("dump-feedback", ANY, 2, |i, _| i.dump_open = !i.dump_open),
    trip("dump-feedback-inhibit", &[Idle, Stopped], 2, |i, _| {
        i.dump_open = !i.dump_open
    }),
    // The flow is averaged over a turn of the pump before it is judged.
    trip("flow-low", TURNING, 3000, |i, _| {
        (i.slurry_flow, i.rinse_flow) = (0, 0)
    }),
    trip("agitator-stopped", &[Running(SlurryPrestart)], 2, |i, _| {
        i.agitator_turning = false
    }),
    // Its debounce is longer than any phase of a short cycle: it is waited for in a hold.
    trip("agitator-settled", &[], 0, |_, _| {}),
    trip(
        "tank-low",
        &[Running(SlurryPrestart), Running(Dwell)],
        2,
        |i, _| (i.tank_level.value, i.tank_level.age) = (100, 0),
    ),
    trip("tank-empty", &[Running(Dwell)], 2, |i, _| {
        (i.tank_level.value, i.tank_level.age) = (20, 0)
    }),
    trip("drive-fault", ANY, 2, |i, _| i.drives[1].fault = true),
    trip("drive-out-of-ratio", AT_SPEED, 2, |i, _| {
        i.drives[0].speed = i.drives[0].speed.saturating_add(500)
    }),
    trip("direction-wrong", AT_SPEED, 2, |i, _| {
        i.drives[2].speed = i.drives[2].speed.saturating_neg()
    }),
    trip("torque-high", AT_SPEED, 2, |i, _| {
        i.drives[3].torque = i16::MAX
    }),
    trip("torque-high-run-up", &[Running(RunUp)], 2, |i, _| {
        i.drives[3].torque = i16::MAX
    }),
    trip("supply-low", ANY, 2, |i, _| i.supply_pressure = 1000),
    trip("supply-low-inhibit", &[Idle, Stopped], 2, |i, _| {
        i.supply_pressure = 1000
    }),
    trip("temperature-high", &[Running(Dwell)], 2, |i, s| {
        hot(i, s.params.temperature_high.get() + 1.0)
    }),
    trip("temperature-very-high", &[Running(Dwell)], 2, |i, s| {
        hot(i, s.params.temperature_very_high.get() + 1.0)
    }),
    trip("gauge-invalid", &[Running(Dwell)], 2, |i, _| {
        i.gauge_ok = false
    }),
    trip("size-below-tolerance", &[Running(Dwell)], 2, |i, _| {
        (i.gauge.value, i.gauge.age, i.gauge_ok) = (1, 0, true)
    }),
    trip("pin-not-proven", &[Idle], 2, |i, _| i.pin_in = false),
    trip("arm-lift", &[Running(Lift)], 2, |i, _| i.arm_home = false),
    // Judged on the filtered load, between one and three millimetres above where the lift began: the wait for that stretch is the
    // test's own.
    trip("parts-stuck", &[], 0, |_, _| {}),
    trip("tick-overrun", ANY, 3, |i, _| i.tick_overrun = true),
    // A recipe for another machine is loaded in its own test.
    trip("recipe-wrong", &[], 0, |_, _| {}),
    // Remote start is armed in its own test.
    trip("link-lost", &[], 0, |_, _| {}),
    // Contact is confirmed over 100 ticks of the filtered load.
    trip("contact-high", &[Running(Lower)], 400, |i, s| {
        i.plate_height = millimetres(s.taught + s.params.contact_tolerance.get(), 5.0);
        read_load(i, s, s.params.resting.get());
    }),
    trip("contact-low", &[Running(Lower)], 400, |i, s| {
        i.plate_height = millimetres(s.taught - s.params.contact_tolerance.get(), -0.2);
        // The plate hangs as it hung.
        i.cell_counts = s.before.cell_counts;
    }),
    // Ten seconds of a precheck that lacks its agitator.
    trip("phase-timeout", &[Running(Precheck)], 10_500, |i, _| {
        i.agitator_turning = false
    }),
    // Its time is ten minutes: it is waited for on a machine with a short hold, in its own test.
    trip("hold-timeout", &[], 0, |_, _| {}),
    // Ended by its longest time in its own test.
    trip("step-overtime", &[], 0, |_, _| {}),
    // An invariant cannot be broken from outside: that is what the walk and the guard show. The row itself is walked alone.
    trip("internal-fault", &[], 0, |_, _| {}),
    trip(
        "temperature-stale",
        &[Running(SlurryPrestart)],
        2,
        |i, _| {
            for t in &mut i.plate_temperature {
                t.age = u16::MAX;
            }
        },
    ),
    trip("plate-not-following", &[Running(Lower)], 2, |i, s| {
        i.plate_height += if s.since.is_multiple_of(2) { 5000 } else { 0 };
    }),
    // A drive that seems to turn for ever: the longest coast is waited for.
    trip("coast-overrun", &[Aborting], 2, |i, _| {
        i.drives[2].speed = 300
    }),
    // Reports are no inputs: both are tripped in tests of their own.
    trip("plate-form-limit", &[], 0, |_, _| {}),
    trip("plate-form-overdue", &[], 0, |_, _| {}),
    // The plate is weighed over half a second from the start on: what hangs, and when, is its own test's.
    trip("tare-changed", &[], 0, |_, _| {}),
    trip("counterbalance-lost-stopped", &[Stopped], 2, |i, _| {
        i.counterbalance_ok = false
    }),
];

fn hot(i: &mut Inputs, celsius: f32) {
    #[allow(clippy::cast_possible_truncation)]
    let value = (celsius * 100.0) as i16;
    (i.plate_temperature[0].value, i.plate_temperature[0].age) = (value, 0);
}

fn millimetres(from_um: f32, by_mm: f32) -> i32 {
    #[allow(clippy::cast_possible_truncation)]
    let um = (from_um + by_mm * 1000.0) as i32;
    um
}
