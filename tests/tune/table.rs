//! Reads the committed tables.

use twinplate_linear::{Line, Transfer};
use twinplate_sim::model::Gains;

/// Processes from Skogestad, J. Process Control 13 (2003) 291–309 and textbook forms; figures computed with scipy and
/// python-control, dead time exact.
const LOOPS: &str = include_str!("../reference/data/pi_loops.csv");

/// A row of `pi_loops.csv`.
pub struct Row {
    /// Its name.
    pub name: String,
    names: Vec<&'static str>,
    cells: Vec<f64>,
}

impl Row {
    /// A number by its column.
    pub fn at(&self, column: &str) -> f64 {
        let place = self.names.iter().position(|n| *n == column);
        self.cells[place.unwrap_or_else(|| panic!("no column {column}"))]
    }

    /// The loop of the row: its process by its name, which the table does not spell out in numbers.
    pub fn build(&self) -> (Line, Gains) {
        let (integrators, lags, zeros): (u8, &[f64], &[f64]) = match self.name.split(' ').next() {
            Some("A1" | "A5" | "A6" | "A8") => (0, &[1.0], &[]),
            Some("A2") => (0, &[8.0], &[]),
            Some("A3") => (0, &[20.0], &[]),
            Some("A4") => (1, &[], &[]),
            Some("A9") => (0, &[10.0], &[]),
            Some("A11") => (0, &[0.15, 0.03], &[]),
            Some("E1") => (0, &[1.0, 0.2], &[]),
            Some("E2") => (0, &[2.0, 1.0, 0.4, 0.2, 0.05, 0.05, 0.05], &[-0.3, 0.08]),
            Some("E4") => (0, &[1.0; 4], &[]),
            Some("E5") => (0, &[1.0, 0.2, 0.04, 0.008], &[]),
            Some("E7") => (0, &[1.0; 3], &[-2.0]),
            Some("E9") => (0, &[1.0, 1.0], &[]),
            Some("E10") => (0, &[20.0, 2.0], &[]),
            Some("E11") => (0, &[6.0, 2.0, 2.0], &[-1.0]),
            other => panic!("no process for row {other:?}"),
        };
        let process = Transfer {
            gain: 1.0,
            integrators,
            lags: lags.to_vec(),
            zeros: zeros.to_vec(),
            dead_time: self.at("theta"),
        };
        let gains = Gains {
            kc: self.at("Kc"),
            ti: self.at("tauI"),
            weight: 1.0,
        };
        (Line::plain(process), gains)
    }
}

/// Every row.
pub fn rows() -> Vec<Row> {
    let mut lines = LOOPS.lines();
    let names: Vec<_> = lines.next().unwrap_or("").split(',').skip(1).collect();
    lines
        .map(|line| {
            // The name may hold commas and is then quoted.
            let (name, rest) = match line.strip_prefix('"') {
                Some(quoted) => quoted.split_once("\",").expect("a closing quote"),
                None => line.split_once(',').expect("a comma"),
            };
            Row {
                name: name.to_owned(),
                names: names.clone(),
                cells: rest
                    .split(',')
                    .map(|cell| cell.parse().expect("a number"))
                    .collect(),
            }
        })
        .collect()
}
