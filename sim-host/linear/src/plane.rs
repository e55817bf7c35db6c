//! The plane of gains: where a line is stable and how near to instability it is.

use super::line::{Defect, Line};
use super::margins::Margins;
use super::response::Response;
use super::sweep::Sweep;
use twinplate_sim::math::{cos, max, min, sin};
use twinplate_sim::model::Gains;

/// Margins over a grid of gains.
#[derive(Clone, Debug, PartialEq)]
pub struct GainPlane {
    /// Proportional gains of the columns.
    pub kc: Vec<f64>,
    /// Integral times of the rows, s.
    pub ti: Vec<f64>,
    /// Row by row.
    pub points: Vec<Margins>,
}

impl GainPlane {
    /// Margins at a column of `kc` and a row of `ti`.
    #[must_use]
    pub fn at(&self, column: usize, row: usize) -> Option<&Margins> {
        if column < self.kc.len() {
            self.points.get(row * self.kc.len() + column)
        } else {
            None
        }
    }
}

/// Margins of a line at every pair of gains.
///
/// # Errors
///
/// The first number that no loop can be built from.
pub fn gain_plane(line: &Line, kc: &[f64], ti: &[f64]) -> Result<GainPlane, Defect> {
    let mut sweep = Sweep::new(line)?;
    let mut points = Vec::with_capacity(kc.len() * ti.len());
    for &ti in ti {
        for &kc in kc {
            let weight = 1.0;
            points.push(sweep.margins(&Gains { kc, ti, weight })?);
        }
    }
    Ok(GainPlane {
        kc: kc.to_vec(),
        ti: ti.to_vec(),
        points,
    })
}

/// Gains at which the loop swings for ever.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Edge {
    /// With which frequency, rad/s.
    pub w: f64,
    /// Proportional gain.
    pub kc: f64,
    /// Integral gain `kc/Ti`, 1/s.
    pub ki: f64,
}

/// The edge of the stable region in `(kc, ki)`, from the lowest frequency to that of the ultimate gain, where `ki` is back at zero.
///
/// In closed form: `1 + C(jw) P(jw) = 0` is linear in the two gains, so each frequency gives one pair. Gains have the sign of the
/// process gain; points of the other sign are left out. Empty where no gain makes the loop swing.
///
/// # Errors
///
/// The first number that no loop can be built from.
pub fn stability_edge(line: &Line, points: usize) -> Result<Vec<Edge>, Defect> {
    let response = Response::new(line)?;
    let sign = line.process.gain.signum();
    let Some(ultimate) = super::limit::ultimate(line)? else {
        return Ok(vec![]);
    };
    // At low frequency the curve of a lag has gains of the wrong sign, from kc = -1/k on.
    let mut low = min(1e-3 / max(line.slowness(), 1e-300), 0.01 * ultimate.w);
    while low < ultimate.w && edge_at(&response, low).kc * sign <= 0.0 {
        low *= 1.01;
    }
    let count = points.max(2) - 1;
    Ok((0..=count)
        .map(|n| {
            let share = n as f64 / count as f64;
            edge_at(&response, low + share * (ultimate.w - low))
        })
        .filter(|edge| edge.kc * sign > 0.0 && edge.ki * sign >= -1e-9 * edge.kc * sign * edge.w)
        .collect())
}

/// Solves `kc + ki I(jw) = -1/P(jw)` with `I` the integrator, continuous or as the controller has it.
fn edge_at(response: &Response, w: f64) -> Edge {
    let wanted = -response.at(w).inverse();
    let (re, im) = match response.line().sampling {
        None => (0.0, -1.0 / w),
        Some(s) => {
            let half = w * s.period / 2.0;
            (-s.period / 2.0, -s.period / 2.0 * cos(half) / sin(half))
        }
    };
    let ki = if im == 0.0 { 0.0 } else { wanted.im / im };
    Edge {
        w,
        kc: wanted.re - ki * re,
        ki,
    }
}
