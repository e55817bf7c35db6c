//! The core's PI alone, on exactly discretised plants with dead time, against the step columns of `pi_loops.csv`.
//!
//! Source of the table: processes from Skogestad, Journal of Process Control 13 (2003) 291–309 and textbook forms; figures
//! computed with scipy by exact first-order-hold stepping of the continuous loop at 1/400 of the dead time.
//!
//! No ramp, feedforward, governor, model or filter: [`Pi`] and nothing else. Time is scaled so that the dead time is a whole
//! number of ticks. **Discretisation.** The table is of a continuous controller; the core samples, holds its output over a tick
//! (half a tick of delay on average) and integrates by left rectangles (half a tick late). Both are of first order in tick
//! over dead time, so every measure is that of the table plus `c/N` with N ticks of dead time:
//!
//! * at N = 200 and 400 the measure must be within a few N-ths of the table, and
//! * the straight line through both, continued to a tick of zero length, must meet the table within what is left:
//!   second order, and the tail that the `f32` integrator does not finish: it stands still once its increment is under half a
//!   unit of its last place (in the machine's loop that is a few millinewtons of load).

use firmware_core::motion::Pi;
use firmware_core::units::{PerNewton, Ratio, Seconds, TICK_SECONDS};

const TABLE: &str = include_str!("data/pi_loops.csv");

/// Poles of the processes that have a dead time and simple poles: name in the table and lags in its unit of time; no lag is an
/// integrator of unit gain.
const PROCESSES: [(&str, &[f64]); 10] = [
    ("A1 ", &[1.0]),
    ("A2 ", &[8.0]),
    ("A3 ", &[20.0]),
    ("A4 ", &[]),
    ("A5 ", &[1.0]),
    ("A6 ", &[1.0]),
    ("A8 ", &[1.0]),
    ("A9 ", &[10.0]),
    ("A11 ", &[0.15, 0.03]),
    ("E10 ", &[20.0, 2.0]),
];

/// Ticks of dead time in the coarser and the finer run.
const COARSE: usize = 200;
/// See [`COARSE`].
const FINE: usize = 400;
/// What the straight line through both leaves: the second-order term, taken as a hundred times the product of the two steps
/// (over a dead time), in points of overshoot and in dead times.
const SECOND_ORDER: f64 = 100.0 / (COARSE * FINE) as f64;

/// One row of the table, in its own unit of time.
#[derive(Clone, Copy)]
struct Row {
    theta: f64,
    kc: f64,
    ti: f64,
    measures: Measures,
    end: f64,
}

/// Step measures; times in the table's unit, overshoot in percent.
#[derive(Clone, Copy, Debug, Default)]
struct Measures {
    overshoot: f64,
    settling: f64,
    iae: f64,
    iae_disturbance: f64,
    /// Integral of the error after a step of the plant's input, signed.
    ie_disturbance: f64,
}

impl Measures {
    /// The straight line through two step lengths, one half the other, at a step of zero.
    fn continued(coarse: Self, fine: Self) -> Self {
        Self {
            overshoot: 2.0 * fine.overshoot - coarse.overshoot,
            settling: 2.0 * fine.settling - coarse.settling,
            iae: 2.0 * fine.iae - coarse.iae,
            iae_disturbance: 2.0 * fine.iae_disturbance - coarse.iae_disturbance,
            ie_disturbance: 2.0 * fine.ie_disturbance - coarse.ie_disturbance,
        }
    }
}

fn row(name: &str) -> Row {
    let line = TABLE
        .lines()
        .find(|line| line.trim_start_matches('"').starts_with(name))
        .unwrap_or_else(|| panic!("{name} is not in the table"));
    // The name may hold commas and is then quoted.
    let rest = match line.strip_prefix('"') {
        Some(quoted) => quoted.split_once("\",").map(|p| p.1),
        None => line.split_once(',').map(|p| p.1),
    };
    let cells: Vec<f64> = rest
        .unwrap_or("")
        .split(',')
        .map(|c| c.parse().unwrap_or(f64::NAN))
        .collect();
    Row {
        theta: cells[0],
        kc: cells[1],
        ti: cells[2],
        measures: Measures {
            overshoot: cells[11],
            settling: cells[12],
            iae: cells[13],
            iae_disturbance: cells[18],
            ie_disturbance: cells[19],
        },
        end: cells[23],
    }
}

/// Dead time and parallel first-order modes, exact for an input held over a tick; all of unit gain in sum.
struct Process {
    line: Vec<f64>,
    head: usize,
    /// `(keep, gain, state)` of each mode.
    modes: Vec<[f64; 3]>,
}

impl Process {
    /// `tick` is a controller period in the unit of the lags.
    fn new(dead: usize, lags: &[f64], tick: f64) -> Self {
        let mode = |lag: f64| {
            // Partial fractions of 1/prod(T_i s + 1).
            let gain: f64 = lags
                .iter()
                .filter(|&&other| other != lag)
                .map(|other| lag / (lag - other))
                .product();
            let keep = (-tick / lag).exp();
            [keep, gain * (1.0 - keep), 0.0]
        };
        let modes = if lags.is_empty() {
            vec![[1.0, tick, 0.0]]
        } else {
            lags.iter().map(|&lag| mode(lag)).collect()
        };
        Self {
            line: vec![0.0; dead],
            head: 0,
            modes,
        }
    }

    fn output(&self) -> f64 {
        self.modes.iter().map(|m| m[2]).sum()
    }

    fn step(&mut self, u: f64) {
        let delayed = std::mem::replace(&mut self.line[self.head], u);
        self.head = (self.head + 1) % self.line.len();
        for [keep, gain, state] in &mut self.modes {
            *state = *keep * *state + *gain * delayed;
        }
    }
}

/// Error of the loop at every tick, for a step of the reference or of the plant's input.
fn errors(row: &Row, lags: &[f64], dead: usize, reference: f32, disturbance: f64) -> Vec<f64> {
    let tick = row.theta / dead as f64;
    let seconds = f64::from(TICK_SECONDS) / tick;
    let mut pi = Pi::new(
        PerNewton::new(row.kc as f32),
        Seconds::new((row.ti * seconds) as f32),
        Ratio::new(1.0),
    );
    let mut process = Process::new(dead, lags, tick);
    (0..(row.end / tick) as usize)
        .map(|_| {
            let y = process.output();
            let measured = y as f32;
            let command = pi.output(reference, measured, 0.0);
            pi.integrate(reference, measured, command, command);
            process.step(f64::from(command) + disturbance);
            f64::from(reference) - y
        })
        .collect()
}

fn trapezoid(values: impl Iterator<Item = f64> + Clone, tick: f64) -> f64 {
    let ends = values.clone().next().unwrap_or(0.0) + values.clone().last().unwrap_or(0.0);
    tick * (values.sum::<f64>() - 0.5 * ends)
}

fn measure(row: &Row, lags: &[f64], dead: usize) -> Measures {
    let tick = row.theta / dead as f64;
    // What comes after the integrator has come to its standstill is no part of the loop's answer.
    let settled = |mut errors: Vec<f64>| {
        let stuck = 2.0 * stuck_error(row, dead);
        let last = errors.iter().rposition(|e| e.abs() > stuck).unwrap_or(0);
        errors.truncate(last + 1);
        errors
    };
    let set = settled(errors(row, lags, dead, 1.0, 0.0));
    let load = settled(errors(row, lags, dead, 0.0, 1.0));
    let lowest = set.iter().fold(0.0_f64, |low, e| low.min(*e));
    let settling = set
        .iter()
        .rposition(|e| e.abs() > 0.02)
        .map_or(0.0, |last| {
            let (a, b) = (set[last].abs(), set.get(last + 1).map_or(0.0, |e| e.abs()));
            (last as f64 + (a - 0.02) / (a - b)) * tick
        });
    Measures {
        overshoot: -100.0 * lowest,
        settling,
        iae: trapezoid(set.iter().map(|e| e.abs()), tick),
        iae_disturbance: trapezoid(load.iter().map(|e| e.abs()), tick),
        ie_disturbance: -trapezoid(load.iter().copied(), tick),
    }
}

/// Error at which the integrator stands still: its increment is half a unit in the last place of a command just below one,
/// which is what every loop of the table ends at.
fn stuck_error(row: &Row, dead: usize) -> f64 {
    let per_tick = row.kc * row.theta / dead as f64 / row.ti;
    0.25 * f64::from(f32::EPSILON) / per_tick
}

#[test]
fn step_measures_of_the_published_loops() {
    for (name, lags) in PROCESSES {
        let row = row(name);
        let (coarse, fine) = (measure(&row, lags, COARSE), measure(&row, lags, FINE));
        let limit = Measures::continued(coarse, fine);
        let near = |what: &str, got: f64, want: f64, allowed: f64| {
            assert!(
                (got - want).abs() <= allowed,
                "{name}{what}: {got} against {want} ± {allowed}"
            );
        };
        let (want, n) = (row.measures, FINE as f64);
        near(
            "overshoot, sampled",
            fine.overshoot,
            want.overshoot,
            30.0 / n,
        );
        near(
            "settling, sampled",
            fine.settling,
            want.settling,
            10.0 * row.theta / n,
        );
        near("overshoot", limit.overshoot, want.overshoot, SECOND_ORDER);
        near(
            "settling",
            limit.settling,
            want.settling,
            SECOND_ORDER * row.theta,
        );
        // The integrals besides lose their tail below twice the standstill: at most that times the loop's slowest time
        // constant, about ti (1 + 1/kc); threefold when continued, and as much again for the roundings before the standstill.
        let tail = 6.0 * stuck_error(&row, FINE) * row.ti * (1.0 + 1.0 / row.kc);
        let integral = tail + SECOND_ORDER * row.theta;
        near("IAE", limit.iae, want.iae, integral);
        near(
            "IAE of a disturbance",
            limit.iae_disturbance,
            want.iae_disturbance,
            integral,
        );
        // In closed form -ti/kc, for any sampling: what the integrator takes up is what it has integrated.
        near(
            "IE of a disturbance, sampled",
            fine.ie_disturbance,
            row.ti / row.kc,
            tail,
        );
    }
}
