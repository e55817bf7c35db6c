//! The hold-to-run control: why nothing moves though it is held, and how long a movement takes. A control that is held in vain says so.

use super::log::Logged;
use super::machine_words::row_name;
use super::protocol::NewsKind;
use super::session::Session;
use firmware_core::interlock::row_of;
use firmware_core::sequence::{Mode, Phase, Plate, SetupMove};
use firmware_core::status::Response;
use twinplate_sim::bench::ControllerPort;
use twinplate_sim::training::act::Act;

/// A lowering that takes longer than this is announced, s.
const LONG: f64 = 10.0;

impl<C: ControllerPort> Session<C> {
    /// The control is gripped now: says why nothing will move, or how long it takes.
    pub(super) fn tell_of_grip(&mut self) {
        let words = self.words();
        if let Some(why) = self.held_in_vain() {
            self.tell(
                NewsKind::Refused,
                words.tell("grip-in-vain", &[("why", why.into())]),
                0,
            );
        } else if self.chosen_move() == Some(SetupMove::Lower) {
            let way = f64::from(self.bench.plant().inputs().plate_height) * 1e-6;
            let time = way / self.exercise.job.machine.actuator.speed_creep;
            if time > LONG {
                self.tell(
                    NewsKind::Seen,
                    words.tell("grip-lowers", &[("time", minutes(time).into())]),
                    0,
                );
            }
        }
    }

    /// Why nothing moves; none where something does.
    fn held_in_vain(&self) -> Option<String> {
        let words = self.words();
        let status = self.status();
        let inputs = self.bench.plant().inputs();
        if status.mode != Mode::Setup {
            return Some(words.say("grip-not-setup"));
        }
        let Some(chosen) = self.chosen_move() else {
            return Some(words.say("grip-no-movement"));
        };
        if !inputs.setup_key {
            return Some(words.say("grip-key-off"));
        }
        if !inputs.guard_a || !inputs.guard_b || !inputs.guard_locked {
            return Some(words.say("grip-guard"));
        }
        if status.response >= Response::Hold {
            let row = row_of(status.cause);
            return Some(row.map_or_else(
                || words.say("grip-not-reset"),
                |row| {
                    let name = row_name(words, row).into_owned();
                    words.tell(
                        "grip-row-not-reset",
                        &[("row", row.id.into()), ("name", name.into())],
                    )
                },
            ));
        }
        if !status.standstill || status.phase != Phase::Rest {
            return Some(words.say("grip-not-at-rest"));
        }
        let contact = status.plate == Plate::Contact;
        let wrong = match chosen {
            SetupMove::Raise if status.plate == Plate::Parked => "grip-plate-up",
            SetupMove::Lower if contact => "grip-plate-down",
            SetupMove::Jog if contact => "grip-jog-dry",
            SetupMove::Condition if !contact => "grip-not-on-rings",
            SetupMove::Condition if self.live.recipe == 0 => "grip-no-recipe",
            _ => return None,
        };
        Some(words.say(wrong))
    }

    /// The movement that was chosen since the mode was.
    fn chosen_move(&self) -> Option<SetupMove> {
        let taken = |logged: &&Logged| logged.refused.is_none();
        let chosen = self
            .log
            .iter()
            .rev()
            .filter(taken)
            .find_map(|logged| match logged.act()? {
                Act::SelectMove { movement } => Some(SetupMove::named(movement)),
                Act::SetMode { .. } => Some(None),
                _ => None,
            });
        chosen.flatten()
    }
}

fn minutes(seconds: f64) -> String {
    if seconds < 90.0 {
        format!("{seconds:.0} s")
    } else {
        format!("{:.0} min", seconds / 60.0)
    }
}
