//! The one way these tests read a committed table.

/// Rows of a comma-separated table without its header; no cell contains a comma.
pub fn rows(csv: &'static str) -> impl Iterator<Item = Vec<&'static str>> {
    csv.lines().skip(1).map(|line| line.split(',').collect())
}

/// Rows of numbers.
pub fn numbers(csv: &'static str) -> impl Iterator<Item = Vec<f64>> {
    rows(csv).map(|cells| cells.iter().map(|cell| number(cell)).collect())
}

/// A number of a committed table.
pub fn number(cell: &str) -> f64 {
    cell.parse()
        .unwrap_or_else(|_| panic!("{cell} is no number"))
}
