//! A fork that is followed only to where a later one of its fault stood gives what it gives alone.

use super::{SEED, job, numbers, threads};
use twinplate_falsify::faults::{Bed, whole};
use twinplate_sim::model::{Component as C, FaultMode as M};
use twinplate_sim::plant::fault_table::Supported;

/// Faults that show late, or never: a contact that is asked for seldom, a delay that nothing waits for, a valve that is needed again only
/// to lift, a height that is read in the air, a blade at the tank, and one that stops the cycle wherever it comes.
const SAMPLE: [(C, M); 7] = [
    (C::EstopA, M::Stuck),
    (C::GuardA, M::Delayed),
    (C::Pin, M::Stuck),
    (C::RodValve, M::Stuck),
    (C::HeightTransmitter, M::Slow),
    (C::Agitator, M::Wrong),
    (C::LoadCell, M::Garbage),
];

fn compare(recipe: &str, wanted: impl Fn(&Supported) -> bool) -> usize {
    let bed = Bed::new(&job(recipe), SEED, &whole).expect("a nominal cycle");
    let numbers = numbers(&bed, wanted);
    let together = bed.cells(&numbers, threads(), &|_| ()).expect("in process");
    assert_eq!(together.len(), numbers.len());
    for (number, cell) in numbers.iter().zip(&together) {
        let alone = bed.cells(&[*number], 1, &|_| ()).expect("in process");
        assert_eq!(cell.name(), alone[0].name());
        assert_eq!(cell.tried, alone[0].tried, "{}", cell.name());
    }
    numbers.len()
}

#[test]
fn a_fork_that_meets_a_later_one_comes_to_the_same_as_alone() {
    let compared = compare("glass-f800", |row| {
        SAMPLE.contains(&(row.component, row.mode))
    });
    assert!(compared >= SAMPLE.len() * 39, "{compared}");
}

#[test]
#[ignore = "every cell of two machines, each alone: two minutes in release"]
fn every_fork_that_meets_a_later_one_comes_to_the_same_as_alone() {
    for recipe in ["zirconia-fixed", "silicon-f1000"] {
        compare(recipe, |_| true);
    }
}
