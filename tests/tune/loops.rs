//! Loops against every row of `pi_loops.csv`.

use crate::table::rows;
use twinplate_linear::{margins, measures};

/// Relative agreement wanted; `∞` and NaN only with their like.
fn agree(what: &str, row: &str, got: f64, want: f64, relative: f64, worst: &mut Vec<String>) {
    let both = (got.is_infinite() && want.is_infinite()) || (got.is_nan() && want.is_nan());
    let close = (got - want).abs() <= relative * want.abs();
    if !both && !close {
        worst.push(format!("{row}: {what} {got} against {want}"));
    }
}

/// Frequency domain: 1e-4 relative in every column of every row.
#[test]
fn margins_of_every_row() {
    let all = rows();
    assert_eq!(all.len(), 17);
    let mut bad = vec![];
    for row in all {
        let (line, gains) = row.build();
        let found = margins(&line, &gains).expect("a good loop");
        assert!(found.stable, "{}", row.name);
        for (what, got) in [
            ("GM", found.gain),
            ("w180", found.phase_crossing),
            ("PM", found.phase.to_degrees()),
            ("wc", found.gain_crossing),
            ("Ms", found.sensitivity),
            ("wMs", found.sensitivity_at),
            ("Mt", found.complementary),
            ("dly", found.delay),
        ] {
            agree(what, &row.name, got, row.at(what), 1e-4, &mut bad);
        }
    }
    assert!(bad.is_empty(), "{}", bad.join("\n"));
}

/// Time domain: 0.5 % in every column of every row.
#[test]
fn step_measures_of_every_row() {
    let mut bad = vec![];
    for row in rows() {
        let (line, gains) = row.build();
        let [set, load] = measures::measures(&line, &gains).expect("a good loop");
        for (what, got) in [
            ("OS", 100.0 * set.overshoot),
            ("ts", set.settling),
            ("IAE", set.iae),
            ("ITAE", set.itae),
            (
                "tp",
                if set.overshoot > 0.0 {
                    set.peak_time
                } else {
                    f64::NAN
                },
            ),
            ("ymin", set.lowest),
            ("rise", set.rise),
            ("IAEd", load.iae),
            ("peak_d", load.peak),
        ] {
            agree(what, &row.name, got, row.at(what), 5e-3, &mut bad);
        }
        agree(
            "IEd",
            &row.name,
            load.ie,
            row.at("IEd_theory"),
            5e-3,
            &mut bad,
        );
    }
    assert!(bad.is_empty(), "{}", bad.join("\n"));
}
