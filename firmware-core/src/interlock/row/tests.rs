//! What the words of a row mean: places, times, responses, release.

use super::*;
use crate::interlock::{TABLE, fixed_debounce, row_of};
use crate::response::ALL_RESPONSES;
use crate::sequence::{ALL_PHASES, ALL_STATES};
use crate::units::Ticks;
use std::collections::BTreeSet;

/// These states in any phase, these phases in any state, and these two together.
struct Places(
    &'static [State],
    &'static [Phase],
    &'static [(State, Phase)],
);

const WATCHES: [Watch; 19] = [
    Watch::Always,
    Watch::UnlessStopped,
    Watch::Stopped,
    Watch::Moving,
    Watch::Waiting,
    Watch::Cycle,
    Watch::Resting,
    Watch::Stopping,
    Watch::Aborting,
    Watch::MovingOrHeld,
    Watch::FirstContact,
    Watch::Contact,
    Watch::Dwell,
    Watch::Turning,
    Watch::RunUp,
    Watch::TurningSteady,
    Watch::Parked,
    Watch::Lift,
    Watch::Idle,
];

/// Where something may move: by the state, and by what a hand moves in any other.
const BY_HAND: [Phase; 3] = [Phase::Lift, Phase::Manual, Phase::RunDown];

/// Stopped or aborted, at rest or raised from there.
const STOPPED: &[(State, Phase)] = &[
    (State::Stopped, Phase::Rest),
    (State::Stopped, Phase::Lift),
    (State::Aborted, Phase::Rest),
    (State::Aborted, Phase::Lift),
];

/// States that are neither Stopped nor Aborted.
const ELSEWHERE: &[State] = &[
    State::Idle,
    State::Running,
    State::Holding,
    State::Held,
    State::Restarting,
    State::Stopping,
    State::Aborting,
    State::Complete,
];

/// Phases that are neither rest nor lift.
const NEITHER_REST_NOR_LIFT: &[Phase] = &[
    Phase::Precheck,
    Phase::Lower,
    Phase::TouchDown,
    Phase::SlurryPrestart,
    Phase::RunUp,
    Phase::LoadRamp,
    Phase::Dwell,
    Phase::LoadRelease,
    Phase::Rinse,
    Phase::RunDown,
    Phase::SlurryStop,
    Phase::Coast,
    Phase::Manual,
];

/// Phases with the plate on the parts.
const IN_CONTACT: &[Phase] = &[
    Phase::TouchDown,
    Phase::SlurryPrestart,
    Phase::RunUp,
    Phase::LoadRamp,
    Phase::Dwell,
    Phase::LoadRelease,
    Phase::Rinse,
    Phase::RunDown,
    Phase::SlurryStop,
    Phase::Manual,
];

/// Phases in which something turns.
const TURNING: &[Phase] = &[
    Phase::RunUp,
    Phase::LoadRamp,
    Phase::Dwell,
    Phase::LoadRelease,
    Phase::Rinse,
    Phase::RunDown,
    Phase::Manual,
];

/// The words of the manual page, as lists of what they mean.
const fn places(watch: Watch) -> Places {
    use Phase as P;
    use State as S;
    const ANY: &[State] = &ALL_STATES;
    match watch {
        Watch::Always => Places(ANY, &[], &[]),
        // In every other state, and in every other phase of these two.
        Watch::UnlessStopped => Places(ELSEWHERE, NEITHER_REST_NOR_LIFT, &[]),
        Watch::Stopped => Places(&[], &[], STOPPED),
        Watch::Moving => Places(
            &[
                S::Running,
                S::Holding,
                S::Restarting,
                S::Stopping,
                S::Aborting,
            ],
            &BY_HAND,
            &[],
        ),
        Watch::Waiting => Places(&[S::Held, S::Stopped, S::Aborted], &[], &[]),
        Watch::Cycle => Places(
            &[S::Running, S::Holding, S::Held, S::Restarting, S::Stopping],
            &[],
            &[],
        ),
        Watch::Resting => Places(&[S::Idle, S::Complete, S::Stopped, S::Aborted], &[], &[]),
        // Setup moves in these three states.
        Watch::Stopping => Places(
            &[S::Stopping],
            &[],
            &[
                (S::Idle, P::RunDown),
                (S::Stopped, P::RunDown),
                (S::Aborted, P::RunDown),
            ],
        ),
        Watch::Aborting => Places(&[S::Aborting], &[], &[]),
        Watch::MovingOrHeld => Places(
            &[
                S::Running,
                S::Holding,
                S::Held,
                S::Restarting,
                S::Stopping,
                S::Aborting,
            ],
            &BY_HAND,
            &[],
        ),
        Watch::FirstContact => Places(&[], &[P::Lower, P::TouchDown, P::Manual], &[]),
        Watch::Contact => Places(&[], IN_CONTACT, &[]),
        Watch::Dwell => Places(&[], &[P::Dwell], &[]),
        Watch::Turning => Places(&[], TURNING, &[]),
        Watch::RunUp => Places(&[], &[P::RunUp], &[]),
        Watch::TurningSteady => Places(
            &[],
            &[
                P::LoadRamp,
                P::Dwell,
                P::LoadRelease,
                P::Rinse,
                P::RunDown,
                P::Manual,
            ],
            &[],
        ),
        Watch::Parked => Places(&[S::Idle, S::Complete], &[], &[]),
        Watch::Lift => Places(&[], &[P::Lift], &[]),
        Watch::Idle => Places(&[S::Idle], &[], &[]),
    }
}

#[test]
fn a_row_is_watched_where_its_words_say_and_nowhere_else() {
    for watch in WATCHES {
        let Places(states, phases, pairs) = places(watch);
        for state in ALL_STATES {
            for phase in ALL_PHASES {
                let listed = states.contains(&state)
                    || phases.contains(&phase)
                    || pairs.contains(&(state, phase));
                let place = (watch, state, phase);
                assert_eq!(watch.covers(state, phase), listed, "{place:?}");
            }
        }
    }
    let words: BTreeSet<&str> = WATCHES.iter().map(|watch| watch.text()).collect();
    assert_eq!(
        words.len(),
        WATCHES.len(),
        "each place has words of its own"
    );
}

/// No place falls between two rows: whatever the state is, a cycle is under way, or none is, or the machine is coasting.
#[test]
fn every_state_is_a_cycle_or_rest_or_aborting() {
    for state in ALL_STATES {
        for phase in ALL_PHASES {
            let kinds = [Watch::Cycle, Watch::Resting, Watch::Aborting];
            let covering = kinds.iter().filter(|watch| watch.covers(state, phase));
            assert_eq!(covering.count(), 1, "{state:?} {phase:?}");
        }
    }
}

/// A time that is the machine's is taken from the parameter of its name; a time of nothing is one tick.
#[test]
fn a_debounce_is_its_ticks_or_the_machines_time_and_never_nothing() {
    let mut params = crate::params::tests::sample();
    params.stop_time = Ticks(11);
    params.coast_time = Ticks(12);
    params.settle_limit = Ticks(13);
    params.travel_time = Ticks(14);
    for (debounce, due) in [
        (Debounce::Ticks(0), 1),
        (Debounce::Ticks(1), 1),
        (Debounce::Ticks(500), 500),
        (Debounce::StopTime, 11),
        (Debounce::CoastTime, 12),
        (Debounce::SettleLimit, 13),
    ] {
        assert_eq!(debounce.ticks(&params), due, "{debounce:?}");
    }
}

/// Of the table's rows the emergency stop alone is answered by a parameter (IEC 60204-1, from memory: category 0 or 1).
#[test]
fn only_the_emergency_stop_is_answered_by_a_parameter() {
    for row in &TABLE {
        let answers = [0, 1].map(|category| row.response(category));
        match row.respond {
            Respond::With(response) => assert_eq!(answers, [response; 2], "{}", row.name),
            Respond::EstopCategory => {
                assert_eq!(row.name, "emergency-stop");
                assert_eq!(answers.map(Response::stop_category), [Some(0), Some(1)]);
            }
        }
    }
    for response in ALL_RESPONSES {
        assert_eq!(Respond::With(response).word(), response.word());
        assert_ne!(Respond::EstopCategory.word(), response.word());
    }
}

/// What stops the machine stays until it is reset, the air supply excepted; what only tells or inhibits goes with its condition, two
/// channels that differ excepted. Of the holds, those of a plate in the air are latched.
#[test]
fn a_stop_is_latched_and_a_message_is_not() {
    for row in &TABLE {
        let due = match row.response(1) {
            Response::ControlledStop | Response::ImmediateStop => row.name != "supply-low",
            Response::Hold => row.watch == Watch::Lift,
            Response::None | Response::Alarm | Response::StartInhibit | Response::StopAtStepEnd => {
                row.reset == ResetRule::CycleBoth
            }
        };
        assert_eq!(row.latched(), due, "{}", row.name);
    }
}

#[test]
fn an_id_leads_to_its_row_and_any_other_number_to_none() {
    for row in &TABLE {
        assert_eq!(row_of(row.id).map(|found| found.name), Some(row.name));
    }
    for none in [0, u16::MAX] {
        assert!(row_of(none).is_none());
    }
}

/// A fixed time is told as it is in the table, and one of the machine's as none.
#[test]
fn a_fixed_time_is_told_without_the_machine() {
    use crate::interlock::Cond;
    for (cond, ticks) in [
        (Cond::GuardDisagree, 2_000),
        (Cond::CellLine, 300),
        (Cond::StopOverrun, 0),
        (Cond::CoastOverrun, 0),
        (Cond::AgitatorSettled, 0),
    ] {
        assert_eq!(
            fixed_debounce(core::hint::black_box(cond)),
            ticks,
            "{cond:?}"
        );
    }
}
