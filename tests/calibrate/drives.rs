//! Known drives from data made elsewhere: how often the intervals hold the truth; what cannot be told is refused.

use std::fmt::Write as _;
use twinplate_calibrate::drives::{DrivesReport, calibrate};

/// Made by `scipy/drives.py`; format there.
const KNOWN: &str = include_str!("data/drives.csv");
const HEAD: &str = "drive, run, time [s], speed [rpm], torque [N·m]\n";

fn read(sheet: &str) -> DrivesReport {
    calibrate("drives.csv", sheet.as_bytes())
        .unwrap_or_else(|errors| panic!("{errors:#?}\n{sheet}"))
}

#[test]
fn ninety_five_per_cent_intervals_hold_inertia_and_drag_as_often() {
    let (mut inertia, mut drag, mut sheets) = (0, 0, 0);
    for text in KNOWN.split("\n=").skip(1) {
        let (truth, rows) = text.split_once('\n').expect("rows");
        let truth: Vec<f64> = truth
            .split(',')
            .skip(1)
            .map(|n| n.parse().expect("a number"))
            .collect();
        let mut sheet = HEAD.to_owned();
        for row in rows.lines() {
            let (_, cells) = row.split_once(',').expect("cells");
            let _ = writeln!(sheet, "{cells}");
        }
        let report = read(&sheet);
        let found = &report.drives[0];
        inertia += i32::from(found.inertia.low <= truth[0] && truth[0] <= found.inertia.high);
        drag += i32::from(found.drag.low <= truth[1] && truth[1] <= found.drag.high);
        sheets += 1;
    }
    assert_eq!(sheets, 200);
    for (what, held) in [("inertia", inertia), ("drag", drag)] {
        let share = f64::from(held) / 200.0;
        assert!((0.90..=0.99).contains(&share), "{what}: {share}");
    }
}

/// A run-up under 5 N·m and a coast-down of 2 kg·m² with 0.5 N·m, closed form, in rpm; `grows` is a drag in N·m·s that is not told to anybody.
fn exact(up: bool, down: bool, grows: f64) -> String {
    let mut sheet = HEAD.to_owned();
    let rpm = 60.0 / std::f64::consts::TAU;
    for (run, torque, start, there) in [("up", 5.0, 0.5, up), ("down", 0.0, 6.0, down)] {
        for n in 0..30 {
            let t = f64::from(n) * 0.1;
            let settled = if grows > 0.0 {
                (torque - 0.5) / grows
            } else {
                0.0
            };
            let speed = if grows > 0.0 {
                settled + (start - settled) * (-grows * t / 2.0).exp()
            } else {
                start + (torque - 0.5) / 2.0 * t
            };
            let ripple = 1e-4 * f64::from((n * 7) % 5 - 2);
            if there {
                let _ = writeln!(
                    sheet,
                    "upper, {run}, {t:.1}, {:.9}, {torque}",
                    speed * rpm + ripple
                );
            }
        }
    }
    sheet
}

#[test]
fn a_drive_without_noise_comes_back() {
    let report = read(&exact(true, true, 0.0));
    let found = &report.drives[0];
    assert!(
        (found.inertia.value - 2.0).abs() < 1e-3,
        "{:?}",
        found.inertia
    );
    assert!((found.drag.value - 0.5).abs() < 1e-3, "{:?}", found.drag);
    assert!(
        found.grows.is_none_or(|test| test.chance > 0.01),
        "{:?}",
        found.grows
    );
    // The other way round it is the same drive.
    let mirrored = exact(true, true, 0.0)
        .lines()
        .skip(1)
        .fold(HEAD.to_owned(), |text, line| {
            let cells: Vec<&str> = line.split(", ").collect();
            text + &format!(
                "{}, {}, {}, -{}, -{}\n",
                cells[0], cells[1], cells[2], cells[3], cells[4]
            )
        });
    let other = read(&mirrored);
    assert!((other.drives[0].drag.value - found.drag.value).abs() < 1e-9);
    // A drag that grows with the speed is seen.
    let growing = read(&exact(true, true, 0.2));
    assert!(
        growing.drives[0]
            .grows
            .is_some_and(|test| test.chance < 1e-6),
        "{:?}",
        growing.drives[0].grows
    );
}

/// One of the two alone tells neither; nor does a drive at rest, one that reverses, or a clock that goes back.
#[test]
fn what_cannot_be_told_is_refused_at_its_place() {
    let both = exact(true, true, 0.0);
    let errors = |sheet: &str| {
        calibrate("drives.csv", sheet.as_bytes())
            .err()
            .unwrap_or_default()
    };
    let places = |sheet: &str| -> Vec<(&'static str, usize)> {
        errors(sheet)
            .iter()
            .map(|error| (error.code, error.line))
            .collect()
    };
    assert_eq!(places(&both), []);
    assert_eq!(places(&exact(true, false, 0.0)), [("inconsistent", 2)]);
    assert_eq!(places(&exact(false, true, 0.0)), [("inconsistent", 2)]);
    let rows = |speed: &str| format!("{HEAD}lower, a, 0, {speed}, 1\nlower, a, 1, {speed}, 1\n");
    assert_eq!(places(&rows("0")), [("too-few-items", 2)]);
    let reversed = both.replacen("upper, up, 0.3, ", "upper, up, 0.3, -", 1);
    assert_eq!(places(&reversed), [("inconsistent", 5)]);
    let back = both.replacen("upper, up, 0.3,", "upper, up, 0.1,", 1);
    assert_eq!(places(&back), [("inconsistent", 5)]);
    assert_eq!(
        places(&both.replacen("upper, up, 0.3", "uper, up, 0.3", 1)),
        [("unknown-word", 5)]
    );
    assert_eq!(
        places(&both.replacen("torque [N·m]", "torque", 1)),
        [("missing-unit", 1)]
    );
    for cut in 0..both.len().min(400) {
        if let Some(short) = both.get(..cut) {
            let _ = errors(short);
        }
    }
}

/// Filtered speeds hang together: the intervals are wider for it, and say so.
#[test]
fn residuals_that_hang_together_widen_the_intervals() {
    let mut sheet = HEAD.to_owned();
    for (run, torque, start) in [("up", 5.0, 0.5), ("down", 0.0, 6.0)] {
        for n in 0..60 {
            let t = f64::from(n) * 0.05;
            let slow = 0.2 * (f64::from(n) * 0.3).sin();
            let speed = (start + (torque - 0.5) / 2.0 * t) * 60.0 / std::f64::consts::TAU + slow;
            let _ = writeln!(sheet, "upper, {run}, {t:.2}, {speed:.6}, {torque}");
        }
    }
    let found = &read(&sheet).drives[0];
    assert!(found.widened > 2.0, "{}", found.widened);
    assert!(
        found.inertia.low <= 2.0 && 2.0 <= found.inertia.high,
        "{:?}",
        found.inertia
    );
}
