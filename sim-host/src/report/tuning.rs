//! What `tune` found, for a terminal: 80 columns, the recommendation in the last lines.

use super::{Paint, Style, wrap};
use crate::model::Gains;
use crate::study::finding::significant as number;
use crate::study::tune::candidates::{Broken, OnLines};
use crate::study::tune::compare::{Comparison, Verdict};
use crate::study::tune::judge::Judgement;
use crate::study::tune::recommend::{Candidate, Chosen, Nothing};
use crate::study::tune::work::{LogStudy, TuneReport};
use std::fmt::Write as _;

/// Width of a terminal line.
const WIDTH: usize = 80;

/// The gains block of a machine file.
#[must_use]
pub fn block(gains: &Gains) -> String {
    format!(
        "[gains]\nproportional = \"{} 1/N\"\nintegral-time = \"{} s\"\nsetpoint-weight = {:?}\n",
        gains.kc, gains.ti, gains.weight
    )
}

/// Draws the report; the last line is the verdict.
#[must_use]
pub fn draw(report: &TuneReport, style: Style) -> String {
    let mut text = String::new();
    head(&mut text, report, style);
    if let Some(study) = &report.log {
        log(&mut text, study, style);
    }
    experiment(&mut text, report, style);
    candidates(&mut text, report, style);
    match &report.recommendation.answer {
        Ok(chosen) => recommended(&mut text, report, chosen, style),
        Err(nothing) => refused(&mut text, report, nothing, style),
    }
    text
}

fn heading(text: &mut String, words: &str, style: Style) {
    let _ = writeln!(text, "\n{}", style.paint(Paint::Strong, words));
}

fn paragraph(text: &mut String, first: &str, words: &str) {
    let indent = " ".repeat(first.chars().count());
    for (n, line) in wrap(words, WIDTH - indent.len()).iter().enumerate() {
        let before = if n == 0 { first } else { &indent };
        let _ = writeln!(text, "{before}{line}");
    }
}

fn head(text: &mut String, report: &TuneReport, style: Style) {
    let what = match (&report.machine, &report.log) {
        (Some([id, _]), _) => format!("tune {id}"),
        (None, _) => "tune a log".to_owned(),
    };
    let _ = writeln!(text, "{}", style.paint(Paint::Strong, &what));
    if let Some([_, title]) = &report.machine {
        paragraph(text, "", title);
    }
    if let (Some(batch), Some(plan)) = (&report.batch, &report.plan) {
        paragraph(text, "", &format!("with {batch}"));
        paragraph(
            text,
            "trial: ",
            &format!(
                "{} N to {} N at {} N/s, disturbance {} N at the plant's input, back to {} N",
                number(plan.low, 4),
                number(plan.high, 4),
                number(plan.ramp, 3),
                number(plan.disturbance, 3),
                number(plan.low, 4)
            ),
        );
    }
    paragraph(text, "tuned for: ", &report.tuned_for);
    for note in &report.notes {
        paragraph(text, "note: ", note);
    }
}

fn log(text: &mut String, study: &LogStudy, style: Style) {
    heading(text, "Log", style);
    let columns = &study.log.columns;
    let column = |n: usize| {
        let unit = columns[n].unit.as_deref().unwrap_or("no unit");
        format!("{} ({unit})", columns[n].name)
    };
    paragraph(
        text,
        "",
        &format!(
            "{} samples; time {}, command {}, output {}",
            study.log.time_s.len(),
            column(0),
            column(1),
            column(2)
        ),
    );
    for note in &study.log.notes {
        paragraph(text, "- ", note);
    }
    for defect in &study.log.defects {
        paragraph(text, "- ", &defect.to_string());
    }
    let _ = writeln!(
        text,
        "\nmodel                        gain        lag        lag  dead time   fit  chosen"
    );
    for (n, fit) in study.found.fits.iter().enumerate() {
        let lag = |tau: f64| {
            if tau > 0.0 {
                format!("{} s", number(tau, 4))
            } else {
                String::new()
            }
        };
        let _ = writeln!(
            text,
            "{:<24}{:>9} {:>10} {:>10} {:>10} {:>5.1} % {}",
            fit.words.chars().take(24).collect::<String>(),
            number(fit.model.gain, 4),
            lag(fit.model.tau1),
            lag(fit.model.tau2),
            format!("{} s", number(fit.model.dead_time, 4)),
            fit.fit * 100.0,
            if n == 0 { "yes" } else { "" }
        );
    }
    let parameters = &study.found.chosen().parameters;
    let mut intervals = Vec::new();
    for (what, estimate) in [
        ("gain", parameters.gain),
        ("lag", parameters.tau1),
        ("second lag", parameters.tau2),
        ("dead time", parameters.dead_time),
    ] {
        if estimate.value != 0.0 {
            intervals.push(format!(
                "{what} {} to {}",
                number(estimate.low, 4),
                number(estimate.high, 4)
            ));
        }
    }
    paragraph(text, "95 %: ", &intervals.join(", "));
    for warning in &study.found.warnings {
        paragraph(text, "- ", &warning.to_string());
    }
}

fn experiment(text: &mut String, report: &TuneReport, style: Style) {
    let Some(recording) = &report.experiment else {
        return;
    };
    heading(text, "Experiment", style);
    paragraph(
        text,
        "",
        &format!(
            "{} of {} % of full scale at {} N, {} s recorded",
            recording.kind.word(),
            number(recording.size * 100.0, 3),
            number(recording.load, 4),
            number(recording.time_s.last().copied().unwrap_or(0.0), 3)
        ),
    );
    let Some(reading) = &recording.relay else {
        return;
    };
    let _ = writeln!(
        text,
        "cycle: period {} s, amplitude {} N, mean of {}",
        number(reading.cycle.period, 4),
        number(reading.cycle.amplitude, 4),
        reading.cycles
    );
    let _ = writeln!(
        text,
        "                     describing function      exact cycle"
    );
    for (what, a, b) in [
        (
            "ultimate gain 1/N",
            reading.describing.kc,
            reading.exact_ultimate.kc,
        ),
        (
            "ultimate period s",
            reading.describing.period(),
            reading.exact_ultimate.period(),
        ),
    ] {
        let _ = writeln!(text, "{what:<20} {:>19} {:>16}", number(a, 4), number(b, 4));
    }
}

/// One line a candidate.
fn candidates(text: &mut String, report: &TuneReport, style: Style) {
    let found = &report.recommendation;
    heading(text, "Candidates", style);
    let judged = report.machine.is_some();
    let unit = if judged { "N·s" } else { "" };
    let _ = writeln!(
        text,
        "set                  gain   time s     Ms  worst     GM  PM°    error  holds"
    );
    let shown = match &found.answer {
        Ok(chosen) => chosen.index,
        Err(nothing) => nothing.nearest,
    };
    for (n, candidate) in found.candidates.iter().enumerate() {
        let line = candidate_line(candidate);
        let kind = if n == shown && found.answer.is_ok() {
            Paint::Strong
        } else {
            Paint::Quiet
        };
        let _ = writeln!(text, "{}", style.paint(kind, &line));
    }
    let over = if judged {
        format!(
            "error: worst integral error {unit} under the disturbance, real controller, {} machines",
            report.options.compare + 1
        )
    } else {
        "error: worst integral error for a unit step at the plant's input, over the corners"
            .to_owned()
    };
    paragraph(
        text,
        "",
        &format!("worst: Ms on the worst of the corners; {over}"),
    );
    if let Some(why) = &found.no_optimum {
        paragraph(text, "optimum: ", why);
    }
}

fn candidate_line(candidate: &Candidate) -> String {
    let OnLines {
        nominal,
        worst,
        stable,
        ..
    } = &candidate.on_lines;
    let ms = |stable: bool, value: f64| {
        if stable {
            format!("{value:.2}")
        } else {
            "-".to_owned()
        }
    };
    format!(
        "{:<14}{:>11}{:>9}{:>7}{:>7}{:>7}{:>5}{:>9}  {}",
        candidate.named.name,
        number(candidate.named.gains.kc, 4),
        number(candidate.named.gains.ti, 4),
        ms(nominal.stable, nominal.sensitivity),
        ms(*stable, worst.sensitivity),
        number(nominal.gain, 3),
        format!("{:.0}", nominal.phase.to_degrees()),
        if candidate.worst_iae().is_finite() {
            number(candidate.worst_iae(), 3)
        } else {
            "-".to_owned()
        },
        match candidate.broken.first() {
            None => "all",
            Some(broken) => short(broken),
        }
    )
    .trim_end()
    .to_owned()
}

/// A broken limit in a few letters.
fn short(broken: &Broken) -> &'static str {
    match broken.what.as_str() {
        "Ms on the nominal line" => "no: Ms",
        "Ms at the envelope's corners" => "no: worst",
        "setpoint overshoot" | "overshoot over the reference" => "no: over",
        "travel of the command" => "no: travel",
        "noise on the command" => "no: noise",
        "stability" => "unstable",
        "trips" => "no: trip",
        "harm events" => "no: harm",
        _ => "no: hunts",
    }
}

fn recommended(text: &mut String, report: &TuneReport, chosen: &Chosen, style: Style) {
    let found = &report.recommendation;
    let candidate = &found.candidates[chosen.index];
    if let Some(judged) = &chosen.judged {
        judgement(text, judged, style);
    }
    heading(
        text,
        &format!("Recommended: {}", candidate.named.name),
        style,
    );
    paragraph(text, "", &candidate.named.from);
    let margins = &candidate.on_lines;
    paragraph(
        text,
        "margins: ",
        &format!(
            "gain {}, phase {:.0}°, delay {} ms, Ms {}, Mt {}; worst corner ({}): gain {}, phase {:.0}°, Ms {}",
            number(margins.nominal.gain, 3),
            margins.nominal.phase.to_degrees(),
            number(margins.nominal.delay * 1e3, 3),
            number(margins.nominal.sensitivity, 3),
            number(margins.nominal.complementary, 3),
            margins.worst_at,
            number(margins.worst.gain, 3),
            margins.worst.phase.to_degrees(),
            number(margins.worst.sensitivity, 3)
        ),
    );
    for reason in &chosen.reasons {
        paragraph(text, "- ", reason);
    }
    paragraph(text, "", "What limits it:");
    for limit in &chosen.limited_by {
        paragraph(text, "- ", limit);
    }
    text.push('\n');
    let gains = &candidate.named.gains;
    if report.machine.is_some() {
        text.push_str(&block(gains));
    } else {
        let [command, output] = &report.units;
        let _ = writeln!(
            text,
            "proportional gain {} ({command} per {output})\nintegral time {} s\nsetpoint weight {:?}",
            gains.kc, gains.ti, gains.weight
        );
    }
    let _ = writeln!(
        text,
        "\n{}",
        style.paint(
            Paint::Normal,
            &format!("verdict: recommended, {}", candidate.named.name)
        )
    );
}

/// Measures of the chosen set over the envelope.
fn judgement(text: &mut String, judged: &Judgement, style: Style) {
    heading(
        text,
        &format!("Real controller, {} machines", judged.runs),
        style,
    );
    let nominal = &judged.nominal.measured;
    let _ = writeln!(
        text,
        "{:<32}{:>12}{:>12}{:>8}{:>10}",
        "", "nominal", "worst", "run", "bound"
    );
    let mut row = |what: &str, nominal: f64, worst: f64, run: u64, bound: Option<f64>| {
        let bound = bound.map_or_else(String::new, |bound| format!("{:>10}", number(bound, 3)));
        let _ = writeln!(
            text,
            "{what:<32}{:>12}{:>12}{run:>8}{bound}",
            number(nominal, 3),
            number(worst, 3)
        );
    };
    for worst in &judged.demands {
        let (value, _) = judged.nominal.of(worst.demand);
        let unit = worst.demand.unit();
        let what = if unit.is_empty() {
            worst.demand.what().to_owned()
        } else {
            format!("{}, {unit}", worst.demand.what())
        };
        row(&what, value, worst.value, worst.run, Some(worst.bound));
    }
    for (what, value, worst) in [
        (
            "settling after the ramp, s",
            nominal.settling,
            judged.settling,
        ),
        (
            "error under the ramp, N·s",
            nominal.iae_setpoint,
            judged.iae_setpoint,
        ),
        (
            "error under the disturbance, N·s",
            nominal.iae_disturbance,
            judged.iae_disturbance,
        ),
        (
            "deviation under it, N",
            nominal.peak_deviation,
            judged.peak_deviation,
        ),
        ("recovery from it, s", nominal.recovery, judged.recovery),
        ("actuator travel, %/s", nominal.travel * 100.0, {
            let mut travel = judged.travel;
            travel.value *= 100.0;
            travel
        }),
        ("noise amplification", nominal.noise_gain, judged.noise_gain),
    ] {
        row(what, value, worst.value, worst.run, None);
    }
    if judged.hunting.value > 0.0 {
        let _ = writeln!(
            text,
            "hunting has a period of {} s",
            number(judged.hunting_period, 3)
        );
    }
}

fn refused(text: &mut String, report: &TuneReport, nothing: &Nothing, style: Style) {
    let nearest = &report.recommendation.candidates[nothing.nearest];
    heading(text, "Nothing is recommended", style);
    let binds = &nothing.binds;
    paragraph(
        text,
        "",
        &format!(
            "No gain set holds every limit. Nearest is {}; what binds is {}: {} against {} {} ({}).",
            nearest.named.name,
            binds.what,
            number(binds.value, 3),
            number(binds.bound, 3),
            binds.unit,
            binds.at
        ),
    );
    paragraph(text, "", "One change at a time, tried:");
    for tried in &nothing.freeing {
        let answer = if tried.frees { "frees it" } else { "does not" };
        paragraph(text, "- ", &format!("{}: {answer}", tried.change));
    }
    let _ = writeln!(
        text,
        "\n{}",
        style.paint(Paint::Danger, "verdict: nothing passes")
    );
}

/// Draws a comparison; the last line is the verdict.
#[must_use]
pub fn draw_comparison(found: &Comparison, style: Style) -> String {
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
    row("proportional gain, 1/N", &|n| {
        number(side(n).named.gains.kc, 5)
    });
    row("integral time, s", &|n| number(side(n).named.gains.ti, 5));
    row("setpoint weight", &|n| {
        number(side(n).named.gains.weight, 3)
    });
    row("Ms", &|n| number(side(n).on_lines.nominal.sensitivity, 3));
    row("Ms, worst corner", &|n| {
        number(side(n).on_lines.worst.sensitivity, 3)
    });
    row("gain margin", &|n| number(side(n).on_lines.nominal.gain, 3));
    row("phase margin, °", &|n| {
        number(side(n).on_lines.nominal.phase.to_degrees(), 3)
    });
    row("runs that failed", &|n| judged(n, &|j| j.failed as f64));
    for (index, demand) in crate::study::tune::judge::DEMANDS.iter().enumerate() {
        row(&format!("worst {}", demand.what()), &|n| {
            judged(n, &|j| j.demands.get(index).map_or(0.0, |d| d.value))
        });
    }
    row("error under disturbance, N·s", &|n| {
        judged(n, &|j| j.iae_disturbance.value)
    });
    row("deviation under it, N", &|n| {
        judged(n, &|j| j.peak_deviation.value)
    });
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
