//! The session: bench, exercise and trainee. Pure: no clock, no input or output, no randomness but the seed's. Between two ticks
//! somebody acts ([`Session::operate`]); then time goes on ([`Session::advance`]).
//!
//! What is done acts in the next tick, in order; where several commands are given between two ticks they act one a tick. An emergency
//! stop goes before everything that waits.

mod moments;
mod progress;

use super::exercise::Exercise;
use super::log::{Deed, Done, FIRST_TICK, Logged, Marked, Place, SAMPLE_TICKS, Sample, seconds};
use super::protocol::{News, NewsKind};
use super::watcher::{NO_ENDS, Watcher};
use firmware_core::controller::Controller;
use firmware_core::interlock::ROWS;
use firmware_core::sequence::{Command, Mode, Phase, Request, State};
use firmware_core::status::Status;
use firmware_core::units::TICKS_PER_SECOND;
use moments::Snapshot;
use std::collections::VecDeque;
use std::sync::Arc;
use twinplate_sim::bench::job::RECIPE_TICK;
use twinplate_sim::bench::scenario::RESET_TICK;
use twinplate_sim::bench::{Action, Bench, InProcess, Player};
use twinplate_sim::fault_words::{self, COMPONENTS};
use twinplate_sim::files::FAULT_MODES;
use twinplate_sim::model::{Component, Deviations, Fault};
use twinplate_sim::training::act::Act;
use twinplate_sim::training::rules::Start;

/// Ticks between two snapshots.
const SNAPSHOT_TICKS: u32 = 5 * TICKS_PER_SECOND;
/// Most deeds of an attempt; more are refused.
const MOST_DEEDS: usize = 20_000;

/// Why something was not done. Nothing has changed then, but that it was tried is in the log.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refused {
    /// One word, for programs.
    pub code: &'static str,
    /// Why and what would help, for people.
    pub why: String,
}

impl Refused {
    pub(super) fn new(code: &'static str, why: impl Into<String>) -> Self {
        Self {
            code,
            why: why.into(),
        }
    }
}

/// Everything that goes on with time and comes back with a snapshot.
#[derive(Clone, Debug)]
pub(super) struct Live {
    pub bench: Bench<InProcess, Watcher>,
    /// Entries of the log that wait inside the bench, in order.
    pub sent: VecDeque<usize>,
    /// Entries of the bench's journal, refusals and controller's events that were looked at.
    pub journal_seen: usize,
    pub refused_seen: usize,
    pub events_read: u32,
    pub place: Option<(State, Phase, u8, Mode)>,
    pub annunciated: u64,
    pub failing: u64,
    /// Tick at which each row's alarm came.
    pub since: [u32; ROWS],
    pub phase_from: u32,
    /// Slot that was recalled; 0 for none.
    pub recipe: u8,
    /// Pieces that were confirmed.
    pub confirmed: u16,
    /// Step of the guide, from 0, and the first log entry that counts for it.
    pub guide: usize,
    pub guide_from: usize,
    /// A cycle was completed since the parts were laid in.
    pub completed: bool,
    pub loaded: bool,
}

/// A trainee's session.
#[derive(Clone, Debug)]
pub struct Session {
    pub(super) exercise: Arc<Exercise>,
    pub(super) seed: u64,
    pub(super) live: Live,
    pub(super) log: Vec<Logged>,
    pub(super) marks: Vec<Marked>,
    pub(super) samples: Vec<Sample>,
    pub(super) news: Vec<News>,
    snapshots: Vec<Snapshot>,
    pub(super) finished: bool,
    /// Nothing is told while the machine is being prepared.
    pub(super) quiet: bool,
    progress: progress::Progress,
    /// Something has changed that the exercise may be waiting for.
    pub(super) news_for_exercise: bool,
}

impl Session {
    /// A session of an exercise, at [`FIRST_TICK`].
    #[must_use]
    pub fn new(exercise: Arc<Exercise>, seed: u64) -> Self {
        let setup = exercise.job.setup(Deviations::NOMINAL, seed);
        let mut plant = setup.plant();
        if exercise.training.start != Start::Loaded {
            plant = plant.emptied();
        }
        let loaded = plant.loaded();
        let mut bench = setup.bench_with(plant, setup.controller(), Watcher::new());
        bench.play(Player::new(
            Some(&exercise.scenario),
            exercise.job.compiled.pieces,
        ));
        let start = exercise.training.start;
        let mut recipe = 0;
        if start == Start::Loaded {
            let request = Request::LoadRecipe(exercise.job.compiled.clone());
            bench.act_at(RECIPE_TICK, Action::Request(Box::new(request)));
            recipe = exercise.right;
        }
        if start != Start::Cold {
            bench.act_at(RESET_TICK, Action::Command(Command::Reset));
        }
        let live = Live {
            bench,
            sent: VecDeque::new(),
            journal_seen: 0,
            refused_seen: 0,
            events_read: 0,
            place: None,
            annunciated: 0,
            failing: 0,
            since: [0; ROWS],
            phase_from: 0,
            recipe,
            confirmed: 0,
            guide: 0,
            guide_from: 0,
            completed: false,
            loaded,
        };
        let mut session = Self {
            progress: progress::Progress::default(),
            news_for_exercise: false,
            exercise,
            seed,
            live,
            log: Vec::new(),
            marks: Vec::new(),
            samples: Vec::new(),
            news: Vec::new(),
            snapshots: Vec::new(),
            finished: false,
            quiet: true,
        };
        session.advance(FIRST_TICK);
        session.quiet = false;
        session.snapshots.clear();
        session
    }

    /// The exercise.
    #[must_use]
    pub const fn exercise(&self) -> &Arc<Exercise> {
        &self.exercise
    }

    /// Ticks made: the tick that comes next.
    #[must_use]
    pub const fn tick(&self) -> u32 {
        self.live.bench.tick()
    }

    /// Simulated time, s.
    #[must_use]
    pub fn time_s(&self) -> f64 {
        seconds(self.tick())
    }

    /// The attempt is over: the longest time is up, or it was finished.
    #[must_use]
    pub fn finished(&self) -> bool {
        self.finished
    }

    /// Closes the attempt.
    pub fn finish(&mut self) {
        if !self.finished {
            self.finished = true;
            self.follow_exercise();
        }
    }

    /// All news after a number; `0` for all.
    #[must_use]
    pub fn news(&self, since: u64) -> &[News] {
        let from = usize::try_from(since).unwrap_or(usize::MAX);
        self.news.get(from..).unwrap_or(&[])
    }

    /// The hash of what the controller did.
    #[must_use]
    pub fn control_hash(&self) -> u64 {
        self.live.bench.control_hash()
    }

    /// The hash of what was measured and true.
    #[must_use]
    pub fn trace_hash(&self) -> u64 {
        use twinplate_sim::bench::Recorder;
        self.live.bench.recorder().trace_hash().unwrap_or(0)
    }

    /// An operator's hand. Acts in the next tick; what is done between two ticks keeps its order, but for an emergency stop, which
    /// waits for nothing.
    ///
    /// # Errors
    /// What the machine or the session refuses at once. What the controller refuses comes as news of kind `Refused` in the next tick.
    pub fn operate(&mut self, act: &Act) -> Result<(), Refused> {
        self.take(Done::Operate(act.clone()))
    }

    /// A component begins to fail: an instructor's hand.
    ///
    /// # Errors
    /// Words that are not known, and what the component cannot do.
    pub fn inject(
        &mut self,
        component: &str,
        mode: &str,
        magnitude: Option<f64>,
    ) -> Result<(), Refused> {
        self.take(Done::Inject {
            component: component.into(),
            mode: mode.into(),
            magnitude,
        })
    }

    /// A component's fault ends: an instructor's hand.
    ///
    /// # Errors
    /// A word that is not known.
    pub fn repair(&mut self, component: &str) -> Result<(), Refused> {
        self.take(Done::Repair {
            component: component.into(),
        })
    }

    pub(super) fn take(&mut self, done: Done) -> Result<(), Refused> {
        if self.finished {
            return Err(Refused::new("finished", "the attempt is over"));
        }
        // Whatever was done before: an emergency stop is always taken.
        let urgent = done == Done::Operate(Act::PressEmergencyStop);
        if self.log.len() >= MOST_DEEDS && !urgent {
            return Err(Refused::new(
                "too-many",
                "more acts than an attempt can hold",
            ));
        }
        let index = self.log.len();
        self.log.push(Logged {
            deed: Deed {
                tick: self.tick(),
                done: done.clone(),
            },
            refused: None,
            waiting: false,
            needless: false,
            place: self.place(),
        });
        let told = self.news.len();
        let (result, kind, text) = match &done {
            Done::Operate(act) => (self.hand(act, index), NewsKind::Operated, act.text()),
            Done::Inject {
                component,
                mode,
                magnitude,
            } => (
                self.fault(component, mode, *magnitude),
                NewsKind::Instructor,
                format!("{component}: {mode}"),
            ),
            Done::Repair { component } => (
                word(component).map(|component| self.act(Action::Clear(component))),
                NewsKind::Instructor,
                format!("{component}: put right"),
            ),
        };
        match &result {
            Ok(()) => {
                // What was done stands before what came of it at once.
                let came_of_it = self.news.split_off(told);
                self.tell(kind, text, 0);
                for mut news in came_of_it {
                    news.number = self.news.len() as u64 + 1;
                    self.news.push(news);
                }
            }
            Err(refused) => {
                self.refuse(index, refused.why.clone());
                let kind = match kind {
                    NewsKind::Operated => NewsKind::Refused,
                    other => other,
                };
                self.tell(kind, format!("{text}: refused: {}", refused.why), 0);
            }
        }
        self.news_for_exercise = true;
        result
    }

    fn fault(
        &mut self,
        component: &str,
        mode: &str,
        magnitude: Option<f64>,
    ) -> Result<(), Refused> {
        let component = word(component)?;
        let Some((_, mode)) = FAULT_MODES.iter().find(|(word, _)| *word == mode) else {
            return Err(Refused::new(
                "unknown-mode",
                format!("`{mode}` is no way to fail"),
            ));
        };
        let fault = Fault {
            component,
            mode: *mode,
            magnitude,
        };
        // Tried on a copy: a refusal comes at once, and nothing has changed then.
        self.live
            .bench
            .plant()
            .clone()
            .inject(&fault)
            .map_err(|refused| Refused::new("cannot-fail", refused.to_string()))?;
        self.act(Action::Fault(fault));
        Ok(())
    }

    pub(super) fn act(&mut self, action: Action) {
        self.live.bench.act(action);
    }

    /// Has a command or request act and remembers whose entry of the log it is.
    pub(super) fn send(&mut self, action: Action, entry: usize) {
        self.live.sent.push_back(entry);
        if let Some(logged) = self.log.get_mut(entry) {
            logged.waiting = true;
        }
        self.live.bench.act(action);
    }

    /// Where the machine is.
    pub(super) fn place(&self) -> Place {
        let status = self.status();
        Place {
            state: status.state,
            phase: status.phase,
            plate: status.plate,
            rows: status.active | status.latched,
            failing: self.live.failing,
        }
    }

    /// The controller.
    pub(super) fn controller(&self) -> &Controller {
        self.live.bench.port().controller()
    }

    pub(super) fn status(&self) -> &Status {
        self.controller().status()
    }

    pub(super) fn refuse(&mut self, entry: usize, why: String) {
        if let Some(logged) = self.log.get_mut(entry) {
            logged.refused = Some(why);
        }
    }

    /// So many ticks. Gives the ticks really made: fewer where the attempt ends.
    pub fn advance(&mut self, ticks: u32) -> u32 {
        self.advance_while(ticks, || true)
    }

    /// So many ticks, as long as `go_on` says so; it is asked before each tick. Gives the ticks really made.
    pub fn advance_while(&mut self, ticks: u32, mut go_on: impl FnMut() -> bool) -> u32 {
        let mut made = 0;
        while made < ticks && !self.finished && go_on() {
            self.one();
            made += 1;
        }
        made
    }

    fn one(&mut self) {
        let tick = self.tick();
        if self.snapshots.is_empty() || tick.is_multiple_of(SNAPSHOT_TICKS) {
            self.keep_snapshot(tick);
        }
        if self.live.bench.step().is_err() {
            // The controller is in this process and always there.
            self.finished = true;
            return;
        }
        self.look(tick);
        if tick.is_multiple_of(SAMPLE_TICKS) {
            self.sample(tick);
        }
        if self.tick() >= self.exercise.longest() {
            self.tell(
                NewsKind::Exercise,
                "The time of the exercise is up.".into(),
                0,
            );
            self.finish();
        }
    }

    fn sample(&mut self, tick: u32) {
        let status = self.status();
        let (reference, limit) = (status.reference.get(), status.load_limit.get());
        let recorder = self.live.bench.recorder_mut();
        let load = recorder.sample;
        recorder.sample = NO_ENDS;
        self.samples.push(Sample {
            tick,
            load,
            reference,
            limit,
        });
        if tick.is_multiple_of(TICKS_PER_SECOND) {
            self.news_for_exercise = true;
        }
    }
}

/// A component by its word.
pub(super) fn word(component: &str) -> Result<Component, Refused> {
    let found = COMPONENTS.iter().find(|(word, _)| *word == component);
    found.map(|(_, component)| *component).ok_or_else(|| {
        Refused::new(
            "unknown-component",
            format!(
                "`{component}` is no component; one of {}",
                COMPONENTS.map(|(word, _)| word).join(", ")
            ),
        )
    })
}

/// The word for a component, for people.
pub(super) fn component(component: Component) -> &'static str {
    fault_words::component(component)
}
