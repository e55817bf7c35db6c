//! The plane of gains: where the loop is stable, how robust it is, on which share of machines it holds, and where the candidates lie.

use super::super::svg::{Anchor, Frame, Svg};
use super::chart::{WIDTH, clipped, log_x, log_y};
use super::contour::{between, contour, stability_rows};
use super::tables::in_short;
use super::{shown_index, sign_of};
use std::fmt::Write as _;
use twinplate_check::finding::significant;
use twinplate_sim::math::{abs, cos, limit, log10, max, min, round, sin};
use twinplate_tune::candidates::Family;
use twinplate_tune::plane::Plane;
use twinplate_tune::recommend::{Candidate, Recommendation};
use twinplate_tune::typed::Typed;
use twinplate_tune::work::TuneReport;

const HEIGHT: f64 = 590.0;
/// Grey of a place where no machine holds; where all do it is white. Black lines stay readable on it.
const DARKEST: f64 = 135.0;
/// Lines of equal Ms beside the limit's own.
const LEVELS: [f64; 4] = [1.2, 1.4, 2.0, 2.5];
/// Radius of a candidate's number, px.
const BUBBLE: f64 = 9.0;
/// Distance of the lines that hatch the unstable region, px.
const HATCH: f64 = 9.0;

/// Grey of a pass rate.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // between 135 and 255
pub(super) fn grey(rate: f64) -> u8 {
    round(DARKEST + (255.0 - DARKEST) * limit(rate, 0.0, 1.0)) as u8
}

/// Range of a list of values with one sign, in decades.
fn decades(values: &[f64]) -> [f64; 2] {
    let all = values.iter().map(|value| log10(abs(*value)));
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    for place in all {
        low = min(low, place);
        high = max(high, place);
    }
    if high > low {
        [low, high]
    } else {
        [low - 0.5, low + 0.5]
    }
}

fn frame_of(plane: &Plane) -> Frame {
    Frame {
        left: 56.0,
        top: 46.0,
        width: 362.0,
        height: HEIGHT - 46.0 - 42.0,
        x: decades(&plane.kc),
        y: decades(&plane.ti),
    }
}

/// Draws it.
pub(super) fn draw(report: &TuneReport) -> String {
    let found = &report.recommendation;
    let plane = &found.plane;
    let frame = frame_of(plane);
    let mut svg = Svg::new(
        WIDTH,
        HEIGHT,
        "Plane of gains: stable region, lines of equal maximum sensitivity, share of machines that hold, candidates",
    );
    let unit = report.told().gain;
    shades(&mut svg, &frame, plane, &unit);
    hatch(&mut svg, &frame, plane);
    sensitivity(&mut svg, &frame, found);
    edge(&mut svg, &frame, plane);
    svg.rect(frame.left, frame.top, frame.width, frame.height, "frame");
    // Places are in decades of what is computed in, the numbers at the axis in what was typed.
    let decades = log10(unit.value(1.0));
    log_x(
        &mut svg,
        &Frame {
            x: frame.x.map(|end| end + decades),
            ..frame
        },
        &format!(
            "{}proportional gain, {}",
            sign_of(found.shown().named.gains.kc),
            unit.symbol
        ),
    );
    log_y(&mut svg, &frame, "integral time, s");
    let outside = marks(&mut svg, &frame, found);
    keys(&mut svg, &frame, report, &outside);
    svg.finish()
}

/// Borders between neighbouring places of a list, its ends the frame's.
fn borders(places: &[f64], ends: [f64; 2]) -> Vec<f64> {
    let mut all = vec![ends[0]];
    all.extend(places.windows(2).map(|two| 0.5 * (two[0] + two[1])));
    all.push(ends[1]);
    all
}

/// One cell for each point with a pass rate: as far as it is the nearest.
fn shades(svg: &mut Svg, frame: &Frame, plane: &Plane, unit: &Typed) {
    if plane.pass.is_empty() {
        return;
    }
    let places = |values: &[f64]| -> Vec<f64> { values.iter().map(|v| log10(abs(*v))).collect() };
    let x = borders(&places(&plane.shade_kc), frame.x);
    let y = borders(&places(&plane.shade_ti), frame.y);
    for (n, rate) in plane.pass.iter().enumerate() {
        let (column, row) = (n % plane.shade_kc.len(), n / plane.shade_kc.len());
        let (left, right) = (frame.px(x[column]), frame.px(x[column + 1]));
        let (top, bottom) = (frame.py(y[row + 1]), frame.py(y[row]));
        svg.shade(
            [left, top],
            [right - left, bottom - top],
            grey(*rate),
            &format!(
                "gain {}, integral time {} s: {:.0} of {} machines hold",
                unit.number(plane.shade_kc[column], 3),
                significant(plane.shade_ti[row], 3),
                rate * plane.machines as f64,
                plane.machines
            ),
        );
    }
}

/// Slanted lines over where the nominal line is unstable.
fn hatch(svg: &mut Svg, frame: &Frame, plane: &Plane) {
    const STEP: f64 = 1.5;
    let rows: Vec<f64> = plane.ti.iter().map(|ti| log10(*ti)).collect();
    let edges = stability_rows(plane);
    let unstable = |x: f64, y: f64| {
        let place = frame.x[0] + (frame.x[1] - frame.x[0]) * (x - frame.left) / frame.width;
        let row = frame.y[1] - (frame.y[1] - frame.y[0]) * (y - frame.top) / frame.height;
        place > between(&rows, &edges, row)
    };
    let mut path = String::new();
    let mut offset = HATCH;
    while offset < frame.width + frame.height {
        // From the left or lower border up to the right.
        let (x0, y0) = if offset < frame.height {
            (frame.left, frame.top + offset)
        } else {
            (frame.left + offset - frame.height, frame.bottom())
        };
        let length = min(frame.right() - x0, y0 - frame.top);
        let mut begun: Option<f64> = None;
        let mut way = 0.0;
        while way <= length {
            let here = unstable(x0 + way, y0 - way);
            if here && begun.is_none() {
                begun = Some(way);
            }
            let last = way + STEP > length;
            if let Some(start) = begun
                && (!here || last)
            {
                let end = if last && here { length } else { way };
                let _ = write!(
                    path,
                    "M{:.1} {:.1}L{:.1} {:.1}",
                    x0 + start,
                    y0 - start,
                    x0 + end,
                    y0 - end
                );
                begun = None;
            }
            way += STEP;
        }
        offset += HATCH;
    }
    svg.path(&path, "hatch");
}

fn edge(svg: &mut Svg, frame: &Frame, plane: &Plane) {
    let points = plane
        .edge
        .iter()
        .map(|edge| [log10(abs(edge.kc)), log10(edge.kc / edge.ki)]);
    svg.path(&clipped(frame, points), "edge");
}

/// Lines of equal Ms, each with its number at the upper border.
fn sensitivity(svg: &mut Svg, frame: &Frame, found: &Recommendation) {
    let plane = &found.plane;
    let x: Vec<f64> = plane.kc.iter().map(|v| log10(abs(*v))).collect();
    let y: Vec<f64> = plane.ti.iter().map(|v| log10(*v)).collect();
    // One over Ms is smooth and ends at zero on the edge.
    let values: Vec<f64> = plane
        .margins
        .iter()
        .map(|m| if m.stable { 1.0 / m.sensitivity } else { 0.0 })
        .collect();
    let limit = found.lines.limits.sensitivity;
    let mut taken: Vec<f64> = Vec::new();
    let mut first = true;
    let levels = LEVELS.iter().map(|level| (*level, "level"));
    for (level, class) in std::iter::once((limit, "level bound")).chain(levels) {
        if class == "level" && abs(level / limit - 1.0) < 0.03 {
            continue;
        }
        let pieces = contour(&x, &y, &values, 1.0 / level);
        let mut path = String::new();
        let mut highest = [0.0, f64::NEG_INFINITY];
        for [a, b] in &pieces {
            path.push_str(&clipped(frame, [*a, *b]));
            for point in [a, b] {
                if point[1] > highest[1] {
                    highest = *point;
                }
            }
        }
        svg.path(&path, class);
        let at = frame.px(highest[0]);
        if highest[1] > frame.y[1] - 1e-6 && taken.iter().all(|other| abs(other - at) > 19.0) {
            taken.push(at);
            let class = if first { "num strong" } else { "num" };
            svg.text(
                at,
                frame.top - 5.0,
                Anchor::Middle,
                class,
                &significant(level, 3),
            );
        }
        first = false;
    }
    if let Some(leftmost) = taken.iter().copied().reduce(min) {
        svg.text(
            max(leftmost - 16.0, frame.left + 22.0),
            frame.top - 5.0,
            Anchor::End,
            "num",
            "Ms",
        );
    }
}

/// Where a candidate's number is drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct NumberSpot {
    /// Its place, kept within the frame, px.
    pub dot: [f64; 2],
    /// Centre of its number, px.
    pub bubble: [f64; 2],
    /// The true place is beyond the frame.
    pub outside: bool,
}

/// Places numbers so that none covers another: on its place if there is room, else as near as can be.
pub(super) fn place(frame: &Frame, candidates: &[Candidate], shown: usize) -> Vec<NumberSpot> {
    let mut taken: Vec<[f64; 2]> = Vec::new();
    let mut marks = vec![None; candidates.len()];
    // The shown set first: its number sits where it belongs.
    let order = std::iter::once(shown).chain((0..candidates.len()).filter(|n| *n != shown));
    for n in order {
        let Some(candidate) = candidates.get(n) else {
            continue;
        };
        let gains = &candidate.named.gains;
        let wanted = [
            frame.px(log10(abs(gains.kc))),
            frame.bottom()
                - frame.height * (log10(gains.ti) - frame.y[0]) / (frame.y[1] - frame.y[0]),
        ];
        let within = |point: [f64; 2], room: f64| {
            [
                limit(point[0], frame.left + room, frame.right() - room),
                limit(point[1], frame.top + room, frame.bottom() - room),
            ]
        };
        let dot = within(wanted, 3.0);
        let far = |a: [f64; 2], b: [f64; 2]| abs(a[0] - b[0]) + abs(a[1] - b[1]);
        let mut bubble = within(dot, BUBBLE + 2.0);
        'search: for ring in 0..12 {
            for turn in 0..12 {
                let angle = f64::from(turn) * std::f64::consts::TAU / 12.0 - 0.6;
                let radius = 11.0 * f64::from(ring);
                let tried = within(
                    [dot[0] + radius * cos(angle), dot[1] + radius * sin(angle)],
                    BUBBLE + 2.0,
                );
                let clear = taken.iter().all(|other| {
                    let (x, y) = (other[0] - tried[0], other[1] - tried[1]);
                    x * x + y * y > (2.0 * BUBBLE + 2.0) * (2.0 * BUBBLE + 2.0)
                });
                if clear {
                    bubble = tried;
                    break 'search;
                }
            }
        }
        taken.push(bubble);
        marks[n] = Some(NumberSpot {
            dot,
            bubble,
            outside: far(wanted, dot) > 1.0,
        });
    }
    marks.into_iter().flatten().collect()
}

/// Draws the numbers; returns whether each lies beyond the frame.
fn marks(svg: &mut Svg, frame: &Frame, found: &Recommendation) -> Vec<bool> {
    let shown = shown_index(found);
    let marks = place(frame, &found.candidates, shown);
    for mark in &marks {
        svg.line(mark.dot, mark.bubble, "leader");
        svg.circle(mark.dot[0], mark.dot[1], 2.5, "spot");
    }
    for (n, mark) in marks.iter().enumerate() {
        let [x, y] = mark.bubble;
        let class = if n == shown { "bubble shown" } else { "bubble" };
        svg.circle(x, y, BUBBLE, class);
        let class = if n == shown { "digit shown" } else { "digit" };
        svg.text(x, y + 4.0, Anchor::Middle, class, &(n + 1).to_string());
    }
    marks.iter().map(|mark| mark.outside).collect()
}

/// Names of the candidates and what shades and lines mean.
fn keys(svg: &mut Svg, frame: &Frame, report: &TuneReport, outside: &[bool]) {
    let found = &report.recommendation;
    let (x, mut y) = (frame.right() + 14.0, frame.top + 4.0);
    let shown = shown_index(found);
    for (n, candidate) in found.candidates.iter().enumerate() {
        let class = if n == shown { "key strong" } else { "key" };
        svg.text(x + 14.0, y, Anchor::End, "num", &(n + 1).to_string());
        svg.text(x + 20.0, y, Anchor::Start, class, &candidate.named.name);
        let mut state = match (candidate.broken.first(), n == shown) {
            (Some(broken), _) => format!("breaks {}", in_short(broken)),
            (None, true) => "recommended".to_owned(),
            (None, false) => "holds all".to_owned(),
        };
        if outside.get(n) == Some(&true) {
            state.push_str(", beyond");
        }
        if candidate.named.family == Family::Present {
            state.push_str(", now");
        }
        svg.text(x + 20.0, y + 12.0, Anchor::Start, "tiny", &state);
        y += 28.0;
    }
    let lines = [
        ("level bound", "limit of Ms"),
        ("level", "other Ms"),
        ("edge", "edge of stability"),
    ];
    if outside.contains(&true) {
        svg.text(
            x,
            y + 2.0,
            Anchor::Start,
            "tiny",
            "beyond: outside the frame",
        );
        y += 14.0;
    }
    y = super::chart::key(svg, x, max(y + 2.0, frame.bottom() - 142.0), &lines);
    let mut path = String::new();
    for n in 0..4 {
        let _ = write!(path, "M{:.1} {:.1}l10 -10", x + 4.0 * f64::from(n), y + 6.0);
    }
    svg.path(&path, "hatch");
    svg.text(x + 26.0, y + 4.0, Anchor::Start, "key", "unstable");
    if found.plane.pass.is_empty() {
        return;
    }
    y += 20.0;
    svg.text(
        x,
        y + 2.0,
        Anchor::Start,
        "tiny",
        &format!("machines of {} that hold", found.plane.machines),
    );
    let (whole, wide) = (
        found.plane.machines,
        140.0 / (found.plane.machines as f64 + 1.0),
    );
    for n in 0..=whole {
        let rate = n as f64 / whole as f64;
        let left = x + wide * n as f64;
        svg.shade([left, y + 8.0], [wide, 14.0], grey(rate), &format!("{n}"));
    }
    svg.rect(x, y + 8.0, 140.0, 14.0, "frame");
    svg.text(x, y + 35.0, Anchor::Start, "num", "0");
    svg.text(x + 140.0, y + 35.0, Anchor::End, "num", &whole.to_string());
}

#[cfg(test)]
pub(super) fn frame_for_tests(plane: &Plane) -> Frame {
    frame_of(plane)
}
