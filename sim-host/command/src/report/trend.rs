//! Flatness and spread from batch to batch, with the moments at which the plates were conditioned: two lines for a terminal, a chart
//! for a page.

use super::Style;
use super::pictures::{CHART_WIDTH, key};
use super::ribbon::blocks;
use super::svg::{Anchor, Frame, Svg};
use std::fmt::Write as _;
use twinplate_sim::math::{floor, max, min};
use twinplate_sim::model::{Of, Shown};

/// One batch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// Its number, from 1.
    pub batch: u32,
    /// Flatness of its worst face, µm, and in light bands.
    pub flat_um: f64,
    /// See `flat_um`.
    pub bands: f64,
    /// Standard deviation of its sizes, µm.
    pub sd_um: f64,
    /// Lower and upper plate after it as they were, inner edge over outer edge, µm, + convex.
    pub plates_um: [f64; 2],
    /// Both plates were conditioned after it.
    pub conditioned: bool,
}

/// Columns before and behind a line of blocks.
const LABEL: usize = 6;
const ENDS: usize = 17;

/// Least and most of what is asked of each point.
fn ends(points: &[Point], of: impl Fn(&Point) -> f64) -> [f64; 2] {
    let values = points.iter().map(of);
    let found = values.fold([f64::INFINITY, f64::NEG_INFINITY], |[low, high], value| {
        [min(low, value), max(high, value)]
    });
    if found[0] > found[1] {
        [0.0, 0.0]
    } else {
        found
    }
}

/// A line each for flatness and spread, from the first batch to the last, and one that says what the marks in them are.
#[must_use]
pub fn lines(points: &[Point], shown: &Shown, style: Style) -> String {
    let mut text = String::new();
    let room = style.width.saturating_sub(LABEL + ENDS).max(1);
    let marked = |group: &&[Point]| group.iter().any(|point| point.conditioned);
    // Where there are more batches than columns the worst of several stands for them; a mark has a column of its own.
    let columns = |each: usize| {
        let groups = points.chunks(each);
        groups.len() + groups.filter(marked).count()
    };
    let fits = (1..points.len()).find(|each| columns(*each) <= room);
    let each = fits.unwrap_or(points.len().max(1));
    for (label, of) in [
        ("flat", (|point| point.flat_um) as fn(&Point) -> f64),
        ("sd", |point| point.sd_um),
    ] {
        let [low, high] = ends(points, of);
        let mut line = String::new();
        for group in points.chunks(each) {
            let most = ends(group, of)[1];
            line.push(block(most, [low, high], style));
            if marked(&group) {
                line.push(if style.ascii { '|' } else { '│' });
            }
        }
        // Writing to a String cannot fail.
        let _ = writeln!(
            text,
            "{label:<LABEL$}{line} {} to {}",
            shown.fixed(Of::Size, low, 2),
            shown.fixed_with(Of::Size, high, 2)
        );
    }
    let [few, many] = ends(points, |point| point.bands);
    let _ = write!(text, "{:<LABEL$}{few:.1} to {many:.1} light bands", "");
    if marked(&points) {
        let mark = if style.ascii { '|' } else { '│' };
        let _ = write!(text, "; {mark} plates conditioned");
    }
    text.push('\n');
    text
}

/// The block for a value between two ends.
fn block(value: f64, [low, high]: [f64; 2], style: Style) -> char {
    let blocks = blocks(style.ascii);
    let share = if high > low {
        (value - low) / (high - low)
    } else {
        0.0
    };
    // Between 0 and 7.
    #[allow(
        clippy::cast_precision_loss,
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss
    )]
    let place = floor(share * (blocks.len() - 1) as f64 + 0.5) as usize;
    blocks[place.min(blocks.len() - 1)]
}

/// A frame over the batches.
fn frame(points: &[Point], y: [f64; 2]) -> Frame {
    let last = points.last().map_or(1.0, |point| f64::from(point.batch));
    Frame {
        left: 52.0,
        top: 26.0,
        width: CHART_WIDTH - 52.0 - 118.0,
        height: 190.0,
        // A single batch has its room as well.
        x: [0.5, last + 0.5],
        y,
    }
}

/// Lines at the batches after which the plates were conditioned, under what is drawn.
fn conditionings(svg: &mut Svg, frame: &Frame, points: &[Point]) {
    for point in points.iter().filter(|point| point.conditioned) {
        let x = frame.px(f64::from(point.batch) + 0.5);
        svg.line([x, frame.top], [x, frame.bottom()], "conditioned");
        let text = format!("after {}", point.batch);
        svg.text(x, frame.top - 4.0, Anchor::Middle, "note", &text);
    }
}

fn marked(points: &[Point]) -> String {
    let after: Vec<String> = points
        .iter()
        .filter(|point| point.conditioned)
        .map(|point| point.batch.to_string())
        .collect();
    if after.is_empty() {
        "the plates were never conditioned".to_owned()
    } else {
        format!("plates conditioned after batch {}", after.join(", "))
    }
}

/// Columns of the points, to be drawn over the batches.
fn column(points: &[Point], of: impl Fn(&Point) -> f64) -> Vec<f64> {
    points.iter().map(of).collect()
}

/// Flatness of the worst face and spread of the sizes over the batches; `asked` is the flatness that the batch asks for, µm.
#[must_use]
pub fn parts(points: &[Point], asked: f64, shown: &Shown) -> String {
    let size = |number| shown.fixed_with(Of::Size, number, 2);
    let mut svg = Svg::new(
        CHART_WIDTH,
        262.0,
        "Flatness and spread from batch to batch",
    );
    let [low, high] = ends(points, |point| point.flat_um);
    svg.describe(&format!(
        "worst face {} to {}, asked {}; {}",
        shown.fixed(Of::Size, low, 2),
        size(high),
        size(asked),
        marked(points)
    ));
    let top = max(high, ends(points, |point| point.sd_um)[1]);
    // A target that is far off would leave the curves no room.
    let near = asked < 2.0 * top;
    let frame = frame(
        points,
        [
            0.0,
            1.15 * shown.again(Of::Size, if near { max(top, asked) } else { top }),
        ],
    );
    frame.axis_y(&mut svg, shown.symbol(Of::Size));
    conditionings(&mut svg, &frame, points);
    let batches = column(points, |point| f64::from(point.batch));
    let mut entries = vec![("load", "flat, worst"), ("limit", "sd of sizes")];
    svg.path(
        &frame.curve(
            &batches,
            &column(points, |point| shown.again(Of::Size, point.flat_um)),
        ),
        "load",
    );
    svg.path(
        &frame.curve(
            &batches,
            &column(points, |point| shown.again(Of::Size, point.sd_um)),
        ),
        "limit",
    );
    if near {
        let y = frame.py(shown.again(Of::Size, asked));
        svg.line([frame.left, y], [frame.right(), y], "reference");
        entries.push(("reference", "flat, asked"));
    }
    entries.push(("conditioned", "conditioned"));
    key(&mut svg, &frame, &entries);
    if !near {
        let text = format!("asked: flat to {}", size(asked));
        svg.text(
            frame.left + 6.0,
            frame.bottom() - 6.0,
            Anchor::Start,
            "note",
            &text,
        );
    }
    frame.axis_x(&mut svg, "batch");
    svg.finish()
}

/// Form of both plates over the batches.
#[must_use]
pub fn plates(points: &[Point], shown: &Shown) -> String {
    let mut svg = Svg::new(CHART_WIDTH, 262.0, "Form of the plates from batch to batch");
    svg.describe(&marked(points));
    let all = points.iter().flat_map(|point| point.plates_um);
    let most = all.fold(1e-2, |most, form| max(most, twinplate_sim::math::abs(form)));
    let most = shown.again(Of::Form, most);
    let frame = frame(points, [-1.15 * most, 1.15 * most]);
    frame.axis_y(&mut svg, shown.symbol(Of::Form));
    conditionings(&mut svg, &frame, points);
    let zero = frame.py(0.0);
    svg.line([frame.left, zero], [frame.right(), zero], "axis");
    let batches = column(points, |point| f64::from(point.batch));
    for (face, class) in ["load", "limit"].into_iter().enumerate() {
        let form = column(points, |point| shown.again(Of::Form, point.plates_um[face]));
        svg.path(&frame.curve(&batches, &form), class);
    }
    let entries = [
        ("load", "lower"),
        ("limit", "upper"),
        ("conditioned", "conditioned"),
    ];
    key(&mut svg, &frame, &entries);
    svg.text(
        frame.left + 6.0,
        frame.top + 12.0,
        Anchor::Start,
        "note",
        "+ convex",
    );
    svg.text(
        frame.left + 6.0,
        frame.bottom() - 6.0,
        Anchor::Start,
        "note",
        "− hollow",
    );
    frame.axis_x(&mut svg, "batch");
    svg.finish()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn point(batch: u32) -> Point {
        let rest = f64::from((batch - 1) % 37);
        Point {
            batch,
            flat_um: 0.09 + 0.0025 * rest,
            bands: 0.3 + 0.008 * rest,
            sd_um: 0.2,
            plates_um: [0.1 * rest, -0.05 * rest],
            conditioned: batch.is_multiple_of(37),
        }
    }

    /// Two lines that rise to the conditioning, fall behind its mark and rise again, whatever the terminal.
    #[test]
    fn lines_fit_any_width_and_mark_each_conditioning() {
        for count in [1, 50, 1000] {
            let points: Vec<Point> = (1..=count).map(point).collect();
            for (width, ascii) in [(60, false), (80, false), (80, true)] {
                let style = Style {
                    width,
                    ascii,
                    ..Style::PLAIN
                };
                let text = lines(&points, &Shown::default(), style);
                assert_eq!(super::super::fit(&text, width), text, "stands as it is");
                for line in text.lines() {
                    assert!(line.chars().count() <= width, "{width}: {line}");
                }
                let flat = text.lines().next().expect("a line");
                let mark = if ascii { '|' } else { '│' };
                let marks = flat.matches(mark).count();
                if count <= 50 {
                    assert_eq!(marks, count as usize / 37, "{flat}");
                } else {
                    assert!(marks > 8 && flat.chars().count() > width - 12, "{flat}");
                }
            }
        }
        let points: Vec<Point> = (1..=50).map(point).collect();
        let text = lines(&points, &Shown::default(), Style::PLAIN);
        let flat = text.lines().next().expect("a line");
        assert!(flat.contains("█│▁"), "worst before, best after: {flat}");
        assert!(
            flat.starts_with("flat  ▁") && flat.ends_with(" 0.09 to 0.18 µm"),
            "{flat}"
        );
        assert!(
            text.ends_with("0.3 to 0.6 light bands; │ plates conditioned\n"),
            "{text}"
        );
    }

    #[test]
    fn charts_say_when_the_plates_were_conditioned() {
        let points: Vec<Point> = (1..=80).map(point).collect();
        let shown = Shown::default();
        for chart in [parts(&points, 0.2, &shown), plates(&points, &shown)] {
            assert!(
                chart.contains("plates conditioned after batch 37, 74"),
                "{chart}"
            );
            assert_eq!(
                chart.matches("class=\"conditioned\"").count(),
                3,
                "two and the key"
            );
            assert!(!chart.contains("NaN"));
        }
        assert!(parts(&points, 0.2, &shown).contains("flat, asked"));
        assert!(parts(&points, 4.0, &shown).contains("asked: flat to 4.00 µm"));
    }
}
