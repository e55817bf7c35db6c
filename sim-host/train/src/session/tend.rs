//! Tasks between cycles: when they can be begun, and what comes of them.

use super::{Refused, Session};
use crate::acts;
use crate::protocol::NewsKind;
use crate::remedy::Where;
use crate::tasks::how;
use rand_distr::{Distribution, StandardNormal};
use twinplate_sim::bench::{Action, ControllerPort};
use twinplate_sim::math;
use twinplate_sim::model::{Of, StationAct};
use twinplate_sim::plant::seed::stream;
use twinplate_sim::training::act::Act;
use twinplate_sim::training::task::{TASKS, Task};

/// What a straightedge with its feeler or light gap can tell, m (k = 2). Common practice, no source.
const STRAIGHTEDGE: f64 = 0.5e-6;
/// What weighing a measured volume tells of the grains, share of the mass (k = 2), and the step in which it is read. Invented.
const WEIGHED: f64 = 0.005;
const WEIGHED_STEP: f64 = 0.005;
/// Under these shares of a fresh grain's cut its edges look rounded, and worn. Invented.
const ROUNDED: f64 = 0.85;
const WORN: f64 = 0.65;
/// Swarf from which the slurry is dark, share of its volume. Invented.
const DARK: f64 = 0.01;

impl<C: ControllerPort> Session<C> {
    /// Begins a task.
    pub(crate) fn work(&mut self, asked: &str, entry: usize) -> Result<(), Refused> {
        let words = self.words();
        let task = Task::named(asked).ok_or_else(|| {
            Refused::new(
                "unknown-task",
                words.tell(
                    "unknown-task",
                    &[
                        ("task", asked.into()),
                        ("known", TASKS.map(|(word, _)| word).join(", ").into()),
                    ],
                ),
            )
        })?;
        if task == Task::SampleSlurry {
            // A ladle reaches the tank whatever the machine does.
            self.nobody_at_work()?;
        } else {
            self.at_rest()?;
            let status = self.status();
            if !status.state.rests(status.phase) {
                return Err(Refused::new("not-at-rest", words.say("tend-held")));
            }
        }
        let powered = matches!(task, Task::ConditionPlates | Task::ChangeSlurry);
        match (task, self.live.locked_out) {
            (Task::HangLock, true) => {
                return Err(Refused::new("locked-out", words.say("tend-lock-hangs")));
            }
            (Task::TakeLockOff, false) => {
                return Err(Refused::new("no-lock", words.say("tend-no-lock")));
            }
            (_, true) if powered => {
                return Err(Refused::new("locked-out", words.say("tend-lock-holds")));
            }
            _ => {}
        }
        let inside = how(task).place == Where::Inside;
        if inside {
            self.reach()?;
        }
        if (inside || task == Task::ConditionPlates) && self.bench.plant().loaded() {
            return Err(Refused::new("loaded", words.say("tend-loaded")));
        }
        if task == Task::ConditionPlates {
            self.can_condition()?;
        }
        self.begin_task(task, entry);
        Ok(())
    }

    /// The rings are there, and nobody can reach them while the plates turn.
    fn can_condition(&self) -> Result<(), Refused> {
        let plant = self.bench.plant();
        if plant.conditioning().is_none() {
            return Err(Refused::new("no-rings", self.words().say("tend-no-rings")));
        }
        if !plant.inputs().guard_locked {
            return Err(Refused::new("not-shut", self.words().say("tend-not-shut")));
        }
        Ok(())
    }

    /// A task is done.
    pub(crate) fn task_done(&mut self, task: Task) {
        let words = self.words();
        let told = match task {
            Task::LayStraightedge => self.by_straightedge(),
            Task::SampleSlurry => self.sampled(),
            Task::ConditionPlates => words.say("tended-condition-plates"),
            Task::MixSlurry => words.say("tended-mix-slurry"),
            Task::ChangeSlurry => words.say("tended-change-slurry"),
            Task::WashMachine => words.say("tended-wash-machine"),
            Task::HangLock => {
                self.live.locked_out = true;
                words.say("tended-hang-lock")
            }
            Task::TakeLockOff => {
                self.live.locked_out = false;
                words.say("tended-take-lock-off")
            }
        };
        // What changes nothing of the plant changes nothing there.
        self.act(Action::Station(StationAct::Tend(task)));
        self.tell(NewsKind::Found, told, 0);
    }

    fn by_straightedge(&mut self) -> String {
        let mut random = stream(self.seed, "straightedge", "reading", u64::from(self.tick()));
        let read = self.bench.plant().straightedge().map(|form| {
            let error: f64 = StandardNormal.sample(&mut random);
            form + 0.5 * STRAIGHTEDGE * error
        });
        self.live.read = Some(read);
        let (words, shown) = (self.words(), &self.exercise.job.recipe.shown);
        let [lower, upper] = read.map(|read| {
            let size = words.written(&shown.fixed(Of::Size, math::abs(read) * 1e6, 1));
            let id = if read < 0.0 {
                "straightedge-lower"
            } else {
                "straightedge-higher"
            };
            words.tell(id, &[("amount", shown.with(Of::Size, &size).into())])
        });
        words.tell(
            "tended-straightedge",
            &[("lower", lower.into()), ("upper", upper.into())],
        )
    }

    fn sampled(&self) -> String {
        let sample = self.bench.plant().slurry_sample();
        let mut random = stream(self.seed, "slurry-sample", "weight", u64::from(self.tick()));
        let error: f64 = StandardNormal.sample(&mut random);
        let weighed = sample.concentration + 0.5 * WEIGHED * error;
        let percent = 100.0 * math::max(math::round(weighed / WEIGHED_STEP) * WEIGHED_STEP, 0.0);
        let id = match sample.sharpness {
            sharp if sharp >= ROUNDED => "sample-sharp",
            rounded if rounded >= WORN => "sample-rounded",
            _ => "sample-worn",
        };
        let words = self.words();
        let mut told = vec![words.tell(id, &[("percent", words.number(percent, 1).into())])];
        if sample.coarse {
            told.push(words.say("sample-coarse"));
        }
        if sample.swarf > DARK {
            told.push(words.say("sample-dark"));
        }
        told.join(" ")
    }

    /// What the shift before left in writing.
    pub(super) fn read_book(&mut self) {
        for line in self.exercise.book() {
            self.tell(NewsKind::Seen, line, 0);
        }
    }

    /// What is done, for people: what is handed over in its own words.
    pub(super) fn told(&self, act: &Act) -> String {
        let words = self.words();
        match act {
            Act::HandOver { statement } => match self.statement(statement) {
                Ok(text) => acts::handed_over(words, text),
                Err(_) => acts::text(words, act),
            },
            _ => acts::text(words, act),
        }
    }
}
