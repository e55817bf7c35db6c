//! The law of flatness control alone: it keeps plates inside a bound that they leave without it, and wrong numbers are stopped by the
//! limit.

use crate::common::config;
use firmware_core::plate_form::{Flatness, FormControl, RingSetting};
use firmware_core::process_image::FACES;
use firmware_core::units::{Micrometres, Ratio};
use proptest::prelude::*;

fn um(value: f32) -> Micrometres {
    Micrometres::new(value)
}

/// Settings whose changes point all round: what the form needs is always among them. Returns the control and the truth beside it.
fn all_round(turn: f32, lengths: &[f32], off: f32) -> (FormControl, Vec<[f32; FACES]>) {
    let count = lengths.len();
    let change = |n: usize| {
        #[allow(clippy::cast_precision_loss)]
        let angle = turn + std::f32::consts::TAU * n as f32 / count as f32;
        [lengths[n] * angle.cos(), lengths[n] * angle.sin()]
    };
    let settings = (0..count).map(|n| RingSetting {
        reversed: n % 2 == 1,
        #[allow(clippy::cast_precision_loss)]
        trim: Ratio::new(n as f32 * 0.05),
        change: change(n).map(um),
    });
    let control = FormControl {
        settings: settings.collect(),
        deadband: um(2.0),
        limit: um(10.0),
        longest: 2,
    };
    assert!(control.is_sound());
    // The plates do a little more or less than was computed.
    let truth = (0..count).map(|n| change(n).map(|c| c * off)).collect();
    (control, truth)
}

/// Fifty batches: form of the plates after each, and whether the limit spoke. Reported every second batch, to half the deadband.
fn fifty(control: &FormControl, truth: &[[f32; FACES]], on: bool) -> (f32, bool) {
    let mut flatness = Flatness::new();
    let (mut form, mut worst, mut stopped) = ([0.0_f32; FACES], 0.0_f32, false);
    for batch in 0..50 {
        if batch % 2 == 0 {
            let read = form.map(|f| {
                um((f / control.deadband.get() * 2.0).round() * control.deadband.get() / 2.0)
            });
            let read = read.map(|f| um(f.get().clamp(-500.0, 500.0)));
            assert!(flatness.report(read));
            flatness.choose(Some(control));
        }
        if flatness.beyond(Some(control)) {
            stopped = true;
            break;
        }
        let ran = if on {
            usize::from(flatness.setting())
        } else {
            0
        };
        form = [form[0] + truth[ran][0], form[1] + truth[ran][1]];
        flatness.wear();
        flatness.rest(Some(control), true);
        flatness.choose(Some(control));
        worst = worst.max(form[0].hypot(form[1]));
    }
    (worst, stopped)
}

proptest! {
    #![proptest_config(config())]

    /// With settings that point all round (each within 36° of any direction, so that at least `0.6 · cos 36°` of it helps), the greedy
    /// choice shortens the form `f` as long as `|f| > C²/(2 m)`: from `|f + c|² ≤ |f|² − 2 m |f| + C²`.
    #[test]
    fn with_honest_changes_the_form_stays_in_a_bound_that_it_leaves_without_the_law(
        turn in 0.0_f32..std::f32::consts::TAU,
        lengths in prop::collection::vec(0.6_f32..1.0, 5..=5),
        off in 0.9_f32..1.1,
    ) {
        // The first setting is the programmed one and must not be trimmed: it points along `turn`.
        let (control, truth) = all_round(turn, &lengths, off);
        let (worst, stopped) = fifty(&control, &truth, true);
        let helps = 0.6 * 36.0_f32.to_radians().cos();
        let most = 1.1;
        // A corner of the deadband's square, what a reading and a batch of reckoning are off, and two batches on top.
        let read = control.deadband.get() * std::f32::consts::SQRT_2 * (1.0 + 0.25) + 0.1;
        let bound = read + most * most / (2.0 * helps) + 2.0 * most;
        prop_assert!(!stopped && worst <= bound, "{worst} µm, bound {bound} µm");
        let (alone, stopped) = fifty(&control, &truth, false);
        prop_assert!(stopped && alone > bound, "left alone: {alone} µm");
    }

    #[test]
    fn with_changes_of_the_wrong_sign_the_limit_stops_it(
        turn in 0.0_f32..std::f32::consts::TAU,
        lengths in prop::collection::vec(0.6_f32..1.0, 5..=5),
    ) {
        let (control, truth) = all_round(turn, &lengths, -1.0);
        let (worst, stopped) = fifty(&control, &truth, true);
        // The limit holds for each plate; the row speaks with the report after the batch that went beyond.
        let bound = (control.limit.get() + 3.0) * std::f32::consts::SQRT_2;
        prop_assert!(stopped && worst <= bound, "{worst} µm");
    }
}
