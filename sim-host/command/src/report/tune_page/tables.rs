//! Tables of the page: the models found in a log, the candidates, the measures of the chosen set.

use super::super::counted;
use super::super::svg::escape;
use super::super::tuning::{answer, block};
use super::shown_index;
use std::fmt::Write as _;
use twinplate_check::finding::significant;
use twinplate_sim::model::Shown;
use twinplate_tune::candidates::Broken;
use twinplate_tune::experiment::RelayReading;
use twinplate_tune::identify::Estimate;
use twinplate_tune::judge::{Demand, Judgement};
use twinplate_tune::recommend::Candidate;
use twinplate_tune::typed::{Typed, Units};
use twinplate_tune::work::{LogStudy, TuneReport};

/// The models found in a log or read from a relay's cycle.
pub(super) fn models(html: &mut String, report: &TuneReport) {
    if let Some(study) = &report.log {
        fits(html, report, study);
        about_log(html, study, &report.told().output);
    }
    if let Some(reading) = report.experiment.as_ref().and_then(|e| e.relay.as_ref()) {
        relay(html, reading, &report.told());
    }
}

fn fits(html: &mut String, report: &TuneReport, study: &LogStudy) {
    let units = report.told();
    let [command, output] = [&units.command.symbol, &units.output.symbol];
    let _ = write!(
        html,
        "<h2>Models found in it, with 95 % intervals</h2><div class=\"sheet scroll\"><table><tr><th class=\"l\">form</th>\
         <th>gain, {}</th><th>lag, s</th><th>second lag, s</th><th>dead time, s</th><th>fit, %</th><th>residuals, {}</th>\
         <th class=\"l\">chosen</th></tr>",
        escape(&if command.as_str() == "1" {
            output.clone()
        } else {
            format!("{output}/{command}")
        }),
        escape(output)
    );
    for (n, fit) in study.found.fits.iter().enumerate() {
        let parameters = &fit.parameters;
        let cell = |estimate: Estimate, factor: f64| {
            if estimate.value == 0.0 && estimate.low == 0.0 {
                "<td>–</td>".to_owned()
            } else {
                format!(
                    "<td>{}<div class=\"cure\">{} to {}</div></td>",
                    significant(factor * estimate.value, 4),
                    significant(factor * estimate.low, 4),
                    significant(factor * estimate.high, 4)
                )
            }
        };
        let _ = write!(
            html,
            "<tr{}><td class=\"l\">{}</td>{}{}{}{}<td>{:.1}</td><td>{}</td><td class=\"l\">{}</td></tr>",
            if n == 0 { " class=\"chosen\"" } else { "" },
            escape(&fit.words),
            cell(parameters.gain, units.process_gain()),
            cell(parameters.tau1, 1.0),
            cell(parameters.tau2, 1.0),
            cell(parameters.dead_time, 1.0),
            fit.fit * 100.0,
            units.output.number(fit.rms, 2),
            if n == 0 { "✓ chosen" } else { "" }
        );
    }
    html.push_str("</table></div>");
}

/// What was assumed of a log and what is wrong with it; what the fit warns of stands on top.
fn about_log(html: &mut String, study: &LogStudy, output: &Typed) {
    let all = study.log.notes.iter().cloned().chain(
        study
            .log
            .defects
            .iter()
            .map(|defect| defect.answered(|value| output.value(value)).to_string()),
    );
    html.push_str("<ul class=\"told\">");
    for words in all {
        let _ = write!(html, "<li>{}</li>", escape(&words));
    }
    html.push_str("</ul>");
}

fn relay(html: &mut String, reading: &RelayReading, units: &Units) {
    let _ = write!(
        html,
        "<h2>The steady cycle, read in two ways</h2><div class=\"sheet scroll\"><table><tr><th class=\"l\"></th><th>describing function</th>\
         <th>exact cycle</th></tr><tr><td class=\"l\">ultimate gain, {}</td><td>{}</td><td>{}</td></tr>\
         <tr><td class=\"l\">ultimate period, s</td><td>{}</td><td>{}</td></tr></table>\
         <p class=\"cure\">Cycle: period {} s, amplitude {}, mean of {}.</p></div>",
        units.gain.symbol,
        units.gain.number(reading.describing.kc, 4),
        units.gain.number(reading.exact_ultimate.kc, 4),
        significant(reading.describing.period(), 4),
        significant(reading.exact_ultimate.period(), 4),
        significant(reading.cycle.period, 4),
        units.output.say(reading.cycle.amplitude, 4),
        reading.cycles
    );
}

/// One row a candidate.
pub(super) fn candidates(html: &mut String, report: &TuneReport) {
    let found = &report.recommendation;
    let judged = report.plan.is_some();
    let units = report.told();
    let error = if judged {
        format!("worst error, {}", units.error.symbol)
    } else {
        "worst error".to_owned()
    };
    let _ = write!(
        html,
        "<h2>Candidates</h2><div class=\"sheet scroll\"><table class=\"close\"><tr><th>no.</th><th class=\"l\">set</th><th>gain, {}</th><th>time, s</th>\
         <th>weight</th><th>Ms</th><th>worst Ms</th><th>GM</th><th>PM, °</th><th>delay, ms</th><th>{error}</th>{}\
         <th class=\"l\">breaks</th></tr>",
        escape(&units.gain.symbol),
        if judged { "<th>held</th>" } else { "" }
    );
    for (n, candidate) in found.candidates.iter().enumerate() {
        let chosen = n == shown_index(found) && found.answer.is_ok();
        candidate_row(html, n, candidate, chosen, report);
    }
    let over = if judged {
        format!(
            "Worst error: largest integral error under the trial's disturbance on the real controller, {} machines, the same for every set.",
            report.options.compare + 1
        )
    } else {
        "Worst error: largest integral error after a unit step at the plant's input, nominal line and corners.".to_owned()
    };
    let _ = write!(
        html,
        "</table><p class=\"cure\">GM, PM, delay: gain, phase and delay margin on the nominal line. Worst Ms: on the worst of {} corners. {over}</p></div>",
        found.lines.corners.len()
    );
}

fn candidate_row(
    html: &mut String,
    n: usize,
    candidate: &Candidate,
    chosen: bool,
    report: &TuneReport,
) {
    let (units, judged) = (report.told(), report.plan.is_some());
    let (named, lines) = (&candidate.named, &candidate.on_lines);
    let ms = |stable: bool, value: f64| {
        if stable {
            format!("{value:.2}")
        } else {
            "unstable".to_owned()
        }
    };
    let held = match (&candidate.judged, judged) {
        (Some(judged), _) => format!(
            "<td>{} of {}</td>",
            judged.runs - judged.failed,
            judged.runs
        ),
        (None, true) => "<td>–</td>".to_owned(),
        (None, false) => String::new(),
    };
    let error = candidate.worst_iae();
    let _ = write!(
        html,
        "<tr{}><td>{}</td><td class=\"l set\">{}<div class=\"cure\">{}</div></td><td>{}</td><td>{}</td><td>{}</td><td>{}</td><td>{}</td>\
         <td>{}</td><td>{:.0}</td><td>{}</td><td>{}</td>{held}<td class=\"l set\">{}</td></tr>",
        if chosen { " class=\"chosen\"" } else { "" },
        n + 1,
        escape(&named.name),
        escape(&named.from),
        units.gain.number(named.gains.kc, 4),
        significant(named.gains.ti, 4),
        significant(named.gains.weight, 3),
        ms(lines.nominal.stable, lines.nominal.sensitivity),
        ms(lines.stable, lines.worst.sensitivity),
        significant(lines.nominal.gain, 3),
        lines.nominal.phase.to_degrees(),
        significant(lines.nominal.delay * 1e3, 3),
        match &candidate.judged {
            _ if !error.is_finite() => "–".to_owned(),
            Some(_) => units.error.number(error, 3),
            None => significant(error, 3),
        },
        if chosen {
            "nothing: <b>recommended</b>".to_owned()
        } else {
            breaks(&candidate.broken, &report.options.shown)
        }
    );
}

/// A broken limit in two or three words.
pub(super) fn in_short(broken: &Broken) -> &str {
    match broken.what.as_str() {
        "Ms on the nominal line" => "Ms",
        "Ms at the envelope's corners" => "worst Ms",
        "setpoint overshoot" | "overshoot over the reference" => "overshoot",
        "travel of the command" => "travel",
        "noise on the command" => "noise",
        "harm events" => "harm",
        "hunting amplitude" => "hunting",
        other => other,
    }
}

fn breaks(broken: &[Broken], shown: &Shown) -> String {
    if broken.is_empty() {
        return "nothing".to_owned();
    }
    broken
        .iter()
        .map(|broken| {
            let told = if broken.bound > 0.0 {
                let [value, bound, unit] = broken.told(shown);
                format!("{}: {value} over {bound}{unit}", in_short(broken))
            } else {
                format!("{} ({})", broken.what, broken.at)
            };
            format!("<div class=\"out\">{}</div>", escape(&told))
        })
        .collect()
}

/// Measures of the chosen set over its machines, and the block for the machine file.
pub(super) fn judged(html: &mut String, report: &TuneReport) {
    let Ok(chosen) = &report.recommendation.answer else {
        return;
    };
    if let Some(judged) = &chosen.judged {
        measures(html, judged, &report.told(), &report.options.shown);
    }
    if report.machine.is_some() {
        let gains = &report.recommendation.candidates[chosen.index].named.gains;
        let _ = write!(
            html,
            "<h2>For the machine file</h2><pre class=\"sheet\">{}</pre>",
            escape(&block(gains, &report.options.shown))
        );
    }
}

fn measures(html: &mut String, judged: &Judgement, units: &Units, shown: &Shown) {
    let _ = write!(
        html,
        "<h2>The recommended set on the real controller, {} machines</h2><div class=\"sheet scroll\"><table><tr><th class=\"l\">measure</th>\
         <th class=\"l\">unit</th><th>nominal</th><th>worst</th><th>bound</th><th>run</th><th>runs failed</th></tr>",
        judged.runs
    );
    for worst in &judged.demands {
        let (value, _) = judged.nominal.of(worst.demand);
        let class = if worst.failed > 0 {
            " class=\"bad\""
        } else {
            ""
        };
        let _ = write!(
            html,
            "<tr{class}><td class=\"l\">{}</td><td class=\"l\">{}</td><td>{}</td><td>{}</td><td>{}</td><td>{}</td><td>{}</td></tr>",
            match worst.demand {
                Demand::Overshoot => worst.demand.worst(),
                other => other.what().to_owned(),
            },
            worst.demand.of().map_or("", |of| shown.symbol(of)),
            counted(shown, worst.demand.of(), value, 3),
            counted(shown, worst.demand.of(), worst.value, 3),
            counted(shown, worst.demand.of(), worst.bound, 3),
            worst.run,
            worst.failed
        );
    }
    for measure in answer::measures(judged, units) {
        let _ = write!(
            html,
            "<tr><td class=\"l\">{}</td><td class=\"l\">{}</td><td>{}</td><td>{}</td><td></td><td>{}</td><td></td></tr>",
            measure.what,
            measure.unit,
            significant(measure.nominal, 3),
            significant(measure.worst.value, 3),
            measure.worst.run
        );
    }
    let hunting = if judged.hunting.value > 0.0 {
        format!(
            " Hunting has a period of {} s.",
            significant(judged.hunting_period, 3)
        )
    } else {
        String::new()
    };
    let _ = write!(
        html,
        "</table><p class=\"cure\">Run 0 is the nominal machine.{hunting}</p></div>"
    );
}
