//! Where a measured value begins to count, on both sides of every limit and debounce.

use super::*;

fn signal() -> (Signal, CheckedParams) {
    let params = crate::params::tests::sample().check().expect("valid");
    (Signal::new(&params), params)
}

fn measure(inputs: &Inputs, ticks: u32) -> Measured {
    let (mut signal, params) = signal();
    signal.hear(&inputs.drives);
    for tick in 1..ticks {
        signal.measure(inputs, &params, tick);
    }
    signal.measure(inputs, &params, ticks)
}

/// 0.15 rpm is still and 0.16 is not, either way round; a quarter of a second makes it proven; any drive counts.
#[test]
fn standstill_is_proven_after_its_time_below_its_speed() {
    for drive in 0..DRIVES {
        for (speed, still) in [
            (0, true),
            (15, true),
            (-15, true),
            (16, false),
            (-16, false),
        ] {
            let mut inputs = Inputs::default();
            inputs.drives[drive].speed = speed;
            assert!(!measure(&inputs, 249).standstill);
            assert_eq!(
                measure(&inputs, 250).standstill,
                still,
                "drive {drive} at {speed}"
            );
        }
    }
    let (mut signal, params) = signal();
    let mut inputs = Inputs::default();
    for tick in 0..500 {
        inputs.drives[2].speed = if tick == 249 { 16 } else { 0 };
        signal.hear(&inputs.drives);
        let proven = signal.measure(&inputs, &params, tick).standstill;
        assert_eq!(
            proven,
            tick >= 499,
            "tick {tick}: one turn begins the time anew"
        );
    }
}

/// A cell is bad without its bit and from the ends of its range on; bad for three samples it is lost.
#[test]
fn a_cell_is_bad_at_the_ends_of_its_range_and_lost_after_three_samples() {
    let most = crate::params::tests::sample().cell_range_counts;
    for (counts, ok, bad) in [
        (0, true, false),
        (0, false, true),
        (most, true, true),
        (most - 1, true, false),
        (-most, true, true),
        (1 - most, true, false),
    ] {
        let inputs = Inputs {
            cell_counts: counts,
            cell_ok: ok,
            ..Inputs::default()
        };
        for (ticks, lost) in [(1, false), (2, false), (3, bad)] {
            let m = measure(&inputs, ticks);
            assert_eq!(
                (m.cell_bad, m.cell_lost),
                (bad, lost),
                "{counts}, {ok}, {ticks}"
            );
        }
    }
    let (mut signal, params) = signal();
    let mut inputs = Inputs {
        cell_counts: 5,
        ..Inputs::default()
    };
    for (counts, same) in [(5, false), (5, true), (6, false), (5, false), (5, true)] {
        inputs.cell_counts = counts;
        assert_eq!(signal.measure(&inputs, &params, 1).cell_same, same);
    }
}

/// A second old is young enough. Of two plates the hotter counts, of those that are known.
#[test]
fn slow_inputs_count_for_a_second() {
    for (age, known) in [(0, true), (1000, true), (1001, false), (u16::MAX, false)] {
        let mut inputs = Inputs {
            gauge_ok: true,
            ..Inputs::default()
        };
        inputs.gauge = Slow {
            value: 550_000,
            age,
        };
        inputs.tank_level = Slow { value: 300, age };
        inputs.plate_temperature[1] = Slow { value: 4_500, age };
        let m = measure(&inputs, 1);
        assert_eq!(
            (m.size_valid, m.tank.is_some(), m.hottest.is_some()),
            (known, known, known),
            "{age}"
        );
        if known {
            assert!(
                (m.hottest.unwrap_or(0.0) - 45.0).abs() < 1e-3 && (m.size - 550.0).abs() < 1e-3
            );
        }
    }
    for (lower, upper, hottest) in [
        ((2_000, 0), (3_000, 0), 30.0),
        ((3_000, 0), (2_000, 0), 30.0),
        ((9_000, 2_000), (2_000, 0), 20.0),
        ((2_000, 0), (9_000, 2_000), 20.0),
    ] {
        let slow = |(value, age)| Slow { value, age };
        let inputs = Inputs {
            plate_temperature: [slow(lower), slow(upper)],
            ..Inputs::default()
        };
        assert!((measure(&inputs, 1).hottest.unwrap_or(0.0) - hottest).abs() < 1e-3);
    }
    assert!(
        !measure(
            &Inputs {
                gauge: Slow { value: 1, age: 0 },
                ..Inputs::default()
            },
            1
        )
        .size_valid
    );
}

/// 50 mbar is vented.
#[test]
fn the_cap_side_is_vented_up_to_its_pressure() {
    for (cap_pressure, vented) in [(0, true), (500, true), (501, false)] {
        assert_eq!(
            measure(
                &Inputs {
                    cap_pressure,
                    ..Inputs::default()
                },
                1
            )
            .vented,
            vented
        );
    }
}

/// Three late ticks within a second, the last of them a late one; 1000 ticks from the first to the third are more than that.
#[test]
fn the_third_late_tick_within_a_second_counts() {
    for (third, counts) in [(10 + 999, true), (10 + 1_000, false)] {
        let (mut signal, params) = signal();
        let mut found = false;
        for tick in 0..3_000 {
            let tick_overrun = [10, 500, third].contains(&tick);
            let m = signal.measure(
                &Inputs {
                    tick_overrun,
                    ..Inputs::default()
                },
                &params,
                tick,
            );
            assert!(tick == third || !m.overrun, "tick {tick}");
            found |= m.overrun;
        }
        assert_eq!(found, counts, "third at {third}");
    }
}

/// The load is the cell's force less what hangs; the line is that force less what the pressures give.
#[test]
fn the_tare_is_what_was_averaged_and_the_line_is_the_pressures() {
    let (mut signal, params) = signal();
    let p = params.get();
    signal.start_tare();
    for tick in 0..TARE_TICKS {
        // Around -560 N.
        let cell_counts = -4_480_000 + if tick % 2 == 0 { 800 } else { -800 };
        signal.learn_tare(
            &Inputs {
                cell_counts,
                ..Inputs::default()
            },
            &params,
        );
    }
    assert!(signal.tared() && (signal.tare().get() + 560.0).abs() < 0.01);
    let learned = signal.tare();
    signal.learn_tare(&Inputs::default(), &params);
    assert!(
        (learned - signal.tare()).abs().get() < f32::EPSILON,
        "learned once"
    );
    let inputs = Inputs {
        cell_counts: -3_280_000,
        cap_pressure: 1_000,
        rod_pressure: 2_000,
        ..Inputs::default()
    };
    let m = signal.measure(&inputs, &params, 1);
    assert!((m.load_raw - 150.0).abs() < 0.01, "{}", m.load_raw);
    let line = -410.0 - 1_000.0 * p.cap_scale.get() + 2_000.0 * p.rod_scale.get();
    assert!((m.line_error - line).abs() < 0.01);
}

/// Speed in 0.01 rpm and torque in 0.1 N·m, its magnitude; what is new is told once.
#[test]
fn what_the_drives_report_is_scaled_and_news_is_told_once() {
    let (mut signal, params) = signal();
    let mut inputs = Inputs::default();
    assert!(!signal.hear(&inputs.drives));
    let changes: [fn(&mut DriveInput); 3] = [
        |d| d.speed = -1_234,
        |d| d.torque = -567,
        |d| d.fault = true,
    ];
    for change in changes {
        change(&mut inputs.drives[3]);
        assert!(signal.hear(&inputs.drives));
        assert!(!signal.hear(&inputs.drives));
    }
    let m = signal.measure(&inputs, &params, 4);
    assert!(
        (m.speeds[3] + 12.34).abs() < 1e-4 && (m.torques[3] - 56.7).abs() < 1e-4 && m.drive_fault
    );
}

/// Any one drive's fault is a fault.
#[test]
fn the_fault_of_any_drive_is_heard() {
    for drive in 0..DRIVES {
        let mut inputs = Inputs::default();
        inputs.drives[drive].fault = true;
        assert!(measure(&inputs, 1).drive_fault, "drive {drive}");
    }
    assert!(!measure(&Inputs::default(), 1).drive_fault);
}

/// A machine whose counts are exact fractions of a newton, so that the edges of its tare can be met: weight 569 N, band 20 N, stuck 4 N.
fn exact() -> (Signal, CheckedParams) {
    let mut wire = crate::params::tests::sample();
    wire.cell_scale = crate::units::NewtonsPerCount::new(1.0 / 8192.0);
    let params = wire.check().expect("valid");
    (Signal::new(&params), params)
}

fn hanging(newtons: i32) -> Inputs {
    Inputs {
        cell_counts: newtons * 8192,
        cell_ok: true,
        ..Inputs::default()
    }
}

fn learn(signal: &mut Signal, params: &CheckedParams, newtons: i32) -> bool {
    signal.start_tare();
    for tick in 0..TARE_TICKS {
        assert!(!signal.tared() && !signal.tare_believed(), "tick {tick}");
        signal.learn_tare(&hanging(newtons), params);
    }
    assert!(signal.tared());
    signal.tare_believed()
}

/// The plate is the machine's up to its band, and the last one's up to a stuck part; after a change of plate there is no last one.
#[test]
fn a_tare_is_believed_up_to_the_band_and_up_to_a_stuck_part() {
    for (newtons, believed) in [(-549, true), (-548, false), (-589, true), (-590, false)] {
        let (mut signal, params) = exact();
        assert!(!signal.tared() && !signal.tare_believed(), "power-up");
        assert_eq!(learn(&mut signal, &params, newtons), believed, "{newtons}");
        let in_force = if believed { newtons } else { -569 };
        assert_eq!(signal.tare(), Newtons::new(math::from_i32(in_force)));
    }
    for (newtons, believed) in [(-564, true), (-563, false), (-572, true), (-573, false)] {
        let (mut signal, params) = exact();
        assert!(learn(&mut signal, &params, -568));
        assert_eq!(learn(&mut signal, &params, newtons), believed, "{newtons}");
        signal.forget_tare();
        assert!(!signal.tared() && !signal.tare_believed(), "another plate");
        assert!(learn(&mut signal, &params, newtons), "{newtons}");
    }
}

/// After its tare a hanging plate loads nothing, at once and not after the filter has come to it. One that is not believed leaves the
/// reading as it is, so that what hangs there is seen.
#[test]
fn the_load_is_nothing_at_once_after_a_tare_that_is_believed() {
    for (newtons, shown) in [(-560, 0.0), (-540, 29.0)] {
        let (mut signal, params) = exact();
        for tick in 0..1_000 {
            signal.measure(&hanging(newtons), &params, tick);
        }
        learn(&mut signal, &params, newtons);
        let load = signal.measure(&hanging(newtons), &params, 1_000).load;
        assert!((load - shown).abs() < 1e-2, "{newtons}: {load}");
    }
}

/// The filter rests on the first reading, whatever it is, and follows from then on with its lag.
#[test]
fn the_filtered_load_begins_at_the_first_reading_and_lags_behind_later_ones() {
    let (mut signal, params) = exact();
    let first = signal.measure(&hanging(-169), &params, 0).load;
    assert!((first - 400.0).abs() < 1e-2, "{first}");
    let next = signal.measure(&hanging(-69), &params, 1);
    assert!((next.load_raw - 500.0).abs() < 1e-2);
    assert!(next.load > 400.0 && next.load < 401.0, "{}", next.load);
}

/// Either flow is averaged over its time: the average of a ramp lags behind it by that time, and holds still with the flow.
#[test]
fn a_flow_is_averaged_over_its_time() {
    type Put = fn(&mut Inputs, u16);
    type Read = fn(&Measured) -> f32;
    let flows: [(Put, Read); 2] = [
        (|i, x| i.slurry_flow = x, |m| m.slurry_flow),
        (|i, x| i.rinse_flow = x, |m| m.rinse_flow),
    ];
    for (n, (put, read)) in flows.into_iter().enumerate() {
        let (mut signal, params) = signal();
        let mut inputs = Inputs::default();
        let mut m = Measured::default();
        for flow in 0..10_000 {
            put(&mut inputs, flow);
            m = signal.measure(&inputs, &params, u32::from(flow));
        }
        let lag = (9_999.0 - read(&m)) * TICK_SECONDS;
        assert!((lag - FLOW_AVERAGE_SECONDS).abs() < 1e-3, "{lag} s");
        let other = flows[1 - n].1;
        assert!(other(&m).abs() < f32::EPSILON, "the other did not flow");
    }
}
