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

/// A drive that has tripped coasts without power, and the others follow its measured speed down, never up.
#[test]
fn the_others_follow_a_tripped_drive_down_and_never_up() {
    let speeds = [10.0, -20.0, 40.0, 5.0].map(Rpm::new);
    let mut drives = turning(speeds.map(Rpm::get), &reported(0.0));
    let mut reports = STILL;
    reports[2].fault = true;
    for (measured, left) in [
        (30.0, 0.75),
        (35.0, 0.75),
        (10.0, 0.25),
        (0.0, 0.0),
        (40.0, 0.0),
    ] {
        let mut m = Measured {
            drive_fault: true,
            ..Measured::default()
        };
        m.speeds[2] = measured;
        let asked = drives.step(DriveGoal::Stop, &speeds, &reports, &m);
        assert!(!asked[2].enable && asked[0].enable && asked[1].enable && asked[3].enable);
        for (drive, speed) in asked.iter().zip(speeds) {
            assert!(
                (f32::from(drive.setpoint) - speed.get() * 100.0 * left).abs() <= 1.0,
                "{measured} rpm: {asked:?}"
            );
        }
    }
}
