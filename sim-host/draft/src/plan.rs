//! The numbers of a recipe to be, before they are written: what may move, and where it begins.

use crate::goal::{Goal, Weights, usual};
use crate::lever::Lever;
use crate::limit::Limit;
use crate::speeds::{Shape, shapes};
use std::f64::consts::PI;
use twinplate_check::predict::predict;
use twinplate_check::{Case, Code};
use twinplate_sim::compile::Holding;
use twinplate_sim::math::{abs, floor, max, min};
use twinplate_sim::model::{Batch, End, Machine, Of, Process, Recipe, Shelved, Shown, Step};

/// What a change was made for, and what it was.
#[derive(Clone, Debug, PartialEq)]
pub struct Change {
    /// Name of the finding that asked for it, or of the wish.
    pub because: &'static str,
    /// What was changed, and to what.
    pub what: String,
}

/// Everything a draft is made from.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Ground<'a> {
    pub machine: &'a Machine,
    pub batch: &'a Batch,
    pub abrasive: &'a Shelved,
    pub goal: Goal,
    /// Where it begins; as the goal has it, unless another beginning is better.
    pub weights: Weights,
    /// Longest cycle, s.
    pub longest: Option<f64>,
    /// A size gauge is fitted.
    pub gauge: bool,
    /// The units that are written in.
    pub shown: &'a Shown,
}

impl Ground<'_> {
    /// A flow of three digits in the unit that is written in, no more than asked, m³/s.
    pub(crate) fn flow(&self, flow: f64) -> f64 {
        self.shown
            .si(Of::Flow, three_digits(self.shown.number(Of::Flow, flow)))
    }

    /// A load, N, in words.
    pub(crate) fn load(&self, load: f64, digits: usize) -> String {
        self.shown.say(Of::Load, load, digits)
    }

    /// A sliding speed, m/s, in words.
    pub(crate) fn sliding(&self, speed: f64) -> String {
        self.shown.say(Of::Sliding, speed, 3)
    }
}

/// The numbers of a recipe with one abrasive: a step that seats the parts, and one that laps them.
#[derive(Clone, Debug)]
pub(crate) struct Plan<'a> {
    pub ground: Ground<'a>,
    /// Ways to turn rings and plates, the best first.
    pub shapes: Vec<Shape>,
    /// Which of them.
    pub shape: usize,
    /// Load of the seating step, N.
    pub seat: Lever,
    /// Load of the lapping step, N.
    pub lap: Lever,
    /// Mean sliding speed, m/s.
    pub speed: Lever,
    /// In-band time of the seating step, s.
    pub seat_time: f64,
    /// By how much thicker the simulated parts came out than the closed form has it, m.
    pub bias: f64,
    /// Size at which the gauge ends the lapping step, over the target, m.
    pub trim: f64,
    /// In-band time of the lapping step, s, where there is no gauge.
    pub lap_time: f64,
    /// Flow over the pump's largest.
    pub flow: f64,
    /// Pre-start over what a full film takes.
    pub prestart: f64,
    /// Ramp over the machine's fastest.
    pub ramp: f64,
    /// Load limit over the load.
    pub room: f64,
    /// Longest time of a step over the predicted.
    pub patience: f64,
    /// Rinse after the last step, s.
    pub rinse: f64,
    /// What of the parts a trial found last, and by how much it was over its bound.
    pub seen: Option<(Code, f64)>,
    /// What was changed, in order.
    pub changes: Vec<Change>,
}

/// Load limit over load to begin with: a fifth for the governor's half-widths and a little for the band.
const ROOM: f64 = 1.3;
/// Part of its strength that a part is given to bear by plan: the trials judge the rest.
const STRENGTH: f64 = 0.9;
/// Share of the stock that seating may take.
const SEATING: f64 = 0.35;

impl<'a> Plan<'a> {
    /// Where a draft begins.
    ///
    /// # Errors
    /// The limits that leave no load at all.
    pub fn begin(ground: Ground<'a>) -> Result<Self, [Limit; 2]> {
        let Ground {
            machine,
            batch,
            abrasive,
            weights,
            ..
        } = ground;
        let process = abrasive.consumables.process;
        let [pressure, speed] = usual(process);
        let area = batch.area();
        let lowest = Holding::of(machine).lowest() * 1.02;
        let low = (lowest, Limit::LeastLoad);
        let middle = pressure * weights.pressure * area;
        let mut plan = Self {
            ground,
            shapes: Vec::new(),
            shape: 0,
            seat: Lever::new(middle, low, (f64::INFINITY, Limit::RatedLoad)),
            lap: Lever::new(middle, low, (f64::INFINITY, Limit::RatedLoad)),
            speed: Lever::new(
                speed * weights.speed,
                (0.08, Limit::SlowDrive),
                (f64::INFINITY, Limit::DriveSpeed),
            ),
            seat_time: 60.0,
            bias: 0.0,
            trim: 0.0,
            lap_time: 60.0,
            flow: weights.flow,
            prestart: 1.1,
            ramp: 0.5,
            room: ROOM,
            patience: 1.3,
            rinse: rinse(abrasive),
            seen: None,
            changes: Vec::new(),
        };
        plan.bound_loads(low, middle)?;
        let like = plan.recipe_like();
        let case = Case {
            machine,
            batch,
            recipe: &like,
        };
        plan.shapes = shapes(&case, &like, plan.speed.value);
        if plan.shapes.is_empty() {
            return Err([Limit::DriveSpeed, Limit::PartsFit]);
        }
        plan.take_shape(0);
        plan.time_seat();
        Ok(plan)
    }

    /// Sets the ends of both loads, and where they begin: `middle` is the usual load, `low` the least that the machine holds.
    fn bound_loads(&mut self, low: (f64, Limit), middle: f64) -> Result<(), [Limit; 2]> {
        let Ground {
            machine,
            batch,
            goal,
            ..
        } = self.ground;
        let like = self.recipe_like();
        let case = Case {
            machine,
            batch,
            recipe: &like,
        };
        let even = STRENGTH * batch.strength * f64::from(batch.pieces())
            / (1.0 + machine.control.band_share);
        let high = [
            (highest_load(&case), Limit::RatedLoad),
            (
                (case.reachable_load() - case.sticking()) * 0.99,
                Limit::AirLoad,
            ),
            (even, Limit::Strength),
        ]
        .into_iter()
        .fold((f64::INFINITY, Limit::RatedLoad), |least, end| {
            if end.0 < least.0 { end } else { least }
        });
        self.lap = Lever::new(middle, low, high);
        let on_one = seat_high(&case, low.0, high.0);
        let seat_top = if on_one < high.0 {
            (on_one, Limit::Strength)
        } else {
            high
        };
        let gentle = max(low.0, machine.control.initial_load) * 1.05;
        let wish = match goal {
            Goal::Fastest | Goal::Cheapest => max(gentle, 0.5 * self.lap.value),
            _ => max(gentle, 0.4 * self.lap.value),
        };
        self.seat = Lever::new(min(wish, self.lap.value), low, seat_top);
        for lever in [&self.seat, &self.lap] {
            if let Some(closed) = lever.closed() {
                return Err(closed);
            }
        }
        self.lap.value = max(self.lap.value, self.seat.value);
        Ok(())
    }

    /// Turns rings and plates another way.
    pub(crate) fn take_shape(&mut self, index: usize) {
        self.shape = index;
        let shape = self.shapes[index];
        let drives = &self.ground.machine.drives;
        let top = (0..4)
            .filter(|i| abs(shape.speeds[*i]) > 0.0)
            .map(|i| drives[i].speed / abs(shape.speeds[i]))
            .fold(f64::INFINITY, min);
        // The slowest drive must be told from standing still.
        let tolerance = self.ground.machine.control.speed_tolerance;
        let bottom = (0..4)
            .filter(|i| abs(shape.speeds[*i]) > 0.0)
            .map(|i| 1.3 * tolerance / abs(shape.speeds[i]))
            .fold(0.05, max);
        self.speed = Lever::new(
            self.speed.value,
            (bottom, Limit::SlowDrive),
            (0.98 * top, Limit::DriveSpeed),
        );
    }

    /// Seats the parts for two of the times in which their spread falls to its 1/e, but takes no more than a share of the stock.
    pub(crate) fn time_seat(&mut self) {
        let Ground {
            batch, abrasive, ..
        } = self.ground;
        let removal = self.removal();
        let both = 2.0 * self.speed.value;
        let levels = 1.0 / (removal * both * batch.stiffness_per_area);
        let rate = removal * both * self.seat.value / batch.area();
        let stock = batch.thickness - batch.target;
        let shortest = if abrasive.consumables.process == Process::FixedAbrasive {
            20.0
        } else {
            30.0
        };
        let wanted = max(min(2.0 * levels, 120.0), shortest);
        let most = max(SEATING * stock / rate, 5.0);
        self.seat_time = fives(min(wanted, most));
    }

    /// Removal coefficient on this batch, 1/Pa.
    pub fn removal(&self) -> f64 {
        let Ground {
            batch, abrasive, ..
        } = self.ground;
        twinplate_sim::plant::abrasion::Abrasion::of(&abrasive.consumables, &batch.material).removal
    }

    /// Speeds as they are written, rad/s.
    pub fn speeds(&self) -> [f64; 4] {
        let shape = self.shapes.get(self.shape);
        let unit = shape.map_or([0.0, 0.0, 1.0, -1.0], |shape| shape.speeds);
        unit.map(|speed| crate::speeds::rpm(speed * self.speed.value) * PI / 30.0)
    }

    /// Limit of a step at a load, N.
    pub fn limit(&self, case: &Case, load: f64) -> f64 {
        let control = &self.ground.machine.control;
        let highest = max(load, control.initial_load);
        let wanted = max(case.least_limit(highest) * 1.03, self.room * highest);
        let shown = self.ground.shown;
        let round = shown.si(Of::Load, up_to(shown.number(Of::Load, wanted)));
        min(round, control.rated_load)
    }

    /// The recipe as a model, for what is asked before a text is written. Its numbers are those that the text will have.
    pub(crate) fn recipe_like(&self) -> Recipe {
        let Ground {
            machine,
            batch,
            abrasive,
            gauge,
            ..
        } = self.ground;
        let step = |name: &str, load: f64, end: End| Step {
            name: name.to_owned(),
            pressure: load / batch.area(),
            load_limit: load * self.room,
            ramp: self.ramp * machine.control.ramp_max,
            speeds: self.speeds(),
            flow: self.ground.flow(self.flow * machine.slurry.flow_max),
            end,
            longest: 86_400.0,
        };
        let last = if gauge {
            End::Size {
                thickness: batch.target + self.trim,
            }
        } else {
            End::Time {
                seconds: self.lap_time,
            }
        };
        Recipe {
            id: String::new(),
            title: String::new(),
            machine: machine.id.clone(),
            batch: batch.id.clone(),
            consumables: abrasive.consumables.clone(),
            prestart: 60.0,
            prestart_flow: self.ground.flow(machine.slurry.flow_max),
            rinse: self.rinse,
            gauge,
            flatness: None,
            shown: Shown::default(),
            steps: vec![
                step(
                    "seat",
                    self.seat.value,
                    End::Time {
                        seconds: self.seat_time,
                    },
                ),
                step("lap", self.lap.value, last),
            ],
        }
    }

    /// Ends the lapping step where the closed form says that the parts come out at their target.
    pub fn aim(&mut self) {
        let Ground { machine, batch, .. } = self.ground;
        self.trim = 0.0;
        self.lap_time = max(self.lap_time, 1.0);
        for _ in 0..6 {
            let like = self.recipe_like();
            let case = Case {
                machine,
                batch,
                recipe: &like,
            };
            let predicted = predict(&case, 1.0);
            let off = predicted.thickness + self.bias - batch.target;
            if abs(off) < 0.02e-6 {
                break;
            }
            if self.ground.gauge {
                self.trim -= off;
            } else if let Some(last) = predicted.steps.last() {
                let rate = last.removal_rate_um_min * 1e-6 / 60.0;
                self.lap_time = max(self.lap_time + off / rate, 1.0);
            }
        }
    }

    /// Tells what was changed.
    pub fn note(&mut self, because: &'static str, what: String) {
        self.changes.push(Change { because, what });
    }
}

/// Rinse, s: water washes water-based slurry off; oil it does not.
fn rinse(abrasive: &Shelved) -> f64 {
    let oily = abrasive.consumables.vehicle.to_lowercase().contains("oil");
    match abrasive.consumables.process {
        _ if oily => 0.0,
        Process::PadPolishing => 15.0,
        Process::LooseAbrasive | Process::Diamond | Process::FixedAbrasive => 10.0,
    }
}

/// Highest load whose limit is still within the rated load, N.
fn highest_load(case: &Case) -> f64 {
    let control = &case.machine.control;
    let fits = |load: f64| {
        case.least_limit(load) * 1.03 <= control.rated_load
            && load + case.band(load) < control.rated_load
    };
    bisect(0.0, control.rated_load, fits)
}

/// Highest seating load under which no part bears more than its share of the strength by plan, N.
fn seat_high(case: &Case, low: f64, high: f64) -> f64 {
    let fits =
        |load: f64| case.share_on_one(load + case.band(load)) <= STRENGTH * case.batch.strength;
    // Where even the least load is too much by plan, the rule itself decides, not the margin on it.
    let bears = |load: f64| case.share_on_one(load + case.band(load)) <= case.batch.strength;
    if fits(low) {
        bisect(low, high, fits)
    } else {
        bisect(0.0, low, bears)
    }
}

/// The highest number between two that fits, where all lower ones do.
fn bisect(mut low: f64, mut high: f64, fits: impl Fn(f64) -> bool) -> f64 {
    if fits(high) {
        return high;
    }
    for _ in 0..40 {
        let middle = 0.5 * (low + high);
        if fits(middle) {
            low = middle;
        } else {
            high = middle;
        }
    }
    low
}

/// A time in whole fives of seconds, or whole seconds where it is short, s.
pub(crate) fn fives(seconds: f64) -> f64 {
    if seconds >= 20.0 {
        5.0 * floor(seconds / 5.0 + 0.5)
    } else {
        max(floor(seconds + 0.5), 1.0)
    }
}

/// The next round number from here up, of two and a half digits: 342 → 345.
pub(crate) fn up_to(value: f64) -> f64 {
    let mut step = 5e-3;
    while step * 300.0 < value {
        step *= 10.0;
    }
    -floor(-value / step) * step
}

/// A number of three digits, no more than asked.
fn three_digits(number: f64) -> f64 {
    let mut step = 1e-6;
    while step * 1e3 <= number {
        step *= 10.0;
    }
    floor(number / step + 1e-6) * step
}
