//! Ultimate gains and relay cycles.

use twinplate_linear::Line;
use twinplate_linear::limit::{Relay, cycle, ultimate};
use twinplate_linear::model::{Order, ProcessModel};
use twinplate_tune::rules::{relay_exact, relay_reading, ziegler_nichols};

/// Lag 1 s, gain 1, dead time as in the first column; computed with scipy from the closed forms
/// `arctan(ωτ) + ωθ = π`, `T = 2τ ln(2e^(θ/τ) - 1)`, `a = k d (1 - e^(-θ/τ))`.
const TABLE: &str = include_str!("data/fopdt_ultimate_relay.csv");

fn near(what: &str, got: f64, want: f64) {
    assert!(
        (got / want - 1.0).abs() < 1e-6,
        "{what}: {got} against {want}"
    );
}

fn model(order: Order, tau1: f64, tau2: f64, dead_time: f64) -> ProcessModel {
    ProcessModel {
        order,
        gain: 1.0,
        tau1,
        tau2,
        dead_time,
    }
}

#[test]
fn ultimate_gain_and_relay_cycle_of_every_row() {
    let mut rows = 0;
    for line in TABLE.lines().skip(1) {
        let want: Vec<f64> = line
            .split(',')
            .map(|c| c.parse().expect("a number"))
            .collect();
        let theta = want[0];
        let model = model(Order::First, 1.0, 0.0, theta);
        let edge = ultimate(&Line::plain(model))
            .expect("good")
            .expect("swings");
        near("frequency", edge.w * theta, want[1]);
        near("gain", edge.kc, want[2]);
        near("period", edge.period() / theta, want[3]);
        let rule = ziegler_nichols(&edge);
        near("Kc", rule.kc, want[4]);
        near("Ti", rule.ti / theta, want[5]);
        let relay = Relay {
            height: 1.0,
            hysteresis: 0.0,
        };
        let swing = cycle(&model, &relay).expect("good").expect("a cycle");
        near("relay period", swing.period / theta, want[6]);
        near("amplitude", swing.amplitude, want[7]);
        let reading = relay_reading(&relay, &swing).expect("good");
        near("reading", reading.kc, want[8]);
        near("its error", reading.kc / edge.kc, want[9]);
        near(
            "error of the period",
            reading.period() / edge.period(),
            want[10],
        );
        rows += 1;
    }
    assert_eq!(rows, 8);
}

/// Long plain simulation of a relay around lags with dead time in Euler's tiny steps: no formula of ours in it.
fn simulated(model: &ProcessModel, relay: &Relay) -> (f64, f64) {
    let dt = model.dead_time / 4000.0;
    let mut line = vec![relay.height; 4000];
    let (mut first, mut second, mut up, mut head) = (0.0, 0.0, true, 0);
    let (mut switches, mut top) = (vec![], 0.0_f64);
    for n in 0..4_000_000_u32 {
        let command = if up { relay.height } else { -relay.height };
        let late = std::mem::replace(&mut line[head], command);
        head = (head + 1) % line.len();
        match model.order {
            Order::Integrating => first += dt * model.gain * late,
            _ => first += dt * (model.gain * late - first) / model.tau1,
        }
        let output = if model.tau2 > 0.0 {
            second += dt * (first - second) / model.tau2;
            second
        } else {
            first
        };
        if up && output >= relay.hysteresis {
            up = false;
        } else if !up && output <= -relay.hysteresis {
            up = true;
            switches.push(f64::from(n) * dt);
        }
        if switches.len() >= 12 {
            top = top.max(output);
        }
        if switches.len() == 14 {
            break;
        }
    }
    assert_eq!(switches.len(), 14, "no cycle");
    ((switches[13] - switches[11]) / 2.0, top)
}

/// Source: the simulation above; Euler's error is of the first order in its step, 1/4000 of the dead time.
#[test]
fn cycles_with_hysteresis_as_a_plain_simulation_has_them() {
    let first = model(Order::First, 1.0, 0.0, 0.3);
    for (model, relay) in [
        (
            first,
            Relay {
                height: 2.0,
                hysteresis: 0.3,
            },
        ),
        (
            model(Order::Integrating, 0.0, 0.0, 0.5),
            Relay {
                height: 1.0,
                hysteresis: 0.2,
            },
        ),
        (
            model(Order::Second, 1.0, 0.4, 0.2),
            Relay {
                height: 1.0,
                hysteresis: 0.0,
            },
        ),
        (
            model(Order::Second, 1.0, 1.0, 0.3),
            Relay {
                height: 1.5,
                hysteresis: 0.1,
            },
        ),
    ] {
        let (period, amplitude) = simulated(&model, &relay);
        let exact = cycle(&model, &relay).expect("good").expect("a cycle");
        assert!(
            (exact.period / period - 1.0).abs() < 2e-3,
            "{exact:?} against {period} of {model:?}"
        );
        assert!(
            (exact.amplitude / amplitude - 1.0).abs() < 2e-3,
            "{exact:?} against {amplitude} of {model:?}"
        );
    }
    // And back: the exact reading of the first cycle is the model.
    let relay = Relay {
        height: 2.0,
        hysteresis: 0.3,
    };
    let swing = cycle(&first, &relay).expect("good").expect("a cycle");
    let read = relay_exact(&relay, &swing, 1.0).expect("good");
    near("lag", read.tau1, 1.0);
    near("dead time", read.dead_time, 0.3);
}

#[test]
fn no_cycle_and_no_reading_where_there_can_be_none() {
    let model = model(Order::First, 1.0, 0.0, 0.3);
    let wide = Relay {
        height: 1.0,
        hysteresis: 1.5,
    };
    assert_eq!(cycle(&model, &wide), Ok(None));
    let relay = Relay {
        height: 1.0,
        hysteresis: 0.1,
    };
    let swing = cycle(&model, &relay).expect("good").expect("a cycle");
    let weak = relay_exact(&relay, &swing, 0.1).expect_err("out of the relay's reach");
    assert_eq!(weak.place, "static gain");
    let nothing = Relay {
        height: f64::NAN,
        hysteresis: 0.1,
    };
    assert!(cycle(&model, &nothing).is_err());
}
