mod edges;

use super::*;
use crate::units::TICKS_PER_SECOND;

const fn seconds(whole: u32) -> Ticks {
    Ticks(whole * TICKS_PER_SECOND)
}

/// A small invented machine; `sim-host` compiles the real ones.
pub(crate) fn sample() -> ParamsWire {
    ParamsWire {
        schema: PARAMS_SCHEMA,
        machine_id: machine_id("sample"),
        cell_scale: NewtonsPerCount::new(1000.0 / 8_000_000.0),
        cell_range_counts: 8_300_000,
        weight: Newtons::new(569.0),
        tare_band: Newtons::new(20.0),
        cap_scale: NewtonsPerCount::new(0.019_63),
        rod_scale: NewtonsPerCount::new(0.016_49),
        line_tolerance: Newtons::new(40.0),
        resting: Newtons::new(60.0),
        line_gain: Newtons::new(825.0),
        dead_time: Ticks(20),
        lag: Seconds::new(0.12),
        slew: Ratio::new(4.0),
        kc: PerNewton::new(0.001_5),
        ti: Seconds::new(0.12),
        setpoint_weight: Ratio::new(1.0),
        deadband: Newtons::new(1.0),
        lowest: Newtons::new(150.0),
        filter: Hertz::new(15.0),
        governor_gain: Ratio::new(1.05),
        governor_margin: Newtons::new(12.0),
        initial: Newtons::new(150.0),
        first_contact: Newtons::new(300.0),
        contact: Newtons::new(24.0),
        stuck: Newtons::new(4.0),
        rated: Newtons::new(900.0),
        band: Newtons::new(8.0),
        band_share: Ratio::new(0.03),
        ramp_max: NewtonsPerSecond::new(100.0),
        height_raised: Micrometres::new(150_000.0),
        approach: Micrometres::new(8_000.0),
        contact_tolerance: Micrometres::new(200.0),
        travel_time: seconds(60),
        lift_time: seconds(60),
        torque_max: [NewtonMetres::new(60.0); DRIVES],
        speed_max: [Rpm::new(60.0); DRIVES],
        fixed: [false; DRIVES],
        drive_ramp: RpmPerSecond::new(6.0),
        speed_tolerance: Rpm::new(2.0),
        setup_speed: Rpm::new(5.0),
        flow_min: MillilitresPerMinute::new(60.0),
        flow_max: MillilitresPerMinute::new(400.0),
        supply_min: 5000,
        temperature_high: Celsius::new(35.0),
        temperature_very_high: Celsius::new(45.0),
        estop_category: 1,
        stop_time: seconds(20),
        coast_time: seconds(40),
        hold_time: seconds(600),
        settle_limit: seconds(60),
    }
}

/// Changes one field of a block.
type Change = fn(&mut ParamsWire, fn(f32) -> f32);
/// A field's name and its change.
type Named<C> = (&'static str, C);

macro_rules! floats {
    ($($field:ident: $unit:ident),* $(,)?; $($array:ident: $of:ident),* $(,)?) => {
        [
            $((stringify!($field), (|p, f| p.$field = $unit::new(f(p.$field.get()))) as Change),)*
            $((stringify!($array), (|p, f| p.$array[3] = $of::new(f(p.$array[3].get()))) as Change),)*
        ]
    };
}

/// Every float of the block, by name.
const FLOATS: [Named<Change>; 38] = floats!(
    cell_scale: NewtonsPerCount,
    weight: Newtons,
    tare_band: Newtons,
    cap_scale: NewtonsPerCount,
    rod_scale: NewtonsPerCount,
    line_tolerance: Newtons,
    resting: Newtons,
    line_gain: Newtons,
    lag: Seconds,
    slew: Ratio,
    kc: PerNewton,
    ti: Seconds,
    setpoint_weight: Ratio,
    deadband: Newtons,
    lowest: Newtons,
    filter: Hertz,
    governor_gain: Ratio,
    governor_margin: Newtons,
    initial: Newtons,
    first_contact: Newtons,
    contact: Newtons,
    stuck: Newtons,
    rated: Newtons,
    band: Newtons,
    band_share: Ratio,
    ramp_max: NewtonsPerSecond,
    height_raised: Micrometres,
    approach: Micrometres,
    contact_tolerance: Micrometres,
    drive_ramp: RpmPerSecond,
    speed_tolerance: Rpm,
    setup_speed: Rpm,
    flow_min: MillilitresPerMinute,
    flow_max: MillilitresPerMinute,
    temperature_high: Celsius,
    temperature_very_high: Celsius;
    torque_max: NewtonMetres,
    speed_max: Rpm
);

/// Every other field, changed to a value that is as valid.
const OTHERS: [Named<fn(&mut ParamsWire)>; 12] = [
    ("machine_id", |p| p.machine_id = machine_id("another")),
    ("cell_range_counts", |p| p.cell_range_counts += 1),
    ("dead_time", |p| p.dead_time.0 += 1),
    ("travel_time", |p| p.travel_time.0 += 1),
    ("lift_time", |p| p.lift_time.0 += 1),
    ("fixed", |p| p.fixed[1] = true),
    ("supply_min", |p| p.supply_min += 1),
    ("estop_category", |p| p.estop_category = 0),
    ("stop_time", |p| p.stop_time.0 += 1),
    ("coast_time", |p| p.coast_time.0 += 1),
    ("hold_time", |p| p.hold_time.0 += 1),
    ("settle_limit", |p| p.settle_limit.0 += 1),
];

#[test]
fn no_float_may_be_anything_but_a_number() {
    for (name, change) in FLOATS {
        for (what, bad) in [
            ("NaN", (|_| f32::NAN) as fn(f32) -> f32),
            ("infinity", |_| f32::INFINITY),
            ("minus infinity", |_| f32::NEG_INFINITY),
        ] {
            let mut p = sample();
            change(&mut p, bad);
            assert!(p.check().is_err(), "{name} may be {what}");
        }
    }
}

/// The least limit is the limit at which the rule of the governor's half-width holds with nothing to spare.
#[test]
fn the_least_limit_is_twice_the_half_width_above_the_load() {
    let p = sample();
    for load in [150.0, 265.0, 700.0] {
        let load = Newtons::new(load);
        let limit = p.least_limit(load);
        let spare = limit - load - p.governor_half_width(limit) * 2.0;
        assert!(spare.abs().get() < 1e-3, "{load:?}: {spare:?}");
    }
}

#[test]
fn a_step_is_released_to_the_initial_load_or_its_own_lower_one() {
    let params = sample().check().expect("valid");
    for (step, released) in [(265.0, 150.0), (150.0, 150.0), (110.0, 110.0)] {
        let load = params.release_load(Newtons::new(step));
        assert!((load.get() - released).abs() < f32::EPSILON, "{step}");
    }
}

#[test]
fn the_lowest_load_may_lie_under_the_initial_load_but_not_under_the_resting_load() {
    let mut p = sample();
    p.lowest = Newtons::new(61.0);
    assert!(p.clone().check().is_ok());
    p.lowest = p.resting;
    let faults = p.check().expect_err("must be refused");
    assert_eq!(
        faults.iter().map(|f| f.0).collect::<std::vec::Vec<_>>(),
        [10]
    );
}

#[test]
fn every_broken_rule_is_reported_and_not_only_the_first() {
    let mut p = sample();
    p.weight = Newtons::new(f32::NAN);
    p.kc = PerNewton::new(f32::INFINITY);
    p.estop_category = 2;
    let faults = p.check().expect_err("must be refused");
    let ids: std::vec::Vec<u16> = faults.iter().map(|f| f.0).collect();
    assert_eq!(ids, [3, 5, 7, 16]);
}

/// Rule 17, field by field: a time of zero is refused, by this rule alone. A dead time may be zero.
#[test]
fn every_time_of_the_machine_is_positive() {
    const TIMES: [Named<fn(&mut ParamsWire)>; 6] = [
        ("travel_time", |p| p.travel_time.0 = 0),
        ("lift_time", |p| p.lift_time.0 = 0),
        ("stop_time", |p| p.stop_time.0 = 0),
        ("coast_time", |p| p.coast_time.0 = 0),
        ("hold_time", |p| p.hold_time.0 = 0),
        ("settle_limit", |p| p.settle_limit.0 = 0),
    ];
    for (name, change) in TIMES {
        let mut p = sample();
        change(&mut p);
        let ids: std::vec::Vec<u16> = p.check().err().map_or(std::vec::Vec::new(), |faults| {
            faults.iter().map(|f| f.0).collect()
        });
        assert_eq!(ids, [17], "{name}");
    }
}

#[test]
fn the_hash_sees_every_field() {
    let base = sample().check().expect("valid").hash();
    let mut other = sample();
    other.schema += 1;
    assert_ne!(other.hash(), base, "schema");
    for (name, change) in FLOATS {
        let mut p = sample();
        // Down, because the setpoint weight stands at its top; the floors stand at theirs.
        change(&mut p, |x| x * 0.999_9);
        if p.clone().check().is_err() {
            p = sample();
            change(&mut p, |x| x * 1.000_1);
        }
        let hash = p.check().map(|checked| checked.hash());
        assert!(hash.is_ok_and(|hash| hash != base), "{name}");
    }
    for (name, change) in OTHERS {
        let mut p = sample();
        change(&mut p);
        let hash = p.check().map(|checked| checked.hash());
        assert!(hash.is_ok_and(|hash| hash != base), "{name}");
    }
}

/// A field that is added must come into one of the lists: this pattern names them all, and their number is the lists'.
#[test]
fn the_lists_are_whole() {
    let ParamsWire {
        schema: _,
        machine_id: _,
        cell_scale: _,
        cell_range_counts: _,
        weight: _,
        tare_band: _,
        cap_scale: _,
        rod_scale: _,
        line_tolerance: _,
        resting: _,
        line_gain: _,
        dead_time: _,
        lag: _,
        slew: _,
        kc: _,
        ti: _,
        setpoint_weight: _,
        deadband: _,
        lowest: _,
        filter: _,
        governor_gain: _,
        governor_margin: _,
        initial: _,
        first_contact: _,
        contact: _,
        stuck: _,
        rated: _,
        band: _,
        band_share: _,
        ramp_max: _,
        height_raised: _,
        approach: _,
        contact_tolerance: _,
        travel_time: _,
        lift_time: _,
        torque_max: _,
        speed_max: _,
        fixed: _,
        drive_ramp: _,
        speed_tolerance: _,
        setup_speed: _,
        flow_min: _,
        flow_max: _,
        supply_min: _,
        temperature_high: _,
        temperature_very_high: _,
        estop_category: _,
        stop_time: _,
        coast_time: _,
        hold_time: _,
        settle_limit: _,
    } = sample();
    assert_eq!(FLOATS.len() + OTHERS.len() + 1, 51);
}
