//! Flatness control over many batches, on simulated plates that wear.

use firmware_core::plate_form::RingSetting;
use firmware_core::units::{Micrometres, Ratio};
use twinplate_sim::bench::{Drawn, Ended, Job, run_batches};
use twinplate_sim::convert;
use twinplate_sim::demo;
use twinplate_sim::flatness;
use twinplate_sim::model::{End, FlatnessControl, Rings};

/// By how much the lower plate gains on the upper, m a batch: computed, and in cycles on plates that have run in on each other. They
/// wear faster than the file says, so that a few batches are enough for that; both numbers go with the wear.
fn gain(name: &str, reversed: bool, trim: f32) -> [f64; 2] {
    let (mut machine, batch, mut recipe) = demo::set(name);
    // Heat is not in the computed change.
    machine.thermal.slurry_share = 1.0;
    machine.plates.wear *= 40.0;
    machine.conditioning = None;
    let setting = RingSetting {
        reversed,
        trim: Ratio::new(trim),
        change: [Micrometres::ZERO; 2],
    };
    let [lower, upper] = flatness::change(&machine, &batch, &recipe, &setting);
    for step in &mut recipe.steps {
        step.speeds = setting
            .speeds(step.speeds.map(convert::rpm))
            .map(convert::rad_s);
    }
    let job = Job::new(machine, batch, recipe).expect("compiles");
    let mut gained = Vec::new();
    run_batches(&job, Drawn { seed: 1, index: 0 }, 10, |one| {
        assert_eq!(one.outcome.ended, Ended::Complete);
        let [lower, upper] = one.outcome.summary.form.cold;
        gained.push(lower - upper);
    })
    .expect("in process");
    [lower - upper, (gained[9] - gained[5]) / 4.0]
}

#[test]
fn what_a_setting_is_computed_to_do_is_what_cycles_with_it_do() {
    for name in demo::recipes() {
        for (reversed, trim) in [(false, 0.0), (true, 0.0), (true, 0.1)] {
            let [computed, ran] = gain(&name, reversed, trim);
            let off = (computed / ran - 1.0).abs();
            assert!(off < 0.15, "{name} {reversed} {trim}: {computed} {ran} m");
        }
    }
}

/// Fifty short batches on plates that wear twenty times as fast as the machine file says (invented, so that fifty show it), with
/// flatness control as it is written, or changed.
fn fifty(change: impl Fn(&mut Job)) -> (f64, Vec<Ended>, Vec<u8>) {
    let (mut machine, batch, mut recipe) = demo::set("silicon-f1000");
    machine.plates.wear *= 20.0;
    machine.conditioning = None;
    recipe.steps.truncate(1);
    recipe.steps[0].end = End::Time { seconds: 40.0 };
    recipe.flatness = Some(FlatnessControl {
        deadband: 1e-6,
        limit: 4e-6,
        longest_unreported: 5,
        settings: vec![Rings {
            reverse: true,
            trim: 0.0,
        }],
    });
    let mut job = Job::new(machine, batch, recipe).expect("compiles");
    change(&mut job);
    let (mut worst, mut ended, mut settings) = (0.0_f64, Vec::new(), Vec::new());
    run_batches(&job, Drawn { seed: 1, index: 0 }, 50, |one| {
        for form in one.outcome.summary.form.cold {
            worst = worst.max(form.abs());
        }
        ended.push(one.outcome.ended);
        settings.push(one.ring_setting);
    })
    .expect("in process");
    (worst, ended, settings)
}

#[test]
fn with_the_law_plates_stay_in_form_that_leave_it_without() {
    let (with, ended, settings) = fifty(|_| {});
    assert!(ended.iter().all(|ended| *ended == Ended::Complete));
    assert!(
        settings.contains(&0) && settings.contains(&1),
        "{settings:?}"
    );
    let (without, ended, settings) = fifty(|job| {
        job.recipe.flatness = None;
        job.compiled.flatness = None;
    });
    assert!(ended.iter().all(|ended| *ended == Ended::Complete));
    assert!(settings.iter().all(|setting| *setting == 0));
    // The deadband, a light band of reading, and what a batch does.
    assert!(with < 1.5e-6, "{with} m");
    assert!(without > 4e-6, "{without} m");
}

#[test]
fn computed_with_the_wrong_sign_the_limit_stops_it() {
    let (worst, ended, _) = fifty(|job| {
        let control = job.compiled.flatness.as_mut().expect("controlled");
        for setting in &mut control.settings {
            setting.change = setting.change.map(|change| -change);
        }
    });
    let completed = ended.iter().take_while(|e| **e == Ended::Complete).count();
    assert!(completed < 50, "never stopped: {worst} m");
    assert!(ended[completed..].iter().all(|e| *e == Ended::NotStarted));
    assert!(worst > 4e-6 - 0.3e-6 && worst < 5e-6, "{worst} m");
}
