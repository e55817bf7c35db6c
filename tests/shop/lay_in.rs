//! Loads and pockets.

use crate::{rows, set, sheet};
use twinplate_shop::lay_in::{LayInReport, Layout, Way, lay_in};
use twinplate_sim::bench::{Drawn, Job, NoRecorder, run_cycle};
use twinplate_sim::model::{Batch, Circle};
use twinplate_sim::plant::lot::LotInOrder;

/// Least leans by trying every way: `reference/make.py`.
const BALANCE: &str = include_str!("data/balance.csv");

fn demo() -> LayInReport {
    let text = sheet("glass-parts.csv");
    lay_in("parts.csv", text.as_bytes(), &set("glass-f800"), 1).expect("a good list")
}

#[test]
fn exchanges_find_the_least_lean_of_all_ways() {
    let set = set("glass-f800");
    for row in rows(BALANCE) {
        let [carriers, pockets, least] = [row[0], row[1], row[2]];
        let thickness: Vec<f64> = row[3..].iter().map(|um| um * 1e-6).collect();
        let mut geometry = set.machine.value.geometry.clone();
        geometry.carriers = carriers as u32;
        let batch = Batch {
            parts: (carriers * pockets) as u32,
            dummies: 0,
            circles: vec![Circle {
                pockets: pockets as u32,
                radius: 0.05,
                phase: 0.0,
            }],
            ..set.batch.value.clone()
        };
        let layout = Layout::of(&geometry, &batch);
        let chosen = layout.balanced(&thickness, 0.0);
        let mut once = chosen.clone();
        once.sort_unstable();
        assert_eq!(
            once,
            (0..thickness.len()).collect::<Vec<_>>(),
            "each part once"
        );
        let heights: Vec<f64> = chosen.iter().map(|part| thickness[*part]).collect();
        let lean = layout.lean(&heights);
        assert!(
            (lean / least - 1.0).abs() < 1e-6,
            "{carriers} × {pockets}: {lean:.4e}, least {least:.4e}"
        );
    }
}

/// The plant's own lean of a lot in order, where all parts touch, is the layout's: a full layout has no preferred direction.
#[test]
fn the_lean_is_the_plant_s() {
    let set = set("glass-f800");
    let (g, batch) = (&set.machine.value.geometry, &set.batch.value);
    let lot = LotInOrder::of(g, batch, 1e-6, 1e7, 1e5).expect("it lies");
    let layout = Layout::of(g, batch);
    // Carriers and pockets at the beginning: the moments of orbit and spin point one way or another; their sum is no less.
    let mut order: Vec<usize> = (0..15).collect();
    order.sort_by_key(|i| {
        (
            layout.laid[*i].pocket.carrier,
            layout.laid[*i].pocket.pocket,
        )
    });
    let mut heights = vec![0.0; 15];
    for (at, piece) in order.into_iter().enumerate() {
        heights[piece] = at as f64;
    }
    let worst = layout.lean(&heights);
    assert!(worst > 0.0 && lot.lean > 0.0);
    // A line in heights instead of the normal quantiles, of the same standard deviation: within a quarter.
    let line = worst * 1e-6 / (14.0_f64 * 16.0 / 12.0).sqrt();
    assert!((line / lot.lean - 1.0).abs() < 0.25, "{line:e} {lot:?}");
}

/// What lies in the machine is what was measured: each part's thickness and what was taken off it add up to it.
#[test]
fn the_plant_laps_those_very_parts() {
    let set = set("glass-f800");
    let measured: Vec<f64> = (0..15).map(|i| 0.55e-3 + 3e-7 * f64::from(i % 7)).collect();
    let batch = Batch {
        measured: measured.clone(),
        ..set.batch.value.clone()
    };
    let job = Job::new(set.machine.value.clone(), batch, set.recipe.value.clone()).expect("a job");
    let run = |seed| {
        let setup = job.drawn(Drawn { seed, index: 0 });
        run_cycle(&setup, None, NoRecorder).expect("a run").parts
    };
    for seed in [1, 2] {
        for (part, incoming) in run(seed).iter().zip(&measured) {
            let sum = part.thickness + part.removed_lower + part.removed_upper;
            assert!((sum - incoming).abs() < 1e-12, "{part:?} {incoming}");
        }
    }
}

#[test]
fn sorting_and_balancing_do_what_they_are_for() {
    let report = demo();
    assert!(report.holds(), "{:?}", report.notes);
    let [listed, sorted, balanced] =
        [Way::AsListed, Way::ByThickness, Way::Balanced].map(|way| report.total(way));
    // Loads by thickness: smaller differences come in, and less load falls on one part.
    assert!(sorted.range_in < 0.5 * listed.range_in);
    assert!(balanced.range_in == sorted.range_in);
    assert!(balanced.largest < listed.largest);
    // A level plate levels the parts; one that leans keeps them apart.
    assert!(balanced.lean < sorted.lean && sorted.lean < listed.lean);
    assert!(balanced.range_out < 0.1 * sorted.range_out);
    // Every part in one pocket, and every pocket filled.
    let mut seen: Vec<usize> = report
        .loads()
        .iter()
        .flat_map(|load| load.pieces.iter().flatten().copied())
        .collect();
    seen.sort_unstable();
    assert_eq!(seen, (0..37).collect::<Vec<_>>());
    assert!(report.loads().iter().all(|load| load.pieces.len() == 15));
    assert_eq!(demo(), report, "one list, one answer");
}

#[test]
fn parts_that_are_too_thin_are_set_aside_and_the_answer_is_no() {
    let mut text = sheet("glass-parts.csv");
    // The target is 0.538 mm, 3 µm either way.
    text.push_str("thin,0.5340,0.5340\n");
    let report = lay_in("parts.csv", text.as_bytes(), &set("glass-f800"), 1).expect("a list");
    assert_eq!(report.aside, [37]);
    assert!(!report.holds());
    let laid: usize = report.loads().iter().map(|load| load.parts()).sum();
    assert_eq!(laid, 37);
}

/// Whatever the unit of the list, the same parts come into the same loads, as level.
#[test]
fn the_unit_of_the_list_changes_nothing_but_the_words() {
    let set = set("glass-f800");
    let list = [("a", 0.5500), ("b", 0.5510), ("c", 0.5523), ("d", 0.5490)];
    let [metric, inches] = [("mm", 1.0), ("in", 25.4)].map(|(unit, size)| {
        let rows = list.map(|(id, mm)| format!("{id},{:.12}\n", mm / size));
        let text = format!("part,thickness [{unit}]\n{}", rows.concat());
        lay_in("l.csv", text.as_bytes(), &set, 1).expect("a list")
    });
    assert_eq!((metric.unit.fine, inches.unit.fine), ("µm", "µin"));
    for (a, b) in metric.loads().iter().zip(inches.loads()) {
        assert!((a.lean - b.lean).abs() < 1e-12 && (a.dummy - b.dummy).abs() < 1e-12);
        assert_eq!((a.parts(), a.dummies()), (b.parts(), b.dummies()));
    }
}
