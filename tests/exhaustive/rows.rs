//! Every interlock row as an automaton of its own, in every state and phase.

use firmware_core::interlock::{Latch, ResetRule, TABLE};
use firmware_core::sequence::{ALL_PHASES, ALL_STATES};
use firmware_core::status::Response;
use twinplate_sim::compile;
use twinplate_sim::demo;

/// Where a row is watched, it becomes active exactly after its debounce; elsewhere never; and it is released by its own rule.
#[test]
fn each_row_alone_trips_after_its_debounce_where_watched_and_nowhere_else() {
    let params = compile::params_wire(&demo::machine("machine-a"));
    for (index, row) in TABLE.iter().enumerate() {
        let bit = 1_u64 << index;
        let debounce = row.debounce.ticks(&params);
        for state in ALL_STATES {
            for phase in ALL_PHASES {
                let mut latch = Latch::new(&params);
                let place = format!("{} in {} {}", row.name, state.name(), phase.name());
                for n in 1..debounce {
                    latch.follow(bit, state, phase);
                    assert_eq!(
                        latch.active(),
                        0,
                        "{place}: too early, at tick {n} of {debounce}"
                    );
                }
                let verdict = latch.follow(bit, state, phase);
                if !row.watch.covers(state, phase) {
                    assert_eq!(
                        latch.active() | latch.latched(),
                        0,
                        "{place}: not watched here"
                    );
                    assert_eq!(verdict.response, Response::None, "{place}");
                    continue;
                }
                assert_eq!(latch.active(), bit, "{place}: not after {debounce} ticks");
                assert_eq!(
                    verdict.response,
                    row.response(params.estop_category),
                    "{place}"
                );
                assert_eq!(verdict.risen, row.id, "{place}: first-out");

                // Reset does nothing while the condition lasts.
                latch.reset();
                assert_eq!(
                    latch.active(),
                    bit,
                    "{place}: reset against a lasting condition"
                );
                let verdict = latch.follow(0, state, phase);
                assert_eq!(latch.active(), 0, "{place}: condition gone");
                if row.latched() {
                    assert_eq!(latch.latched(), bit, "{place}: latched rows stay");
                    assert_eq!(
                        verdict.response,
                        row.response(params.estop_category),
                        "{place}: latched"
                    );
                    assert_eq!(
                        latch.reset() == 0,
                        row.reset == ResetRule::Reset,
                        "{place}: plain reset"
                    );
                } else {
                    assert_eq!(latch.latched(), 0, "{place}");
                    assert_eq!(
                        verdict.response,
                        Response::None,
                        "{place}: follows its condition"
                    );
                }
            }
        }
    }
}

/// One missing tick starts the debounce anew.
#[test]
fn a_condition_that_comes_and_goes_never_trips_a_debounced_row() {
    let params = compile::params_wire(&demo::machine("machine-a"));
    for (index, row) in TABLE.iter().enumerate() {
        let debounce = row.debounce.ticks(&params);
        if debounce < 2 {
            continue;
        }
        let places = ALL_STATES
            .iter()
            .flat_map(|s| ALL_PHASES.iter().map(move |p| (*s, *p)));
        let (state, phase) = places
            .into_iter()
            .find(|(s, p)| row.watch.covers(*s, *p))
            .expect("watched somewhere");
        let mut latch = Latch::new(&params);
        for _ in 0..3 {
            for _ in 1..debounce {
                latch.follow(1 << index, state, phase);
            }
            latch.follow(0, state, phase);
        }
        assert_eq!(latch.active() | latch.latched(), 0, "{}", row.name);
    }
}

/// Rows that want both channels cycled are released only after both were seen open.
#[test]
fn disagreeing_channels_must_both_cycle_before_reset() {
    let params = compile::params_wire(&demo::machine("machine-a"));
    for (index, row) in TABLE
        .iter()
        .enumerate()
        .filter(|(_, r)| r.reset == ResetRule::CycleBoth)
    {
        let (state, phase) = (ALL_STATES[0], ALL_PHASES[0]);
        let estop = row.name.starts_with("emergency");
        let mut latch = Latch::new(&params);
        for _ in 0..row.debounce.ticks(&params) {
            latch.follow(1 << index, state, phase);
        }
        latch.follow(0, state, phase);
        let see = |latch: &mut Latch, a: bool, b: bool| {
            let pair = [a, b];
            latch.see_channels(
                if estop { pair } else { [true; 2] },
                if estop { [true; 2] } else { pair },
            );
        };
        see(&mut latch, true, true);
        assert_ne!(latch.reset(), 0, "{}: neither cycled", row.name);
        see(&mut latch, false, true);
        assert_ne!(latch.reset(), 0, "{}: one cycled", row.name);
        see(&mut latch, true, false);
        see(&mut latch, true, true);
        assert_eq!(latch.reset(), 0, "{}: both cycled", row.name);
    }
}
