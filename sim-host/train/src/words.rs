//! Words for people and for the wire: phases, plates, refusals, what a phase waits for.

use firmware_core::sequence::{Mode, Phase, Plate, Refusal, State};
use firmware_core::status::LoadMode;
use twinplate_sim::files::PHASES;

/// The word for a phase.
#[must_use]
pub fn phase(phase: Phase) -> &'static str {
    PHASES
        .iter()
        .find(|(_, known)| *known == phase)
        .map_or("rest", |(word, _)| word)
}

/// The word for where the plate is.
#[must_use]
pub const fn plate(plate: Plate) -> &'static str {
    match plate {
        Plate::Parked => "parked",
        Plate::Air => "air",
        Plate::Contact => "contact",
    }
}

/// The word for a mode.
#[must_use]
pub const fn mode(mode: Mode) -> &'static str {
    match mode {
        Mode::Automatic => "automatic",
        Mode::Setup => "setup",
        Mode::PlateChange => "plate-change",
    }
}

/// The word for how the load is held.
#[must_use]
pub const fn load_mode(mode: LoadMode) -> &'static str {
    match mode {
        LoadMode::Safe => "safe",
        LoadMode::Resting => "resting",
        LoadMode::Initial => "initial",
        LoadMode::Tracking => "tracking",
    }
}

/// Why the controller refused, and what would help.
#[must_use]
pub const fn refusal(refusal: Refusal) -> (&'static str, &'static str) {
    match refusal {
        Refusal::WrongState => ("wrong-state", "this does nothing in the present state"),
        Refusal::WrongMode => ("wrong-mode", "this is not for the present mode"),
        Refusal::Inhibited => (
            "inhibited",
            "an interlock forbids it: see the list of alarms; a latched one wants a Reset when its cause is gone",
        ),
        Refusal::NotStandstill => (
            "not-standstill",
            "the drives are not yet proven at standstill",
        ),
        Refusal::NotVented => ("not-vented", "the cylinder is not yet vented"),
        Refusal::NotRaised => (
            "not-raised",
            "the plate is not raised and pinned: Raise it first",
        ),
        Refusal::RecipeInvalid => ("recipe-invalid", "the recipe was not made for this machine"),
        Refusal::NoKey => ("no-key", "turn the Setup key first"),
        Refusal::NoLocalEnable => ("no-local-enable", "remote start wants the local enable"),
        Refusal::NoRecipe => ("no-recipe", "recall a recipe first"),
        Refusal::NotReleased => ("not-released", "release it at its device first"),
    }
}

/// A refusal by its number, as events carry it.
#[must_use]
pub const fn refusal_by_number(number: i32) -> Option<Refusal> {
    Some(match number {
        1 => Refusal::WrongState,
        2 => Refusal::WrongMode,
        3 => Refusal::Inhibited,
        4 => Refusal::NotStandstill,
        5 => Refusal::NotVented,
        6 => Refusal::NotRaised,
        7 => Refusal::RecipeInvalid,
        8 => Refusal::NoKey,
        9 => Refusal::NoLocalEnable,
        10 => Refusal::NoRecipe,
        11 => Refusal::NotReleased,
        _ => return None,
    })
}

/// What the machine waits for where it is, for people.
#[must_use]
pub const fn waits(state: State, phase: Phase) -> &'static str {
    match (state, phase) {
        (State::Idle, Phase::Rest) => "Start",
        (State::Held, _) => "Restart, or Stop",
        (State::Complete, _) => "the parts to be taken out, and Reset",
        (State::Stopped | State::Aborted, Phase::Rest) => "Reset, or Raise where the plate is down",
        (State::Aborting, _) => "the drives to coast to standstill",
        (_, Phase::Rest) => "the machine to come to rest",
        (_, Phase::Precheck) => "everything that must be proven before anything moves",
        (_, Phase::Lower) => "the plate to come down to the parts",
        (_, Phase::TouchDown) => "the initial load to settle",
        (_, Phase::SlurryPrestart) => "slurry to flow and the gap to be wet",
        (_, Phase::RunUp) => "all four drives to come to speed together",
        (_, Phase::LoadRamp) => "the load to come to the step's setpoint",
        (_, Phase::Dwell) => "the step's end: its time, its stock or its size",
        (_, Phase::LoadRelease) => "the load to come down to the initial load",
        (_, Phase::Rinse) => "the rinse to end",
        (_, Phase::RunDown) => "the drives to come to standstill",
        (_, Phase::SlurryStop) => "the line to stop flowing",
        (_, Phase::Lift) => "the plate to be raised and pinned",
        (_, Phase::Coast) => "the drives to coast to standstill",
        (_, Phase::Manual) => "the hold-to-run control to be let go",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn refusals_come_back_from_their_numbers() {
        for number in 1..=11 {
            let back = refusal_by_number(number).expect("a refusal");
            assert_eq!(i32::from(back as u16), number);
            assert!(!refusal(back).1.is_empty());
        }
        assert_eq!(refusal_by_number(0), None);
        assert_eq!(refusal_by_number(12), None);
    }
}
