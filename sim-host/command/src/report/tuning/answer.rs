//! The recommended set with its reasons, or why there is none.

use super::block;
use crate::report::{Paint, Style};
use crate::report::{heading, paragraph};
use std::fmt::Write as _;
use twinplate_check::finding::significant as number;
use twinplate_sim::model::Gains;
use twinplate_tune::contradiction::words;
use twinplate_tune::identify::Warning;
use twinplate_tune::judge::{Demand, Judgement, Worst};
use twinplate_tune::recommend::{Chosen, Nothing};
use twinplate_tune::typed::{Typed, Units};
use twinplate_tune::work::TuneReport;

pub(super) fn recommended(
    text: &mut String,
    report: &TuneReport,
    chosen: &Chosen,
    units: &Units,
    style: Style,
) {
    let found = &report.recommendation;
    let candidate = &found.candidates[chosen.index];
    if let Some(judged) = &chosen.judged {
        judgement(text, judged, units, style);
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
        text.push_str(&block(gains, &report.options.shown));
    } else {
        text.push_str(&plain(report, gains, units));
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
                units.gain.number(gains.kc, 3),
                number(gains.ti, 3)
            )
        )
    );
}

/// Gains without a machine file: in the log's units, and in its command's own where that is per cent.
fn plain(report: &TuneReport, gains: &Gains, units: &Units) -> String {
    let [command, output] = [&units.command.symbol, &units.output.symbol];
    // As many digits as it was found to.
    let kc = units.gain.number(gains.kc, 5);
    let own = report
        .log
        .as_ref()
        .and_then(|study| study.log.columns[1].unit.as_deref());
    let gain = match (command.as_str(), own) {
        ("1", Some("%")) => format!(
            "{kc} 1/{output} = {} %/{output}",
            units.gain.number(gains.kc * 100.0, 5)
        ),
        ("1", _) => format!("{kc} 1/{output}"),
        _ => format!("{kc} ({command} per {output})"),
    };
    format!(
        "proportional gain  {gain}\nintegral time      {} s\nsetpoint weight    {:?}\n",
        gains.ti, gains.weight
    )
}

/// A measure of a set over its machines, as it is told.
pub(crate) struct Measure {
    /// What it is.
    pub what: &'static str,
    /// Its unit; empty for a plain number.
    pub unit: String,
    /// Of the nominal machine.
    pub nominal: f64,
    /// Worst of all.
    pub worst: Worst,
}

/// Measures of a set over its machines that nothing is demanded of.
pub(crate) fn measures(judged: &Judgement, units: &Units) -> [Measure; 8] {
    let nominal = &judged.nominal.measured;
    let measure = |what, unit: &str, nominal: f64, worst: Worst, factor: f64| Measure {
        what,
        unit: unit.to_owned(),
        nominal: factor * nominal,
        worst: Worst {
            value: factor * worst.value,
            ..worst
        },
    };
    let of = |what, unit: &Typed, nominal, worst| {
        measure(what, &unit.symbol, nominal, worst, unit.value(1.0))
    };
    let (load, error) = (&units.output, &units.error);
    [
        of(
            "largest overshoot",
            load,
            nominal.largest_over,
            judged.overshoot,
        ),
        measure(
            "settling after the ramp",
            "s",
            nominal.settling,
            judged.settling,
            1.0,
        ),
        of(
            "error under the ramp",
            error,
            nominal.iae_setpoint,
            judged.iae_setpoint,
        ),
        of(
            "error under the disturbance",
            error,
            nominal.iae_disturbance,
            judged.iae_disturbance,
        ),
        of(
            "deviation under it",
            load,
            nominal.peak_deviation,
            judged.peak_deviation,
        ),
        measure(
            "recovery from it",
            "s",
            nominal.recovery,
            judged.recovery,
            1.0,
        ),
        measure(
            "actuator travel",
            "%/s",
            nominal.travel,
            judged.travel,
            100.0,
        ),
        // Load on the declared line over load: a plain number.
        measure(
            "noise amplification",
            "",
            nominal.noise_gain,
            judged.noise_gain,
            1.0,
        ),
    ]
}

/// Measures of the chosen set over the envelope.
fn judgement(text: &mut String, judged: &Judgement, units: &Units, style: Style) {
    heading(
        text,
        &format!("Real controller, {} machines", judged.runs),
        style,
    );
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
        let told = |value: f64| match worst.demand.of() {
            Some(_) => units.output.value(value),
            None => value,
        };
        let unit = match worst.demand.of() {
            Some(_) => &*units.output.symbol,
            None => "",
        };
        let name = match worst.demand {
            Demand::Overshoot => worst.demand.worst(),
            other => other.what().to_owned(),
        };
        let what = if unit.is_empty() {
            name
        } else {
            format!("{name}, {unit}")
        };
        row(
            &what,
            told(value),
            told(worst.value),
            worst.run,
            Some(told(worst.bound)),
        );
    }
    for measure in measures(judged, units) {
        let unit = match measure.unit.as_str() {
            "" => String::new(),
            unit => format!(", {unit}"),
        };
        let worst = measure.worst;
        row(
            &format!("{}{unit}", measure.what),
            measure.nominal,
            worst.value,
            worst.run,
            None,
        );
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
        paragraph(text, "- ", &words(apart, &report.options.shown));
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
        let [value, bound, unit] = binds.told(&report.options.shown);
        format!(": {value} against {bound}{unit}")
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
