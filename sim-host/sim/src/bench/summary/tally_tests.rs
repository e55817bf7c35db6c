use super::*;
use crate::bench::testing::{STILL, plant, status};
use crate::plant::{FastTruth, Plant};
use firmware_core::process_image::{Inputs, Outputs};
use firmware_core::status::Status;
use firmware_core::units::Newtons;

/// Two steps: 100 N under a limit of 130 N, then 60 N under 80 N; bands of 5 N.
fn tally() -> Tally {
    let target = |setpoint, limit| Target {
        setpoint,
        limit,
        band: 5.0,
    };
    Tally::new(Targets {
        steps: vec![target(100.0, 130.0), target(60.0, 80.0)],
        rated: 200.0,
    })
}

/// A run told as a time line.
struct Story {
    tally: Tally,
    status: Status,
    plant: Plant,
    tick: u32,
}

impl Story {
    fn new() -> Self {
        Self {
            tally: tally(),
            status: status(),
            plant: plant(),
            tick: 0,
        }
    }

    fn at(mut self, state: State, phase: Phase, step: u8) -> Self {
        (self.status.state, self.status.phase, self.status.step) = (state, phase, step);
        self
    }

    /// So many ticks with this true load (and 3 N of runout on top) and this reference, each from its tick within the stretch.
    fn ticks(
        mut self,
        ticks: u32,
        load: impl Fn(u32) -> f64,
        reference: impl Fn(u32) -> f32,
    ) -> Self {
        for tick in 0..ticks {
            self.status.reference = Newtons::new(reference(tick));
            let truth = FastTruth {
                load: load(tick) + 3.0,
                load_without_runout: load(tick),
                ..STILL
            };
            self.tally.observe(&TickView {
                tick: self.tick,
                inputs: &Inputs::default(),
                outputs: &Outputs::default(),
                status: &self.status,
                truth,
                plant: &self.plant,
            });
            self.tick += 1;
        }
        self
    }

    fn steps(mut self) -> Vec<StepSummary> {
        self.tally.leave(self.tick);
        self.tally.steps
    }
}

fn worst(value: f64, tick: u32, step: u8) -> Option<Worst> {
    Some(Worst { value, tick, step })
}

#[test]
fn overshoot_is_judged_against_the_reference_from_the_load_ramp_on() {
    let steps = Story::new()
        .at(State::Running, Phase::RunUp, 0)
        .ticks(10, |_| 90.0, |_| 40.0) // before the ramp: not judged
        .at(State::Running, Phase::LoadRamp, 0)
        .ticks(60, |t| 38.0 + f64::from(t), |t| 40.0 + t as f32)
        .at(State::Running, Phase::Dwell, 0)
        .ticks(100, |t| if t == 50 { 104.0 } else { 99.0 }, |_| 100.0)
        .at(State::Running, Phase::LoadRelease, 0)
        .ticks(10, |_| 120.0, |_| 40.0) // above the reference, but coming down
        .steps();
    assert_eq!(steps[0].overshoot, worst(4.0, 10 + 60 + 50, 0));
    assert_eq!(steps[0].peak, worst(120.0, 170, 0));
    assert_eq!(steps[0].margin, worst(10.0, 170, 0));
    assert_eq!(steps[1].overshoot, None);
}

#[test]
fn coming_down_to_a_lower_step_is_not_overshoot_but_staying_up_is() {
    let down = |stays_up: bool| {
        Story::new()
            .at(State::Running, Phase::LoadRamp, 0)
            .ticks(100, |_| 99.0, |_| 100.0)
            .at(State::Running, Phase::LoadRamp, 1)
            // The reference falls 1 N a tick, the load follows 10 ticks behind.
            .ticks(
                40,
                |t| 100.0 - f64::from(t.saturating_sub(10)),
                |t| 100.0 - t as f32,
            )
            .ticks(
                FALL_GRACE + 100,
                |t| {
                    if stays_up {
                        70.0
                    } else {
                        math::max(70.0 - f64::from(t), 59.0)
                    }
                },
                |_| 60.0,
            )
            .steps()
    };
    let well = down(false);
    assert_eq!(well[1].overshoot.map(|worst| worst.value), Some(0.0));
    // The limit of the first step holds until the load has come into the second's band: at 65 N, the 46th tick of the ramp.
    assert_eq!(well[1].margin, worst(15.0, 145, 1));
    let badly = down(true);
    assert_eq!(badly[1].overshoot.map(|worst| worst.value), Some(10.0));
}

#[test]
fn the_lower_limit_holds_once_the_load_has_come_into_its_band() {
    let steps = Story::new()
        .at(State::Running, Phase::LoadRamp, 0)
        .ticks(10, |_| 100.0, |_| 100.0)
        .at(State::Running, Phase::LoadRamp, 1)
        .ticks(10, |t| if t < 5 { 100.0 } else { 60.0 }, |_| 60.0)
        .ticks(1, |_| 85.0, |_| 60.0)
        .steps();
    assert_eq!(steps[1].margin, worst(-5.0, 20, 1));
    // Nor does a load that never came down escape: the dwell is under its own limit from its first tick.
    let steps = Story::new()
        .at(State::Running, Phase::Dwell, 0)
        .ticks(10, |_| 100.0, |_| 100.0)
        .at(State::Running, Phase::Dwell, 1)
        .ticks(10, |_| 100.0, |_| 60.0)
        .steps();
    assert_eq!(steps[1].margin, worst(-20.0, 10, 1));
}

#[test]
fn dwell_has_its_band_mean_and_hunting() {
    let story = Story::new()
        .at(State::Running, Phase::Dwell, 0)
        // A first half that swings 40 N, a second half that swings 4 N.
        .ticks(
            1000,
            |t| 100.0 + if t % 2 == 0 { 20.0 } else { -20.0 },
            |_| 100.0,
        )
        .ticks(
            1100,
            |t| 100.0 + if t % 2 == 0 { 2.0 } else { -2.0 },
            |_| 100.0,
        )
        .at(State::Running, Phase::LoadRelease, 0)
        .ticks(1, |_| 100.0, |_| 100.0);
    let dwell = story.tally.dwells[0];
    assert_eq!((dwell.ticks, dwell.in_band), (2100, 1100));
    assert!((dwell.sum / 2100.0 - 100.0).abs() < 1e-9);
    assert!((story.steps()[0].hunting - 4.0).abs() < 1e-9);
}

#[test]
fn intervals_responses_and_the_first_cause_are_kept() {
    let mut story = Story::new()
        .ticks(5, |_| 0.0, |_| 0.0)
        .at(State::Running, Phase::Precheck, 0)
        .ticks(7, |_| 0.0, |_| 0.0);
    story.status.response = Response::Hold;
    story.status.cause = 12;
    story.status.active = 0b100;
    let mut story = story
        .at(State::Holding, Phase::Precheck, 0)
        .ticks(2, |_| 0.0, |_| 0.0);
    story.status.response = Response::ControlledStop;
    story.status.cause = 13;
    story.status.active = 0b1000;
    let story = story
        .at(State::Stopping, Phase::RunDown, 0)
        .ticks(3, |_| 0.0, |_| 0.0);
    let tally = &story.tally;
    assert_eq!(tally.cause, Some((12, 12)));
    assert_eq!(tally.responses[Response::Hold as usize], Some(12));
    assert_eq!(tally.responses[Response::ControlledStop as usize], Some(14));
    assert_eq!(tally.responses[Response::Alarm as usize], None);
    assert_eq!(tally.rows, 0b1100);
    let ends: Vec<_> = tally
        .intervals
        .iter()
        .map(|interval| (interval.phase, interval.start, interval.end))
        .collect();
    assert_eq!(
        ends,
        [
            (Phase::Rest, 0, 5),
            (Phase::Precheck, 5, 12),
            (Phase::Precheck, 12, 14),
            (Phase::RunDown, 14, 14), // still open
        ]
    );
    assert!((story.tally.peak_load.value - 3.0).abs() < f64::EPSILON);
}

#[test]
fn a_chattering_sequencer_neither_allocates_nor_stretches_the_last_interval() {
    let mut story = Story::new();
    for tick in 0..INTERVALS as u32 + 100 {
        let phase = if tick % 2 == 0 {
            Phase::Lower
        } else {
            Phase::Lift
        };
        story = story
            .at(State::Running, phase, 0)
            .ticks(1, |_| 0.0, |_| 0.0);
    }
    assert_eq!(story.tally.intervals.len(), INTERVALS);
    assert_eq!(story.tally.intervals_dropped, 100);
    let last = story.tally.intervals[INTERVALS - 1];
    assert_eq!((last.start, last.end), (511, 512));
}

/// NIST's StRD set NumAcc1 (10000001, 10000003, 10000002: mean 10000002, standard deviation 1 exactly).
#[test]
fn mean_and_spread_match_nist_numacc1() {
    let summary = parts(|| [10_000_001.0, 10_000_003.0, 10_000_002.0].into_iter());
    assert_eq!(
        summary,
        PartsSummary {
            count: 3,
            mean: 10_000_002.0,
            sd: 1.0,
            min: 10_000_001.0,
            max: 10_000_003.0,
        }
    );
    assert_eq!(parts(|| [].into_iter()), PartsSummary::default());
    assert_eq!(parts(|| [5.0].into_iter()).sd.to_bits(), 0.0_f64.to_bits());
}
