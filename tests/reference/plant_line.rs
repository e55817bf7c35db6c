//! The plant's line from command to counts against scipy, and its friction against the published LuGre set.
//!
//! The CSV files are written by `tests/reference/scripts/plant_line.py` with scipy and numpy.

use firmware_core::process_image::{Outputs, RodValve};
use sim_host::math::sqrt;
use sim_host::model::Deviations;
use sim_host::plant::Plant;
use sim_host::plant::cell::{LowPass, to_counts};
use sim_host::plant::friction::LuGre;
use sim_host::sample;

fn rows(text: &str) -> impl Iterator<Item = Vec<f64>> + '_ {
    text.lines().skip(1).map(|line| {
        line.split(',')
            .map(|cell| cell.trim().parse().expect("a number"))
            .collect()
    })
}

/// Source: scipy.signal.cont2discrete(method='zoh') and dlsim. Both are exact for a held input: only rounding differs.
#[test]
fn the_cells_filter_is_scipys_exact_discretisation() {
    let mut filter = LowPass::new(100.0, 0.7, 1e-3);
    let mut n = 0;
    for row in rows(include_str!("data/low_pass_100hz.csv")) {
        let out = filter.step(row[0]);
        assert!(
            (out - row[1]).abs() < 1e-9,
            "row {n}: {out} against {}",
            row[1]
        );
        n += 1;
    }
    assert_eq!(n, 243);
}

/// Source: numpy.rint and numpy.clip.
#[test]
fn counts_are_numpys_rint_clipped_to_24_bits() {
    for row in rows(include_str!("data/rounding_24bit.csv")) {
        assert_eq!(f64::from(to_counts(row[0])), row[1], "{}", row[0]);
    }
}

/// Source: scipy.signal.step of lag and filter, shifted by the dead time. The plant with every nonlinearity taken out of its
/// file differs by the discretisation alone: the cell takes the force at the end of a tick as held over it, which leads by half
/// a tick, so the tolerance is one tick at the steepest slope of the answer (1/lag). The pressure itself is exact at the ticks.
#[test]
fn the_linear_line_answers_a_step_as_scipy_says() {
    let mut machine = sample::machine_a();
    let a = &mut machine.actuator;
    (a.play, a.resolution, a.slew) = (0.0, 0.0, 1e9);
    (a.seal_friction, a.seal_breakaway) = (1e-3, 1e-3);
    a.dog_friction = 0.0;
    machine.geometry.runout_ripple = 0.0;
    let c = &mut machine.cell;
    (c.noise, c.lash, c.nonlinearity, c.creep) = (0.0, 0.0, 0.0, [0.0; 2]);
    let mut batch = sample::batch_a1();
    batch.spread = 0.0;
    let consumables = sample::consumables_a1();
    let mut plant = Plant::new(&machine, &batch, &consumables, &Deviations::NOMINAL, 1);
    let mut out = Outputs {
        pin_withdraw: true,
        ..Outputs::default()
    };
    let run = |plant: &mut Plant, out: &Outputs, ticks: u32| {
        for _ in 0..ticks {
            plant.step(out);
        }
    };
    run(&mut plant, &out, 500);
    out.rod = RodValve::LowerFast;
    while plant.truth().height > batch.thickness + machine.actuator.approach {
        plant.step(&out);
    }
    out.rod = RodValve::LowerCreep;
    while plant.truth().load <= 0.0 {
        plant.step(&out);
    }
    out.rod = RodValve::Float;
    out.dump_shut = true;
    out.cap_command = 6554;
    run(&mut plant, &out, 8000);
    let newtons = |p: &Plant| {
        f64::from(p.inputs().cell_counts) * machine.cell.range / machine.cell.counts_at_range
    };
    let (cell_before, pressure_before) = (newtons(&plant), plant.truth().cap_pressure);
    let load_before = plant.truth().load_without_runout;
    let step = 0.3;
    out.cap_command += (step * 65_535.0 + 0.5) as u16;
    let share = f64::from(out.cap_command - 6554) / 65_535.0;
    let gain = machine.actuator.line_gain() * share;
    let tolerance = gain * 1e-3 / machine.actuator.lag;
    for row in rows(include_str!("data/regulator_line_step.csv")) {
        plant.step(&out);
        let pressure = (plant.truth().cap_pressure - pressure_before)
            / (machine.actuator.relief_pressure * share);
        assert!(
            (pressure - row[1]).abs() < 1e-9,
            "tick {}: {pressure}",
            row[0]
        );
        let cell = newtons(&plant) - cell_before;
        assert!(
            (cell - gain * row[2]).abs() < tolerance,
            "tick {}: {cell}",
            row[0]
        );
    }
    // What the cell shows is what the parts carry: the slow rest of the rod side apart (below 0.1 N).
    let load = plant.truth().load_without_runout - load_before;
    assert!(
        (load - (newtons(&plant) - cell_before)).abs() < 0.1,
        "{load}"
    );
}

/// Published set: Canudas de Wit et al., IEEE Transactions on Automatic Control 40 (1995) 419–425, table I; unit mass.
fn published() -> LuGre {
    LuGre::new([1e5, sqrt(1e5), 0.4], 1.0, 1.5, 1e-3)
}

/// Closed form `Fc + (Fs - Fc) exp(-(v/vs)^2) + sigma2 v` of the published set, computed to six decimals.
#[test]
fn steady_friction_of_the_published_set() {
    let friction = published();
    for (mm_s, newtons) in [
        (0.1, 1.495_065),
        (0.5, 1.389_600),
        (1.0, 1.184_340),
        (2.0, 1.009_958),
        (10.0, 1.004_000),
    ] {
        let v = mm_s * 1e-3;
        assert!(
            (friction.steady(v) - newtons).abs() < 0.51e-6,
            "{mm_s} mm/s"
        );
        assert_eq!(friction.steady(-v), -friction.steady(v));
        // And the bristle gets there, whatever the step.
        for h in [1e-3, 1e-4] {
            let mut s = 0.0;
            let mut force = 0.0;
            for _ in 0..(4.0 / h) as u32 {
                force = friction.step(&mut s, v, h);
            }
            assert!(
                (force - newtons).abs() < 0.6e-6,
                "{mm_s} mm/s at {h} s: {force}"
            );
        }
    }
}

/// Break-away of a unit mass under a force ramp: never above the static level, and the faster the ramp the lower (the paper's
/// figure of break-away force against rate; its values were not read from the plot, so only what it states is checked).
#[test]
fn break_away_falls_with_the_rate_and_never_passes_the_static_level() {
    let friction = published();
    let h = 1e-5;
    let break_away = |rate: f64| {
        let (mut v, mut s, mut pull, mut most) = (0.0, 0.0, 0.0, 0.0f64);
        while v < 0.05 {
            pull += rate * h;
            // Joint implicit step of mass and bristle, the fading term refined twice.
            let mut guess = v;
            let mut line = friction.line(s, guess, h);
            for _ in 0..3 {
                line = friction.line(s, guess, h);
                guess = (v / h + pull - line.force) / (1.0 / h + line.slope);
            }
            v = guess;
            s = line.keep * (s + h * v);
            most = most.max(line.force + line.slope * v - friction.sigma2 * v);
        }
        most
    };
    let all: Vec<f64> = [1.0, 2.0, 5.0, 10.0, 20.0, 50.0].map(break_away).to_vec();
    assert!(all.iter().all(|f| *f < 1.5 && *f > 1.0), "{all:?}");
    assert!(all.windows(2).all(|w| w[1] < w[0]), "{all:?}");
}

/// Presliding: under the static level the contact is a spring of `sigma0` (published test: ramps to ±1.425 N). Displacement of
/// the bristle's closed form without slip would be `F/sigma0`; slip below the static level makes it larger.
#[test]
fn presliding_is_a_spring_of_the_published_stiffness() {
    let friction = published();
    let (mut s, mut x, h, v) = (0.0, 0.0, 1e-4, 1e-7);
    let mut force = 0.0;
    while force < 0.1 {
        force = friction.step(&mut s, v, h);
        x += v * h;
    }
    // d F/d x = sigma0 (1 - F/Fs): mean over 0..0.1 N of 1/(1 - F/1.5) is 1.0349 (closed form -Fs/F ln(1 - F/Fs)).
    let expected = -1.5 / 1e5 * (1.0f64 - 0.1 / 1.5).ln();
    assert!((x / expected - 1.0).abs() < 2e-3, "{x} against {expected}");
}
