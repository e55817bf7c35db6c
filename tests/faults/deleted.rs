//! An interlock row that is left out of the controller turns the cells red that it had answered: each row that has cells, one by one.

use crate::pages::{check, table};
use crate::{MATRICES, PAGE, SEED, all, threads};
use firmware_core::controller::Controller;
use firmware_core::interlock::{Row, TABLE};
use sim_host::bench::{InProcess, Setup};
use sim_host::study::faults::{Bed, Cell, Matrix};

/// Cells of a row that are tried, spread over all that it answered: in the normal run, and with `FAULTS=all`.
const TRIED: [usize; 2] = [3, 12];

/// Whether a row answered a cell, alone or first.
fn answered(cell: &Cell, row: &Row) -> bool {
    cell.seen()
        .and_then(|seen| seen.acted.or(seen.first))
        .is_some_and(|trip| trip.row().id == row.id)
}

/// Numbers of the cells that a row answered.
fn cells_of(matrix: &Matrix, row: &Row) -> Vec<usize> {
    (0..matrix.cells.len())
        .filter(|number| answered(&matrix.cells[*number], row))
        .collect()
}

fn spread(numbers: &[usize]) -> Vec<usize> {
    let tried = TRIED[usize::from(all())];
    if numbers.len() <= tried {
        return numbers.to_vec();
    }
    (0..tried)
        .map(|n| numbers[n * (numbers.len() - 1) / (tried - 1)])
        .collect()
}

/// What became of a row's cells without it.
#[derive(Default)]
struct Without {
    tried: usize,
    red: usize,
    /// Others answered as is declared of them too.
    others: usize,
    /// Nothing answered, and that is declared as well: the page shows it, no verdict does.
    silent: usize,
}

fn without(job: &sim_host::bench::Job, index: usize, numbers: &[usize]) -> Without {
    let crippled = |setup: &Setup<'_>| {
        let mut controller = Controller::new(setup.job.params.clone(), 1);
        controller.leave_out(1 << index);
        InProcess::with(controller)
    };
    let bed = Bed::new(job, SEED, &crippled).expect("a nominal cycle trips no row");
    let cells = bed.cells(numbers, threads(), &|_| ()).expect("in process");
    let mut found = Without {
        tried: cells.len(),
        ..Without::default()
    };
    for cell in &cells {
        let seen = cell.seen().expect("it ran with the row");
        if !cell.passes() {
            found.red += 1;
        } else if seen.first.is_some() {
            found.others += 1;
        } else {
            found.silent += 1;
        }
    }
    found
}

#[test]
fn each_row_that_is_deleted_turns_its_cells_red() {
    let mut unseen = Vec::new();
    for (recipe, job, matrix) in MATRICES.iter() {
        let mut rows = Vec::new();
        for (index, row) in TABLE.iter().enumerate() {
            let numbers = cells_of(matrix, row);
            if numbers.is_empty() {
                continue;
            }
            let found = without(job, index, &spread(&numbers));
            if found.red == 0 {
                unseen.push(format!(
                    "{recipe}: {} of {} cells, {} others, {} silent",
                    row.name, found.tried, found.others, found.silent
                ));
            }
            rows.push(vec![
                row.id.to_string(),
                row.name.to_owned(),
                numbers.len().to_string(),
                found.tried.to_string(),
                found.red.to_string(),
                found.others.to_string(),
                found.silent.to_string(),
            ]);
        }
        if all() {
            check(
                PAGE,
                &format!("rows {recipe}"),
                &table(
                    &[
                        "row",
                        "name",
                        "cells it answered",
                        "left out in",
                        "red",
                        "answered by another declared row",
                        "silent",
                    ],
                    rows,
                ),
            );
        }
    }
    assert!(
        unseen.is_empty(),
        "deleted and not missed:\n{}",
        unseen.join("\n")
    );
}
