//! The log with the model over it, its command, and what the model leaves over; a relay's recording.

use super::super::svg::{Anchor, Frame, Svg};
use super::chart::{key, plain_y, range};
use twinplate_sim::math::{max, min};
use twinplate_tune::typed::Units;
use twinplate_tune::work::{LogStudy, TuneReport};

const WIDTH: f64 = 1200.0;
/// Room for the names of the curves, px; on a tablet letters are larger.
const KEY: f64 = 190.0;

/// A unit as it is shown, and the factor that brings a value to it: shares are shown in percent.
fn shown(unit: &str) -> (&str, f64) {
    if unit == "1" {
        ("%", 100.0)
    } else {
        (unit, 1.0)
    }
}

fn frame(top: f64, height: f64, time: &[f64], y: [f64; 2]) -> Frame {
    let x = match (time.first(), time.last()) {
        (Some(first), Some(last)) if last > first => [*first, *last],
        _ => [0.0, 1.0],
    };
    Frame {
        left: 72.0,
        top,
        width: WIDTH - 72.0 - KEY,
        height,
        x,
        y,
    }
}

/// The picture, where there is a log or a recording.
pub(super) fn draw(report: &TuneReport) -> Option<String> {
    if let Some(study) = &report.log {
        return Some(of_log(study, &report.told()));
    }
    let recording = report.experiment.as_ref()?;
    let unit = report.told().output;
    let loads = unit.values(&recording.output);
    let mut svg = Svg::new(WIDTH, 330.0, "Recording of the relay experiment");
    let output = frame(28.0, 170.0, &recording.time_s, range(loads.iter().copied()));
    let words = format!("load behind the filter, {}", unit.symbol);
    plain_y(&mut svg, &output, &words, 4);
    svg.path(&output.curve(&recording.time_s, &loads), "load");
    command(
        &mut svg,
        [230.0, 66.0],
        &recording.time_s,
        &recording.command,
        "1",
    );
    key(
        &mut svg,
        output.right() + 14.0,
        output.top + 8.0,
        &[("load", "load"), ("drive-3", "command")],
    );
    Some(svg.finish())
}

/// The command, held from its sample to the next.
fn command(svg: &mut Svg, [top, height]: [f64; 2], time: &[f64], values: &[f64], unit: &str) {
    let (unit, factor) = shown(unit);
    let mut corners = (Vec::new(), Vec::new());
    let mut before: Option<f64> = None;
    for (time, value) in time.iter().zip(values) {
        let value = value * factor;
        if let Some(before) = before
            && before != value
        {
            corners.0.push(*time);
            corners.1.push(before);
        }
        corners.0.push(*time);
        corners.1.push(value);
        before = Some(value);
    }
    let frame = frame(top, height, time, range(corners.1.iter().copied()));
    plain_y(svg, &frame, &format!("command, {unit}"), 2);
    svg.path(&frame.curve(&corners.0, &corners.1), "drive-3");
    frame.axis_x(svg, "s");
}

/// The used samples with a row without number where some were left out between them: no line is drawn across.
fn with_gaps(study: &LogStudy) -> (Vec<f64>, Vec<f64>) {
    let (mut time, mut left_over) = (Vec::new(), Vec::new());
    let fit = study.found.chosen();
    let mut before: Option<usize> = None;
    for (at, residual) in study.found.used.iter().zip(&fit.residuals) {
        let Some(seconds) = study.log.time_s.get(*at) else {
            continue;
        };
        if before.is_some_and(|before| *at > before + 1) {
            time.push(*seconds);
            left_over.push(f64::NAN);
        }
        time.push(*seconds);
        left_over.push(*residual);
        before = Some(*at);
    }
    (time, left_over)
}

fn of_log(study: &LogStudy, units: &Units) -> String {
    let log = &study.log;
    let fit = study.found.chosen();
    let (out_unit, percent) = shown(&units.output.symbol);
    let factor = percent * units.output.value(1.0);
    let scaled = |values: &[f64]| -> Vec<f64> { values.iter().map(|v| v * factor).collect() };
    let (output, curve) = (scaled(&log.output), scaled(&study.curve));
    let mut svg = Svg::new(
        WIDTH,
        452.0,
        "Log with the model over it, command and residuals",
    );
    let top = frame(
        28.0,
        180.0,
        &log.time_s,
        range(output.iter().chain(&curve).copied()),
    );
    plain_y(&mut svg, &top, &format!("output, {out_unit}"), 4);
    svg.path(&top.curve(&log.time_s, &output), "sample");
    svg.path(&top.curve(&log.time_s, &curve), "model");
    let (time, left_over) = with_gaps(study);
    let left_over = scaled(&left_over);
    let below = frame(236.0, 76.0, &log.time_s, about_zero(&left_over));
    plain_y(&mut svg, &below, &format!("log minus model, {out_unit}"), 3);
    svg.path(&below.curve(&time, &left_over), "sample");
    svg.line(
        [below.left, below.py(0.0)],
        [below.right(), below.py(0.0)],
        "reference",
    );
    command(
        &mut svg,
        [346.0, 70.0],
        &log.time_s,
        &units.command.values(&log.command),
        &units.command.symbol,
    );
    let x = top.right() + 14.0;
    key(
        &mut svg,
        x,
        top.top + 8.0,
        &[("sample", "log"), ("model", "model")],
    );
    let told = [
        format!("fit {:.1} %", fit.fit * 100.0),
        format!(
            "residuals {} {out_unit} rms,",
            twinplate_check::finding::significant(fit.rms * factor, 2)
        ),
        if fit.whiteness.white() {
            "white".to_owned()
        } else {
            "not white".to_owned()
        },
    ];
    for (n, words) in told.iter().enumerate() {
        svg.text(
            x,
            top.top + 58.0 + 20.0 * n as f64,
            Anchor::Start,
            "tiny",
            words,
        );
    }
    svg.finish()
}

/// A range that lies about zero.
fn about_zero(values: &[f64]) -> [f64; 2] {
    let [low, high] = range(values.iter().copied());
    let most = max(-min(low, 0.0), max(high, 0.0));
    [-most, most]
}
