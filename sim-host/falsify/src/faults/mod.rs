//! The fault matrix: every component × every mode it can fail in × every phase of the ladder × three moments, through the whole
//! bench, by forking snapshots of one nominal cycle.
//!
//! Each cell is judged by the plant's harm monitors against severities and thresholds stated beforehand ([`harms`]), by the
//! interlock row that may answer it ([`answers`]; [`machine`] has what depends on the machine's numbers), by which rows are due ([`due`], [`witness`]) and by the times in which a stop must
//! be carried out ([`judge`]). A cell does no
//! harm, or *declared* harm with its physical reason; anything else is a defect. What no interlock notices is listed with what
//! would and what it costs ([`unnoticed`]).
//!
//! The cycle is a shortened one ([`short`]). The result does not depend on the number of threads.

pub mod ahead;
pub mod answers;
pub mod counts;
pub mod cures;
pub mod due;
pub mod fork;
pub mod harms;
pub mod judge;
pub mod machine;
pub mod moments;
pub mod pairs;
pub mod short;
pub mod unnoticed;
pub mod witness;

use ahead::Ahead;
use fork::{Ending, Followed, Seen, Tried, ended, follow};
use judge::{Difference, Done, Place};
use moments::{Column, Moment, Nominal, Rig};
use std::collections::BTreeMap;
use std::sync::atomic::{AtomicUsize, Ordering};
use twinplate_sim::bench::{Drawn, InProcess, Job, Journal, PortError, Setup, ensemble};
use twinplate_sim::compile::CompileError;
use twinplate_sim::model::Fault;
use twinplate_sim::plant::fault_table::{SUPPORTED, Supported, mode_name, name};

/// Journals that are kept of cells that fail.
pub const JOURNALS: usize = 24;

/// How the matrix is run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct MatrixPlan {
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
    /// Values of the machine that make the difference, where the cell fails.
    pub cures: Vec<cures::Cure>,
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
            self.column.name(),
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
    /// Pairs of faults, sampled by the seed.
    pub pairs: Vec<pairs::Pair>,
}

impl Matrix {
    /// Cells that fail.
    pub fn failing(&self) -> impl Iterator<Item = &Cell> {
        self.cells.iter().filter(|cell| !cell.passes())
    }

    /// Pairs of faults that fail.
    pub fn failing_pairs(&self) -> impl Iterator<Item = &pairs::Pair> {
        self.pairs.iter().filter(|pair| !pair.passes())
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
        self.failing().next().is_none()
            && self.unlisted().is_empty()
            && self.failing_pairs().next().is_none()
    }
}

/// A controller that knows the whole table: what is shipped.
#[must_use]
pub fn whole(setup: &Setup<'_>) -> InProcess {
    setup.controller()
}

/// Runs the matrix and the pairs. `progress` hears how many cells are done and how many there are, from any thread.
///
/// # Errors
/// [`MatrixError`].
pub fn matrix(
    job: &Job,
    plan: MatrixPlan,
    progress: &(dyn Fn(usize, usize) + Sync),
) -> Result<Matrix, MatrixError> {
    let bed = Bed::new(job, plan.seed, &whole)?;
    let count = bed.count() + pairs::PAIRS;
    let mut found = bed.cells(
        &(0..bed.count()).collect::<Vec<_>>(),
        plan.threads,
        &|done| progress(done, count),
    )?;
    let offset = found.len();
    let mut sampled = pairs::sample(&bed, plan.threads, &|done| progress(offset + done, count))?;
    let journals = found
        .iter_mut()
        .map(|cell| &mut cell.journal)
        .chain(sampled.iter_mut().map(|pair| &mut pair.journal));
    for journal in journals.filter(|journal| journal.is_some()).skip(JOURNALS) {
        *journal = None;
    }
    let mut columns: Vec<Column> = bed.nominal.snapshots.iter().map(|s| s.column).collect();
    columns.sort_unstable();
    columns.dedup();
    Ok(Matrix {
        recipe: job.recipe.id.clone(),
        machine: job.machine.id.clone(),
        cycle: f64::from(bed.nominal.ticks) * 1e-3,
        columns,
        cells: found,
        pairs: sampled,
    })
}

/// What cells are run on: the shortened job, and the snapshots of its nominal cycle.
#[derive(Clone, Debug)]
pub struct Bed {
    job: Job,
    nominal: Nominal,
    seed: u64,
}

impl Bed {
    /// Runs the nominal cycle of `job` with the controller that `controller` makes.
    ///
    /// # Errors
    /// [`MatrixError`].
    pub fn new(
        job: &Job,
        seed: u64,
        controller: &dyn Fn(&Setup<'_>) -> InProcess,
    ) -> Result<Self, MatrixError> {
        let short = short::shortened(job).map_err(MatrixError::Compile)?;
        let nominal = moments::nominal(&short.drawn(Drawn { seed, index: 0 }), controller)
            .map_err(MatrixError::Port)?
            .filter(|nominal| !nominal.harm.any())
            .ok_or(MatrixError::Nominal)?;
        Ok(Self {
            job: short,
            nominal,
            seed,
        })
    }

    /// Number of cells: every fault at every snapshot.
    #[must_use]
    pub const fn count(&self) -> usize {
        SUPPORTED.len() * self.nominal.snapshots.len()
    }

    /// Runs the cells with these numbers (rows of the fault table, then snapshots; those beyond the last are left out), in their
    /// order.
    ///
    /// # Errors
    /// [`MatrixError::Port`].
    pub fn cells(
        &self,
        numbers: &[usize],
        threads: usize,
        progress: &(dyn Fn(usize) + Sync),
    ) -> Result<Vec<Cell>, MatrixError> {
        let snapshots = self.nominal.snapshots.len().max(1);
        // Each fault's places in `numbers`, the last moment first: its forks are made one after another, for the later to be met.
        let mut of_fault: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        for (place, number) in numbers.iter().enumerate() {
            of_fault.entry(number / snapshots).or_default().push(place);
        }
        let mut faults: Vec<Vec<usize>> = of_fault.into_values().collect();
        for places in &mut faults {
            places.sort_by_key(|place| std::cmp::Reverse(numbers[*place]));
        }
        let done = AtomicUsize::new(0);
        let results = ensemble(faults.len(), threads.max(1), &|_| (), |index| {
            let mut ahead = Vec::new();
            let mut cells = Vec::new();
            for place in &faults[index] {
                cells.push((*place, self.cell(numbers[*place], &mut ahead)?));
                progress(done.fetch_add(1, Ordering::Relaxed) + 1);
            }
            Ok(cells)
        });
        let mut cells: Vec<(usize, Option<Cell>)> = Vec::with_capacity(numbers.len());
        for result in results {
            cells.extend(result.map_err(MatrixError::Port)?);
        }
        cells.sort_by_key(|(place, _)| *place);
        Ok(cells.into_iter().filter_map(|(_, cell)| cell).collect())
    }

    /// Injects a fault, and `later` so many ticks after it another, into a copy of the bench and follows it to its end, or until it meets
    /// one of `ahead`.
    fn fork(
        &self,
        rig: Rig,
        fault: &Supported,
        later: Option<(u32, &Supported)>,
        ahead: &[Ahead],
    ) -> Result<Followed, PortError> {
        let later = later.map(|(after, fault)| (after, injected(fault)));
        follow(rig, &self.job, &self.nominal, injected(fault), later, ahead)
    }

    /// One cell, with the later ones of its fault `ahead`, which it joins; `None` where the number is beyond the last.
    fn cell(&self, number: usize, ahead: &mut Vec<Ahead>) -> Result<Option<Cell>, PortError> {
        let snapshots = self.nominal.snapshots.len().max(1);
        let (Some(fault), Some(snapshot)) = (
            SUPPORTED.get(number / snapshots),
            self.nominal.snapshots.get(number % snapshots),
        ) else {
            return Ok(None);
        };
        let followed = self.fork(snapshot.rig.clone(), fault, None, ahead)?;
        let mut cell = Cell {
            fault,
            column: snapshot.column,
            moment: snapshot.moment,
            tried: followed.tried,
            differences: Vec::new(),
            harms: Vec::new(),
            cures: Vec::new(),
            journal: None,
        };
        if let Tried::Ran(seen) = &cell.tried {
            if let Some(stood) = followed.stood {
                let seen = Seen::clone(seen);
                ahead.push(Ahead { stood, seen });
            }
            let place = Place::of(fault, snapshot.column);
            cell.differences = judge::differences(place, seen, &self.job, &self.nominal);
            cell.harms = judge::harms(place, seen, &self.job, &self.nominal);
            let ending = seen.ending;
            if !cell.passes() {
                cell.cures = cures::cures(
                    place,
                    seen,
                    (&cell.differences, &cell.harms),
                    &self.job,
                    &self.nominal,
                );
                // Its journal is of all of it: what was followed only to another is followed again.
                let rig = if followed.met {
                    self.fork(snapshot.rig.clone(), fault, None, &[])?.rig
                } else {
                    followed.rig
                };
                cell.journal = Some(self.journal(rig, ending)?);
            }
        }
        Ok(Some(cell))
    }

    /// The journal of a fork that fails, with what a replay must come to.
    fn journal(&self, rig: Rig, ending: Ending) -> Result<Journal, PortError> {
        rig.finish(ended(ending)).map(|outcome| outcome.journal)
    }
}

/// The fault of a row in its default magnitude.
const fn injected(row: &Supported) -> Fault {
    Fault {
        component: row.component,
        mode: row.mode,
        magnitude: None,
    }
}
