//! Tasks between cycles: when they can be begun, and what comes of them.

use super::{Refused, Session};
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
        let task = Task::named(asked).ok_or_else(|| {
            Refused::new(
                "unknown-task",
                format!(
                    "`{asked}` is no task; one of {}",
                    TASKS.map(|(word, ..)| word).join(", ")
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
                return Err(Refused::new(
                    "not-at-rest",
                    "a cycle is held: end it first, and have the plate parked",
                ));
            }
        }
        let powered = matches!(task, Task::ConditionPlates | Task::ChangeSlurry);
        match (task, self.live.locked_out) {
            (Task::HangLock, true) => {
                return Err(Refused::new("locked-out", "your lock hangs there already"));
            }
            (Task::TakeLockOff, false) => {
                return Err(Refused::new(
                    "no-lock",
                    "no lock of yours hangs on the machine",
                ));
            }
            (_, true) if powered => {
                return Err(Refused::new(
                    "locked-out",
                    "it takes the drives or the pump, and your lock holds them off",
                ));
            }
            _ => {}
        }
        let inside = how(task).place == Where::Inside;
        if inside {
            self.reach()?;
        }
        if (inside || task == Task::ConditionPlates) && self.bench.plant().loaded() {
            return Err(Refused::new(
                "loaded",
                "carriers with parts lie on the plate: take them out first",
            ));
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
            return Err(Refused::new(
                "no-rings",
                "there are no conditioning rings for this machine",
            ));
        }
        if !plant.inputs().guard_locked {
            return Err(Refused::new(
                "not-shut",
                "the plates turn under load for it: shut and lock the guard",
            ));
        }
        Ok(())
    }

    /// A task is done.
    pub(crate) fn task_done(&mut self, task: Task) {
        let told = match task {
            Task::LayStraightedge => self.by_straightedge(),
            Task::SampleSlurry => self.sampled(),
            Task::ConditionPlates => {
                "Both plates are conditioned. Lay the straightedge across them to see what it did."
                    .to_owned()
            }
            Task::MixSlurry => {
                "The slurry is brought to the grains of the recipe. Worn grains stay in it."
                    .to_owned()
            }
            Task::ChangeSlurry => {
                "Tank and line are emptied, rinsed, and filled with fresh slurry.".to_owned()
            }
            Task::WashMachine => "Plates, carriers and rings are washed.".to_owned(),
            Task::HangLock => {
                self.live.locked_out = true;
                "The drives' isolator is off, the air behind its valve is shut off and vented; your lock and tag hang on both. Panel and gauges keep their supply. Prove it before you reach in: guard shut and locked, press Start, and see that nothing moves.".to_owned()
            }
            Task::TakeLockOff => {
                self.live.locked_out = false;
                "Your lock is off, power and air are back.".to_owned()
            }
        };
        // What changes nothing of the plant changes nothing there.
        self.act(Action::Station(StationAct::Tend(task)));
        self.tell(NewsKind::Found, told, 0);
    }

    fn by_straightedge(&self) -> String {
        let shown = &self.exercise.job.recipe.shown;
        let mut random = stream(self.seed, "straightedge", "reading", u64::from(self.tick()));
        let [lower, upper] = self.bench.plant().straightedge().map(|form| {
            let error: f64 = StandardNormal.sample(&mut random);
            let read = form + 0.5 * STRAIGHTEDGE * error;
            let amount = shown.with(Of::Size, &shown.fixed(Of::Size, math::abs(read) * 1e6, 1));
            let way = if read < 0.0 { "lower" } else { "higher" };
            format!("inner edge {amount} {way} than the outer edge")
        });
        format!(
            "By the straightedge: lower plate: {lower}; upper plate: {upper}. Higher is towards the parts."
        )
    }

    fn sampled(&self) -> String {
        let sample = self.bench.plant().slurry_sample();
        let mut random = stream(self.seed, "slurry-sample", "weight", u64::from(self.tick()));
        let error: f64 = StandardNormal.sample(&mut random);
        let weighed = sample.concentration + 0.5 * WEIGHED * error;
        let percent = 100.0 * math::max(math::round(weighed / WEIGHED_STEP) * WEIGHED_STEP, 0.0);
        let grains = match sample.sharpness {
            sharp if sharp >= ROUNDED => "sharp",
            rounded if rounded >= WORN => "rounded at their edges",
            _ => "worn round",
        };
        let dark = if sample.swarf > DARK {
            " The slurry is dark with swarf."
        } else {
            ""
        };
        let coarse = if sample.coarse {
            " Some or all of them are several times as large as the recipe's."
        } else {
            ""
        };
        format!(
            "By weight the slurry holds {percent:.1} % of grains. Under the magnifier they are {grains}.{coarse}{dark}"
        )
    }

    /// What the shift before left in writing.
    pub(super) fn read_book(&mut self) {
        for line in self.exercise.training.book.clone() {
            self.tell(NewsKind::Seen, format!("Shift book: {line}"), 0);
        }
    }

    /// What is done, for people: what is handed over in its own words.
    pub(super) fn told(&self, act: &Act) -> String {
        match act {
            Act::HandOver { statement } => match self.statement(statement) {
                Ok(text) => format!("Handed over: {text}"),
                Err(_) => act.text(),
            },
            _ => act.text(),
        }
    }
}
