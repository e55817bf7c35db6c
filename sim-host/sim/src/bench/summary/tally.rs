//! The running count behind a [`Summary`]. It costs the same every tick and takes all its room at the start.

use super::dwell::LastHalf;
use super::{Interval, PartsSummary, RESPONSES, StepSummary, Summary, Worst};
use crate::bench::TickView;
use crate::math;
use crate::model::Control;
use crate::plant::Plant;
use firmware_core::recipe::RecipeWire;
use firmware_core::sequence::{Phase, State};
use firmware_core::status::Response;
use firmware_core::units::TICKS_PER_SECOND;

/// Intervals kept. A cycle of 16 steps has about 60; a hold adds a dozen.
const INTERVALS: usize = 512;

/// After the reference has fallen, the load may still come down from above for this long before it counts as overshoot, ticks:
/// about ten times lag and dead time of a slow regulator (0.2 s). It ends at once when the load has come down to the reference.
const FALL_GRACE: u32 = 2 * TICKS_PER_SECOND;

/// What the load is judged against: the recipe's numbers, not the controller's.
#[derive(Clone, Debug, PartialEq)]
pub struct Targets {
    /// Setpoint, limit and half-width of the band of each step, N.
    steps: Vec<Target>,
    /// Rated load of the machine, N.
    rated: f64,
}

#[derive(Clone, Copy, Debug, PartialEq)]
struct Target {
    setpoint: f64,
    limit: f64,
    band: f64,
}

impl Targets {
    /// Of a compiled recipe on a machine.
    #[must_use]
    pub fn new(recipe: &RecipeWire, control: &Control) -> Self {
        let steps = recipe
            .steps
            .iter()
            .map(|step| {
                let setpoint = f64::from(step.load.get());
                Target {
                    setpoint,
                    limit: f64::from(step.load_limit.get()),
                    band: math::max(control.band_newtons, control.band_share * setpoint),
                }
            })
            .collect();
        Self {
            steps,
            rated: control.rated_load,
        }
    }
}

/// How a phase's load is watched, worked out when the phase begins.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
struct Watched {
    /// Against the step's limit: from `LoadRamp` on.
    limit: bool,
    /// Against the reference: `LoadRamp` and `Dwell`.
    reference: bool,
    /// Dwell: band, mean, hunting.
    dwell: bool,
}

/// Counts of a step's dwell.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
struct DwellCount {
    ticks: u32,
    in_band: u32,
    sum: f64,
}

/// Worst values so far of the step in force, without their places: what a tick is compared with. [`Tally::steps`] has them in full.
#[derive(Clone, Copy, Debug, PartialEq)]
struct WorstSoFar {
    peak: f64,
    margin: f64,
    overshoot: f64,
}

impl WorstSoFar {
    fn of(step: &StepSummary) -> Self {
        let value = |worst: Option<Worst>, none| worst.map_or(none, |worst| worst.value);
        Self {
            peak: value(step.peak, f64::NEG_INFINITY),
            margin: value(step.margin, f64::INFINITY),
            overshoot: value(step.overshoot, f64::NEG_INFINITY),
        }
    }
}

/// The running count.
#[derive(Clone, Debug, PartialEq)]
pub struct Tally {
    targets: Targets,
    steps: Vec<StepSummary>,
    dwells: Vec<DwellCount>,
    half: LastHalf,
    intervals: Vec<Interval>,
    intervals_dropped: u32,
    place: Option<(State, Phase, u8)>,
    watched: Watched,
    target: Target,
    /// Of the step in force.
    worst: WorstSoFar,
    dwell: DwellCount,
    /// Limit in force, N: the step's, or the last step's while the load still comes down from it to the step's band.
    limit: f64,
    reference: f64,
    /// The load has met the reference since it last fell.
    settled: bool,
    fell: u32,
    peak_load: Worst,
    first_contact: [f64; 2],
    cause: Option<(u16, u32)>,
    responses: [Option<u32>; RESPONSES],
    response: Response,
    rows: u64,
    started: Option<u32>,
    completed: Option<u32>,
    next_tick: u32,
}

impl Tally {
    /// Before the first tick.
    #[must_use]
    pub fn new(targets: Targets) -> Self {
        let steps = targets
            .steps
            .iter()
            .map(|target| StepSummary {
                setpoint: target.setpoint,
                limit: target.limit,
                ..StepSummary::default()
            })
            .collect::<Vec<_>>();
        Self {
            dwells: vec![DwellCount::default(); steps.len()],
            steps,
            targets,
            half: LastHalf::new(),
            intervals: Vec::with_capacity(INTERVALS),
            intervals_dropped: 0,
            place: None,
            watched: Watched::default(),
            target: Target {
                setpoint: 0.0,
                limit: 0.0,
                band: 0.0,
            },
            worst: WorstSoFar::of(&StepSummary::default()),
            dwell: DwellCount::default(),
            limit: 0.0,
            reference: 0.0,
            settled: true,
            fell: 0,
            peak_load: Worst {
                value: f64::NEG_INFINITY,
                tick: 0,
                step: 0,
            },
            first_contact: [0.0; 2],
            cause: None,
            responses: [None; RESPONSES],
            response: Response::None,
            rows: 0,
            started: None,
            completed: None,
            next_tick: 0,
        }
    }

    /// One tick.
    #[inline(always)]
    pub fn observe(&mut self, view: &TickView<'_>) {
        let status = view.status;
        let place = (status.state, status.phase, status.step);
        if self.place != Some(place) {
            self.enter(view.tick, f64::from(status.reference.get()), place);
        }
        self.next_tick = view.tick.wrapping_add(1);
        self.rows |= status.active;
        if status.response != self.response {
            self.respond(status.response, view.tick);
        }
        if status.cause != 0 && self.cause.is_none() {
            self.cause = Some((status.cause, view.tick));
        }
        if view.truth.load > self.peak_load.value {
            self.peak_load = Worst {
                value: view.truth.load,
                tick: view.tick,
                step: status.step,
            };
        }
        for (worst, now) in self.first_contact.iter_mut().zip(view.truth.first_contact) {
            *worst = math::max(*worst, now);
        }
        if self.watched.limit {
            self.watch_load(view);
        }
    }

    #[cold]
    fn respond(&mut self, response: Response, tick: u32) {
        self.response = response;
        self.responses[response as usize].get_or_insert(tick);
    }

    /// The load from `LoadRamp` on.
    #[inline(always)]
    fn watch_load(&mut self, view: &TickView<'_>) {
        let load = view.truth.load_without_runout;
        let place = (view.tick, view.status.step);
        if load <= self.target.setpoint + self.target.band {
            self.limit = self.target.limit;
        }
        if load > self.worst.peak {
            self.worst.peak = load;
            self.note(|step| &mut step.peak, load, place);
        }
        let margin = self.limit - load;
        if margin < self.worst.margin {
            self.worst.margin = margin;
            self.note(|step| &mut step.margin, margin, place);
        }
        if self.watched.reference {
            let reference = f64::from(view.status.reference.get());
            if reference < self.reference {
                self.settled = false;
                self.fell = view.tick;
            } else if !self.settled
                && (load <= reference || view.tick.wrapping_sub(self.fell) > FALL_GRACE)
            {
                self.settled = true;
            }
            self.reference = reference;
            let over = load - reference;
            if self.settled && over > self.worst.overshoot {
                self.worst.overshoot = over;
                self.note(|step| &mut step.overshoot, over, place);
            }
        }
        if self.watched.dwell {
            self.dwell.ticks += 1;
            let off = math::abs(load - self.target.setpoint);
            self.dwell.in_band += u32::from(off <= self.target.band);
            self.dwell.sum += load;
            self.half.add(load);
        }
    }

    /// A new worst value of the step in force, with its place.
    #[inline(never)]
    fn note(
        &mut self,
        which: fn(&mut StepSummary) -> &mut Option<Worst>,
        value: f64,
        (tick, step): (u32, u8),
    ) {
        if let Some(summary) = self.steps.get_mut(usize::from(step)) {
            *which(summary) = Some(Worst { value, tick, step });
        }
    }

    /// A new state, phase or step begins.
    #[cold]
    fn enter(&mut self, tick: u32, reference: f64, place: (State, Phase, u8)) {
        self.leave(tick);
        let (state, phase, step) = place;
        if self.intervals.len() < INTERVALS {
            self.intervals.push(Interval {
                state,
                phase,
                step,
                start: tick,
                end: tick,
            });
        } else {
            self.intervals_dropped = self.intervals_dropped.saturating_add(1);
        }
        if state == State::Running {
            self.started.get_or_insert(tick);
        }
        if state == State::Complete {
            self.completed.get_or_insert(tick);
        }
        let was = self.watched;
        self.watched = watched(phase);
        if self.watched.dwell {
            self.half.clear();
        }
        if self.watched.reference && !was.reference {
            self.reference = reference;
            self.settled = true;
        }
        let index = usize::from(step);
        if let (Some(summary), Some(dwell)) = (self.steps.get(index), self.dwells.get(index)) {
            (self.worst, self.dwell) = (WorstSoFar::of(summary), *dwell);
        } else {
            // A step that the recipe does not have: there is nothing to judge it by.
            self.watched = Watched::default();
        }
        if let Some(target) = self.targets.steps.get(index) {
            self.target = *target;
            // A step down: in its load ramp the load may be where the last step allowed it until it has come into the new band.
            self.limit = if was.limit && phase == Phase::LoadRamp {
                math::max(self.limit, target.limit)
            } else {
                target.limit
            };
        }
        self.place = Some(place);
    }

    /// The present state, phase and step ended with the tick before `tick`.
    fn leave(&mut self, tick: u32) {
        if self.place.is_none() {
            return;
        }
        // When intervals found no room the last one kept must not be stretched.
        if self.intervals_dropped == 0
            && let Some(interval) = self.intervals.last_mut()
        {
            interval.end = tick;
        }
        if self.watched.dwell
            && let Some((_, _, step)) = self.place
            && let Some(summary) = self.steps.get_mut(usize::from(step))
            && let Some(dwell) = self.dwells.get_mut(usize::from(step))
        {
            summary.hunting = math::max(summary.hunting, self.half.peak_to_peak());
            *dwell = self.dwell;
        }
    }

    /// Closes the count with what the plant knows at the end.
    #[must_use]
    pub fn finish(mut self, plant: &Plant) -> Summary {
        self.leave(self.next_tick);
        for (step, dwell) in self.steps.iter_mut().zip(&self.dwells) {
            if dwell.ticks > 0 {
                step.dwell = seconds(dwell.ticks);
                step.in_band = f64::from(dwell.in_band) / f64::from(dwell.ticks);
                step.mean_load = dwell.sum / f64::from(dwell.ticks);
            }
        }
        let truth = plant.truth();
        let (state, phase, _) = self.place.unwrap_or_default();
        Summary {
            ticks: self.next_tick,
            state,
            phase,
            cycle: self
                .completed
                .zip(self.started)
                .map(|(end, start)| seconds(end.wrapping_sub(start))),
            intervals: self.intervals,
            intervals_dropped: self.intervals_dropped,
            steps: self.steps,
            peak_load: self.peak_load,
            rated_load: self.targets.rated,
            first_contact: self.first_contact[0],
            first_contact_part: self.first_contact[1],
            largest_part: plant
                .most_on_a_part()
                .map(|most| (most, plant.pocket(most.part))),
            leaning: plant.leaning(),
            tooth: plant.most_on_a_tooth(),
            harm: *plant.harm(),
            cause: self.cause,
            responses: self.responses,
            rows: self.rows,
            parts: parts(|| {
                let product = plant.parts().filter(|part| part.present && !part.dummy);
                product.map(|part| part.thickness)
            }),
            form: plant.form_truth(),
            roughness: truth.roughness,
            damage_left: plant.deepest_damage(),
            slurry_used: truth.slurry_used,
        }
    }
}

/// What is watched in a phase. Off the ladder the load comes down; it is still under the step's limit.
const fn watched(phase: Phase) -> Watched {
    let (limit, reference, dwell) = match phase {
        Phase::LoadRamp => (true, true, false),
        Phase::Dwell => (true, true, true),
        Phase::LoadRelease | Phase::Rinse | Phase::RunDown | Phase::Coast => (true, false, false),
        Phase::Rest
        | Phase::Precheck
        | Phase::Lower
        | Phase::TouchDown
        | Phase::SlurryPrestart
        | Phase::RunUp
        | Phase::SlurryStop
        | Phase::Lift
        | Phase::Manual => (false, false, false),
    };
    Watched {
        limit,
        reference,
        dwell,
    }
}

/// Mean, spread and ends of some thicknesses, m.
fn parts<I: Iterator<Item = f64>>(thicknesses: impl Fn() -> I) -> PartsSummary {
    let mut count = 0_u32;
    let (mut sum, mut min, mut max) = (0.0, f64::INFINITY, f64::NEG_INFINITY);
    for thickness in thicknesses() {
        count += 1;
        sum += thickness;
        min = math::min(min, thickness);
        max = math::max(max, thickness);
    }
    if count == 0 {
        return PartsSummary::default();
    }
    let mean = sum / f64::from(count);
    let squares: f64 = thicknesses().map(|t| (t - mean) * (t - mean)).sum();
    let sd = if count < 2 {
        0.0
    } else {
        math::sqrt(squares / f64::from(count - 1))
    };
    PartsSummary {
        count,
        mean,
        sd,
        min,
        max,
    }
}

/// Ticks as seconds.
fn seconds(ticks: u32) -> f64 {
    f64::from(ticks) / f64::from(TICKS_PER_SECOND)
}

#[cfg(test)]
#[path = "tally_tests.rs"]
mod tests;
