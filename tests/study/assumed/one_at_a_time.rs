//! The measuring list against runs in which one key at a time is changed here, in the plant alone.

use super::short_check;
use twinplate_sim::bench::{Drawn, Job, NoRecorder, run_cycle};
use twinplate_sim::demo;
use twinplate_sim::model::{Deviations, Machine};
use twinplate_sim::requirements::{RunJudgement, judge};

/// How far a key goes, said a second time.
#[derive(Clone, Copy)]
enum By {
    Factor(f64),
    Share(f64),
    Plus(f64),
}

impl By {
    fn end(self, value: f64, upper: bool) -> f64 {
        let sign = if upper { 1.0 } else { -1.0 };
        match self {
            Self::Factor(factor) if upper => value * factor,
            Self::Factor(factor) => value / factor,
            Self::Share(share) => value * (1.0 + sign * share),
            Self::Plus(half) => value + sign * half,
        }
    }
}

type Key = (&'static str, fn(&mut Machine) -> &mut f64, By);

/// Every assumed key with an envelope of its own.
const OWN: &[Key] = &[
    (
        "actuator.stribeck-speed",
        |m| &mut m.actuator.stribeck_speed,
        By::Factor(2.0),
    ),
    (
        "actuator.presliding",
        |m| &mut m.actuator.presliding,
        By::Factor(2.0),
    ),
    ("actuator.slew", |m| &mut m.actuator.slew, By::Factor(2.0)),
    ("actuator.play", |m| &mut m.actuator.play, By::Factor(3.0)),
    (
        "actuator.resolution",
        |m| &mut m.actuator.resolution,
        By::Factor(1.5),
    ),
    (
        "actuator.dump-lag",
        |m| &mut m.actuator.dump_lag,
        By::Factor(1.5),
    ),
    (
        "actuator.speed-fast",
        |m| &mut m.actuator.speed_fast,
        By::Share(0.25),
    ),
    (
        "actuator.speed-creep",
        |m| &mut m.actuator.speed_creep,
        By::Share(0.3),
    ),
    (
        "actuator.speed-lift",
        |m| &mut m.actuator.speed_lift,
        By::Share(0.2),
    ),
    (
        "actuator.guide-drag",
        |m| &mut m.actuator.guide_drag,
        By::Factor(1.7),
    ),
    (
        "actuator.dog-friction",
        |m| &mut m.actuator.dog_friction,
        By::Factor(3.0),
    ),
    (
        "actuator.dog-radius",
        |m| &mut m.actuator.dog_radius,
        By::Share(0.1),
    ),
    (
        "geometry.runout-ripple",
        |m| &mut m.geometry.runout_ripple,
        By::Factor(1.75),
    ),
    ("cell.bandwidth", |m| &mut m.cell.bandwidth, By::Factor(1.5)),
    ("cell.creep-fast", |m| &mut m.cell.creep[0], By::Factor(3.0)),
    ("cell.creep-slow", |m| &mut m.cell.creep[1], By::Factor(3.0)),
    (
        "cell.creep-time-fast",
        |m| &mut m.cell.creep_time[0],
        By::Factor(2.0),
    ),
    (
        "cell.creep-time-slow",
        |m| &mut m.cell.creep_time[1],
        By::Factor(2.0),
    ),
    (
        "cell.zero-drift",
        |m| &mut m.cell.zero_drift,
        By::Factor(3.0),
    ),
    (
        "cell.nonlinearity",
        |m| &mut m.cell.nonlinearity,
        By::Plus(5e-4),
    ),
    ("cell.lash", |m| &mut m.cell.lash, By::Factor(3.0)),
    (
        "drives.outer.inertia",
        |m| &mut m.drives[1].inertia,
        By::Factor(2.0),
    ),
    (
        "drives.inner.inertia",
        |m| &mut m.drives[0].inertia,
        By::Factor(1.5),
    ),
    (
        "drives.lower.inertia",
        |m| &mut m.drives[2].inertia,
        By::Share(0.25),
    ),
    (
        "drives.upper.inertia",
        |m| &mut m.drives[3].inertia,
        By::Share(0.25),
    ),
    (
        "drives.inner.drag",
        |m| &mut m.drives[0].drag,
        By::Factor(2.0),
    ),
    (
        "drives.outer.drag",
        |m| &mut m.drives[1].drag,
        By::Factor(2.0),
    ),
    (
        "drives.lower.drag",
        |m| &mut m.drives[2].drag,
        By::Factor(3.0),
    ),
    (
        "drives.upper.drag",
        |m| &mut m.drives[3].drag,
        By::Factor(3.0),
    ),
    (
        "slurry.line-volume",
        |m| &mut m.slurry.line_volume,
        By::Factor(2.0),
    ),
    (
        "slurry.line-lag",
        |m| &mut m.slurry.line_lag,
        By::Factor(2.0),
    ),
    (
        "slurry.film-life",
        |m| &mut m.slurry.film_life,
        By::Factor(1.5),
    ),
    (
        "slurry.wet-time",
        |m| &mut m.slurry.wet_time,
        By::Factor(1.5),
    ),
    (
        "slurry.settle-time",
        |m| &mut m.slurry.settle_time,
        By::Factor(2.0),
    ),
    (
        "slurry.stir-time",
        |m| &mut m.slurry.stir_time,
        By::Factor(2.0),
    ),
    ("slurry.tank", |m| &mut m.slurry.tank, By::Factor(1.5)),
    ("thermal.ambient", |m| &mut m.thermal.ambient, By::Plus(5.0)),
    (
        "thermal.capacity",
        |m| &mut m.thermal.capacity,
        By::Share(0.2),
    ),
    (
        "thermal.cooling",
        |m| &mut m.thermal.cooling,
        By::Factor(2.0),
    ),
    (
        "thermal.slurry-share",
        |m| &mut m.thermal.slurry_share,
        By::Plus(0.25),
    ),
];

type Spread = (&'static str, [Deviations; 2]);

/// Keys whose envelope is one of the declared widths, at both of its ends.
fn declared() -> Vec<Spread> {
    let at = |set: fn(&mut Deviations, f64), ends: [f64; 2]| {
        ends.map(|end| {
            let mut deviations = Deviations::NOMINAL;
            set(&mut deviations, end);
            deviations
        })
    };
    vec![
        (
            "actuator.supply-pressure",
            at(|d, v| d.supply = v, [0.8, 1.0]),
        ),
        (
            "actuator.counterbalance",
            at(|d, v| d.counterbalance = v, [0.97, 1.03]),
        ),
        (
            "actuator.seal-friction",
            at(|d, v| d.seal_friction = v, [0.25, 1.75]),
        ),
        (
            "actuator.seal-breakaway",
            at(|d, v| d.seal_friction = v, [0.25, 1.75]),
        ),
        ("actuator.lag", at(|d, v| d.lag = v, [0.5, 1.5])),
        ("actuator.dead-time", at(|d, v| d.dead_time = v, [0.5, 1.5])),
        ("cell.noise", at(|d, v| d.noise = v, [1.0, 2.5])),
    ]
}

/// Smallest share of its bound that any requirement of a run leaves, percent; a broken count is worth -100.
fn smallest(run: &RunJudgement) -> f64 {
    let left = |item: &twinplate_sim::requirements::Judged| {
        if item.limit > 0.0 {
            (100.0 * (1.0 - item.value / item.limit)).max(-100.0)
        } else if item.value > item.limit {
            -100.0
        } else {
            100.0
        }
    };
    run.items.iter().map(left).fold(100.0, f64::min)
}

/// The ranking of `check` agrees with runs in which one key at a time is changed here, in the plant alone.
#[test]
fn the_measuring_list_agrees_with_one_at_a_time_runs() {
    for recipe in ["glass-f800", "steel-f400"] {
        let (checked, machine) = short_check(recipe, 1);
        let list = checked.report.assumed.expect("a list");
        let (_, batch, recipe) = demo::set(recipe);
        let job = Job::new(machine, batch, recipe).expect("compiles");
        let first = job.drawn(Drawn { seed: 1, index: 0 });
        let run = |job: &Job, deviations: Deviations| {
            let outcome = run_cycle(&job.setup(deviations, first.seed), None, NoRecorder);
            smallest(&judge(job, &outcome.expect("a run")))
        };
        let nominal = run(&job, Deviations::NOMINAL);
        assert!((list.margin_pct.expect("runs") - nominal).abs() < 0.01);
        let mut moves: Vec<(&str, f64)> = Vec::new();
        let spread = |ends: [f64; 2]| {
            let (low, high) = ends.iter().fold((nominal, nominal), |(low, high), end| {
                (low.min(*end), high.max(*end))
            });
            high - low
        };
        for (key, field, by) in OWN {
            let ends = [false, true].map(|upper| {
                // The controller keeps the parameters of the file.
                let mut changed = job.clone();
                let value = field(&mut changed.machine);
                *value = by.end(*value, upper);
                run(&changed, Deviations::NOMINAL)
            });
            moves.push((key, spread(ends)));
        }
        for (key, ends) in declared() {
            moves.push((key, spread(ends.map(|deviations| run(&job, deviations)))));
        }
        assert_eq!(
            moves.len(),
            list.keys.iter().filter(|key| key.rank.is_some()).count()
        );
        for (key, moved) in &moves {
            let told = list
                .keys
                .iter()
                .find(|told| told.key == *key)
                .expect("listed");
            let told = told.decides_pct.expect("ranked");
            assert!((told - moved).abs() < 0.02, "{key}: {told}, here {moved}");
        }
        // The order is that of the moves, those that make the check fail before all others.
        let ranked: Vec<f64> = list
            .keys
            .iter()
            .filter(|key| key.fails.is_none())
            .filter_map(|key| key.decides_pct)
            .collect();
        assert!(
            ranked.windows(2).all(|pair| pair[0] >= pair[1]),
            "{ranked:?}"
        );
    }
}
