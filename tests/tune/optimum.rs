//! The robust optimum against a plain search of the plane and the published rules.

use twinplate_linear::{Line, LowPass, Sampling, Sweep, Transfer, margins, measures};
use twinplate_sim::model::Gains;
use twinplate_tune::optimum::{
    Constraint, Limits, NoOptimum, Problem, Scorer, limit_for, robust_optimum,
};
use twinplate_tune::rules::{amigo, half_rule, overhead, simc};

fn line(gain: f64, lags: &[f64], dead_time: f64) -> Line {
    Line::plain(Transfer {
        gain,
        integrators: u8::from(lags.is_empty()),
        lags: lags.to_vec(),
        zeros: vec![],
        dead_time,
    })
}

/// The demonstration line of the reference machine's kind: invented.
fn machine(gain: f64, lag: f64, dead: f64) -> Line {
    let mut line = line(2400.0 * gain, &[0.12 * lag], 0.02 * dead);
    line.analogue = vec![LowPass {
        corner: 100.0,
        damping: 0.7,
    }];
    line.digital = vec![LowPass {
        corner: 15.0,
        damping: std::f64::consts::FRAC_1_SQRT_2,
    }];
    line.sampling = Some(Sampling {
        period: 1e-3,
        computing: 1,
    });
    line
}

const WIDE: Limits = Limits {
    sensitivity: 1.6,
    corner_sensitivity: f64::INFINITY,
    overshoot: f64::INFINITY,
    travel: f64::INFINITY,
    noise: f64::INFINITY,
};

fn problems() -> Vec<(&'static str, Problem)> {
    let problem = |line, corners, limits| Problem {
        line,
        corners,
        limits,
        weight: 1.0,
    };
    let corners = vec![machine(1.05, 0.7, 1.3), machine(1.05, 1.3, 1.3)];
    vec![
        ("lag", problem(line(1.0, &[1.0], 1.0), vec![], WIDE)),
        ("slow lag", problem(line(1.0, &[20.0], 1.0), vec![], WIDE)),
        (
            "integrator",
            problem(
                line(0.5, &[], 1.0),
                vec![],
                Limits {
                    sensitivity: 1.8,
                    overshoot: 0.4,
                    ..WIDE
                },
            ),
        ),
        (
            "two lags",
            problem(
                line(3.0, &[2.0, 0.8], 0.4),
                vec![],
                Limits {
                    overshoot: 0.05,
                    ..WIDE
                },
            ),
        ),
        (
            "backwards",
            problem(
                line(-3.0, &[2.0, 0.8], 0.4),
                vec![],
                Limits {
                    travel: 1.2,
                    ..WIDE
                },
            ),
        ),
        (
            "machine",
            problem(
                machine(1.0, 1.0, 1.0),
                corners,
                Limits {
                    sensitivity: 1.7,
                    corner_sensitivity: 2.2,
                    overshoot: 0.1,
                    ..WIDE
                },
            ),
        ),
    ]
}

/// No pair of gains on a grid of 60 × 60 (4 % apart) around the optimum that keeps the limits is better than it by more than the
/// objective's own roughness, and it is never worse than SIMC and AMIGO where those keep the limits too.
#[test]
fn nothing_on_a_grid_and_no_rule_is_better() {
    for (name, problem) in problems() {
        let optimum = robust_optimum(&problem, |_| ()).unwrap_or_else(|e| panic!("{name}: {e}"));
        let best = optimum.score;
        assert!(best.keeps(&problem.limits), "{name}: {best:?}");
        assert!(
            !optimum.active.is_empty(),
            "{name}: nothing binds: {best:?}"
        );
        let mut scorer = Scorer::new(&problem).expect("good");
        for i in -30..30 {
            for j in -30..30 {
                let kc = best.gains.kc * 1.04_f64.powi(i);
                let ti = best.gains.ti * 1.04_f64.powi(j);
                let score = scorer.score(kc, ti).expect("good");
                assert!(
                    !score.keeps(&problem.limits) || score.worst_iae > best.worst_iae * 0.997,
                    "{name}: {score:?} is better than {best:?}"
                );
            }
        }
        let model = half_rule(&problem.line.process, overhead(&problem.line)).expect("good");
        for gains in [simc(&model, model.dead_time), amigo(&model)]
            .into_iter()
            .flatten()
        {
            let score = scorer.score(gains.kc, gains.ti).expect("good");
            assert!(
                !score.keeps(&problem.limits) || score.worst_iae >= best.worst_iae * 0.9999,
                "{name}: the rule's {score:?} is better than {best:?}"
            );
        }
    }
}

/// What binds, and what easing it is worth: a looser limit gives the promised relief, and [`limit_for`] finds its way back.
#[test]
fn an_active_limit_that_gives_makes_the_loop_better_by_what_was_said() {
    let (_, problem) = problems().swap_remove(1);
    let tight = robust_optimum(&problem, |_| ()).expect("an optimum");
    let active = tight.active[0];
    assert_eq!(active.constraint, Constraint::Sensitivity);
    assert!(active.relief > 0.05, "{active:?}");
    let limits = Limits {
        sensitivity: 1.1 * 1.6,
        ..problem.limits
    };
    let eased = robust_optimum(
        &Problem {
            limits,
            ..problem.clone()
        },
        |_| (),
    )
    .expect("an optimum");
    let promised = tight.score.worst_iae * (1.0 - active.relief);
    assert!(
        (eased.score.worst_iae / promised - 1.0).abs() < 0.01,
        "{eased:?} against {promised}"
    );
    let back = limit_for(
        &problem,
        &tight,
        Constraint::Sensitivity,
        eased.score.worst_iae,
    )
    .expect("good")
    .expect("it does it alone");
    assert!((back / 1.76 - 1.0).abs() < 0.02, "{back}");
}

#[test]
fn the_same_twice_and_a_plain_word_where_nothing_keeps_the_limits() {
    let (_, problem) = problems().swap_remove(5);
    let mut seen = vec![];
    let first = robust_optimum(&problem, |share| seen.push(share)).expect("an optimum");
    let second = robust_optimum(&problem, |_| ()).expect("an optimum");
    assert_eq!(first, second);
    assert!(
        seen.windows(2).all(|p| p[0] < p[1]) && seen.last() == Some(&1.0),
        "{seen:?}"
    );
    // That near to 1 only gains are that do next to nothing: out of the search's reach.
    let (_, mut problem) = problems().swap_remove(1);
    problem.limits.sensitivity = 1.000_000_1;
    let refused = robust_optimum(&problem, |_| ());
    let Err(NoOptimum::Nothing(_, constraint, _)) = &refused else {
        panic!("{refused:?}")
    };
    assert_eq!(*constraint, Constraint::Sensitivity);
    problem.limits.sensitivity = 0.9;
    let refused = robust_optimum(&problem, |_| ()).expect_err("under 1");
    assert!(
        refused
            .to_string()
            .starts_with("Ms on the nominal line is 0.9"),
        "{refused}"
    );
}

/// A score is what the loops do one by one, in the fine time domain that `pi_loops.csv` holds: 1 % for the search's coarser steps.
#[test]
fn a_score_is_the_worst_of_its_lines() {
    let (_, problem) = problems().swap_remove(5);
    let gains = robust_optimum(&problem, |_| ())
        .expect("an optimum")
        .score
        .gains;
    let score = Scorer::new(&problem)
        .and_then(|mut s| s.score(gains.kc, gains.ti))
        .expect("good");
    let (mut worst, mut peak) = (0.0_f64, 0.0_f64);
    for line in &problem.corners {
        worst = worst.max(measures::measures(line, &gains).expect("stable")[1].iae);
        peak = peak.max(margins(line, &gains).expect("good").sensitivity);
    }
    let [set, load] = measures::measures(&problem.line, &gains).expect("stable");
    worst = worst.max(load.iae);
    assert!(
        worst > 1.02 * load.iae,
        "the corners make no difference here"
    );
    for (what, got, want) in [
        ("worst IAE", score.worst_iae, worst),
        ("nominal IAE", score.nominal_iae, load.iae),
        ("Ms at the corners", score.corner_sensitivity, peak),
        ("travel", score.travel, load.travel),
        ("overshoot", 1.0 + score.overshoot, 1.0 + set.overshoot),
    ] {
        assert!(
            (got / want - 1.0).abs() < 0.01,
            "{what} {got} against {want}"
        );
    }
}

/// Source: a long run of the difference equations under random noise (200 000 periods: 1 % of a standard deviation, doubled).
#[test]
fn noise_on_the_command_is_that_of_a_long_run() {
    let (tau, dead, kc, ti) = (20.0_f64, 4_usize, 2.5, 18.0);
    let keep = (-1.0 / tau).exp();
    let (mut line, mut y, mut integral) = (vec![0.0; dead], 0.0, 0.0);
    let (mut seed, mut noise, mut answer) = (1_u64, 0.0, 0.0);
    for n in 0..200_000 {
        // Uniform, from Lehmer's generator with Park and Miller's multiplier.
        seed = seed * 48_271 % 2_147_483_647;
        let v = seed as f64 / 2_147_483_647.0 - 0.5;
        let measured = y + v;
        let u = -kc * measured + integral;
        integral -= kc / ti * measured;
        let given = std::mem::replace(&mut line[n % dead], u);
        y = keep * y + (1.0 - keep) * given;
        noise += v * v;
        answer += u * u;
    }
    let want = (answer / noise).sqrt();
    let mut sampled = line_of(tau, dead);
    sampled.sampling = Some(Sampling {
        period: 1.0,
        computing: 1,
    });
    let weight = 1.0;
    let got = Sweep::new(&sampled)
        .and_then(|mut s| s.noise(&Gains { kc, ti, weight }))
        .expect("good");
    assert!((got / want - 1.0).abs() < 0.02, "{got} against {want}");
}

/// A lag of unit gain with `dead` periods of a second between sample and effect, one of which is computing.
fn line_of(tau: f64, dead: usize) -> Line {
    line(1.0, &[tau], dead as f64 - 1.0)
}
