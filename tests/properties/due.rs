//! Every interlock row that is due asks: random recipes on random machines, with random faults and commands at random moments, so
//! also while the cycle is held, restarted or stopped, and in more than one batch.

use crate::common::{Case, cases, config};
use firmware_core::sequence::Command;
use proptest::prelude::*;
use twinplate_falsify::faults::due::Due;
use twinplate_sim::bench::{Action, Player};
use twinplate_sim::model::Fault;
use twinplate_sim::plant::fault_table::SUPPORTED;

/// Ticks of a run: longer than most of the random cycles.
const RUN: u32 = 110_000;
/// Ticks after which a fault is put right, if it is.
const REPAIR: u32 = 20_000;

/// One fault of the table: which, when, and whether it is put right again.
#[derive(Clone, Copy, Debug)]
struct Fails {
    row: usize,
    tick: u32,
    repaired: bool,
}

fn fails() -> impl Strategy<Value = Fails> {
    (0..SUPPORTED.len(), 0..RUN, any::<bool>()).prop_map(|(row, tick, repaired)| Fails {
        row,
        tick,
        repaired,
    })
}

fn commands() -> impl Strategy<Value = Vec<(u32, Command)>> {
    use Command::{Abort, Hold, Reset, Restart, Start, Stop};
    let command = prop::sample::select(vec![
        Hold, Hold, Restart, Restart, Stop, Abort, Reset, Start,
    ]);
    prop::collection::vec((0..RUN, command), 0..6)
}

fn no_row_is_silent(
    case: &Case,
    faults: &[Fails],
    commands: &[(u32, Command)],
) -> Result<(), TestCaseError> {
    let job = case.job();
    let setup = job.setup(case.deviations(), case.seed);
    let mut bench = setup.bench(setup.controller(), Due::new(&job));
    bench.play(Player::new(None, job.compiled.pieces));
    for (tick, command) in commands {
        bench.act_at(*tick, Action::Command(*command));
    }
    for fails in faults {
        let row = &SUPPORTED[fails.row];
        let fault = Fault {
            component: row.component,
            mode: row.mode,
            magnitude: None,
        };
        bench.act_at(fails.tick, Action::Fault(fault));
        if fails.repaired {
            bench.act_at(fails.tick + REPAIR, Action::Clear(row.component));
        }
    }
    for _ in 0..RUN {
        bench.step().expect("in process");
    }
    let silent = bench.recorder().silent();
    prop_assert!(silent.is_empty(), "{:?}", silent);
    Ok(())
}

proptest! {
    #![proptest_config(config())]

    #[test]
    fn every_row_that_is_due_asks(
        case in cases(3),
        faults in prop::collection::vec(fails(), 1..4),
        commands in commands(),
    ) {
        no_row_is_silent(&case, &faults, &commands)?;
    }
}
