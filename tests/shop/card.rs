//! The setup card: its numbers by hand, and against what the plant does.

use crate::set;
use firmware_core::sequence::Phase;
use twinplate_shop::card::{Card, Checked};
use twinplate_sim::bench::{Drawn, Job, Recorder, TickView, run_cycle};

const DAY: &str = "2026-03-02";

/// Mean cap pressure in the second half of each step's dwell, Pa.
struct Gauge<'a>(&'a mut Vec<Vec<f64>>);

impl Recorder for Gauge<'_> {
    fn record(&mut self, view: &TickView<'_>) {
        if view.status.phase == Phase::Dwell {
            let step = usize::from(view.status.step);
            self.0.resize(self.0.len().max(step + 1), Vec::new());
            self.0[step].push(view.truth.cap_pressure);
        }
    }
}

/// By hand: (load - (58 kg · g - rod side · 3.085 bar))/cap side of a 50 mm bore with a 20 mm rod.
#[test]
fn the_gauge_is_what_the_resting_load_lacks() {
    let set = set("glass-f800");
    let job = Job::of(&set, None).expect("a job");
    let card = Card::of(&set, &job, Checked::Not, DAY);
    let cap = std::f64::consts::PI / 4.0 * 0.05 * 0.05;
    let rod = std::f64::consts::PI / 4.0 * (0.05 * 0.05 - 0.02 * 0.02);
    let resting = 58.0 * 9.80665 - rod * 3.085e5;
    let area = 15.0 * std::f64::consts::PI / 4.0 * 0.05 * 0.05;
    for (step, pressure) in card.steps.iter().zip([6e3, 9e3]) {
        let load = pressure * area;
        assert!((step.load / load - 1.0).abs() < 1e-5, "{step:?}");
        let gauge = step.gauge.expect("over the resting load");
        assert!(
            (gauge / ((load - resting) / cap) - 1.0).abs() < 1e-4,
            "{step:?}"
        );
    }
}

/// What the plant's cylinder holds in the second half of each dwell is what the card says, but for the seals' friction and the weight of
/// nothing else: friction over the cap side is 0.04 to 0.08 bar here.
#[test]
fn the_gauge_is_the_plant_s_pressure() {
    for recipe in ["glass-f800", "steel-f400", "zirconia-fixed"] {
        let set = set(recipe);
        let job = Job::of(&set, None).expect("a job");
        let card = Card::of(&set, &job, Checked::Not, DAY);
        let mut held = Vec::new();
        let setup = job.drawn(Drawn { seed: 1, index: 0 });
        run_cycle(&setup, None, Gauge(&mut held)).expect("a run");
        assert_eq!(held.len(), card.steps.len());
        let a = &job.machine.actuator;
        let friction = a.seal_breakaway / a.area_cap();
        for (step, held) in card.steps.iter().zip(&held) {
            let last = &held[held.len() / 2..];
            let mean = last.iter().sum::<f64>() / last.len() as f64;
            let said = step.gauge.expect("over the resting load");
            assert!(
                (mean - said).abs() < friction + 0.01 * said,
                "{recipe} {}: {mean:.0} Pa, said {said:.0}, friction {friction:.0}",
                step.name
            );
        }
    }
}

/// By hand: 20 % by mass are 250 g to a kilogram; of water that is a litre.
#[test]
fn the_mix_is_that_of_the_concentration() {
    let set = set("glass-f800");
    let job = Job::of(&set, None).expect("a job");
    let slurry = Card::of(&set, &job, Checked::Not, DAY).slurry;
    assert!((slurry.to_a_kilogram.expect("grains") - 0.25).abs() < 1e-12);
    assert!((slurry.to_a_volume.expect("grains") - 250.0).abs() < 1e-9);
    let [grains, vehicle] = slurry.tank;
    // Ten litres; alumina of 3.95 kg/L.
    assert!((grains / 3950.0 + vehicle - 0.01).abs() < 1e-12);
    assert!((grains / (grains + 1000.0 * vehicle) - 0.2).abs() < 1e-12);
}

/// Any change of any of the three files is another hash; the day is not in it.
#[test]
fn the_hash_is_that_of_the_three_files() {
    let set = set("glass-f800");
    let job = Job::of(&set, None).expect("a job");
    let card = |set: &twinplate_sim::files::Set, day| Card::of(set, &job, Checked::Not, day).hash;
    let own = card(&set, DAY);
    assert_eq!(own, card(&set, "2027-01-01"));
    for change in 0..3 {
        let mut other = set.clone();
        match change {
            0 => other.recipe.hash ^= 1,
            1 => other.machine.hash ^= 1,
            _ => other.batch.hash ^= 1,
        }
        assert_ne!(own, card(&other, DAY));
    }
}
