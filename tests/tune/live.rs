//! Live against python-control on a hundred random loops. The environment is made on first use (`tests/environment`); where it cannot be
//! had the test fails and says what is missing.

use crate::pages::check;
use std::f64::consts::FRAC_1_SQRT_2;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::OnceLock;
use twinplate_linear::model::{Order, ProcessModel};
use twinplate_linear::{Line, LowPass, Sampling, margins, measures};
use twinplate_sim::model::Gains;

/// Folder of the scripts.
fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tune/live")
}

/// Output of a script of `tests/tune/live`, run by the prepared Python.
fn python(script: &str) -> String {
    static PREPARED: OnceLock<PathBuf> = OnceLock::new();
    let home = PREPARED.get_or_init(|| {
        let home = Path::new(env!("CARGO_TARGET_TMPDIR")).join("python-control");
        run(Command::new("bash")
            .arg(folder().join("../../environment"))
            .arg(&home)
            .arg(folder().join("requirements.txt")));
        home
    });
    run(Command::new(home.join("bin/python"))
        .arg("-W")
        .arg("ignore")
        .arg(folder().join(script)))
}

fn run(command: &mut Command) -> String {
    let output = command
        .output()
        .unwrap_or_else(|error| panic!("{command:?} could not be started: {error}"));
    assert!(
        output.status.success(),
        "{command:?} failed:\n{}",
        String::from_utf8_lossy(&output.stderr)
    );
    String::from_utf8_lossy(&output.stdout).into_owned()
}

fn build(cells: &[&str], number: &[f64]) -> (Line, Gains) {
    let order = match cells[0] {
        "integrating" => Order::Integrating,
        "first" => Order::First,
        _ => Order::Second,
    };
    let process = ProcessModel {
        order,
        gain: number[1],
        tau1: if order == Order::Integrating {
            0.0
        } else {
            number[2]
        },
        tau2: if order == Order::Second {
            number[3]
        } else {
            0.0
        },
        dead_time: number[4],
    };
    let filter = |corner: f64, damping| {
        (corner > 0.0)
            .then_some(LowPass { corner, damping })
            .into_iter()
            .collect()
    };
    let mut line = Line::plain(process);
    line.analogue = filter(number[6], 0.7);
    line.digital = filter(number[7], FRAC_1_SQRT_2);
    line.sampling = (number[5] > 0.0).then_some(Sampling {
        period: number[5],
        computing: 1,
    });
    let gains = Gains {
        kc: number[8],
        ti: number[9],
        weight: 1.0,
    };
    (line, gains)
}

/// Source: python-control, run here and now. Frequency domain to 1e-4. Time domain to 0.5 % of IAE and 0.005 of overshoot, which
/// leaves room for its Padé quotient of the dead time.
#[test]
fn a_hundred_random_loops_as_python_control_has_them() {
    let table = python("loops.py");
    let (mut loops, mut stable, mut timed) = (0, 0, 0);
    for text in table.lines().skip(1) {
        let cells: Vec<&str> = text.split(',').collect();
        let number: Vec<f64> = cells
            .iter()
            .map(|c| c.parse().unwrap_or(f64::NAN))
            .collect();
        let (line, gains) = build(&cells, &number);
        let found = margins(&line, &gains).expect("a good loop");
        loops += 1;
        assert_eq!(found.stable, number[10] > 0.5, "{text}\n{found:?}");
        if !found.stable {
            continue;
        }
        stable += 1;
        for (what, got, want) in [
            ("gain margin", found.gain, number[11]),
            ("phase margin", found.phase.to_degrees(), number[12]),
            ("Ms", found.sensitivity, number[13]),
            ("gain crossing", found.gain_crossing, number[14]),
        ] {
            assert!(
                (got - want).abs() <= 1e-4 * want.abs(),
                "{what} {got} against {want}: {text}"
            );
        }
        if number[16].is_nan() {
            continue;
        }
        timed += 1;
        let [set, load] = measures::measures(&line, &gains).expect("a stable loop");
        assert!(
            (set.overshoot - number[15]).abs() <= 5e-3,
            "overshoot {} against {}: {text}",
            set.overshoot,
            number[15]
        );
        assert!(
            (load.iae / number[16] - 1.0).abs() <= 5e-3,
            "IAE {} against {}: {text}",
            load.iae,
            number[16]
        );
    }
    assert_eq!(loops, 100);
    assert!((80..100).contains(&stable), "{stable} of 100 are stable");
    assert!(timed >= 40, "{timed} were followed in time");
    check(
        "docs/tuning.md",
        "live",
        &format!(
            "Of {loops} random loops {stable} are stable, by both; margins agree on all of these, and the {timed} that\n\
             python-control can follow in time (no sampling) agree in overshoot and IAE.\n"
        ),
    );
}
