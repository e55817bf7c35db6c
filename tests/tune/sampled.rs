//! The sampled frequency response against Poisson's sum.

use std::f64::consts::TAU;
use twinplate_linear::{Complex, Line, LowPass, Response, Sampling, Transfer};

/// A sampled signal's spectrum is the sum of the continuous one's images: `H(e^(jwh)) = 1/h Σ G(jw_k) hold(jw_k)`,
/// `w_k = w + 2πk/h` (Shannon; textbook). Holds for any dead time, a fraction of a period included, and shares nothing with the state
/// space that the code samples. The terms fall with the fourth power here: 400 of them leave 1e-9.
#[test]
fn a_sampled_line_is_the_sum_of_its_images() {
    for (dead_time, period) in [
        (0.05, 0.02),
        (0.043, 0.02),
        (0.007, 0.02),
        (0.0, 0.01),
        (0.3137, 0.05),
    ] {
        let mut line = Line::plain(Transfer {
            gain: 700.0,
            integrators: 0,
            lags: vec![0.12, 0.03],
            zeros: vec![],
            dead_time,
        });
        line.analogue = vec![LowPass {
            corner: 9.0,
            damping: 0.7,
        }];
        let continuous = Response::new(&line).expect("good");
        line.sampling = Some(Sampling {
            period,
            computing: 1,
        });
        let sampled = Response::new(&line).expect("good");
        for share in [0.01, 0.1, 0.5, 0.9] {
            let w = share * TAU / 2.0 / period;
            let mut sum = Complex::default();
            for k in -400..=400 {
                let image = w + TAU * f64::from(k) / period;
                let turn = image * period;
                // (1 - e^(-jwh))/(jw), with a period of computing.
                let hold = (Complex::ONE - Complex::turn(-turn)) / Complex::new(0.0, image)
                    * Complex::turn(-turn);
                let at = if image > 0.0 {
                    continuous.at(image)
                } else {
                    let mirror = continuous.at(-image);
                    Complex::new(mirror.re, -mirror.im)
                };
                sum = sum + at * hold;
            }
            let want = sum.scale(1.0 / period);
            let got = sampled.at(w);
            assert!(
                (got - want).magnitude() < 1e-7 * want.magnitude().max(1e-3),
                "{dead_time} {period} {share}: {got:?} against {want:?}"
            );
        }
    }
}
