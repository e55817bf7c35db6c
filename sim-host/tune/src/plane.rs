//! What pictures need: the plane of gains, the frequency response of a loop, its linear responses over nominal line and corners.

use super::candidates::Lines;
use super::effort::{Count, Effort, TuneError};
use super::judge;
use super::trial::Trial;
use twinplate_linear::Sweep;
use twinplate_linear::line::Defect;
use twinplate_linear::plane::{Edge, stability_edge};
use twinplate_linear::response::Response;
use twinplate_linear::step::{QUICK, Stimulus, Trajectory, trajectory};
use twinplate_linear::{Complex, Line, Margins};
use twinplate_sim::bench::ensemble;
use twinplate_sim::math::{abs, exp, floor, log, max, min, sqrt};
use twinplate_sim::model::Gains;

/// The plane reaches from the shown gains over this factor both ways, on both axes.
const REACH: f64 = 5.0;
/// Points of the edge of stability.
const EDGE_POINTS: usize = 200;
/// Points of a frequency response, and how far it reaches from the frequency of largest sensitivity, as a factor both ways.
const FREQUENCIES: usize = 240;
/// See [`FREQUENCIES`].
const FREQUENCY_REACH: f64 = 60.0;
/// Samples of a linear response.
const SAMPLES: usize = 300;

/// The plane of gains. Margins stand on a fine grid, pass rates on a coarse one over the same reach; axes are logarithmic.
#[derive(Clone, Debug, PartialEq)]
pub struct Plane {
    /// Proportional gains of the columns.
    pub kc: Vec<f64>,
    /// Integral times of the rows, s.
    pub ti: Vec<f64>,
    /// Margins on the nominal line, row by row.
    pub margins: Vec<Margins>,
    /// Edge of stability of the nominal line; it may leave the reach.
    pub edge: Vec<Edge>,
    /// Columns of the pass rates.
    pub shade_kc: Vec<f64>,
    /// Rows of the pass rates, s.
    pub shade_ti: Vec<f64>,
    /// Share of machines on which the trial holds, row by row; empty without a machine. Where the nominal line is unstable no run
    /// is made and the rate is zero.
    pub pass: Vec<f64>,
    /// Machines of each pass rate, the nominal one among them.
    pub machines: usize,
}

fn logarithmic(middle: f64, reach: f64, count: usize) -> Vec<f64> {
    let last = max(count as f64 - 1.0, 1.0);
    (0..count)
        .map(|n| middle * exp(log(reach) * (2.0 * n as f64 / last - 1.0)))
        .collect()
}

pub(super) fn plane(
    lines: &Lines,
    trial: Option<&Trial>,
    gains: &Gains,
    options: &Effort,
    count: &Count,
) -> Result<Plane, TuneError> {
    let axes = |[columns, rows]: [usize; 2]| {
        (
            logarithmic(gains.kc, REACH, columns),
            logarithmic(gains.ti, REACH, rows),
        )
    };
    let (kc, ti) = axes(options.plane);
    let weight = gains.weight;
    let rows = ensemble(ti.len(), options.threads, &|_| (), |row| {
        let mut sweep = Sweep::new(&lines.nominal)?;
        kc.iter()
            .map(|&kc| {
                sweep.margins(&Gains {
                    kc,
                    ti: ti[row],
                    weight,
                })
            })
            .collect::<Result<Vec<Margins>, Defect>>()
    });
    let mut margins = Vec::with_capacity(kc.len() * ti.len());
    for row in rows {
        margins.extend(row?);
    }
    let (shade_kc, shade_ti) = axes(options.shades);
    let mut pass = Vec::new();
    if let Some(trial) = trial {
        let points = shade_kc.len() * shade_ti.len();
        let rates = ensemble(points, options.threads, &|_| (), |point| {
            let gains = Gains {
                kc: shade_kc[point % shade_kc.len()],
                ti: shade_ti[point / shade_kc.len()],
                weight,
            };
            let stable = Sweep::new(&lines.nominal)?.margins(&gains)?.stable;
            let rate = if stable {
                judge::pass_rate(trial, gains, options.shade, options.seed, &|| count.one())
                    .map_err(TuneError::Judge)?
            } else {
                for _ in 0..=options.shade {
                    count.one();
                }
                0.0
            };
            Ok::<f64, TuneError>(rate)
        });
        for rate in rates {
            pass.push(rate?);
        }
    }
    Ok(Plane {
        edge: stability_edge(&lines.nominal, EDGE_POINTS)?,
        kc,
        ti,
        margins,
        shade_kc,
        shade_ti,
        pass,
        machines: options.shade + 1,
    })
}

/// One frequency of a loop, for Bode and Nyquist pictures.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Frequency {
    /// Frequency, rad/s.
    pub w: f64,
    /// Open loop.
    pub open: [f64; 2],
    /// Magnitude of the open loop.
    pub magnitude: f64,
    /// Its phase, rad, unwrapped.
    pub phase: f64,
    /// Magnitude of the sensitivity.
    pub sensitivity: f64,
    /// Magnitude of the complementary sensitivity.
    pub complementary: f64,
}

pub(super) fn frequency(line: &Line, gains: &Gains) -> Result<Vec<Frequency>, Defect> {
    let response = Response::new(line)?;
    let middle = Sweep::new(line)?.margins(gains)?.sensitivity_at;
    let middle = if middle.is_finite() && middle > 0.0 {
        middle
    } else {
        1.0 / max(line.slowness(), 1e-9)
    };
    let mut found: Vec<Frequency> = Vec::with_capacity(FREQUENCIES);
    for w in logarithmic(middle, FREQUENCY_REACH, FREQUENCIES) {
        if response.top().is_some_and(|top| w > top) {
            break;
        }
        let open = response.open_loop(gains.kc, gains.ti, w);
        let size = |z: Complex| sqrt(z.re * z.re + z.im * z.im);
        let one_plus = size(Complex::ONE + open);
        let turn = std::f64::consts::TAU;
        let mut phase = twinplate_sim::math::atan2(open.im, open.re);
        // The first point of a PI loop lies between -270° and 0°; from there on steps are small.
        let before = found
            .last()
            .map_or(-0.75 * std::f64::consts::PI, |f| f.phase);
        phase += turn * floor((before - phase) / turn + 0.5);
        found.push(Frequency {
            w,
            open: [open.re, open.im],
            magnitude: size(open),
            phase,
            sensitivity: 1.0 / max(one_plus, 1e-12),
            complementary: size(open) / max(one_plus, 1e-12),
        });
    }
    Ok(found)
}

/// Linear responses of a loop: nominal, and lowest and highest over all corners. A controller with model-following answers a ramp
/// more gently than this plain step.
#[derive(Clone, Debug, PartialEq)]
pub struct LinearBands {
    /// Output after a unit step of the reference.
    pub reference: judge::Band,
    /// Output after a unit step at the plant's input.
    pub disturbance: judge::Band,
}

/// None where a line is unstable.
pub(super) fn linear_bands(lines: &Lines, gains: &Gains) -> Option<LinearBands> {
    let one = |stimulus: Stimulus, reference: f64| {
        let nominal = trajectory(&lines.nominal, gains, stimulus, QUICK).ok()?;
        let mut corners = Vec::with_capacity(lines.corners.len());
        for corner in &lines.corners {
            corners.push(trajectory(&corner.line, gains, stimulus, QUICK).ok()?);
        }
        // Long enough for the slowest thing in sight to have settled, short enough to see the beginning.
        let end = min(
            nominal.step * nominal.output.len() as f64,
            12.0 * (lines.nominal.slowness() + gains.ti),
        );
        let mut band = judge::Band::default();
        for n in 0..SAMPLES {
            let t = end * n as f64 / (SAMPLES as f64 - 1.0);
            let value = at(&nominal, t);
            let (mut low, mut high) = (value, value);
            for corner in &corners {
                low = min(low, at(corner, t));
                high = max(high, at(corner, t));
            }
            band.time.push(t);
            band.reference.push(reference);
            band.nominal.push(value);
            band.low.push(low);
            band.high.push(high);
        }
        Some(band)
    };
    Some(LinearBands {
        reference: one(Stimulus::Reference, 1.0)?,
        disturbance: one(Stimulus::Disturbance, 0.0)?,
    })
}

/// Output at a time, on the straight line between two steps; its last value beyond the end.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // times are not negative and within the trajectory
fn at(trajectory: &Trajectory, t: f64) -> f64 {
    let place = t / trajectory.step;
    let whole = floor(place);
    let before = whole as usize;
    match (
        trajectory.output.get(before),
        trajectory.output.get(before + 1),
    ) {
        (Some(a), Some(b)) => a + (b - a) * abs(place - whole),
        _ => trajectory.output.last().copied().unwrap_or(0.0),
    }
}
