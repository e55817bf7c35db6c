//! What the board does when it cannot go on: in the middle of a step, with everything in motion, it hangs, faults, or its power fails.

use crate::twin::image;
use crate::{SEED, short};
use firmware_core::process_image::Outputs;
use firmware_core::sequence::{Phase, State};
use firmware_core::status::Status;
use tempfile::TempDir;
use twinplate_board::{Fittings, Harm, OnBoard, Why, make_flash};
use twinplate_sim::bench::{Bench, ControllerPort, NoRecorder, Player};
use twinplate_sim::flash::Flash;

/// A machine in the middle of its step, its flash in this folder.
fn in_step() -> (Bench<OnBoard, NoRecorder>, TempDir) {
    let job = short("steel-f400");
    let folder = tempfile::tempdir().expect("a folder");
    let flash = folder.path().join("flash");
    make_flash(&flash, Flash::erased().bytes()).expect("a file");
    let fittings = Fittings {
        flash: Some(flash),
        ..Fittings::default()
    };
    let setup = job.nominal(SEED);
    let board = OnBoard::fitted(&image(), job.params.clone(), fittings).expect("a board");
    let mut bench = setup.bench(board, NoRecorder);
    bench.play(Player::new(None, job.compiled.pieces));
    let longest = setup.longest(None);
    while status(&bench).is_none_or(|status| status.step_time.0 < 2_000) {
        assert!(bench.tick() < longest, "{:?}", status(&bench));
        bench.step().unwrap_or_else(|error| panic!("{error}"));
    }
    let status = status(&bench).expect("ticks");
    assert_eq!((status.state, status.phase), (State::Running, Phase::Dwell));
    (bench, folder)
}

fn status(bench: &Bench<OnBoard, NoRecorder>) -> Option<&Status> {
    bench.status()
}

/// Every output is de-energised before the watchdog resets the board; then it runs again, at rest, one boot later.
#[test]
fn a_board_that_cannot_go_on_leaves_safe_outputs_and_starts_again_at_rest() {
    for (harm, why) in [
        (Harm::Hang, Why::Hung),
        (Harm::Fault, Why::Fault),
        (Harm::PowerFails, Why::PowerFails),
    ] {
        let (mut bench, folder) = in_step();
        let moving = bench.port().answer().expect("ticks");
        assert_ne!(*moving.outputs, Outputs::default());
        let before = *moving.status;
        let left = bench.port_mut().suffer(harm);
        let left = left.unwrap_or_else(|error| panic!("{harm:?}: {error}"));
        assert_eq!(left, (Outputs::default(), why), "{harm:?}");
        bench.port_mut().power_returns().expect("it starts again");
        bench.step().expect("a tick");
        let after = *status(&bench).expect("ticks");
        assert_eq!(
            (after.state, after.boots),
            (State::Stopped, before.boots + 1),
            "{harm:?}"
        );
        drop(bench);
        let noted = crate::line::progress(&folder.path().join("flash"));
        // Where the power failed it is known to the millisecond how far the step was; otherwise from when it began.
        let told = harm == Harm::PowerFails;
        assert_eq!(noted.step_time == before.step_time, told, "{noted:?}");
        assert!(noted.in_cycle() && noted.boots == before.boots);
    }
}
