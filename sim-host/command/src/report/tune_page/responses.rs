//! Responses as envelopes: the nominal machine's line, and the range over all machines or corners.

use super::super::svg::{Frame, Svg};
use super::chart::{WIDTH, band, key, plain_y, range};
use twinplate_sim::compile::{OVERSHOOT_NEWTONS, OVERSHOOT_SHARE};
use twinplate_sim::math::max;
use twinplate_tune::judge::{Band, Judgement};
use twinplate_tune::trial::Plan;
use twinplate_tune::typed::Units;
use twinplate_tune::work::TuneReport;

const HEIGHT: f64 = 262.0;

/// One response: title and picture.
pub(super) struct Response {
    /// What it is.
    pub title: String,
    /// Picture.
    pub picture: String,
}

/// What stands in a picture of a response.
struct What {
    title: String,
    band: Band,
    quantity: &'static str,
    unit: String,
    /// Name of the range.
    over: String,
    /// Name of the dashed line.
    wanted: &'static str,
    nominal: &'static str,
    /// How far the load may pass a moving reference, where that is judged.
    bound: Option<f64>,
}

/// After a change of the reference, and after a disturbance: on the real controller where the set was judged so, else linear.
pub(super) fn draw(report: &TuneReport) -> Vec<Response> {
    let units = report.told();
    let found = &report.recommendation;
    let judged = found
        .answer
        .as_ref()
        .ok()
        .and_then(|chosen| chosen.judged.as_ref());
    let pair = match (judged, &report.plan, &found.linear) {
        (Some(judged), Some(plan), _) => of_trial(judged, plan, &units).into(),
        (_, _, Some(linear)) => {
            let corners = found.lines.corners.len();
            let what = |title: String, band, wanted, quantity| What {
                title,
                band,
                quantity,
                unit: units.output.symbol.clone(),
                over: format!("{corners} corners"),
                wanted,
                nominal: "nominal line",
                bound: None,
            };
            vec![
                what(
                    format!("Unit step of the reference, linear, {corners} corners"),
                    // One of the output's unit answers a step of one, whatever the unit.
                    linear.reference.clone(),
                    "reference",
                    "output",
                ),
                what(
                    format!(
                        "Unit step at the plant's input ({}), linear",
                        if units.command.symbol == "1" {
                            "all of full scale".to_owned()
                        } else {
                            format!("1 {}", units.command.symbol)
                        }
                    ),
                    answered(&linear.disturbance, units.process_gain()),
                    "zero",
                    "deviation",
                ),
            ]
        }
        _ => Vec::new(),
    };
    pair.iter().map(one).collect()
}

/// On the real controller: after the ramp, and after the disturbance.
fn of_trial(judged: &Judgement, plan: &Plan, units: &Units) -> [What; 2] {
    let what = |title: String, band: &Band, wanted, quantity| What {
        title,
        band: answered(band, units.output.value(1.0)),
        quantity,
        unit: units.output.symbol.clone(),
        over: format!("{} machines", judged.runs),
        wanted,
        nominal: "nominal machine",
        // The high step's; the low step's, which is smaller, is not in this picture.
        bound: Some(
            units
                .output
                .value(max(OVERSHOOT_NEWTONS, OVERSHOOT_SHARE * plan.high)),
        ),
    };
    [
        what(
            format!(
                "Ramp {} → {}, real controller, {} machines",
                units.output.number(plan.low, 3),
                units.output.say(plan.high, 3),
                judged.runs
            ),
            &judged.setpoint_band,
            "reference",
            "load",
        ),
        what(
            format!(
                "Deviation after {} at the plant's input, set and cleared",
                units.output.say(plan.disturbance, 2)
            ),
            &judged.disturbance_band,
            "zero",
            "deviation",
        ),
    ]
}

/// A band so many times as high: in another unit.
fn answered(band: &Band, factor: f64) -> Band {
    let times = |values: &[f64]| values.iter().map(|value| factor * value).collect();
    Band {
        time: band.time.clone(),
        reference: times(&band.reference),
        nominal: times(&band.nominal),
        low: times(&band.low),
        high: times(&band.high),
    }
}

fn one(what: &What) -> Response {
    let shown = &what.band;
    let moves = shown.reference.windows(2).any(|two| two[0] != two[1]);
    let mut svg = Svg::new(WIDTH, HEIGHT, &what.title);
    let mut entries = vec![
        ("load", what.nominal),
        ("spread-area", &what.over),
        ("reference", what.wanted),
    ];
    let height = HEIGHT - 26.0 - 26.0;
    let named = format!("{}, {}", what.quantity, what.unit);
    if moves {
        // Beside a long ramp a deviation is thinner than its line: it gets a picture of its own.
        let upper = frame(shown, [26.0, 92.0]);
        curves(&mut svg, &upper, shown, &named, 4);
        let off = from_reference(shown);
        let mut lower = frame(&off, [150.0, HEIGHT - 150.0 - 26.0]);
        let words = format!("load minus reference, {}", what.unit);
        if let Some(bound) = what.bound {
            lower.y[1] = max(lower.y[1], 1.15 * bound);
        }
        curves(&mut svg, &lower, &off, &words, 3);
        if let Some(bound) = what.bound {
            let y = lower.py(bound);
            svg.line([lower.left, y], [lower.right(), y], "limit");
            entries.push(("limit", "overshoot bound"));
        }
        lower.axis_x(&mut svg, "s");
    } else {
        let all = frame(shown, [26.0, height]);
        curves(&mut svg, &all, shown, &named, 4);
        all.axis_x(&mut svg, "s");
    }
    key(&mut svg, WIDTH - 148.0 + 12.0, 34.0, &entries);
    Response {
        title: what.title.clone(),
        picture: svg.finish(),
    }
}

fn frame(band: &Band, [top, height]: [f64; 2]) -> Frame {
    let values = [&band.reference, &band.nominal, &band.low, &band.high];
    let end = band.time.last().copied().unwrap_or(1.0);
    Frame {
        left: 56.0,
        top,
        width: WIDTH - 56.0 - 148.0,
        height,
        x: [0.0, if end > 0.0 { end } else { 1.0 }],
        y: range(values.into_iter().flatten().copied()),
    }
}

fn curves(svg: &mut Svg, frame: &Frame, shown: &Band, words: &str, ticks: u32) {
    plain_y(svg, frame, words, ticks);
    svg.path(
        &band(frame, &shown.time, &shown.low, &shown.high),
        "spread-area",
    );
    svg.path(&frame.curve(&shown.time, &shown.reference), "reference");
    svg.path(&frame.curve(&shown.time, &shown.nominal), "load");
}

/// The same seen from the reference, which is one for all runs.
fn from_reference(band: &Band) -> Band {
    let less = |values: &[f64]| -> Vec<f64> {
        values
            .iter()
            .zip(&band.reference)
            .map(|(value, reference)| value - reference)
            .collect()
    };
    Band {
        time: band.time.clone(),
        reference: vec![0.0; band.reference.len()],
        nominal: less(&band.nominal),
        low: less(&band.low),
        high: less(&band.high),
    }
}
