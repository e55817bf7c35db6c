//! A trainee's station whose controller is on the board: the same session, the same score.

use crate::full_shelf::{self, OTHER, STORED};
use crate::twin::image;
use firmware_core::store::{Store, fingerprint};
use firmware_core::units::TICKS_PER_SECOND;
use std::path::PathBuf;
use std::sync::Arc;
use twinplate_board::OnBoard;
use twinplate_sim::demo;
use twinplate_sim::training::act::Act;
use twinplate_train::exercise::{self, Exercise};
use twinplate_train::headless::{Script, run, run_on};
use twinplate_train::protocol::Pace;
use twinplate_train::session::Session;

fn exercises() -> PathBuf {
    demo::folder().join("exercises")
}

/// A board with the exercise's recipes in its own store.
fn board(exercise: &Exercise) -> OnBoard {
    let board = OnBoard::holding(&image(), exercise.job.params.clone(), &exercise.flash, None);
    board.unwrap_or_else(|error| panic!("{error}"))
}

/// A good first cycle, and a day with a fault that the operator must answer.
#[test]
fn a_script_at_a_station_comes_out_the_same_on_the_board() {
    for name in ["first-cycle", "slurry-line-blocks"] {
        let path = exercises().join("scripts").join(format!("{name}.txt"));
        let text = std::fs::read_to_string(&path).unwrap_or_else(|error| panic!("{name}: {error}"));
        let script = Script::read(&text).unwrap_or_else(|error| panic!("{name}: {error:?}"));
        let file = exercises().join(format!("{}.toml", script.exercise));
        let exercise = exercise::load(&file).unwrap_or_else(|errors| panic!("{errors:?}"));
        let exercise = Arc::new(exercise);
        let board = board(&exercise);
        let here = run(&script, Arc::clone(&exercise)).expect("runs");
        let there = run_on(board, &script, exercise).expect("runs");
        assert!(there.session.failure().is_none());
        assert_eq!(
            (here.session.control_hash(), here.session.trace_hash()),
            (there.session.control_hash(), there.session.trace_hash()),
            "{name}"
        );
        assert_eq!(here.session.debrief(), there.session.debrief(), "{name}");
        println!("{name}: {:016x}", there.session.control_hash());
    }
}

/// Each of a dozen recipes is recalled by its slot, and the one for another machine is not taken. Where a recipe came from is what the
/// board notes of the cycle in its own flash: the slot, which the line to the bench does not carry beside a recipe.
#[test]
fn the_panel_recalls_by_slot_from_the_boards_own_store() {
    let exercise = full_shelf::exercise();
    let mut session = Session::on(board(&exercise), Arc::clone(&exercise), 1);
    for slot in (1..=STORED).chain([3]) {
        session.operate(&Act::RecallRecipe { slot }).expect("there");
        session.advance(TICKS_PER_SECOND);
        let loaded = (slot != OTHER).then_some(slot);
        let frame = session.frame(Pace::Real, 0.0);
        assert_eq!(frame.recipe, loaded.unwrap_or_default(), "slot {slot}");
    }
    for act in [
        Act::UnlockGuard,
        Act::OpenGuard,
        Act::LoadCarriers,
        Act::CloseGuard,
        Act::LockGuard,
        Act::ConfirmParts { pieces: 15 },
        Act::Start,
    ] {
        session
            .operate(&act)
            .unwrap_or_else(|why| panic!("{act:?}: {why:?}"));
        session.advance(TICKS_PER_SECOND);
    }
    let flash = session.port().stored().expect("read").expect("a flash");
    let progress = Store::open(flash).expect("a store").progress();
    let progress = progress.expect("a cycle was begun");
    assert!(progress.in_cycle(), "{progress:?}");
    assert_eq!(
        (progress.slot, Some(progress.recipe)),
        (Some(3), fingerprint(&exercise.stored[2].compiled))
    );
}
