//! Somebody is at work on the machine: it is locked off meanwhile, and the work comes to something in its time.

use super::{Refused, Session, word};
use crate::acts;
use crate::log::seconds;
use crate::machine_words;
use crate::protocol::NewsKind;
use crate::remedy::{LOOK, Remedy, Where, remedy};
use crate::tasks::how;
use twinplate_sim::bench::{Action, ControllerPort};
use twinplate_sim::fault_words;
use twinplate_sim::model::{Component, FaultMode};
use twinplate_sim::training::act::Act;
use twinplate_sim::training::task::Task;
use twinplate_words::{Told, Words};

/// What is being done.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Doing {
    /// Somebody who was called puts a component right.
    Remedy(Component),
    /// The operator does something between cycles.
    Task(Task),
}

impl Doing {
    const fn how(self) -> Remedy {
        match self {
            Self::Remedy(component) => remedy(component),
            Self::Task(task) => how(task),
        }
    }

    /// That it is under way, for people.
    pub(crate) fn under_way(self, words: &Words) -> String {
        let id = match self {
            Self::Remedy(_) => "work-being-put-right",
            Self::Task(_) => "work-under-way",
        };
        words.tell(id, &[("what", self.about(words).into())])
    }

    /// What it is about, for people.
    fn about(self, words: &Words) -> String {
        match self {
            Self::Remedy(of) => machine_words::component(words, fault_words::component(of)),
            Self::Task(task) => how(task).what(words),
        }
    }
}

/// Somebody is at work.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Work {
    doing: Doing,
    /// Entry of the log that asked for it.
    pub(super) entry: usize,
    began: u32,
    place: Where,
}

impl Work {
    const fn until(&self) -> u32 {
        self.began.saturating_add(self.doing.how().ticks())
    }
}

impl<C: ControllerPort> Session<C> {
    /// Calls somebody who puts a component right: only with the machine at rest, and only where hands can reach it. Parts that hang on a
    /// plate in the air are freed from outside, with the plate held, by the safe procedure, which is not told here.
    pub(crate) fn remedy(&mut self, asked: &str, entry: usize) -> Result<(), Refused> {
        let words = self.words();
        let broken = word(words, asked)?;
        if self.exercise.assessed() && !self.said_what_it_is() {
            return Err(Refused::new("no-diagnosis", words.say("work-no-diagnosis")));
        }
        self.at_rest()?;
        let hanging = broken == Component::Parts
            && matches!(
                self.bench.plant().failing(broken),
                Some((FaultMode::Stuck, _))
            );
        let place = match remedy(broken).place {
            Where::Inside if !hanging => {
                self.reach()?;
                Where::Inside
            }
            _ => Where::Outside,
        };
        self.begin(Doing::Remedy(broken), place, entry);
        let what = remedy(broken).what(words);
        let told = words.tell("remedy-under-way", &[("what", what.into())]);
        self.tell(NewsKind::Seen, told, 0);
        Ok(())
    }

    /// Begins what an operator does between cycles.
    pub(crate) fn begin_task(&mut self, task: Task, entry: usize) {
        self.begin(Doing::Task(task), how(task).place, entry);
    }

    fn begin(&mut self, doing: Doing, place: Where, entry: usize) {
        self.live.work = Some(Work {
            doing,
            entry,
            began: self.tick(),
            place,
        });
        if let Some(logged) = self.log.get_mut(entry) {
            logged.waiting = true;
        }
    }

    /// Nothing moves, and nobody else is at work.
    ///
    /// # Errors
    /// What does, or who is.
    pub(crate) fn at_rest(&self) -> Result<(), Refused> {
        self.nobody_at_work()?;
        // What was sent acts in the next tick: it may be a start.
        if self.quiet_enough() && self.live.sent.is_empty() {
            Ok(())
        } else {
            Err(Refused::new(
                "not-at-rest",
                self.words().say("work-not-at-rest"),
            ))
        }
    }

    /// The machine is locked off while somebody is at work on it. Whoever takes a sample of the tank holds nothing up.
    ///
    /// # Errors
    /// Who is.
    pub(crate) fn free_to_move(&self) -> Result<(), Refused> {
        match &self.live.work {
            Some(work) if work.doing == Doing::Task(Task::SampleSlurry) => Ok(()),
            _ => self.nobody_at_work(),
        }
    }

    /// One thing at a time.
    ///
    /// # Errors
    /// Who is at work.
    pub(crate) fn nobody_at_work(&self) -> Result<(), Refused> {
        match &self.live.work {
            None => Ok(()),
            Some(work) => Err(Refused::new(
                "locked-off",
                self.words().tell(
                    "work-locked-off",
                    &[("what", work.doing.about(self.words()).into())],
                ),
            )),
        }
    }

    /// Nobody is in the working space.
    ///
    /// # Errors
    /// Who is.
    pub(crate) fn nobody_inside(&self) -> Result<(), Refused> {
        match &self.live.work {
            Some(work) if work.place == Where::Inside => self.free_to_move(),
            _ => Ok(()),
        }
    }

    /// What is under way, and the time until it is done, s; none where nothing is.
    pub(crate) fn at_work(&self) -> Option<(Doing, f64)> {
        let work = self.live.work.as_ref()?;
        let left = work.until().saturating_sub(self.tick());
        Some((work.doing, seconds(left)))
    }

    /// Time has gone on: what is under way comes to something. Whoever finds nothing wrong has looked in vain.
    pub(crate) fn work_on(&mut self) {
        let Some(work) = self.live.work else {
            return;
        };
        let whole = match work.doing {
            Doing::Remedy(component) => self.bench.plant().failing(component).is_none(),
            Doing::Task(_) => false,
        };
        let seen = self.tick() == work.began.saturating_add(LOOK) && whole;
        if !seen && self.tick() < work.until() {
            return;
        }
        let tick = self.tick();
        self.live.work = None;
        if let Some(logged) = self.log.get_mut(work.entry) {
            logged.waiting = false;
            logged.ended = Some(tick);
            logged.needless = whole;
        }
        match work.doing {
            Doing::Remedy(component) => self.put_right(component, whole),
            Doing::Task(task) => self.task_done(task),
        }
        self.news_for_exercise = true;
    }

    fn put_right(&mut self, broken: Component, whole: bool) {
        let id = if whole {
            "work-nothing-wrong"
        } else {
            self.act(Action::Clear(broken));
            "work-put-right"
        };
        let words = self.words();
        let of = Told::Text(acts::component(words, broken));
        self.tell(NewsKind::Seen, words.tell(id, &[("component", of)]), 0);
    }

    fn said_what_it_is(&self) -> bool {
        let said = |act: &Act| matches!(act, Act::Diagnose { .. });
        self.log.iter().any(|logged| logged.act().is_some_and(said))
    }
}
