//! What was found in a log, and what an experiment was.

use crate::report::Style;
use crate::report::{heading, paragraph};
use std::fmt::Write as _;
use twinplate_check::finding::significant as number;
use twinplate_tune::import::Column;
use twinplate_tune::work::{LogStudy, TuneReport};

pub(super) fn log(text: &mut String, study: &LogStudy, style: Style) {
    heading(text, "Log", style);
    let [_, command, output] = &study.log.columns;
    let unit = |column: &Column| column.unit.clone().unwrap_or_else(|| "no unit".to_owned());
    let time = &study.log.time_s;
    if let Some(name) = &study.log.name {
        paragraph(text, "", name);
    }
    let lasts = time.last().zip(time.first()).map_or(0.0, |(b, a)| b - a);
    paragraph(
        text,
        "",
        &format!(
            "{} samples in {} s, command in {}, output in {}",
            time.len(),
            number(lasts, 3),
            unit(command),
            unit(output)
        ),
    );
    for note in &study.log.notes {
        paragraph(text, "- ", note);
    }
    for defect in &study.log.defects {
        paragraph(text, "- ", &defect.to_string());
    }
    models(text, study);
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

/// Fitted models, the chosen one first.
fn models(text: &mut String, study: &LogStudy) {
    let unit = |n: usize| study.log.columns[n].log_unit.as_deref().unwrap_or("?");
    let gain = match unit(1) {
        "1" => format!("gain {}", unit(2)),
        command => format!("gain {}/{command}", unit(2)),
    };
    let _ = writeln!(
        text,
        "\n{:<23}{gain:>11}{:>10}{:>9}{:>12}{:>6}",
        "model", "lag s", "lag 2 s", "dead time s", "fit %"
    );
    for (n, fit) in study.found.fits.iter().enumerate() {
        let second = if fit.model.tau2 > 0.0 {
            number(fit.model.tau2, 3)
        } else {
            "-".to_owned()
        };
        let first = if fit.model.tau1 > 0.0 {
            number(fit.model.tau1, 4)
        } else {
            "-".to_owned()
        };
        let _ = writeln!(
            text,
            "{:<23}{:>11}{first:>10}{second:>9}{:>12}{:>6.1}{}",
            fit.words.chars().take(23).collect::<String>(),
            number(fit.model.gain, 4),
            number(fit.model.dead_time, 4),
            fit.fit * 100.0,
            if n == 0 { "  chosen" } else { "" }
        );
    }
}

pub(super) fn experiment(text: &mut String, report: &TuneReport, style: Style) {
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
