//! The plant's linearised answer to the cap command: regulator dead time, lag, and the cell's bandwidth.

use crate::rig::Rig;
use crate::table::numbers;
use twinplate_sim::model::{Deviations, G};

/// Source: `line_response.csv`, scipy.signal.step (matrix exponential, exact) of `exp(-L s)/(T s + 1)` and of the same with
/// `w^2/(s^2 + 1.4 w s + w^2)`, w = 2 pi 100 Hz behind it.
///
/// * The regulator holds its input over a tick, as the command really is held: exact, to the rounding of 16-bit arithmetic.
/// * The contact load follows the cap side through the plate on its parts (some 350 Hz, implicit): within a tick of it.
/// * The cell filters the force of the tick's end as though it had been there the whole tick, which it has not: its answer
///   is early by at most a tick. So it lies between the exact one and the exact one of a tick later.
#[test]
fn a_step_of_the_command_answers_as_the_exact_solution() {
    let table: Vec<Vec<f64>> = numbers(include_str!("data/line_response.csv")).collect();
    for (dead, lag, dev) in [
        (0.020, 0.12, Deviations::NOMINAL),
        (
            0.014,
            0.156,
            Deviations {
                dead_time: 0.7,
                lag: 1.3,
                ..Deviations::NOMINAL
            },
        ),
    ] {
        let mut rig = Rig::plain(&dev, |m, _, _| m.actuator.slew = 1e6).seated();
        rig.press(0.2).run(6000);
        let relief = rig.machine.actuator.relief_pressure;
        let newton = rig.machine.cell.counts_at_range / rig.machine.cell.range;
        let (low, start) = (f64::from(rig.out.cap_command), rig.plant.truth());
        let start_counts = f64::from(rig.plant.inputs().cell_counts);
        rig.press(0.5);
        let step = (f64::from(rig.out.cap_command) - low) / 65_535.0;
        let newtons = step * rig.machine.actuator.line_gain();
        let mut history = vec![[0.0; 3]];
        for _ in 0..1000 {
            rig.tick();
            let truth = rig.plant.truth();
            history.push([
                (truth.cap_pressure - start.cap_pressure) / (step * relief),
                (truth.load_without_runout - start.load_without_runout) / newtons,
                (f64::from(rig.plant.inputs().cell_counts) - start_counts) / newton / newtons,
            ]);
        }
        let rows = table.iter().filter(|row| row[0] == dead && row[1] == lag);
        let (mut compared, mut early, mut apart) = (0, 0.0_f64, 0.0_f64);
        for row in rows {
            let [pressure, load, cell] = history[row[2] as usize];
            assert!(
                (pressure - row[3]).abs() < 1e-9,
                "tick {}: regulator {pressure} against {}",
                row[2],
                row[3]
            );
            // Fastest rise of a first-order answer: 1/T.
            let tick = 1e-3 / lag;
            apart = apart.max((load - row[3]).abs());
            early = early.max(cell - row[4]);
            assert!(
                cell - row[4] > -0.05 * tick && cell - row[4] < tick,
                "tick {}: cell {cell} against {}",
                row[2],
                row[4]
            );
            assert!(
                (load - row[3]).abs() < tick,
                "tick {}: load {load} against {}",
                row[2],
                row[3]
            );
            compared += 1;
        }
        assert_eq!(compared, 251);
        assert!(early > 0.0 && apart > 0.0, "nothing moved");
    }
}

/// Source: statics, `N = W - A_rod p_cb + A_cap p` with standard gravity (ISO 80000-3) and circle areas; nothing of the plant's.
#[test]
fn resting_load_and_line_gain_are_statics() {
    let mut rig = Rig::plain(&Deviations::NOMINAL, |_, _, _| {}).seated();
    let a = rig.machine.actuator.clone();
    let quarter_pi = std::f64::consts::FRAC_PI_4;
    let rest = a.mass * G - quarter_pi * (a.bore.powi(2) - a.rod.powi(2)) * a.counterbalance;
    let load = rig.plant.truth().load_without_runout;
    // Seals of a millinewton, and air that creeps to its pressure.
    assert!((load - rest).abs() < 0.02, "{load} against {rest}");
    rig.press(0.5).run(5000);
    let share = f64::from(rig.out.cap_command) / 65_535.0;
    let pressed = rest + quarter_pi * a.bore.powi(2) * a.relief_pressure * share;
    let load = rig.plant.truth().load_without_runout;
    assert!((load - pressed).abs() < 0.02, "{load} against {pressed}");
}
