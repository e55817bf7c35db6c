//! An interlock row that is left out of the controller turns the cells red in which it had asked: each row that has cells, one by one.

use crate::pages::{check_file, csv, read};
use crate::{MATRICES, SEED, all, file, threads};
use firmware_core::controller::Controller;
use firmware_core::interlock::TABLE;
use twinplate_falsify::faults::{Bed, Cell, Matrix};
use twinplate_sim::bench::{InProcess, Setup};

/// Cells of a row that are tried in the normal run, spread over all in which it asked; `FAULTS=all` tries every one.
const TRIED: usize = 4;

/// Whether a row asked in a cell, first or later.
fn asked(cell: &Cell, index: usize) -> bool {
    cell.seen().is_some_and(|seen| seen.rows >> index & 1 == 1)
}

/// Whether it answered the cell: asked first, or first for more than an alarm.
fn answered(cell: &Cell, index: usize) -> bool {
    cell.seen()
        .and_then(|seen| seen.acted.or(seen.first))
        .is_some_and(|trip| trip.index == index)
}

/// Numbers of the cells of which something holds.
fn cells_of(matrix: &Matrix, holds: impl Fn(&Cell) -> bool) -> Vec<usize> {
    (0..matrix.cells.len())
        .filter(|number| holds(&matrix.cells[*number]))
        .collect()
}

fn spread(numbers: &[usize]) -> Vec<usize> {
    if all() || numbers.len() <= TRIED {
        return numbers.to_vec();
    }
    (0..TRIED)
        .map(|n| numbers[n * (numbers.len() - 1) / (TRIED - 1)])
        .collect()
}

/// The cells with these numbers, without a row.
fn without(job: &twinplate_sim::bench::Job, index: usize, numbers: &[usize]) -> Vec<Cell> {
    let crippled = |setup: &Setup<'_>| {
        let mut controller = Controller::new(setup.job.params.clone(), 1);
        controller.leave_out(1 << index);
        InProcess::with(controller)
    };
    let bed = Bed::new(job, SEED, &crippled).expect("a nominal cycle trips no row");
    bed.cells(numbers, threads(), &|_| ()).expect("in process")
}

/// Numbers of the rows that the table has for a recipe: a row that asks nowhere any more would not be tried, and not be missed.
fn listed(recipe: &str) -> Vec<String> {
    read(&file(recipe, "rows"))
        .lines()
        .skip(1)
        .filter_map(|line| line.split(',').next())
        .map(str::to_owned)
        .collect()
}

#[test]
fn each_row_that_is_deleted_turns_its_cells_red() {
    let mut unseen = Vec::new();
    for (recipe, job, matrix) in MATRICES.iter() {
        let mut rows = Vec::new();
        for (index, row) in TABLE.iter().enumerate() {
            let numbers = cells_of(matrix, |cell| asked(cell, index));
            if numbers.is_empty() {
                continue;
            }
            let cells = without(job, index, &spread(&numbers));
            let green: Vec<String> = cells
                .iter()
                .filter(|cell| cell.passes())
                .map(Cell::name)
                .collect();
            rows.push(vec![
                row.id.to_string(),
                row.name.to_owned(),
                numbers.len().to_string(),
                cells_of(matrix, |cell| answered(cell, index))
                    .len()
                    .to_string(),
                cells.len().to_string(),
                (cells.len() - green.len()).to_string(),
            ]);
            if !green.is_empty() {
                unseen.push(format!("{recipe} without {}: {green:?}", row.name));
            }
        }
        let ids: Vec<String> = rows.iter().map(|row| row[0].clone()).collect();
        if all() {
            check_file(
                &file(recipe, "rows"),
                &csv(
                    &[
                        "row",
                        "name",
                        "cells it asked in",
                        "it answered",
                        "left out in",
                        "red without it",
                    ],
                    rows,
                ),
            );
        }
        assert_eq!(
            ids,
            listed(recipe),
            "{recipe}: rows that ask in some cell, and those of its table"
        );
    }
    assert!(
        unseen.is_empty(),
        "deleted and not missed:\n{}",
        unseen.join("\n")
    );
}
