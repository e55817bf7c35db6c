//! Stability over the plane of gains against counts that share nothing with the code's.

use crate::pages::check;
use std::f64::consts::PI;
use twinplate_linear::{Line, Sampling, Transfer, gain_plane, margins, stability_edge};
use twinplate_sim::model::Gains;

/// Numbers in 0..1, the same every time (Lehmer's generator with Park and Miller's multiplier).
struct Draw(u64);

impl Draw {
    fn next(&mut self) -> f64 {
        self.0 = self.0 * 48_271 % 2_147_483_647;
        self.0 as f64 / 2_147_483_647.0
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low * (high / low).powf(self.next())
    }

    fn process(&mut self, n: usize) -> Transfer {
        let dead_time = self.between(0.05, 1.0);
        let tau = self.between(0.1, 5.0);
        Transfer {
            gain: self.between(0.1, 100.0),
            integrators: u8::from(n.is_multiple_of(4)),
            lags: match n % 4 {
                0 => vec![],
                1 => vec![tau],
                2 => vec![tau, tau * self.next()],
                _ => vec![tau, tau * 0.5, 0.1],
            },
            zeros: if n % 4 == 3 {
                vec![-self.next()]
            } else {
                vec![]
            },
            dead_time,
        }
    }

    fn gains(&mut self, process: &Transfer) -> Gains {
        let tau: f64 = process.lags.iter().sum::<f64>().max(process.dead_time);
        let scale = if process.integrators > 0 {
            1.0 / (process.gain * process.dead_time)
        } else {
            tau / (process.gain * process.dead_time)
        };
        Gains {
            kc: scale * self.between(0.1, 4.0),
            ti: tau * self.between(0.1, 10.0),
            weight: 1.0,
        }
    }
}

type C = (f64, f64);
fn mul(a: C, b: C) -> C {
    (a.0 * b.0 - a.1 * b.1, a.0 * b.1 + a.1 * b.0)
}

/// The characteristic function at `s`: `Ti s^(1+n) Π(τs+1) + k Kc (Ti s + 1) Π(Ts+1) e^(-θs)`; entire, so that its winding
/// counts its zeros and nothing else.
fn characteristic(p: &Transfer, g: &Gains, s: C) -> C {
    let mut left = (g.ti * s.0, g.ti * s.1);
    for _ in 0..p.integrators {
        left = mul(left, s);
    }
    for tau in &p.lags {
        left = mul(left, (tau * s.0 + 1.0, tau * s.1));
    }
    let mut right = (
        p.gain * g.kc * (g.ti * s.0 + 1.0),
        p.gain * g.kc * g.ti * s.1,
    );
    for zero in &p.zeros {
        right = mul(right, (zero * s.0 + 1.0, zero * s.1));
    }
    let fall = (-p.dead_time * s.0).exp();
    let turn = -p.dead_time * s.1;
    let late = mul(right, (fall * turn.cos(), fall * turn.sin()));
    (left.0 + late.0, left.1 + late.1)
}

/// Roots in the right half plane: winding of the characteristic function around a half disc, in small steps. The radius is where
/// the left term outweighs the right one for good.
fn roots_on_the_wrong_side(p: &Transfer, g: &Gains) -> f64 {
    let mut radius = 10.0 / p.dead_time;
    loop {
        let s = (0.0, radius);
        let left = characteristic(
            &Transfer {
                gain: 1e-300,
                ..p.clone()
            },
            g,
            s,
        );
        let both = characteristic(
            &Transfer {
                dead_time: 0.0,
                ..p.clone()
            },
            g,
            s,
        );
        let right = (both.0 - left.0).hypot(both.1 - left.1);
        if left.0.hypot(left.1) > 3.0 * right {
            break;
        }
        radius *= 2.0;
    }
    // Down the axis and back on the arc. A root at rest is none of ours: f(0) = k Kc > 0.
    let steps = (400.0 * (1.0 + radius * p.dead_time) * 4.0) as usize;
    let axis = (0..=2 * steps).map(|n| {
        // Finer near rest, where slow roots live.
        let x = 1.0 - n as f64 / steps as f64;
        (0.0, radius * x * x * x)
    });
    let arc = (0..=steps).map(|n| {
        let angle = -PI / 2.0 + PI * n as f64 / steps as f64;
        (radius * angle.cos(), radius * angle.sin())
    });
    let mut turned = 0.0;
    let mut last: Option<C> = None;
    for s in axis.chain(arc) {
        let f = characteristic(p, g, s);
        if let Some(l) = last {
            let (re, im) = mul(f, (l.0, -l.1));
            let step = im.atan2(re);
            assert!(step.abs() < 2.0, "the contour is too coarse");
            turned += step;
        }
        last = Some(f);
    }
    (turned / (2.0 * PI)).round()
}

/// Issue's line: at 200 random points the stability is that of an independent count of closed-loop roots.
#[test]
fn stability_is_the_count_of_roots_at_200_random_points() {
    let mut draw = Draw(20_260_117);
    let (mut stable, mut unstable) = (0, 0);
    for n in 0..200 {
        let process = draw.process(n);
        let gains = draw.gains(&process);
        let roots = roots_on_the_wrong_side(&process, &gains);
        let plane =
            gain_plane(&Line::plain(process.clone()), &[gains.kc], &[gains.ti]).expect("good");
        let found = plane.at(0, 0).expect("one point");
        assert_eq!(
            found.stable,
            roots == 0.0,
            "{roots} roots: {process:?} {gains:?} {found:?}"
        );
        if found.stable {
            stable += 1
        } else {
            unstable += 1
        }
    }
    assert!(
        stable > 50 && unstable > 50,
        "{stable} stable, {unstable} unstable"
    );
    check(
        "docs/tuning.md",
        "plane",
        &format!(
            "Of 200 random points {stable} are stable and {unstable} are not; the count of roots says the same at all 200.\n"
        ),
    );
}

/// Sampled loops against a long run of the difference equations of a lag, whole periods of dead time, and the PI as the core has it.
#[test]
fn stability_of_sampled_loops_is_that_of_a_long_run() {
    let mut draw = Draw(77);
    let (mut stable, mut unstable) = (0, 0);
    for _ in 0..200 {
        let (tau, dead) = (draw.between(2.0, 100.0), 1 + (draw.next() * 8.0) as usize);
        let kc = draw.between(0.1, 4.0) * tau / dead as f64;
        let ti = draw.between(0.2, 5.0) * tau;
        let keep = (-1.0 / tau).exp();
        let (mut line, mut y, mut integral) = (vec![0.0; dead], 1.0, 0.0);
        let (mut early, mut late) = (0.0_f64, 0.0_f64);
        for n in 0..60_000 {
            let u = -kc * y + integral;
            integral -= kc / ti * y;
            let given = std::mem::replace(&mut line[n % dead], u);
            y = keep * y + (1.0 - keep) * given;
            if y.abs() > 1e100 {
                late = f64::INFINITY;
                break;
            }
            if (20_000..30_000).contains(&n) {
                early = early.max(y.abs())
            }
            if n >= 50_000 {
                late = late.max(y.abs())
            }
        }
        let mut sampled = Line::plain(Transfer {
            gain: 1.0,
            integrators: 0,
            lags: vec![tau],
            zeros: vec![],
            dead_time: dead as f64 - 1.0,
        });
        sampled.sampling = Some(Sampling {
            period: 1.0,
            computing: 1,
        });
        let found = margins(
            &sampled,
            &Gains {
                kc,
                ti,
                weight: 1.0,
            },
        )
        .expect("good");
        assert_eq!(
            found.stable,
            late <= early,
            "{tau} {dead} {kc} {ti}: {early} {late} {found:?}"
        );
        if found.stable {
            stable += 1
        } else {
            unstable += 1
        }
    }
    assert!(
        stable > 40 && unstable > 40,
        "{stable} stable, {unstable} unstable"
    );
}

/// Just inside the edge a loop is stable, just outside it is not: continuous and sampled.
#[test]
fn the_edge_divides_stable_from_unstable() {
    let mut line = Line::plain(Transfer {
        gain: 3.0,
        integrators: 0,
        lags: vec![1.0],
        zeros: vec![],
        dead_time: 0.25,
    });
    for sampling in [
        None,
        Some(Sampling {
            period: 0.1,
            computing: 1,
        }),
    ] {
        line.sampling = sampling;
        let edge = stability_edge(&line, 60).expect("good");
        assert!(edge.len() > 20, "{}", edge.len());
        for point in &edge[..edge.len() - 1] {
            let at = |share: f64| {
                let gains = Gains {
                    kc: point.kc,
                    ti: point.kc / (point.ki * share),
                    weight: 1.0,
                };
                margins(&line, &gains).expect("good").stable
            };
            assert!(at(0.999) && !at(1.001), "{point:?}");
        }
    }
}

#[test]
fn numbers_that_make_no_loop_are_refused_by_name() {
    let good = Transfer {
        gain: 1.0,
        integrators: 0,
        lags: vec![1.0],
        zeros: vec![],
        dead_time: 0.1,
    };
    let gains = Gains {
        kc: 1.0,
        ti: 1.0,
        weight: 1.0,
    };
    let place = |p: Transfer, g: Gains| margins(&Line::plain(p), &g).expect_err("bad").place;
    let g = good.clone();
    assert_eq!(
        place(
            Transfer {
                gain: 0.0,
                ..g.clone()
            },
            gains
        ),
        "process gain"
    );
    assert_eq!(
        place(
            Transfer {
                dead_time: f64::NAN,
                ..g.clone()
            },
            gains
        ),
        "dead time of the process"
    );
    assert_eq!(
        place(
            Transfer {
                lags: vec![-1.0],
                ..g.clone()
            },
            gains
        ),
        "lag of the process"
    );
    assert_eq!(
        place(
            Transfer {
                zeros: vec![1.0],
                ..g.clone()
            },
            gains
        ),
        "number of numerator times of the process"
    );
    assert_eq!(
        place(g.clone(), Gains { ti: 0.0, ..gains }),
        "integral time"
    );
    assert_eq!(
        place(
            g.clone(),
            Gains {
                kc: f64::INFINITY,
                ..gains
            }
        ),
        "proportional gain"
    );
    // A gain of the wrong sign is a loop, and an unstable one.
    assert!(
        !margins(&Line::plain(g), &Gains { kc: -0.1, ..gains })
            .expect("a loop")
            .stable
    );
}
