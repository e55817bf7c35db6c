//! Somebody is at work on the machine: it is locked off meanwhile, and the work comes to something in its time.

use super::{Refused, Session, component, word};
use crate::log::seconds;
use crate::protocol::NewsKind;
use crate::remedy::{CAUTION, LOOK, Where, remedy};
use twinplate_sim::bench::{Action, ControllerPort};
use twinplate_sim::model::{Component, FaultMode};
use twinplate_sim::training::act::Act;

/// Somebody is at work on a component.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Work {
    component: Component,
    /// Entry of the log that asked for it.
    pub(super) entry: usize,
    began: u32,
    place: Where,
}

impl Work {
    const fn until(&self) -> u32 {
        self.began.saturating_add(remedy(self.component).ticks())
    }
}

impl<C: ControllerPort> Session<C> {
    /// Calls somebody who puts a component right: only with the machine at rest, and only where hands can reach it. Parts that hang on a
    /// plate in the air are freed from outside, with the plate held, by the safe procedure, which is not told here.
    pub(crate) fn remedy(&mut self, asked: &str, entry: usize) -> Result<(), Refused> {
        let broken = word(asked)?;
        if self.exercise.assessed() && !self.said_what_it_is() {
            return Err(Refused::new(
                "no-diagnosis",
                "say first what you think is wrong, then have it put right",
            ));
        }
        self.free_to_move()?;
        if !self.quiet_enough() {
            return Err(Refused::new(
                "not-at-rest",
                "the machine is not at rest: nothing is put right while something may move",
            ));
        }
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
        self.live.work = Some(Work {
            component: broken,
            entry,
            began: self.tick(),
            place,
        });
        if let Some(logged) = self.log.get_mut(entry) {
            logged.waiting = true;
        }
        let what = remedy(broken).what;
        self.tell(NewsKind::Seen, format!("Under way: {what}. {CAUTION}"), 0);
        Ok(())
    }

    /// The machine is locked off while somebody is at work on it.
    ///
    /// # Errors
    /// Who is.
    pub(crate) fn free_to_move(&self) -> Result<(), Refused> {
        match &self.live.work {
            None => Ok(()),
            Some(work) => Err(Refused::new(
                "locked-off",
                format!(
                    "somebody is at work on it ({}) and has locked the machine off",
                    component(work.component).replace('-', " ")
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

    /// Time until what is under way is done, s; none where nothing is.
    pub(crate) fn at_work(&self) -> Option<(Component, f64)> {
        let work = self.live.work.as_ref()?;
        let left = work.until().saturating_sub(self.tick());
        Some((work.component, seconds(left)))
    }

    /// Time has gone on: what is under way comes to something. Whoever finds nothing wrong has looked in vain.
    pub(crate) fn work_on(&mut self) {
        let Some(work) = self.live.work else {
            return;
        };
        let whole = self.bench.plant().failing(work.component).is_none();
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
        let came_of_it = if whole {
            "looked at, and nothing was wrong with it."
        } else {
            self.act(Action::Clear(work.component));
            "put right."
        };
        let of = component(work.component);
        self.tell(NewsKind::Seen, format!("{of}: {came_of_it}"), 0);
        self.news_for_exercise = true;
    }

    fn said_what_it_is(&self) -> bool {
        let said = |act: &Act| matches!(act, Act::Diagnose { .. });
        self.log.iter().any(|logged| logged.act().is_some_and(said))
    }
}
