//! Abrasive micro-grit grades and their median grain size.
//!
//! Three series: F by sedimentation (FEPA 42-2, ISO 8486-2), P by sedimentation (ISO 6344-3), JIS by electrical resistance
//! (JIS R 6001-2). Coarser macro-grits are sized by sieving and have no median here.

/// One grade.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Grade {
    /// As printed on the bag: `F800`, `P1200`, `#1000`.
    pub name: &'static str,
    /// Median grain size, µm.
    pub median: f64,
    /// Tolerance of the median, ±µm.
    pub tolerance: f64,
}

const fn grade(name: &'static str, median: f64, tolerance: f64) -> Grade {
    Grade {
        name,
        median,
        tolerance,
    }
}

/// All grades, coarse to fine in each series. Numbers from memory of the standards named above; a test compares them with
/// the reference tables.
pub const GRADES: &[Grade] = &[
    grade("F230", 53.0, 3.0),
    grade("F240", 44.5, 2.0),
    grade("F280", 36.5, 1.5),
    grade("F320", 29.2, 1.5),
    grade("F360", 22.8, 1.5),
    grade("F400", 17.3, 1.0),
    grade("F500", 12.8, 1.0),
    grade("F600", 9.3, 1.0),
    grade("F800", 6.5, 1.0),
    grade("F1000", 4.5, 0.8),
    grade("F1200", 3.0, 0.5),
    grade("F1500", 2.0, 0.4),
    grade("F2000", 1.2, 0.3),
    grade("P240", 58.5, 2.0),
    grade("P280", 52.2, 2.0),
    grade("P320", 46.2, 1.5),
    grade("P360", 40.5, 1.5),
    grade("P400", 35.0, 1.5),
    grade("P500", 30.2, 1.5),
    grade("P600", 25.8, 1.0),
    grade("P800", 21.8, 1.0),
    grade("P1000", 18.3, 1.0),
    grade("P1200", 15.3, 1.0),
    grade("P1500", 12.6, 1.0),
    grade("P2000", 10.3, 0.8),
    grade("P2500", 8.4, 0.5),
    grade("#240", 57.0, 3.0),
    grade("#280", 48.0, 3.0),
    grade("#320", 40.0, 2.5),
    grade("#360", 35.0, 2.0),
    grade("#400", 30.0, 2.0),
    grade("#500", 25.0, 2.0),
    grade("#600", 20.0, 1.5),
    grade("#700", 17.0, 1.3),
    grade("#800", 14.0, 1.0),
    grade("#1000", 11.5, 1.0),
    grade("#1200", 9.5, 0.8),
    grade("#1500", 8.0, 0.6),
    grade("#2000", 6.7, 0.6),
    grade("#2500", 5.5, 0.5),
    grade("#3000", 4.0, 0.5),
    grade("#4000", 3.0, 0.4),
    grade("#6000", 2.0, 0.4),
    grade("#8000", 1.2, 0.3),
];

/// The grade of a name; spaces inside ("F 800") do not matter.
#[must_use]
pub fn find(name: &str) -> Option<&'static Grade> {
    let name: String = name.chars().filter(|c| !c.is_whitespace()).collect();
    GRADES.iter().find(|grade| grade.name == name)
}

/// True for a name that claims to be of one of the three series: its letter, then digits.
#[must_use]
pub(crate) fn is_series(name: &str) -> bool {
    let name: String = name.chars().filter(|c| !c.is_whitespace()).collect();
    name.strip_prefix(['F', 'P', '#'])
        .is_some_and(|rest| !rest.is_empty() && rest.bytes().all(|b| b.is_ascii_digit()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_series_gets_finer_and_has_no_twins() {
        for pair in GRADES.windows(2) {
            if pair[0].name[..1] == pair[1].name[..1] {
                assert!(pair[0].median > pair[1].median, "{}", pair[1].name);
            }
        }
        for (i, g) in GRADES.iter().enumerate() {
            assert!(is_series(g.name));
            assert!(GRADES[..i].iter().all(|other| other.name != g.name));
        }
    }

    #[test]
    fn other_names_are_left_alone() {
        assert!(!is_series("3 µm"));
        assert!(!is_series("D15"));
        assert!(!is_series("F"));
        assert!(!is_series("Fine"));
        assert_eq!(find("F 800").map(|g| g.median), Some(6.5));
        assert_eq!(find("F801"), None);
    }
}
