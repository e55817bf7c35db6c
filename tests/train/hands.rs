//! Hands that do anything: no session fails, everything replays, and who goes back in time and does the same comes to the same.

use crate::{exercise, work};
use firmware_core::sequence::{ALL_MODES, ALL_SETUP_MOVES, Mode, SetupMove};
use proptest::collection::vec;
use proptest::prelude::*;
use twinplate_sim::fault_words::{COMPONENTS, FAULT_MODES};
use twinplate_sim::model::Measured;
use twinplate_sim::training::act::{Act, VERDICTS};
use twinplate_train::attempt::replay;
use twinplate_train::protocol::{Frame, Pace};
use twinplate_train::session::Session;

/// Something that can be asked of a session, and for how many ticks time goes on after it.
#[derive(Clone, Debug)]
enum Ask {
    Operate(Act),
    Inject(usize, usize, Option<f64>),
    Repair(usize),
}

fn act() -> impl Strategy<Value = Act> {
    let words = |words: Vec<&'static str>| {
        prop_oneof![
            9 => proptest::sample::select(words).prop_map(str::to_owned),
            1 => ".{0,8}",
        ]
    };
    let component = COMPONENTS.map(|(word, _)| word);
    prop_oneof![
        Just(Act::Start),
        Just(Act::Hold),
        Just(Act::Restart),
        Just(Act::Stop),
        Just(Act::Abort),
        Just(Act::Reset),
        Just(Act::PressEmergencyStop),
        Just(Act::ReleaseEmergencyStop),
        Just(Act::UnlockGuard),
        Just(Act::LockGuard),
        Just(Act::OpenGuard),
        Just(Act::CloseGuard),
        Just(Act::LoadCarriers),
        Just(Act::UnloadCarriers),
        Just(Act::CountParts),
        Just(Act::CheckSlurry),
        prop_oneof![3 => Just(3_u16), 1 => any::<u16>()]
            .prop_map(|parts| Act::MeasureParts { parts }),
        Just(Act::LayFlat),
        words(VERDICTS.map(|(word, _)| word).to_vec())
            .prop_map(|verdict| Act::JudgeParts { verdict }),
        Just(Act::Raise),
        Just(Act::Acknowledge),
        Just(Act::Understood),
        prop_oneof![3 => Just(15_u16), 1 => any::<u16>()]
            .prop_map(|pieces| Act::ConfirmParts { pieces }),
        prop_oneof![3 => Just(1_u8), 1 => any::<u8>()].prop_map(|slot| Act::RecallRecipe { slot }),
        words(ALL_MODES.map(Mode::name).to_vec()).prop_map(|mode| Act::SetMode { mode }),
        words(ALL_SETUP_MOVES.map(SetupMove::name).to_vec())
            .prop_map(|movement| Act::SelectMove { movement }),
        any::<bool>().prop_map(|on| Act::SetupKey { on }),
        any::<bool>().prop_map(|on| Act::HoldToRun { on }),
        proptest::sample::select(component.to_vec()).prop_map(|component| Act::Remedy {
            component: component.to_owned()
        }),
        words(component.to_vec()).prop_map(|component| Act::Diagnose { component }),
        (
            words(Measured::NAMES.map(|(word, _)| word).to_vec()),
            -1e9..1e9,
            -5.0..5.0,
        )
            .prop_map(|(by, lower, upper)| Act::ReportForm { by, lower, upper }),
    ]
}

fn ask() -> impl Strategy<Value = Ask> {
    let magnitude = prop_oneof![
        4 => Just(None),
        1 => any::<f64>().prop_map(Some),
        1 => (0.0..3.0).prop_map(Some),
    ];
    prop_oneof![
        8 => act().prop_map(Ask::Operate),
        1 => (0..COMPONENTS.len(), 0..FAULT_MODES.len(), magnitude)
            .prop_map(|(component, mode, size)| Ask::Inject(component, mode, size)),
        1 => (0..COMPONENTS.len()).prop_map(Ask::Repair),
    ]
}

fn plan(longest: u32) -> impl Strategy<Value = Vec<(Ask, u32)>> {
    vec(
        (ask(), prop_oneof![1 => Just(0_u32), 3 => 0..longest]),
        1..40,
    )
}

fn put(session: &mut Session, ask: &Ask) {
    // A refusal is an answer, too.
    let _ = match ask {
        Ask::Operate(act) => session.operate(act),
        Ask::Inject(component, mode, size) => {
            session.inject(COMPONENTS[*component].0, FAULT_MODES[*mode].0, *size)
        }
        Ask::Repair(component) => session.repair(COMPONENTS[*component].0),
    };
}

/// A cycle that is under way, so that hands meet more than an empty machine.
fn running(seed: u64) -> Session {
    let mut session = Session::new(exercise("first-cycle"), seed);
    let acts = [
        Act::Reset,
        Act::UnlockGuard,
        Act::OpenGuard,
        Act::LoadCarriers,
        Act::CloseGuard,
        Act::LockGuard,
        Act::RecallRecipe { slot: 1 },
        Act::ConfirmParts { pieces: 15 },
        Act::Start,
    ];
    work(&mut session, &acts, 700);
    session
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    #[test]
    fn any_hands_leave_a_session_that_replays(
        seed in 0_u64..5,
        under_way in any::<bool>(),
        plan in plan(8_000),
    ) {
        let mut session = if under_way {
            running(seed)
        } else {
            Session::new(exercise("first-cycle"), seed)
        };
        for (ask, ticks) in &plan {
            put(&mut session, ask);
            session.advance(*ticks);
            let frame = session.frame(Pace::Fastest, 1.0);
            // What goes to a page is JSON, which has no word for what is no number: it would not come back.
            let text = serde_json::to_string(&frame).expect("JSON");
            let back: Result<Frame, _> = serde_json::from_str(&text);
            prop_assert!(back.is_ok(), "{text}");
        }
        session.finish();
        let attempt = session.attempt();
        let again = replay(exercise("first-cycle"), &attempt);
        let again = again.map_err(|error| TestCaseError::fail(error.to_string()))?;
        prop_assert_eq!(again.debrief(), session.debrief());
        let debrief = serde_json::to_string(&session.debrief()).expect("JSON");
        prop_assert!(debrief.len() < 4 << 20);
    }

    #[test]
    fn going_back_and_doing_the_same_is_as_never_having_gone(
        seed in 0_u64..5,
        before in plan(4_000),
        astray in plan(4_000),
        after in plan(4_000),
    ) {
        let mut session = running(seed);
        for (ask, ticks) in &before {
            put(&mut session, ask);
            session.advance(*ticks);
        }
        // The straight way knows nothing of the other.
        let at = session.tick();
        let mut straight = session.clone();
        for (ask, ticks) in &after {
            put(&mut straight, ask);
            straight.advance(*ticks);
        }
        // Astray and back to a snapshot, then forward by what was done since: as recorded.
        let deeds = session.attempt().deeds;
        for (ask, ticks) in &astray {
            put(&mut session, ask);
            session.advance(*ticks);
        }
        let back = session.go_back(at).expect("back");
        prop_assert!(back <= at);
        let kept = session.attempt().deeds.len();
        for deed in &deeds[kept..] {
            session.advance(deed.tick - session.tick());
            use twinplate_train::log::Done;
            let _ = match &deed.done {
                Done::Operate(act) => session.operate(act),
                Done::Inject { component, mode, magnitude } => {
                    session.inject(component, mode, *magnitude)
                }
                Done::Repair { component } => session.repair(component),
            };
        }
        session.advance(at - session.tick());
        for (ask, ticks) in &after {
            put(&mut session, ask);
            session.advance(*ticks);
        }
        prop_assert_eq!(session.attempt(), straight.attempt());
        prop_assert_eq!(session.debrief(), straight.debrief());
    }
}
