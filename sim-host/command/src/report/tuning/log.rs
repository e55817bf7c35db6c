//! What was found in a log, and what an experiment was.

use crate::report::Style;
use crate::report::{heading, paragraph};
use std::fmt::Write as _;
use twinplate_check::finding::significant as number;
use twinplate_tune::import::Column;
use twinplate_tune::typed::{Typed, Units};
use twinplate_tune::work::{LogStudy, TuneReport};

pub(super) fn log(text: &mut String, study: &LogStudy, units: &Units, style: Style) {
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
        paragraph(
            text,
            "- ",
            &defect
                .answered(|value| units.output.value(value))
                .to_string(),
        );
    }
    models(text, study, units);
    let parameters = &study.found.chosen().parameters;
    let mut intervals = Vec::new();
    for (what, estimate, factor) in [
        ("gain", parameters.gain, units.process_gain()),
        ("lag", parameters.tau1, 1.0),
        ("second lag", parameters.tau2, 1.0),
        ("dead time", parameters.dead_time, 1.0),
    ] {
        if estimate.value != 0.0 {
            intervals.push(format!(
                "{what} {} to {}",
                number(factor * estimate.low, 4),
                number(factor * estimate.high, 4)
            ));
        }
    }
    paragraph(text, "95 %: ", &intervals.join(", "));
    for warning in &study.found.warnings {
        paragraph(text, "- ", &warning.answered(&units.output).to_string());
    }
}

/// Fitted models, the chosen one first.
fn models(text: &mut String, study: &LogStudy, units: &Units) {
    let told = |n: usize, unit: &Typed| match study.log.columns[n].log_unit {
        Some(_) => unit.symbol.clone(),
        None => "?".to_owned(),
    };
    let output = told(2, &units.output);
    let gain = match told(1, &units.command).as_str() {
        "1" => format!("gain {output}"),
        command => format!("gain {output}/{command}"),
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
            number(units.process_gain() * fit.model.gain, 4),
            number(fit.model.dead_time, 4),
            fit.fit * 100.0,
            if n == 0 { "  chosen" } else { "" }
        );
    }
}

pub(super) fn experiment(text: &mut String, report: &TuneReport, units: &Units, style: Style) {
    let Some(recording) = &report.experiment else {
        return;
    };
    heading(text, "Experiment", style);
    paragraph(
        text,
        "",
        &format!(
            "{} of {} % of full scale at {}, {} s recorded",
            recording.kind.word(),
            number(recording.size * 100.0, 3),
            units.output.say(recording.load, 4),
            number(recording.time_s.last().copied().unwrap_or(0.0), 3)
        ),
    );
    let Some(reading) = &recording.relay else {
        return;
    };
    let _ = writeln!(
        text,
        "cycle: period {} s, amplitude {}, mean of {}",
        number(reading.cycle.period, 4),
        units.output.say(reading.cycle.amplitude, 4),
        reading.cycles
    );
    let _ = writeln!(
        text,
        "                     describing function      exact cycle"
    );
    for (what, a, b) in [
        (
            format!("ultimate gain {}", units.gain.symbol),
            units.gain.value(reading.describing.kc),
            units.gain.value(reading.exact_ultimate.kc),
        ),
        (
            "ultimate period s".to_owned(),
            reading.describing.period(),
            reading.exact_ultimate.period(),
        ),
    ] {
        let _ = writeln!(text, "{what:<20} {:>19} {:>16}", number(a, 4), number(b, 4));
    }
}
