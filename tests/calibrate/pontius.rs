//! The load-cell data set of NIST's Statistical Reference Datasets: certified to fifteen digits.

use twinplate_calibrate::cell::{By, CellReport, calibrate};

/// Source: NIST StRD, linear least squares, 'Pontius' (read). Columns: certified estimate, certified standard deviation.
const CERTIFIED: [[f64; 2]; 3] = [
    [0.673_565_789_473_684E-03, 0.107_938_612_033_077E-03],
    [0.732_059_160_401_003E-06, 0.157_817_399_981_659E-09],
    [-0.316_081_871_345_029E-14, 0.486_652_849_992_036E-16],
];
/// Residual standard deviation, R squared (the same page).
const RESIDUAL: f64 = 0.205_177_424_076_185E-03;
const EXPLAINED: f64 = 0.999_999_900_178_537;

fn report() -> CellReport {
    let sheet = include_bytes!("data/pontius.csv");
    calibrate("pontius.csv", sheet, None).unwrap_or_else(|errors| panic!("{errors:?}"))
}

/// Digits that two numbers share: minus the logarithm of their relative difference.
fn digits(found: f64, certified: f64) -> f64 {
    -((found - certified).abs() / certified.abs())
        .max(1e-17)
        .log10()
}

#[test]
fn certified_coefficients_and_deviations_hold_to_nine_digits() {
    let report = report();
    assert_eq!(report.coefficients.len(), CERTIFIED.len());
    for (found, [value, deviation]) in report.coefficients.iter().zip(CERTIFIED) {
        for (found, certified) in [(found.value, value), (found.deviation, deviation)] {
            assert!(
                digits(found, certified) >= 9.0,
                "{found:e} is not {certified:e}"
            );
        }
    }
    assert!(
        digits(report.deviation, RESIDUAL) >= 9.0,
        "{:e}",
        report.deviation
    );
    assert!(
        digits(report.explained, EXPLAINED) >= 9.0,
        "{}",
        report.explained
    );
    assert_eq!(report.freedom, 37);
    // Student's t by scipy 1.17.1, stats.t.ppf(0.975, 37).
    let bend = report.coefficients[2];
    let half = 0.5 * (bend.high - bend.low) / bend.deviation;
    assert!((half - 2.026_192_463_029_11).abs() < 1e-8, "{half}");
}

/// Lack-of-fit computed in 60-digit arithmetic with the same data, to the digits given.
#[test]
fn the_parabola_is_chosen_by_lack_of_fit() {
    let report = report();
    assert_eq!(
        (report.degree, report.by, report.fits),
        (2, By::LackOfFit, true)
    );
    let line = report.tried[0].test.expect("a line is tested");
    assert_eq!(line.freedom, [18, 20]);
    assert!((line.f - 214.7469).abs() < 5e-5, "{}", line.f);
    assert!(!report.tried[0].fits && line.chance < 1e-9);
    assert!((report.tried[0].deviation - 0.002_171_272_596_056_75).abs() < 1e-12);
    let parabola = report.tried[1].test.expect("a parabola is tested");
    assert_eq!(parabola.freedom, [17, 20]);
    assert!((parabola.f - 0.810_72).abs() < 5e-6, "{}", parabola.f);
    assert!(report.tried[1].fits && parabola.chance > 0.05);
}

/// ASTM E74 from memory; the numbers computed in 60-digit arithmetic with the mean of load over deflection.
#[test]
fn the_lower_limit_factor_is_that_of_e74() {
    let report = report();
    let limit = &report.lower_limit;
    assert!((limit.factor - 676.55).abs() < 5e-3, "{}", limit.factor);
    let from: Vec<(&str, f64)> = limit
        .ranges
        .iter()
        .map(|(class, from, _)| (*class, *from))
        .collect();
    assert!(
        from[0].0 == "AA" && (from[0].1 - 1.3531e6).abs() < 50.0,
        "{from:?}"
    );
    assert!(
        from[1].0 == "A" && (from[1].1 - 2.7062e5).abs() < 5.0,
        "{from:?}"
    );
    assert!(limit.lacks.is_empty(), "{:?}", limit.lacks);
    assert_eq!(limit.ranges[0].2.map(|range| range[1]), Some(3e6));
    // Computed likewise: the terminal line's deviation and the largest pair's difference, share of the span.
    let [share, load] = report.nonlinearity;
    assert!(
        (share * 100.0 - 0.343_99).abs() < 5e-6 && load == 1.2e6,
        "{share} {load}"
    );
    let spread = report.spread.expect("pairs");
    assert!((spread * 100.0 - 0.028_59).abs() < 5e-6, "{spread}");
}

/// Two runs at one place say nothing of what a turned cell reads.
#[test]
fn no_class_is_claimed_that_the_data_cannot_support() {
    let report = report();
    assert_eq!(report.class.class, None);
    for what in ["reproducibility", "zero", "reversibility", "repeatability"] {
        assert!(
            report.class.lacks.iter().any(|lack| lack.starts_with(what)),
            "{what}: {:?}",
            report.class.lacks
        );
    }
    assert!(report.rows.iter().all(|row| !row.outlier));
    let leverage: f64 = report.rows.iter().map(|row| row.leverage).sum();
    assert!(
        (leverage - 3.0).abs() < 1e-9,
        "the leverages are as many as the coefficients: {leverage}"
    );
}
