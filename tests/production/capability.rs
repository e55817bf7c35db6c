//! Indices of performance and capability against a published example, closed forms and scipy.

use twinplate_production::capability::{Group, Refused, capability};

fn one(mean: f64, sd: f64, parts: f64) -> Group {
    Group {
        mean,
        sd: Some(sd),
        parts,
    }
}

fn near(found: f64, due: f64) {
    assert!((found / due - 1.0).abs() < 1e-6, "{found} {due}");
}

/// Limits 8 and 20, mean 16, deviation 2: Cp = 1.0, Cpk = 0.6667 (NIST/SEMATECH e-Handbook of Statistical Methods, 6.1.6, from memory).
/// Intervals for a sample of 50: `scipy/capability.py`.
#[test]
fn the_published_example() {
    let found = capability(&[one(16.0, 2.0, 50.0)], [8.0, 20.0], None).expect("indices");
    let performance = found.performance;
    near(performance.width.value, 1.0);
    near(performance.nearer.value, 2.0 / 3.0);
    near(performance.width.low, 0.8024823281501012);
    near(performance.width.high, 1.1971259252675315);
    near(performance.nearer.low, 0.5055513132382631);
    near(performance.nearer.high, 0.8277820200950702);
    // Of one normal sample the percentiles say the same.
    let [width, nearer] = found.by_percentiles.expect("percentiles");
    near(width, 1.0);
    near(nearer, 2.0 / 3.0);
}

/// A mixture is not normal: its percentiles by scipy (`scipy/capability.py`), the gauge taken out of each batch.
#[test]
fn percentiles_of_batches_put_together() {
    let groups = [
        one(12.0, 1.0, 20.0),
        one(15.0, 1.5, 20.0),
        one(19.0, 1.2, 20.0),
    ];
    let found = capability(&groups, [0.0, 30.0], Some(0.6)).expect("indices");
    let [width, nearer] = found.by_percentiles.expect("percentiles");
    near(width, 2.52596369365121);
    near(nearer, 2.221642662927082);
    // By hand: 4.4633 within, 37/3 between; the gauge's 0.36 out of it.
    let within = (1.0 + 2.25 + 1.44) / 3.0;
    let whole = 37.0 / 3.0 + within * 19.0 / 20.0;
    near(found.observed, f64::sqrt(whole));
    near(found.sd, f64::sqrt(whole - 0.36));
    near(found.gauge_share, 0.36 / whole);
    near(
        found.within.expect("within").width.value,
        30.0 / (6.0 * f64::sqrt(within - 0.36)),
    );
    // Three batches say little of what lies between batches, however many parts they have.
    assert!(found.performance.width.low < 0.3 * found.performance.width.value);
}

/// The gauge's share comes out of the variance, not of the deviation, and where it is most of it nothing is claimed.
#[test]
fn a_gauge_that_dominates_is_refused() {
    let groups: Vec<Group> = (0..12)
        .map(|n| one(10.0 + 0.1 * f64::from(n % 3), 1.0, 10.0))
        .collect();
    let without = capability(&groups, [4.0, 16.0], None).expect("indices");
    let with = capability(&groups, [4.0, 16.0], Some(0.5)).expect("indices");
    near(with.sd * with.sd + 0.25, without.sd * without.sd);
    assert!(with.performance.width.value > without.performance.width.value);
    let refused = capability(&groups, [4.0, 16.0], Some(0.8));
    assert!(
        matches!(refused, Err(Refused::Gauge(share)) if share > 0.6),
        "{refused:?}"
    );
    assert_eq!(
        capability(&groups[..1], [4.0, 16.0], Some(0.8)),
        Err(Refused::Gauge(0.8 * 0.8))
    );
}

#[test]
fn what_is_not_there_is_not_claimed() {
    assert_eq!(capability(&[], [0.0, 1.0], None), Err(Refused::TooFew));
    assert_eq!(
        capability(&[one(0.5, 0.1, 1.0)], [0.0, 1.0], None),
        Err(Refused::TooFew)
    );
    let same = [one(0.5, 0.0, 5.0), one(0.5, 0.0, 5.0)];
    assert_eq!(capability(&same, [0.0, 1.0], None), Err(Refused::NoSpread));
    let means: Vec<Group> = (0..9)
        .map(|n| Group {
            mean: 0.5 + 0.01 * f64::from(n % 4),
            sd: None,
            parts: 5.0,
        })
        .collect();
    let found = capability(&means, [0.0, 1.0], Some(0.01)).expect("indices");
    assert!(found.of_means && found.within.is_none() && found.by_percentiles.is_none());
    // A mean of five has a fifth of the gauge's variance.
    near(
        found.observed * found.observed - found.sd * found.sd,
        1e-4 / 5.0,
    );
}
