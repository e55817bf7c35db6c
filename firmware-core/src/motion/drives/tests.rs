use super::*;

const STILL: [DriveInput; DRIVES] = [DriveInput {
    speed: 0,
    torque: 0,
    fault: false,
}; DRIVES];

fn reported(rpm: f32) -> Measured {
    Measured {
        speeds: [rpm; DRIVES],
        ..Measured::default()
    }
}

/// A report is no setpoint: not for one tick, not for many, and not if it is no number.
#[test]
fn a_ramp_begins_at_zero_whatever_the_drives_report() {
    let params = crate::params::tests::sample().check().unwrap();
    let targets = [10.0, 10.0, -10.0, 10.0].map(Rpm::new);
    let tick = math::to_i16(params.get().drive_ramp.get() * TICK_SECONDS * 100.0);
    for lie in [300.0, -300.0, 30.0, f32::NAN, f32::INFINITY] {
        let mut drives = DriveSet::new(&params);
        for _ in 0..3 {
            drives.step(DriveGoal::Off, &targets, &STILL, &reported(lie));
        }
        let asked = drives.step(DriveGoal::Run, &targets, &STILL, &reported(lie));
        for drive in asked {
            let first = drive.setpoint.unsigned_abs();
            assert!(drive.enable && first <= tick.unsigned_abs() + 1, "{lie}");
        }
    }
}

/// Power on, every reference at these speeds, and what the drives then report.
fn turning(references: [f32; DRIVES], reports: &Measured) -> DriveSet {
    let params = crate::params::tests::sample().check().unwrap();
    let mut drives = DriveSet::new(&params);
    // A minute at 6 rpm/s is more than any speed here.
    for _ in 0..60_000 {
        drives.step(
            DriveGoal::Run,
            &references.map(Rpm::new),
            &STILL,
            &Measured::default(),
        );
    }
    assert!(drives.arrived());
    drives.see(reports.speeds, reports.torques);
    drives
}

/// Limits of the sample machine: torque 60 N·m and a tenth more in a run-up; 1 rpm against the reference is the wrong way.
#[test]
fn torque_and_direction_count_beyond_their_limits() {
    for (torque, high, run_up) in [
        (60.0, false, false),
        (60.01, true, false),
        (66.0, true, false),
        (66.01, true, true),
    ] {
        let mut reports = reported(10.0);
        reports.torques[2] = torque;
        let drives = turning([10.0; DRIVES], &reports);
        let check = drives.check();
        assert_eq!(
            (check.torque, check.run_up_torque),
            (high, run_up),
            "{torque}"
        );
    }
    for (reference, speed, wrong) in [
        (10.0, -1.0, false),
        (10.0, -1.01, true),
        (-10.0, 1.01, true),
        (0.0, 5.0, false),
        (0.0, -5.0, false),
        (10.0, 5.0, false),
    ] {
        let mut reports = reported(10.0);
        reports.speeds[1] = speed;
        let drives = turning([10.0, reference, 10.0, 10.0], &reports);
        assert_eq!(drives.check().wrong_way, wrong, "{speed} at {reference}");
        assert!((drives.check().furthest - (speed - reference).abs()).abs() < 1e-3);
    }
    assert!(
        turning([0.0, 0.0, 0.0, 0.1], &reported(0.0))
            .check()
            .turning
    );
    assert!(!turning([0.0; DRIVES], &reported(0.0)).check().turning);
}

/// Off is off in the same tick; a stop goes down by the ramp, all drives in one ratio; no setpoint is above its drive's largest.
#[test]
fn off_is_at_once_and_a_stop_ramps_down_in_ratio() {
    let speeds = [10.0, -20.0, 40.0, 5.0].map(Rpm::new);
    let mut drives = turning(speeds.map(Rpm::get), &reported(0.0));
    let mut stopping = drives.clone();
    let off = drives.step(DriveGoal::Off, &speeds, &STILL, &Measured::default());
    assert_eq!(off, [DriveOutput::default(); DRIVES]);
    let mut last = 4_000;
    // 40 rpm at 6 rpm/s.
    for tick in 0..6_700 {
        let asked = stopping.step(DriveGoal::Stop, &speeds, &STILL, &Measured::default());
        assert!(
            asked.iter().all(|drive| drive.enable),
            "under power to the end"
        );
        let fastest = asked[2].setpoint;
        assert!(fastest <= last, "tick {tick}");
        last = fastest;
        for (drive, share) in asked.iter().zip([0.25, -0.5, 1.0, 0.125]) {
            assert!(
                (f32::from(drive.setpoint) - f32::from(fastest) * share).abs() <= 1.0,
                "tick {tick}: {asked:?}"
            );
        }
    }
    assert_eq!(last, 0);
    let fast = turning([300.0; DRIVES], &reported(0.0)).step(
        DriveGoal::Run,
        &[Rpm::new(300.0); DRIVES],
        &STILL,
        &Measured::default(),
    );
    assert!(fast.iter().all(|drive| drive.setpoint <= 6_000));
}

mod faults;

/// A tick with every drive sound and nothing reported.
fn sound(drives: &mut DriveSet, goal: DriveGoal, speeds: [f32; DRIVES]) -> [DriveOutput; DRIVES] {
    drives.step(goal, &speeds.map(Rpm::new), &STILL, &Measured::default())
}

/// Setpoints are as fine as a hundredth of an rpm; the machine's acceleration is 6 rpm/s.
#[test]
fn a_change_of_speeds_ramps_from_where_they_are_at_the_machines_acceleration() {
    let mut drives = turning([0.0; DRIVES], &reported(0.0));
    let mut last = [0.0; DRIVES];
    for (targets, seconds) in [
        ([10.0, -5.0, 30.0, 0.0], 5.0),
        ([10.0, 25.0, 40.0, 0.0], 5.0),
        // The exact opposite, and not another ramp under way.
        ([-10.0, -25.0, -40.0, 0.0], 80.0 / 6.0),
        ([0.0, 0.0, 0.0, 0.0], 3.0),
        ([30.0, 0.0, 0.0, 0.0], 35.5 / 6.0),
    ] {
        let mut ticks = 0;
        while ticks == 0 || !drives.arrived() {
            let asked = sound(&mut drives, DriveGoal::Run, targets);
            for (drive, last) in asked.iter().zip(&mut last) {
                let now = f32::from(drive.setpoint) / 100.0;
                assert!((now - *last).abs() < 0.006 + 0.011, "{last} to {now} rpm");
                *last = now;
            }
            ticks += 1;
            // The third is left after 3 s, halfway.
            if targets == [0.0; DRIVES] && ticks == 3_000 {
                break;
            }
        }
        if targets == [0.0; DRIVES] {
            let left = 40.0 - 18.0;
            assert!((last[2] + left).abs() < 0.02, "{last:?}");
        } else {
            assert!(
                (ticks as f32 - seconds * 1_000.0).abs() <= 30.0,
                "{ticks} for {targets:?}"
            );
        }
    }
}

/// To the last bit, for what is in band is judged by it.
#[test]
fn a_ramp_arrives_at_its_targets_exactly() {
    let mut drives = turning([-33.3; DRIVES], &reported(0.0));
    let targets = [0.1, 0.3, -0.7, 1.0 / 3.0];
    while !drives.arrived() || drives.check().furthest > 30.0 {
        sound(&mut drives, DriveGoal::Run, targets);
    }
    drives.see(targets, [0.0; DRIVES]);
    assert!(drives.check().furthest <= 0.0, "{:?}", drives.check());
}

/// The references move in every tick of a ramp, whether the drives report anything or not.
#[test]
fn drives_are_judged_by_the_references_of_this_tick() {
    let mut drives = turning([0.0; DRIVES], &reported(0.0));
    for tick in 1..=500 {
        sound(&mut drives, DriveGoal::Run, [10.0; DRIVES]);
        let check = drives.check();
        let reference = 0.006 * tick as f32;
        assert!(
            (check.furthest - reference).abs() < 1e-3,
            "{check:?} in tick {tick}"
        );
        assert!(check.turning);
        assert_eq!(drives.in_band(2.0), check.furthest <= 1.0);
    }
}

/// Off in the middle of a ramp: without power, nowhere to go; and power that comes back begins at zero.
#[test]
fn off_forgets_the_ramp_and_the_next_one_begins_at_zero() {
    let mut drives = turning([0.0; DRIVES], &reported(0.0));
    assert!(drives.powered());
    for _ in 0..1_000 {
        sound(&mut drives, DriveGoal::Run, [10.0; DRIVES]);
    }
    assert!(!drives.arrived());
    for _ in 0..2 {
        let asked = sound(&mut drives, DriveGoal::Off, [10.0; DRIVES]);
        assert_eq!(asked, [DriveOutput::default(); DRIVES]);
        assert!(drives.arrived() && !drives.powered() && !drives.in_band(2.0));
        assert!(!drives.check().turning);
    }
    for tick in 1..=1_000 {
        let asked = sound(&mut drives, DriveGoal::Run, [10.0; DRIVES]);
        let due = 0.6 * tick as f32;
        assert!(
            asked
                .iter()
                .all(|d| d.enable && (f32::from(d.setpoint) - due).abs() < 1.0)
        );
    }
}

/// Whatever a recipe asks of it.
#[test]
fn a_fixed_ring_is_never_asked_to_turn() {
    let mut wire = crate::params::tests::sample();
    wire.fixed[2] = true;
    let mut drives = DriveSet::new(&wire.check().unwrap());
    for _ in 0..2_000 {
        let asked = sound(&mut drives, DriveGoal::Run, [10.0; DRIVES]);
        assert_eq!(asked[2].setpoint, 0);
    }
}
