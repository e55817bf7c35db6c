//! What correcting is worth: campaigns whose removal drifts, made twice or more from the same draws, each time with another way to set the
//! next time.
//!
//! The generator, all of it invented: 40 batches of the demonstration recipe `glass-polish`, 3.6 µm of stock. The removal rate begins up to
//! 10 % off the plan and takes a step of 0.5 to 2 % of it before each batch (log-uniform over the campaigns); in two campaigns of three the
//! plates are conditioned every 8 to 16 batches, which shifts it by another 6 %. Each batch scatters by 0.5 to 2.5 % about it. Batches come
//! in 0.1 µm apart; means in and out are measured on ten parts by a gauge that repeats within 0.05 µm.

use rand_distr::{Distribution, StandardNormal, Uniform};
use std::path::Path;
use twinplate_calibrate::removal::Shown;
use twinplate_check::Case;
use twinplate_check::predict::predict;
use twinplate_production::correct::{Asked, By, next_batch};
use twinplate_production::record::{Batch, Done, Record};
use twinplate_sim::files::{Overrides, Set, load_set};
use twinplate_sim::plant::seed::{Stream, stream};

const CAMPAIGNS: u64 = 500;
const BATCHES: usize = 40;
/// The first batches teach every way what it needs; they are not counted.
const TAUGHT: usize = 12;
const GAUGE: f64 = 0.05e-6;
const PARTS: f64 = 10.0;

pub const ASKED: Asked<'_> = Asked {
    step: None,
    by: By::Time,
};

pub fn set() -> Set {
    let recipe = Path::new(env!("CARGO_MANIFEST_DIR")).join("../recipes/recipes/glass-polish.toml");
    load_set(&recipe, &Overrides::default()).expect("the recipe")
}

pub fn empty() -> Record {
    Record {
        batches: Vec::new(),
        next: None,
        length: Shown {
            symbol: "mm",
            size: 1e-3,
        },
        time: Shown {
            symbol: "s",
            size: 1.0,
        },
        load: None,
    }
}

/// What a campaign is made of.
struct Truth {
    /// Variances of the walk, a step and the scatter, of rates in m/s.
    walk: f64,
    step: f64,
    scatter: f64,
    /// Batches before which the plates are conditioned.
    done: Vec<bool>,
    rates: Vec<f64>,
    /// Share by which each batch is off its rate.
    scattered: Vec<f64>,
    incoming: Vec<f64>,
    /// Errors of the means in and out.
    errors: Vec<[f64; 2]>,
}

fn normal(noise: &mut Stream) -> f64 {
    StandardNormal.sample(noise)
}

fn between(noise: &mut Stream, low: f64, high: f64) -> f64 {
    Uniform::new(low, high).expect("a range").sample(noise)
}

/// What the plan says: rate, m/s, in-band time and what ramps and other steps add to it, s, target and nominal incoming thickness, m.
struct Plan {
    rate: f64,
    time: f64,
    beside: f64,
    target: f64,
    incoming: f64,
}

fn plan(set: &Set) -> Plan {
    let plan = predict(&Case::of(set), 1.0);
    let rate = plan.steps[1].removal_rate_um_min / 60e6;
    let time = 210.0;
    Plan {
        rate,
        time,
        beside: (plan.removal[0] + plan.removal[1]) / rate - time,
        target: set.batch.value.target,
        incoming: set.batch.value.thickness,
    }
}

fn drawn(number: u64, plan: &Plan) -> Truth {
    let mut noise = stream(number, "campaign", "draw", 0);
    let walk = plan.rate * 0.005 * 4.0_f64.powf(between(&mut noise, 0.0, 1.0));
    let scatter = plan.rate * between(&mut noise, 0.005, 0.025);
    let step = plan.rate * 0.06;
    let every = between(&mut noise, 8.0, 17.0) as usize;
    let conditioned = !number.is_multiple_of(3);
    let done: Vec<bool> = (0..BATCHES)
        .map(|at| conditioned && at > 0 && at % every == 0)
        .collect();
    let mut rate = plan.rate * between(&mut noise, 0.9, 1.1);
    let rates = done
        .iter()
        .map(|done| {
            rate += walk * normal(&mut noise)
                + if *done {
                    step * normal(&mut noise)
                } else {
                    0.0
                };
            rate = rate.max(0.3 * plan.rate);
            rate
        })
        .collect();
    let mean = GAUGE / PARTS.sqrt();
    Truth {
        walk: walk * walk,
        step: step * step,
        scatter: scatter * scatter,
        rates,
        scattered: (0..BATCHES).map(|_| scatter * normal(&mut noise)).collect(),
        incoming: (0..BATCHES)
            .map(|_| plan.incoming + 0.1e-6 * normal(&mut noise))
            .collect(),
        errors: (0..BATCHES)
            .map(|_| [mean * normal(&mut noise), mean * normal(&mut noise)])
            .collect(),
        done,
    }
}

/// Makes a campaign; `set` says the time for the next batch from the batches so far and how it comes in. Gives the size errors that count.
fn make(truth: &Truth, plan: &Plan, mut time: impl FnMut(&Record, usize) -> f64) -> Vec<f64> {
    let mut record = empty();
    let mut off = Vec::new();
    for at in 0..BATCHES {
        let before = truth.incoming[at];
        let coming = Batch {
            line: at + 2,
            before: Some(before + truth.errors[at][0]),
            parts: Some(PARTS),
            gauge: Some(GAUGE),
            done: Done {
                conditioned: truth.done[at],
                slurry: false,
            },
            ..Batch::default()
        };
        record.next = Some(coming.clone());
        let time = time(&record, at);
        let whole = time + plan.beside;
        let after = before - (truth.rates[at] + truth.scattered[at]) * whole;
        if at >= TAUGHT {
            off.push(after - plan.target);
        }
        record.batches.push(Batch {
            after: Some(after + truth.errors[at][1]),
            time: Some(time),
            ..coming
        });
    }
    off
}

fn needed(plan: &Plan, incoming: Option<f64>, rate: f64) -> f64 {
    ((incoming.unwrap_or(plan.incoming) - plan.target) / rate - plan.beside).clamp(30.0, 1000.0)
}

/// Rate of a batch as measured.
fn measured(batch: &Batch, plan: &Plan) -> Option<f64> {
    Some(batch.removed()? / (batch.time? + plan.beside))
}

/// The best that is possible with the true variances: Kalman's filter, written down a second time.
fn optimum(truth: &Truth, plan: &Plan, record: &Record) -> f64 {
    let [mut rate, mut variance] = [plan.rate, (0.1 * plan.rate).powi(2) / 3.0];
    for at in 0..=record.batches.len() {
        variance += truth.walk + if truth.done[at] { truth.step } else { 0.0 };
        if let Some(found) = record.batches.get(at).and_then(|b| measured(b, plan)) {
            let whole = record.batches[at].time.expect("a time") + plan.beside;
            let error = truth.scatter + 2.0 * GAUGE * GAUGE / PARTS / (whole * whole);
            let gain = variance / (variance + error);
            rate += gain * (found - rate);
            variance *= 1.0 - gain;
        }
    }
    rate
}

fn deviation(off: &[f64]) -> f64 {
    (off.iter().map(|x| x * x).sum::<f64>() / off.len() as f64).sqrt()
}

/// The size error's deviation with the filter is at most 60 % of that of the time kept as it is, and within 15 % of the optimum that knows
/// the true variances; of the next batch's size nine in ten to ninety-nine in a hundred lie within the interval of 95 %.
#[test]
fn the_filter_is_worth_what_it_should_be() {
    let set = set();
    let plan = plan(&set);
    let mut all: [Vec<f64>; 5] = Default::default();
    let mut ratios = Vec::new();
    // About the mean of each campaign: a time that was wrong from the beginning is no merit of the filter.
    let mut about: [Vec<f64>; 2] = Default::default();
    let [mut within, mut counted] = [0_u32; 2];
    for number in 0..CAMPAIGNS {
        let truth = drawn(number, &plan);
        let mut intervals = Vec::new();
        let filtered = make(&truth, &plan, |record, at| {
            if at < 6 {
                return plan.time;
            }
            let (next, _) = next_batch("", record, &set, &ASKED).expect("a time");
            if at >= TAUGHT {
                intervals.push([next.size.low, next.size.high]);
            }
            next.new.value.clamp(30.0, 1000.0)
        });
        for (off, [low, high]) in filtered.iter().zip(&intervals) {
            counted += 1;
            within += u32::from(*low <= plan.target + off && plan.target + off <= *high);
        }
        let incoming = |record: &Record| record.next.as_ref().and_then(|next| next.before);
        let kept = make(&truth, &plan, |_, _| plan.time);
        let last = make(&truth, &plan, |record, _| {
            let rate = record.batches.last().and_then(|last| measured(last, &plan));
            needed(&plan, incoming(record), rate.unwrap_or(plan.rate))
        });
        let best = make(&truth, &plan, |record, _| {
            needed(&plan, incoming(record), optimum(&truth, &plan, record))
        });
        let clairvoyant = make(&truth, &plan, |record, at| {
            needed(&plan, incoming(record), truth.rates[at])
        });
        ratios.push(deviation(&filtered) / deviation(&kept));
        for (about, one) in about.iter_mut().zip([&filtered, &kept]) {
            let mean = one.iter().sum::<f64>() / one.len() as f64;
            about.extend(one.iter().map(|off| off - mean));
        }
        for (all, one) in all
            .iter_mut()
            .zip([filtered, kept, last, best, clairvoyant])
        {
            all.extend(one);
        }
    }
    let [filtered, kept, last, best, clairvoyant] = all.each_ref().map(|off| 1e6 * deviation(off));
    ratios.sort_by(f64::total_cmp);
    let about = deviation(&about[0]) / deviation(&about[1]);
    let share = f64::from(within) / f64::from(counted);
    println!(
        "size error, µm: filter {filtered:.4}, kept {kept:.4}, last alone {last:.4}, optimum {best:.4}, clairvoyant {clairvoyant:.4}; \
         ratio to kept {:.3}, about the means {about:.3}, median {:.3}; in the interval {share:.3}",
        filtered / kept,
        ratios[ratios.len() / 2]
    );
    assert!(filtered <= 0.6 * kept, "{filtered} {kept}");
    assert!(
        ratios[ratios.len() / 2] <= 0.6,
        "in the middle campaign too"
    );
    assert!(filtered <= 1.15 * best, "{filtered} {best}");
    assert!(
        filtered < last,
        "better than the last batch alone: {filtered} {last}"
    );
    assert!((0.9..=0.99).contains(&share), "{share}");
}
