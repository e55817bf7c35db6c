//! The filter against whole covariances, solved densely by scipy.

use twinplate_production::filter::{Series, Variances};

const DATA: &str = include_str!("data/filter.csv");

struct Case {
    series: Series,
    truth: Variances,
    answer: Vec<f64>,
    likeliest: f64,
}

fn numbers(line: &str) -> Vec<f64> {
    line.split(',')
        .skip(1)
        .filter(|cell| !cell.is_empty())
        .map(|cell| cell.parse().expect("a number"))
        .collect()
}

fn cases() -> Vec<Case> {
    let lines: Vec<&str> = DATA.lines().filter(|line| !line.starts_with('#')).collect();
    lines
        .chunks(8)
        .map(|lines| {
            let values = lines[0]
                .split(',')
                .skip(1)
                .map(|cell| cell.parse().ok())
                .collect();
            let along = numbers(lines[4]);
            let truth = numbers(lines[5]);
            Case {
                series: Series {
                    values,
                    known: numbers(lines[1]),
                    weight: numbers(lines[2]),
                    steps: numbers(lines[3]).iter().map(|step| *step > 0.0).collect(),
                    along: (!along.is_empty()).then_some(along),
                },
                truth: Variances {
                    walk: truth[0],
                    scatter: truth[1],
                    step: truth[2],
                },
                answer: numbers(lines[6]),
                likeliest: numbers(lines[7])[0],
            }
        })
        .collect()
}

/// Under known variances prediction, its variance and the slope are those of generalised least squares with the whole covariance (scipy).
#[test]
fn under_known_variances_the_prediction_is_the_best_linear_one() {
    let all = cases();
    assert!(all.len() == 12 && all.iter().any(|case| case.series.along.is_some()));
    for (number, case) in all.iter().enumerate() {
        let fit = case.series.under(case.truth).expect("a fit");
        let along = case
            .series
            .along
            .as_ref()
            .map_or(0.0, |all| all.last().expect("one") + 1.0);
        let [value, variance] = fit.ahead(1.0, false, along);
        let mut found = vec![value, variance];
        found.extend(
            fit.slope
                .iter()
                .flat_map(|slope| [slope.value, slope.deviation]),
        );
        assert_eq!(found.len(), case.answer.len(), "{number}");
        for (found, due) in found.iter().zip(&case.answer) {
            assert!((found / due - 1.0).abs() < 1e-9, "{number}: {found} {due}");
        }
    }
}

/// The variances that are found are as likely as those that scipy finds, with restricted maximum likelihood over the whole covariance.
#[test]
fn the_variances_are_the_likeliest() {
    for (number, case) in cases().iter().enumerate() {
        let found = case.series.fit().expect("a fit").likelihood;
        let truth = case.series.under(case.truth).expect("a fit").likelihood;
        let gain = found - truth;
        assert!(
            (gain - case.likeliest).abs() < 0.01,
            "{number}: {gain} {}",
            case.likeliest
        );
    }
}

/// What hardly changes has no wild answer: constants, two values, none.
#[test]
fn little_data_gives_little_and_no_nonsense() {
    assert!(Series::plain(vec![None; 9]).fit().is_none());
    assert!(Series::plain(vec![Some(1.0)]).fit().is_none());
    let constant = Series::plain(vec![Some(2.0); 20]).fit().expect("a fit");
    let [value, variance] = constant.ahead(1.0, false, 0.0);
    assert!(
        (value - 2.0).abs() < 1e-9 && (0.0..1e-9).contains(&variance),
        "{value} {variance}"
    );
}
