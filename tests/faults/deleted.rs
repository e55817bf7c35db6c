//! An interlock row that is left out of the controller turns the cells red that it had answered: each row that has cells, one by one.

use crate::pages::{check, read, table};
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

/// Numbers of the rows that the page has for a recipe: a row that answers nothing any more would not be tried, and not be missed.
fn on_page(recipe: &str) -> Vec<String> {
    let page = read(PAGE);
    let begin = format!("<!-- generated: rows {recipe} -->");
    let block = page
        .split_once(&begin)
        .and_then(|(_, rest)| rest.split_once("<!-- end -->"))
        .map(|(block, _)| block)
        .expect("the page has a block of rows for each recipe");
    block
        .lines()
        .filter_map(|line| line.strip_prefix("| ")?.split(' ').next())
        .filter(|cell| cell.parse::<u16>().is_ok())
        .map(str::to_owned)
        .collect()
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
        let ids: Vec<String> = rows.iter().map(|row| row[0].clone()).collect();
        assert_eq!(
            ids,
            on_page(recipe),
            "{recipe}: rows that answer some cell, and those on the page"
        );
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
