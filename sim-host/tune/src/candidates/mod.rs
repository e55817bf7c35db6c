//! Candidates: gain sets by rule and by optimum, each with its margins on the nominal line and on the corners of what is known of it.

mod lines;

pub use lines::{Controller, Corner, Lines, NOMINAL_MS, WORST_MS};

use super::judge::{Judgement, told};
use super::optimum::{Constraint, Limits, NoOptimum, Optimum, Problem, robust_optimum};
use super::rules::{self, CLOSED_LOOP_TIMES};
use twinplate_linear::line::{Defect, check_gains};
use twinplate_linear::model::ProcessModel;
use twinplate_linear::{Cycle, Relay, cycle, ultimate};
use twinplate_linear::{Margins, Sweep};
use twinplate_linear::{Measures, measures};
use twinplate_sim::math::max;
use twinplate_sim::model::{Gains, Of, Shown};

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
    let measures = measures::measures(&lines.nominal, gains).ok();
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
        let iae = measures::measures(&corner.line, gains)
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
    /// What both are of; nothing where they are plain numbers or times.
    pub of: Option<Of>,
    /// Where: the corner, or the run.
    pub at: String,
}

impl Broken {
    /// Value and bound in the answers' unit, to three digits, and that unit with a blank before it where there is one.
    #[must_use]
    pub fn told(&self, shown: &Shown) -> [String; 3] {
        told(self.of, [self.value, self.bound], self.unit, shown)
    }
}

/// Limits of lines that a gain set breaks.
#[must_use]
pub(crate) fn broken_on_lines(found: &OnLines, limits: &Limits) -> Vec<Broken> {
    if !found.stable {
        return vec![Broken {
            what: "stability".to_owned(),
            value: 1.0,
            bound: 0.0,
            unit: "",
            of: None,
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
                of: None,
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
pub(crate) fn by_rules(lines: &Lines) -> Result<Vec<Named>, Defect> {
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

/// Demands of the trial that a set breaks, worst case each.
#[must_use]
pub(crate) fn broken_in_trial(judged: &Judgement) -> Vec<Broken> {
    judged
        .demands
        .iter()
        .filter(|worst| worst.failed > 0)
        .map(|worst| Broken {
            what: worst.demand.what().to_owned(),
            value: worst.value,
            bound: worst.bound,
            unit: worst.demand.unit(),
            of: worst.demand.of(),
            at: match &worst.ending {
                Some(ending) => format!("run {}: {ending}", worst.run),
                None => format!(
                    "run {}, {} of {} failed",
                    worst.run, worst.failed, judged.runs
                ),
            },
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use twinplate_linear::model::Order;
    use twinplate_sim::compile;
    use twinplate_sim::demo;

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
        )
        .expect("lines");
        assert_eq!(lines.corners.len(), 8);
        let all = by_rules(&lines).expect("rules");
        assert!(all.iter().filter(|c| c.family == Family::Simc).count() == 3);
        for candidate in all {
            assert!(candidate.gains.kc < 0.0, "{candidate:?}");
            assert!(on_lines(&lines, &candidate.gains).expect("margins").stable);
        }
    }

    /// The reviewer's find: corners that reached to nothing used to be left out, and with them what bound the gains.
    #[test]
    fn more_doubt_never_gives_bolder_gains() {
        let model = ProcessModel {
            order: Order::First,
            gain: 800.0,
            tau1: 0.12,
            tau2: 0.0,
            dead_time: 0.05,
        };
        // Doubt of every parameter grows from none until gain, lag and dead time reach to next to nothing.
        let mut last = f64::INFINITY;
        for doubt in [0.0, 0.1, 0.3, 0.7, 1.2] {
            let around = |value: f64, least: f64| {
                [
                    max(value * (1.0 - doubt), least * value),
                    value * (1.0 + doubt),
                ]
            };
            let intervals = [
                around(model.gain, 0.01),
                around(model.tau1, 0.08),
                [0.0; 2],
                around(model.dead_time, 0.0),
            ];
            let lines =
                Lines::fitted(&model, intervals, &Controller::default()).expect("eight corners");
            assert_eq!(lines.corners.len(), 8);
            let kc = optimum(&lines, NOMINAL_MS, 1.0).map_or(0.0, |found| found.score.gains.kc);
            assert!(kc <= last * 1.001, "doubt {doubt}: {kc} after {last}");
            last = kc;
        }
        assert!(last < 0.000_7, "{last}");
    }

    #[test]
    fn a_gain_of_either_sign_and_an_interval_without_end_are_no_lines() {
        let model = ProcessModel {
            order: Order::First,
            gain: 800.0,
            tau1: 0.12,
            tau2: 0.0,
            dead_time: 0.05,
        };
        let good = [[700.0, 900.0], [0.1, 0.2], [0.0; 2], [0.04, 0.06]];
        let with = |place: usize, ends: [f64; 2]| {
            let mut intervals = good;
            intervals[place] = ends;
            Lines::fitted(&model, intervals, &Controller::default())
                .map(|lines| lines.corners.len())
        };
        assert_eq!(with(0, good[0]), Ok(8));
        for (place, ends, word) in [
            (0, [-10.0, 900.0], "gain"),
            (0, [0.0, 900.0], "gain"),
            (0, [700.0, f64::INFINITY], "gain"),
            (1, [0.0, 0.2], "lag"),
            (1, [0.1, f64::INFINITY], "lag"),
            (3, [0.0, f64::INFINITY], "dead time"),
        ] {
            let said = with(place, ends).expect_err("no lines").to_string();
            assert!(said.contains(word), "{ends:?}: {said}");
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
