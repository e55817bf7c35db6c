//! The charts of the page: cycle ribbon, speeds, slurry, thickness, overshoot of the envelope.
//!
//! Greys and line patterns tell curves apart; red appears only where something passed its bound, with a word beside it.

use super::cycle::{Band, Cycle, Profiles};
use super::svg::{Anchor, Frame, Svg};
use firmware_core::process_image::ALL_DRIVES;
use firmware_core::sequence::Phase;
use twinplate_check::finding::significant;
use twinplate_check::trials::Results;
use twinplate_sim::math::{floor, max, min};
use twinplate_sim::model::{Of, Shown};

/// Width of the ribbon, px.
const RIBBON_WIDTH: f64 = 1200.0;
/// Height of the strip of phase names over the ribbon, px.
const STRIP: f64 = 20.0;
/// Room for the names of the curves beside the ribbon, px; on a tablet letters are larger.
const KEY: f64 = 150.0;
/// Width of the smaller charts, px.
pub(super) const CHART_WIDTH: f64 = 590.0;

/// Label of a band that fits `width` px at about 6 px a character, or nothing.
fn band_label(band: &Band, width: f64) -> String {
    let long = if band.step > 0 && band.phase.in_step() {
        format!("{} {}", band.phase.word(), band.step)
    } else {
        band.phase.word().to_owned()
    };
    #[allow(clippy::cast_precision_loss)] // a dozen letters
    let fits = |text: &str| text.chars().count() as f64 * 6.2 + 6.0 <= width;
    let short = band.phase.short();
    if fits(&long) {
        long
    } else if fits(short) {
        short.to_owned()
    } else {
        String::new()
    }
}

/// Phases as bands behind a frame.
fn bands(svg: &mut Svg, frame: &Frame, cycle: &Cycle, labels: bool) {
    for (index, band) in cycle.bands.iter().enumerate() {
        let (x0, x1) = (frame.px(band.start), frame.px(band.end));
        let class = if index % 2 == 0 { "band-a" } else { "band-b" };
        svg.rect(x0, frame.top, x1 - x0, frame.height, class);
        if labels {
            svg.rect(x0, frame.top - STRIP, x1 - x0, STRIP - 2.0, class);
            let label = band_label(band, x1 - x0);
            if !label.is_empty() {
                svg.text(
                    0.5 * (x0 + x1),
                    frame.top - 7.0,
                    Anchor::Middle,
                    "phase",
                    &label,
                );
            }
        }
    }
}

/// Frame of the ribbon.
fn ribbon_frame(cycle: &Cycle) -> Frame {
    Frame {
        left: 52.0,
        top: 30.0,
        width: RIBBON_WIDTH - 52.0 - KEY,
        height: 220.0,
        x: [0.0, cycle.length()],
        y: [0.0, cycle.top_load()],
    }
}

/// Phases too narrow for a label in the ribbon, in words.
#[must_use]
pub(crate) fn narrow_phases(cycle: &Cycle) -> String {
    let frame = ribbon_frame(cycle);
    let names: Vec<String> = cycle
        .bands
        .iter()
        .filter(|band| band.phase != Phase::Rest)
        .filter(|band| band_label(band, frame.px(band.end) - frame.px(band.start)).is_empty())
        .map(|band| format!("{} {:.0}–{:.0} s", band.phase.word(), band.start, band.end))
        .collect();
    names.join(", ")
}

/// The cycle ribbon: phases to scale, load riding on them, limits, governor, event marks.
#[must_use]
pub(crate) fn ribbon(cycle: &Cycle) -> String {
    let frame = ribbon_frame(cycle);
    let room = if cycle.marks.is_empty() { 26.0 } else { 64.0 };
    let mut svg = Svg::new(
        RIBBON_WIDTH,
        frame.bottom() + room,
        "Cycle ribbon: load over time with phases, limits and events",
    );
    bands(&mut svg, &frame, cycle, true);
    frame.axis_y(&mut svg, cycle.shown.symbol(Of::Load));
    let most: Vec<f64> = cycle.load.iter().map(|pair| max(pair[1], 0.0)).collect();
    if cycle.simulated {
        svg.path(&frame.area(&cycle.time, &most), "load-area");
    }
    svg.path(&frame.curve(&cycle.time, &cycle.limit), "limit");
    svg.path(&frame.curve(&cycle.time, &cycle.governor), "governor");
    if cycle.simulated {
        svg.path(&frame.curve(&cycle.time, &cycle.measured), "measured");
        svg.path(&frame.curve(&cycle.time, &most), "load");
    }
    svg.path(&frame.curve(&cycle.time, &cycle.reference), "reference");
    line_labels(&mut svg, &frame, cycle);
    frame.axis_x(&mut svg, "s");
    marks(&mut svg, &frame, cycle);
    svg.finish()
}

/// Names of the curves at the right edge, each with a sample of its line.
fn line_labels(svg: &mut Svg, frame: &Frame, cycle: &Cycle) {
    let x = frame.right() + 10.0;
    let mut entries = vec![("limit", "step limit")];
    if cycle.simulated {
        entries.push(("governor", "governor"));
        entries.push(("load", "true load"));
        entries.push(("measured", "measured"));
    }
    entries.push(("reference", "reference"));
    for (index, (class, name)) in entries.iter().enumerate() {
        #[allow(clippy::cast_precision_loss)] // five entries
        let y = frame.top + 12.0 + 20.0 * index as f64;
        svg.line([x, y], [x + 24.0, y], class);
        svg.text(x + 30.0, y + 4.0, Anchor::Start, "key", name);
    }
    if !cycle.simulated {
        svg.text(
            x,
            frame.bottom() - 6.0,
            Anchor::Start,
            "note",
            "planned only",
        );
    }
}

/// A numbered mark for every event.
fn marks(svg: &mut Svg, frame: &Frame, cycle: &Cycle) {
    let y = frame.bottom() + 26.0;
    let mut last = f64::NEG_INFINITY;
    let mut row = 0.0;
    for (index, mark) in cycle.marks.iter().enumerate() {
        let x = frame.px(mark.time);
        // Marks that would touch go a row down.
        row = if x - last < 22.0 { row + 1.0 } else { 0.0 };
        last = x;
        let class = if mark.abnormal { "mark bad" } else { "mark" };
        svg.line([x, frame.top + 18.0], [x, frame.bottom()], "mark-line");
        svg.path(
            &format!("M{:.1} {:.1}l5 9h-10z", x, y - 4.0 + 14.0 * min(row, 2.0)),
            class,
        );
        svg.text(
            x + 7.0,
            y + 5.0 + 14.0 * min(row, 2.0),
            Anchor::Start,
            "num",
            &(index + 1).to_string(),
        );
    }
}

/// A frame for a smaller chart.
fn small_frame(x: [f64; 2], y: [f64; 2]) -> Frame {
    Frame {
        left: 52.0,
        top: 26.0,
        // Room for the longest name of a curve.
        width: CHART_WIDTH - 52.0 - 118.0,
        height: 150.0,
        x,
        y,
    }
}

/// The cycle's time.
fn over(cycle: &Cycle) -> [f64; 2] {
    [0.0, cycle.length()]
}

/// Key entries at the right of a small chart.
pub(super) fn key(svg: &mut Svg, frame: &Frame, entries: &[(&str, &str)]) {
    for (index, (class, name)) in entries.iter().enumerate() {
        #[allow(clippy::cast_precision_loss)] // a few entries
        let y = frame.top + 8.0 + 20.0 * index as f64;
        let x = frame.right() + 10.0;
        svg.line([x, y], [x + 20.0, y], class);
        svg.text(x + 25.0, y + 4.0, Anchor::Start, "key", name);
    }
}

fn bounds(values: impl Iterator<Item = f64>) -> [f64; 2] {
    let (mut low, mut high) = (0.0, 1e-9);
    for value in values.filter(|value| value.is_finite()) {
        low = min(low, value);
        high = max(high, value);
    }
    let room = 0.08 * (high - low);
    [if low < 0.0 { low - room } else { 0.0 }, high + room]
}

/// Drive speeds over time.
#[must_use]
pub fn speeds(cycle: &Cycle) -> String {
    let mut svg = Svg::new(CHART_WIDTH, 210.0, "Drive speeds over time");
    let frame = small_frame(over(cycle), bounds(cycle.speeds.iter().flatten().copied()));
    bands(&mut svg, &frame, cycle, false);
    frame.axis_y(&mut svg, "rpm");
    let classes = ["drive-0", "drive-1", "drive-2", "drive-3"];
    let entries = ALL_DRIVES.map(|drive| (classes[drive as usize], drive.name()));
    for (column, (class, _)) in cycle.speeds.iter().zip(entries) {
        svg.path(&frame.curve(&cycle.time, column), class);
    }
    key(&mut svg, &frame, &entries);
    frame.axis_x(&mut svg, "s");
    svg.finish()
}

/// Radial profiles of both plates before and after the cycle, heights towards the parts over the outer edge.
#[must_use]
pub fn plates(profiles: &Profiles, shown: &Shown) -> String {
    let label = "Height of both plates over their radius, before and after";
    let mut svg = Svg::new(CHART_WIDTH, 210.0, label);
    let ends = bounds(profiles.heights.iter().flatten().copied());
    let reach = [profiles.radius.first(), profiles.radius.last()];
    let frame = Frame {
        x: reach.map(|end| end.copied().unwrap_or(0.0)),
        ..small_frame([0.0, 1.0], ends)
    };
    frame.axis_y(&mut svg, shown.symbol(Of::Form));
    let entries = [
        ("drive-0", "lower start"),
        ("drive-1", "upper start"),
        ("drive-2", "lower end"),
        ("drive-3", "upper end"),
    ];
    for (column, (class, _)) in profiles.heights.iter().zip(entries) {
        svg.path(&frame.curve(&profiles.radius, column), class);
    }
    key(&mut svg, &frame, &entries);
    frame.axis_x(&mut svg, shown.symbol(Of::Length));
    svg.finish()
}

/// Slurry flow and wetness over time, both against their own full height.
#[must_use]
pub fn slurry(cycle: &Cycle) -> String {
    let mut svg = Svg::new(CHART_WIDTH, 210.0, "Slurry flow and wetness over time");
    let top = if cycle.simulated {
        bounds(cycle.flow.iter().copied())[1]
    } else {
        1.0
    };
    let frame = small_frame(over(cycle), [0.0, top]);
    bands(&mut svg, &frame, cycle, false);
    frame.axis_y(&mut svg, cycle.shown.symbol(Of::Flow));
    let wet = Frame {
        y: [0.0, 1.08],
        ..frame
    };
    svg.path(&frame.curve(&cycle.time, &cycle.flow), "load");
    svg.path(&wet.curve(&cycle.time, &cycle.wetness), "limit");
    key(&mut svg, &frame, &[("load", "flow"), ("limit", "wetness")]);
    for value in [0.5, 1.0] {
        svg.text(
            frame.right() - 4.0,
            wet.py(value) - 3.0,
            Anchor::End,
            "note",
            &format!("wetness {value}"),
        );
    }
    if !cycle.simulated {
        empty(&mut svg, &frame);
    }
    frame.axis_x(&mut svg, "s");
    svg.finish()
}

fn empty(svg: &mut Svg, frame: &Frame) {
    svg.text(
        frame.left + frame.width / 2.0,
        frame.top + frame.height / 2.0,
        Anchor::Middle,
        "note",
        "no run was made",
    );
}

/// Mean thickness over time with the incoming spread, the finished parts and the tolerance.
#[must_use]
pub fn thickness(cycle: &Cycle) -> String {
    let mut svg = Svg::new(
        CHART_WIDTH,
        210.0,
        "Part thickness over time with spread and tolerance",
    );
    let three = 3.0 * cycle.incoming[1];
    let low = min(
        min(cycle.size[0] - cycle.size[1], cycle.finished[1]),
        cycle.incoming[0] - three,
    );
    let high = max(cycle.incoming[0] + three, cycle.finished[2]);
    let room = 0.08 * (high - low);
    let frame = small_frame(over(cycle), [low - room, high + room]);
    bands(&mut svg, &frame, cycle, false);
    let [target, tolerance] = cycle.size;
    let (top, bottom) = (frame.py(target + tolerance), frame.py(target - tolerance));
    svg.rect(frame.left, top, frame.width, bottom - top, "tolerance");
    frame.axis_y(&mut svg, cycle.shown.symbol(Of::Size));
    svg.text(
        frame.left + 6.0,
        top - 4.0,
        Anchor::Start,
        "note",
        &format!(
            "target ± {}",
            cycle.shown.with(Of::Size, &significant(tolerance, 2))
        ),
    );
    svg.path(&frame.curve(&cycle.time, &cycle.thickness), "load");
    let bar = |svg: &mut Svg, x: f64, low: f64, high: f64, class: &str| {
        let (y0, y1) = (frame.py(low), frame.py(high));
        svg.line([x, y0], [x, y1], class);
        svg.line([x - 5.0, y0], [x + 5.0, y0], class);
        svg.line([x - 5.0, y1], [x + 5.0, y1], class);
    };
    bar(
        &mut svg,
        frame.left + 8.0,
        cycle.incoming[0] - three,
        cycle.incoming[0] + three,
        "spread",
    );
    let out = cycle.finished[1] < target - tolerance || cycle.finished[2] > target + tolerance;
    bar(
        &mut svg,
        frame.right() - 8.0,
        cycle.finished[1],
        cycle.finished[2],
        if out { "spread bad" } else { "spread" },
    );
    key(&mut svg, &frame, &[("load", "mean"), ("spread", "parts ⌶")]);
    if out {
        svg.text(
            frame.right() - 16.0,
            frame.py(cycle.finished[2]) - 4.0,
            Anchor::End,
            "bad-text",
            "out of size",
        );
    }
    frame.axis_x(&mut svg, "s");
    svg.finish()
}

/// Histogram of the overshoot over all trials.
#[must_use]
pub fn overshoot(results: Option<&Results>, shown: &Shown) -> String {
    const BINS: usize = 24;
    let mut svg = Svg::new(CHART_WIDTH, 210.0, "Overshoot over the envelope");
    let values: Vec<f64> = results.map_or_else(Vec::new, |results| {
        results
            .overshoot
            .iter()
            .map(|value| shown.again(Of::Load, max(*value, 0.0)))
            .filter(|value| value.is_finite())
            .collect()
    });
    let limit = results.map_or(5.0, |results| results.overshoot_limit);
    let limit = shown.again(Of::Load, limit);
    let widest = values.iter().copied().fold(1.15 * limit, max);
    let mut counts = [0_u32; BINS];
    for value in &values {
        #[allow(
            clippy::cast_precision_loss,
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss
        )]
        let bin = floor(value / widest * BINS as f64) as usize;
        counts[bin.min(BINS - 1)] += 1;
    }
    let most = f64::from(counts.iter().copied().max().unwrap_or(0).max(4));
    let frame = Frame {
        left: 52.0,
        top: 26.0,
        // Room for the longest name of a curve.
        width: CHART_WIDTH - 52.0 - 118.0,
        height: 150.0,
        x: [0.0, widest],
        y: [0.0, 1.1 * most],
    };
    frame.axis_y(&mut svg, "runs");
    #[allow(clippy::cast_precision_loss)]
    let wide = frame.width / BINS as f64;
    for (bin, count) in counts.iter().enumerate() {
        if *count == 0 {
            continue;
        }
        #[allow(clippy::cast_precision_loss)]
        let x = frame.left + wide * bin as f64;
        let y = frame.py(f64::from(*count));
        let past = x + wide > frame.px(limit) + 0.5 && x >= frame.px(limit) - 0.5;
        let class = if past { "bar bad-bar" } else { "bar" };
        svg.rect(x + 1.0, y, wide - 2.0, frame.bottom() - y, class);
    }
    let x = frame.px(limit);
    svg.line([x, frame.top], [x, frame.bottom()], "limit");
    svg.text(
        x + 5.0,
        frame.top + 10.0,
        Anchor::Start,
        "key",
        &format!("bound {}", shown.with(Of::Load, &significant(limit, 3))),
    );
    if values.is_empty() {
        empty(&mut svg, &frame);
    }
    frame.axis_x(&mut svg, shown.symbol(Of::Load));
    svg.finish()
}
