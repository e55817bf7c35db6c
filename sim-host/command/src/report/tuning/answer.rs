//! The recommended set with its reasons, or why there is none.

use super::block;
use crate::report::{Paint, Style};
use crate::report::{heading, paragraph};
use std::fmt::Write as _;
use twinplate_check::finding::significant as number;
use twinplate_sim::model::Gains;
use twinplate_tune::contradiction::words;
use twinplate_tune::identify::Warning;
use twinplate_tune::judge::{Demand, Judgement};
use twinplate_tune::recommend::{Chosen, Nothing};
use twinplate_tune::work::TuneReport;

pub(super) fn recommended(text: &mut String, report: &TuneReport, chosen: &Chosen, style: Style) {
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
        text.push_str(&plain(report, gains));
    }
    let warnings = report.log.as_ref().map_or(0, |study| {
        study
            .found
            .warnings
            .iter()
            .filter(|warning| !matches!(warning, Warning::StepInstant { .. }))
            .count()
    });
    if warnings > 0 {
        let _ = writeln!(
            text,
            "\ncaution: {warnings} thing{} under Log that the model does not cover: read {} first",
            if warnings == 1 { "" } else { "s" },
            if warnings == 1 { "it" } else { "them" }
        );
    }
    let _ = writeln!(
        text,
        "\n{}",
        style.paint(
            Paint::Normal,
            &format!(
                "verdict: recommended, {}: gain {}, integral time {} s",
                candidate.named.name,
                number(gains.kc, 3),
                number(gains.ti, 3)
            )
        )
    );
}

/// Gains without a machine file: in the log's units, and in its command's own where that is per cent.
fn plain(report: &TuneReport, gains: &Gains) -> String {
    let [command, output] = &report.units;
    let own = report
        .log
        .as_ref()
        .and_then(|study| study.log.columns[1].unit.as_deref());
    let gain = match (command.as_str(), own) {
        ("1", Some("%")) => format!(
            "{} 1/{output} = {} %/{output}",
            gains.kc,
            number(gains.kc * 100.0, 5)
        ),
        ("1", _) => format!("{} 1/{output}", gains.kc),
        _ => format!("{} ({command} per {output})", gains.kc),
    };
    format!(
        "proportional gain  {gain}\nintegral time      {} s\nsetpoint weight    {:?}\n",
        gains.ti, gains.weight
    )
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
        let name = match worst.demand {
            Demand::Overshoot => worst.demand.worst(),
            other => other.what().to_owned(),
        };
        let what = if unit.is_empty() {
            name
        } else {
            format!("{name}, {unit}")
        };
        row(&what, value, worst.value, worst.run, Some(worst.bound));
    }
    for (what, value, worst) in [
        (
            "largest overshoot, N",
            nominal.largest_over,
            judged.overshoot,
        ),
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

/// Log and machine file that are not of one machine.
fn contradiction(text: &mut String, report: &TuneReport, style: Style) {
    paragraph(
        text,
        "",
        "The log is not of the machine that the file declares, so that nothing was run on it: a trial would say nothing of the logged line.",
    );
    for apart in &report.contradicts {
        paragraph(text, "- ", &words(apart));
    }
    paragraph(
        text,
        "",
        "Mend the machine file, or widen its envelope, if the log is right; take another log, or name another file, if it is not. For gains \
         of the log alone leave the machine out.",
    );
    let _ = writeln!(
        text,
        "\n{}",
        style.paint(
            Paint::Danger,
            "verdict: log and machine file contradict: mend one of them"
        )
    );
}

pub(super) fn refused(text: &mut String, report: &TuneReport, nothing: &Nothing, style: Style) {
    let nearest = &report.recommendation.candidates[nothing.nearest];
    heading(text, "Nothing is recommended", style);
    if !report.contradicts.is_empty() {
        contradiction(text, report, style);
        return;
    }
    let binds = &nothing.binds;
    // What must not happen at all has no numbers to tell.
    let by = if binds.bound > 0.0 {
        format!(
            ": {} against {} {}",
            number(binds.value, 3),
            number(binds.bound, 3),
            binds.unit
        )
    } else {
        String::new()
    };
    paragraph(
        text,
        "",
        &format!(
            "No gain set holds every limit. Nearest is {}; what binds is {}{} ({}).",
            nearest.named.name,
            binds.what,
            by.trim_end(),
            binds.at
        ),
    );
    paragraph(text, "", "One change at a time, tried:");
    for tried in &nothing.freeing {
        paragraph(
            text,
            "- ",
            &format!("{}: {}", tried.change, super::with_it(tried.frees)),
        );
    }
    let _ = writeln!(
        text,
        "\n{}",
        style.paint(Paint::Danger, "verdict: nothing passes")
    );
}
