//! A trainee's station whose controller is on the board: the same session, the same score.

use crate::twin::image;
use std::path::PathBuf;
use std::sync::Arc;
use twinplate_board::OnBoard;
use twinplate_sim::demo;
use twinplate_train::exercise;
use twinplate_train::headless::{Script, run, run_on};

fn exercises() -> PathBuf {
    demo::folder().join("exercises")
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
        let board = OnBoard::new(&image(), exercise.job.params.clone());
        let board = board.unwrap_or_else(|error| panic!("{error}"));
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
