//! End conditions, time against removal, size, damage, finish, heat and what heat does to the plates.

use super::{Findings, even_pressure};
use crate::case::Case;
use crate::catalogue::Code;
use crate::finding::{Place, significant};
use crate::predict::{Prediction, predict};
use twinplate_sim::math::{abs, max};
use twinplate_sim::model::{End, LoadingOrder, Of, micrometres};
use twinplate_sim::requirements::damage_limit;

/// A size (m) as a message shows it.
fn size_of(case: &Case, length: f64) -> String {
    let shown = &case.recipe.shown;
    shown.with(Of::Thickness, &bare_size(case, length))
}

/// The same without its unit.
fn bare_size(case: &Case, length: f64) -> String {
    case.recipe.shown.fixed(Of::Thickness, length * 1e3, 4)
}

pub(super) fn check(case: &Case, prediction: &Prediction, findings: &mut Findings) {
    let batch = case.batch;
    if batch.thickness <= batch.target {
        findings.add(
            Code::NoStock,
            Place::batch("thickness"),
            (batch.thickness * 1e3, batch.target * 1e3, Of::Thickness),
            format!(
                "parts come in at {}, and their target is {}",
                size_of(case, batch.thickness),
                size_of(case, batch.target)
            ),
            "correct the incoming thickness or the target".to_owned(),
        );
        return;
    }
    // Where nothing is removed there is no time, size or finish to judge.
    if findings.has(Code::NoAbrasive) {
        return;
    }
    let envelope = case.machine.envelope.removal;
    let slow = predict(case, 1.0 - envelope);
    let fast = predict(case, 1.0 + envelope);
    ends(case, prediction, &slow, findings);
    added_damage(case, prediction, findings);
    // Too little stock or a step that ends wrongly shows in the size as well: one cause, one finding.
    let explained = [
        Code::GaugeMissing,
        Code::LongestShort,
        Code::EndAlreadyMet,
        Code::NoSliding,
    ]
    .iter()
    .any(|code| findings.has(*code));
    if !explained {
        damage(case, prediction, &slow, findings);
        size(case, prediction, [&slow, &fast], findings);
        damage_left(case, prediction, &slow, findings);
        finish(case, prediction, findings);
    }
    heat(case, prediction, findings);
    even_pressure::check(case, findings);
}

/// Whether a gauge ends the last step, so that the removal coefficient decides the time and not the size.
fn ends_by_gauge(case: &Case) -> bool {
    case.recipe
        .steps
        .last()
        .is_some_and(|step| !matches!(step.end, End::Time { .. }))
}

fn ends(case: &Case, prediction: &Prediction, slow: &Prediction, findings: &mut Findings) {
    for (index, step) in case.recipe.steps.iter().enumerate() {
        let name = index + 1;
        if !matches!(step.end, End::Time { .. }) && !case.recipe.gauge {
            findings.add(
                Code::GaugeMissing,
                Place::step(index, "end"),
                (0.0, 1.0, "gauges"),
                format!("step {name} ends by gauge, and the recipe uses none"),
                "set gauge = true, or end the step by time".to_owned(),
            );
            continue;
        }
        let start = prediction.thickness_at_step[index];
        if let End::Size { thickness } = step.end
            && thickness >= start
        {
            findings.add(
                Code::EndAlreadyMet,
                Place::step(index, "end"),
                (start * 1e3, thickness * 1e3, Of::Thickness),
                format!(
                    "step {name} ends at {} and starts at {}",
                    size_of(case, thickness),
                    size_of(case, start)
                ),
                "lower the size, or take the step out".to_owned(),
            );
            continue;
        }
        let expected = slow.wanted[index];
        // A face that does not slide hardly ends a step by gauge; that is its own finding.
        if expected >= step.longest && !findings.has(Code::NoSliding) {
            findings.add(
                Code::LongestShort,
                Place::step(index, "longest"),
                (step.longest, expected, "s"),
                format!(
                    "step {name} may take {} s, ramp included; its longest time is {} s",
                    significant(expected, 3),
                    significant(step.longest, 3)
                ),
                format!("allow {} s", significant(expected * 1.2, 2)),
            );
        }
    }
}

fn damage(case: &Case, prediction: &Prediction, slow: &Prediction, findings: &mut Findings) {
    let batch = case.batch;
    let judged = if ends_by_gauge(case) {
        prediction
    } else {
        slow
    };
    let [lower, upper] = judged.removal;
    let (face, stock) = if lower < upper {
        ("lower", lower)
    } else {
        ("upper", upper)
    };
    if stock < batch.damage {
        findings.add(
            Code::StockBelowDamage,
            Place::batch("damage"),
            (micrometres(stock), micrometres(batch.damage), Of::Depth),
            format!(
                "the {face} faces may lose only {}; their damage is {} deep",
                case.say(Of::Size, stock, 3),
                case.say(Of::Depth, batch.damage, 3)
            ),
            format!(
                "remove {} more from both faces together",
                case.at_least(Of::Size, 2.0 * (batch.damage - stock) * 1.1, 3)
            ),
        );
    }
}

/// Damage of the thinnest part, on the envelope's widest spread: it is reached last.
fn damage_left(case: &Case, prediction: &Prediction, slow: &Prediction, findings: &mut Findings) {
    // Too little stock, or stock far too uneven, leaves damage as well.
    let explained = [
        Code::StockBelowDamage,
        Code::SizeMissed,
        Code::SpreadTooWide,
    ];
    if explained.iter().any(|code| findings.has(*code)) {
        return;
    }
    let batch = case.batch;
    let judged = if ends_by_gauge(case) {
        prediction
    } else {
        slow
    };
    let (left, face) = judged.damage_left(batch, case.machine.envelope.spread_factor);
    let limit = damage_limit(batch, &case.recipe.consumables);
    if left <= limit {
        return;
    }
    let own = prediction.abrasion.damage;
    let (place, message, cure) = if own > limit {
        (
            Place::batch("damage_left"),
            format!(
                "the process leaves damage {} deep; the batch allows {}",
                case.say(Of::Depth, own, 3),
                case.say(Of::Depth, limit, 3)
            ),
            "use a finer abrasive, or plan a finer process after this one".to_owned(),
        )
    } else {
        (
            Place::batch("damage"),
            format!(
                "the {} face of the thinnest part may keep damage {} deep; allowed are {}",
                ["lower", "upper"][usize::from(face > 0)],
                case.say(Of::Depth, left, 3),
                case.say(Of::Depth, limit, 3)
            ),
            format!(
                "remove {} more from both faces together, or sort the parts by thickness",
                case.at_least(Of::Size, 2.0 * (left - limit) * 1.1, 3)
            ),
        )
    };
    findings.add(
        Code::DamageLeft,
        place,
        (micrometres(left), micrometres(limit), Of::Depth),
        message,
        cure,
    );
}

fn added_damage(case: &Case, prediction: &Prediction, findings: &mut Findings) {
    let batch = case.batch;
    let left = prediction.abrasion.damage;
    if left > batch.damage {
        findings.add(
            Code::DamageAdded,
            Place::recipe("consumables.damage"),
            (micrometres(left), micrometres(batch.damage), Of::Depth),
            format!(
                "the process leaves damage {} deep; the parts came with {}",
                case.say(Of::Depth, left, 3),
                case.say(Of::Depth, batch.damage, 3)
            ),
            "use a finer abrasive".to_owned(),
        );
    }
}

fn size(case: &Case, prediction: &Prediction, edges: [&Prediction; 2], findings: &mut Findings) {
    let batch = case.batch;
    let place = || Place::step(case.recipe.steps.len().saturating_sub(1), "end");
    let off = prediction.thickness - batch.target;
    if abs(off) > batch.tolerance {
        findings.add(
            Code::SizeMissed,
            place(),
            (
                prediction.thickness * 1e3,
                batch.target * 1e3,
                Of::Thickness,
            ),
            format!(
                "the parts should end at {}; wanted are {} ± {}",
                size_of(case, prediction.thickness),
                bare_size(case, batch.target),
                size_of(case, batch.tolerance)
            ),
            format!(
                "remove {} {} in the last step",
                case.say(Of::Size, abs(off), 3),
                if off > 0.0 { "more" } else { "less" }
            ),
        );
        return;
    }
    let worst = edges
        .iter()
        .map(|edge| abs(edge.thickness - batch.target))
        .fold(0.0, max);
    if worst > batch.tolerance && !ends_by_gauge(case) {
        findings.add(
            Code::SizeUncertain,
            place(),
            (micrometres(worst), micrometres(batch.tolerance), Of::Size),
            format!(
                "at the ends of the removal envelope the size is off by {}; the tolerance is {}",
                case.say(Of::Size, worst, 3),
                case.say(Of::Size, batch.tolerance, 3)
            ),
            "end the last step by size, with the gauge".to_owned(),
        );
    }
    let three = 3.0 * edges[0].spread * case.machine.envelope.spread_factor;
    if three > batch.tolerance {
        findings.add(
            Code::SpreadTooWide,
            Place::batch("spread"),
            (micrometres(three), micrometres(batch.tolerance), Of::Size),
            format!(
                "three standard deviations may still be {} at the end; the tolerance is {}",
                case.say(Of::Size, three, 3),
                case.say(Of::Size, batch.tolerance, 3)
            ),
            if batch.order == LoadingOrder::ByThickness {
                "mix the lot, or lap longer at low load".to_owned()
            } else {
                "sort the parts by thickness, or lap longer at low load".to_owned()
            },
        );
    }
}

fn finish(case: &Case, prediction: &Prediction, findings: &mut Findings) {
    let batch = case.batch;
    if prediction.roughness > batch.finish {
        let reaches = prediction.abrasion.roughness <= batch.finish;
        findings.add(
            Code::FinishMissed,
            if reaches {
                Place::batch("finish")
            } else {
                Place::recipe("consumables.roughness")
            },
            (
                micrometres(prediction.roughness),
                micrometres(batch.finish),
                Of::Finish,
            ),
            format!(
                "the faces should end at Ra {}; wanted is {}",
                case.say(Of::Finish, prediction.roughness, 3),
                case.say(Of::Finish, batch.finish, 3)
            ),
            if reaches {
                "remove more, so that the roughness settles".to_owned()
            } else {
                "use a finer abrasive: this one settles above the target".to_owned()
            },
        );
    }
}

fn heat(case: &Case, prediction: &Prediction, findings: &mut Findings) {
    let thermal = &case.machine.thermal;
    let hot = thermal.ambient + prediction.heating * (1.0 + case.machine.envelope.friction);
    if hot > thermal.high {
        findings.add(
            Code::PlateHot,
            Place::machine("thermal.high"),
            (hot, thermal.high, Of::Temperature),
            format!(
                "the plates may reach {} in one cycle; the alarm is at {}",
                case.say(Of::Temperature, hot, 3),
                case.say(Of::Temperature, thermal.high, 3)
            ),
            "lower the pressure or the speeds, or cool better".to_owned(),
        );
    }
}
