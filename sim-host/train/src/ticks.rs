//! What a tick has brought: what acted, what moved, what the controller tells, and which alarms came.

use super::acts;
use super::log::{Logged, Marked, SessionEvent};
use super::machine_words as machine;
use super::protocol::{News, NewsKind, Place, Seen};
use super::session::Session;
use firmware_core::events::{Event, EventKind};
use firmware_core::interlock::{TABLE, row_of};
use firmware_core::sequence::{Mode, Phase, Refusal, State};
use firmware_core::status::Response;
use twinplate_sim::bench::{Action, ControllerPort, Past, PortError, RefusedBy, missing_items};
use twinplate_sim::training::act::Act;

/// Most news that are kept: an attempt makes some hundreds.
const MOST_NEWS: usize = 20_000;

impl<C: ControllerPort> Session<C> {
    /// Looks at everything the tick has brought, even where the controller's events cannot be had.
    pub(super) fn look(&mut self, tick: u32) -> Result<(), PortError> {
        if !self.bench.journal().entries.is_empty() {
            self.look_at_journal(tick);
        }
        let status = self.status();
        let place = (status.state, status.phase, status.step, status.mode);
        if self.live.place != Some(place) {
            self.moved(tick, place);
        }
        let heard = self.look_at_events();
        let annunciated = self.answer().alarms.annunciated();
        if annunciated != self.live.annunciated {
            self.look_at_alarms(tick, annunciated);
        }
        if self.live.guide < self.exercise.training.guide.len() {
            self.follow_guide();
        }
        if self.news_for_exercise {
            self.news_for_exercise = false;
            self.follow_exercise();
        }
        heard
    }

    fn look_at_journal(&mut self, tick: u32) {
        // The log tells what was done: a second account, recalled recipes in it, would only make the session large.
        let Past { done, refused } = self.bench.take_past();
        // A request acts before a command: what was refused is the first of both.
        let mut refused = refused.iter().find_map(|refused| match refused.by {
            RefusedBy::Controller(refusal) => Some(refusal),
            RefusedBy::Plant(_) => None,
        });
        for entry in done {
            match entry.action {
                Action::Command(_) | Action::Request(_) => {
                    // The session's own preparation has no entry in the log.
                    if let Some(entry) = self.live.sent.pop_front() {
                        self.acted(entry, refused.take());
                    }
                }
                Action::Station(act) => self.station_acted(tick, act),
                Action::Fault(fault) => {
                    if self.bench.plant().failing(fault.component).is_some() {
                        self.live.failing |= 1 << fault.component as u64;
                        self.mark(tick, SessionEvent::Fault(fault.component, fault.mode));
                    }
                }
                Action::Clear(component) => {
                    self.live.failing &= !(1 << component as u64);
                    self.mark(tick, SessionEvent::Cleared(component));
                }
                Action::PowerReturns => {
                    self.live.recipe = 0;
                    self.live.confirmed = 0;
                    self.mark(tick, SessionEvent::Power);
                    self.tell(NewsKind::Moved, self.words().say("told-power-away"), 0);
                }
            }
        }
    }

    /// A command or request of the log has come to the controller in this tick, and was refused for this reason.
    fn acted(&mut self, entry: usize, refused: Option<Refusal>) {
        self.news_for_exercise = true;
        if let Some(logged) = self.log.get_mut(entry) {
            logged.waiting = false;
        }
        let request = matches!(
            self.log.get(entry).and_then(Logged::act),
            Some(act) if !is_command(act)
        );
        if let (true, Some(why)) = (request, refused) {
            // A recipe that fails its check takes the one before with it: the panel shows none, as the controller has none.
            if why == Refusal::RecipeInvalid {
                self.live.recipe = 0;
                self.live.confirmed = 0;
            }
            self.refuse(entry, machine::refusal(self.words(), why).into_owned());
            return;
        }
        match self.log.get(entry).and_then(Logged::act) {
            Some(Act::ConfirmParts { pieces }) => self.live.confirmed = *pieces,
            Some(Act::RecallRecipe { slot }) => {
                self.live.recipe = *slot;
                self.live.confirmed = 0;
            }
            _ => {}
        }
    }

    fn moved(&mut self, tick: u32, place: (State, Phase, u8, Mode)) {
        let before = self.live.place;
        self.live.place = Some(place);
        let (state, phase, step, mode) = place;
        if before.is_none_or(|b| b.0 != state) {
            self.mark(tick, SessionEvent::State(state));
            if matches!(state, State::Stopped | State::Aborted | State::Complete) {
                // The controller forgets the count, too.
                self.live.confirmed = 0;
            }
            if state == State::Complete {
                self.live.completed = true;
                self.live.told_of = 0;
            }
        }
        if before.is_none_or(|b| (b.1, b.2) != (phase, step)) {
            self.mark(tick, SessionEvent::Phase(phase, step));
        }
        if before.is_none_or(|b| b.1 != phase) {
            self.live.phase_from = tick;
        }
        if before.is_some_and(|b| b.3 != mode) {
            self.mark(tick, SessionEvent::Mode(mode));
            let words = self.words();
            let told = machine::mode(words, mode).into_owned();
            self.tell(
                NewsKind::Moved,
                words.tell("told-mode", &[("mode", told.into())]),
                0,
            );
        }
        if before.is_none_or(|b| (b.0, b.1, b.2) != (state, phase, step)) {
            let step = phase.in_step().then_some(step);
            self.tell_of(
                NewsKind::Moved,
                self.place_text(state, phase, step),
                0,
                Some(Place {
                    state: state.name().into(),
                    phase: phase.name().into(),
                    step,
                }),
            );
            self.news_for_exercise = true;
        }
    }

    /// Where the controller has come to, for people.
    fn place_text(&self, state: State, phase: Phase, step: Option<u8>) -> String {
        let words = self.words();
        let state = machine::state(words, state).into_owned();
        if phase == Phase::Rest {
            return state;
        }
        let phase = machine::phase(words, phase).into_owned();
        match step.map(|step| u32::from(step) + 1) {
            None => words.tell(
                "told-phase",
                &[("state", state.into()), ("phase", phase.into())],
            ),
            Some(step) => words.tell(
                "told-step",
                &[
                    ("state", state.into()),
                    ("phase", phase.into()),
                    ("step", step.into()),
                ],
            ),
        }
    }

    fn look_at_events(&mut self) -> Result<(), PortError> {
        let words = self.words();
        let new: Vec<Event> = self.bench.take_events()?.collect();
        for event in new {
            match event.kind {
                EventKind::Refused => self.controller_refused(event.detail),
                EventKind::Missing => {
                    let items = self.missing(u16::try_from(event.detail).unwrap_or(0));
                    self.tell(
                        NewsKind::Interlock,
                        words.tell("told-missing", &[("items", items.join(", ").into())]),
                        event.cause,
                    );
                }
                EventKind::Reset => {
                    let text = match u32::try_from(event.detail).unwrap_or(0) {
                        0 => words.say("told-reset"),
                        left => words.tell("told-reset-left", &[("left", left.into())]),
                    };
                    self.tell(NewsKind::Seen, text, 0);
                }
                EventKind::Departed if event.cause != 0 => {
                    let name = row_of(event.cause).map_or_else(
                        || words.say("told-interlock"),
                        |row| machine::row_name(words, row).into_owned(),
                    );
                    self.tell(
                        NewsKind::Interlock,
                        words.tell("told-departed", &[("row", name.into())]),
                        event.cause,
                    );
                }
                _ => {}
            }
        }
        Ok(())
    }

    /// What Precheck misses, by its bits, for people.
    pub(super) fn missing(&self, bits: u16) -> Vec<String> {
        missing_items(bits)
            .into_iter()
            .map(|item| machine::precheck_item(self.words(), item).into_owned())
            .collect()
    }

    /// The controller refused a command or request in this tick: the last that came to it.
    fn controller_refused(&mut self, detail: i32) {
        let Some(refusal) = u16::try_from(detail).ok().and_then(Refusal::numbered) else {
            return;
        };
        let words = self.words();
        let why = machine::refusal(words, refusal).into_owned();
        let tick = self.tick();
        let entry = self.log.iter().rposition(|logged| {
            !logged.waiting
                && logged.deed.tick < tick
                && logged.act().is_some_and(goes_to_controller)
        });
        let text = entry
            .and_then(|index| self.log.get(index))
            .and_then(Logged::act)
            .map_or_else(
                || words.say("told-controller-refused"),
                |act| acts::text(words, act),
            );
        if let Some(entry) = entry {
            self.refuse(entry, why.clone());
        }
        let told = words.tell(
            "told-refused",
            &[("what", text.into()), ("why", why.into())],
        );
        self.tell(NewsKind::Refused, told, 0);
        self.news_for_exercise = true;
    }

    fn look_at_alarms(&mut self, tick: u32, annunciated: u64) {
        let risen = annunciated & !self.live.annunciated;
        self.live.annunciated = annunciated;
        for (index, row) in TABLE.iter().enumerate() {
            if risen & (1 << index) != 0 {
                self.live.since[index] = tick;
                let category = self.exercise.job.machine.control.estop_category;
                if self.live.told_of == 0 && row.response(category) >= Response::Hold {
                    self.live.told_of = row.id;
                }
                self.mark(tick, SessionEvent::Row(row.id));
                self.tell(
                    NewsKind::Interlock,
                    format!(
                        "{} {}",
                        machine::row_happened(self.words(), row),
                        machine::row_cure(self.words(), row)
                    ),
                    row.id,
                );
            }
        }
        if risen != 0 {
            self.news_for_exercise = true;
        }
    }

    pub(super) fn mark(&mut self, tick: u32, mark: SessionEvent) {
        self.news_for_exercise = true;
        self.marks.push(Marked { tick, mark });
    }

    pub(super) fn tell(&mut self, kind: NewsKind, text: String, row: u16) {
        self.tell_of(kind, text, row, None);
    }

    /// Tells what an optical flat showed.
    pub(super) fn tell_seen(&mut self, text: String, seen: Seen) {
        let told = self.news.len();
        self.tell(NewsKind::Found, text, 0);
        if let Some(news) = self.news.get_mut(told) {
            news.seen = Some(Box::new(seen));
        }
    }

    fn tell_of(&mut self, kind: NewsKind, text: String, row: u16, place: Option<Place>) {
        if self.quiet || self.news.len() >= MOST_NEWS {
            return;
        }
        self.news.push(News {
            number: self.news.len() as u64 + 1,
            time_s: self.time_s(),
            kind,
            text,
            row,
            place,
            seen: None,
        });
    }

    /// Carriers were laid in or taken out since this was asked last.
    pub(super) fn loading_changed(&mut self) -> Option<bool> {
        let now = self.bench.plant().loaded();
        let changed = now != self.live.loaded;
        self.live.loaded = now;
        changed.then_some(now)
    }

    /// The newest entry of the log with this act was refused by the machine itself.
    pub(super) fn machine_refused(&mut self, act: &Act, why: String) {
        let entry = self
            .log
            .iter()
            .rposition(|logged| logged.act() == Some(act));
        if let Some(entry) = entry {
            let told = format!("{}: {why}", acts::text(self.words(), act));
            self.refuse(entry, why);
            self.tell(NewsKind::Refused, told, 0);
        }
    }
}

const fn is_command(act: &Act) -> bool {
    matches!(
        act,
        Act::Start | Act::Hold | Act::Restart | Act::Stop | Act::Abort | Act::Reset
    )
}

const fn goes_to_controller(act: &Act) -> bool {
    is_command(act)
        || matches!(
            act,
            Act::UnlockGuard
                | Act::LockGuard
                | Act::ConfirmParts { .. }
                | Act::RecallRecipe { .. }
                | Act::Raise
                | Act::Acknowledge
                | Act::SetMode { .. }
                | Act::SelectMove { .. }
        )
}
