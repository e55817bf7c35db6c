//! Carriers under load and lots laid in by thickness: what the static rules say of them, and what runs make of them.

use crate::trials::{Set, checked, told};
use twinplate_check::predict::predict;
use twinplate_check::static_check::check;
use twinplate_check::verdict::Verdict;
use twinplate_check::{Case, Code};
use twinplate_sim::bench::{Job, NoRecorder, Outcome, run_cycle};
use twinplate_sim::demo;
use twinplate_sim::model::{CarrierMaterial, LoadingOrder};
use twinplate_sim::plant::teeth::tooth_bears;
use twinplate_sim::requirements::{Requirement, judge};

fn case(set: &Set) -> Case<'_> {
    Case {
        machine: &set.0,
        batch: &set.1,
        recipe: &set.2,
    }
}

fn job(set: &Set) -> Job {
    Job::new(set.0.clone(), set.1.clone(), set.2.clone()).expect("compiles")
}

fn outcome(set: &Set, seed: u64) -> Outcome {
    run_cycle(&job(set).nominal(seed), None, NoRecorder).expect("a run")
}

/// Codes of the static findings.
fn found(set: &Set) -> Vec<Code> {
    let case = case(set);
    let findings = check(&case, &predict(&case, 1.0));
    findings.iter().map(|finding| finding.code).collect()
}

/// The static rule bounds what the nominal run puts on a tooth, where both faces rub alike.
#[test]
fn the_force_on_a_tooth_is_the_run_s_and_good_carriers_bear_it() {
    for name in demo::recipes() {
        let set = demo::set(&name);
        let case = case(&set);
        let steps = set.2.steps.iter();
        let said = steps
            .map(|step| case.force_on_tooth(step))
            .fold(0.0, f64::max);
        let ran = outcome(&set, 1).summary.tooth;
        assert!(
            ran < said && ran > 0.02 * said,
            "{name}: {ran} N of {said} N"
        );
        let bears = tooth_bears(&set.0.geometry, &set.1);
        assert!(said < bears, "{name}: {said} N of {bears} N");
    }
}

#[test]
fn one_number_makes_a_carrier_too_weak_and_the_trials_find_it_as_well() {
    let mut set = demo::set("glass-f800");
    set.1.carrier_thickness = 0.05e-3;
    assert_eq!(found(&set), [Code::CarrierTeethWeak]);
    let mut set = demo::set("glass-f800");
    set.1.carrier_strength = 1e6;
    assert_eq!(found(&set), [Code::CarrierTeethWeak]);
    set.1.carrier_strength = 1e5;
    let judged = judge(&job(&set), &outcome(&set, 1));
    let broken: Vec<Requirement> = judged
        .items
        .iter()
        .filter(|item| !item.holds())
        .map(|item| item.requirement)
        .collect();
    assert_eq!(broken, [Requirement::CarrierTeeth]);
    // Laminate is the softer sheet: as thin as this it turns aside where steel holds.
    let mut set = demo::set("glass-f800");
    set.1.carrier_thickness = 0.12e-3;
    assert!(found(&set).is_empty());
    set.1.carrier_material = CarrierMaterial::GlassLaminate;
    set.1.carrier_strength = set.1.carrier_material.strength();
    assert_eq!(found(&set), [Code::CarrierTeethWeak]);
}

/// More load, friction and thinner carriers bring a tooth nearer to its end, and more carriers share.
#[test]
fn what_moves_the_force_on_a_tooth() {
    let set = demo::set("steel-f400");
    let force = |set: &Set| case(set).force_on_tooth(&set.2.steps[1]);
    let base = force(&set);
    let with = |change: fn(&mut Set)| {
        let mut set = set.clone();
        change(&mut set);
        force(&set)
    };
    assert!(with(|(_, _, r)| r.steps[1].pressure *= 1.5) > 1.3 * base);
    assert!((with(|(_, _, r)| r.consumables.friction *= 1.5) / base - 1.5).abs() < 1e-9);
    assert!(with(|(m, _, _)| m.envelope.friction *= 1.5) > 1.2 * base);
    // The parts' weight stays on the lower face whatever the carriers.
    let fewer = with(|(m, _, _)| m.geometry.carriers = 4);
    assert!((fewer / base - 1.25).abs() < 1e-9, "{fewer} {base}");
}

/// By hand on plates alone of a form: parabolas add `|f_l + f_u| 2 e ρ/band` to the highest part, and stiffness makes load of it.
#[test]
fn plates_that_are_not_flat_put_more_on_one_part() {
    let set = demo::set("glass-f800");
    let mut formed = set.clone();
    formed.0.plates.form = [0.3e-6, 0.2e-6];
    // So little spread that the share by places does not bound it.
    let load = |set: &mut Set| {
        set.1.spread = 0.0;
        case(set).share_on_one(265.0)
    };
    let g = &set.0.geometry;
    let band = 0.25 * (g.plate_outer.powi(2) - g.plate_inner.powi(2));
    let rise = 0.5e-6 * 2.0 * g.radius_orbit() * set.1.outermost() / band;
    let stiffness =
        set.1.stiffness_per_area * set.1.outline.area() * set.0.envelope.stiffness_factor;
    let (even, more) = (load(&mut set.clone()), load(&mut formed));
    assert!(
        (more - even - stiffness * rise).abs() < 1e-6,
        "{even} {more}"
    );
}

fn in_order(name: &str) -> Set {
    let mut set = demo::set(name);
    set.1.order = LoadingOrder::ByThickness;
    set
}

/// Laid in by thickness: the same lot, one side of the machine thicker. The plate leans more, a lot of that stays, and what no plane
/// explains is lapped away as in any lot.
#[test]
fn a_lot_in_order_leans_the_plate_and_keeps_more_of_its_spread() {
    let spread = |set: &Set, seed: u64| {
        let summary = outcome(set, seed).summary;
        let most = summary.largest_part.expect("pressed").0;
        (summary.parts.sd, most.load / most.mean)
    };
    let (mixed, ordered) = (demo::set("glass-f800"), in_order("glass-f800"));
    let mut sums = [[0.0; 2]; 2];
    for seed in 1..=6 {
        for (sum, set) in sums.iter_mut().zip([&mixed, &ordered]) {
            let (sd, worst) = spread(set, seed);
            sum[0] += sd / 6.0;
            sum[1] += worst / 6.0;
        }
    }
    let [[sd_mixed, worst_mixed], [sd, worst]] = sums;
    let case = case(&ordered);
    let said = predict(&case, 1.0);
    assert!(sd > 1.3 * sd_mixed, "{sd} {sd_mixed}");
    assert!(sd < 0.5 * ordered.1.spread, "it falls: {sd}");
    assert!((said.spread / sd - 1.0).abs() < 0.3, "{} {sd}", said.spread);
    assert!(said.spread_mixed < said.spread);
    // The worst part bears more than in even stock, in whatever order.
    let mut even = ordered.clone();
    even.1.spread = 0.0;
    let (_, alike) = spread(&even, 1);
    assert!(
        worst > 1.5 * alike && worst_mixed > 1.5 * alike,
        "{worst} {worst_mixed} {alike}"
    );
}

#[test]
fn an_order_that_costs_more_than_a_tenth_of_the_tolerance_is_told_and_mixing_cures_it() {
    let set = in_order("glass-f800");
    assert_eq!(found(&set), [Code::LotInOrder]);
    let result = checked(&set, 0, 1);
    assert_eq!(told(&result), ["lot-in-order"]);
    assert_eq!(result.report.verdict, Verdict::Warn);
    let finding = &result.report.findings[0];
    assert!(finding.cure.contains("mix the lot"), "{}", finding.cure);
    assert!(found(&demo::set("glass-f800")).is_empty());
    // Even stock may be laid in as it comes.
    let mut even = set.clone();
    even.1.spread = 0.1e-6;
    assert!(found(&even).is_empty());
}
