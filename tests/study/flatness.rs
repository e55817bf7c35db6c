//! Flatness control over many batches, on simulated plates that wear.

use firmware_core::plate_form::RingSetting;
use firmware_core::units::{Micrometres, Ratio};
use std::path::Path;
use twinplate_sim::bench::{Drawn, Ended, Job, NoRecorder, run_batches, run_cycle};
use twinplate_sim::convert;
use twinplate_sim::demo;
use twinplate_sim::files::{Overrides, load_set};
use twinplate_sim::flatness;
use twinplate_sim::model::{Batch, End, FlatnessControl, Machine, Measured, Recipe, Rings};

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
    let [lower, upper] =
        flatness::change(&machine, &batch, &recipe, Measured::Straightedge, &setting);
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
        measured: Measured::Straightedge,
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

/// One batch of the windows of `variants/glass-flat.toml`: flatness of the worst face, form of the plates as warm as they are, what the
/// bands told of it, all in m; ring setting; whether it was conditioned after it.
struct Lapped {
    flat: f64,
    plates: [f64; 2],
    read: [f64; 2],
    setting: u8,
    conditioned: Option<[f64; 2]>,
}

/// The variant's machine, batch and recipe.
fn windows() -> (Machine, Batch, Recipe) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../recipes/variants/glass-flat.toml");
    let set = load_set(&path, &Overrides::default()).expect("the variant reads");
    (set.machine.value, set.batch.value, set.recipe.value)
}

fn lap(job: &Job, count: u32) -> Vec<Lapped> {
    let mut lapped = Vec::new();
    run_batches(job, Drawn { seed: 1, index: 0 }, count, |one| {
        assert_eq!(one.outcome.ended, Ended::Complete);
        lapped.push(Lapped {
            flat: one.outcome.summary.form.flatness,
            plates: one.outcome.summary.form.warm,
            read: one.read.unwrap_or_default(),
            setting: one.ring_setting,
            conditioned: one.conditioned,
        });
    })
    .expect("in process");
    lapped
}

/// The story of the page about plates, rule by rule.
#[test]
fn bands_catch_the_drift_rings_stop_it_and_conditioning_takes_away_what_rings_cannot() {
    let (machine, batch, recipe) = windows();
    let tools = machine.conditioning.clone().expect("conditioned");
    let control = recipe.flatness.clone().expect("controlled");
    let job = Job::new(machine.clone(), batch.clone(), recipe.clone()).expect("compiles");
    let with = lap(&job, 50);

    let mut alone = recipe;
    alone.flatness = None;
    let mut untended = machine.clone();
    untended.conditioning = None;
    let without = lap(
        &Job::new(untended, batch.clone(), alone).expect("compiles"),
        50,
    );
    let lost = without.iter().position(|one| one.flat > batch.flatness);
    let lost = lost.expect("left alone, the tolerance is lost within fifty batches");

    // Caught by the bands, before the tolerance is lost.
    let beyond = |form: [f64; 2], limit: f64| form.iter().any(|form| form.abs() > limit);
    let caught = with.iter().position(|one| one.setting > 0).expect("caught");
    assert!(caught < lost, "{caught} {lost}");
    assert!(beyond(with[caught - 1].read, control.deadband));
    assert!(
        with[..caught - 1]
            .iter()
            .all(|one| !beyond(one.read, control.deadband))
    );
    for (one, other) in with.iter().zip(&without).take(caught) {
        assert_eq!(one.flat, other.flat, "until then as programmed");
    }

    // The trend turns: from then on the parts lose less than a tenth of what they lose without the law.
    let due = with.iter().position(|one| one.conditioned.is_some());
    let due = due.expect("conditioned within fifty batches");
    let lost_by = |run: &[Lapped]| run[due].flat - run[caught - 1].flat;
    assert!(
        lost_by(&with) < 0.1 * lost_by(&without),
        "{} {}",
        lost_by(&with),
        lost_by(&without)
    );
    assert!(with.iter().all(|one| one.flat < batch.flatness));

    // Conditioned where the law has no authority left: no setting would make good what it makes worse.
    assert!(beyond(with[due].read, tools.at));
    let settings = &job.compiled.flatness.as_ref().expect("controlled").settings;
    let square = |form: [f64; 2]| form[0] * form[0] + form[1] * form[1];
    let read = with[due].read.map(|form| form * 1e6);
    for setting in settings {
        let [lower, upper] = setting.change.map(|change| f64::from(change.get()));
        let left = square([read[0] + lower, read[1] + upper]) / square(read);
        assert!(left > 0.95, "{setting:?} leaves {left}");
    }
    assert!(with[due + 1].flat < 0.75 * with[due].flat);
}

/// Tools that turn as machine B's do, against the wear of rings as programmed, ruin plates that reversed rings have worn: both of them.
#[test]
fn conditioning_the_wrong_way_round_ruins_both_plates() {
    let (mut machine, batch, recipe) = windows();
    let tools = machine.conditioning.as_mut().expect("conditioned");
    tools.speeds = demo::machine("machine-b")
        .conditioning
        .expect("conditioned")
        .speeds;
    let lapped = lap(&Job::new(machine, batch, recipe).expect("compiles"), 34);
    let due = lapped.iter().position(|one| one.conditioned.is_some());
    let due = due.expect("conditioned, and lapped once more");
    let after = lapped[due].conditioned.expect("conditioned");
    for (after, before) in after.iter().zip(lapped[due].plates) {
        assert!(after.abs() > before.abs(), "{after} after {before}");
    }
    assert!(lapped[due + 1].flat > lapped[due].flat);
}

/// Against the closed form: a part that turns on a plate bowed by `b` over its diameter `D` takes a sag of `b (d/D)²` over its own
/// diameter `d` (any text on spherical surfaces). Plates that are spheres and do not wear are read back from the bands, to what a quarter
/// of a band in the mean of five faces is on them.
#[test]
fn spherical_plates_are_read_back_from_the_bands() {
    let (mut machine, batch, mut recipe) = windows();
    let given = [6e-6, -4e-6];
    machine.plates.wear = 0.0;
    machine.plates.form = given;
    machine.thermal.slurry_share = 1.0;
    machine.conditioning = None;
    recipe.flatness.as_mut().expect("controlled").limit = 50e-6;
    let g = machine.geometry.clone();
    let job = Job::new(machine, batch.clone(), recipe).expect("compiles");
    let (outer, inner) = (g.plate_outer, g.plate_inner);
    let bow_over_form = outer * outer / (outer * outer - inner * inner);
    let width = 2.0 * batch.outline.outer_radius();
    let sag = given.map(|form| form * bow_over_form * (width / outer) * (width / outer));
    let setup = job.nominal(1);
    let outcome = run_cycle(&setup, None, NoRecorder).expect("a run");
    for part in &outcome.parts {
        // Upwards, the rim hangs on a convex lower plate and stands under a convex upper one.
        for (found, due) in part.sags.iter().zip([-sag[0], sag[1]]) {
            assert!(
                (found - due).abs() < 0.1 * due.abs() + 0.02e-6,
                "{found} {due}"
            );
        }
    }
    let read = flatness::by_bands(&job.machine, &job.batch, &outcome.parts, 7).expect("product");
    let band = 0.5 * batch.wavelength;
    let faces = outcome.parts.len() as f64;
    let misread = flatness::MISREAD * band / faces.sqrt() * (given[0] / sag[0]);
    for (read, given) in read.iter().zip(given) {
        assert!(
            (read - given).abs() < misread + 0.1 * given.abs(),
            "{read} {given}"
        );
    }
}

/// What a setting is computed to do to the bands is what cycles with it do to them, to a fifth of the drift of rings as programmed. With
/// rings reversed the lower plate slides four times as fast as the upper one: what the weight of carriers and parts takes off it alone
/// must then be in the pressure that plates run in to.
#[test]
fn the_bands_go_where_the_computed_change_says() {
    for (reverse, trim) in [(false, 0.0), (true, 0.2)] {
        let (mut machine, batch, mut recipe) = windows();
        machine.thermal.slurry_share = 1.0;
        machine.conditioning = None;
        let control = recipe.flatness.take().expect("controlled");
        assert_eq!(control.measured, Measured::Bands);
        let setting = RingSetting {
            reversed: reverse,
            trim: Ratio::new(trim),
            change: [Micrometres::ZERO; 2],
        };
        let [lower, upper] = flatness::change(&machine, &batch, &recipe, Measured::Bands, &setting);
        for step in &mut recipe.steps {
            step.speeds = setting
                .speeds(step.speeds.map(convert::rpm))
                .map(convert::rad_s);
        }
        let job = Job::new(machine, batch, recipe).expect("compiles");
        let mut told = Vec::new();
        run_batches(&job, Drawn { seed: 1, index: 0 }, 30, |one| {
            let parts = &one.outcome.parts;
            // Without misreading: the mean of many readings.
            let many =
                (0..100).filter_map(|n| flatness::by_bands(&job.machine, &job.batch, parts, n));
            let gain: f64 = many.map(|[lower, upper]| lower - upper).sum();
            told.push(gain / 100.0);
        })
        .expect("in process");
        let ran = (told[29] - told[14]) / 15.0;
        let (off, drift) = (ran - (lower - upper), 0.6e-6);
        assert!(
            off.abs() < 0.2 * drift,
            "{reverse} {trim}: {ran} of {}",
            lower - upper
        );
    }
}
