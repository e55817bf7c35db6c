//! What `run` says about its run: text for people, JSON for programs. One value, drawn twice.

use crate::bench::RefusedBy;
use crate::bench::summary::Interval;
use crate::bench::{Drawn, End, Ended, Outcome, Refused, columns};
use crate::files::Set;
use crate::model::Scenario;
use crate::report::{Cycle, Paint, Style, duration, ribbon, wrap};
use crate::study::finding::significant;
use crate::study::proof::{Judged, RunJudgement};
use crate::study::prove::spans;
use crate::study::verdict::Verdict;
use firmware_core::events::EventKind;
use firmware_core::interlock::TABLE;
use firmware_core::judge::PRECHECK_ITEMS;
use serde::Serialize;
use std::fmt::Write as _;

/// Version of the JSON.
const SCHEMA: u16 = 1;
/// Width of a terminal line.
const WIDTH: usize = 80;

/// A run and what it was made from.
pub struct Ran<'a> {
    /// The files.
    pub set: &'a Set,
    /// The scenario, where there was one.
    pub scenario: Option<&'a Scenario>,
    /// The draw, where it is known.
    pub drawn: Option<Drawn>,
    /// What the run left.
    pub outcome: &'a Outcome,
    /// What it must hold.
    pub judged: &'a RunJudgement,
    /// How the journal says that it ended, in a replay.
    pub expected: Option<End>,
}

/// A row of the phase table.
#[derive(Clone, Debug, PartialEq, Serialize)]
struct PhaseRow {
    state: &'static str,
    phase: &'static str,
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
    holds: bool,
}

/// The first reason for leaving the ladder.
#[derive(Clone, Debug, PartialEq, Serialize)]
struct Cause {
    id: u16,
    name: &'static str,
    time_s: f64,
    happened: &'static str,
    cure: &'static str,
}

/// Something that came to harm.
#[derive(Clone, Debug, PartialEq, Serialize)]
struct Harmed {
    what: &'static str,
    worst: f64,
    first_s: Option<f64>,
}

/// Finished parts, µm.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
struct Sizes {
    mean: f64,
    sd: f64,
    min: f64,
    max: f64,
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
    ended: &'static str,
    state: &'static str,
    ticks: u32,
    cycle_s: Option<f64>,
    cause: Option<Cause>,
    phases: Vec<PhaseRow>,
    steps: Vec<StepRow>,
    requirements: Vec<Held>,
    peak_load_n: f64,
    rated_load_n: f64,
    harm: Vec<Harmed>,
    thickness_um: Sizes,
    roughness_um: f64,
    slurry_l: f64,
    refused: Vec<String>,
    missing: Vec<&'static str>,
    control_hash: String,
    trace_hash: Option<String>,
    /// In a replay, whether the same run came out.
    same_as_journal: Option<bool>,
}

fn seconds(tick: u32) -> f64 {
    f64::from(tick) / 1e3
}

fn ended(outcome: &Outcome) -> &'static str {
    match outcome.ended {
        Ended::Complete => "complete",
        Ended::Stopped => "stopped",
        Ended::Aborted => "aborted",
        Ended::NotStarted => "not started",
        Ended::Idle => "back at idle",
        Ended::LongestTime => "longest time over",
    }
}

fn phases(outcome: &Outcome) -> Vec<PhaseRow> {
    spans(&outcome.summary)
        .iter()
        .zip(&outcome.summary.intervals)
        .map(|(span, interval): (_, &Interval)| PhaseRow {
            state: interval.state.name(),
            phase: span.phase,
            step: span.step,
            start_s: span.start_s,
            end_s: span.end_s,
        })
        .collect()
}

fn cause(outcome: &Outcome) -> Option<Cause> {
    let (id, tick) = outcome.summary.cause?;
    let row = TABLE.iter().find(|row| row.id == id)?;
    Some(Cause {
        id,
        name: row.name,
        time_s: seconds(tick),
        happened: row.happened,
        cure: row.cure,
    })
}

/// What was missing when a start was refused.
fn missing(outcome: &Outcome) -> Vec<&'static str> {
    let bits = outcome
        .events
        .list
        .iter()
        .filter(|event| event.kind == EventKind::Missing)
        .fold(0, |bits, event| bits | event.detail);
    PRECHECK_ITEMS
        .iter()
        .enumerate()
        .filter(|(bit, _)| bits >> bit & 1 == 1)
        .map(|(_, item)| *item)
        .collect()
}

fn refusal(refused: &Refused) -> String {
    let why = match &refused.by {
        RefusedBy::Controller(refusal) => format!("by the controller: {refusal:?}"),
        RefusedBy::Plant(refusal) => format!("by the machine: {refusal}"),
    };
    format!("{:.3} s, {why}", seconds(refused.tick))
}

impl RunReport {
    /// From a run.
    pub fn new(ran: &Ran) -> Self {
        let (outcome, summary) = (ran.outcome, &ran.outcome.summary);
        let requirements: Vec<Held> = ran.judged.items.iter().map(held).collect();
        let same = ran
            .expected
            .map(|end| (end.ticks, end.control_hash) == (summary.ticks, outcome.control_hash));
        let good = ran.judged.holds() && same != Some(false);
        let parts = &summary.parts;
        let micro = |metres: f64| metres * 1e6;
        Self {
            schema: SCHEMA,
            verdict: if good { Verdict::Pass } else { Verdict::Fail },
            recipe: ran.set.recipe.value.id.clone(),
            machine: ran.set.machine.value.id.clone(),
            batch: ran.set.batch.value.id.clone(),
            scenario: ran.scenario.map(|scenario| scenario.id.clone()),
            seed: ran.drawn.map(|drawn| drawn.seed),
            draw: ran.drawn.map(|drawn| drawn.index),
            ended: ended(outcome),
            state: summary.state.name(),
            ticks: summary.ticks,
            cycle_s: summary.cycle,
            cause: cause(outcome),
            phases: phases(outcome),
            steps: steps(ran),
            requirements,
            peak_load_n: summary.peak_load.value,
            rated_load_n: summary.rated_load,
            harm: harm(outcome),
            thickness_um: Sizes {
                mean: micro(parts.mean),
                sd: micro(parts.sd),
                min: micro(parts.min),
                max: micro(parts.max),
            },
            roughness_um: micro(summary.roughness),
            slurry_l: summary.slurry_used * 1e3,
            refused: outcome.refused.iter().map(refusal).collect(),
            missing: missing(outcome),
            control_hash: format!("{:#018x}", outcome.control_hash),
            trace_hash: outcome.trace_hash.map(|hash| format!("{hash:#018x}")),
            same_as_journal: same,
        }
    }

    /// Whether the answer is yes.
    pub fn passes(&self) -> bool {
        self.verdict != Verdict::Fail
    }

    /// JSON, indented.
    pub fn json(&self) -> String {
        // Plain structs with string keys always serialise.
        serde_json::to_string_pretty(self).unwrap_or_default() + "\n"
    }

    /// Text; `told` are lines about what was written.
    pub fn text(&self, cycle: &Cycle, told: &[String], style: Style) -> String {
        let mut text = String::new();
        self.head(&mut text, style);
        self.phase_table(&mut text, style);
        self.step_table(&mut text, style);
        self.requirement_table(&mut text, style);
        text.push('\n');
        text.push_str(&ribbon::draw(cycle, style));
        text.push('\n');
        let mut line = |content: &str| {
            text.push_str(content);
            text.push('\n');
        };
        line(&format!("control hash {}", self.control_hash));
        if let Some(hash) = &self.trace_hash {
            line(&format!(
                "trace hash   {hash} (columns {})",
                columns::TRACE_VERSION
            ));
        }
        match self.same_as_journal {
            Some(true) => line("the same run as the journal's"),
            Some(false) => line("NOT the run of the journal: ticks or control hash differ"),
            None => {}
        }
        told.iter().for_each(|about| line(about));
        let kind = if self.passes() {
            Paint::Normal
        } else {
            Paint::Danger
        };
        line(&style.paint(kind, &format!("verdict: {}", self.verdict.word())));
        text
    }

    fn head(&self, text: &mut String, style: Style) {
        let mut lines = vec![format!(
            "run {} on {} with {}",
            self.recipe, self.machine, self.batch
        )];
        if let Some(scenario) = &self.scenario {
            lines.push(format!("scenario {scenario}"));
        }
        if let (Some(seed), Some(draw)) = (self.seed, self.draw) {
            let which = if draw == 0 {
                "the machine as its file says".to_owned()
            } else {
                format!("draw {draw} from the envelope")
            };
            lines.push(format!("seed {seed}, {which}"));
        }
        lines.push(String::new());
        lines.push(match self.cycle_s {
            Some(cycle) => format!("{} after {}", self.ended, duration(cycle)),
            None => format!("{} (state {})", self.ended, self.state),
        });
        if let Some(cause) = &self.cause {
            lines.push(format!(
                "first-out {} ({}) at {:.3} s: {} {}",
                cause.name, cause.id, cause.time_s, cause.happened, cause.cure
            ));
        }
        if !self.missing.is_empty() {
            lines.push(format!(
                "start refused; missing: {}",
                self.missing.join(", ")
            ));
        }
        lines.extend(self.refused.iter().map(|what| format!("refused at {what}")));
        lines.push(format!(
            "peak load {} N with runout, rated {} N",
            significant(self.peak_load_n, 4),
            significant(self.rated_load_n, 4)
        ));
        let sizes = &self.thickness_um;
        lines.push(format!(
            "parts {:.1} µm mean, {:.1} to {:.1}, sd {:.2}; Ra {} µm; slurry {} L",
            sizes.mean,
            sizes.min,
            sizes.max,
            sizes.sd,
            significant(self.roughness_um, 2),
            significant(self.slurry_l, 2)
        ));
        lines.push(if self.harm.is_empty() {
            "no harm".to_owned()
        } else {
            let named: Vec<String> = self
                .harm
                .iter()
                .map(|harm| format!("{} (worst {})", harm.what, significant(harm.worst, 3)))
                .collect();
            format!("HARM: {}", named.join(", "))
        });
        for (index, content) in lines.iter().enumerate() {
            if content.is_empty() {
                text.push('\n');
            }
            for part in wrap(content, WIDTH) {
                let shown = if index == 0 {
                    style.paint(Paint::Strong, &part)
                } else {
                    part
                };
                // Writing to a String cannot fail.
                let _ = writeln!(text, "{shown}");
            }
        }
    }

    fn phase_table(&self, text: &mut String, style: Style) {
        heading(text, "Phases", style);
        let _ = writeln!(
            text,
            "{:<12} {:<18} {:>4} {:>10} {:>10} {:>10}",
            "state", "phase", "step", "start s", "end s", "lasted s"
        );
        for row in &self.phases {
            let step = if row.step == 0 {
                String::new()
            } else {
                row.step.to_string()
            };
            let _ = writeln!(
                text,
                "{:<12} {:<18} {step:>4} {:>10.3} {:>10.3} {:>10.3}",
                row.state,
                row.phase,
                row.start_s,
                row.end_s,
                row.end_s - row.start_s
            );
        }
    }

    fn step_table(&self, text: &mut String, style: Style) {
        heading(text, "Load by step, N (true load, runout taken out)", style);
        let _ = writeln!(
            text,
            "{:<16} {:>8} {:>8} {:>8} {:>8} {:>9} {:>8} {:>7}",
            "step", "setpoint", "peak", "limit", "margin", "overshoot", "dwell s", "in band"
        );
        let number = |value: Option<f64>| {
            value.map_or_else(|| "-".to_owned(), |value| format!("{value:.1}"))
        };
        for step in &self.steps {
            let _ = writeln!(
                text,
                "{:<16} {:>8.1} {:>8} {:>8.1} {:>8} {:>9} {:>8.1} {:>5.1} %",
                step.name,
                step.setpoint_n,
                number(step.peak_n),
                step.limit_n,
                number(step.margin_n),
                number(step.overshoot_n),
                step.dwell_s,
                step.in_band * 100.0
            );
        }
    }

    fn requirement_table(&self, text: &mut String, style: Style) {
        heading(text, "What the run must hold", style);
        for held in &self.requirements {
            let row = format!(
                "{:<28} {:>12} {:>12} {:>4}  {}",
                held.what,
                significant(held.value, 4),
                significant(held.limit, 4),
                held.unit,
                if held.holds { "holds" } else { "BROKEN" }
            );
            let shown = if held.holds {
                row
            } else {
                style.paint(Paint::Danger, &row)
            };
            let _ = writeln!(text, "{shown}");
        }
    }
}

fn heading(text: &mut String, title: &str, style: Style) {
    let _ = writeln!(text, "\n{}", style.paint(Paint::Strong, title));
}

fn held(item: &Judged) -> Held {
    Held {
        what: item.requirement.what(),
        value: item.value,
        limit: item.limit,
        unit: item.requirement.unit(),
        holds: item.holds(),
    }
}

fn steps(ran: &Ran) -> Vec<StepRow> {
    ran.outcome
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
