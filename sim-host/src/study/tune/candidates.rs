//! Candidates: gain sets by rule and by optimum, each with its margins on the nominal line and on the corners of what is known of it.

use super::linear::declared::{self, Factors};
use super::linear::line::{Defect, Line, LowPass, Sampling, check_gains};
use super::linear::{Cycle, Relay, cycle, ultimate};
use super::linear::{Margins, Sweep};
use super::linear::{Measures, step};
use super::model::{Order, ProcessModel};
use super::optimum::{Constraint, Limits, NoOptimum, Optimum, Problem, robust_optimum};
use super::rules::{self, CLOSED_LOOP_TIMES};
use crate::math::max;
use crate::model::{Gains, Machine};
use firmware_core::units::TICK_SECONDS;

/// Largest sensitivity on the nominal line: the upper end of what loops are tuned for (1.4 to 1.7 and seldom 2; Åström & Hägglund,
/// from memory).
pub const NOMINAL_MS: f64 = 1.7;
/// Largest sensitivity on the worst corner, where gain, lag and dead time are all at their worst edge: a gain margin of at least 1.67
/// and a phase margin of at least 23° are left there (from `Ms/(Ms-1)` and `2 asin(1/(2 Ms))`).
pub const WORST_MS: f64 = 2.5;
/// Largest overshoot of a plain setpoint step, share, where only a log is known (common practice, no source). With a machine the trial
/// on the real controller judges it, ramp and model-following included.
const PLAIN_OVERSHOOT: f64 = 0.1;
/// Most travel of the command after a unit disturbance: it may go half as far again and come back (common practice, no source).
const TRAVEL: f64 = 2.0;
/// Standard deviations of noise on the command that must not reach one jump of the regulator: above it the actuator works all the
/// time, and wears, without a reason in the load.
const NOISE_SIGMAS: f64 = 3.0;

const LIMITS: Limits = Limits {
    sensitivity: NOMINAL_MS,
    corner_sensitivity: WORST_MS,
    overshoot: f64::INFINITY,
    travel: TRAVEL,
    noise: f64::INFINITY,
};

/// A line that may be the true one.
#[derive(Clone, Debug, PartialEq)]
pub struct Corner {
    /// Which, for people: "gain +5 %, lag -30 %, dead time +30 %".
    pub what: String,
    /// The line.
    pub line: Line,
}

/// What gains are tuned for.
#[derive(Clone, Debug, PartialEq)]
pub struct Lines {
    /// Best knowledge.
    pub nominal: Line,
    /// Edges of that knowledge.
    pub corners: Vec<Corner>,
    /// Limits.
    pub limits: Limits,
}

impl Lines {
    /// The line that a machine file declares, and the eight corners of its envelope.
    #[must_use]
    pub fn declared(machine: &Machine) -> Self {
        let e = &machine.envelope;
        let mut corners = Vec::with_capacity(8);
        for bits in 0..8_u8 {
            let side = |bit: u8| if bits >> bit & 1 == 0 { -1.0 } else { 1.0 };
            let shares = [
                side(0) * e.regulator_gain,
                side(1) * e.lag,
                side(2) * e.dead_time,
            ];
            let factors = Factors {
                gain: 1.0 + shares[0],
                lag: 1.0 + shares[1],
                dead_time: 1.0 + shares[2],
            };
            corners.push(Corner {
                what: corner_words(shares),
                line: declared::declared(machine, factors),
            });
        }
        Self {
            nominal: declared::declared(machine, declared::NOMINAL),
            corners,
            limits: Limits {
                noise: quiet(machine),
                ..LIMITS
            },
        }
    }

    /// A fitted model with its 95 % intervals (gain, first lag, second lag, dead time), and what is known of the controller.
    #[must_use]
    pub fn fitted(model: &ProcessModel, intervals: [[f64; 2]; 4], loop_: &Controller) -> Self {
        let [gain, tau1, tau2, dead_time] = intervals;
        let mut corners = Vec::with_capacity(8);
        for bits in 0..8_u8 {
            let pick = |bit: u8, ends: [f64; 2]| ends[usize::from(bits >> bit & 1)];
            let corner = ProcessModel {
                order: model.order,
                gain: pick(0, gain),
                tau1: if model.order == Order::Integrating {
                    0.0
                } else {
                    pick(1, tau1)
                },
                tau2: pick(1, tau2),
                dead_time: max(pick(2, dead_time), 0.0),
            };
            let share = |new: f64, old: f64| if old == 0.0 { 0.0 } else { new / old - 1.0 };
            let line = loop_.line(&corner);
            // An interval that reaches over zero holds models that no loop can be closed around.
            if line.check().is_ok() && corner.gain * model.gain > 0.0 {
                corners.push(Corner {
                    what: corner_words([
                        share(corner.gain, model.gain),
                        share(corner.tau1, model.tau1),
                        share(corner.dead_time, model.dead_time),
                    ]),
                    line,
                });
            }
        }
        Self {
            nominal: loop_.line(model),
            corners,
            limits: Limits {
                overshoot: PLAIN_OVERSHOOT,
                ..LIMITS
            },
        }
    }

    /// Rules are for one lag with dead time: the nominal line so reduced, its filters, holding and computing counted as dead time.
    ///
    /// # Errors
    /// A line that cannot be reduced.
    pub fn reduced(&self) -> Result<ProcessModel, Defect> {
        rules::half_rule(&self.nominal.process, rules::overhead(&self.nominal))
    }
}

/// What is known of the controller around a fitted model.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Controller {
    /// Corner of its second-order low-pass, Hz.
    pub filter: Option<f64>,
    /// It is the core of this program, with its tick.
    pub core: bool,
}

impl Controller {
    /// The line around a model. What the recorder's own filter did is in the model already.
    #[must_use]
    pub fn line(&self, model: &ProcessModel) -> Line {
        let mut line = Line::plain(*model);
        line.digital.extend(self.filter.map(|corner| LowPass {
            corner,
            damping: std::f64::consts::FRAC_1_SQRT_2,
        }));
        line.sampling = self.core.then_some(Sampling {
            period: f64::from(TICK_SECONDS),
            computing: 1,
        });
        line
    }
}

fn corner_words(shares: [f64; 3]) -> String {
    let word = |name: &str, share: f64| format!("{name} {:+.0} %", share * 100.0);
    format!(
        "{}, {}, {}",
        word("gain", shares[0]),
        word("lag", shares[1]),
        word("dead time", shares[2])
    )
}

/// Command per newton of measured noise at which the noisiest machine of the envelope moves the command by one jump of the
/// regulator.
fn quiet(machine: &Machine) -> f64 {
    let noise = machine.cell.noise * machine.envelope.noise_factor;
    if noise > 0.0 && machine.actuator.resolution > 0.0 {
        machine.actuator.resolution / (NOISE_SIGMAS * noise)
    } else {
        f64::INFINITY
    }
}

/// Where a gain set comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Family {
    /// SIMC.
    Simc,
    /// AMIGO.
    Amigo,
    /// Ziegler–Nichols.
    ZieglerNichols,
    /// Relay.
    Relay,
    /// Robust optimum.
    Optimum,
    /// In force before.
    Present,
}

/// A gain set with a name.
#[derive(Clone, Debug, PartialEq)]
pub struct Named {
    /// Short name, for tables.
    pub name: String,
    /// How it was made, with its source.
    pub from: String,
    /// Which family.
    pub family: Family,
    /// The gains.
    pub gains: Gains,
}

/// What a gain set is worth on lines.
#[derive(Clone, Debug, PartialEq)]
pub struct OnLines {
    /// On the nominal line.
    pub nominal: Margins,
    /// The corner with the largest sensitivity.
    pub worst: Margins,
    /// Which corner that is.
    pub worst_at: String,
    /// Stable on every corner.
    pub stable: bool,
    /// Unit step of the reference and of the plant's input on the nominal line; none where it is unstable.
    pub measures: Option<[Measures; 2]>,
    /// Largest integral error of all lines for a unit step at the plant's input; infinite where one is unstable.
    pub worst_iae: f64,
    /// Command per output unit of noise, nominal.
    pub noise: f64,
}

impl OnLines {
    /// A limit's measure; `None` where it has none (an unstable loop has no response).
    #[must_use]
    pub fn get(&self, constraint: Constraint) -> Option<f64> {
        match constraint {
            Constraint::Sensitivity => Some(self.nominal.sensitivity),
            Constraint::CornerSensitivity => Some(self.worst.sensitivity),
            Constraint::Overshoot => self.measures.map(|[reference, _]| reference.overshoot),
            Constraint::Travel => self.measures.map(|[_, disturbance]| disturbance.travel),
            Constraint::Noise => Some(self.noise),
        }
    }
}

/// Margins and measures of gains on the nominal line and on every corner.
///
/// # Errors
/// A number that no loop can be built from.
pub fn on_lines(lines: &Lines, gains: &Gains) -> Result<OnLines, Defect> {
    let mut sweep = Sweep::new(&lines.nominal)?;
    let nominal = sweep.margins(gains)?;
    let measures = step::measures(&lines.nominal, gains).ok();
    let mut found = OnLines {
        nominal,
        worst: nominal,
        worst_at: "nominal".to_owned(),
        stable: nominal.stable,
        worst_iae: measures.map_or(f64::INFINITY, |[_, disturbance]| disturbance.iae),
        measures,
        noise: sweep.noise(gains)?,
    };
    for corner in &lines.corners {
        let margins = Sweep::new(&corner.line)?.margins(gains)?;
        found.stable &= margins.stable;
        let worse = margins.sensitivity > found.worst.sensitivity || !margins.stable;
        if found.worst.stable && worse {
            found.worst = margins;
            found.worst_at.clone_from(&corner.what);
        }
        let iae = step::measures(&corner.line, gains)
            .map_or(f64::INFINITY, |[_, disturbance]| disturbance.iae);
        found.worst_iae = max(found.worst_iae, iae);
    }
    Ok(found)
}

/// A limit that a gain set breaks.
#[derive(Clone, Debug, PartialEq)]
pub struct Broken {
    /// Which, for people.
    pub what: String,
    /// Value found.
    pub value: f64,
    /// Its bound.
    pub bound: f64,
    /// Unit of both; empty for plain numbers.
    pub unit: &'static str,
    /// Where: the corner, or the run.
    pub at: String,
}

/// Limits of lines that a gain set breaks.
#[must_use]
pub fn broken_on_lines(found: &OnLines, limits: &Limits) -> Vec<Broken> {
    if !found.stable {
        return vec![Broken {
            what: "stability".to_owned(),
            value: 1.0,
            bound: 0.0,
            unit: "",
            at: found.worst_at.clone(),
        }];
    }
    Constraint::ALL
        .into_iter()
        .filter_map(|constraint| {
            let (value, bound) = (found.get(constraint)?, limits.get(constraint));
            let room = match constraint {
                Constraint::Overshoot => bound + TOUCH,
                _ => bound * (1.0 + TOUCH),
            };
            // What is no number keeps no limit.
            (value.is_nan() || value > room).then(|| Broken {
                what: constraint.name().to_owned(),
                value,
                bound,
                unit: "",
                at: if constraint == Constraint::CornerSensitivity {
                    found.worst_at.clone()
                } else {
                    "nominal".to_owned()
                },
            })
        })
        .collect()
}

/// An optimum on a limit may stand the rounding of its gains (five digits) over it.
const TOUCH: f64 = 2e-4;

/// The optimum under the limits with another nominal Ms
///
/// # Errors
/// As [`robust_optimum`].
pub fn optimum(lines: &Lines, sensitivity: f64, weight: f64) -> Result<Optimum, NoOptimum> {
    robust_optimum(&problem(lines, sensitivity, weight), |_| ())
}

/// The optimum's problem.
#[must_use]
pub fn problem(lines: &Lines, sensitivity: f64, weight: f64) -> Problem {
    Problem {
        line: lines.nominal.clone(),
        corners: lines.corners.iter().map(|c| c.line.clone()).collect(),
        limits: Limits {
            sensitivity,
            ..lines.limits
        },
        weight,
    }
}

/// SIMC's closed-loop time is counted in dead times, or in this share of the lag where that is more.
const LEAST_SHARE: f64 = 0.05;

/// Candidates by the published rules.
///
/// # Errors
/// A line that cannot be reduced to one lag with dead time.
pub fn by_rules(lines: &Lines) -> Result<Vec<Named>, Defect> {
    let model = lines.reduced()?;
    let mut found = Vec::new();
    let mut add = |name: String, from: String, family, gains: Result<Gains, Defect>| {
        // A rule that does not apply (no dead time) has no candidate.
        if let Ok(gains) = gains
            && check_gains(&gains).is_ok()
        {
            found.push(Named {
                name,
                from,
                family,
                gains,
            });
        }
    };
    // A line with hardly any dead time would have no bound to its gains: a twentieth of its lag stands in.
    let unit = max(
        model.dead_time,
        LEAST_SHARE * max(model.tau1, lines.nominal.slowness()),
    );
    for (times, word) in CLOSED_LOOP_TIMES {
        let closed = times * unit;
        add(
            format!("SIMC {word}"),
            format!("SIMC, closed-loop time {times} effective dead times (Skogestad 2003)"),
            Family::Simc,
            rules::simc(&model, closed),
        );
    }
    add(
        "AMIGO".into(),
        "AMIGO (Åström & Hägglund 2004)".into(),
        Family::Amigo,
        rules::amigo(&model),
    );
    add(
        "ZN reaction".into(),
        "Ziegler–Nichols, reaction curve (1942), for comparison".into(),
        Family::ZieglerNichols,
        rules::reaction_curve(&model),
    );
    if let Some(point) = ultimate(&lines.nominal)? {
        add(
            "ZN ultimate".into(),
            "Ziegler–Nichols, ultimate gain (1942), for comparison".into(),
            Family::ZieglerNichols,
            Ok(rules::ziegler_nichols(&point)),
        );
    }
    if let Some((relay, cycle)) = expected_cycle(&model)? {
        add(
            "relay".into(),
            "Ziegler–Nichols on the describing function's reading of a relay's cycle, for comparison".into(),
            Family::Relay,
            rules::relay_reading(&relay, &cycle).map(|point| rules::ziegler_nichols(&point)),
        );
    }
    Ok(found)
}

/// The cycle that an ideal relay would drive the reduced model into.
fn expected_cycle(model: &ProcessModel) -> Result<Option<(Relay, Cycle)>, Defect> {
    let relay = Relay {
        height: 1.0,
        hysteresis: 0.0,
    };
    Ok(cycle(model, &relay)?.map(|cycle| (relay, cycle)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::compile;
    use crate::demo;

    #[test]
    fn the_default_rule_is_one_of_the_candidates_but_for_cell_and_tick() {
        // The default rule knows the filter's lag; the candidates also know the cell's, holding and computing.
        let machine = demo::machine("machine-a");
        let lines = Lines::declared(&machine);
        let all = by_rules(&lines).expect("rules");
        let even = all.iter().find(|c| c.name == "SIMC even").expect("SIMC");
        let by_default = compile::default_gains(&machine);
        assert!((even.gains.kc / by_default.kc - 0.9).abs() < 0.03);
        assert!((even.gains.ti - by_default.ti).abs() < 1e-9);
    }

    #[test]
    fn the_optimum_is_at_or_under_a_rule_at_the_rules_own_sensitivity() {
        let lines = Lines::declared(&demo::machine("machine-b"));
        for rule in by_rules(&lines).expect("rules") {
            if !matches!(rule.family, Family::Simc | Family::Amigo) {
                continue;
            }
            let found = on_lines(&lines, &rule.gains).expect("margins");
            if !broken_on_lines(&found, &lines.limits).is_empty() {
                continue;
            }
            let best = optimum(&lines, found.nominal.sensitivity, 1.0).expect("optimum");
            // The search follows responses a little less finely than the measures.
            assert!(
                best.score.worst_iae <= found.worst_iae * 1.005,
                "{}: {} against {}",
                rule.name,
                best.score.worst_iae,
                found.worst_iae
            );
            assert!(best.score.margins.sensitivity <= found.nominal.sensitivity * 1.0001);
        }
    }

    #[test]
    fn a_line_without_dead_time_has_candidates_too() {
        let model = ProcessModel {
            order: Order::First,
            gain: -2.0,
            tau1: 5.0,
            tau2: 0.0,
            dead_time: 0.0,
        };
        let lines = Lines::fitted(
            &model,
            [[-2.1, -1.9], [4.5, 5.5], [0.0; 2], [0.0; 2]],
            &Controller::default(),
        );
        assert_eq!(lines.corners.len(), 8);
        let all = by_rules(&lines).expect("rules");
        assert!(all.iter().filter(|c| c.family == Family::Simc).count() == 3);
        for candidate in all {
            assert!(candidate.gains.kc < 0.0, "{candidate:?}");
            assert!(on_lines(&lines, &candidate.gains).expect("margins").stable);
        }
    }

    #[test]
    fn a_quick_set_breaks_the_limits_and_says_where() {
        let lines = Lines::declared(&demo::machine("machine-a"));
        let all = by_rules(&lines).expect("rules");
        let quick = all.iter().find(|c| c.name == "SIMC quick").expect("SIMC");
        let found = on_lines(&lines, &quick.gains).expect("margins");
        let broken = broken_on_lines(&found, &lines.limits);
        let corner = broken
            .iter()
            .find(|b| b.what == Constraint::CornerSensitivity.name())
            .expect("broken");
        assert!(corner.value > corner.bound);
        assert_eq!(corner.at, "gain +5 %, lag -30 %, dead time +30 %");
    }
}
