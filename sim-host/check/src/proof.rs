//! The closed-loop proof: the nominal machine and machines drawn from its envelope, each through one whole cycle.
//!
//! A run is judged on what is true in the plant, never on the controller's own opinion. Every requirement is one number
//! against one bound, so that each has a worst case with a name: the run to replay. Results do not depend on the number of
//! threads: runs are numbered, and a tie goes to the lower number.

use super::catalogue::Code;
use super::finding::{Finding, Place, significant};
use serde::Serialize;

/// What a run must hold. The order is that of the report.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Requirement {
    /// The cycle ends Complete.
    Completes,
    /// True load without runout stays under the step's limit.
    LoadLimit,
    /// True load passes its reference by at most 2 % of the setpoint or 5 N.
    Overshoot,
    /// Load stays under the rated load.
    RatedLoad,
    /// First-contact peak stays under its limit.
    FirstContact,
    /// No part bears more than its strength.
    PartStrength,
    /// No turning without a film.
    Dry,
    /// No other harm.
    Harm,
    /// Every part within its size.
    Size,
    /// Thickness spread between the parts within both sides of the size tolerance.
    Spread,
    /// Roughness at or under its target.
    Finish,
}

/// Every requirement, in report order.
pub const REQUIREMENTS: [Requirement; 11] = [
    Requirement::Completes,
    Requirement::LoadLimit,
    Requirement::Overshoot,
    Requirement::RatedLoad,
    Requirement::FirstContact,
    Requirement::PartStrength,
    Requirement::Dry,
    Requirement::Harm,
    Requirement::Size,
    Requirement::Spread,
    Requirement::Finish,
];

impl Requirement {
    /// Its finding when it is broken.
    #[must_use]
    pub const fn code(self) -> Code {
        match self {
            Self::Completes => Code::ProofNotCompleted,
            Self::LoadLimit => Code::ProofLoadLimit,
            Self::Overshoot => Code::ProofOvershoot,
            Self::RatedLoad => Code::ProofRatedLoad,
            Self::FirstContact => Code::ProofFirstContact,
            Self::PartStrength => Code::ProofPartStrength,
            Self::Dry => Code::ProofDry,
            Self::Harm => Code::ProofHarm,
            Self::Size => Code::ProofSize,
            Self::Spread => Code::ProofSpread,
            Self::Finish => Code::ProofFinish,
        }
    }

    /// What is measured, for people.
    #[must_use]
    pub const fn what(self) -> &'static str {
        match self {
            Self::Completes => "cycles not completed",
            Self::LoadLimit => "load against step limit",
            Self::Overshoot => "overshoot over reference",
            Self::RatedLoad => "load against rated load",
            Self::FirstContact => "first-contact peak",
            Self::PartStrength => "load on one part",
            Self::Dry => "film missing while turning",
            Self::Harm => "harm events",
            Self::Size => "size error of a part",
            Self::Spread => "thickness spread, 6 sd",
            Self::Finish => "roughness",
        }
    }

    /// Unit of value and bound.
    #[must_use]
    pub const fn unit(self) -> &'static str {
        match self {
            Self::Completes | Self::Harm | Self::Dry => "",
            Self::LoadLimit
            | Self::Overshoot
            | Self::RatedLoad
            | Self::FirstContact
            | Self::PartStrength => "N",
            Self::Size | Self::Spread | Self::Finish => "µm",
        }
    }

    /// Where its finding points; `step` counts from 0.
    #[must_use]
    pub fn place(self, step: Option<usize>) -> Place {
        match self {
            Self::LoadLimit => Place::step(step.unwrap_or(0), "load_limit"),
            Self::Overshoot => Place::machine("gains"),
            Self::RatedLoad => Place::machine("control.rated_load"),
            Self::FirstContact => Place::machine("control.first_contact_limit"),
            Self::PartStrength => Place::batch("strength"),
            Self::Dry => Place::recipe("prestart"),
            Self::Size | Self::Spread => Place::batch("tolerance"),
            Self::Finish => Place::batch("finish"),
            Self::Completes | Self::Harm => Place::recipe("steps"),
        }
    }
}

/// One requirement of one run: `value` must not pass `limit`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Judged {
    /// Which.
    pub requirement: Requirement,
    /// What was found, in the requirement's unit.
    pub value: f64,
    /// Its bound, same unit.
    pub limit: f64,
    /// Step it belongs to, from 0, where it belongs to one.
    pub step: Option<usize>,
}

impl Judged {
    /// Whether it holds. A value that is no number does not.
    #[must_use]
    pub fn holds(&self) -> bool {
        self.value <= self.limit
    }

    /// How much of the bound is used, 1 at the bound; for requirements whose bound is zero, what is over it.
    #[must_use]
    pub fn used(&self) -> f64 {
        if self.value.is_nan() {
            f64::INFINITY
        } else if self.limit > 0.0 {
            self.value / self.limit
        } else {
            self.value - self.limit
        }
    }
}

/// One run of the proof, judged.
#[derive(Clone, Debug, PartialEq)]
pub struct RunJudgement {
    /// Number of the run: 0 is the nominal machine, the others are draws from the envelope.
    pub index: u64,
    /// What was found, in the order of [`REQUIREMENTS`].
    pub items: Vec<Judged>,
    /// How the run ended, for people: state and first-out cause.
    pub ending: String,
    /// Hash of what the controller did: whoever replays the run must find the same.
    pub control_hash: u64,
}

impl RunJudgement {
    /// Whether every requirement holds.
    #[must_use]
    pub fn holds(&self) -> bool {
        self.items.iter().all(Judged::holds)
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
    /// What was measured.
    pub what: &'static str,
    /// The worst value.
    pub value: f64,
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

#[allow(clippy::trivially_copy_pass_by_ref)] // the signature serde asks for
fn hexadecimal<S: serde::Serializer>(value: &u64, to: S) -> Result<S::Ok, S::Error> {
    to.collect_str(&format_args!("{value:#018x}"))
}

/// What the proof covered and found.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Proof {
    /// Seed of the proof: with a run's number it makes the run.
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

impl Proof {
    /// Sums up judged runs. `runs` may come in any order.
    #[must_use]
    pub fn of(seed: u64, mut runs: Vec<RunJudgement>) -> Self {
        runs.sort_by_key(|run| run.index);
        let mut worst: Vec<WorstCase> = Vec::with_capacity(REQUIREMENTS.len());
        for requirement in REQUIREMENTS {
            let mut found: Option<(f64, WorstCase)> = None;
            let mut failed = 0;
            for run in &runs {
                for item in run.items.iter().filter(|i| i.requirement == requirement) {
                    failed += usize::from(!item.holds());
                    if found.as_ref().is_none_or(|(used, _)| item.used() > *used) {
                        found = Some((item.used(), worst_case(run, item)));
                    }
                }
            }
            if let Some((_, mut case)) = found {
                case.failed = failed;
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
    pub fn tightest(&self) -> Option<&WorstCase> {
        let mut best: Option<(&WorstCase, f64)> = None;
        for case in &self.worst {
            let used = judged(case).used();
            if case.limit <= 0.0 && case.failed == 0 {
                continue;
            }
            if best.is_none_or(|(other, most)| (case.failed > 0, used) > (other.failed > 0, most)) {
                best = Some((case, used));
            }
        }
        best.map(|(case, _)| case)
    }

    /// The load requirement that comes nearest to its bound.
    #[must_use]
    pub fn tightest_load(&self) -> Option<&WorstCase> {
        let mut best: Option<(&WorstCase, f64)> = None;
        for case in &self.worst {
            let used = judged(case).used();
            if case.unit == "N" && best.is_none_or(|(_, most)| used > most) {
                best = Some((case, used));
            }
        }
        best.map(|(case, _)| case)
    }

    /// A finding for every broken requirement. `replay` gives the command that runs a numbered run again.
    #[must_use]
    pub fn findings(&self, replay: &dyn Fn(u64) -> String) -> Vec<Finding> {
        let mut findings = Vec::new();
        for case in self.worst.iter().filter(|case| case.failed > 0) {
            let code = case.requirement.code();
            let message = if case.requirement == Requirement::Completes {
                format!(
                    "{} of {} runs did not complete; run {}: {}",
                    case.failed, self.runs, case.draw, case.ending
                )
            } else {
                format!(
                    "{} of {} runs: {}; worst run {}{}: {} {}, limit {} {}",
                    case.failed,
                    self.runs,
                    case.what,
                    case.draw,
                    case.step
                        .map_or(String::new(), |step| format!(", step {}", step + 1)),
                    significant(case.value, 4),
                    case.unit,
                    significant(case.limit, 4),
                    case.unit
                )
            };
            let cure = format!("{} Replay: {}", code.entry().cure, replay(case.draw));
            findings.push(
                Finding::new(code, case.requirement.place(case.step), message, cure)
                    .with_numbers(case.value, case.limit, case.unit),
            );
        }
        findings
    }
}

fn judged(case: &WorstCase) -> Judged {
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
        what: item.requirement.what(),
        value: item.value,
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
        let (one, other) = (Proof::of(7, runs), Proof::of(7, turned));
        assert_eq!(one, other);
        assert_eq!(one.tightest().map(|case| case.draw), Some(1));
        assert_eq!(one.failed, 0);
        assert!(one.findings(&|_| String::new()).is_empty());
    }

    #[test]
    fn a_broken_requirement_becomes_a_finding_with_its_replay() {
        let proof = Proof::of(7, vec![run(0, 1.0), run(1, 6.0), run(2, f64::NAN)]);
        assert_eq!(proof.failed, 2);
        let findings = proof.findings(&|index| format!("replay {index}"));
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
