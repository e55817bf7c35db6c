//! The reducer that picks the winning response, over all combinations.

use firmware_core::interlock::{Latch, TABLE, worst};
use firmware_core::sequence::{Phase, State};
use firmware_core::status::{ALL_RESPONSES, Response};
use twinplate_sim::compile;
use twinplate_sim::demo;

#[test]
fn worst_is_a_total_order_over_all_triples() {
    for a in ALL_RESPONSES {
        for b in ALL_RESPONSES {
            assert_eq!(worst(a, b), worst(b, a));
            assert!(worst(a, b) >= a && worst(a, b) >= b);
            assert!(worst(a, b) == a || worst(a, b) == b);
            for c in ALL_RESPONSES {
                assert_eq!(worst(worst(a, b), c), worst(a, worst(b, c)));
            }
        }
    }
}

/// Every subset of the responses that the table can ask for in one place, one row each, and every pair of rows: the winner is
/// the highest, and first-out names a row that asked for it.
#[test]
fn the_winner_is_the_highest_of_any_set_of_rows() {
    let params = compile::params_wire(&demo::machine("machine-a"));
    let (state, phase) = (State::Running, Phase::Dwell);
    let watched: Vec<usize> = (0..TABLE.len())
        .filter(|i| TABLE[*i].watch.covers(state, phase))
        .collect();
    let mut by_response: Vec<usize> = Vec::new();
    for response in ALL_RESPONSES {
        by_response.extend(
            watched
                .iter()
                .find(|i| TABLE[**i].response(params.estop_category) == response),
        );
    }
    assert!(
        by_response.len() >= 5,
        "dwell is watched for all kinds of response"
    );
    let mut sets: Vec<u64> = (0..1_u64 << by_response.len())
        .map(|pick| {
            by_response
                .iter()
                .enumerate()
                .filter(|(n, _)| pick >> n & 1 == 1)
                .fold(0, |s, (_, i)| s | 1 << i)
        })
        .collect();
    for a in &watched {
        for b in &watched {
            sets.push(1 << a | 1 << b);
        }
    }
    for set in sets {
        let mut latch = Latch::new(&params);
        let longest = watched
            .iter()
            .map(|i| TABLE[*i].debounce.ticks(&params))
            .max()
            .unwrap_or(1);
        let mut verdict = latch.follow(set, state, phase);
        for _ in 0..longest {
            verdict = latch.follow(set, state, phase);
        }
        let highest = watched
            .iter()
            .filter(|i| set >> **i & 1 == 1)
            .map(|i| TABLE[*i].response(params.estop_category))
            .max()
            .unwrap_or(Response::None);
        assert_eq!(verdict.response, highest, "set {set:#x}");
        if set != 0 {
            let leading = TABLE
                .iter()
                .find(|r| r.id == latch.leading())
                .expect("names a row");
            assert_eq!(leading.response(params.estop_category), highest);
        }
    }
}
