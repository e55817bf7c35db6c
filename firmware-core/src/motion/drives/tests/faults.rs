//! A drive that trips.

use super::*;

const SPEEDS: [f32; DRIVES] = [10.0, -20.0, 40.0, 5.0];

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

/// A tick in which these drives are tripped and report these speeds.
fn tripped(
    drives: &mut DriveSet,
    goal: DriveGoal,
    which: [bool; DRIVES],
    speeds: [f32; DRIVES],
) -> [DriveOutput; DRIVES] {
    let mut reports = STILL;
    for (report, fault) in reports.iter_mut().zip(which) {
        report.fault = fault;
    }
    let m = Measured {
        drive_fault: which.contains(&true),
        speeds,
        ..Measured::default()
    };
    drives.step(goal, &SPEEDS.map(Rpm::new), &reports, &m)
}

/// Guards: a tripped drive that the parts drag along, or whose report stands still, held the others at full speed until the monitored
/// stop time took their power. They go down by a straight line to rest after three quarters of it, and faster where the drive coasts faster.
#[test]
fn a_tripped_drive_that_does_not_slow_down_holds_nothing_up() {
    let stop = crate::params::tests::sample().stop_time.0 / 4 * 3;
    for measured in [40.0, 90.0] {
        let mut drives = turning(SPEEDS, &reported(0.0));
        for tick in 1..=stop {
            let asked = tripped(
                &mut drives,
                DriveGoal::Stop,
                THIRD,
                [0.0, 0.0, measured, 0.0],
            );
            let due = 1.0 - math::from_u32(tick) / math::from_u32(stop);
            left(asked, SPEEDS, due);
        }
        let last = tripped(
            &mut drives,
            DriveGoal::Stop,
            THIRD,
            [0.0, 0.0, measured, 0.0],
        );
        assert!(last.iter().all(|drive| drive.setpoint == 0), "{measured}");
    }
    // From half of the way on, it coasts: led by whichever is further down.
    let mut drives = turning(SPEEDS, &reported(0.0));
    for _ in 0..stop / 4 {
        tripped(&mut drives, DriveGoal::Stop, THIRD, [0.0, 0.0, 40.0, 0.0]);
    }
    let asked = tripped(&mut drives, DriveGoal::Stop, THIRD, [0.0, 0.0, 10.0, 0.0]);
    left(asked, SPEEDS, 0.25);
}

/// A trip after another one, with the power off in between, has its whole time again.
#[test]
fn a_second_trip_begins_its_way_down_anew() {
    let stop = crate::params::tests::sample().stop_time.0 / 4 * 3;
    let dragged = [0.0, 0.0, 40.0, 0.0];
    let mut drives = turning(SPEEDS, &reported(0.0));
    for _ in 0..stop / 2 {
        tripped(&mut drives, DriveGoal::Stop, THIRD, dragged);
    }
    tripped(&mut drives, DriveGoal::Off, [false; DRIVES], [0.0; DRIVES]);
    for _ in 0..60_000 {
        tripped(&mut drives, DriveGoal::Run, [false; DRIVES], SPEEDS);
    }
    let asked = tripped(&mut drives, DriveGoal::Stop, THIRD, dragged);
    left(asked, SPEEDS, 1.0 - 1.0 / math::from_u32(stop));
}

/// Every reference is this share of its speed, to the last place of a setpoint.
fn left(asked: [DriveOutput; DRIVES], speeds: [f32; DRIVES], share: f32) {
    for (drive, speed) in asked.iter().zip(speeds) {
        let due = speed * 100.0 * share;
        assert!(
            (f32::from(drive.setpoint) - due).abs() <= 1.0,
            "{share}: {asked:?}"
        );
    }
}

const THIRD: [bool; DRIVES] = [false, false, true, false];

/// The fastest, for it is felt most; the first of equals.
#[test]
fn of_several_tripped_drives_the_fastest_is_followed() {
    let speeds = [10.0, -20.0, 20.0, 5.0];
    let mut drives = turning(speeds, &reported(0.0));
    let which = [true, true, true, false];
    let asked = tripped(&mut drives, DriveGoal::Stop, which, [0.0, -10.0, 0.0, 5.0]);
    left(asked, speeds, 0.5);
    assert_eq!(asked.map(|drive| drive.enable), [false, false, false, true]);
}

/// In the middle of a run-down: from the references that are there, without a jump.
#[test]
fn a_drive_that_trips_in_a_ramp_is_followed_from_there() {
    let mut drives = turning(SPEEDS, &reported(0.0));
    // 40 rpm less 3 s at 6 rpm/s is 22.
    for _ in 0..3_000 {
        sound(&mut drives, DriveGoal::Stop, SPEEDS);
    }
    for (measured, share) in [(22.0, 0.55), (11.0, 0.275), (2.2, 0.055)] {
        let speeds = [0.0, 0.0, measured, 0.0];
        left(
            tripped(&mut drives, DriveGoal::Stop, THIRD, speeds),
            SPEEDS,
            share,
        );
    }
}

/// Whatever is asked of the drives meanwhile, and although the drive is sound again: down they go, and nothing turns again before the
/// power was off.
#[test]
fn nothing_turns_again_after_a_fault_before_power_was_off() {
    let mut drives = turning(SPEEDS, &reported(0.0));
    for (goal, measured, share) in [
        (DriveGoal::Run, 40.0, 1.0),
        (DriveGoal::Run, 20.0, 0.5),
        (DriveGoal::Run, 20.0, 0.5),
        (DriveGoal::Reduced, 30.0, 0.5),
        (DriveGoal::Stop, 10.0, 0.25),
        (DriveGoal::Run, 40.0, 0.25),
        (DriveGoal::Run, 0.0, 0.0),
    ] {
        let speeds = [0.0, 0.0, measured, 0.0];
        left(tripped(&mut drives, goal, THIRD, speeds), SPEEDS, share);
    }
    for goal in [DriveGoal::Run, DriveGoal::Stop, DriveGoal::Run] {
        for _ in 0..100 {
            let asked = sound(&mut drives, goal, SPEEDS);
            assert!(
                asked
                    .iter()
                    .all(|drive| drive.enable && drive.setpoint == 0)
            );
        }
    }
    sound(&mut drives, DriveGoal::Off, SPEEDS);
    for _ in 0..7_000 {
        sound(&mut drives, DriveGoal::Run, SPEEDS);
    }
    left(sound(&mut drives, DriveGoal::Run, SPEEDS), SPEEDS, 1.0);
}

/// There is no speed of it to follow: an ordinary ramp, and without power only what has tripped.
#[test]
fn a_drive_that_trips_at_rest_leaves_the_others_their_ramp() {
    let speeds = [10.0, -20.0, 40.0, 0.0];
    let mut drives = turning(speeds, &reported(0.0));
    let last = [false, false, false, true];
    for tick in 1..=6_700 {
        let asked = tripped(&mut drives, DriveGoal::Stop, last, speeds);
        assert_eq!(asked.map(|drive| drive.enable), last.map(|fault| !fault));
        left(
            asked,
            speeds,
            math::max(1.0 - 0.006 * tick as f32 / 40.0, 0.0),
        );
    }
}

/// Standing under power, or at speed, or down behind a tripped drive: a drive has power while it is sound, from tick to tick.
#[test]
fn a_drive_has_power_in_each_tick_in_which_it_is_sound() {
    for goal in [DriveGoal::Stop, DriveGoal::Run] {
        let mut drives = turning(SPEEDS, &reported(0.0));
        for _ in 0..7_000 {
            sound(&mut drives, goal, SPEEDS);
        }
        assert!(drives.arrived());
        for _ in 0..3 {
            let asked = tripped(&mut drives, goal, THIRD, [0.0; DRIVES]);
            assert_eq!(asked.map(|drive| drive.enable), THIRD.map(|fault| !fault));
        }
        let asked = sound(&mut drives, goal, SPEEDS);
        assert!(
            asked
                .iter()
                .all(|drive| drive.enable && drive.setpoint == 0)
        );
    }
}
