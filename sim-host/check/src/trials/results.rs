//! What the closed-loop trials came to: the nominal machine and machines drawn from its envelope, each through one whole cycle.
//!
//! A run is judged on what is true in the plant, never on the controller's own opinion. Every requirement is one number
//! against one bound, so that each has a worst case with a name: the run to replay. Results do not depend on the number of
//! threads: runs are numbered, and a tie goes to the lower number.

use crate::catalogue::Code;
use crate::finding::{Counts, Finding, Place, significant};
use serde::Serialize;
use twinplate_sim::math::min;
use twinplate_sim::model::Shown;
use twinplate_sim::requirements::{Judged, REQUIREMENTS, Requirement, RunJudgement};

/// Which run of the trials.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct TrialRun {
    /// Number of the draw, as `run --draw` takes it; 0 is the nominal machine.
    pub draw: u64,
    /// It began with plates as warm as batches before leave them (`run --warm`).
    pub warm: bool,
}

impl std::fmt::Display for TrialRun {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.pad(&format!(
            "{}{}",
            self.draw,
            if self.warm { " warm" } else { "" }
        ))
    }
}

/// Worst case of one requirement over all runs.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WorstCase {
    /// Which.
    #[serde(skip)]
    pub requirement: Requirement,
    /// Number of the run, as `run --draw` takes it; 0 is the nominal machine.
    pub draw: u64,
    /// Whether that run began with plates as warm as batches before leave them.
    pub warm: bool,
    /// What was measured.
    pub what: &'static str,
    /// The worst value.
    pub value: f64,
    /// The best value of all runs.
    pub best: f64,
    /// The value of the nominal machine that began cold; `null` where it has none.
    pub nominal: Option<f64>,
    /// Its bound.
    pub limit: f64,
    /// Unit of both.
    pub unit: &'static str,
    /// Step it happened in, from 0, where it belongs to one.
    #[serde(skip)]
    pub step: Option<usize>,
    /// Runs that broke it.
    pub failed: usize,
    /// How that run ended.
    #[serde(skip)]
    pub ending: String,
    /// Hash of what the controller did in that run; hexadecimal text in JSON, whose readers often keep only 53 bits.
    #[serde(serialize_with = "hexadecimal")]
    pub control_hash: u64,
}

impl WorstCase {
    /// One of its numbers with the unit that is shown.
    fn told(&self, shown: &Shown, number: f64) -> String {
        self.requirement.kind().map_or_else(
            || format!("{} {}", significant(number, 4), self.unit),
            |of| shown.tell(of, number, 4),
        )
    }

    /// The run.
    #[must_use]
    pub const fn run(&self) -> TrialRun {
        TrialRun {
            draw: self.draw,
            warm: self.warm,
        }
    }
}

#[allow(clippy::trivially_copy_pass_by_ref)] // the signature serde asks for
fn hexadecimal<S: serde::Serializer>(value: &u64, to: S) -> Result<S::Ok, S::Error> {
    to.collect_str(&format_args!("{value:#018x}"))
}

/// What the trials covered and found.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Results {
    /// Seed of the trials: with a run's number it makes the run.
    pub seed: u64,
    /// Runs, the nominal one among them.
    pub runs: usize,
    /// Runs that broke any requirement.
    pub failed: usize,
    /// Worst case of each requirement, in the order of [`REQUIREMENTS`].
    pub worst: Vec<WorstCase>,
    /// Overshoot of every run over its bound's basis, N, in the order of the runs, for the histogram.
    pub overshoot: Vec<f64>,
    /// Bound of the overshoot, N (of the nominal run's worst step).
    pub overshoot_limit: f64,
}

impl Results {
    /// Sums up judged runs. `runs` may come in any order.
    #[must_use]
    pub fn of(seed: u64, mut runs: Vec<RunJudgement>) -> Self {
        runs.sort_by_key(name);
        let mut worst: Vec<WorstCase> = Vec::with_capacity(REQUIREMENTS.len());
        for requirement in REQUIREMENTS {
            let mut found: Option<(f64, WorstCase)> = None;
            let mut failed = 0;
            let (mut best, mut nominal) = (f64::INFINITY, None);
            for run in &runs {
                for item in run.items.iter().filter(|i| i.requirement == requirement) {
                    failed += usize::from(!item.holds());
                    best = min(best, item.value);
                    if name(run) == TrialRun::default() {
                        nominal = Some(item.value);
                    }
                    if found.as_ref().is_none_or(|(used, _)| item.used() > *used) {
                        found = Some((item.used(), worst_case(run, item)));
                    }
                }
            }
            if let Some((_, mut case)) = found {
                case.failed = failed;
                (case.best, case.nominal) = (best, nominal);
                worst.push(case);
            }
        }
        let overshoots = |pick: fn(&Judged) -> f64| {
            runs.iter()
                .filter_map(|run| {
                    run.items
                        .iter()
                        .find(|item| item.requirement == Requirement::Overshoot)
                        .map(pick)
                })
                .collect::<Vec<f64>>()
        };
        Self {
            seed,
            runs: runs.len(),
            failed: runs.iter().filter(|run| !run.holds()).count(),
            overshoot: overshoots(|item| item.value),
            overshoot_limit: overshoots(|item| item.limit)
                .first()
                .copied()
                .unwrap_or(0.0),
            worst,
        }
    }

    /// The case that comes nearest to its bound, or furthest over it; requirements that merely count come only if broken.
    #[must_use]
    pub(crate) fn tightest(&self) -> Option<&WorstCase> {
        let mut best: Option<(&WorstCase, (bool, f64))> = None;
        for case in &self.worst {
            let Some(near) = as_judged(case).nearness() else {
                continue;
            };
            if best.is_none_or(|(_, nearest)| near > nearest) {
                best = Some((case, near));
            }
        }
        best.map(|(case, _)| case)
    }

    /// The load requirement that comes nearest to its bound.
    #[must_use]
    pub fn tightest_load(&self) -> Option<&WorstCase> {
        let mut best: Option<(&WorstCase, f64)> = None;
        for case in &self.worst {
            let used = as_judged(case).used();
            if case.unit == "N" && best.is_none_or(|(_, most)| used > most) {
                best = Some((case, used));
            }
        }
        best.map(|(case, _)| case)
    }

    /// A finding for every broken requirement, in the units that are shown. `replay` gives the command that runs a numbered run again.
    #[must_use]
    pub fn findings(&self, shown: &Shown, replay: &dyn Fn(TrialRun) -> String) -> Vec<Finding> {
        let mut findings = Vec::new();
        for case in self.worst.iter().filter(|case| case.failed > 0) {
            let code = code_of(case.requirement);
            let counts = case
                .requirement
                .kind()
                .map_or(Counts::Bare(case.unit), Counts::Of);
            let message = if case.requirement == Requirement::Completes {
                format!(
                    "{} of {} runs did not complete; run {}: {}",
                    case.failed,
                    self.runs,
                    case.run(),
                    case.ending
                )
            } else {
                format!(
                    "{} of {} runs: {}; worst run {}{}: {}, limit {}",
                    case.failed,
                    self.runs,
                    case.what,
                    case.run(),
                    case.step
                        .map_or(String::new(), |step| format!(", step {}", step + 1)),
                    case.told(shown, case.value),
                    case.told(shown, case.limit)
                )
            };
            let cure = format!("{} Replay: {}", code.entry().cure, replay(case.run()));
            findings.push(
                Finding::new(code, place_of(case.requirement, case.step), message, cure)
                    .with_numbers(case.value, case.limit, counts),
            );
        }
        findings
    }
}

/// The finding of a requirement that is broken.
const fn code_of(requirement: Requirement) -> Code {
    match requirement {
        Requirement::Completes => Code::ProofNotCompleted,
        Requirement::LoadLimit => Code::ProofLoadLimit,
        Requirement::Overshoot => Code::ProofOvershoot,
        Requirement::RatedLoad => Code::ProofRatedLoad,
        Requirement::FirstContact => Code::ProofFirstContact,
        Requirement::PartStrength => Code::ProofPartStrength,
        Requirement::CarrierTeeth => Code::ProofCarrierTeeth,
        Requirement::Dry => Code::ProofDry,
        Requirement::Harm => Code::ProofHarm,
        Requirement::Size => Code::ProofSize,
        Requirement::Spread => Code::ProofSpread,
        Requirement::Flatness => Code::ProofFlatness,
        Requirement::Parallelism => Code::ProofParallelism,
        Requirement::Finish => Code::ProofFinish,
        Requirement::Damage => Code::ProofDamage,
    }
}

/// Where the finding of a requirement points; `step` counts from 0.
fn place_of(requirement: Requirement, step: Option<usize>) -> Place {
    match requirement {
        Requirement::LoadLimit => Place::step(step.unwrap_or(0), "load_limit"),
        Requirement::Overshoot => Place::machine("gains"),
        Requirement::RatedLoad => Place::machine("control.rated_load"),
        Requirement::FirstContact => Place::machine("control.first_contact_limit"),
        Requirement::PartStrength => Place::batch("strength"),
        Requirement::CarrierTeeth => Place::batch("carrier_thickness"),
        Requirement::Dry => Place::recipe("prestart"),
        Requirement::Size | Requirement::Spread => Place::batch("tolerance"),
        Requirement::Flatness => Place::batch("flatness"),
        Requirement::Parallelism => Place::batch("parallelism"),
        Requirement::Finish => Place::batch("finish"),
        Requirement::Damage => Place::batch("damage"),
        Requirement::Completes | Requirement::Harm => Place::recipe("steps"),
    }
}

/// Its run.
const fn name(run: &RunJudgement) -> TrialRun {
    TrialRun {
        draw: run.index,
        warm: run.warm,
    }
}

fn as_judged(case: &WorstCase) -> Judged {
    Judged {
        requirement: case.requirement,
        value: case.value,
        limit: case.limit,
        step: case.step,
    }
}

fn worst_case(run: &RunJudgement, item: &Judged) -> WorstCase {
    WorstCase {
        requirement: item.requirement,
        draw: run.index,
        warm: run.warm,
        what: item.requirement.what(),
        value: item.value,
        best: item.value,
        nominal: None,
        limit: item.limit,
        unit: item.requirement.unit(),
        step: item.step,
        failed: 0,
        ending: run.ending.clone(),
        control_hash: run.control_hash,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn run(index: u64, overshoot: f64) -> RunJudgement {
        RunJudgement {
            index,
            warm: false,
            items: vec![
                Judged {
                    requirement: Requirement::Completes,
                    value: 0.0,
                    limit: 0.0,
                    step: None,
                },
                Judged {
                    requirement: Requirement::Overshoot,
                    value: overshoot,
                    limit: 5.3,
                    step: Some(2),
                },
            ],
            ending: "Complete".into(),
            control_hash: index,
        }
    }

    #[test]
    fn the_worst_case_is_the_same_in_whatever_order_runs_arrive() {
        let runs: Vec<RunJudgement> = [(0, 1.0), (1, 4.0), (2, 4.0), (3, 2.0)]
            .map(|(index, overshoot)| run(index, overshoot))
            .into();
        let mut turned = runs.clone();
        turned.reverse();
        let (one, other) = (Results::of(7, runs), Results::of(7, turned));
        assert_eq!(one, other);
        assert_eq!(one.tightest().map(|case| case.draw), Some(1));
        assert_eq!(one.failed, 0);
        assert!(
            one.findings(&Shown::default(), &|_| String::new())
                .is_empty()
        );
    }

    #[test]
    fn a_broken_requirement_becomes_a_finding_with_its_replay() {
        let results = Results::of(7, vec![run(0, 1.0), run(1, 6.0), run(2, f64::NAN)]);
        assert_eq!(results.failed, 2);
        let findings = results.findings(&Shown::default(), &|index| format!("replay {index}"));
        assert_eq!(findings.len(), 1);
        assert_eq!(findings[0].code, Code::ProofOvershoot);
        assert!(
            findings[0].message.contains("run 2, step 3:"),
            "{}",
            findings[0].message
        );
        assert!(
            findings[0].cure.ends_with("Replay: replay 2"),
            "{}",
            findings[0].cure
        );
    }
}
