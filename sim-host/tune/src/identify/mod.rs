//! From a log to a linear model with dead time, with what can be said for and against it.
//!
//! 1. Refuse at once what carries no model ([`Refusal`]).
//! 2. Fit every form (integrating, first, second order; with and without drift) by prediction error, dead time continuous.
//! 3. Intervals from the derivatives at the optimum, widened where the residuals are not white.
//! 4. Choose: lowest Bayesian criterion with the effective number of samples; among those that come within [`CLEARLY`] of it, the
//!    one with the fewest parameters.
//! 5. Refuse what only the fit shows (no connection, drift, sampling, gap, unfinished step).
//! 6. Noise, resolution, hysteresis, and [`Warning`]s.
//!
//! The command counts as held from its row to the next. No samples are invented across gaps; those at a limit are left out.

mod checks;
mod data;
mod fit;
mod refusal;
mod residuals;
pub mod response;
mod signal;
mod uncertainty;
mod warning;

pub use refusal::Refusal;
pub use residuals::{SIGNIFICANCE, Whiteness};
pub use signal::{Hysteresis, Noise};
pub use uncertainty::{Estimate, Parameters};
pub use warning::Warning;

use super::import::Log;
use data::Data;
use fit::{Form, Problem};
use residuals::{Colour, colour};
use response::{Change, Dynamics, respond};
use twinplate_linear::model::{Order, ProcessModel};
use twinplate_sim::math::{log, max, sqrt};

/// Difference of the Bayesian criterion that a further parameter must be worth: 'strong' evidence begins at 6 (Kass & Raftery,
/// *J. American Statistical Association* 90 (1995) 773-795; from memory).
pub const CLEARLY: f64 = 6.0;

/// Which drift terms are tried.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Drift {
    /// With and without; the criterion decides.
    #[default]
    Choose,
    /// Always with.
    Always,
    /// Never.
    Never,
}

/// What to fit.
#[derive(Clone, Debug, PartialEq)]
pub struct FitPlan {
    /// Forms to try.
    pub orders: Vec<Order>,
    /// Drift terms to try.
    pub drift: Drift,
    /// Dead time that is known, s: held in every form and not fitted. `None`: fitted.
    pub dead_time: Option<f64>,
}

impl Default for FitPlan {
    fn default() -> Self {
        Self {
            orders: vec![Order::Integrating, Order::First, Order::Second],
            drift: Drift::Choose,
            dead_time: None,
        }
    }
}

/// One fitted model.
#[derive(Clone, Debug, PartialEq)]
pub struct Fitted {
    /// The model, best values.
    pub model: ProcessModel,
    /// True if the fit has a linear drift.
    pub drift: bool,
    /// Every parameter with its 95 % interval.
    pub parameters: Parameters,
    /// 1 - NRMSE: 1 is perfect, 0 no better than the mean.
    pub fit: f64,
    /// Root mean square of the residuals, output unit.
    pub rms: f64,
    /// Test of the residuals.
    pub whiteness: Whiteness,
    /// Independent samples that the residuals are worth.
    pub effective: f64,
    /// Bayesian criterion; only differences between the fits of one log mean something.
    pub criterion: f64,
    /// Output minus model of the used samples, output unit.
    pub residuals: Vec<f64>,
    /// Size of what the command moves in the model, output unit.
    pub response: f64,
    /// Form in words.
    pub words: String,
}

/// What a log says.
#[derive(Clone, Debug, PartialEq)]
pub struct Identification {
    /// All fits, the chosen one first, then by criterion.
    pub fits: Vec<Fitted>,
    /// Index into the log of each sample that was used, in the order of [`Fitted::residuals`].
    pub used: Vec<usize>,
    /// Steps of the command that count (the recorder's trembling left out).
    pub steps: Vec<Change>,
    /// Noise and resolution.
    pub noise: Noise,
    /// Hysteresis, where the log has levels to compare.
    pub hysteresis: Option<Hysteresis>,
    /// What to know about it.
    pub warnings: Vec<Warning>,
}

impl Identification {
    /// The chosen fit. There is always one.
    #[must_use]
    pub fn chosen(&self) -> &Fitted {
        &self.fits[0]
    }

    /// The better fit of an order (with or without drift), if it was tried.
    #[must_use]
    pub fn of_order(&self, order: Order) -> Option<&Fitted> {
        self.fits.iter().find(|fit| fit.model.order == order)
    }
}

/// Answer of a fitted model at every sample of a log (those left out of the fit too), output unit.
#[must_use]
pub(crate) fn simulate(log: &Log, fitted: &Fitted) -> Vec<f64> {
    let mut rows = Vec::new();
    let changes = data::changes(log);
    let model = &fitted.model;
    let dynamics = Dynamics {
        order: model.order,
        // An unused lag must still be a number to divide by.
        tau: [model.tau1, model.tau2].map(|tau| if tau > 0.0 { tau } else { 1e-9 }),
        dead_time: model.dead_time,
    };
    respond(&log.time_s, &changes, &dynamics, &mut rows);
    let start = log.time_s.first().copied().unwrap_or(0.0);
    let parameters = &fitted.parameters;
    rows.iter()
        .zip(&log.time_s)
        .map(|(row, time)| {
            parameters.start.value + parameters.drift.value * (time - start) + model.gain * row.x
        })
        .collect()
}

/// A fit before it is put into real units.
struct Candidate<'a> {
    problem: Problem<'a>,
    residuals: Vec<f64>,
    colour: Colour,
    sum_of_squares: f64,
}

/// Fits a log and chooses.
///
/// # Errors
/// [`Refusal`]: the log carries no model; says why and what would mend it.
pub fn identify(log: &Log, options: &FitPlan) -> Result<Identification, Refusal> {
    let changes = data::changes(log);
    let steps = data::steps(&changes);
    checks::before(log, &steps)?;
    let data = Data::new(log, &changes).ok_or(Refusal::NoFit)?;
    let held = options.dead_time.map(|known| known / data.scale[0]);
    if let (Some(dead_time), Some(share)) = (options.dead_time, held)
        && !(0.0..1.0).contains(&share)
    {
        return Err(Refusal::DeadTimeBeyond {
            dead_time,
            span: data.scale[0],
        });
    }
    let candidates = candidates(&data, options, held);
    let order = ranking(&candidates, data.t.len());
    let Some(best) = order.first().and_then(|first| candidates.get(first.0)) else {
        return Err(Refusal::NoFit);
    };
    let fits: Vec<Fitted> = order
        .iter()
        .map(|&(i, criterion)| finished(&data, &candidates[i], criterion))
        .collect();
    checks::connected(log, &data, &steps, best.sum_of_squares, &fits[0])?;
    checks::after(log, &data, &steps, &fits)?;
    let model = fits[0].model;
    let busy = model.dead_time + 4.0 * (model.tau1 + model.tau2);
    let noise = signal::noise(log, &data.index, &steps, busy);
    let drift = fits[0].parameters.drift.value;
    let hysteresis = signal::hysteresis(log, &data.index, &steps, &model, drift, noise.deviation);
    let mut found = Identification {
        fits,
        used: data.index,
        steps,
        noise,
        hysteresis,
        warnings: Vec::new(),
    };
    found.warnings = checks::warnings(log, &found);
    Ok(found)
}

/// Every form that was asked for. `held`: a known dead time, scaled.
fn candidates<'a>(data: &'a Data, options: &FitPlan, held: Option<f64>) -> Vec<Candidate<'a>> {
    let drifts: &[bool] = match options.drift {
        Drift::Choose => &[false, true],
        Drift::Always => &[true],
        Drift::Never => &[false],
    };
    let mut found = Vec::new();
    for &drift in drifts {
        let tried = |order| options.orders.contains(&order);
        let fit = |order, hint| fit::fit(data, Form { order, drift, held }, hint);
        if tried(Order::Integrating) {
            found.extend(fit(Order::Integrating, None));
        }
        let first = if tried(Order::First) || tried(Order::Second) {
            fit(Order::First, None)
        } else {
            None
        };
        if tried(Order::Second) {
            found.extend(fit(Order::Second, first.as_ref()));
        }
        if tried(Order::First) {
            found.extend(first);
        }
    }
    found
        .into_iter()
        .map(|problem| {
            let residuals = problem.residual_values();
            let colour = colour(&residuals, problem.form().count());
            Candidate {
                sum_of_squares: problem.sum_of_squares(),
                residuals,
                colour,
                problem,
            }
        })
        .collect()
}

/// Bayesian criterion `N ln(SSE/n) + p ln N` of each, `N` being the effective number of samples of the best fit; the choice first,
/// then the rest by criterion.
fn ranking(candidates: &[Candidate<'_>], samples: usize) -> Vec<(usize, f64)> {
    let n = samples as f64;
    let Some(closest) = candidates
        .iter()
        .min_by(|a, b| a.sum_of_squares.total_cmp(&b.sum_of_squares))
    else {
        return Vec::new();
    };
    let effective = closest.colour.effective;
    let mut order: Vec<(usize, f64)> = candidates
        .iter()
        .enumerate()
        .map(|(i, c)| {
            let spread = log(max(c.sum_of_squares / n, 1e-28));
            (
                i,
                effective * spread + c.problem.form().count() as f64 * log(effective),
            )
        })
        .collect();
    order.sort_by(|a, b| a.1.total_cmp(&b.1));
    let best = order[0].1;
    let chosen = order
        .iter()
        .enumerate()
        .filter(|(_, (_, criterion))| criterion - best < CLEARLY)
        .min_by_key(|(_, (i, _))| candidates[*i].problem.form().count())
        .map_or(0, |(place, _)| place);
    let first = order.remove(chosen);
    order.insert(0, first);
    order
}

/// In real units.
fn finished(data: &Data, candidate: &Candidate<'_>, criterion: f64) -> Fitted {
    let problem = &candidate.problem;
    let form = problem.form();
    let parameters = uncertainty::parameters(data, problem, &candidate.colour);
    let n = data.y.len() as f64;
    let mean = data.y.iter().sum::<f64>() / n;
    let total: f64 = data.y.iter().map(|y| (y - mean) * (y - mean)).sum();
    Fitted {
        model: ProcessModel {
            order: form.order,
            gain: parameters.gain.value,
            tau1: parameters.tau1.value,
            tau2: parameters.tau2.value,
            dead_time: parameters.dead_time.value,
        },
        drift: form.drift,
        parameters,
        fit: 1.0 - sqrt(candidate.sum_of_squares / max(total, 1e-300)),
        rms: residuals::rms(&candidate.residuals) * data.scale[1],
        whiteness: candidate.colour.whiteness,
        effective: candidate.colour.effective,
        criterion,
        residuals: candidate
            .residuals
            .iter()
            .map(|r| r * data.scale[1])
            .collect(),
        response: problem.swing() * data.scale[1],
        words: form.words(),
    }
}
