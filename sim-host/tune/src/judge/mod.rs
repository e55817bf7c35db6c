//! Judges a gain set on the real controller against the nonlinear plant: one trial on the nominal machine, and on machines drawn
//! from its envelope.
//!
//! Run 0 is the machine as its file says, run `n` is draw `n`, as in the trials of a recipe; threads change nothing but the time.

mod sum;

use super::trial::{NoTrial, Trial, drive, trip_of};
use super::watch::{Measured, Responses, Watch};
use firmware_core::sequence::Phase;
use sum::sum_up;
use twinplate_sim::bench::{Player, PortError, Setup, ensemble};
use twinplate_sim::model::{Gains, Of, Shown, significant};
use twinplate_sim::plant::envelope::draw;
use twinplate_sim::plant::seed::substream;

/// How a judgement is made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct DrawPlan {
    /// Draws from the envelope beside the nominal machine.
    pub draws: usize,
    /// Threads, 1 or more.
    pub threads: usize,
    /// Seed of draws and noise.
    pub seed: u64,
    /// Keeps the responses of all runs as an envelope.
    pub responses: bool,
}

/// What a gain set must hold in every run.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Demand {
    /// The trial ends without a trip.
    NoTrip,
    /// Nothing comes to harm.
    NoHarm,
    /// Load passes its reference by at most 2 % of the setpoint or 5 N.
    Overshoot,
    /// The load does not swing by itself beyond the load band.
    Hunting,
}

/// Every demand, in report order.
pub const DEMANDS: [Demand; 4] = [
    Demand::NoTrip,
    Demand::NoHarm,
    Demand::Overshoot,
    Demand::Hunting,
];

impl Demand {
    /// For people.
    #[must_use]
    pub const fn what(self) -> &'static str {
        match self {
            Self::NoTrip => "trips",
            Self::NoHarm => "harm events",
            Self::Overshoot => "overshoot over the reference",
            Self::Hunting => "hunting amplitude",
        }
    }

    /// Its worst value, for people. Loads differ in what they allow, so the worst overshoot is the one nearest its bound, and need not
    /// be the largest: that is [`Judgement::overshoot`].
    #[must_use]
    pub fn worst(self) -> String {
        match self {
            Self::Overshoot => "overshoot nearest its bound".to_owned(),
            Self::NoTrip | Self::NoHarm | Self::Hunting => format!("worst {}", self.what()),
        }
    }

    /// Unit of value and bound.
    #[must_use]
    pub const fn unit(self) -> &'static str {
        match self.of() {
            None => "",
            Some(of) => of.unit(),
        }
    }

    /// What value and bound are of; nothing where they are counts.
    #[must_use]
    pub const fn of(self) -> Option<Of> {
        match self {
            Self::NoTrip | Self::NoHarm => None,
            Self::Overshoot | Self::Hunting => Some(Of::Load),
        }
    }
}

/// One run, judged.
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    /// Number: 0 is the nominal machine.
    pub index: u64,
    /// Measures.
    pub measured: Measured,
    /// Why it ended before its end, in words; `None` where it did not.
    pub trip: Option<String>,
    /// Harm events of any kind.
    pub harm: u32,
    /// Half-width of the load band in the quiet hold, N.
    pub band: f64,
    /// Hash of what the controller did: whoever makes the run again must find the same.
    pub control_hash: u64,
}

impl Run {
    /// Value and bound of a demand.
    #[must_use]
    pub fn of(&self, demand: Demand) -> (f64, f64) {
        match demand {
            Demand::NoTrip => (f64::from(u8::from(self.trip.is_some())), 0.0),
            Demand::NoHarm => (f64::from(self.harm), 0.0),
            // A run that tripped before there was anything to measure is judged by its trip.
            Demand::Overshoot => self
                .measured
                .over
                .map_or((0.0, 1.0), |over| (over.value, over.allowed)),
            Demand::Hunting => (self.measured.hunting.amplitude, self.band),
        }
    }

    /// Whether a demand holds.
    #[must_use]
    pub fn holds(&self, demand: Demand) -> bool {
        let (value, bound) = self.of(demand);
        value <= bound
    }

    /// Whether every demand holds.
    #[must_use]
    pub fn passes(&self) -> bool {
        DEMANDS.iter().all(|demand| self.holds(*demand))
    }
}

/// The worst value of a measure, and the run that had it.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Worst {
    /// Value.
    pub value: f64,
    /// Number of the run.
    pub run: u64,
}

/// Worst case of a demand over all runs.
#[derive(Clone, Debug, PartialEq)]
pub struct WorstDemand {
    /// Which.
    pub demand: Demand,
    /// Worst value.
    pub value: f64,
    /// Its bound.
    pub bound: f64,
    /// Number of the run.
    pub run: u64,
    /// Runs that broke it.
    pub failed: usize,
    /// Why that run tripped, for [`Demand::NoTrip`].
    pub ending: Option<String>,
}

impl WorstDemand {
    /// Value and bound in the answers' unit, to three digits, and that unit with a blank before it where there is one.
    #[must_use]
    pub fn told(&self, shown: &Shown) -> [String; 3] {
        told(
            self.demand.of(),
            [self.value, self.bound],
            self.demand.unit(),
            shown,
        )
    }
}

/// Value and bound as people are told them, and their unit with a blank before it where there is one.
pub(super) fn told(
    of: Option<Of>,
    [value, bound]: [f64; 2],
    unit: &'static str,
    shown: &Shown,
) -> [String; 3] {
    let number = |number: f64| match of {
        Some(of) => shown.digits(of, number, 3),
        None => significant(number, 3),
    };
    let unit = of.map_or(unit, |of| shown.symbol(of));
    let gap = if unit.is_empty() { "" } else { " " };
    [number(value), number(bound), format!("{gap}{unit}")]
}

/// Smallest, middle and largest of a response over all runs, sample by sample.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Band {
    /// Time of each sample from the beginning of the window, s.
    pub time: Vec<f64>,
    /// Reference (setpoint response) or zero (disturbance), N.
    pub reference: Vec<f64>,
    /// The nominal machine's, N.
    pub nominal: Vec<f64>,
    /// Lowest of all runs, N.
    pub low: Vec<f64>,
    /// Highest of all runs, N.
    pub high: Vec<f64>,
}

/// What a gain set came to.
#[derive(Clone, Debug, PartialEq)]
pub struct Judgement {
    /// The gains.
    pub gains: Gains,
    /// Runs, the nominal one among them.
    pub runs: usize,
    /// Runs that broke a demand.
    pub failed: usize,
    /// The nominal run.
    pub nominal: Run,
    /// Worst case of each demand, in the order of [`DEMANDS`].
    pub demands: Vec<WorstDemand>,
    /// Largest overshoot over the reference, N, whatever its load allows; zero where the load never passed it.
    pub overshoot: Worst,
    /// Worst settling, s.
    pub settling: Worst,
    /// Worst integral error under the ramp, N·s.
    pub iae_setpoint: Worst,
    /// Worst integral error under the disturbance, N·s.
    pub iae_disturbance: Worst,
    /// Worst deviation under the disturbance, N.
    pub peak_deviation: Worst,
    /// Worst recovery into the load band, s.
    pub recovery: Worst,
    /// Worst hunting: amplitude, N, with [`Judgement::hunting_period`].
    pub hunting: Worst,
    /// Period of that hunting, s; zero without one.
    pub hunting_period: f64,
    /// Most actuator travel, full scales per s.
    pub travel: Worst,
    /// Largest noise amplification.
    pub noise_gain: Worst,
    /// Setpoint response over the envelope; empty where it was not kept.
    pub setpoint_band: Band,
    /// Disturbance response over the envelope; empty where it was not kept.
    pub disturbance_band: Band,
}

impl Judgement {
    /// Whether every run held every demand.
    #[must_use]
    pub const fn passes(&self) -> bool {
        self.failed == 0
    }
}

/// Why there is no judgement.
#[derive(Clone, Debug, PartialEq)]
pub enum JudgeError {
    /// No trial can be made of the machine with these gains.
    Trial(NoTrial),
    /// The controller did not answer.
    Port(PortError),
}

impl std::fmt::Display for JudgeError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Trial(error) => error.fmt(f),
            Self::Port(error) => error.fmt(f),
        }
    }
}

impl std::error::Error for JudgeError {}

impl From<NoTrial> for JudgeError {
    fn from(error: NoTrial) -> Self {
        Self::Trial(error)
    }
}

/// Setup of one numbered run: the same machines and noise for every gain set.
#[must_use]
pub fn setup(trial: &Trial, seed: u64, index: u64) -> Setup<'_> {
    let noise = substream(seed, "tune", "run", index);
    if index == 0 {
        trial.job.nominal(noise)
    } else {
        let envelope = &trial.job.machine.envelope;
        trial.job.setup(draw(envelope, seed, index), noise)
    }
}

/// One run of a trial, up to where the load is let go.
///
/// # Errors
/// What the port reports; a controller in process is always there.
pub(crate) fn run_one(
    trial: &Trial,
    seed: u64,
    index: u64,
    keep: bool,
) -> Result<(Run, Option<Responses>), PortError> {
    let setup = setup(trial, seed, index);
    let machine = &trial.job.machine;
    let watch = Watch::new(machine, &trial.plan, keep);
    let mut bench = setup.bench(setup.controller(), watch);
    bench.play(Player::new(
        Some(&trial.scenario),
        trial.job.compiled.pieces,
    ));
    let longest = setup.longest(Some(&trial.scenario));
    let ended = drive(&mut bench, longest, |phase, _| phase == Phase::LoadRelease)?;
    let trip = trip_of(ended, &bench);
    let harm = bench.plant().harm().marks();
    let watch = bench.recorder();
    let run = Run {
        index,
        measured: watch.measured(machine.actuator.line_gain()),
        trip,
        harm: u32::try_from(harm.iter().filter(|(_, mark)| mark.happened()).count())
            .unwrap_or(u32::MAX),
        band: Watch::quiet_band(machine, &trial.plan),
        control_hash: bench.control_hash(),
    };
    Ok((run, watch.responses().cloned()))
}

/// Judges the gains of a trial's machine. `progress` hears how many runs are done, from any thread.
///
/// # Errors
/// What the port reports.
pub fn judge(
    trial: &Trial,
    gains: Gains,
    options: &DrawPlan,
    progress: &(dyn Fn(usize) + Sync),
) -> Result<Judgement, JudgeError> {
    let trial = trial.with(gains)?;
    let runs = ensemble(options.draws + 1, options.threads.max(1), progress, |run| {
        // Far below 2^64 runs.
        run_one(&trial, options.seed, run as u64, options.responses)
    });
    let mut all = Vec::with_capacity(runs.len());
    let mut kept = Vec::new();
    for run in runs {
        let (run, responses) = run.map_err(JudgeError::Port)?;
        all.push(run);
        kept.extend(responses);
    }
    Ok(sum_up(gains, &all, &kept))
}

/// Share of `draws` machines and the nominal one on which a gain set holds every demand; for a picture's shade.
///
/// # Errors
/// What the port reports.
pub(crate) fn pass_rate(
    trial: &Trial,
    gains: Gains,
    draws: usize,
    seed: u64,
    progress: &dyn Fn(),
) -> Result<f64, JudgeError> {
    let trial = trial.with(gains)?;
    let mut passed = 0_usize;
    for run in 0..=draws {
        let (run, _) = run_one(&trial, seed, run as u64, false).map_err(JudgeError::Port)?;
        passed += usize::from(run.passes());
        progress();
    }
    Ok(passed as f64 / (draws + 1) as f64)
}

#[cfg(test)]
mod tests {
    use super::*;
    use twinplate_sim::compile;
    use twinplate_sim::demo;

    fn trial(name: &str) -> Trial {
        Trial::new(&demo::machine(name), None).expect("trial")
    }

    fn options(draws: usize, threads: usize) -> DrawPlan {
        DrawPlan {
            draws,
            threads,
            seed: 1,
            responses: true,
        }
    }

    #[test]
    fn default_gains_pass_and_a_tenfold_gain_does_not() {
        for name in ["machine-a", "machine-b", "machine-c"] {
            let trial = trial(name);
            let gains = compile::gains(&trial.job.machine);
            let good = judge(&trial, gains, &options(3, 2), &|_| ()).expect("judged");
            assert!(good.passes(), "{name}: {:#?}", good.demands);
            assert!(good.iae_disturbance.value > 0.0 && good.peak_deviation.value > 0.0);
            let wild = Gains {
                kc: 6.0 * gains.kc,
                ..gains
            };
            let bad = judge(&trial, wild, &options(1, 2), &|_| ()).expect("judged");
            assert!(!bad.passes(), "{name}: {:#?}", bad.demands);
        }
    }

    #[test]
    fn a_judgement_is_the_same_on_any_number_of_threads() {
        let trial = trial("machine-a");
        let gains = compile::gains(&trial.job.machine);
        let one = judge(&trial, gains, &options(4, 1), &|_| ()).expect("judged");
        let three = judge(&trial, gains, &options(4, 3), &|_| ()).expect("judged");
        assert_eq!(one, three);
    }
}
