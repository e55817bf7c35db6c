//! The measuring list against runs in which one key at a time is changed here, in the plant alone.

mod keys;

use crate::pages;
use keys::{OWN, declared};
use std::collections::BTreeMap;
use twinplate_check::assumed::FIRST;
use twinplate_check::check::Checked;
use twinplate_sim::bench::{Drawn, Job, NoRecorder, ensemble, run_cycle};
use twinplate_sim::demo;
use twinplate_sim::model::Deviations;
use twinplate_sim::requirements::{Requirement, RunJudgement, judge};

/// Smallest share of its bound that any requirement of a run leaves, percent; a broken count is worth -100.
fn smallest(run: &RunJudgement) -> f64 {
    let left = |item: &twinplate_sim::requirements::Judged| {
        if item.limit > 0.0 {
            (100.0 * (1.0 - item.value / item.limit)).max(-100.0)
        } else if item.value > item.limit {
            -100.0
        } else {
            100.0
        }
    };
    run.items.iter().map(left).fold(100.0, f64::min)
}

/// Least margin that counts, said a second time.
const LEAST: f64 = 5.0;
/// Seeds of the noise of the runs here; `check` has others.
const SEEDS: [u64; 4] = [11, 12, 13, 14];

/// What a run leaves of each requirement, percent.
type Left = BTreeMap<Requirement, f64>;

fn left(run: &RunJudgement) -> Left {
    let mut all = Left::new();
    for item in &run.items {
        let left = if item.limit > 0.0 {
            (100.0 * (1.0 - item.value / item.limit)).max(-100.0)
        } else if item.value > item.limit {
            -100.0
        } else {
            100.0
        };
        let least = all.entry(item.requirement).or_insert(left);
        *least = least.min(left);
    }
    all
}

/// Every varying key of a short machine at both of its ends, in the plant alone, with the noise of one seed; and the nominal run.
fn runs(job: &Job, noise: u64) -> (RunJudgement, Vec<(&'static str, [RunJudgement; 2])>) {
    let nominal = judged(job, Deviations::NOMINAL, noise);
    let mut jobs: Vec<(&'static str, [(Job, Deviations); 2])> = Vec::new();
    for (key, field, by) in OWN {
        let ends = [false, true].map(|upper| {
            // The controller keeps the parameters of the file.
            let mut changed = job.clone();
            let value = field(&mut changed.machine);
            *value = by.end(*value, upper);
            (changed, Deviations::NOMINAL)
        });
        jobs.push((key, ends));
    }
    for (key, ends) in declared() {
        let ends = ends.map(|(deviations, longer)| {
            let mut changed = job.clone();
            changed.machine.actuator.lag *= longer;
            (changed, deviations)
        });
        jobs.push((key, ends));
    }
    let ran = ensemble(2 * jobs.len(), 2, &|_| (), |index| {
        let (job, deviations) = &jobs[index / 2].1[index % 2];
        judged(job, *deviations, noise)
    });
    let mut ran = ran.into_iter();
    let all = jobs
        .iter()
        .map(|(key, _)| (*key, [(); 2].map(|()| ran.next().expect("a run"))))
        .collect();
    (nominal, all)
}

fn judged(job: &Job, deviations: Deviations, noise: u64) -> RunJudgement {
    let outcome = run_cycle(&job.setup(deviations, noise), None, NoRecorder);
    judge(job, &outcome.expect("a run"))
}

fn job_of(recipe: &str) -> Job {
    let (full, batch, recipe) = demo::set(recipe);
    Job::new(super::short(&full.id), batch, recipe).expect("compiles")
}

/// With the noise of `check` itself the smallest margins are those of its list, and the order is that of what the keys take.
fn as_listed(recipe: &str, checked: &Checked) -> f64 {
    let list = checked.report.assumed.as_ref().expect("a list");
    let job = job_of(recipe);
    let noise = job.drawn(Drawn { seed: 1, index: 0 }).seed;
    let (nominal, all) = runs(&job, noise);
    assert!((list.margin_pct.expect("runs") - smallest(&nominal)).abs() < 0.01);
    let ranked = list.keys.iter().filter(|key| key.rank.is_some());
    assert_eq!(all.len(), ranked.count(), "{recipe}");
    let mut furthest: f64 = 0.0;
    for (key, ends) in &all {
        let told = list
            .keys
            .iter()
            .find(|told| told.key == *key)
            .expect("listed");
        for (told, run) in told.margin_pct.expect("ranked").iter().zip(ends) {
            furthest = furthest.max((told - smallest(run)).abs());
        }
    }
    // Those that make the check fail before all others.
    let order: Vec<(bool, f64)> = list
        .keys
        .iter()
        .filter_map(|key| Some((key.fails.is_some(), key.takes_pct?)))
        .collect();
    let sorted = |pair: &[(bool, f64)]| pair[0] >= pair[1];
    assert!(order.windows(2).all(sorted), "{recipe}: {order:?}");
    furthest
}

/// What each key takes of any margin beyond the noise and with it, percent, by the means of runs with other noise than that of `check`.
fn taken(job: &Job) -> Vec<(&'static str, [f64; 2])> {
    let many: Vec<_> = SEEDS.iter().map(|seed| runs(job, *seed)).collect();
    let nominal: Vec<Left> = many.iter().map(|(nominal, _)| left(nominal)).collect();
    let mean = |of: &[Left], which: Requirement| {
        let sum: f64 = of
            .iter()
            .map(|left| left.get(&which).unwrap_or(&-100.0))
            .sum();
        sum / of.len() as f64
    };
    let noise = |which: Requirement| {
        let of = || nominal.iter().map(|left| left[&which]);
        of().fold(f64::MIN, f64::max) - of().fold(f64::MAX, f64::min)
    };
    let keys = many[0].1.iter().enumerate();
    keys.map(|(place, (key, _))| {
        let mut most = [0.0_f64; 2];
        for end in [0, 1] {
            let there: Vec<Left> = many
                .iter()
                .map(|(_, all)| left(&all[place].1[end]))
                .collect();
            for which in nominal[0].keys() {
                let before = mean(&nominal, *which);
                let lost = before - mean(&there, *which);
                for (most, less) in most.iter_mut().zip([noise(*which), 0.0]) {
                    *most = most.max(100.0 * (lost - less) / before.max(LEAST));
                }
            }
        }
        (*key, most)
    })
    .collect()
}

/// Places of the keys in order of what they take beyond noise, then of what they take at all, to a hundredth of a percent; what is equal
/// shares the mean of its places.
fn ranks(takes: &[[f64; 2]]) -> Vec<f64> {
    let rounded: Vec<[f64; 2]> = takes
        .iter()
        .map(|both| both.map(|share| (share * 100.0).round()))
        .collect();
    let place = |key: &[f64; 2]| {
        let over = rounded.iter().filter(|other| *other > key).count();
        let same = rounded.iter().filter(|other| *other == key).count();
        over as f64 + (same as f64 + 1.0) / 2.0
    };
    rounded.iter().map(place).collect()
}

/// Rank correlation (Spearman) of two lists of values.
fn correlation(one: &[f64], other: &[f64]) -> f64 {
    let middle = (one.len() as f64 + 1.0) / 2.0;
    let product = |a: &[f64], b: &[f64]| -> f64 {
        a.iter()
            .zip(b)
            .map(|(a, b)| (a - middle) * (b - middle))
            .sum()
    };
    product(one, other) / (product(one, one) * product(other, other)).sqrt()
}

/// The first keys of a list of places.
fn first(ranks: &[f64], many: usize) -> Vec<usize> {
    let mut keys: Vec<usize> = (0..ranks.len()).collect();
    keys.sort_by(|a, b| ranks[*a].total_cmp(&ranks[*b]));
    keys.truncate(many);
    keys
}

/// A row of the page: how the list of `check` agrees with runs of the same noise, and how with runs of other noise.
fn row(recipe: &str) -> Vec<String> {
    let checked = super::short_check(recipe, super::SAMPLE);
    let furthest = as_listed(recipe, checked);
    let list = checked.report.assumed.as_ref().expect("a list");
    let here = taken(&job_of(recipe));
    let told: Vec<(&'static str, [f64; 2])> = here
        .iter()
        .map(|(key, _)| {
            let told = list.keys.iter().find(|told| told.key == *key);
            let told = told.expect("listed");
            let shares = [told.takes_pct, told.takes_with_noise_pct];
            (*key, shares.map(|share| share.expect("run")))
        })
        .collect();
    let places =
        |of: &[(&str, [f64; 2])]| ranks(&of.iter().map(|(_, takes)| *takes).collect::<Vec<_>>());
    let (told_at, here_at) = (places(&told), places(&here));
    let alike = |many: usize| {
        let other = first(&here_at, many);
        let alike = first(&told_at, many);
        alike.iter().filter(|key| other.contains(key)).count()
    };
    let noticed: Vec<String> = first(&told_at, told.len())
        .into_iter()
        .map(|key| told[key])
        .filter(|(_, [beyond, _])| *beyond >= 1.0)
        .map(|(key, [beyond, _])| format!("`{key}` {beyond:.0}"))
        .collect();
    vec![
        format!("`{recipe}`"),
        told.len().to_string(),
        format!("{furthest:.2}"),
        format!("{:.2}", correlation(&told_at, &here_at)),
        alike(FIRST).to_string(),
        alike(3).to_string(),
        if noticed.is_empty() {
            "none".to_owned()
        } else {
            noticed.join(", ")
        },
    ]
}

const PAGE: &str = "docs/measure-your-machine.md";
const HEAD: [&str; 7] = [
    "recipe",
    "keys tried",
    "same noise: furthest apart, points",
    "other noise: rank correlation",
    "of the first seven alike",
    "of the first three",
    "what takes over 1 % of a margin beyond noise, %",
];

/// Minutes: the table of all six jobs.
#[test]
#[ignore = "minutes: UPDATE=1 cargo test --release -p twinplate-tests --test study -- --ignored"]
fn the_measuring_lists_and_one_at_a_time_runs() {
    let rows: Vec<Vec<String>> = demo::recipes().iter().map(|recipe| row(recipe)).collect();
    pages::check(PAGE, "one-at-a-time", &pages::table(&HEAD, rows));
}

/// Share of a margin, percent, from which on a key must be found again with other noise.
const MUCH: f64 = 10.0;

/// The ranking of `check` agrees with runs in which one key at a time is changed here, in the plant alone: with the same noise to the
/// digit; with other noise what takes much of a margin stands first again, and more than half of the seven. One job is run; of the others
/// the page has the numbers.
#[test]
fn the_measuring_list_agrees_with_one_at_a_time_runs() {
    for recipe in demo::recipes() {
        let row = super::verdicts::committed("one-at-a-time", &format!("`{recipe}`"));
        let number = |cell: &str| -> f64 { cell.parse().expect("a number") };
        assert!(number(&row[2]) <= 0.01, "{row:?}");
        assert!(number(&row[3]) >= 0.5, "{row:?}");
        assert!(number(&row[4]) > FIRST as f64 / 2.0, "{row:?}");
        let much = row[6]
            .split(", ")
            .filter_map(|key| key.split(' ').nth(1)?.parse().ok())
            .filter(|takes: &f64| *takes >= MUCH)
            .count();
        assert!(number(&row[5]) >= much.min(3) as f64, "{row:?}");
    }
    assert_eq!(
        row("glass-f800"),
        super::verdicts::committed("one-at-a-time", "`glass-f800`")
    );
}
