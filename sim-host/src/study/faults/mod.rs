//! The fault matrix: every component × every mode it can fail in × every phase of the ladder × three moments, through the whole
//! bench, by forking snapshots of one nominal cycle.
//!
//! Each cell is judged by the plant's harm monitors against severities and thresholds stated beforehand ([`harms`]), by the
//! interlock row that may answer it ([`answers`]) and by the times in which a stop must be carried out ([`judge`]). A cell does no
//! harm, or *declared* harm with its physical reason; anything else is a defect. What no interlock notices is listed with what
//! would and what it costs ([`unnoticed`]).
//!
//! The cycle is a shortened one ([`short`]). The result does not depend on the number of threads.

pub mod answers;
pub mod fork;
pub mod harms;
pub mod judge;
pub mod moments;
pub mod short;
pub mod unnoticed;

use crate::bench::{Drawn, End, Job, Journal, PortError, ensemble};
use crate::compile::CompileError;
use crate::model::Fault;
use crate::plant::fault_table::{SUPPORTED, Supported, mode_name, name};
use crate::study::prove::setup;
use fork::{Seen, Tried, ended, follow};
use judge::{Difference, Done, Place};
use moments::{Column, Moment, Nominal};

/// Journals that are kept of cells that fail.
pub const JOURNALS: usize = 24;

/// How the matrix is run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Options {
    /// Threads, 1 or more; change nothing but the time.
    pub threads: usize,
    /// Seed of all noise.
    pub seed: u64,
}

/// Why there is no matrix.
#[derive(Clone, Debug, PartialEq)]
pub enum MatrixError {
    /// The controller refuses the machine or the recipe.
    Compile(CompileError),
    /// The nominal cycle does not complete, or does harm by itself: `check` says why.
    Nominal,
    /// The controller could not be reached.
    Port(PortError),
}

impl std::fmt::Display for MatrixError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Compile(error) => write!(f, "{error}"),
            Self::Nominal => f.write_str(
                "the cycle without a fault does not complete, or does harm by itself; `check` the recipe without --faults first",
            ),
            Self::Port(error) => write!(f, "{error}"),
        }
    }
}

impl std::error::Error for MatrixError {}

/// One cell at one moment.
#[derive(Clone, Debug)]
pub struct Cell {
    /// Row of the fault table.
    pub fault: &'static Supported,
    /// Column.
    pub column: Column,
    /// Moment.
    pub moment: Moment,
    /// What was seen, or why it could not be tried.
    pub tried: Tried,
    /// What differs from what is declared.
    pub differences: Vec<Difference>,
    /// Harm.
    pub harms: Vec<Done>,
    /// The journal of a cell that fails, the first [`JOURNALS`] of them.
    pub journal: Option<Journal>,
}

impl Cell {
    /// Nothing differs and no harm is undeclared.
    #[must_use]
    pub fn passes(&self) -> bool {
        self.differences.is_empty() && self.harms.iter().all(|harm| harm.reason.is_some())
    }

    /// Whether it is a cell of this fault. By value: the fault table is a constant, which has no one address.
    #[must_use]
    pub fn is_of(&self, fault: &Supported) -> bool {
        (self.fault.component, self.fault.mode) == (fault.component, fault.mode)
    }

    /// Its name: component, mode, phase, moment, joined so that it can be a file's name.
    #[must_use]
    pub fn name(&self) -> String {
        format!(
            "{}-{}-{}-{}",
            name(self.fault.component),
            mode_name(self.fault.mode),
            self.column.name().replace(' ', "-"),
            self.moment.name()
        )
    }

    /// What was seen, if it ran.
    #[must_use]
    pub fn seen(&self) -> Option<&Seen> {
        match &self.tried {
            Tried::Ran(seen) => Some(seen),
            Tried::Refused(_) => None,
        }
    }
}

/// The whole matrix of one recipe.
#[derive(Clone, Debug)]
pub struct Matrix {
    /// Identifier of the recipe.
    pub recipe: String,
    /// Identifier of the machine.
    pub machine: String,
    /// Simulated time of the shortened nominal cycle, s.
    pub cycle: f64,
    /// Columns that the recipe has.
    pub columns: Vec<Column>,
    /// Cells: by row of the fault table, column, moment.
    pub cells: Vec<Cell>,
}

impl Matrix {
    /// Cells that fail.
    pub fn failing(&self) -> impl Iterator<Item = &Cell> {
        self.cells.iter().filter(|cell| !cell.passes())
    }

    /// Pairs that no row noticed in any cell, in table order.
    #[must_use]
    pub fn unnoticed(&self) -> Vec<&'static Supported> {
        let noticed = |fault: &Supported| {
            self.cells
                .iter()
                .filter(|cell| cell.is_of(fault))
                .filter_map(Cell::seen)
                .any(|seen| seen.first.is_some())
        };
        SUPPORTED.iter().filter(|fault| !noticed(fault)).collect()
    }

    /// Unnoticed pairs that are not listed: there must be none.
    #[must_use]
    pub fn unlisted(&self) -> Vec<&'static Supported> {
        self.unnoticed()
            .into_iter()
            .filter(|fault| unnoticed::unnoticed(fault.component, fault.mode).is_none())
            .collect()
    }

    /// Everything is as declared.
    #[must_use]
    pub fn passes(&self) -> bool {
        self.failing().next().is_none() && self.unlisted().is_empty()
    }
}

/// Number of cells of a matrix with this many snapshots.
#[must_use]
pub const fn cells(snapshots: usize) -> usize {
    SUPPORTED.len() * snapshots
}

/// Runs the matrix. `progress` hears how many cells are done and how many there are, from any thread.
///
/// # Errors
/// [`MatrixError`].
pub fn matrix(
    job: &Job,
    options: Options,
    progress: &(dyn Fn(usize, usize) + Sync),
) -> Result<Matrix, MatrixError> {
    let short = short::shortened(job).map_err(MatrixError::Compile)?;
    let setup = setup(&short, options.seed, 0);
    let nominal = moments::nominal(&setup)
        .map_err(MatrixError::Port)?
        .filter(|nominal| !nominal.harm.any())
        .ok_or(MatrixError::Nominal)?;
    let snapshots = nominal.snapshots.len();
    let count = cells(snapshots);
    let results = ensemble(
        count,
        options.threads.max(1),
        &|done| progress(done, count),
        |index| cell(&short, &nominal, options.seed, index),
    );
    let mut found = Vec::with_capacity(count);
    let mut journals = 0;
    for result in results {
        let mut cell = result.map_err(MatrixError::Port)?;
        journals += usize::from(cell.journal.is_some());
        if journals > JOURNALS {
            cell.journal = None;
        }
        found.push(cell);
    }
    let mut columns: Vec<Column> = nominal.snapshots.iter().map(|s| s.column).collect();
    columns.sort_unstable();
    columns.dedup();
    Ok(Matrix {
        recipe: job.recipe.id.clone(),
        machine: job.machine.id.clone(),
        cycle: f64::from(nominal.ticks) * 1e-3,
        columns,
        cells: found,
    })
}

/// One cell: `index` counts rows of the fault table, then snapshots.
fn cell(job: &Job, nominal: &Nominal, seed: u64, index: usize) -> Result<Cell, PortError> {
    let snapshots = nominal.snapshots.len();
    // Both indices are below the lengths by construction.
    let fault = &SUPPORTED[index / snapshots];
    let snapshot = &nominal.snapshots[index % snapshots];
    let injected = Fault {
        component: fault.component,
        mode: fault.mode,
        magnitude: None,
    };
    let (tried, rig) = follow(snapshot.rig.clone(), job, nominal, injected)?;
    let mut cell = Cell {
        fault,
        column: snapshot.column,
        moment: snapshot.moment,
        tried,
        differences: Vec::new(),
        harms: Vec::new(),
        journal: None,
    };
    if let Tried::Ran(seen) = &cell.tried {
        let place = Place {
            component: fault.component,
            mode: fault.mode,
            column: snapshot.column,
        };
        cell.differences = judge::differences(place, seen, job);
        cell.harms = judge::harms(place, seen, job, nominal);
        let ending = seen.ending;
        if !cell.passes() {
            let outcome = rig.finish(ended(ending))?;
            let mut journal = outcome.journal;
            journal.drawn = Some(Drawn { seed, index: 0 });
            journal.end = Some(End {
                ticks: outcome.summary.ticks,
                control_hash: outcome.control_hash,
            });
            cell.journal = Some(journal);
        }
    }
    Ok(cell)
}
