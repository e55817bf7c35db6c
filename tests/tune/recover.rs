//! Known models from data made by scipy: errors, and how often the intervals hold the truth.

use crate::pages::{check, table};
use std::sync::OnceLock;
use twinplate_linear::model::Order;
use twinplate_tune::identify::{Drift, Estimate, FitPlan, identify};
use twinplate_tune::import::Log;

/// Made by `scipy/make.py`; format there.
const KNOWN: &str = include_str!("data/known_models.csv");

/// One series.
struct Case {
    kind: String,
    order: Order,
    noise: f64,
    /// Gain, lags, dead time.
    truth: [f64; 4],
    drift: f64,
    log: Log,
}

fn numbers(text: &str) -> Vec<f64> {
    text.split_whitespace()
        .map(|n| n.parse().expect("a number"))
        .collect()
}

/// Whole numbers behind their unit.
fn outputs(text: &str) -> Vec<f64> {
    let all = numbers(text);
    all[1..].iter().map(|n| n * all[0]).collect()
}

fn cases() -> impl Iterator<Item = Case> {
    KNOWN
        .lines()
        .filter(|line| !line.starts_with('#'))
        .map(|line| {
            let cells: Vec<&str> = line.split(',').collect();
            let number = |i: usize| cells[i].parse::<f64>().expect("a number");
            let times: Vec<f64> = if cells[10].contains(':') {
                let parts: Vec<f64> = cells[10]
                    .split(':')
                    .map(|n| n.parse().expect("a number"))
                    .collect();
                (0..parts[2] as usize)
                    .map(|i| parts[0] + parts[1] * i as f64)
                    .collect()
            } else {
                numbers(cells[10])
            };
            let steps: Vec<(f64, f64)> = cells[9]
                .split(' ')
                .map(|step| step.split_once(':').expect("time:value"))
                .map(|(time, value)| (time.parse().expect("time"), value.parse().expect("value")))
                .collect();
            // Times are printed with ten digits: a step is at the sample that is nearest, to a twentieth of a sample.
            let near = 0.05 * (times[times.len() - 1] - times[0]) / times.len() as f64;
            let command = times
                .iter()
                .map(|t| {
                    steps
                        .iter()
                        .rev()
                        .find(|(at, _)| *t >= at - near)
                        .map_or(0.0, |(_, value)| *value)
                })
                .collect();
            Case {
                kind: cells[0].to_owned(),
                order: match cells[1] {
                    "integrating" => Order::Integrating,
                    "first" => Order::First,
                    _ => Order::Second,
                },
                noise: number(2),
                truth: [number(3), number(4), number(5), number(6)],
                drift: number(8),
                log: Log::from_samples(times, command, outputs(cells[11]), ["1", "1"]),
            }
        })
}

/// Errors and coverage of one parameter.
#[derive(Default)]
struct Tally {
    errors: Vec<f64>,
    widths: Vec<f64>,
    held: usize,
}

impl Tally {
    fn add(&mut self, truth: f64, found: Estimate) {
        self.errors.push((found.value / truth - 1.0).abs());
        self.widths.push(found.half_width() / truth.abs());
        self.held += usize::from(found.holds(truth));
    }
    fn median(all: &[f64]) -> f64 {
        let mut all = all.to_vec();
        all.sort_by(f64::total_cmp);
        all[all.len() / 2]
    }
    fn coverage(&self) -> f64 {
        self.held as f64 / self.errors.len() as f64
    }
}

/// Series of one kind: noise, form, noise as a share of the step in per cent, least number of series, limits of the median errors.
type Group = (&'static str, Order, f64, usize, Option<[f64; 4]>);

/// The limits at 1 % noise: gain 1 %, lags and dead time 3 %.
const LIMITS: Option<[f64; 4]> = Some([0.01, 0.03, 0.03, 0.03]);

const GROUPS: [Group; 10] = [
    ("white", Order::First, 0.1, 150, LIMITS),
    ("white", Order::First, 1.0, 150, LIMITS),
    ("white", Order::First, 5.0, 150, None),
    ("ar", Order::First, 1.0, 150, None),
    ("white", Order::Second, 0.1, 100, LIMITS),
    ("white", Order::Second, 1.0, 100, LIMITS),
    ("white", Order::Second, 5.0, 100, None),
    ("white", Order::Integrating, 0.1, 100, LIMITS),
    ("white", Order::Integrating, 1.0, 100, LIMITS),
    ("white", Order::Integrating, 5.0, 100, None),
];

const NAMES: [&str; 4] = ["gain", "lag", "second lag", "dead time"];

/// Gain, lags, dead time of one group, fitted once however many ask.
fn tallies(group: usize) -> &'static [Tally; 4] {
    static DONE: [OnceLock<[Tally; 4]>; GROUPS.len()] = [const { OnceLock::new() }; GROUPS.len()];
    DONE[group].get_or_init(|| fit(&GROUPS[group]))
}

/// Fits all series of a group with the true form.
fn fit((kind, order, noise, ..): &Group) -> [Tally; 4] {
    let mut tallies: [Tally; 4] = Default::default();
    for case in cases().filter(|c| c.kind == *kind && c.order == *order && c.noise == *noise) {
        let options = FitPlan {
            orders: vec![*order],
            drift: if case.drift == 0.0 {
                Drift::Never
            } else {
                Drift::Always
            },
            dead_time: None,
        };
        let found = identify(&case.log, &options)
            .unwrap_or_else(|refusal| panic!("{:?} refused: {refusal}", case.truth));
        let p = found.chosen().parameters;
        for (i, estimate) in [p.gain, p.tau1, p.tau2, p.dead_time]
            .into_iter()
            .enumerate()
        {
            if case.truth[i] != 0.0 && (*order != Order::Integrating || i == 0 || i == 3) {
                tallies[i].add(case.truth[i], estimate);
            }
        }
    }
    tallies
}

/// Medians under the limits, coverage within 90 % and 99 %.
fn recover(group: usize) {
    let (kind, order, noise, least, limits) = GROUPS[group];
    let mut failed = Vec::new();
    for (i, tally) in tallies(group)
        .iter()
        .enumerate()
        .filter(|(_, tally)| !tally.errors.is_empty())
    {
        let error = Tally::median(&tally.errors);
        let said = format!(
            "{kind} {order:?} {noise} %: {}: median error {:.3} %, median half-width {:.3} %, {} of {} intervals hold ({:.1} %)",
            NAMES[i],
            100.0 * error,
            100.0 * Tally::median(&tally.widths),
            tally.held,
            tally.errors.len(),
            100.0 * tally.coverage()
        );
        println!("{said}");
        let wrong = limits.is_some_and(|limits| error >= limits[i]);
        if wrong || !(0.90..=0.99).contains(&tally.coverage()) || tally.errors.len() < least {
            failed.push(said);
        }
    }
    assert!(failed.is_empty(), "{}", failed.join("\n"));
}

#[test]
fn first_order_at_a_thousandth_of_noise() {
    recover(0);
}
#[test]
fn first_order_at_a_hundredth_of_noise() {
    recover(1);
}
#[test]
fn first_order_at_a_twentieth_of_noise() {
    recover(2);
}
#[test]
fn first_order_in_coloured_noise() {
    recover(3);
}
#[test]
fn second_order_at_a_thousandth_of_noise() {
    recover(4);
}
#[test]
fn second_order_at_a_hundredth_of_noise() {
    recover(5);
}
#[test]
fn second_order_at_a_twentieth_of_noise() {
    recover(6);
}
#[test]
fn integrating_at_a_thousandth_of_noise() {
    recover(7);
}
#[test]
fn integrating_at_a_hundredth_of_noise() {
    recover(8);
}
#[test]
fn integrating_at_a_twentieth_of_noise() {
    recover(9);
}

/// The page says what these tests found.
#[test]
fn the_page_has_the_errors_and_the_coverage() {
    let rows = (0..GROUPS.len()).map(|group| {
        let (kind, order, noise, ..) = GROUPS[group];
        let all = tallies(group);
        let mut row = vec![
            match order {
                Order::Integrating => "integrating",
                Order::First => "first order",
                Order::Second => "second order",
            }
            .to_owned(),
            format!("{noise} %{}", if kind == "ar" { ", coloured" } else { "" }),
            all[0].errors.len().to_string(),
        ];
        row.extend(all.iter().map(|tally| {
            if tally.errors.is_empty() {
                "–".to_owned()
            } else {
                format!(
                    "{:.2} %, {:.0} %",
                    100.0 * Tally::median(&tally.errors),
                    100.0 * tally.coverage()
                )
            }
        }));
        row
    });
    let head = [&["model", "noise", "series"][..], &NAMES].concat();
    check("docs/tuning.md", "recovery", &table(&head, rows));
}

/// Default options at 1 % of noise: nothing is told of order and drift. Errors and coverage where the order was chosen rightly, how
/// often it was, how often the log was refused.
#[test]
fn the_page_has_the_free_choice() {
    let mut rows = Vec::new();
    for (word, order) in [
        ("first order", Order::First),
        ("second order", Order::Second),
        ("integrating", Order::Integrating),
    ] {
        let (mut all, mut right, mut refused) = (0_usize, 0_usize, 0_usize);
        let mut tallies: [Tally; 4] = Default::default();
        for case in cases().filter(|c| c.kind == "white" && c.order == order && c.noise == 1.0) {
            all += 1;
            let Ok(found) = identify(&case.log, &FitPlan::default()) else {
                refused += 1;
                continue;
            };
            if found.chosen().model.order != order {
                continue;
            }
            right += 1;
            let p = found.chosen().parameters;
            for (i, estimate) in [p.gain, p.tau1, p.tau2, p.dead_time]
                .into_iter()
                .enumerate()
            {
                if case.truth[i] != 0.0 && (order != Order::Integrating || i == 0 || i == 3) {
                    tallies[i].add(case.truth[i], estimate);
                }
            }
        }
        let share = right as f64 / all as f64;
        assert!(all >= 100 && share >= 0.5, "{word}: {right} of {all} right");
        let mut row = vec![
            word.to_owned(),
            all.to_string(),
            format!("{:.0} %", 100.0 * share),
            refused.to_string(),
        ];
        for (i, tally) in tallies.iter().enumerate() {
            if tally.errors.is_empty() {
                row.push("–".to_owned());
                continue;
            }
            let error = Tally::median(&tally.errors);
            assert!(
                LIMITS.is_none_or(|limits| error < limits[i]) && tally.coverage() >= 0.8,
                "{word}: {}: {error}, {}",
                NAMES[i],
                tally.coverage()
            );
            row.push(format!(
                "{:.2} %, {:.0} %",
                100.0 * error,
                100.0 * tally.coverage()
            ));
        }
        rows.push(row);
    }
    let head = [&["model", "series", "order right", "refused"][..], &NAMES].concat();
    check("docs/tuning.md", "free-choice", &table(&head, rows));
}

/// The choice among all forms, drift included: the true order at little noise; at more, never a more complex one than the truth
/// in more than one of twenty.
#[test]
fn the_order_is_chosen_rightly() {
    let rank = |order| match order {
        Order::Integrating => 0,
        Order::First => 1,
        Order::Second => 2,
    };
    for noise in [0.1, 5.0] {
        let (mut right, mut more, mut all) = (0, 0, 0);
        for case in cases()
            .filter(|c| c.kind == "white" && c.noise == noise)
            .step_by(5)
        {
            let found = identify(&case.log, &FitPlan::default())
                .expect("a model")
                .chosen()
                .model
                .order;
            all += 1;
            right += usize::from(found == case.order);
            more += usize::from(rank(found) > rank(case.order));
        }
        println!("noise {noise} %: {right} of {all} orders right, {more} too high");
        assert!(
            more * 20 <= all,
            "noise {noise} %: {more} of {all} too high"
        );
        assert!(
            noise > 1.0 || right * 10 >= all * 9,
            "noise {noise} %: {right} of {all} right"
        );
    }
}
