//! Everything `check` has to say, in one value: verdict, findings with their places, steps, prediction, trials.
//!
//! [`CheckReport::json`] is read by other programs and is stable: within a schema fields are only ever added. The report is built by
//! [`assemble`] from what the studies return and a way to find places in files; waivers stay in it with their reasons.

mod assemble;
mod nominal;
pub mod targets;

pub use assemble::{Parts, assemble};
pub(crate) use nominal::report_of;
pub use nominal::spans;
pub use twinplate_sim::requirements::Verdict;

use super::assumed::AssumedReport;
use super::case::Case;
use super::catalogue::{Severity, find};
use super::inspection::{FacesReport, MapReport};
use super::leaning::LeaningReport;
use super::part_load::LargestPart;
use super::predict::{PhaseSpan, Prediction, StepPrediction};
use super::trials::{Results, WorstCase};
use serde::Serialize;
use targets::JudgedTarget;
use twinplate_sim::bench::summary::PartsSummary;
use twinplate_sim::flatness;
use twinplate_sim::math::round;
use twinplate_sim::model::{Batch, Consumables, Of, Shown, gauged_micrometres, micrometres};
use twinplate_sim::plant::abrasion::Abrasion;
use twinplate_sim::plant::part_form::bands;
use twinplate_sim::plant::{DamageLeft, FormTruth};
use twinplate_sim::requirements::damage_limit;

/// Version of the JSON. 3 has no `not_judged`: every target is judged; `judged` tells what comes of each. In 2 the number of a worst run is called `draw` and what to change `remedy` (1 called them `seed` and
/// `cure`), and states and phases have their names in kebab case.
pub const SCHEMA: u16 = 3;

/// Where a finding stands in a file; line and column count from 1.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Location {
    /// Path as the user gave it or as it was found.
    pub file: String,
    /// Line.
    pub line: u32,
    /// Column.
    pub column: u32,
}

/// A code that the user waives, and why.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Waiver {
    /// Name of the code.
    pub code: String,
    /// The reason, kept in the report.
    pub reason: String,
}

/// Why a code cannot be waived so.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NoWaiver {
    /// There is no such code; the nearest one, where there is one.
    Unknown(Option<&'static str>),
    /// The reason is empty.
    NoReason,
}

impl Waiver {
    /// Waives a code for a reason, which is kept in the report.
    ///
    /// # Errors
    /// A code that does not exist, a reason that says nothing.
    pub fn new(code: String, reason: String) -> Result<Self, NoWaiver> {
        find(&code).map_err(NoWaiver::Unknown)?;
        if reason.trim().is_empty() {
            return Err(NoWaiver::NoReason);
        }
        Ok(Self { code, reason })
    }
}

/// A finding with its place in a file.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ReportedFinding {
    /// Stable name.
    pub code: &'static str,
    /// Severity; a waived finding keeps its own and does not count.
    pub severity: Severity,
    /// What is the matter.
    pub message: String,
    /// File; the field's path when the file is not known.
    pub file: String,
    /// Line, from 1; `null` when not known.
    pub line: Option<u32>,
    /// Column, from 1; `null` when not known.
    pub column: Option<u32>,
    /// Number found.
    pub measured: Option<f64>,
    /// Its bound.
    pub limit: Option<f64>,
    /// Unit of both.
    pub unit: &'static str,
    /// What kind of quantity both are, where people may have typed it in another unit; not in the JSON.
    #[serde(skip)]
    pub of: Option<Of>,
    /// What to change.
    #[serde(rename = "remedy")]
    pub cure: String,
    /// Path of the field in its file.
    pub field: String,
    /// Reason of the waiver, where it is waived.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub waived: Option<String>,
}

/// Thickness of the finished parts, µm.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Thickness {
    /// Mean.
    pub mean: f64,
    /// Standard deviation.
    pub sd: f64,
    /// Thinnest part.
    pub min: f64,
    /// Thickest part.
    pub max: f64,
}

impl Thickness {
    /// Of the finished parts of a run, no finer than a gauge sees it.
    #[must_use]
    pub fn of(parts: &PartsSummary) -> Self {
        Self {
            mean: gauged_micrometres(parts.mean),
            sd: gauged_micrometres(parts.sd),
            min: gauged_micrometres(parts.min),
            max: gauged_micrometres(parts.max),
        }
    }
}

/// Form of parts and plates at the end of a run, no finer than a gauge sees it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct FormReport {
    /// Flatness of the worst face, µm.
    pub flatness_um: f64,
    /// The same in light bands of the batch's lamp.
    pub flatness_bands: f64,
    /// Largest thickness difference within a part, µm.
    pub parallelism_um: f64,
    /// How much of both may be the roll-off of a rim, µm.
    pub roll_off_um: f64,
    /// Least and most pressure on a part along its path, percent of the mean.
    pub pressure_pct: [f64; 2],
    /// Lower and upper plate as they are, inner edge over outer edge, µm, + convex.
    pub plates_um: [f64; 2],
    /// The same at one temperature.
    pub plates_cold_um: [f64; 2],
}

impl FormReport {
    /// Of a run, under a lamp of this wavelength, m.
    #[must_use]
    pub fn of(form: &FormTruth, wavelength: f64) -> Self {
        Self {
            flatness_um: gauged_micrometres(form.flatness),
            flatness_bands: round(bands(form.flatness, wavelength) * 10.0) / 10.0,
            parallelism_um: gauged_micrometres(form.variation),
            roll_off_um: gauged_micrometres(form.roll),
            pressure_pct: form.contact.map(|share| round(share * 100.0)),
            plates_um: form.warm.map(gauged_micrometres),
            plates_cold_um: form.cold.map(gauged_micrometres),
        }
    }
}

/// What a batch does to the form of both plates once they have run in on each other.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PlateWear {
    /// How the rings turn, in words.
    pub rings: String,
    /// Change of the lower and the upper plate, inner edge over outer edge, µm, + more convex.
    pub change_um: [f64; 2],
}

impl PlateWear {
    /// Of every way in which the recipe may turn the rings, the programmed one first.
    pub(crate) fn of(case: &Case) -> Vec<Self> {
        flatness::wear(case.machine, case.batch, case.recipe)
            .into_iter()
            .map(|(rings, change)| Self {
                rings: rings.words(),
                change_um: change.map(|change| round(micrometres(change) * 1e3) / 1e3),
            })
            .collect()
    }
}

/// The deepest damage left in any face of the parts, and what is allowed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct DamageReport {
    /// Depth, µm.
    pub depth_um: f64,
    /// What is allowed, µm.
    pub limit_um: f64,
    /// The part with the deepest, from 1 in pocket order; `null` where the process's own is left in all, or no run was made.
    pub part: Option<usize>,
    /// Its face; `null` likewise.
    pub face: Option<&'static str>,
}

impl DamageReport {
    /// Of a run.
    #[must_use]
    pub fn of(batch: &Batch, consumables: &Consumables, left: &DamageLeft) -> Self {
        let own = Abrasion::of(consumables, &batch.material).damage;
        let place = (left.depth > own).then_some(left);
        Self {
            depth_um: micrometres(left.depth),
            limit_um: micrometres(damage_limit(batch, consumables)),
            part: place.map(|left| left.part + 1),
            face: place.map(|left| FACE_NAMES[usize::from(left.face > 0)]),
        }
    }
}

/// Names of the faces.
const FACE_NAMES: [&str; 2] = ["lower", "upper"];

/// What the nominal cycle gives: by closed form, and by the nominal run where one was made.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct PredictionReport {
    /// Cycle time, s.
    pub cycle_s: f64,
    /// Phases on the time line.
    pub phases: Vec<PhaseSpan>,
    /// Peak of the true load in the nominal run, N; `null` without a run.
    pub peak_load_n: Option<f64>,
    /// Largest overshoot over the reference in the nominal run, percent of its setpoint; `null` without a run.
    pub peak_overshoot_pct: Option<f64>,
    /// Largest load on one part in the nominal run; `null` without a run.
    pub largest_part: Option<LargestPart>,
    /// How the plate leant in the nominal run; `null` without a run.
    pub leaning: Option<LeaningReport>,
    /// Finished thickness.
    pub thickness_um: Thickness,
    /// Removal coefficient in force, per face, 1/Pa.
    pub removal_per_pa: f64,
    /// Roughness Ra, µm.
    pub roughness_um: f64,
    /// Damage left.
    pub damage_left: DamageReport,
    /// Flatness of the worst face, µm, in whole hundredths; `null` without a run.
    pub flatness_um: Option<f64>,
    /// The same in light bands of the batch's lamp, in whole tenths; `null` likewise.
    pub flatness_bands: Option<f64>,
    /// Largest thickness difference within a part, µm, in whole hundredths; `null` likewise.
    pub parallelism_um: Option<f64>,
    /// How much of both may be the roll-off of a rim, µm, in whole hundredths; `null` likewise.
    pub roll_off_um: Option<f64>,
    /// Least and most pressure on a part along its path, percent of the mean; `null` likewise.
    pub pressure_pct: Option<[f64; 2]>,
    /// Form of the lower and the upper plate at the end, heat included: inner edge over outer edge, µm, + convex; `null` likewise.
    pub plates_um: Option<[f64; 2]>,
    /// The part whose faces are out most, under an optical flat; `null` likewise.
    pub faces: Option<FacesReport>,
    /// Loads and wear over the plates; `null` likewise.
    pub map: Option<MapReport>,
    /// What a batch does to them once they have run in, by each way in which the recipe may turn the rings; empty without a run.
    pub wear: Vec<PlateWear>,
    /// Slurry used, L.
    pub slurry_l: f64,
    /// Product parts per hour of cycles, loading not counted.
    pub parts_per_hour: f64,
}

impl PredictionReport {
    /// From the closed form alone; parts are taken to lie within three standard deviations.
    #[must_use]
    pub(crate) fn closed_form(case: &Case, prediction: &Prediction) -> Self {
        let (mean, sd) = (prediction.thickness, prediction.spread);
        Self {
            cycle_s: prediction.cycle,
            phases: prediction.phases.clone(),
            peak_load_n: None,
            peak_overshoot_pct: None,
            largest_part: None,
            leaning: None,
            thickness_um: Thickness {
                mean: gauged_micrometres(mean),
                sd: gauged_micrometres(sd),
                min: gauged_micrometres(mean - 3.0 * sd),
                max: gauged_micrometres(mean + 3.0 * sd),
            },
            removal_per_pa: prediction.abrasion.removal,
            roughness_um: micrometres(prediction.roughness),
            damage_left: DamageReport {
                depth_um: micrometres(prediction.damage_left(case.batch, 1.0).0),
                limit_um: micrometres(damage_limit(case.batch, &case.recipe.consumables)),
                part: None,
                face: None,
            },
            flatness_um: None,
            flatness_bands: None,
            parallelism_um: None,
            roll_off_um: None,
            pressure_pct: None,
            plates_um: None,
            faces: None,
            map: None,
            wear: Vec::new(),
            slurry_l: prediction.slurry * 1e3,
            parts_per_hour: prediction.parts_per_hour,
        }
    }
}

/// What the trials covered.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct EnvelopeReport {
    /// Runs made, the nominal one among them; 0 when they were not run.
    pub runs: usize,
    /// Runs that broke a requirement.
    pub failed: usize,
    /// The case nearest to its bound, or furthest over it.
    pub worst: Option<WorstCase>,
    /// Worst case of each requirement.
    pub cases: Vec<WorstCase>,
}

/// Everything `check` has to say.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CheckReport {
    /// [`SCHEMA`].
    pub schema: u16,
    /// The answer.
    pub verdict: Verdict,
    /// Findings, errors first.
    pub findings: Vec<ReportedFinding>,
    /// Steps in order.
    pub steps: Vec<StepPrediction>,
    /// Targets of the batch: by what each is judged, and what comes of it.
    pub judged: Vec<JudgedTarget>,
    /// What a nominal cycle gives.
    pub prediction: PredictionReport,
    /// What the trials covered.
    pub envelope: EnvelopeReport,
    /// What the machine file leaves out; not there where it gives everything.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub assumed: Option<AssumedReport>,
    /// Names and targets that people want to read beside the numbers; not in the JSON.
    #[serde(skip)]
    pub subject: Subject,
    /// What the trials came to, for the histogram; not in the JSON.
    #[serde(skip)]
    pub results: Option<Results>,
}

/// What was checked, for people.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Subject {
    /// Recipe, machine and batch by id.
    pub names: [String; 3],
    /// Title of the recipe.
    pub title: String,
    /// Target thickness and tolerance, µm.
    pub size_um: [f64; 2],
    /// Finish target Ra, µm.
    pub finish_um: f64,
    /// Widths of the envelope, one line.
    pub widths: String,
    /// The units to answer in.
    pub shown: Shown,
}

impl Subject {
    /// From a case.
    #[must_use]
    pub fn of(case: &Case) -> Self {
        let e = &case.machine.envelope;
        let percent = |share: f64| super::finding::significant(share * 100.0, 2);
        Self {
            names: [
                case.recipe.id.clone(),
                case.machine.id.clone(),
                case.batch.id.clone(),
            ],
            title: case.recipe.title.clone(),
            size_um: [
                micrometres(case.batch.target),
                micrometres(case.batch.tolerance),
            ],
            finish_um: micrometres(case.batch.finish),
            shown: case.recipe.shown,
            widths: format!(
                "regulator ±{} % and ±{} % of scale, weight ±{} %, counterbalance ±{} %, seals ±{} %, lag ±{} %, dead time ±{} %, \
                 stiffness ÷{}…×{}, supply −{} %, cell span ±{} %, noise ×{}, friction ±{} %, removal ±{} %, spread ×{}, gauge ±{}, drifting ±{} a shift, its warmth ±{} %",
                percent(e.regulator_gain),
                percent(e.regulator_offset),
                percent(e.weight),
                percent(e.counterbalance),
                percent(e.seal_friction),
                percent(e.lag),
                percent(e.dead_time),
                e.stiffness_factor,
                e.stiffness_factor,
                percent(e.supply),
                percent(e.cell_span),
                e.noise_factor,
                percent(e.friction),
                percent(e.removal),
                e.spread_factor,
                case.say(Of::Size, e.gauge_bias, 2),
                case.say(Of::Size, e.gauge_drift, 2),
                percent(e.gauge_temperature)
            ) + &assumed_words(case),
        }
    }
}

/// What the draws spread besides.
fn assumed_words(case: &Case) -> String {
    match super::assumed::varying(case.machine) {
        0 => String::new(),
        count => format!(", and {count} keys that the machine file leaves out"),
    }
}

impl CheckReport {
    /// The stable JSON, indented. Numbers that are no numbers become `null`, as JSON has none.
    #[must_use]
    pub fn json(&self) -> String {
        // Plain structs with string keys always serialise.
        serde_json::to_string_pretty(self).unwrap_or_default()
    }

    /// Findings that count: those not waived.
    pub fn counting(&self) -> impl Iterator<Item = &ReportedFinding> {
        self.findings
            .iter()
            .filter(|finding| finding.waived.is_none())
    }

    /// Whether the check is passed when findings from `fail_on` upwards fail it.
    #[must_use]
    pub fn passes(&self, fail_on: Severity) -> bool {
        self.counting().all(|finding| finding.severity < fail_on)
    }
}
