//! What a machine's own numbers make of a declaration: whether a signal comes under its limit at all, and when; whether a wrong flow is
//! still enough; whether a line empties in the time that the controller gives it.
//!
//! Signals are followed through first-order lags as the plant and the controller have them; nothing is simulated.

use firmware_core::interlock::{Cond, TABLE};
use firmware_core::judge::{STOP_LINE_TIME, STOPPED_SHARE};
use firmware_core::signal::{FLOW_AVERAGE_SECONDS, TARE_TICKS};
use firmware_core::units::TICKS_PER_SECOND;
use twinplate_sim::bench::Job;
use twinplate_sim::bench::scenario::{RESET_TICK, START_TICK};
use twinplate_sim::math::{exp, max};
use twinplate_sim::model::{Component as C, FaultMode as M};
use twinplate_sim::plant::fault_table::Supported;
use twinplate_sim::plant::{ROD_SWITCH, SUPPLY_LAG};

/// Step in which a signal is followed, s.
const STEP: f64 = 5e-3;
/// How far it is followed, s.
const LOOKED: f64 = 30.0;
/// An answer that comes later than this, s, may not come at all: the phase may be over.
const LATE: f64 = 6.0;
/// A limit must clearly be passed before an answer is asked for; what is only near it may answer or not.
const CLEARLY: f64 = 0.03;
/// Time from the earliest fault of the ladder to the end of the weighing before a descent, s.
const WEIGHED_AFTER: f64 = (START_TICK - RESET_TICK + TARE_TICKS) as f64 / TICKS_PER_SECOND as f64;
/// Spare on a time, share and s.
const SPARE: (f64, f64) = (1.05, 0.1);
/// A line that empties nearer than this to the controller's patience, s, may time out in one run and not in another.
const NEAR: f64 = 1.0;

/// Within which time an answer must come.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Within {
    /// So many seconds on every machine.
    Seconds(f64),
    /// As soon as the slurry's flow has been too low for its row's time: on the demonstration machines within so many seconds.
    FlowGone(f64),
    /// As soon as the air has been too low for its row's time, likewise.
    AirGone(f64),
    /// Within so many seconds where a cell that is read the other way round reads above the rated load while the plate hangs on it;
    /// where it does not, when the plate is weighed.
    Reversed(f64),
}

impl Within {
    /// The time for a fault of a job, s; `None` where this machine's signal does not come under its limit for long enough.
    #[must_use]
    pub fn of(self, job: &Job, fault: &Supported) -> Option<f64> {
        match self {
            Self::Seconds(seconds) => Some(seconds),
            Self::FlowGone(least) => flow_gone(job, fault).map(|time| max(time, least)),
            Self::AirGone(least) => air_gone(job, fault).map(|time| max(time, least)),
            Self::Reversed(least) => Some(if reads_above_rated(job) {
                least
            } else {
                least + WEIGHED_AFTER
            }),
        }
    }
}

/// On which machines a declaration holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum When {
    /// On every one.
    Always,
    /// Where the wrong flow is too little to be proven.
    FlowTooLittle,
    /// Where the line empties hardly in the controller's patience.
    EmptiesLate,
    /// Where a flow that is read off and on comes under its minimum in between.
    FlowDips,
    /// Where the air that is left is about as much as the counterbalance needs when the controller notices.
    AirNearCounterbalance,
}

impl When {
    /// Whether it holds for a fault of a job.
    #[must_use]
    pub fn holds(self, job: &Job, fault: &Supported) -> bool {
        match self {
            Self::Always => true,
            Self::FlowTooLittle => flow_too_little(job, fault),
            Self::EmptiesLate => empties_late(job, fault),
            Self::FlowDips => flow_dips(job, fault),
            Self::AirNearCounterbalance => air_near_counterbalance(job),
        }
    }
}

/// Time at which a signal that starts at `start` and follows `input` through `lags` (s) has been under `limit` for `lasts` s.
fn under(
    start: f64,
    input: impl Fn(f64) -> f64,
    lags: &[f64],
    limit: f64,
    lasts: f64,
) -> Option<f64> {
    let mut states = vec![start; lags.len()];
    let mut under_for = 0.0;
    let mut time = 0.0;
    while time < LOOKED {
        time += STEP;
        let mut value = input(time);
        for (state, lag) in states.iter_mut().zip(lags) {
            *state += (value - *state) * STEP / (lag + STEP);
            value = *state;
        }
        under_for = if value < limit { under_for + STEP } else { 0.0 };
        if under_for > 0.0 && under_for >= lasts {
            return Some(time);
        }
    }
    None
}

/// What a faulty supply of `full` gives at a time after the fault.
fn left(fault: &Supported, full: f64, time: f64) -> f64 {
    let magnitude = fault.magnitude.unwrap_or(0.0);
    match fault.mode {
        M::Wrong => full * magnitude,
        // Away first.
        M::Intermittent if magnitude > 0.0 && (time / magnitude) % 2.0 >= 1.0 => full,
        _ => 0.0,
    }
}

/// A row's time, s.
pub(super) fn lasts(row: Cond, job: &Job) -> f64 {
    TABLE.get(row as usize).map_or(0.0, |entry| {
        f64::from(entry.debounce.ticks(job.params.get())) / f64::from(TICKS_PER_SECOND)
    })
}

fn spared(time: f64) -> Option<f64> {
    (time <= LATE).then_some(time * SPARE.0 + SPARE.1)
}

fn flow_gone(job: &Job, fault: &Supported) -> Option<f64> {
    let slurry = &job.machine.slurry;
    let average = f64::from(FLOW_AVERAGE_SECONDS);
    // The sensor tells what is behind the line.
    let lags: &[f64] = match fault.component {
        C::FlowSensor => &[average],
        _ => &[slurry.line_lag, average],
    };
    let limit = slurry.flow_min * (1.0 - CLEARLY);
    let mut latest = 0.0;
    // At first the flow of the pre-start still runs.
    let flows = job.recipe.steps.iter().map(|step| step.flow);
    for flow in flows.chain([job.recipe.prestart_flow]) {
        let gone = under(
            flow,
            |time| left(fault, flow, time),
            lags,
            limit,
            lasts(Cond::Flow, job),
        )?;
        latest = max(latest, gone);
    }
    spared(latest)
}

/// Whether the average of a flow that is read off and on comes under its minimum, or near it.
fn flow_dips(job: &Job, fault: &Supported) -> bool {
    let limit = job.machine.slurry.flow_min * (1.0 + CLEARLY);
    let flows = job.recipe.steps.iter().map(|step| step.flow);
    flows.chain([job.recipe.prestart_flow]).any(|flow| {
        let read = |time| left(fault, flow, time);
        let average = f64::from(FLOW_AVERAGE_SECONDS);
        under(flow, read, &[average], limit, 0.0).is_some()
    })
}

/// A hanging plate reads twice its weight on a cell that is read the other way round and was tared the right way.
fn reads_above_rated(job: &Job) -> bool {
    2.0 * job.machine.actuator.weight() > job.machine.control.rated_load * (1.0 + CLEARLY)
}

fn air_gone(job: &Job, fault: &Supported) -> Option<f64> {
    let actuator = &job.machine.actuator;
    let full = actuator.supply_pressure;
    under(
        full,
        |time| left(fault, full, time),
        &[SUPPLY_LAG],
        actuator.supply_minimum * (1.0 - CLEARLY),
        lasts(Cond::SupplyLow, job),
    )
    .and_then(spared)
}

fn flow_too_little(job: &Job, fault: &Supported) -> bool {
    let slurry = &job.machine.slurry;
    let factor = fault.magnitude.unwrap_or(0.0);
    let least = if fault.component == C::RinseWater {
        slurry.rinse_flow
    } else {
        job.recipe
            .steps
            .iter()
            .map(|step| step.flow)
            .fold(job.recipe.prestart_flow, twinplate_sim::math::min)
    };
    least * factor < slurry.flow_min * (1.0 + CLEARLY)
}

/// The longest that a line takes until the controller calls it empty, s: a delay, a slower reading, a reading that is too high.
fn empties_late(job: &Job, fault: &Supported) -> bool {
    let slurry = &job.machine.slurry;
    let magnitude = fault.magnitude.unwrap_or(0.0);
    let full = job.recipe.steps.last().map_or(0.0, |step| step.flow)
        * if fault.component == C::FlowSensor && fault.mode == M::Wrong {
            magnitude
        } else {
            1.0
        };
    let full = if job.recipe.rinse > 0.0 {
        max(full, slurry.rinse_flow)
    } else {
        full
    };
    let late = match fault.mode {
        M::Delayed => magnitude,
        M::Intermittent => 2.0 * magnitude,
        _ => 0.0,
    };
    let slower = if fault.mode == M::Slow {
        magnitude
    } else {
        0.0
    };
    let lags = [slurry.line_lag, slower, f64::from(FLOW_AVERAGE_SECONDS)];
    let patience = f64::from(STOP_LINE_TIME) / f64::from(TICKS_PER_SECOND);
    under(
        full,
        |time| if time < late { full } else { 0.0 },
        &lags,
        slurry.flow_min * f64::from(STOPPED_SHARE),
        0.0,
    )
    .is_none_or(|time| time > patience - NEAR)
}

/// What is left of air at its minimum when its row asks, as a share.
pub(super) fn air_left(job: &Job) -> f64 {
    exp(-lasts(Cond::SupplyLow, job) / SUPPLY_LAG)
}

/// How far the air falls below its minimum until its row has waited, against what the counterbalance regulator needs.
fn air_near_counterbalance(job: &Job) -> bool {
    let actuator = &job.machine.actuator;
    actuator.supply_minimum * air_left(job) < actuator.counterbalance * ROD_SWITCH
}

#[cfg(test)]
mod tests {
    use super::*;
    use twinplate_sim::demo;
    use twinplate_sim::plant::fault_table::SUPPORTED;

    fn fault(component: C, mode: M) -> &'static Supported {
        SUPPORTED
            .iter()
            .find(|row| (row.component, row.mode) == (component, mode))
            .expect("supported")
    }

    /// One lag: `ln 2` time constants to a half, and the row's time on top.
    #[test]
    fn a_signal_is_followed_as_the_exponential_says() {
        let gone = under(1.0, |_| 0.0, &[0.5], 0.5, 0.2).expect("it falls");
        assert!((gone - (0.5 * 2.0_f64.ln() + 0.2)).abs() < 0.01, "{gone}");
        assert_eq!(under(1.0, |_| 0.6, &[0.5], 0.5, 0.2), None);
    }

    /// The demonstration machines need no more than their declared times, and a flow that a slow line bridges needs no answer.
    #[test]
    fn a_pump_that_drops_out_is_noticed_where_the_line_lets_it() {
        let job = demo::job("glass-f800");
        let drops = fault(C::Pump, M::Intermittent);
        assert_eq!(Within::FlowGone(3.0).of(&job, drops), Some(3.0));
        let mut slow = job.clone();
        slow.machine.slurry.line_lag = 5.0;
        assert_eq!(Within::FlowGone(3.0).of(&slow, drops), None);
        let off = Within::FlowGone(3.0).of(&slow, fault(C::Pump, M::Off));
        assert!(off.is_none_or(|time| time > 3.0), "{off:?}");
    }

    #[test]
    fn air_that_stays_over_its_minimum_asks_for_no_answer() {
        let mut job = demo::job("glass-f800");
        let weak = fault(C::Supply, M::Wrong);
        assert_eq!(Within::AirGone(1.0).of(&job, weak), Some(1.0));
        job.machine.actuator.supply_pressure = 8e5;
        assert_eq!(Within::AirGone(1.0).of(&job, weak), None);
    }

    /// Seen every other half second, a flow is under its minimum on average where that stands over what is left of it by then.
    #[test]
    fn a_flow_that_is_read_off_and_on_dips_where_its_minimum_is_near() {
        let sensor = fault(C::FlowSensor, M::Intermittent);
        let mut job = demo::job("glass-f800");
        assert!(When::FlowDips.holds(&job, sensor));
        job.machine.slurry.flow_min *= 0.1;
        assert!(!When::FlowDips.holds(&job, sensor));
    }

    /// A plate of 58 kg weighs 569 N and reads 1138 N the other way round, over the 950 N of its machine; one of 40 kg reads 785 N.
    #[test]
    fn a_light_plate_on_swapped_leads_is_seen_when_it_is_weighed() {
        let swapped = fault(C::LoadCell, M::Wrong);
        let mut job = demo::job("glass-f800");
        assert_eq!(Within::Reversed(0.4).of(&job, swapped), Some(0.4));
        job.machine.actuator.mass = 40.0;
        let weighed = Within::Reversed(0.4).of(&job, swapped);
        assert_eq!(weighed, Some(0.4 + 0.662));
    }

    /// A half-life of 0.5 s x ln 2 leaves a half.
    #[test]
    fn air_falls_on_while_its_row_waits() {
        let job = demo::job("glass-f800");
        let halves = lasts(Cond::SupplyLow, &job) / (SUPPLY_LAG * 2.0_f64.ln());
        assert!((air_left(&job) - 0.5_f64.powf(halves)).abs() < 1e-12);
    }
}
