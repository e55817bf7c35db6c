//! A calibration of removal for a terminal.

use super::{chance, interval, number, standing_out};
use crate::report::{Paint, Style};
use crate::report::{close, heading, paragraph};
use std::fmt::Write as _;
use twinplate_calibrate::least_squares::Estimate;
use twinplate_calibrate::removal::{
    Exponent, Gain, Plan, Preston, Proposed, RemovalReport, Unknown, WIDER,
};
use twinplate_sim::files::{INCH, is_of_inches};
use twinplate_sim::math::exp;

/// Half-width of a logarithm from which on it is told as a factor.
const LARGE: f64 = 0.3;

/// What everybody is told who makes trials.
pub(super) const CAUTION: &str = "a trial is a run of the machine: check its recipe first, begin at the lowest load, keep to the machine's limits \
     and the local code. Never reach under a raised plate that is not mechanically held.";

/// Draws the report; the last line is the verdict.
pub(crate) fn draw(report: &RemovalReport, style: Style) -> String {
    let mut text = String::new();
    let _ = writeln!(text, "{}", style.paint(Paint::Strong, "calibrate removal"));
    paragraph(&mut text, "", &subject(report));
    for note in &report.notes {
        paragraph(&mut text, "note: ", note);
    }
    heading(&mut text, &title(report), style);
    for found in &report.coefficients {
        let name = if found.abrasive.is_empty() {
            ""
        } else {
            found.abrasive.as_str()
        };
        if !name.is_empty() {
            paragraph(&mut text, "", &format!("{name}, trials: {}", found.trials));
        }
        for (label, value) in coefficient(report, found) {
            let _ = writeln!(text, "  {label:<22}{value}");
        }
    }
    heading(&mut text, "Proportionality (Preston's law), 95 %", style);
    for (label, value) in exponents(report) {
        let _ = writeln!(text, "  {label:<22}{value}");
    }
    for line in judged(report) {
        paragraph(&mut text, "", &line);
    }
    heading(&mut text, "Diagnostics", style);
    for line in diagnostics(report) {
        paragraph(&mut text, "- ", &line);
    }
    if let Some(plan) = &report.plan {
        next(&mut text, report, plan, style);
    }
    text.push('\n');
    let kind = match report.preston {
        Preston::Holds => Paint::Normal,
        Preston::Open | Preston::Fails => Paint::Abnormal,
    };
    close(&mut text, CAUTION, kind, &verdict(report), style);
    text
}

/// File, trials, their middle.
pub(super) fn subject(report: &RemovalReport) -> String {
    let units = &report.units;
    format!(
        "{}: {} trials about {} {}, {} {}, {} {}",
        report.file,
        report.trials.len(),
        number(units.pressure.typed(report.middle.pressure), 3),
        units.pressure.symbol,
        number(units.speed.typed(report.middle.speed), 3),
        units.speed.symbol,
        number(units.time.typed(report.middle.time), 3),
        units.time.symbol
    )
}

/// What the coefficient is.
pub(super) fn title(report: &RemovalReport) -> String {
    match report.preston {
        Preston::Fails => {
            "Removal coefficient per face, 95 %, for the middle of the trials alone".to_owned()
        }
        Preston::Holds | Preston::Open => "Removal coefficient per face, 95 %".to_owned(),
    }
}

/// Symbol and size of the small length that goes with the thickness typed.
pub(super) fn depth(report: &RemovalReport) -> (&'static str, f64) {
    if is_of_inches(report.units.length.symbol) {
        ("µin", INCH * 1e-6)
    } else {
        ("µm", 1e-6)
    }
}

/// Labels and values of a coefficient, in 1/Pa and as a rate as it was typed.
pub(super) fn coefficient(
    report: &RemovalReport,
    found: &twinplate_calibrate::removal::Coefficient,
) -> Vec<(&'static str, String)> {
    let (symbol, size) = depth(report);
    let time = &report.units.time;
    let rate = found.rate.mapped(|rate| rate / size * time.size);
    let mut told = Vec::new();
    if report.decline.told().is_some() {
        told.push((
            "with fresh slurry",
            format!("{} 1/Pa", interval(&found.fresh, 3)),
        ));
    }
    told.push((
        "mean of a trial",
        format!("{} 1/Pa", interval(&found.mean, 3)),
    ));
    told.push((
        "rate in the middle",
        format!("{} {symbol}/{}", interval(&rate, 3), time.symbol),
    ));
    told
}

/// Labels and values of exponents and decline.
pub(super) fn exponents(report: &RemovalReport) -> Vec<(&'static str, String)> {
    let words = |found: &Exponent, show: &dyn Fn(&Estimate) -> String| match found {
        Exponent::Told(value) => show(value),
        Exponent::Untold(why) => format!("not told: {why}"),
    };
    let plain = |value: &Estimate| interval(value, 3);
    let time = report.units.time;
    let share = |value: &Estimate| {
        format!(
            "{} %/{}",
            interval(&value.mapped(|x| 100.0 * x * time.size), 3),
            time.symbol
        )
    };
    vec![
        ("exponent of pressure", words(&report.exponents[0], &plain)),
        ("exponent of speed", words(&report.exponents[1], &plain)),
        ("decline of the rate", words(&report.decline, &share)),
    ]
}

/// What follows from them.
pub(super) fn judged(report: &RemovalReport) -> Vec<String> {
    let mut told = Vec::new();
    if let Some(test) = report.test {
        told.push(format!(
            "that both are one: F {} with {} and {} degrees of freedom, chance {}",
            number(test.f, 3),
            test.freedom[0],
            test.freedom[1],
            chance(test.chance)
        ));
    }
    told.push(match report.preston {
        Preston::Holds => "Preston's law holds in these trials: removal is in proportion to pressure and speed".to_owned(),
        Preston::Open => {
            "nothing speaks against Preston's law, but the trials cannot show it: an exponent is untold or its interval is wide".to_owned()
        }
        Preston::Fails => {
            "Preston's law does not hold in these trials: beyond their middle the coefficient predicts the wrong rate".to_owned()
        }
    });
    if let Some(decline) = report.decline.told() {
        told.push(if decline.low > 0.0 {
            "the rate falls while a trial lasts: the coefficient with fresh slurry is the one for a recipe".to_owned()
        } else if decline.high < 0.0 {
            "the rate rises while a trial lasts: look for a plate or slurry that was not settled".to_owned()
        } else {
            "no decline over a trial can be told from none".to_owned()
        });
    }
    told
}

/// What the rows say of themselves.
pub(super) fn diagnostics(report: &RemovalReport) -> Vec<String> {
    let coefficients = report.rows.len() - report.freedom;
    let mut told = standing_out(&report.rows, coefficients, |row| {
        format!("{} %", number(100.0 * (exp(row.residual) - 1.0), 3))
    });
    told.push(format!(
        "rates scatter by {} % about the law, {} degrees of freedom",
        number(100.0 * report.scatter, 3),
        report.freedom
    ));
    told.push(report.lack_of_fit.map_or_else(
        || "no trial was repeated, or nothing is left to test: lack of fit cannot be told from scatter".to_owned(),
        |test| {
            let word = if test.chance < twinplate_calibrate::removal::LEVEL {
                "the law leaves more than repeats scatter"
            } else {
                "no lack of fit against repeated trials"
            };
            format!("{word}: F {}, chance {}", number(test.f, 3), chance(test.chance))
        },
    ));
    told
}

/// A trial to make, in the units typed.
pub(super) fn proposed(report: &RemovalReport, next: &Proposed) -> String {
    let units = &report.units;
    let trial = &next.trial;
    let (symbol, size) = depth(report);
    let name = report
        .coefficients
        .get(trial.abrasive)
        .map_or("", |found| found.abrasive.as_str());
    let mut told = if name.is_empty() {
        String::new()
    } else {
        format!("{name}: ")
    };
    let _ = write!(
        told,
        "{} {}",
        number(units.pressure.typed(trial.pressure), 3),
        units.pressure.symbol
    );
    if let Some((load, area)) = units.load {
        let _ = write!(
            told,
            " ({} {})",
            number(load.typed(trial.pressure * area), 3),
            load.symbol
        );
    }
    let _ = write!(
        told,
        ", {} {}",
        number(units.speed.typed(trial.speed), 3),
        units.speed.symbol
    );
    if units.drives {
        let (line, times) = next.like;
        let _ = write!(
            told,
            " (the four speeds of line {line} times {})",
            number(times, 3)
        );
    }
    let _ = write!(
        told,
        ", {} {}; takes about {} {symbol} off each face",
        number(units.time.typed(trial.time), 3),
        units.time.symbol,
        number(trial.removed / size, 3)
    );
    told
}

/// A number of the law, how sure it is and how sure it would be.
pub(super) fn gain(report: &RemovalReport, gain: &Gain) -> [String; 3] {
    let time = report.units.time;
    let (name, scale, unit) = match gain.of {
        Unknown::Coefficient(at) => {
            let abrasive = report
                .coefficients
                .get(at)
                .map_or("", |found| found.abrasive.as_str());
            (format!("coefficient {abrasive}"), 100.0, " %".to_owned())
        }
        Unknown::Pressure => ("exponent of pressure".to_owned(), 1.0, String::new()),
        Unknown::Speed => ("exponent of speed".to_owned(), 1.0, String::new()),
        Unknown::Decline => (
            "decline".to_owned(),
            100.0 * time.size,
            format!(" %/{}", time.symbol),
        ),
    };
    let shown = |half: f64| {
        if matches!(gain.of, Unknown::Coefficient(_)) && half > LARGE {
            return format!("× or ÷ {}", number(exp(half), 2));
        }
        format!("± {}{unit}", number(scale * half, 2))
    };
    [
        name.trim_end().to_owned(),
        gain.before.map_or_else(|| "untold".to_owned(), shown),
        shown(gain.after),
    ]
}

/// What is said with the plan.
pub(super) fn about(plan: &Plan) -> Vec<String> {
    let mut told = vec![format!(
        "of all pairs on a grid over what was tried this one shrinks the joint uncertainty most, to {} of its volume (D-optimal)",
        number(plan.volume, 2)
    )];
    let beyond: Vec<&str> = ["pressure", "speed", "time"]
        .into_iter()
        .zip(plan.beyond)
        .filter_map(|(word, beyond)| beyond.then_some(word))
        .collect();
    if !beyond.is_empty() {
        told.push(format!(
            "hardly varied so far: {}; there the grid goes up to {} times beyond what was tried: see first that machine and parts bear it",
            beyond.join(", "),
            number(WIDER, 2)
        ));
    }
    told
}

fn next(text: &mut String, report: &RemovalReport, plan: &Plan, style: Style) {
    heading(text, "The next two trials", style);
    for next in &plan.trials {
        paragraph(text, "- ", &proposed(report, next));
    }
    let _ = writeln!(
        text,
        "{:<24}{:>16}{:>16}",
        "95 % half-width", "now", "with them"
    );
    for found in &plan.gains {
        let [name, before, after] = gain(report, found);
        let _ = writeln!(text, "{name:<24}{before:>16}{after:>16}");
    }
    for line in about(plan) {
        paragraph(text, "", &line);
    }
}

/// The verdict in a line.
pub(super) fn verdict(report: &RemovalReport) -> String {
    let found: Vec<String> = report
        .coefficients
        .iter()
        .map(|found| {
            let name = if found.abrasive.is_empty() {
                String::new()
            } else {
                format!("{} ", found.abrasive)
            };
            format!("{name}{} 1/Pa", number(found.fresh.value, 3))
        })
        .collect();
    format!(
        "Preston's law {}; {}",
        report.preston.word(),
        found.join(", ")
    )
}
