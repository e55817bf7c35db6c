//! Abrasive grades against the reference tables.
//!
//! Sources (numbers from memory, as the tables say): `abrasive_F.csv` FEPA 42-2 / ISO 8486-2, `abrasive_P.csv`
//! ISO 6344-3, `abrasive_JIS.csv` JIS R 6001-2 (electrical resistance).

use twinplate_sim::files::grades::{GRADES, find};

/// Rows of a table: name, median in µm, tolerance in µm.
fn rows(csv: &str) -> Vec<(&str, f64, f64)> {
    csv.lines()
        .skip(1)
        .map(|line| {
            let cells: Vec<&str> = line.split(',').collect();
            let number = |index: usize| cells[index].parse::<f64>().expect(line);
            (cells[0], number(2), number(3))
        })
        .collect()
}

#[test]
fn grades_are_those_of_the_reference_tables() {
    let tables = [
        include_str!("data/abrasive_F.csv"),
        include_str!("data/abrasive_P.csv"),
        include_str!("data/abrasive_JIS.csv"),
    ];
    let mut count = 0;
    for (name, median, tolerance) in tables.into_iter().flat_map(rows) {
        let grade = find(name).unwrap_or_else(|| panic!("{name} is not known"));
        assert_eq!(grade.median, median, "{name}");
        assert_eq!(grade.tolerance, tolerance, "{name}");
        count += 1;
    }
    assert_eq!(count, GRADES.len(), "a grade that is in no table");
}
