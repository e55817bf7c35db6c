//! Two gain sets side by side.

use crate::report::paragraph;
use crate::report::{Paint, Style};
use std::fmt::Write as _;
use twinplate_check::finding::significant as number;
use twinplate_linear::Margins;
use twinplate_tune::compare::{Comparison, Verdict};
use twinplate_tune::judge::Judgement;
use twinplate_tune::typed::Units;

/// A number of a judgement in the units that it is told in.
type Number = fn(&Judgement, &Units) -> f64;

/// Worst measures of loads and errors, with their units.
fn worst(units: &Units) -> [(String, Number); 3] {
    let (load, error) = (&units.output.symbol, &units.error.symbol);
    [
        (format!("largest overshoot, {load}"), |j, units| {
            units.output.value(j.overshoot.value)
        }),
        (format!("error under disturbance, {error}"), |j, units| {
            units.error.value(j.iae_disturbance.value)
        }),
        (format!("deviation under it, {load}"), |j, units| {
            units.output.value(j.peak_deviation.value)
        }),
    ]
}

/// Draws a comparison; the last line is the verdict.
#[must_use]
pub(crate) fn draw_comparison(found: &Comparison, style: Style) -> String {
    let mut text = String::new();
    let _ = writeln!(
        text,
        "{}",
        style.paint(Paint::Strong, "compare two gain sets")
    );
    if found.machines_differ {
        paragraph(
            &mut text,
            "note: ",
            "the files differ in more than their gains; both sets are judged on the new file's machine.",
        );
    }
    let _ = writeln!(text, "\n{:<32}{:>16}{:>16}", "", "old", "new");
    let mut row = |what: &str, of: &dyn Fn(usize) -> String| {
        let _ = writeln!(text, "{what:<32}{:>16}{:>16}", of(0), of(1));
    };
    let side = |n: usize| &found.sides[n];
    let judged = |n: usize, pick: &dyn Fn(&Judgement) -> f64| {
        side(n)
            .judged
            .as_ref()
            .map_or_else(|| "-".to_owned(), |j| number(pick(j), 3))
    };
    let units = &found.units;
    row(&format!("proportional gain, {}", units.gain.symbol), &|n| {
        units.gain.number(side(n).named.gains.kc, 5)
    });
    row("integral time, s", &|n| number(side(n).named.gains.ti, 5));
    row("setpoint weight", &|n| {
        number(side(n).named.gains.weight, 3)
    });
    // Of an unstable loop Ms and margins are numbers without a meaning.
    let of = |stable: bool, value: f64| {
        if stable {
            number(value, 3)
        } else {
            "unstable".to_owned()
        }
    };
    let nominal = |n: usize, pick: &dyn Fn(&Margins) -> f64| {
        let margins = &side(n).on_lines.nominal;
        of(margins.stable, pick(margins))
    };
    row("Ms", &|n| nominal(n, &|m| m.sensitivity));
    row("Ms, worst corner", &|n| {
        let found = &side(n).on_lines;
        of(found.stable, found.worst.sensitivity)
    });
    row("gain margin", &|n| nominal(n, &|m| m.gain));
    row("phase margin, °", &|n| {
        nominal(n, &|m| m.phase.to_degrees())
    });
    row("runs that failed", &|n| judged(n, &|j| j.failed as f64));
    for (index, demand) in twinplate_tune::judge::DEMANDS.iter().enumerate() {
        let value = |value: f64| demand.of().map_or(value, |_| units.output.value(value));
        row(&demand.worst(), &|n| {
            judged(n, &|j| j.demands.get(index).map_or(0.0, |d| value(d.value)))
        });
    }
    for (what, number) in worst(units) {
        row(&what, &|n| judged(n, &|j| number(j, units)));
    }
    row("actuator travel, %/s", &|n| {
        judged(n, &|j| 100.0 * j.travel.value)
    });
    let _ = writeln!(text, "\n{} runs each", found.runs);
    paragraph(&mut text, "", &found.reason);
    let kind = match found.verdict {
        Verdict::Better | Verdict::Equal => Paint::Normal,
        Verdict::Worse => Paint::Abnormal,
        Verdict::Fails => Paint::Danger,
    };
    let _ = writeln!(
        text,
        "\n{}",
        style.paint(kind, &format!("verdict: {}", found.verdict.word()))
    );
    text
}
