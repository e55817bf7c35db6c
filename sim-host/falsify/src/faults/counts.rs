//! The fault matrix in numbers.

use super::Matrix;
use super::fork::Tried;
use twinplate_sim::math::max;

/// Numbers of a matrix.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Counts {
    /// Cells that ran.
    pub ran: usize,
    /// Cells in which the fault is not possible.
    pub refused: usize,
    /// Cells answered by a row that does more than tell.
    pub acted: usize,
    /// Cells answered by an alarm alone.
    pub alarmed: usize,
    /// Cells that nothing answered.
    pub silent: usize,
    /// Cells with declared harm.
    pub declared: usize,
    /// Cells with undeclared harm.
    pub undeclared: usize,
    /// Cells whose response or time differs from the declared one.
    pub differing: usize,
    /// Longest time from fault to safe state where a row answered within a second, s.
    pub slowest: f64,
}

impl Counts {
    /// Of a matrix.
    #[must_use]
    pub fn of(matrix: &Matrix) -> Self {
        let mut counts = Self::default();
        for cell in &matrix.cells {
            let Tried::Ran(seen) = &cell.tried else {
                counts.refused += 1;
                continue;
            };
            counts.ran += 1;
            match (seen.first, seen.acted) {
                (_, Some(_)) => counts.acted += 1,
                (Some(_), None) => counts.alarmed += 1,
                (None, None) => counts.silent += 1,
            }
            let undeclared = cell.harms.iter().any(|harm| harm.reason.is_none());
            counts.undeclared += usize::from(undeclared);
            counts.declared += usize::from(!undeclared && !cell.harms.is_empty());
            counts.differing += usize::from(!cell.differences.is_empty());
            if let (Some(trip), Some(safe)) = (seen.acted, seen.safe_after())
                && trip.after <= 1000
            {
                counts.slowest = max(counts.slowest, f64::from(safe) * 1e-3);
            }
        }
        counts
    }
}
