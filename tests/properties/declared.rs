//! What is declared of faults holds for random recipes too: cells of the fault matrix, spread over all faults, phases and moments.

use crate::common::{Case, cases, config};
use proptest::prelude::*;
use twinplate::report::faults::failure;
use twinplate_falsify::faults::{Bed, whole};
use twinplate_sim::model::Shown;

/// One cell in so many is tried.
const SPREAD: usize = 25;
/// A case is a whole bed of cells: one for so many cases of the other properties.
const AS_MANY: u32 = 64;
/// Steps that a failing case is made simpler in; each runs its cells again.
const SIMPLER: u32 = 8;

fn as_declared(case: &Case, first: usize) -> Result<(), TestCaseError> {
    let bed = Bed::new(&case.job(), case.seed, &whole)
        .map_err(|error| TestCaseError::fail(error.to_string()))?;
    let numbers: Vec<usize> = (first..bed.count()).step_by(SPREAD).collect();
    let cells = bed.cells(&numbers, 2, &|_| ()).expect("in process");
    let found: String = cells
        .iter()
        .filter(|cell| !cell.passes())
        .map(|cell| failure(cell, &Shown::default()))
        .collect();
    prop_assert!(found.is_empty(), "{}", found);
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: (config().cases / AS_MANY).max(1),
        max_shrink_iters: SIMPLER,
        ..config()
    })]

    #[test]
    fn what_is_declared_of_faults_holds_for_random_recipes(case in cases(3), first in 0..SPREAD) {
        as_declared(&case, first)?;
    }
}
