//! Plays a scenario: faults and operator actions on time or on phase, and the operator who does it by the book.

use super::journal::Action;
use crate::model::{Scenario, What, When};
use firmware_core::sequence::{Command, Phase, Request};
use firmware_core::status::Status;

/// Tick at which the operator by the book resets the controller, which powers up stopped: by then every slow input has come in.
pub const RESET_TICK: u32 = 150;
/// Tick at which the operator by the book has counted and confirmed the parts.
pub const CONFIRM_TICK: u32 = 200;
/// Tick at which the operator by the book presses Start: reset and confirmation have been seen to be taken.
pub const START_TICK: u32 = 300;

/// Where a scenario event stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Due {
    /// Waits for its phase.
    Waiting,
    /// Due at a tick.
    At(u32),
    /// Has been given out.
    Done,
}

/// A scenario being played. Events due at the same tick come out in file order, the operator's own before them.
#[derive(Clone, Debug)]
pub struct Player {
    events: Vec<(When, Action, Due)>,
    /// How many of them the file scripts; they stand behind the operator's own.
    scripted: usize,
    /// Whether there is a file at all; it may script nothing.
    scenario: bool,
    /// See [`Player::next`].
    next: u32,
    place: Option<(Phase, u8)>,
}

impl Player {
    /// The player of a scenario, or of a cycle by the book when there is none. `pieces` is what the operator counts.
    #[must_use]
    pub fn new(scenario: Option<&Scenario>, pieces: u16) -> Self {
        let by_the_book = scenario.is_none_or(|scenario| scenario.operator);
        let scripted = scenario.map_or(&[][..], |scenario| &scenario.events);
        let mut events = Vec::with_capacity(scripted.len() + 3);
        if by_the_book {
            let confirm = Request::ConfirmParts { pieces };
            events.push((RESET_TICK, Action::Command(Command::Reset)));
            events.push((CONFIRM_TICK, Action::Request(Box::new(confirm))));
            events.push((START_TICK, Action::Command(Command::Start)));
        }
        let mut events: Vec<_> = events
            .into_iter()
            .map(|(tick, action)| (When::At(0.0), action, Due::At(tick)))
            .collect();
        for event in scripted {
            let due = match event.when {
                When::At(seconds) => Due::At(ticks(seconds)),
                When::After { .. } => Due::Waiting,
            };
            events.push((event.when, action(&event.what), due));
        }
        let mut player = Self {
            events,
            scripted: scripted.len(),
            scenario: scenario.is_some(),
            next: u32::MAX,
            place: None,
        };
        player.find_next();
        player
    }

    /// Looks at the controller's status after tick `tick`: events that wait for a phase become due. Answers whether another phase or step
    /// began.
    #[inline(always)]
    pub fn watch(&mut self, tick: u32, status: &Status) -> bool {
        let place = (status.phase, status.step);
        let entered = self.place != Some(place);
        if entered {
            self.place = Some(place);
            self.entered(tick, place);
        }
        entered
    }

    /// Earliest tick at which something is due: `u32::MAX` for never.
    pub(super) const fn next(&self) -> u32 {
        self.next
    }

    #[cold]
    fn entered(&mut self, tick: u32, (now, step_now): (Phase, u8)) {
        for (when, _, due) in &mut self.events {
            if let (Due::Waiting, When::After { phase, step, delay }) = (*due, *when)
                && phase == now
                && step.is_none_or(|step| step == step_now)
            {
                // The phase is seen after its first tick, so a delay of nothing means the next tick.
                *due = Due::At(tick.saturating_add(1).saturating_add(ticks(delay)));
            }
        }
        self.find_next();
    }

    /// Gives out what is due at `tick`, in order.
    #[inline(always)]
    pub fn due(&mut self, tick: u32, give: impl FnMut(Action)) {
        if tick >= self.next {
            self.give_out(tick, give);
        }
    }

    #[cold]
    fn give_out(&mut self, tick: u32, mut give: impl FnMut(Action)) {
        for (_, action, due) in &mut self.events {
            if let Due::At(at) = *due
                && at <= tick
            {
                *due = Due::Done;
                give(action.clone());
            }
        }
        self.find_next();
    }

    /// Whether a scenario is played, and not only a cycle by the book.
    #[must_use]
    pub const fn scripted(&self) -> bool {
        self.scenario
    }

    /// True while something dated is still to come. Events whose phase was never entered do not count.
    #[must_use]
    pub const fn pending(&self) -> bool {
        self.next != u32::MAX
    }

    /// Scripted events, by their number in the file from 0, that have not been given out: their phase was never entered, or their time
    /// has not come.
    #[must_use]
    pub fn waiting(&self) -> Vec<usize> {
        let scripted = self.events.len().saturating_sub(self.scripted);
        self.events
            .iter()
            .skip(scripted)
            .enumerate()
            .filter(|(_, (_, _, due))| *due != Due::Done)
            .map(|(index, _)| index)
            .collect()
    }

    fn find_next(&mut self) {
        self.next = self
            .events
            .iter()
            .filter_map(|(_, _, due)| match due {
                Due::At(tick) => Some(*tick),
                Due::Waiting | Due::Done => None,
            })
            .min()
            .unwrap_or(u32::MAX);
    }
}

/// Seconds to the nearest tick; what is negative or not a number is at once, what is beyond the counter never comes.
fn ticks(seconds: f64) -> u32 {
    crate::compile::ticks(seconds).0
}

/// What a scenario's word means to the bench.
fn action(what: &What) -> Action {
    match *what {
        What::Command(command) => Action::Command(command),
        What::ConfirmParts(pieces) => Action::Request(Box::new(Request::ConfirmParts { pieces })),
        What::Raise => Action::Request(Box::new(Request::Raise)),
        What::Acknowledge => Action::Request(Box::new(Request::Acknowledge)),
        What::ReportForm(form) => {
            let [lower, upper] = form.map(crate::convert::um);
            Action::Request(Box::new(Request::ReportForm { lower, upper }))
        }
        What::Station(act) => Action::Station(act),
        What::Fault(fault) => Action::Fault(fault),
        What::Clear(component) => Action::Clear(component),
        What::PowerReturns => Action::PowerReturns,
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::status;
    use super::*;
    use crate::model::{ScenarioEvent, StationAct};

    fn scenario(operator: bool, events: Vec<ScenarioEvent>) -> Scenario {
        Scenario {
            id: "test".into(),
            title: "invented for a test".into(),
            operator,
            longest: 100.0,
            events,
            training: None,
            assessment: None,
        }
    }

    fn event(when: When, what: What) -> ScenarioEvent {
        ScenarioEvent { when, what }
    }

    /// Plays `ticks` ticks; `phase_at` says where the controller is after a tick.
    fn play(
        player: &mut Player,
        ticks: u32,
        phase_at: impl Fn(u32) -> (Phase, u8),
    ) -> Vec<(u32, Action)> {
        let mut given = Vec::new();
        for tick in 0..ticks {
            player.due(tick, |action| given.push((tick, action)));
            let mut status = status();
            (status.phase, status.step) = phase_at(tick);
            player.watch(tick, &status);
        }
        given
    }

    #[test]
    fn without_a_scenario_the_operator_resets_confirms_and_starts() {
        let mut player = Player::new(None, 15);
        let given = play(&mut player, 1000, |_| (Phase::Rest, 0));
        let confirm = Request::ConfirmParts { pieces: 15 };
        assert_eq!(
            given,
            [
                (RESET_TICK, Action::Command(Command::Reset)),
                (CONFIRM_TICK, Action::Request(Box::new(confirm))),
                (START_TICK, Action::Command(Command::Start)),
            ]
        );
        assert!(!player.pending());
    }

    #[test]
    fn times_are_rounded_to_ticks_and_ties_come_in_file_order() {
        let press = What::Station(StationAct::PressEstop);
        let mut player = Player::new(
            Some(&scenario(
                false,
                vec![
                    event(When::At(0.5006), What::Acknowledge),
                    event(When::At(0.3), press.clone()),
                    event(When::At(0.5009), What::Raise),
                    event(When::At(-1.0), What::Command(Command::Hold)),
                ],
            )),
            1,
        );
        let given = play(&mut player, 600, |_| (Phase::Rest, 0));
        let expected = [
            (0, action(&What::Command(Command::Hold))),
            (300, action(&press)),
            (501, action(&What::Acknowledge)),
            (501, action(&What::Raise)),
        ];
        assert_eq!(given, expected);
    }

    #[test]
    fn a_phase_sets_off_its_event_once_in_the_step_asked_for() {
        let after = |step, delay| When::After {
            phase: Phase::Dwell,
            step,
            delay,
        };
        let mut player = Player::new(
            Some(&scenario(
                false,
                vec![
                    event(after(Some(1), 0.010), What::Raise),
                    event(after(None, 0.0), What::Acknowledge),
                    event(after(Some(7), 0.0), What::Command(Command::Stop)),
                ],
            )),
            1,
        );
        // Dwell of step 0 from tick 100, of step 1 from tick 300, and once more of step 1 from 500.
        let given = play(&mut player, 800, |tick| match tick {
            100..200 => (Phase::Dwell, 0),
            300..400 | 500..600 => (Phase::Dwell, 1),
            _ => (Phase::LoadRamp, 0),
        });
        let expected = [
            (101, action(&What::Acknowledge)),
            (311, action(&What::Raise)),
        ];
        assert_eq!(given, expected);
        assert!(!player.pending());
    }

    #[test]
    fn a_date_beyond_the_counter_never_comes() {
        let player = Player::new(
            Some(&scenario(
                false,
                vec![event(When::At(1e12), What::Acknowledge)],
            )),
            1,
        );
        assert!(!player.pending());
    }
}
