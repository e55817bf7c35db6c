//! The answers on top: the gains, their margins, what was judged, why these, what limits them; or what binds and what would free it.

use super::super::svg::escape;
use std::fmt::Write as _;
use twinplate_check::finding::significant;
use twinplate_sim::model::Shown;
use twinplate_tune::contradiction::words;
use twinplate_tune::recommend::{Candidate, Chosen, Nothing};
use twinplate_tune::work::TuneReport;

/// Sentences of a card; the rest stands further down.
const SENTENCES: usize = 4;

/// Draws them.
pub(super) fn draw(html: &mut String, report: &TuneReport) {
    let candidate = report.recommendation.shown();
    html.push_str("<section class=\"answers\" aria-label=\"Answers\">");
    match &report.recommendation.answer {
        Ok(chosen) => {
            verdict(html, "pass", "✓", "Recommended", &candidate.named.name);
            gains(html, "Gains", report, candidate);
            margins(html, report, candidate);
            judged(html, report, Some(chosen));
            list(html, "why", "Why these", &chosen.reasons, "");
            list(
                html,
                "limits",
                "What limits them",
                &chosen.limited_by,
                "in the table of candidates",
            );
        }
        Err(_) if !report.contradicts.is_empty() => {
            verdict(
                html,
                "fail",
                "✕",
                "Log and machine file contradict",
                "mend one of them",
            );
            let apart: Vec<String> = report
                .contradicts
                .iter()
                .map(|apart| words(apart, &report.options.shown))
                .collect();
            list(html, "why", "Contradictions", &apart, "");
        }
        Err(nothing) => {
            verdict(
                html,
                "fail",
                "✕",
                "Nothing passes",
                &format!("nearest: {}", candidate.named.name),
            );
            gains(html, "Nearest, not recommended", report, candidate);
            margins(html, report, candidate);
            judged(html, report, None);
            refused(html, nothing, &report.options.shown);
        }
    }
    html.push_str("</section>");
}

fn verdict(html: &mut String, class: &str, sign: &str, word: &str, detail: &str) {
    let _ = write!(
        html,
        "<div class=\"card verdict {class}\"><h2>Verdict</h2><div class=\"sign\" aria-hidden=\"true\">{sign}</div>\
         <div class=\"short\">{word}</div><div class=\"detail\">{}</div></div>",
        escape(detail)
    );
}

/// The gains as the machine file takes them.
fn gains(html: &mut String, title: &str, report: &TuneReport, candidate: &Candidate) {
    let gains = &candidate.named.gains;
    let unit = report.told().gain;
    let _ = write!(
        html,
        "<div class=\"card\"><h2>{title}</h2><table class=\"plain\">\
         <tr><td class=\"l\">proportional</td><td class=\"big\">{}</td><td class=\"l\">{}</td></tr>\
         <tr><td class=\"l\">integral time</td><td class=\"big\">{}</td><td class=\"l\">s</td></tr>\
         <tr><td class=\"l\">setpoint weight</td><td class=\"big\">{}</td><td></td></tr></table>\
         <div class=\"detail\">{}</div></div>",
        unit.number(gains.kc, 5),
        escape(&unit.symbol),
        significant(gains.ti, 5),
        significant(gains.weight, 3),
        escape(&candidate.named.from)
    );
}

fn margins(html: &mut String, report: &TuneReport, candidate: &Candidate) {
    let found = &candidate.on_lines;
    let limits = &report.recommendation.lines.limits;
    let (nominal, worst) = (&found.nominal, &found.worst);
    let _ = write!(
        html,
        "<div class=\"card\"><h2>Margins</h2><table class=\"plain\"><tr><th></th><th>nominal</th><th>worst corner</th></tr>"
    );
    let mut row = |what: &str, values: [String; 2], bad: [bool; 2]| {
        let cell = |n: usize| {
            let class = if bad[n] { " class=\"out\"" } else { "" };
            format!("<td{class}>{}</td>", values[n])
        };
        let _ = write!(
            html,
            "<tr><td class=\"l\">{what}</td>{}{}</tr>",
            cell(0),
            cell(1)
        );
    };
    let both = |value: &dyn Fn(&twinplate_linear::Margins) -> String| {
        [value(nominal), value(worst)].map(|text| escape(&text))
    };
    let unstable = [!nominal.stable, !worst.stable];
    if unstable[0] || unstable[1] {
        let word = unstable.map(|bad| if bad { "unstable" } else { "stable" }.to_owned());
        row("closed loop", word, unstable);
    }
    row("gain", both(&|m| significant(m.gain, 3)), [false; 2]);
    row(
        "phase, °",
        both(&|m| format!("{:.0}", m.phase.to_degrees())),
        [false; 2],
    );
    row(
        "delay, ms",
        both(&|m| significant(m.delay * 1e3, 3)),
        [false; 2],
    );
    let over = |value: f64, limit: f64| value > limit * (1.0 + 5e-4);
    let bad = [
        nominal.stable && over(nominal.sensitivity, limits.sensitivity),
        worst.stable && over(worst.sensitivity, limits.corner_sensitivity),
    ];
    let of = |stable: bool, value: f64, limit: f64, bad: bool| {
        if stable {
            let word = if bad { "over" } else { "of" };
            format!(
                "<b>{}</b> {word} {}",
                significant(value, 3),
                significant(limit, 3)
            )
        } else {
            "–".to_owned()
        }
    };
    row(
        "Ms",
        [
            of(
                nominal.stable,
                nominal.sensitivity,
                limits.sensitivity,
                bad[0],
            ),
            of(
                worst.stable,
                worst.sensitivity,
                limits.corner_sensitivity,
                bad[1],
            ),
        ],
        bad,
    );
    let _ = write!(
        html,
        "</table><div class=\"detail\">worst at {}</div></div>",
        escape(&found.worst_at.replace(" %", "\u{a0}%"))
    );
}

fn judged(html: &mut String, report: &TuneReport, chosen: Option<&Chosen>) {
    let candidate = report.recommendation.shown();
    let judged = chosen
        .and_then(|chosen| chosen.judged.as_ref())
        .or(candidate.judged.as_ref());
    let units = report.told();
    let (short, class, detail) = match (judged, &report.plan) {
        (Some(judged), Some(plan)) => (
            if judged.failed == 0 {
                format!("all {} machines held", judged.runs)
            } else {
                format!("{} of {} machines failed", judged.failed, judged.runs)
            },
            if judged.failed == 0 { "" } else { " out" },
            format!(
                "Real controller, nonlinear plant, the nominal machine and {} drawn from its envelope: {} up to {} at {}, {} at the plant's \
                 input, and back. {}",
                judged.runs - 1,
                units.output.say(plan.low, 4),
                units.output.say(plan.high, 4),
                units.rate.say(plan.ramp, 3),
                units.output.say(plan.disturbance, 3),
                match (&report.batch, plan.stand_in) {
                    (Some(batch), false) => format!("With {batch}."),
                    _ => "On stand-in test blocks.".to_owned(),
                }
            ),
        ),
        (None, Some(_)) => (
            "no run was made".to_owned(),
            " out",
            "The loop is unstable on the nominal line.".to_owned(),
        ),
        _ => (
            format!("1 line, {} corners", report.recommendation.lines.corners.len()),
            "",
            "Linear only: the fitted model and the edges of its 95 % intervals. No machine was named, so nothing ran on the controller, \
             and nothing is said of how the machine may change."
                .to_owned(),
        ),
    };
    let _ = write!(
        html,
        "<div class=\"card judged\"><h2>Judged</h2><div class=\"short{class}\">{}</div><div class=\"detail\">{}</div></div>",
        escape(&short),
        escape(&detail)
    );
}

fn list(html: &mut String, class: &str, title: &str, sentences: &[String], rest: &str) {
    let _ = write!(html, "<div class=\"card {class}\"><h2>{title}</h2><ul>");
    for sentence in sentences.iter().take(SENTENCES) {
        let _ = write!(html, "<li>{}</li>", escape(sentence));
    }
    html.push_str("</ul>");
    if sentences.len() > SENTENCES {
        let more = sentences.len() - SENTENCES;
        let _ = write!(html, "<div class=\"detail\">and {more} more {rest}</div>");
    }
    html.push_str("</div>");
}

fn refused(html: &mut String, nothing: &Nothing, shown: &Shown) {
    let binds = &nothing.binds;
    let [value, bound, unit] = binds.told(shown);
    let _ = write!(
        html,
        "<div class=\"card why\"><h2>What binds</h2><div class=\"short out\">{}</div><div class=\"detail\">{value} against a bound of {bound}{unit}, {}</div></div>",
        escape(&binds.what),
        escape(&binds.at)
    );
    html.push_str("<div class=\"card limits\"><h2>Single changes that were tried</h2><ul>");
    for tried in &nothing.freeing {
        let (open, close) = if tried.frees {
            ("<b>", "</b>")
        } else {
            ("", "")
        };
        let _ = write!(
            html,
            "<li>{open}{}: {}{close}</li>",
            escape(&tried.change),
            super::super::tuning::with_it(tried.frees)
        );
    }
    html.push_str("</ul></div>");
}
