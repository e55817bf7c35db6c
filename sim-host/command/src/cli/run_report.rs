//! What `run` says about its run: text for people, JSON for programs. One value, drawn twice.

mod heading;
mod text;

use super::board::BoardReport;
use super::run::Made;
use firmware_core::interlock::{Cond, TABLE, row_of};
use firmware_core::sequence::{Phase, State};
use serde::Serialize;
use twinplate_check::Case;
use twinplate_check::descent::FeltDescent;
use twinplate_check::inspection::{FacesReport, MapReport};
use twinplate_check::leaning::LeaningReport;
use twinplate_check::part_load::LargestPart;
use twinplate_check::verdict::{DamageReport, FormReport, Thickness, spans};
use twinplate_falsify::again::Regained;
use twinplate_sim::bench::summary::Interval;
use twinplate_sim::bench::{Outcome, Refused, RefusedBy};
use twinplate_sim::fault_words;
use twinplate_sim::files::Set;
use twinplate_sim::model::{Of, Scenario, Shown, What, When, micrometres};
use twinplate_sim::plant::Substeps;
use twinplate_sim::plant::plate_form::PlateForm;
use twinplate_sim::requirements::{Judged, Verdict};

/// Version of the JSON. In 2 what the operator should do about the first cause is called `remedy` (1 called it `cure`), and states
/// and phases have their names in kebab case.
const SCHEMA: u16 = 2;

/// A run and what it was made from.
pub struct Ran<'a> {
    /// The files.
    pub set: &'a Set,
    /// The scenario, where there was one.
    pub scenario: Option<&'a Scenario>,
    /// The run.
    pub made: &'a Made,
}

/// The margin of what a search drove down, measured again.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
struct Sought {
    /// The requirement, one word.
    requirement: &'static str,
    /// Margin now.
    margin: f64,
    /// The limit.
    limit: f64,
    /// Unit of all three.
    unit: &'static str,
    #[serde(skip)]
    of: Option<Of>,
    /// Margin that the journal tells of.
    journal: f64,
}

impl From<Regained> for Sought {
    fn from(regained: Regained) -> Self {
        Self {
            requirement: regained.target.word(),
            margin: regained.margin,
            limit: regained.limit,
            unit: regained.target.unit(),
            of: regained.target.kind(),
            journal: regained.journal,
        }
    }
}

/// A row of the phase table.
#[derive(Clone, Debug, PartialEq, Serialize)]
struct PhaseRow {
    #[serde(serialize_with = "State::by_name")]
    state: State,
    #[serde(serialize_with = "Phase::by_name")]
    phase: Phase,
    /// Step from 1; 0 outside steps.
    step: u8,
    start_s: f64,
    end_s: f64,
}

/// A step as it went.
#[derive(Clone, Debug, PartialEq, Serialize)]
struct StepRow {
    name: String,
    setpoint_n: f64,
    limit_n: f64,
    peak_n: Option<f64>,
    margin_n: Option<f64>,
    overshoot_n: Option<f64>,
    dwell_s: f64,
    in_band: f64,
}

/// A requirement and whether it holds.
#[derive(Clone, Debug, PartialEq, Serialize)]
struct Held {
    what: &'static str,
    value: f64,
    limit: f64,
    unit: &'static str,
    #[serde(skip)]
    of: Option<Of>,
    holds: bool,
}

/// The first reason for leaving the ladder.
#[derive(Clone, Debug, PartialEq, Serialize)]
struct Cause {
    id: u16,
    name: &'static str,
    time_s: f64,
    happened: String,
    #[serde(rename = "remedy")]
    cure: String,
}

/// Something that came to harm.
#[derive(Clone, Debug, PartialEq, Serialize)]
struct Harmed {
    what: &'static str,
    worst: f64,
    first_s: Option<f64>,
}

/// What `run` says.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RunReport {
    schema: u16,
    verdict: Verdict,
    recipe: String,
    machine: String,
    batch: String,
    scenario: Option<String>,
    seed: Option<u64>,
    draw: Option<u64>,
    /// Steps of the plant's fast physics in a tick of the controller.
    substeps: Substeps,
    /// Temperatures of the lower and the upper plate before the cycle; `null` where they were the room's.
    plates_before_c: Option<[f64; 2]>,
    ended: &'static str,
    #[serde(serialize_with = "State::by_name")]
    state: State,
    ticks: u32,
    cycle_s: Option<f64>,
    cause: Option<Cause>,
    phases: Vec<PhaseRow>,
    steps: Vec<StepRow>,
    requirements: Vec<Held>,
    peak_load_n: f64,
    rated_load_n: f64,
    /// First contacts apart; `null` where nothing was pressed.
    largest_part: Option<LargestPart>,
    leaning: LeaningReport,
    harm: Vec<Harmed>,
    thickness_um: Thickness,
    roughness_um: f64,
    damage_left: Option<DamageReport>,
    form: FormReport,
    /// The part whose faces are out most, under an optical flat; `null` without product.
    faces: Option<FacesReport>,
    map: MapReport,
    slurry_l: f64,
    refused: Vec<String>,
    /// Events of the scenario that never happened.
    never: Vec<String>,
    missing: Vec<&'static str>,
    control_hash: String,
    trace_hash: Option<String>,
    /// In a replay, whether the same run came out, and the same margin where one was sought.
    same_as_journal: Option<bool>,
    /// In a replay of what a search found, its margin.
    sought: Option<Sought>,
    /// With the controller on a board, what came of that.
    board: Option<BoardReport>,
    /// The units to answer in; not in the JSON.
    #[serde(skip)]
    shown: Shown,
}

fn seconds(tick: u32) -> f64 {
    f64::from(tick) / 1e3
}

fn phases(outcome: &Outcome) -> Vec<PhaseRow> {
    spans(&outcome.summary)
        .iter()
        .zip(&outcome.summary.intervals)
        .map(|(span, interval): (_, &Interval)| PhaseRow {
            state: interval.state,
            phase: span.phase,
            step: span.step,
            start_s: span.start_s,
            end_s: span.end_s,
        })
        .collect()
}

/// The first-out row. Where the machine's own drag explains a contact far above the parts, its keys are told instead of the row's
/// words, which look for a doubled part.
fn cause(ran: &Ran) -> Option<Cause> {
    let (id, tick) = ran.made.outcome.summary.cause?;
    let row = row_of(id)?;
    let case = Case::of(ran.set);
    let felt = (id == TABLE[Cond::ContactHigh as usize].id)
        .then(|| FeltDescent::of(&case))
        .flatten();
    let (happened, cure) = felt.map_or_else(
        || (row.happened.to_owned(), row.cure.to_owned()),
        |felt| {
            (
                format!("Contact far above the parts: {}.", felt.message(&case)),
                format!("Remedy: {}.", felt.cure(&case)),
            )
        },
    );
    Some(Cause {
        id,
        name: row.name,
        time_s: seconds(tick),
        happened,
        cure,
    })
}

fn refusal(refused: &Refused) -> String {
    let why = match &refused.by {
        RefusedBy::Controller(refusal) => format!("by the controller: {}", refusal.word()),
        RefusedBy::Plant(refusal) => format!("by the machine: {refusal}"),
    };
    format!("{:.3} s, {why}", seconds(refused.tick))
}

/// Events of the scenario that never happened: a fault that did not come proves nothing.
fn never(ran: &Ran) -> Vec<String> {
    let Some(scenario) = ran.scenario else {
        return Vec::new();
    };
    let told = |index: &usize| {
        let event = scenario.events.get(*index)?;
        let when = match event.when {
            When::At(seconds) => format!("at {seconds} s"),
            When::After { phase, step, delay } => {
                let step = step.map_or_else(String::new, |step| {
                    format!(" of step {}", u32::from(step) + 1)
                });
                format!("{delay} s after {}{step}", phase.word())
            }
        };
        let what = match &event.what {
            What::Fault(fault) => format!(
                "fault {} {}",
                fault_words::component(fault.component),
                fault_words::mode(fault.mode)
            ),
            What::Clear(component) => format!("end of {}", fault_words::component(*component)),
            What::Command(command) => format!("command {}", command.word()),
            What::ConfirmParts(_)
            | What::Raise
            | What::Acknowledge
            | What::ReportForm(_)
            | What::Station(_) => "an act of the operator".to_owned(),
            What::PowerReturns => "power that returns".to_owned(),
        };
        Some(format!("event {} ({what}, {when})", index + 1))
    };
    ran.made.outcome.never.iter().filter_map(told).collect()
}

impl RunReport {
    /// From a run.
    pub fn new(ran: &Ran) -> Self {
        let made = ran.made;
        let (outcome, summary) = (&made.outcome, &made.outcome.summary);
        let drawn = outcome.journal.drawn;
        let requirements: Vec<Held> = made.judged.items.iter().map(held).collect();
        Self {
            schema: SCHEMA,
            verdict: made.verdict,
            recipe: ran.set.recipe.value.id.clone(),
            machine: ran.set.machine.value.id.clone(),
            batch: ran.set.batch.value.id.clone(),
            scenario: ran.scenario.map(|scenario| scenario.id.clone()),
            seed: drawn.map(|drawn| drawn.seed),
            draw: drawn.map(|drawn| drawn.index),
            substeps: outcome.journal.substeps,
            plates_before_c: outcome.journal.plates,
            ended: outcome.ended.word(),
            state: summary.state,
            ticks: summary.ticks,
            cycle_s: summary.cycle,
            cause: cause(ran),
            phases: phases(outcome),
            steps: steps(ran),
            requirements,
            peak_load_n: summary.peak_load.value,
            rated_load_n: summary.rated_load,
            largest_part: LargestPart::of(summary),
            leaning: LeaningReport::of(summary, &ran.set.machine.value),
            harm: harm(outcome),
            thickness_um: Thickness::of(&summary.parts),
            roughness_um: micrometres(summary.roughness),
            damage_left: summary.damage_left.as_ref().map(|left| {
                let set = ran.set;
                DamageReport::of(&set.batch.value, &set.recipe.value.consumables, left)
            }),
            form: FormReport::of(&summary.form, ran.set.batch.value.wavelength),
            faces: FacesReport::of(&made.job.machine, &made.job.batch, outcome),
            map: MapReport::of(
                &made.job.machine,
                &made.job.batch,
                outcome,
                &PlateForm::new(&made.job.machine),
            ),
            slurry_l: summary.slurry_used * 1e3,
            refused: outcome.refused.iter().map(refusal).collect(),
            never: never(ran),
            missing: outcome.missing(),
            control_hash: format!("{:#018x}", outcome.control_hash),
            trace_hash: outcome.trace_hash.map(|hash| format!("{hash:#018x}")),
            same_as_journal: made.same,
            sought: made.regained.map(Sought::from),
            board: made.board.clone(),
            shown: ran.set.recipe.value.shown,
        }
    }

    /// Which numbered draw it was, in how fine steps and on how warm plates; `None` where a journal names none.
    fn drawn(&self) -> Option<String> {
        let (seed, draw) = self.seed.zip(self.draw)?;
        let machine = if draw == 0 {
            "the machine as its file says".to_owned()
        } else {
            format!("draw {draw} from the envelope")
        };
        let finer = if self.substeps.is_one() {
            String::new()
        } else {
            format!(", {} steps a tick", self.substeps.count())
        };
        let warm = self
            .plates_before_c
            .map_or_else(String::new, |[lower, upper]| {
                format!(
                    ", plates warm from batches before ({} and {})",
                    self.shown.fixed(Of::Temperature, lower, 1),
                    self.shown.fixed_with(Of::Temperature, upper, 1)
                )
            });
        Some(format!("seed {seed}, {machine}{finer}{warm}"))
    }

    /// Whether the answer is yes.
    pub fn passes(&self) -> bool {
        self.verdict != Verdict::Fail && self.board.as_ref().is_none_or(BoardReport::same)
    }

    /// JSON, indented.
    pub fn json(&self) -> String {
        // Plain structs with string keys always serialise.
        serde_json::to_string_pretty(self).unwrap_or_default() + "\n"
    }
}

fn held(item: &Judged) -> Held {
    Held {
        what: item.requirement.what(),
        value: item.value,
        limit: item.limit,
        unit: item.requirement.unit(),
        of: item.requirement.kind(),
        holds: item.holds(),
    }
}

fn steps(ran: &Ran) -> Vec<StepRow> {
    ran.made
        .outcome
        .summary
        .steps
        .iter()
        .zip(&ran.set.recipe.value.steps)
        .map(|(went, meant)| StepRow {
            name: meant.name.clone(),
            setpoint_n: went.setpoint,
            limit_n: went.limit,
            peak_n: went.peak.map(|worst| worst.value),
            margin_n: went.margin.map(|worst| worst.value),
            overshoot_n: went.overshoot.map(|worst| worst.value),
            dwell_s: went.dwell,
            in_band: went.in_band,
        })
        .collect()
}

fn harm(outcome: &Outcome) -> Vec<Harmed> {
    outcome
        .summary
        .harm
        .marks()
        .into_iter()
        .filter(|(_, mark)| mark.happened())
        .map(|(what, mark)| Harmed {
            what,
            worst: mark.worst,
            // A run has at most 2^32 ticks.
            first_s: mark
                .first
                .and_then(|tick| u32::try_from(tick).ok())
                .map(seconds),
        })
        .collect()
}
