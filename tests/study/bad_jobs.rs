//! Jobs that are bad by grain, slurry, damage, gauge, carrier or lot, each by one number in a good job: `check` must say so, and for that reason.

use crate::trials::{Set, checked, told};
use twinplate_check::predict::predict;
use twinplate_check::verdict::Verdict;
use twinplate_check::{Case, Code};
use twinplate_sim::demo;
use twinplate_sim::model::{End, LoadingOrder};
use twinplate_sim::requirements::Requirement;

/// Which good job, what is wrong, the code that must speak, and the verdict.
type Bad = (&'static str, &'static str, fn(&mut Set), Code, Verdict);

const BAD: &[Bad] = &[
    (
        "glass-f800",
        "the thinnest parts keep what the process before did to them",
        |(_, b, _)| {
            b.spread = 3e-6;
            b.damage = 5.5e-6;
        },
        Code::DamageLeft,
        Verdict::Fail,
    ),
    (
        "glass-f800",
        "the same where the batch says nothing of damage",
        |(_, b, _)| {
            b.damage_left = None;
            b.spread = 3e-6;
            b.damage = 5.5e-6;
        },
        Code::DamageLeft,
        Verdict::Fail,
    ),
    (
        "glass-f800",
        "no slurry, no removal",
        |(_, _, r)| r.consumables.concentration = 0.0,
        Code::NoAbrasive,
        Verdict::Fail,
    ),
    (
        "glass-f800",
        "next to no grains",
        |(_, _, r)| r.consumables.concentration = 0.02,
        Code::ConcentrationUnusual,
        Verdict::Warn,
    ),
    (
        "glass-f800",
        "more grains than liquid",
        |(_, _, r)| r.consumables.concentration = 0.6,
        Code::ConcentrationUnusual,
        Verdict::Warn,
    ),
    (
        "glass-f800",
        "grains of 40 µm that leave a mirror and no damage",
        |(_, b, r)| {
            b.finish = 1e-8;
            let c = &mut r.consumables;
            (c.grain, c.measured_at) = (40e-6, None);
            (c.roughness, c.damage) = (Some(1e-9), Some(0.0));
        },
        Code::FinishImpossible,
        Verdict::Fail,
    ),
    (
        "silicon-f1000",
        "a brittle material lapped without damage",
        |(_, _, r)| r.consumables.damage = Some(0.0),
        Code::FinishImpossible,
        Verdict::Fail,
    ),
    (
        "steel-f400",
        "a finish that this grain does not leave",
        |(_, _, r)| r.consumables.roughness = Some(0.05e-6),
        Code::FinishUnusual,
        Verdict::Warn,
    ),
    (
        "silicon-f1000",
        "damage that is thought shallower than it is",
        |(_, _, r)| r.consumables.damage = Some(0.4e-6),
        Code::DamageUnusual,
        Verdict::Warn,
    ),
    (
        "glass-f800",
        "removal with a slip in its power of ten",
        |(_, _, r)| r.consumables.removal = Some(8e-13),
        Code::RemovalUnusual,
        Verdict::Warn,
    ),
    (
        "glass-f800",
        "nobody measured anything",
        |(_, _, r)| {
            let c = &mut r.consumables;
            (c.removal, c.roughness, c.damage, c.measured_at) = (None, None, None, None);
        },
        Code::ProcessAssumed,
        Verdict::Warn,
    ),
    (
        "glass-f800",
        "a grain that is for sieves",
        |(_, _, r)| {
            (r.consumables.grain, r.consumables.measured_at) = (150e-6, None);
        },
        Code::GrainUnpublished,
        Verdict::Warn,
    ),
    (
        "alumina-diamond",
        "diamond by the shovel",
        |(_, _, r)| r.consumables.concentration = 0.2,
        Code::ConcentrationUnusual,
        Verdict::Warn,
    ),
    (
        "zirconia-fixed",
        "the batch allows less damage than the process leaves",
        |(_, b, _)| b.damage_left = Some(1e-6),
        Code::DamageLeft,
        Verdict::Fail,
    ),
    (
        "glass-f800",
        "carriers of a sheet so thin that their teeth lift",
        |(_, b, _)| b.carrier_thickness = 0.05e-3,
        Code::CarrierTeethWeak,
        Verdict::Fail,
    ),
    (
        "glass-f800",
        "a sorted lot laid in as it comes",
        |(_, b, _)| b.order = LoadingOrder::ByThickness,
        Code::LotInOrder,
        Verdict::Warn,
    ),
];

#[test]
fn each_bad_job_is_found_bad_for_its_reason() {
    let mut wrong = Vec::new();
    for (name, what, change, code, verdict) in BAD {
        let mut set = demo::set(name);
        change(&mut set);
        let result = checked(&set, 0, 1);
        let found = told(&result);
        // A warning may come with others; an error must be there, and be what fails.
        if !found.contains(&code.entry().code) || result.report.verdict < *verdict {
            wrong.push(format!(
                "{name}, {what}: {:?}, {found:?}",
                result.report.verdict
            ));
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

/// What the trials find of damage when the static rule is not asked: the deepest in a run is that of one part's face.
#[test]
fn the_trials_find_damage_left_in_one_part() {
    use twinplate_sim::bench::{Job, NoRecorder, run_cycle};
    use twinplate_sim::requirements::judge;
    let (machine, mut batch, recipe) = demo::set("glass-f800");
    batch.spread = 3e-6;
    batch.damage = 5.5e-6;
    batch.damage_left = None;
    let job = Job::new(machine, batch, recipe).expect("a job");
    let outcome = run_cycle(&job.nominal(1), None, NoRecorder).expect("a run");
    let judged = judge(&job, &outcome);
    let item = judged
        .items
        .iter()
        .find(|item| item.requirement == Requirement::Damage)
        .expect("judged");
    let parts = || {
        outcome
            .parts
            .iter()
            .filter(|part| part.present && !part.dummy)
    };
    let least = parts()
        .map(|part| part.removed_lower.min(part.removed_upper))
        .fold(f64::INFINITY, f64::min);
    assert!((item.value - (5.5 - least * 1e6)).abs() < 1e-9, "{item:?}");
    assert!(!item.holds(), "{item:?}");
    let left = outcome.summary.damage_left.expect("product");
    let deepest = outcome.parts[left.part];
    assert_eq!(
        least,
        [deepest.removed_lower, deepest.removed_upper][left.face]
    );
    // On average the batch is sound: that is what hid it.
    let mean = parts()
        .map(|p| p.removed_lower + p.removed_upper)
        .sum::<f64>()
        / 15.0;
    assert!(5.5e-6 - mean / 2.0 < 2e-6, "{mean}");
}

/// The size that the gauge ends at is the gauge's: a tolerance finer than its error passes on the machine as its file says, and not
/// over the envelope.
#[test]
fn a_tolerance_finer_than_the_gauge_fails_over_the_envelope() {
    let mut set = demo::set("glass-f800");
    set.1.spread = 0.1e-6;
    set.1.tolerance = 0.45e-6;
    set.1.target = 0.538e-3 + 0.06e-6;
    let size = |set: &Set, draws| {
        let result = checked(set, draws, 2);
        told(&result).contains(&Code::ProofSize.entry().code)
    };
    assert!(!size(&set, 0), "the nominal machine hits it");
    assert!(size(&set, 40), "a gauge half a micrometre off does not");
    let e = &mut set.0.envelope;
    (e.gauge_bias, e.gauge_drift, e.gauge_temperature) = (0.0, 0.0, 0.0);
    assert!(!size(&set, 40), "a true gauge does");
}

/// What the recipe's author reads: time, finish and damage follow grain and concentration, where it is said with what they were
/// measured.
#[test]
fn grain_and_concentration_change_the_prediction() {
    let predicted = |grain: f64, concentration: f64| {
        let (machine, batch, mut recipe) = demo::set("glass-f800");
        recipe.consumables.grain = grain;
        recipe.consumables.concentration = concentration;
        recipe.steps[1].end = End::Size {
            thickness: 0.538_3e-3,
        };
        let case = Case {
            machine: &machine,
            batch: &batch,
            recipe: &recipe,
        };
        let p = predict(&case, 1.0);
        (p.cycle, p.roughness, p.abrasion.damage)
    };
    let (usual, coarse, fine) = (
        predicted(6.5e-6, 0.2),
        predicted(17.3e-6, 0.2),
        predicted(3e-6, 0.2),
    );
    assert!(
        coarse.0 < usual.0 && usual.0 < fine.0,
        "{coarse:?} {usual:?} {fine:?}"
    );
    assert!(coarse.1 > usual.1 && usual.1 > fine.1);
    assert!(coarse.2 > usual.2 && usual.2 > fine.2);
    let (thin, crowded) = (predicted(6.5e-6, 0.1), predicted(6.5e-6, 0.4));
    assert!(thin.0 > usual.0 && crowded.0 > usual.0);
}

/// No size is told or judged finer than a gauge sees it.
#[test]
fn sizes_have_the_digits_of_a_gauge() {
    let result = checked(&demo::set("glass-f800"), 2, 2);
    let sizes = result.report.prediction.thickness_um;
    let cases = result
        .report
        .envelope
        .cases
        .iter()
        .filter(|case| [Requirement::Size, Requirement::Spread].contains(&case.requirement));
    let told: Vec<f64> = [sizes.mean, sizes.sd, sizes.min, sizes.max]
        .into_iter()
        .chain(cases.map(|case| case.value))
        .collect();
    assert_eq!(told.len(), 6);
    for value in told {
        assert_eq!(value, (value * 100.0).round() / 100.0);
    }
}
