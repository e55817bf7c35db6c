//! Where the plate is, how far the step has come and what the precheck lacks, on both sides of every limit.

use super::*;

/// Contact is felt above its threshold of 24 N, for 100 ticks; a bounce takes away twice what it gave; a plate that gathers speed high
/// up is not believed.
#[test]
fn contact_is_felt_after_its_time_and_a_bounce_takes_away_twice() {
    for (load, felt) in [(24.0, false), (24.001, true)] {
        let mut desk = Desk::at(RUNNING, Phase::Lower);
        desk.m.load = load;
        assert!(!desk.looks(99).contact);
        assert_eq!(desk.look().contact, felt, "{load} N");
    }
    let mut desk = Desk::at(RUNNING, Phase::Lower);
    desk.looks(60);
    desk.m.load = 0.0;
    desk.looks(10);
    desk.m.load = 100.0;
    assert!(!desk.looks(59).contact, "60 less twice 10, and 59");
    assert!(desk.look().contact);
    // Taught 550 µm, approach 8 mm: above 8.55 mm it must have fallen 10 mm first.
    for (height, from, felt) in [
        (8_550.0, 9_000.0, true),
        (8_551.0, 9_000.0, false),
        (9_000.0, 19_000.0, true),
        (9_000.0, 18_999.0, false),
    ] {
        let mut desk = Desk::at(RUNNING, Phase::Lower);
        desk.enter(Phase::Lower, from);
        (desk.judge.last_height, desk.m.height) = (height, height);
        assert_eq!(desk.looks(100).contact, felt, "{height} µm from {from} µm");
    }
}

/// Contact above the taught height plus tolerance (200 µm), and none below it less the tolerance.
#[test]
fn contact_is_asked_for_about_the_taught_height() {
    for (height, high) in [(750.0, false), (751.0, true)] {
        let mut desk = Desk::at(RUNNING, Phase::Lower);
        (desk.judge.last_height, desk.m.height) = (height, height);
        let found = desk.looks(100);
        assert_eq!(
            found.rows.0 & Cond::ContactHigh.bit() != 0,
            high,
            "{height}"
        );
        assert_eq!(found.view == View::Reached, !high, "{height}");
    }
    for (height, load, low) in [
        (350.0, 0.0, false),
        (349.0, 0.0, true),
        (349.0, 100.0, false),
    ] {
        let mut desk = Desk::at(RUNNING, Phase::Lower);
        (desk.judge.last_height, desk.m.height, desk.m.load) = (height, height, load);
        assert_eq!(
            desk.look().rows.0 & Cond::ContactLow.bit() != 0,
            low,
            "{height} µm, {load} N"
        );
    }
}

/// A height may change by 1 mm in a tick and not by more; a plate that is lowered fast falls by 1 mm in 150 ticks, from its 3.5 s on.
#[test]
fn a_height_must_follow_the_plate() {
    let jump = Cond::NotFollowing.bit();
    for (height, jumps) in [
        (101_000.0, false),
        (101_001.0, true),
        (99_000.0, false),
        (98_999.0, true),
    ] {
        let mut desk = Desk::at(RUNNING, Phase::Lower);
        desk.enter(Phase::Lower, 100_000.0);
        (desk.m.height, desk.m.load) = (height, 0.0);
        assert_eq!(desk.look().rows.0 & jump != 0, jumps, "{height}");
    }
    let standing = |pin_out: bool, height: f32| {
        let mut desk = Desk::at(RUNNING, Phase::Lower);
        desk.enter(Phase::Lower, height);
        (desk.m.height, desk.m.load, desk.inputs.pin_out) = (height, 0.0, pin_out);
        (1..=4_000).find(|_| desk.look().rows.0 & jump != 0)
    };
    assert_eq!(standing(true, 100_000.0), Some(3_500 + 150 + 1));
    assert_eq!(standing(false, 100_000.0), None, "the pin still holds it");
    assert_eq!(standing(true, 8_550.0), None, "it creeps");
    // Falling by as much as it must.
    let mut desk = Desk::at(RUNNING, Phase::Lower);
    desk.enter(Phase::Lower, 140_000.0);
    (desk.m.height, desk.m.load, desk.inputs.pin_out) = (140_000.0, 0.0, true);
    for _ in 0..8_000 {
        desk.m.height -= 1_000.0 / 149.0;
        assert_eq!(desk.look().rows.0 & jump, 0);
    }
}

/// Parts that hang are felt between 1 and 2.9 mm of the creep, below the tare by more than 4 N.
#[test]
fn hanging_parts_are_felt_while_the_lift_creeps() {
    for (risen, load, felt) in [
        (1_000.0, -5.0, false),
        (1_001.0, -5.0, true),
        (2_899.0, -5.0, true),
        (2_900.0, -5.0, false),
        (2_000.0, -4.0, false),
        (2_000.0, -4.001, true),
        (2_000.0, 5.0, false),
    ] {
        let mut desk = Desk::at(RUNNING, Phase::Lift);
        (desk.m.height, desk.m.load) = (550.0 + risen, load);
        assert_eq!(
            desk.look().rows.0 & Cond::PartsStuck.bit() != 0,
            felt,
            "{risen} µm, {load} N"
        );
    }
    for (height, pin, raised) in [
        (149_500.0, true, true),
        (149_499.0, true, false),
        (150_000.0, false, false),
    ] {
        let mut desk = Desk::at(RUNNING, Phase::Lift);
        (desk.m.height, desk.inputs.pin_in) = (height, pin);
        assert_eq!(
            desk.look().view == View::Reached,
            raised,
            "{height} µm, pin {pin}"
        );
    }
    // A lift begins no lower than a plate can be, whatever its height reads.
    let mut judge = Judge::default();
    for (height, lowest, began) in [(550.0, 350.0, 550.0), (-9_000.0, 350.0, 350.0)] {
        judge.enter(Phase::Lift, height, lowest, None);
        assert!((judge.began_at() - began).abs() < f32::EPSILON);
    }
}

/// In-band time, stock and size end a step exactly; its longest time ends it with an alarm; without a gauge only time does.
#[test]
fn a_step_ends_at_its_goal_or_at_its_longest_time() {
    let over = Cond::StepOvertime.bit();
    let mut desk = Desk::at(RUNNING, Phase::Dwell);
    assert_eq!(desk.looks(4_999).view, View::Waiting, "5 s in band");
    assert_eq!(
        (desk.look().view, desk.judge.step_time()),
        (View::Reached, Ticks(5_000))
    );
    // Out of band no time is spent; the tolerance of the speeds is the whole one here.
    for (load, speed, spends) in [
        (273.0, 2.0, true),
        (273.001, 0.0, false),
        (265.0, 2.001, false),
    ] {
        let mut desk = Desk::at(RUNNING, Phase::Dwell);
        (desk.m.load, desk.m.speeds[0]) = (load, speed);
        desk.drives.see(desk.m.speeds, desk.m.torques);
        desk.looks(10);
        assert_eq!(
            desk.judge.step_time() == Ticks(10),
            spends,
            "{load} N, {speed} rpm"
        );
    }
    let gauged = |end: EndWire, size: f32| {
        let mut desk = Desk::at(RUNNING, Phase::Dwell);
        desk.set(|step| (step.end, step.longest) = (end, Ticks(1_000)));
        (desk.m.size, desk.m.size_valid) = (550.0, true);
        desk.look();
        desk.m.size = size;
        desk
    };
    let stock = EndWire::Stock(Micrometres::new(10.0));
    let size = EndWire::Size(Micrometres::new(540.0));
    for (end, at, done) in [
        (stock, 540.0, true),
        (stock, 540.01, false),
        (size, 540.0, true),
        (size, 540.01, false),
    ] {
        assert_eq!(
            gauged(end, at).look().view == View::Reached,
            done,
            "{end:?} at {at}"
        );
        let lost: [fn(&mut Desk); 2] = [|d| d.m.size_valid = false, |d| d.end_by_time = true];
        for lose in lost {
            let mut desk = gauged(end, at);
            lose(&mut desk);
            assert_eq!(desk.look().view, View::Waiting, "{end:?} without a gauge");
            let found = desk.looks(997);
            assert_eq!(
                (found.view, found.rows.0 & over),
                (View::Waiting, 0),
                "999 ticks"
            );
            let found = desk.look();
            assert_eq!(
                (found.view, found.rows.0 & over),
                (View::Reached, over),
                "the longest time"
            );
        }
    }
}

/// What is missing is named by its bit, alone; a restart asks for all but pin, parts and tare.
#[test]
fn each_item_of_the_precheck_is_missed_alone() {
    let whole = || {
        let mut desk = Desk::at(RUNNING, Phase::Precheck);
        let i = &mut desk.inputs;
        (i.guard_a, i.guard_b, i.guard_locked) = (true, true, true);
        (i.supply_pressure, i.counterbalance_ok, i.agitator_turning) = (5_000, true, true);
        (i.pin_in, i.arm_home, i.estop_a, i.estop_b) = (true, true, true, true);
        #[allow(clippy::cast_possible_truncation)] // the sample plate's weight
        let hanging = (-569.0 / desk.params.get().cell_scale.get()) as i32;
        i.cell_counts = hanging;
        desk.m.tank = Some(150);
        learn(&mut desk);
        desk
    };
    assert_eq!(
        (whole().look().missing, whole().look().view),
        (0, View::Reached)
    );
    let items: [(u16, Put); 20] = [
        (0, |d| d.inputs.guard_a = false),
        (0, |d| d.inputs.guard_b = false),
        (0, |d| d.inputs.guard_locked = false),
        (1, |d| d.inputs.supply_pressure = 4_999),
        (2, |d| d.inputs.counterbalance_ok = false),
        (3, |d| d.m.tank = Some(149)),
        (3, |d| d.m.tank = None),
        (4, |d| d.inputs.agitator_turning = false),
        (5, |d| d.inputs.pin_in = false),
        (5, |d| d.inputs.arm_home = false),
        (6, |d| d.pieces = 14),
        (7, |d| d.signal.start_tare()),
        // 20 N is the band: 20.5 N heavier, and 20.5 N lighter.
        (7, |d| weigh(d, -589.5)),
        (7, |d| weigh(d, -548.5)),
        (8, |d| d.m.cell_bad = true),
        (9, |d| d.inputs.estop_a = false),
        (9, |d| d.inputs.estop_b = false),
        (10, |d| d.m.drive_fault = true),
        (10, |d| d.m.standstill = false),
        (11, |d| d.inputs.dump_open = false),
    ];
    for (bit, take) in items {
        let mut desk = whole();
        take(&mut desk);
        let found = desk.look();
        assert_eq!(
            (found.missing, found.view),
            (1 << bit, View::Waiting),
            "bit {bit}"
        );
        let mut desk = whole();
        take(&mut desk);
        desk.seq.state = State::Restarting;
        let asked = if (5..=7).contains(&bit) { 0 } else { 1 << bit };
        assert_eq!(desk.look().missing, asked, "bit {bit} on a restart");
    }
}

/// What hangs is weighed against the machine's plate (569 N within 20 N), and against what hung there last time, within what counts as
/// a stuck part (4 N). A tare that is not believed is not taken: the reading goes on showing what hangs. Another plate is another plate.
#[test]
fn a_tare_is_the_machines_and_the_last_ones_or_it_is_told_and_not_taken() {
    let row = Cond::TareChanged.bit();
    let mut desk = Desk::at(RUNNING, Phase::Precheck);
    let mut weighed = |force: f32, last: Option<f32>| {
        desk.signal.forget_tare();
        if let Some(last) = last {
            weigh(&mut desk, last);
        }
        let before = desk.signal.tare();
        weigh(&mut desk, force);
        let found = desk.look();
        let told = found.rows.0 & row != 0;
        assert_eq!(found.missing & 1 << 7 != 0, told, "{force} N");
        let taken = if told { before.get() } else { force };
        assert!((desk.signal.tare().get() - taken).abs() < 0.01, "{force} N");
        told
    };
    for (force, last, told) in [
        (-588.9, None, false),
        (-589.1, None, true),
        (-549.1, None, false),
        (-548.9, None, true),
        (-572.99, Some(-569.0), false),
        (-573.01, Some(-569.0), true),
        (-565.01, Some(-569.0), false),
        (-564.99, Some(-569.0), true),
        // As last time, and still not the machine's.
        (-590.0, Some(-588.0), true),
    ] {
        assert_eq!(weighed(force, last), told, "{force} N after {last:?}");
    }
    // What was not believed is not what the next one is compared with.
    desk.signal.forget_tare();
    for (force, told) in [
        (-569.0, false),
        (-580.0, true),
        (-580.0, true),
        (-570.0, false),
    ] {
        weigh(&mut desk, force);
        assert_eq!(desk.look().rows.0 & row != 0, told, "{force} N");
    }
    // While it is being weighed nothing is said yet.
    desk.signal.start_tare();
    assert_eq!(desk.look().rows.0 & row, 0);
}

/// Lets the tare be learned from what the cell counts.
fn learn(desk: &mut Desk) {
    desk.signal.start_tare();
    for tick in 1..=TARE_TICKS {
        assert!(!desk.signal.tared(), "after {tick} ticks");
        desk.signal.learn_tare(&desk.inputs, &desk.params);
    }
    assert!(desk.signal.tared());
}

/// Tares with this force on the cell, N.
fn weigh(desk: &mut Desk, force: f32) {
    #[allow(clippy::cast_possible_truncation)] // forces of the sample machine
    let counts = (force / desk.params.get().cell_scale.get()) as i32;
    desk.inputs.cell_counts = counts;
    learn(desk);
}
