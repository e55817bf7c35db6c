//! Jobs that are bad by grain, slurry, damage, form, heat or gauge, each by one thing in a good job: `check` must say so, and for that
//! reason. And jobs that only look bad: they must pass.

use crate::trials::{Set, checked, told};
use twinplate_check::predict::predict;
use twinplate_check::verdict::Verdict;
use twinplate_check::{Case, Code};
use twinplate_sim::demo;
use twinplate_sim::model::{End, LoadingOrder, MeasuredAt, Process};
use twinplate_sim::requirements::Requirement;

/// Trials of a job that only they find bad.
pub const DRAWS: usize = 6;

/// Which good job, what is wrong, the code that must speak, and the verdict.
pub type Bad = (&'static str, &'static str, fn(&mut Set), Code, Verdict);

pub const BAD: &[Bad] = &[
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
    (
        "glass-f800",
        "a coarser grit in the place of the one that was measured",
        |(_, _, r)| r.consumables.grain = 17.3e-6,
        Code::FinishMissed,
        Verdict::Fail,
    ),
    (
        "glass-f800",
        "the coarser grit is said to leave what the fine one left",
        |(_, _, r)| (r.consumables.grain, r.consumables.measured_at) = (17.3e-6, None),
        Code::DamageUnusual,
        Verdict::Warn,
    ),
    (
        "glass-f800",
        "grains that are softer than the part",
        |(_, b, r)| {
            b.material = "sapphire".into();
            r.consumables.abrasive = "cerium oxide".into();
        },
        Code::RemovalUnusual,
        Verdict::Warn,
    ),
    (
        "alumina-diamond",
        "grains that are hardly harder than the part",
        |(_, b, r)| {
            b.material = "silicon carbide".into();
            let c = &mut r.consumables;
            (c.process, c.measured_at) = (Process::LooseAbrasive, None);
            (c.abrasive, c.concentration) = ("aluminium oxide".into(), 0.2);
        },
        Code::RemovalUnusual,
        Verdict::Warn,
    ),
    (
        "glass-polish",
        "a lapping grain on a polishing pad",
        |(_, _, r)| (r.consumables.grain, r.consumables.measured_at) = (10e-6, None),
        Code::GrainUnpublished,
        Verdict::Warn,
    ),
    (
        "glass-f800",
        "a finish that settles before the old valleys are gone",
        |(_, b, r)| {
            b.roughness = 3e-6;
            r.consumables.settle_depth = 0.1e-6;
        },
        Code::FinishImpossible,
        Verdict::Fail,
    ),
    (
        "glass-f800",
        "more bow than a thin part loses: it springs back",
        |(_, b, _)| b.bow = 40e-6,
        Code::ProofFlatness,
        Verdict::Fail,
    ),
    (
        "glass-f800",
        "more taper than there is stock for",
        |(_, b, _)| b.taper = 30e-6,
        Code::ProofParallelism,
        Verdict::Fail,
    ),
    (
        "glass-f800",
        "less difference within a part than its rim rolls off",
        |(_, b, _)| b.parallelism = 0.1e-6,
        Code::ProofParallelism,
        Verdict::Fail,
    ),
    (
        "glass-f800",
        "plates that are both convex by 30 µm",
        |(m, _, _)| m.plates.form = [30e-6; 2],
        Code::PressureUneven,
        Verdict::Fail,
    ),
    (
        "silicon-f1000",
        "one plate that is convex by 100 µm",
        |(m, _, _)| m.plates.form = [100e-6, 0.0],
        Code::PressureUneven,
        Verdict::Warn,
    ),
    (
        "zirconia-fixed",
        "plates that are cooled at their back: heat bows them out of contact",
        |(m, _, _)| m.plates.cooling_depth = 0.3,
        Code::PressureUneven,
        Verdict::Warn,
    ),
    (
        "glass-f800",
        "a tolerance that the gauge cannot set",
        |(_, b, _)| (b.tolerance, b.spread) = (0.2e-6, 0.02e-6),
        Code::ProofSize,
        Verdict::Fail,
    ),
    (
        "glass-f800",
        "parts that break where an even share would not break them",
        |(_, b, _)| b.strength = 63.0,
        Code::LoadBreaksPart,
        Verdict::Fail,
    ),
    (
        "glass-f800",
        "two pockets left empty",
        |(_, b, _)| b.parts = 13,
        Code::PocketsUneven,
        Verdict::Warn,
    ),
    (
        "glass-f800",
        "one part a carrier: less load than the machine holds",
        |(_, b, _)| b.parts = 5,
        Code::LoadTooLow,
        Verdict::Fail,
    ),
];

/// Which good job, what looks bad about it, the change.
type Good = (&'static str, &'static str, fn(&mut Set));

const GOOD: &[Good] = &[
    ("glass-f800", "ten parts and five dummies", |(_, b, _)| {
        (b.parts, b.dummies) = (10, 5);
    }),
    (
        "glass-f800",
        "more taper than before, and stock enough for it",
        |(_, b, _)| b.taper = 6e-6,
    ),
    (
        "glass-f800",
        "sharper grains that were measured",
        |(_, _, r)| r.consumables.abrasive = "silicon carbide".into(),
    ),
    (
        "glass-f800",
        "measured with the grain next to it, and carried over",
        |(_, _, r)| {
            let c = &mut r.consumables;
            c.measured_at = Some(MeasuredAt {
                grain: 7e-6,
                concentration: 0.18,
            });
        },
    ),
    (
        "alumina-diamond",
        "a stiff part whose bow is lapped away",
        |(_, b, _)| b.bow = 8e-6,
    ),
    (
        "steel-f400",
        "plates that differ where it takes no contact: one hollow, one crowned",
        |(m, _, _)| m.plates.form = [3e-6, -3e-6],
    ),
    (
        "glass-f800",
        "a gentle start, and a damage target that is kept",
        |(_, b, r)| {
            r.steps[0].ramp *= 0.5;
            b.damage_left = Some(2.5e-6);
        },
    ),
];

#[test]
fn a_good_job_is_not_refused_for_its_looks() {
    let mut wrong = Vec::new();
    for (name, what, change) in GOOD {
        let mut set = demo::set(name);
        change(&mut set);
        let result = checked(&set, DRAWS, 2);
        let found = told(&result);
        if result.report.verdict != Verdict::Pass || !found.is_empty() {
            wrong.push(format!(
                "{name}, {what}: {:?}, {found:?}",
                result.report.verdict
            ));
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn each_bad_job_is_found_bad_for_its_reason() {
    let mut wrong = Vec::new();
    for (name, what, change, code, verdict) in BAD {
        let mut set = demo::set(name);
        change(&mut set);
        let result = checked(&set, DRAWS, 2);
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
