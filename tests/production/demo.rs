//! The demonstration record. Invented: a rate that wanders and falls as the slurry works, faces that go out of flat, one batch misread.

use crate::campaigns::{ASKED, set};
use rand_distr::{Distribution, StandardNormal};
use std::fmt::Write as _;
use std::path::Path;
use twinplate_production::correct::correct;
use twinplate_sim::plant::seed::stream;

const BATCHES: usize = 36;
/// Slurry changed and plates conditioned before these, counted from 0.
const SLURRY: [usize; 2] = [13, 26];
const CONDITIONED: usize = 20;
/// Misread: a part left on the gauge's table.
const MISREAD: usize = 17;

fn written() -> String {
    let mut noise = stream(1, "demonstration", "record", 0);
    let mut normal = || -> f64 { StandardNormal.sample(&mut noise) };
    let mut text = "# Invented for the demonstration set: made by tests/production/demo.rs.\n\
        batch,date,before [mm],before-sd [um],after [mm],after-sd [um],parts,time [s],flatness [um],event,gauge [um],note\n"
        .to_owned();
    let mut level = 0.80;
    let [mut worked, mut lapped] = [0.0, 0.0];
    for at in 0..=BATCHES {
        let slurry = SLURRY.contains(&at);
        let conditioned = at == CONDITIONED;
        if slurry {
            worked = 0.0;
        }
        if conditioned {
            lapped = 0.0;
            level *= 1.05;
        }
        level *= 1.0 + 0.008 * normal();
        let rate = level * (1.0 - 0.008 * worked) * (1.0 + 0.01 * normal());
        let before = 1300.0 + 0.12 * normal();
        let event = match (slurry, conditioned) {
            (true, _) => "slurry",
            (_, true) => "conditioned",
            _ => "",
        };
        let name = format!("P-{:03}", 101 + at);
        let date = format!("2026-{:02}-{:02}", 10 + at / 28, 1 + at % 28);
        let spread = 0.45 + 0.05 * normal();
        if at == BATCHES {
            let _ = writeln!(
                text,
                "{name},{date},{:.5},{spread:.2},,,10,,,{event},0.05,to be made",
                before / 1e3
            );
            break;
        }
        // The operator changed the time once by hand.
        let time = if at < 10 { 210.0 } else { 220.0 };
        let misread = if at == MISREAD { 0.9 } else { 0.0 };
        let after = before - rate * (time + 46.0) / 60.0 + misread + 0.016 * normal();
        let flatness = 3.2 + 0.28 * lapped + 0.12 * normal();
        worked += 1.0;
        lapped += 1.0;
        let _ = writeln!(
            text,
            "{name},{date},{:.5},{spread:.2},{:.5},{:.2},10,{time},{flatness:.2},{event},0.05,",
            before / 1e3,
            after / 1e3,
            0.12 + 0.02 * normal().abs()
        );
    }
    text
}

/// The file is what the generator writes; `UPDATE=1` writes it.
#[test]
fn the_record_is_as_made() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../recipes/production/glass-polish.csv");
    let text = written();
    if std::env::var_os("UPDATE").is_some_and(|v| v == "1") {
        std::fs::create_dir_all(path.parent().expect("folder")).expect("made");
        std::fs::write(&path, &text).expect("written");
    }
    assert_eq!(
        std::fs::read_to_string(&path).expect("read"),
        text,
        "UPDATE=1 writes it again"
    );
}

/// What went into it comes out: the misread batch, the drift, the fall of the rate, when the faces will be out of flat.
#[test]
fn it_shows_what_it_was_made_to_show() {
    let report = correct("r.csv", written().as_bytes(), &set(), &ASKED).expect("a report");
    let off: Vec<usize> = report.off.iter().map(|off| off.outlier.at).collect();
    assert_eq!(off, [MISREAD]);
    assert!(
        report.slurry.as_ref().is_some_and(|slurry| slurry.told),
        "{:?}",
        report.slurry
    );
    let flat = report.forms.first().expect("flatness");
    // 10 µm from 3.2 µm by 0.28 µm a batch: 24 batches of a life, 16 are over.
    assert!(
        flat.told
            && flat
                .due
                .expected
                .is_some_and(|batches| (6..=11).contains(&batches)),
        "{flat:?}"
    );
    assert!(report.beyond.is_empty() && report.next.measured && report.next.name == "P-137");
    assert!(report.capability.is_ok_and(|found| found.gauge_share < 0.2));
}
