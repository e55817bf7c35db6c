//! Responses as envelopes: the nominal machine's line, and the range over all machines or corners.

use super::super::svg::{Frame, Svg};
use super::chart::{WIDTH, band, key, plain_y, range};
use crate::study::tune::judge::Band;
use crate::study::tune::work::TuneReport;

const HEIGHT: f64 = 238.0;

/// One response: title and picture.
pub(super) struct Response {
    /// What it is.
    pub title: String,
    /// Picture.
    pub picture: String,
}

/// What stands in a picture of a response.
struct What<'a> {
    title: String,
    band: &'a Band,
    unit: String,
    /// Name of the range.
    over: String,
    /// Name of the dashed line.
    wanted: &'static str,
    nominal: &'static str,
}

/// After a change of the reference, and after a disturbance: on the real controller where the set was judged so, else linear.
pub(super) fn draw(report: &TuneReport) -> Vec<Response> {
    let found = &report.recommendation;
    let judged = found
        .answer
        .as_ref()
        .ok()
        .and_then(|chosen| chosen.judged.as_ref());
    let pair = match (judged, &report.plan, &found.linear) {
        (Some(judged), Some(plan), _) => {
            let what = |title: String, band, wanted| What {
                title,
                band,
                unit: "N".to_owned(),
                over: format!("{} machines", judged.runs),
                wanted,
                nominal: "nominal machine",
            };
            vec![
                what(
                    format!(
                        "Ramp {:.0} → {:.0} N, real controller, {} machines",
                        plan.low, plan.high, judged.runs
                    ),
                    &judged.setpoint_band,
                    "reference",
                ),
                what(
                    format!(
                        "Deviation after {:.0} N at the plant's input, set and cleared",
                        plan.disturbance
                    ),
                    &judged.disturbance_band,
                    "zero",
                ),
            ]
        }
        (_, _, Some(linear)) => {
            let corners = found.lines.corners.len();
            let what = |title: String, band, wanted| What {
                title,
                band,
                unit: report.units[1].clone(),
                over: format!("{corners} corners"),
                wanted,
                nominal: "nominal line",
            };
            vec![
                what(
                    format!("Unit step of the reference, linear, {corners} corners"),
                    &linear.reference,
                    "reference",
                ),
                what(
                    format!(
                        "Unit step at the plant's input (1 {}), linear",
                        report.units[0]
                    ),
                    &linear.disturbance,
                    "zero",
                ),
            ]
        }
        _ => Vec::new(),
    };
    pair.iter().map(one).collect()
}

fn one(what: &What) -> Response {
    let band_ = what.band;
    let values = [&band_.reference, &band_.nominal, &band_.low, &band_.high];
    let end = band_.time.last().copied().unwrap_or(1.0);
    let frame = Frame {
        left: 56.0,
        top: 26.0,
        width: WIDTH - 56.0 - 148.0,
        height: HEIGHT - 26.0 - 26.0,
        x: [0.0, if end > 0.0 { end } else { 1.0 }],
        y: range(values.into_iter().flatten().copied()),
    };
    let mut svg = Svg::new(WIDTH, HEIGHT, &what.title);
    plain_y(&mut svg, &frame, &what.unit, 4);
    svg.path(
        &band(&frame, &band_.time, &band_.low, &band_.high),
        "spread-area",
    );
    svg.path(&frame.curve(&band_.time, &band_.reference), "reference");
    svg.path(&frame.curve(&band_.time, &band_.nominal), "load");
    frame.axis_x(&mut svg, "s");
    key(
        &mut svg,
        frame.right() + 12.0,
        frame.top + 8.0,
        &[
            ("load", what.nominal),
            ("spread-area", &what.over),
            ("reference", what.wanted),
        ],
    );
    Response {
        title: what.title.clone(),
        picture: svg.finish(),
    }
}
