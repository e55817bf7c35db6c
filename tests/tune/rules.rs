//! Tuning rules against published worked examples.

use crate::table::rows;
use twinplate_linear::Transfer;
use twinplate_linear::model::{Order, ProcessModel};
use twinplate_sim::model::Gains;
use twinplate_tune::rules::{amigo, half_rule, reaction_curve, simc};

fn near(what: &str, got: f64, want: f64, digits: f64) {
    assert!((got - want).abs() <= digits, "{what}: {got} against {want}");
}

fn process(gain: f64, zeros: &[f64], lags: &[f64], dead_time: f64) -> Transfer {
    Transfer {
        gain,
        integrators: 0,
        lags: lags.to_vec(),
        zeros: zeros.to_vec(),
        dead_time,
    }
}

/// Source: Skogestad, J. Process Control 13 (2003) 291–309, processes E1 to E13 with their reduced models and PI gains; as in the
/// project's reference values (E3, E12 and E13 from memory of the rules for numerators).
#[test]
fn half_rule_of_the_published_processes() {
    for (name, process, k, tau, theta) in [
        ("E1", process(1.0, &[], &[1.0, 0.2], 0.0), 1.0, 1.1, 0.1),
        (
            "E2",
            process(
                1.0,
                &[-0.3, 0.08],
                &[2.0, 1.0, 0.4, 0.2, 0.05, 0.05, 0.05],
                0.0,
            ),
            1.0,
            2.5,
            1.47,
        ),
        (
            "E3",
            process(2.0, &[15.0], &[20.0, 1.0, 0.1, 0.1], 0.0),
            1.5,
            1.05,
            0.15,
        ),
        ("E4", process(1.0, &[], &[1.0; 4], 0.0), 1.0, 1.5, 2.5),
        (
            "E5",
            process(1.0, &[], &[1.0, 0.2, 0.04, 0.008], 0.0),
            1.0,
            1.1,
            0.148,
        ),
        ("E7", process(1.0, &[-2.0], &[1.0; 3], 0.0), 1.0, 1.5, 3.5),
        ("E9", process(1.0, &[], &[1.0, 1.0], 1.0), 1.0, 1.5, 1.5),
        ("E10", process(1.0, &[], &[20.0, 2.0], 1.0), 1.0, 21.0, 2.0),
        (
            "E11",
            process(1.0, &[-1.0], &[6.0, 2.0, 2.0], 1.0),
            1.0,
            7.0,
            5.0,
        ),
        (
            "E12",
            process(1.0, &[6.0, 3.0], &[10.0, 8.0, 1.0], 0.3),
            0.225,
            1.0,
            0.3,
        ),
        (
            "E13",
            process(1.0, &[2.0], &[10.0, 0.5], 1.0),
            0.625,
            4.5,
            1.25,
        ),
    ] {
        let model = half_rule(&process, 0.0).expect("a good process");
        near(&format!("{name} gain"), model.gain, k, 1e-9);
        near(&format!("{name} lag"), model.tau1, tau, 1e-9);
        near(&format!("{name} dead time"), model.dead_time, theta, 1e-9);
    }
}

/// Source: the gains of `pi_loops.csv`, by SIMC with the closed-loop time at the dead time from the published processes.
#[test]
fn simc_gains_of_the_published_processes() {
    let mut seen = 0;
    for row in rows() {
        let name = row.name.split(' ').next().unwrap_or("");
        if !(row.name.contains("SIMC") || name.starts_with('E')) {
            continue;
        }
        let (line, want) = row.build();
        let model = half_rule(&line.process, 0.0).expect("a good process");
        let got = simc(&model, model.dead_time).expect("one lag");
        near(&row.name, got.kc, want.kc, 1e-9 * want.kc);
        near(&row.name, got.ti, want.ti, 1e-9 * want.ti);
        seen += 1;
    }
    assert_eq!(seen, 13);
}

fn first(tau1: f64, dead_time: f64) -> ProcessModel {
    ProcessModel {
        order: Order::First,
        gain: 1.0,
        tau1,
        tau2: 0.0,
        dead_time,
    }
}

/// Source: rows A8 and A9 of `pi_loops.csv` (AMIGO: Åström & Hägglund, J. Process Control 14 (2004) 635–650), A6 (Ziegler–Nichols'
/// reaction curve); the integrator's forms from memory.
#[test]
fn amigo_and_reaction_curve() {
    let found: Vec<_> = rows()
        .into_iter()
        .filter_map(|row| {
            let got: Gains = match row.name.split(' ').next() {
                Some("A8") => amigo(&first(1.0, 1.0)).expect("dead time"),
                Some("A9") => amigo(&first(10.0, 1.0)).expect("dead time"),
                Some("A6") => reaction_curve(&first(1.0, 1.0)).expect("dead time"),
                _ => return None,
            };
            let want = row.build().1;
            near(&row.name, got.kc, want.kc, 1e-9);
            near(&row.name, got.ti, want.ti, 1e-9);
            Some(())
        })
        .collect();
    assert_eq!(found.len(), 3);
    let integrator = ProcessModel {
        order: Order::Integrating,
        gain: 2.0,
        tau1: 0.0,
        tau2: 0.0,
        dead_time: 0.5,
    };
    let got = amigo(&integrator).expect("dead time");
    near("AMIGO Kc of an integrator", got.kc, 0.35, 1e-12);
    near("AMIGO Ti of an integrator", got.ti, 6.7, 1e-12);
    let got = simc(&integrator, 0.5).expect("one lag");
    near("SIMC Kc of an integrator, 0.5/(k' θ)", got.kc, 0.5, 1e-12);
    near("SIMC Ti of an integrator, 8 θ", got.ti, 4.0, 1e-12);
}

#[test]
fn rules_refuse_what_they_are_not_for() {
    let mut two = first(1.0, 0.1);
    two.order = Order::Second;
    two.tau2 = 0.5;
    assert_eq!(
        simc(&two, 0.1).expect_err("two lags").place,
        "second lag of the model"
    );
    assert_eq!(
        amigo(&first(1.0, 0.0)).expect_err("no dead time").place,
        "dead time of the model"
    );
    assert_eq!(
        simc(&first(1.0, 0.1), 0.0).expect_err("no time").place,
        "closed-loop time"
    );
    let mut nothing = first(1.0, 0.1);
    nothing.gain = 0.0;
    assert_eq!(
        simc(&nothing, 0.1).expect_err("no gain").place,
        "process gain"
    );
    nothing.gain = f64::NAN;
    assert!(half_rule(&nothing.into(), 0.0).is_err());
}
