//! When plates and slurry are due, from records in which that is known.

use crate::campaigns::{ASKED, empty, set};
use rand_distr::{Distribution, StandardNormal};
use twinplate_production::correct::{Report, correct};
use twinplate_production::record::{Batch, Record};
use twinplate_sim::plant::seed::{Stream, stream};

fn normal(noise: &mut Stream) -> f64 {
    StandardNormal.sample(noise)
}

/// A record as its sheet.
fn sheet(record: &Record) -> String {
    let mut text = "before [mm],after [mm],time [s],flatness [um],event\n".to_owned();
    for batch in &record.batches {
        let of = |value: Option<f64>, size: f64| {
            value.map_or_else(String::new, |v| format!("{:.6}", v / size))
        };
        let event = match (batch.done.conditioned, batch.done.slurry) {
            (true, true) => "conditioned+slurry",
            (true, false) => "conditioned",
            (false, true) => "slurry",
            (false, false) => "",
        };
        text += &format!(
            "{},{},{},{},{event}\n",
            of(batch.before, 1e-3),
            of(batch.after, 1e-3),
            of(batch.time, 1.0),
            of(batch.flatness, 1e-6)
        );
    }
    text
}

/// Batches whose rate falls by `fall` of the fresh one a batch and is fresh again every `life` batches; faces go out of flat by `growth`
/// each batch from 3 µm on, conditioned every `life` too.
fn made(number: u64, batches: usize, life: usize, fall: f64, growth: f64) -> Report {
    let mut noise = stream(number, "due", "record", 0);
    let mut record = empty();
    for at in 0..batches {
        let age = (at % life) as f64;
        let rate = 0.86e-6 / 60.0 * (1.0 - fall * age) * (1.0 + 0.01 * normal(&mut noise));
        let mut batch = Batch {
            before: Some(1.3e-3),
            after: Some(1.3e-3 - rate * 260.0),
            time: Some(210.0),
            flatness: Some(3e-6 + growth * (age + 1.0) + 0.1e-6 * normal(&mut noise)),
            ..Batch::default()
        };
        let fresh = at > 0 && at % life == 0;
        batch.done.conditioned = fresh;
        batch.done.slurry = fresh;
        record.batches.push(batch);
    }
    correct("r.csv", sheet(&record).as_bytes(), &set(), &ASKED).expect("a report")
}

/// Flatness grows by 0.4 µm a batch to the 10 µm that the batch asks for: 17.5 batches of a life, of which 10 are over.
#[test]
fn the_trend_of_the_form_says_when_to_condition() {
    let mut within = 0;
    for number in 0..20 {
        let report = made(number, 30, 20, 0.0, 0.4e-6);
        let flat = &report.forms[0];
        assert!(flat.told && flat.what == "flatness", "{flat:?}");
        assert!(
            (flat.growth.value / 0.4e-6 - 1.0).abs() < 0.1,
            "{:?}",
            flat.growth
        );
        let expected = flat.due.expected.expect("a batch");
        assert!((7..=9).contains(&expected), "{:?}", flat.due);
        let [soonest, latest] = [flat.due.soonest, flat.due.latest].map(Option::unwrap_or_default);
        within += u32::from(soonest <= 8 && latest >= 8);
    }
    assert!(within >= 18, "{within} of 20");
    let quiet = made(1, 30, 20, 0.0, 0.0);
    assert!(!quiet.forms[0].told, "{:?}", quiet.forms[0]);
}

/// The rate falls by 1.5 % of the fresh one a batch, so half of it is gone after 33 batches' work; after a change it is fresh, and the record
/// knows that before the next one is lapped.
#[test]
fn the_fall_of_the_rate_says_when_to_change_the_slurry() {
    let report = made(4, 35, 15, 0.015, 0.0);
    let slurry = report.slurry.expect("a fall");
    assert!(slurry.told);
    let batches = slurry.half_life[1] / slurry.a_batch;
    assert!((batches / 33.3 - 1.0).abs() < 0.1, "{batches}");
    assert!(slurry.half_life[0] < slurry.half_life[1] && slurry.half_life[1] < slurry.half_life[2]);
    // Five batches of the third life are made; the longest time decides: 3.6 µm in 0.9 × 300 s and the ramps need 79 % of the fresh rate,
    // which is that of batch 15 of a life.
    assert!(slurry.by_longest);
    let expected = slurry.due.expected.expect("a batch");
    assert!((6..=14).contains(&expected), "{:?}", slurry.due);
    // What comes next is lapped at the rate of its own age, 1 - 5 × 1.5 %, not at the mean of a life.
    let rate = report.rate.value / (0.86e-6 / 60.0);
    assert!((rate - 0.925).abs() < 0.012, "{rate}");
    let quiet = made(5, 35, 15, 0.0, 0.0);
    assert!(
        quiet.slurry.is_some_and(|slurry| !slurry.told),
        "no fall, none told"
    );
}
