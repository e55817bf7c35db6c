//! Drift told from noise and values that are off: how often that is said of records in which nothing is the matter, and how often of those
//! in which something is.

use rand_distr::{Distribution, StandardNormal};
use twinplate_production::drift::{LEVEL, drift, outliers};
use twinplate_production::filter::Series;
use twinplate_sim::plant::seed::{Stream, stream};

const RECORDS: u64 = 400;

fn normal(noise: &mut Stream) -> f64 {
    StandardNormal.sample(noise)
}

/// A record whose level takes steps of `walk`, batches scattering by one; at `steps` it shifts by three.
fn record(number: u64, n: usize, walk: f64, steps: bool) -> Series {
    let mut noise = stream(number, "drift", "record", n as u64);
    let mut level = 100.0;
    let mut series = Series::plain(vec![None; n]);
    for at in 0..n {
        level += walk * normal(&mut noise);
        if steps && at > 0 && at % 9 == 0 {
            series.steps[at] = true;
            level += 3.0 * normal(&mut noise);
        }
        series.values[at] = Some(level + normal(&mut noise));
    }
    series
}

fn share(of: impl Fn(u64) -> bool) -> f64 {
    (0..RECORDS).filter(|number| of(*number)).count() as f64 / RECORDS as f64
}

/// A constant rate is said to drift in one record of twenty, as stated, with and without events; three standard deviations of so many
/// records either way.
#[test]
fn false_alarms_are_as_many_as_stated() {
    for (n, steps) in [(12, false), (40, false), (40, true)] {
        let told = share(|number| {
            drift(&record(number, n, 0.0, steps), 1.0)
                .expect("a test")
                .told()
        });
        assert!((told - LEVEL).abs() < 0.033, "{n} {steps}: {told}");
    }
}

/// A drift of half of the scatter a batch is told three times of four over forty batches; fifteen batches are few, and one of twice the scatter
/// is told every other time.
#[test]
fn drift_is_told() {
    for (n, walk, least) in [(40, 0.5, 0.75), (15, 2.0, 0.5)] {
        let told = share(|number| {
            drift(&record(number, n, walk, false), 1.0)
                .expect("a test")
                .told()
        });
        assert!(told > least, "{n} {walk}: {told}");
    }
}

/// Without events and for many batches the statistic has a published distribution: 5 % of it lie over 0.463 (Kwiatkowski and others, Journal
/// of Econometrics 54 (1992), table 1, from memory).
#[test]
fn the_statistic_is_the_published_one() {
    let over = share(|number| {
        drift(&record(number, 150, 0.0, false), 1.0)
            .expect("a test")
            .statistic
            > 0.463
    });
    assert!((over - 0.05).abs() < 0.033, "{over}");
    let one = drift(&record(3, 150, 0.0, false), 1.0).expect("a test");
    assert!(one.chance > 1e-3 && one.chance <= 1.0);
}

/// One good record of twenty is said to have an outlier, as stated (three standard deviations of a hundred records above), whether they
/// drift or not; a batch off by seven deviations is found, and it alone.
#[test]
fn outliers_are_named_and_others_not() {
    for walk in [0.0, 0.5] {
        let wrongly = (0..100)
            .filter(|n| !outliers(&record(*n, 30, walk, false)).is_empty())
            .count();
        assert!(wrongly <= 11, "{walk}: {wrongly} of 100");
        let found = (0..60)
            .filter(|number| {
                let mut series = record(*number, 30, walk, false);
                let at = 5 + (*number as usize) % 25;
                series.values[at] = series.values[at].map(|value| value + 7.0);
                let found = outliers(&series);
                found.iter().any(|outlier| outlier.at == at) && found.len() <= 2
            })
            .count();
        assert!(found >= 48, "{walk}: {found} of 60");
    }
    // The first batch of all can be off as well.
    let mut series = record(1, 30, 0.0, false);
    series.values[0] = series.values[0].map(|value| value + 9.0);
    assert_eq!(outliers(&series).first().map(|found| found.at), Some(0));
}

#[test]
fn too_few_values_tell_nothing() {
    assert!(drift(&record(1, 3, 0.0, false), 1.0).is_none());
    assert!(outliers(&Series::plain(vec![Some(1.0), Some(2.0)])).is_empty());
}
