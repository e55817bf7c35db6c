//! What the batch asks of the finished parts, by which requirement each of it is judged, and what comes of it: the one list, in the order
//! of every report.

use super::PredictionReport;
use crate::case::Case;
use crate::trials::{Results, TrialRun, WorstCase};
use serde::Serialize;
use twinplate_sim::math::{abs, max};
use twinplate_sim::model::{Of, Shown};
use twinplate_sim::requirements::{Requirement, part_limit};

/// A number of the batch file that finished parts must keep.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Target {
    /// Its key in the batch file.
    pub key: &'static str,
    /// What it is about, one word: targets of one group stand together.
    pub group: &'static str,
    /// The requirement of the closed-loop trials that judges it.
    pub by: Requirement,
}

const fn target(group: &'static str, key: &'static str, by: Requirement) -> Target {
    Target { key, group, by }
}

/// Every target.
pub const TARGETS: [Target; 7] = [
    target("size", "target.thickness", Requirement::Size),
    target("size", "target.tolerance", Requirement::Spread),
    target("form", "target.flatness", Requirement::Flatness),
    target("form", "target.parallelism", Requirement::Parallelism),
    target("faces", "target.finish", Requirement::Finish),
    target("faces", "target.damage", Requirement::Damage),
    target("load", "part.strength", Requirement::PartStrength),
];

/// A target with what comes of it, as reports tell it. All numbers are in its unit.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct JudgedTarget {
    /// Its name: the last part of its key.
    pub name: &'static str,
    /// Its key in the batch file.
    pub key: &'static str,
    /// What it is about: `size`, `form`, `faces`, `load`.
    pub group: &'static str,
    /// The requirement that judges it: what is measured.
    pub by: &'static str,
    /// Unit.
    pub unit: &'static str,
    /// What kind of quantity its numbers are; not in the JSON.
    #[serde(skip)]
    pub of: Option<Of>,
    /// On the machine and the batch as their files say; without a run by closed form, and `null` where that knows nothing of it.
    pub nominal: Option<f64>,
    /// The best of all runs; `null` without a run.
    pub best: Option<f64>,
    /// The worst of all runs; `null` likewise.
    pub worst: Option<f64>,
    /// What is allowed.
    pub allowed: f64,
    /// What the worst run leaves of it, under zero where it is missed; `null` likewise.
    pub left: Option<f64>,
    /// Number of the worst run; `null` likewise.
    pub draw: Option<u64>,
    /// Whether that run began with warm plates; `null` likewise.
    pub warm: Option<bool>,
    /// Whether every run keeps it; `null` likewise.
    pub met: Option<bool>,
    /// More of the nominal run, in words; may be empty.
    pub note: String,
}

impl JudgedTarget {
    fn new(
        target: Target,
        case: &Case,
        predicted: &PredictionReport,
        worst: Option<&WorstCase>,
    ) -> Self {
        let Target { key, group, by } = target;
        let name = key.rsplit_once('.').map_or(key, |(_, name)| name);
        Self {
            name,
            key,
            group,
            by: by.what(),
            unit: by.unit(),
            of: by.kind(),
            nominal: worst.map_or_else(|| foretold(by, case, predicted), |worst| worst.nominal),
            best: worst.map(|worst| worst.best),
            worst: worst.map(|worst| worst.value),
            // Every target is of the parts, and so has a limit.
            allowed: part_limit(by, case.batch, &case.recipe.consumables).unwrap_or(f64::NAN),
            left: worst.map(|worst| worst.limit - worst.value),
            draw: worst.map(|worst| worst.draw),
            warm: worst.map(|worst| worst.warm),
            met: worst.map(|worst| worst.failed == 0),
            note: note(by, case, predicted),
        }
    }

    /// The worst run.
    #[must_use]
    pub fn run(&self) -> Option<TrialRun> {
        let (draw, warm) = self.draw.zip(self.warm)?;
        Some(TrialRun { draw, warm })
    }
}

/// What the closed form says of a requirement, in its unit; `None` where it knows nothing of it.
fn foretold(by: Requirement, case: &Case, predicted: &PredictionReport) -> Option<f64> {
    let thickness = &predicted.thickness_um;
    let target = twinplate_sim::model::micrometres(case.batch.target);
    match by {
        Requirement::Size => Some(max(
            abs(thickness.max - target),
            abs(target - thickness.min),
        )),
        Requirement::Spread => Some(6.0 * thickness.sd),
        Requirement::Finish => Some(predicted.roughness_um),
        Requirement::Damage => Some(predicted.damage_left.depth_um),
        _ => None,
    }
}

/// What else is known of a requirement on the nominal machine.
fn note(by: Requirement, case: &Case, predicted: &PredictionReport) -> String {
    let shown = &case.recipe.shown;
    match by {
        Requirement::Size => {
            let (batch, thickness) = (case.batch, &predicted.thickness_um);
            let size = |number| shown.fixed(Of::Size, number, 1);
            format!(
                "mean {} for {} ± {}, {}",
                shown.with(Of::Size, &size(thickness.mean)),
                size(batch.target * 1e6),
                shown.say(Of::Size, batch.tolerance, 3),
                sizes(shown, thickness.min, thickness.max)
            )
        }
        Requirement::Flatness => {
            let bands = predicted.flatness_bands;
            bands.map_or_else(String::new, |bands| format!("{bands:.1} light bands"))
        }
        Requirement::Parallelism => {
            let (Some(roll), Some([least, most])) = (predicted.roll_off_um, predicted.pressure_pct)
            else {
                return String::new();
            };
            format!(
                "up to {} of form is the rims' roll-off; pressure along the path {least} to {most} % of the mean",
                shown.with(Of::Parallelism, &shown.fixed(Of::Parallelism, roll, 2))
            )
        }
        Requirement::Damage => match (predicted.damage_left.part, predicted.damage_left.face) {
            (Some(part), Some(face)) => format!("part {part}, {face} face"),
            // What is judged is then what is left of the damage that the parts came with.
            _ if case.batch.damage_left.is_none() => format!(
                "of what the parts came with; the process leaves {} of its own",
                shown.tell(Of::Depth, predicted.damage_left.limit_um, 2)
            ),
            _ => String::new(),
        },
        Requirement::PartStrength => predicted
            .largest_part
            .map_or_else(String::new, |part| part.words(shown)),
        _ => String::new(),
    }
}

/// Smallest difference that a range of sizes shows, µm.
const RANGE_DIGIT: f64 = 0.1;

/// From the thinnest part to the thickest, given in µm. The model knows parts only as whole: what differs by less than a digit shown is
/// told as that, not as a range of equal numbers.
#[must_use]
pub fn sizes(shown: &Shown, least: f64, most: f64) -> String {
    let size = |number| shown.fixed(Of::Size, number, 1);
    let with_unit = |number: &str| shown.with(Of::Size, number);
    if most - least < RANGE_DIGIT {
        format!("parts less than {} apart", with_unit(&size(RANGE_DIGIT)))
    } else {
        format!("parts {} to {}", size(least), with_unit(&size(most)))
    }
}

/// These targets with what comes of them.
#[must_use]
pub(super) fn told(
    targets: &[Target],
    case: &Case,
    predicted: &PredictionReport,
    results: Option<&Results>,
) -> Vec<JudgedTarget> {
    targets
        .iter()
        .map(|target| {
            let worst = results.and_then(|results| {
                let mut cases = results.worst.iter();
                cases.find(|worst| worst.requirement == target.by)
            });
            JudgedTarget::new(*target, case, predicted, worst)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    /// A target that the batch file comes to know is judged: none is passed over. What the parts come in with is no target.
    #[test]
    fn every_target_of_the_batch_file_is_listed_once() {
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../docs/schema/batch.json");
        let text = std::fs::read_to_string(path).expect("the schema, which its own test renews");
        let schema: serde_json::Value = serde_json::from_str(&text).expect("JSON");
        let targets: BTreeSet<String> = schema["properties"]["target"]["properties"]
            .as_object()
            .expect("a table of the batch file")
            .keys()
            .map(|key| format!("target.{key}"))
            .collect();
        assert!(targets.len() >= 5, "{targets:?}");
        let listed: BTreeSet<String> = TARGETS.iter().map(|t| t.key.to_owned()).collect();
        assert_eq!(listed.len(), TARGETS.len());
        let beside: Vec<&String> = listed.difference(&targets).collect();
        assert!(targets.is_subset(&listed), "{targets:?}");
        assert_eq!(beside, ["part.strength"]);
        let judges: BTreeSet<Requirement> = TARGETS.iter().map(|target| target.by).collect();
        assert_eq!(judges.len(), TARGETS.len(), "two targets, one judge");
    }
}
