//! The session: bench, exercise and trainee. Pure: no clock, no input or output, no randomness but the seed's. Between two ticks
//! somebody acts ([`Session::operate`]); then time goes on ([`Session::advance`]).
//!
//! What is done acts in the next tick, in order; where several commands are given between two ticks they act one a tick. An emergency
//! stop goes before everything that waits.

mod behind;
mod instructed;
mod moments;
mod progress;
mod tend;
mod work;

use super::exercise::Exercise;
use super::log::{Deed, Done, FIRST_TICK, Logged, Marked, Place, SAMPLE_TICKS, Sample, seconds};
use super::paced::Paces;
use super::protocol::{News, NewsKind};
use super::watcher::{NO_ENDS, Watcher};
pub(super) use behind::broken_off;
use firmware_core::interlock::ROWS;
use firmware_core::sequence::{Command, Mode, Phase, Request, State};
use firmware_core::units::TICKS_PER_SECOND;
pub(super) use instructed::word;
use moments::Snapshot;
use std::collections::VecDeque;
use std::sync::Arc;
use twinplate_sim::bench::job::RECIPE_TICK;
use twinplate_sim::bench::scenario::RESET_TICK;
use twinplate_sim::bench::{Action, Bench, ControllerPort, InProcess, Player, PortError};
use twinplate_sim::model::Deviations;
use twinplate_sim::training::act::Act;
use twinplate_sim::training::rules::Start;
use twinplate_words::Words;
use work::Work;

/// Ticks between two snapshots.
const SNAPSHOT_TICKS: u32 = 5 * TICKS_PER_SECOND;
/// Most deeds of an attempt; more are refused. Somebody who works makes some hundreds; what a session keeps of them is bounded by this.
const MOST_DEEDS: usize = 5_000;

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

/// Everything beside the bench that goes on with time and comes back with a snapshot.
#[derive(Clone, Debug)]
pub(super) struct Live {
    /// Entries of the log that wait inside the bench, in order.
    pub sent: VecDeque<usize>,
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
    /// Row that stopped or held the machine since the last batch was complete; 0 for none.
    pub told_of: u16,
    /// First log entry since the parts were laid in.
    pub batch_from: usize,
    /// Who is at work on the machine.
    pub work: Option<Work>,
    /// Form of the lower and the upper plate as the straightedge read it last, m.
    pub read: Option<[f64; 2]>,
    /// The trainee's own lock hangs on the isolated power and air.
    pub locked_out: bool,
}

/// A trainee's session, on the controller behind a port.
#[derive(Clone, Debug)]
pub struct Session<C = InProcess> {
    pub(super) exercise: Arc<Exercise>,
    pub(super) seed: u64,
    pub(super) bench: Bench<C, Watcher>,
    pub(super) live: Live,
    pub(super) log: Vec<Logged>,
    pub(super) marks: Vec<Marked>,
    pub(super) samples: Vec<Sample>,
    pub(super) news: Vec<News>,
    snapshots: Vec<Snapshot<C>>,
    pub(super) finished: bool,
    failure: Option<PortError>,
    /// Nothing is told while the machine is being prepared.
    pub(super) quiet: bool,
    progress: progress::Progress,
    pub(crate) paces: Paces,
    /// Something has changed that the exercise may be waiting for.
    pub(super) news_for_exercise: bool,
}

impl Session {
    /// A session of an exercise on a controller in this process, at [`FIRST_TICK`].
    #[must_use]
    pub fn new(exercise: Arc<Exercise>, seed: u64) -> Self {
        let port = exercise.job.nominal(seed).controller();
        Self::on(port, exercise, seed)
    }
}

impl<C: ControllerPort> Session<C> {
    /// The port to the controller.
    #[must_use]
    pub const fn port(&self) -> &C {
        self.bench.port()
    }

    /// A session of an exercise on the controller behind a port, just powered up with the parameters of the exercise's job; at
    /// [`FIRST_TICK`], or broken off before.
    #[must_use]
    pub fn on(port: C, exercise: Arc<Exercise>, seed: u64) -> Self {
        let exercise = exercise.drawn(seed);
        let setup = exercise.job.setup(Deviations::NOMINAL, seed);
        let mut plant = setup.plant_found(&exercise.training.found);
        if exercise.training.start != Start::Loaded {
            plant = plant.emptied();
        }
        let loaded = plant.loaded();
        let mut bench = setup.bench_with(plant, port, Watcher::new());
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
            sent: VecDeque::new(),
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
            told_of: 0,
            batch_from: 0,
            work: None,
            locked_out: false,
            read: None,
        };
        let mut session = Self {
            progress: progress::Progress::default(),
            paces: Paces::default(),
            news_for_exercise: false,
            exercise,
            seed,
            bench,
            live,
            log: Vec::new(),
            marks: Vec::new(),
            samples: Vec::new(),
            news: Vec::new(),
            snapshots: Vec::new(),
            finished: false,
            failure: None,
            quiet: true,
        };
        session.advance(FIRST_TICK);
        session.quiet = false;
        session.snapshots.clear();
        session.read_book();
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
        self.bench.tick()
    }

    /// Simulated time, s.
    #[must_use]
    pub fn time_s(&self) -> f64 {
        seconds(self.tick())
    }

    /// The attempt is over: the longest time is up, it was finished, or it was broken off ([`Session::failure`]).
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

    /// For an attempt whose debrief was taken: lets go of moments, log and news. What shows the machine stays.
    pub fn forget(&mut self) {
        self.snapshots = Vec::new();
        self.log = Vec::new();
        self.marks = Vec::new();
        self.samples = Vec::new();
        self.news = Vec::new();
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
        self.bench.control_hash()
    }

    /// The hash of what was measured and true.
    #[must_use]
    pub fn trace_hash(&self) -> u64 {
        use twinplate_sim::bench::Recorder;
        self.bench.recorder().trace_hash().unwrap_or(0)
    }

    /// An operator's hand. Acts in the next tick; what is done between two ticks keeps its order, but for an emergency stop, which
    /// waits for nothing.
    ///
    /// # Errors
    /// What the machine or the session refuses at once. What the controller refuses comes as news of kind `Refused` in the next tick.
    pub fn operate(&mut self, act: &Act) -> Result<(), Refused> {
        self.take(Done::Operate(act.clone()))
    }

    /// The words that it is told in.
    pub(super) fn words(&self) -> &'static Words {
        self.exercise.words
    }

    pub(super) fn take(&mut self, done: Done) -> Result<(), Refused> {
        if self.finished {
            return Err(Refused::new("finished", self.words().say("attempt-over")));
        }
        // Whatever was done before: an emergency stop is always taken, and a hand that lets go.
        let urgent = matches!(
            done,
            Done::Operate(Act::PressEmergencyStop | Act::HoldToRun { on: false })
        );
        if let Some(beyond) = self.log.get(MOST_DEEDS..) {
            if !urgent {
                return Err(Refused::new("too-many", self.words().say("attempt-full")));
            }
            if beyond.iter().any(|logged| logged.deed.done == done) {
                // It is so already: nothing that undoes it is taken any more.
                return Ok(());
            }
        }
        let index = self.log.len();
        self.log.push(Logged {
            deed: Deed {
                tick: self.tick(),
                done: done.clone(),
            },
            refused: None,
            waiting: false,
            ended: None,
            needless: false,
            place: self.place(),
            read: self.live.read,
        });
        let told = self.news.len();
        let words = self.words();
        let (result, kind, text) = match &done {
            Done::Operate(act) => (self.hand(act, index), NewsKind::Operated, self.told(act)),
            Done::Inject {
                component,
                mode,
                magnitude,
            } => (
                self.fault(component, mode, *magnitude),
                NewsKind::Instructor,
                instructed::failing(words, component, mode),
            ),
            Done::Repair { component } => (
                word(words, component).map(|component| self.act(Action::Clear(component))),
                NewsKind::Instructor,
                instructed::put_right(words, component),
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
                let why = ("why", (&refused.why).into());
                let told = words.tell("act-refused", &[("act", text.into()), why]);
                self.tell(kind, told, 0);
            }
        }
        self.news_for_exercise = true;
        result
    }

    pub(super) fn act(&mut self, action: Action) {
        self.bench.act(action);
    }

    /// Has a command or request act and remembers whose entry of the log it is.
    pub(super) fn send(&mut self, action: Action, entry: usize) {
        self.live.sent.push_back(entry);
        if let Some(logged) = self.log.get_mut(entry) {
            logged.waiting = true;
        }
        self.bench.act(action);
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
        let from = self.tick();
        while self.tick() - from < ticks && !self.finished && go_on() {
            if let Err(error) = self.one() {
                self.break_off(error);
            }
        }
        self.tick() - from
    }

    fn one(&mut self) -> Result<(), PortError> {
        let tick = self.tick();
        if self.snapshots.is_empty() || tick.is_multiple_of(SNAPSHOT_TICKS) {
            self.keep_snapshot(tick)?;
        }
        self.bench.step()?;
        let heard = self.look(tick);
        self.work_on();
        if tick.is_multiple_of(SAMPLE_TICKS) {
            self.sample(tick);
        }
        heard?;
        if self.tick() >= self.exercise.longest() {
            self.tell(NewsKind::Exercise, self.words().say("attempt-time-up"), 0);
            self.finish();
        }
        Ok(())
    }

    fn sample(&mut self, tick: u32) {
        let status = self.status();
        let (reference, limit) = (status.reference.get(), status.load_limit.get());
        let recorder = self.bench.recorder_mut();
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
