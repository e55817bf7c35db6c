//! What the charts of this page share: logarithmic axes, lines cut at the frame, bands between two curves, a key.

use super::super::svg::{Anchor, Frame, Svg, number, ticks};
use std::fmt::Write as _;
use twinplate_sim::math::{floor, log10, max, min, pow};

/// Width of a chart that stands beside another, px.
pub(super) const WIDTH: f64 = 590.0;

/// One entry of a logarithmic scale: place in decades, and the number that stands there, if one does.
fn log_ticks(low: f64, high: f64) -> Vec<(f64, Option<String>)> {
    let span = high - low;
    // About four to eight numbers, whatever the span.
    let named: &[f64] = if span > 2.4 {
        &[1.0]
    } else if span > 1.0 {
        &[1.0, 2.0, 5.0]
    } else {
        &[1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 7.0]
    };
    let mut found = Vec::new();
    let mut decade = floor(low);
    while decade <= high && found.len() < 200 {
        for m in [1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0] {
            let place = decade + log10(m);
            let shown = named.contains(&m);
            if place >= low - 1e-9 && place <= high + 1e-9 && (shown || m != 1.5) {
                found.push((place, shown.then(|| decade_number(m, decade))));
            }
        }
        decade += 1.0;
    }
    found
}

/// `m` times a power of ten, without what rounding leaves behind.
fn decade_number(m: f64, decade: f64) -> String {
    if decade < -4.0 {
        format!("{m}e{decade}")
    } else {
        number(m * pow(10.0, decade))
    }
}

/// Logarithmic horizontal axis of a frame whose `x` is in decades; the words stand under it.
pub(super) fn log_x(svg: &mut Svg, frame: &Frame, words: &str) {
    let y = frame.bottom();
    svg.line([frame.left, y], [frame.right(), y], "axis");
    for (place, named) in log_ticks(frame.x[0], frame.x[1]) {
        let x = frame.px(place);
        let long = if named.is_some() { 5.0 } else { 3.0 };
        svg.line([x, y], [x, y + long], "axis");
        if let Some(named) = named {
            svg.text(x, y + 16.0, Anchor::Middle, "num", &named);
        }
    }
    under(svg, frame, words);
}

/// Words under a horizontal axis.
pub(super) fn under(svg: &mut Svg, frame: &Frame, words: &str) {
    svg.text(
        frame.left + 0.5 * frame.width,
        frame.bottom() + 31.0,
        Anchor::Middle,
        "unit",
        words,
    );
}

/// Logarithmic vertical axis of a frame whose `y` is in decades; the words stand over it.
pub(super) fn log_y(svg: &mut Svg, frame: &Frame, words: &str) {
    svg.line(
        [frame.left, frame.top],
        [frame.left, frame.bottom()],
        "axis",
    );
    for (place, named) in log_ticks(frame.y[0], frame.y[1]) {
        let y = frame.py(place);
        let long = if named.is_some() { 5.0 } else { 3.0 };
        svg.line([frame.left - long, y], [frame.left, y], "axis");
        if let Some(named) = named {
            svg.text(frame.left - 8.0, y + 4.0, Anchor::End, "num", &named);
        }
    }
    over(svg, frame, words);
}

/// Words over a vertical axis.
pub(super) fn over(svg: &mut Svg, frame: &Frame, words: &str) {
    svg.text(8.0, frame.top - 9.0, Anchor::Start, "unit", words);
}

/// Plain vertical axis with lines across the frame and words over it.
pub(super) fn plain_y(svg: &mut Svg, frame: &Frame, words: &str, count: u32) {
    for value in ticks(frame.y[0], frame.y[1], count) {
        let y = frame.py(value);
        svg.line([frame.left, y], [frame.right(), y], "rule");
        svg.text(
            frame.left - 6.0,
            y + 4.0,
            Anchor::End,
            "num",
            &number(value),
        );
    }
    over(svg, frame, words);
}

/// Names of curves, each with a sample of its line, from `(x, y)` down; returns where the next would stand.
pub(super) fn key(svg: &mut Svg, x: f64, mut y: f64, entries: &[(&str, &str)]) -> f64 {
    for (class, name) in entries {
        if class.starts_with("spread-area") {
            svg.rect(x, y - 6.0, 20.0, 12.0, class);
        } else {
            svg.line([x, y], [x + 20.0, y], class);
        }
        svg.text(x + 26.0, y + 4.0, Anchor::Start, "key", name);
        y += 19.0;
    }
    y
}

/// The range of values with a little room; never empty.
pub(super) fn range(values: impl Iterator<Item = f64>) -> [f64; 2] {
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    for value in values.filter(|value| value.is_finite()) {
        low = min(low, value);
        high = max(high, value);
    }
    if low > high {
        return [0.0, 1.0];
    }
    let least = max(1e-9, 1e-6 * max(low.abs(), high.abs()));
    let room = max(0.08 * (high - low), least);
    [low - room, high + room]
}

/// Part of a segment within the unit square, as the shares of its way where it comes in and goes out (Liang and Barsky).
fn inside(a: [f64; 2], b: [f64; 2]) -> Option<[f64; 2]> {
    let (mut enter, mut leave) = (0.0, 1.0);
    for axis in 0..2 {
        let way = b[axis] - a[axis];
        for (from, along) in [(a[axis], way), (1.0 - a[axis], -way)] {
            // `from` is the distance to one border; `along` what the way adds to it.
            if along == 0.0 {
                if from < 0.0 {
                    return None;
                }
            } else if along > 0.0 {
                enter = max(enter, -from / along);
            } else {
                leave = min(leave, -from / along);
            }
        }
    }
    (enter <= leave).then_some([enter, leave])
}

/// Path of a line through data points, cut where it leaves the frame; a point without numbers breaks it.
pub(super) fn clipped(frame: &Frame, points: impl IntoIterator<Item = [f64; 2]>) -> String {
    let mut path = String::new();
    let unit = |point: [f64; 2]| {
        [
            (point[0] - frame.x[0]) / (frame.x[1] - frame.x[0]),
            (point[1] - frame.y[0]) / (frame.y[1] - frame.y[0]),
        ]
    };
    let screen = |point: [f64; 2]| {
        [
            frame.left + frame.width * point[0],
            frame.bottom() - frame.height * point[1],
        ]
    };
    let mut before: Option<[f64; 2]> = None;
    let mut joined = false;
    for point in points {
        let point = unit(point);
        if !(point[0].is_finite() && point[1].is_finite()) {
            (before, joined) = (None, false);
            continue;
        }
        if let Some(last) = before {
            match inside(last, point) {
                Some([enter, leave]) => {
                    let at =
                        |share: f64| screen([0, 1].map(|n| last[n] + share * (point[n] - last[n])));
                    if !joined {
                        let [x, y] = at(enter);
                        let _ = write!(path, "M{x:.1} {y:.1}");
                    }
                    let [x, y] = at(leave);
                    let _ = write!(path, "L{x:.1} {y:.1}");
                    joined = leave >= 1.0;
                }
                None => joined = false,
            }
        }
        before = Some(point);
    }
    path
}

/// Closed path of the area between two curves over the same times, thinned to two points a pixel.
pub(super) fn band(frame: &Frame, time: &[f64], low: &[f64], high: &[f64]) -> String {
    let mut columns: Vec<[f64; 3]> = Vec::new();
    for ((time, low), high) in time.iter().zip(low).zip(high) {
        if !(low.is_finite() && high.is_finite()) {
            continue;
        }
        let (x, bottom, top) = (frame.px(*time), frame.py(*low), frame.py(*high));
        match columns.last_mut() {
            Some(last) if x - last[0] < 0.5 => {
                last[1] = max(last[1], bottom);
                last[2] = min(last[2], top);
            }
            _ => columns.push([x, bottom, top]),
        }
    }
    let mut path = String::new();
    for (n, [x, _, top]) in columns.iter().enumerate() {
        let verb = if n == 0 { 'M' } else { 'L' };
        let _ = write!(path, "{verb}{x:.1} {top:.1}");
    }
    for [x, bottom, _] in columns.iter().rev() {
        let _ = write!(path, "L{x:.1} {bottom:.1}");
    }
    if !path.is_empty() {
        path.push('Z');
    }
    path
}

#[cfg(test)]
mod tests {
    use super::*;

    const FRAME: Frame = Frame {
        left: 100.0,
        top: 50.0,
        width: 100.0,
        height: 100.0,
        x: [0.0, 1.0],
        y: [0.0, 1.0],
    };

    #[test]
    fn a_line_is_cut_where_it_crosses_the_frame() {
        // By hand: from (-1, -1) to (2, 2) the frame holds the diagonal.
        assert_eq!(
            clipped(&FRAME, [[-1.0, -1.0], [2.0, 2.0]]),
            "M100.0 150.0L200.0 50.0"
        );
        // Out through the top at x = 0.5 and back in at 0.75: two strokes.
        assert_eq!(
            clipped(&FRAME, [[0.25, 0.5], [0.75, 1.5], [0.75, 0.5]]),
            "M125.0 100.0L150.0 50.0M175.0 50.0L175.0 100.0"
        );
        assert_eq!(clipped(&FRAME, [[-1.0, 0.5], [-0.5, 0.7]]), "");
        assert_eq!(
            clipped(&FRAME, [[0.1, 0.5], [f64::NAN, 0.5], [0.3, 0.5]]),
            ""
        );
    }

    #[test]
    fn a_logarithmic_scale_names_at_least_two_numbers() {
        for (low, high) in [(0.0, 0.5), (-4.3, -2.9), (-6.0, 3.0), (0.2, 1.3)] {
            let named = log_ticks(low, high)
                .iter()
                .filter(|tick| tick.1.is_some())
                .count();
            assert!((2..=10).contains(&named), "{low} {high}: {named}");
        }
    }
}
