//! One cycle as pictures need it: curves over time, phases, marks. Filled from a recorded run, or from the plan alone.

use firmware_core::events::{Event, EventKind};
use firmware_core::process_image::{ALL_DRIVES, DRIVES};
use firmware_core::sequence::{Command, Phase};
use twinplate_check::case::{Case, litres_per_minute, rpm};
use twinplate_check::predict::Prediction;
use twinplate_sim::bench::row_name;
use twinplate_sim::bench::{Outcome, Trace};
use twinplate_sim::math::max;
use twinplate_sim::model::{Batch, Machine, Of, Recipe, Shown, micrometres};
use twinplate_sim::plant::plate_form::PlateForm;

/// A phase on the time line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Band {
    /// Phase.
    pub phase: Phase,
    /// Step, counted from 1; 0 outside steps.
    pub step: u8,
    /// Beginning, s.
    pub start: f64,
    /// End, s.
    pub end: f64,
}

/// Something that happened.
#[derive(Clone, Debug, PartialEq)]
pub struct CycleEvent {
    /// When, s.
    pub time: f64,
    /// What, with its cause.
    pub text: String,
    /// Whether it is not normal.
    pub abnormal: bool,
}

/// Radial profiles of both plates.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Profiles {
    /// Radius, mm.
    pub radius: Vec<f64>,
    /// Height of the lower and of the upper plate towards the parts before the cycle, and the same after it, heat included, µm.
    pub heights: [Vec<f64>; 4],
}

impl Profiles {
    /// From before and after.
    #[must_use]
    pub(crate) fn new(before: &PlateForm, after: &PlateForm) -> Self {
        let mut profiles = Self::default();
        for ((radius, before), (_, after)) in before.profile().zip(after.profile()) {
            profiles.radius.push(radius * 1e3);
            let heights = [before[0], before[1], after[0], after[1]];
            for (column, height) in profiles.heights.iter_mut().zip(heights) {
                column.push(micrometres(height));
            }
        }
        // Wear and warmth move a whole face; what counts is its form.
        for column in &mut profiles.heights {
            let outer = column.last().copied().unwrap_or(0.0);
            for height in column {
                *height -= outer;
            }
        }
        profiles
    }

    /// The same in the units to answer in.
    #[must_use]
    pub(crate) fn answered(mut self, shown: &Shown) -> Self {
        for radius in &mut self.radius {
            *radius = shown.again(Of::Length, *radius);
        }
        for height in self.heights.iter_mut().flatten() {
            *height = shown.again(Of::Form, *height);
        }
        self
    }
}

/// One cycle's curves, in the units to answer in; those named here where people typed the demonstration set's. All vectors but `bands` and `marks` have one value a row of `time`.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Cycle {
    /// Whether the curves come from a run; a planned cycle has only what the recipe says.
    pub simulated: bool,
    /// Time, s.
    pub time: Vec<f64>,
    /// True load without runout, smallest and largest in the row, N.
    pub load: Vec<[f64; 2]>,
    /// Load as the controller measures it, N.
    pub measured: Vec<f64>,
    /// Reference of the load loop, N; NaN where there is none.
    pub reference: Vec<f64>,
    /// Step limit in force, N; NaN where there is none.
    pub limit: Vec<f64>,
    /// Load that the governor's clamp allows on the declared line, N; NaN where there is none.
    pub governor: Vec<f64>,
    /// Drive speeds, rpm, `Drive` order.
    pub speeds: [Vec<f64>; DRIVES],
    /// Slurry flow at the plate, L/min.
    pub flow: Vec<f64>,
    /// Wetness of the gap, 0..1.
    pub wetness: Vec<f64>,
    /// True mean thickness, µm.
    pub thickness: Vec<f64>,
    /// Target thickness and tolerance, µm.
    pub size: [f64; 2],
    /// Incoming mean and standard deviation, µm.
    pub incoming: [f64; 2],
    /// Finished mean, smallest, largest, µm.
    pub finished: [f64; 3],
    /// Thickness of every finished part, µm; empty where only the spread is known.
    pub parts: Vec<f64>,
    /// Plates before and after, where they are known.
    pub plates: Profiles,
    /// Rated load, N.
    pub rated: f64,
    /// Phases in order.
    pub bands: Vec<Band>,
    /// Events in order.
    pub marks: Vec<CycleEvent>,
    /// The units.
    pub shown: Shown,
}

impl Cycle {
    /// Length, s.
    #[must_use]
    pub fn length(&self) -> f64 {
        let rows = self.time.last().copied().unwrap_or(0.0);
        let bands = self.bands.last().map_or(0.0, |band| band.end);
        max(max(rows, bands), 1.0)
    }

    /// Top of the load axis, N: a little over the highest of load, reference, limit and governor, never over a fifth above rated.
    #[must_use]
    pub(crate) fn top_load(&self) -> f64 {
        let mut top = 1.0;
        for pair in &self.load {
            top = max(top, pair[1]);
        }
        for value in self.reference.iter().chain(&self.limit) {
            if value.is_finite() {
                top = max(top, *value);
            }
        }
        1.08 * top
    }

    /// What the recipe alone says: reference, limits, speeds and planned phases, without a run.
    #[must_use]
    pub(crate) fn planned(case: &Case, prediction: &Prediction) -> Self {
        let bands: Vec<Band> = prediction
            .phases
            .iter()
            .map(|span| Band {
                phase: span.phase,
                step: span.step,
                start: span.start_s,
                end: span.end_s,
            })
            .collect();
        let mut cycle = Self {
            size: size(case.batch),
            incoming: incoming(case.batch),
            finished: [
                micrometres(prediction.thickness),
                micrometres(prediction.thickness - 3.0 * prediction.spread),
                micrometres(prediction.thickness + 3.0 * prediction.spread),
            ],
            rated: case.machine.control.rated_load,
            ..Self::default()
        };
        let mut load = 0.0;
        let mut speeds = [0.0; DRIVES];
        let mut thickness = case.batch.thickness;
        for (index, band) in bands.iter().enumerate() {
            let before = load;
            let after = plan(case, &bands, index, &mut load, &mut speeds);
            let removed = removed_in(band, prediction);
            cycle.point(
                band.start,
                before,
                after.0,
                speeds_at(&after.1, true),
                thickness,
            );
            thickness -= removed;
            cycle.point(
                band.end,
                load,
                after.0,
                speeds_at(&after.1, false),
                thickness,
            );
        }
        cycle.bands = bands;
        cycle.answered(case.recipe.shown)
    }

    /// The same in the units to answer in.
    fn answered(mut self, shown: Shown) -> Self {
        let all = |of: Of, numbers: &mut [f64]| {
            for number in numbers {
                *number = shown.again(of, *number);
            }
        };
        for pair in &mut self.load {
            all(Of::Load, pair);
        }
        for column in [
            &mut self.measured,
            &mut self.reference,
            &mut self.limit,
            &mut self.governor,
        ] {
            all(Of::Load, column);
        }
        all(Of::Flow, &mut self.flow);
        all(Of::Size, &mut self.thickness);
        all(Of::Size, &mut self.size);
        all(Of::Size, &mut self.incoming);
        all(Of::Size, &mut self.finished);
        all(Of::Size, &mut self.parts);
        self.plates = self.plates.answered(&shown);
        self.rated = shown.again(Of::Load, self.rated);
        self.shown = shown;
        self
    }

    fn point(&mut self, time: f64, load: f64, limit: f64, speeds: [f64; DRIVES], thickness: f64) {
        self.time.push(time);
        self.reference.push(load);
        self.load.push([load, load]);
        self.measured.push(f64::NAN);
        self.limit.push(limit);
        self.governor.push(f64::NAN);
        for (column, speed) in self.speeds.iter_mut().zip(speeds) {
            column.push(rpm(speed));
        }
        self.flow.push(f64::NAN);
        self.wetness.push(f64::NAN);
        self.thickness.push(micrometres(thickness));
    }

    /// From a recorded run.
    #[must_use]
    pub fn recorded(machine: &Machine, batch: &Batch, recipe: &Recipe, outcome: &Outcome) -> Self {
        let summary = &outcome.summary;
        let mut cycle = Self {
            simulated: true,
            size: size(batch),
            incoming: incoming(batch),
            finished: [
                micrometres(summary.parts.mean),
                micrometres(summary.parts.min),
                micrometres(summary.parts.max),
            ],
            rated: machine.control.rated_load,
            plates: Profiles::new(&PlateForm::new(machine), &outcome.plates),
            parts: outcome
                .parts
                .iter()
                .filter(|part| part.present && !part.dummy)
                .map(|part| micrometres(part.thickness))
                .collect(),
            ..Self::default()
        };
        if let Some(trace) = &outcome.trace {
            cycle.curves(trace, machine);
        }
        for interval in &summary.intervals {
            let stepped = matches!(
                interval.phase,
                Phase::RunUp | Phase::LoadRamp | Phase::Dwell
            );
            cycle.bands.push(Band {
                phase: interval.phase,
                step: if stepped { interval.step + 1 } else { 0 },
                start: f64::from(interval.start) / 1e3,
                end: f64::from(interval.end) / 1e3,
            });
        }
        cycle.mark_events(outcome, recipe);
        cycle.answered(recipe.shown)
    }

    fn curves(&mut self, trace: &Trace, machine: &Machine) {
        let column = |name: &str| -> Vec<f64> {
            trace
                .column(name)
                .map_or_else(|| vec![f64::NAN; trace.rows()], Iterator::collect)
        };
        let or_none = |values: Vec<f64>| -> Vec<f64> {
            values
                .into_iter()
                .map(|value| if value > 0.0 { value } else { f64::NAN })
                .collect()
        };
        self.time = trace.ticks().iter().map(|t| f64::from(*t) / 1e3).collect();
        self.load = column("true_load_without_runout_min")
            .into_iter()
            .zip(column("true_load_without_runout_max"))
            .map(|(least, most)| [least, most])
            .collect();
        self.measured = column("controller_load_max");
        self.reference = or_none(column("controller_reference_max"));
        self.limit = or_none(column("controller_load_limit"));
        let (rest, gain) = (
            machine.actuator.resting_load(),
            machine.actuator.line_gain(),
        );
        self.governor = column("controller_governor_max")
            .into_iter()
            .zip(&self.limit)
            .map(|(share, limit)| {
                if limit.is_finite() && share > 0.0 {
                    rest + gain * share
                } else {
                    f64::NAN
                }
            })
            .collect();
        self.speeds = ALL_DRIVES.map(|drive| column(&format!("true_speed_{}_max", drive.name())));
        self.flow = column("true_flow")
            .into_iter()
            .map(|ml| litres_per_minute(ml / 60e6))
            .collect();
        self.wetness = column("true_wetness");
        self.thickness = column("true_thickness");
    }

    fn mark_events(&mut self, outcome: &Outcome, recipe: &Recipe) {
        let summary = &outcome.summary;
        for event in &outcome.events.list {
            if let Some((text, abnormal)) = told(event, &recipe.shown) {
                self.marks.push(CycleEvent {
                    time: f64::from(event.tick.0) / 1e3,
                    text,
                    abnormal,
                });
            }
        }
        for (index, step) in summary.steps.iter().enumerate() {
            let Some(peak) = step.peak else { continue };
            let name = recipe
                .steps
                .get(index)
                .map_or("", |step| step.name.as_str());
            self.marks.push(CycleEvent {
                time: f64::from(peak.tick) / 1e3,
                text: format!(
                    "peak of step {} {name}: {}",
                    index + 1,
                    recipe.shown.fixed_with(Of::Load, peak.value, 0)
                ),
                abnormal: peak.value > step.limit,
            });
        }
        self.marks.sort_by(|a, b| a.time.total_cmp(&b.time));
    }
}

/// Words for an event that a person wants to see on the ribbon, and whether it is not normal. The phases show the moves.
fn told(event: &Event, shown: &Shown) -> Option<(String, bool)> {
    let word = event.kind.word();
    Some(match event.kind {
        EventKind::Departed if event.cause == 0 => (format!("{word} on command"), false),
        EventKind::Condition | EventKind::Departed => {
            (format!("{word}: {}", row_name(event.cause)), true)
        }
        EventKind::Refused | EventKind::Missing => (word.to_owned(), true),
        EventKind::Internal => (format!("{word} {}", event.detail), true),
        EventKind::Seated => (
            format!(
                "{word} with {}",
                shown.fixed_with(Of::Load, f64::from(event.detail) / 1e3, 0)
            ),
            false,
        ),
        EventKind::Batch | EventKind::Gains => (word.to_owned(), false),
        EventKind::FormLower | EventKind::FormUpper => (
            format!(
                "{word}: {}",
                shown.with(
                    Of::Form,
                    &shown.signed(Of::Form, f64::from(event.detail) / 1e3, 1)
                )
            ),
            false,
        ),
        EventKind::RingSetting => (format!("{word}: {}", event.detail), false),
        EventKind::ByLink => {
            let command = u16::try_from(event.detail).ok().and_then(Command::numbered);
            let command = command.map_or("?", Command::word);
            (format!("{word}: {command}"), false)
        }
        EventKind::Boot
        | EventKind::Moved
        | EventKind::Step
        | EventKind::Acknowledged
        | EventKind::Reset
        | EventKind::Tared
        | EventKind::Mode
        | EventKind::Recipe => return None,
    })
}

fn size(batch: &Batch) -> [f64; 2] {
    [micrometres(batch.target), micrometres(batch.tolerance)]
}

fn incoming(batch: &Batch) -> [f64; 2] {
    [micrometres(batch.thickness), micrometres(batch.spread)]
}

/// Load at the end of a planned band (left in `load`), its limit, and the speeds at its beginning and end.
fn plan(
    case: &Case,
    bands: &[Band],
    index: usize,
    load: &mut f64,
    speeds: &mut [f64; DRIVES],
) -> (f64, [[f64; DRIVES]; 2]) {
    let band = bands[index];
    let initial = case.machine.control.initial_load;
    let step = usize::from(band.step)
        .checked_sub(1)
        .and_then(|step| case.recipe.steps.get(step));
    let before = *speeds;
    let mut limit = f64::NAN;
    match band.phase {
        Phase::TouchDown => *load = initial,
        Phase::RunUp => {
            if let Some(step) = step {
                *speeds = step.speeds;
            }
        }
        Phase::LoadRamp | Phase::Dwell => {
            if let Some(step) = step {
                *load = case.setpoint(step);
                *speeds = step.speeds;
                limit = step.load_limit;
            }
        }
        Phase::LoadRelease => *load = twinplate_sim::math::min(*load, initial),
        Phase::RunDown => *speeds = [0.0; DRIVES],
        Phase::Lift => *load = 0.0,
        Phase::Rest
        | Phase::Precheck
        | Phase::Lower
        | Phase::SlurryPrestart
        | Phase::Rinse
        | Phase::SlurryStop
        | Phase::Coast
        | Phase::Manual => {}
    }
    (limit, [before, *speeds])
}

fn speeds_at(ends: &[[f64; DRIVES]; 2], start: bool) -> [f64; DRIVES] {
    ends[usize::from(!start)]
}

/// Stock that a planned band removes, m: a step's stock is shared out over its bands by time.
fn removed_in(band: &Band, prediction: &Prediction) -> f64 {
    let Some(step) = usize::from(band.step)
        .checked_sub(1)
        .and_then(|step| prediction.steps.get(step))
    else {
        return 0.0;
    };
    if !matches!(band.phase, Phase::LoadRamp | Phase::Dwell) || step.duration_s <= 0.0 {
        return 0.0;
    }
    let share = (band.end - band.start) / step.duration_s;
    (step.removal_upper_um + step.removal_lower_um) * 1e-6 * share
}
