//! The chosen loop over frequency: Bode with its margins, Nyquist with the circle of its Ms.

use super::super::svg::{Anchor, Frame, Svg};
use super::chart::{WIDTH, clipped, key, log_x, log_y, over, plain_y};
use twinplate_check::finding::significant;
use twinplate_linear::Margins;
use twinplate_sim::math::{cos, floor, log10, max, min, sin};
use twinplate_tune::plane::Frequency;
use twinplate_tune::recommend::Recommendation;

const HEIGHT: f64 = 450.0;

/// Lowest and highest of some places, widened to whole steps.
fn whole(values: impl Iterator<Item = f64>, step: f64) -> [f64; 2] {
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    for value in values.filter(|value| value.is_finite()) {
        low = min(low, value);
        high = max(high, value);
    }
    if low > high {
        return [-step, step];
    }
    [step * floor(low / step), step * (floor(high / step) + 1.0)]
}

/// Value of a curve at a frequency, on the straight line between two points in decades.
fn at(curve: &[Frequency], w: f64, value: impl Fn(&Frequency) -> f64) -> Option<f64> {
    let after = curve.iter().position(|point| point.w >= w)?;
    let before = after.checked_sub(1)?;
    let (a, b) = (&curve[before], &curve[after]);
    let share = (log10(w) - log10(a.w)) / (log10(b.w) - log10(a.w));
    Some(value(a) + share * (value(b) - value(a)))
}

/// Magnitude and phase of the open loop, with gain and phase margin.
pub(super) fn bode(found: &Recommendation) -> String {
    let curve = &found.frequency;
    let margins = &found.shown().on_lines.nominal;
    let mut svg = Svg::new(
        WIDTH,
        HEIGHT,
        "Bode diagram of the open loop with its margins",
    );
    let x = match (curve.first(), curve.last()) {
        (Some(first), Some(last)) if last.w > first.w => [log10(first.w), log10(last.w)],
        _ => [-1.0, 1.0],
    };
    let width = WIDTH - 56.0 - 24.0;
    let magnitude = Frame {
        left: 56.0,
        top: 26.0,
        width,
        height: 170.0,
        x,
        // What is smaller than a thousandth moves nothing.
        y: whole(curve.iter().map(|f| max(log10(f.magnitude), -2.5)), 1.0),
    };
    // Below this the dead time only turns on and on.
    let low = max(
        whole(curve.iter().map(|f| f.phase.to_degrees()), 90.0)[0],
        -450.0,
    );
    let high = whole(curve.iter().map(|f| f.phase.to_degrees()), 90.0)[1];
    let phase = Frame {
        top: 236.0,
        y: [low, high],
        ..magnitude
    };
    log_y(&mut svg, &magnitude, "magnitude of the open loop");
    over(&mut svg, &phase, "its phase, °");
    let mut turn = low;
    while turn <= high {
        let y = phase.py(turn);
        svg.line([phase.left, y], [phase.right(), y], "rule");
        svg.text(
            phase.left - 6.0,
            y + 4.0,
            Anchor::End,
            "num",
            &format!("{turn:.0}"),
        );
        turn += 90.0;
    }
    for (frame, level) in [(&magnitude, 0.0), (&phase, -180.0)] {
        svg.path(&clipped(frame, [[x[0], level], [x[1], level]]), "reference");
    }
    let points = |value: fn(&Frequency) -> f64| {
        curve
            .iter()
            .map(move |f| [log10(f.w), value(f)])
            .collect::<Vec<_>>()
    };
    svg.path(&clipped(&magnitude, points(|f| log10(f.magnitude))), "load");
    svg.path(&clipped(&phase, points(|f| f.phase.to_degrees())), "load");
    gain_margin(&mut svg, &magnitude, &phase, margins, curve);
    phase_margin(&mut svg, &magnitude, &phase, margins, curve);
    svg.rect(56.0, magnitude.top, width, magnitude.height, "frame");
    svg.rect(56.0, phase.top, width, phase.height, "frame");
    log_x(&mut svg, &phase, "frequency, rad/s");
    svg.finish()
}

fn gain_margin(
    svg: &mut Svg,
    magnitude: &Frame,
    phase: &Frame,
    margins: &Margins,
    curve: &[Frequency],
) {
    let w = margins.phase_crossing;
    let Some(size) = at(curve, w, |f| log10(f.magnitude)) else {
        return;
    };
    let x = magnitude.px(log10(w));
    let (from, to) = (magnitude.py(size), magnitude.py(0.0));
    svg.line([x, magnitude.top], [x, phase.bottom()], "mark-line");
    svg.line([x, from], [x, to], "margin");
    svg.text(
        x + 6.0,
        0.5 * (from + to) + 4.0,
        Anchor::Start,
        "key halo",
        &format!("gain margin {}", significant(margins.gain, 3)),
    );
}

fn phase_margin(
    svg: &mut Svg,
    magnitude: &Frame,
    phase: &Frame,
    margins: &Margins,
    curve: &[Frequency],
) {
    let w = margins.gain_crossing;
    let Some(angle) = at(curve, w, |f| f.phase.to_degrees()) else {
        return;
    };
    let x = phase.px(log10(w));
    let (from, to) = (
        phase.py(angle),
        phase.py(angle - margins.phase.to_degrees()),
    );
    svg.line([x, magnitude.top], [x, phase.bottom()], "mark-line");
    svg.line([x, from], [x, to], "margin");
    // Beside the left border there is no room before it.
    let (at, anchor) = if x - phase.left < 110.0 {
        (x + 6.0, Anchor::Start)
    } else {
        (x - 6.0, Anchor::End)
    };
    svg.text(
        at,
        0.5 * (from + to) + 4.0,
        anchor,
        "key halo",
        &format!("phase margin {:.0}°", margins.phase.to_degrees()),
    );
}

/// Shown part of the complex plane: real and imaginary alike.
const WINDOW: [f64; 2] = [-2.2, 1.2];

fn circle(centre: f64, radius: f64) -> Vec<[f64; 2]> {
    (0..=180)
        .map(|n| {
            let angle = f64::from(n) * std::f64::consts::TAU / 180.0;
            [centre + radius * cos(angle), radius * sin(angle)]
        })
        .collect()
}

/// The open loop in the complex plane.
pub(super) fn nyquist(found: &Recommendation) -> String {
    let margins = &found.shown().on_lines.nominal;
    let mut svg = Svg::new(
        WIDTH,
        HEIGHT,
        "Nyquist diagram of the open loop with the circle of its maximum sensitivity about -1",
    );
    let size = HEIGHT - 26.0 - 42.0;
    let frame = Frame {
        left: 56.0,
        top: 26.0,
        width: size,
        height: size,
        x: WINDOW,
        y: [WINDOW[0] + 0.5, WINDOW[1] + 0.5],
    };
    plain_y(&mut svg, &frame, "imaginary", 6);
    frame.axis_x(&mut svg, "");
    super::chart::under(&mut svg, &frame, "real");
    for line in [
        [[WINDOW[0], 0.0], [WINDOW[1], 0.0]],
        [[0.0, frame.y[0]], [0.0, frame.y[1]]],
    ] {
        svg.path(&clipped(&frame, line), "axis");
    }
    svg.path(&clipped(&frame, circle(0.0, 1.0)), "mark-line");
    let bound = found.lines.limits.sensitivity;
    svg.path(&clipped(&frame, circle(-1.0, 1.0 / bound)), "limit");
    svg.path(
        &clipped(&frame, circle(-1.0, 1.0 / margins.sensitivity)),
        "governor",
    );
    svg.path(
        &clipped(&frame, found.frequency.iter().map(|f| f.open)),
        "load",
    );
    for w in [margins.gain_crossing, margins.phase_crossing] {
        let point = [0, 1].map(|n| at(&found.frequency, w, |f| f.open[n]));
        if let [Some(re), Some(im)] = point {
            svg.circle(frame.px(re), frame.py(im), 3.0, "spot");
        }
    }
    let (x, y) = (frame.px(-1.0), frame.py(0.0));
    for slant in [-1.0, 1.0] {
        svg.line(
            [x - 5.0, y - 5.0 * slant],
            [x + 5.0, y + 5.0 * slant],
            "margin",
        );
    }
    svg.text(x - 8.0, y - 8.0, Anchor::End, "key halo", "−1");
    svg.rect(frame.left, frame.top, size, size, "frame");
    let left = frame.right() + 12.0;
    let next = key(
        &mut svg,
        left,
        frame.top + 8.0,
        &[
            ("load", "open loop"),
            (
                "governor",
                &format!("Ms {}", significant(margins.sensitivity, 3)),
            ),
            ("limit", &format!("limit {}", significant(bound, 3))),
            ("mark-line", "unit circle"),
        ],
    );
    for (n, words) in [
        "The curve touches the",
        "circle of its Ms. Dots:",
        "phase and gain margin",
        "are read there.",
    ]
    .iter()
    .enumerate()
    {
        svg.text(
            left,
            next + 10.0 + 14.0 * n as f64,
            Anchor::Start,
            "tiny",
            words,
        );
    }
    svg.finish()
}
