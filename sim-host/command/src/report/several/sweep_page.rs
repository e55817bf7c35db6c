//! A sweep as a page: maps of what came of every point, the feasible region outlined, and the table.

use super::sweep::{OF, behind, legend, letter, place, region, remarks};
use super::{CAUTION, told};
use crate::report::calibration::page::{end, head, list, table};
use crate::report::duration;
use crate::report::svg::{Anchor, Svg};
use std::fmt::Write as _;
use twinplate_check::finding::significant;
use twinplate_check::trials::NOMINAL_RUNS;
use twinplate_check::verdict::Verdict;
use twinplate_sim::math::{max, min};
use twinplate_sim::model::Of;
use twinplate_sweep::points::{Point, Sweep};

/// A map: its title, what it is of where that is typed in units, and the number of a point.
type Map = (&'static str, Option<Of>, fn(&Point) -> Option<f64>);

const MAPS: [Map; 6] = [
    ("Cycle time, s", None, |point| Some(point.time_s)),
    ("Size error of the worst part", Some(OF[0]), |point| {
        point.size_um
    }),
    ("Roughness Ra", Some(OF[1]), |point| point.finish_um),
    ("Flatness of the worst face", Some(OF[2]), |point| {
        point.flatness_um
    }),
    ("Left under the tightest load bound, %", None, |point| {
        point.load_margin_pct
    }),
    ("Runs with harm", None, |point| Some(point.harm as f64)),
];

/// Greys of the least and the most of a map: black words are read on both.
const GREYS: [f64; 2] = [250.0, 175.0];

/// Draws the page.
#[must_use]
pub(crate) fn draw(sweep: &Sweep) -> String {
    let mut html = String::with_capacity(64 * 1024);
    let [recipe, machine, batch] = &sweep.names;
    let words = region(sweep);
    let bindings = sweep.bindings();
    let most = bindings.iter().max_by_key(|(_, count)| *count);
    let cards = [
        ("Feasible", words[0].clone(), words[1..].join("; ")),
        (
            "Shortest cycle",
            sweep
                .fastest()
                .map_or_else(|| "none".to_owned(), |p| duration(p.time_s)),
            sweep
                .fastest()
                .map_or_else(String::new, |p| place(sweep, p)),
        ),
        (
            "Binds most often",
            most.map_or_else(|| "nothing".to_owned(), |(binding, _)| binding.what.clone()),
            most.map_or_else(String::new, |(binding, count)| {
                format!(
                    "{}, at {count} of {} points",
                    binding.code,
                    sweep.points.len()
                )
            }),
        ),
        (
            "Runs",
            format!("{} a point", sweep.draws + NOMINAL_RUNS),
            behind(sweep),
        ),
    ];
    head(
        &mut html,
        &format!("sweep {recipe}"),
        &format!("{}: {recipe} on {machine} with {batch}", sweep.title),
        super::card(Verdict::of(sweep.feasible().next().is_some())),
        &cards,
    );
    html.push_str(
        "<style>svg .edge{stroke:#11151a;stroke-width:3.5;stroke-linecap:square}svg .unit.cell{fill:#11151a}</style>",
    );
    html.push_str("<h2>Maps: the feasible region is outlined</h2><div class=\"sheet wide\">");
    html.push_str(&maps(sweep));
    html.push_str("</div>");
    let outside: Vec<String> = legend(sweep)
        .into_iter()
        .map(|(letter, told)| format!("{letter}: {told}"))
        .collect();
    list(&mut html, "What binds where it is not feasible", &outside);
    points(&mut html, sweep);
    end(&mut html, &remarks(sweep), CAUTION);
    html
}

fn maps(sweep: &Sweep) -> String {
    const WIDE: f64 = 390.0;
    let rows = sweep.axes.get(1).map_or(1, |axis| axis.values.len());
    let size = [
        300.0 / sweep.axes[0].values.len() as f64,
        if rows == 1 { 40.0 } else { 210.0 / rows as f64 },
    ];
    let tall = size[1] * rows as f64 + 95.0;
    let mut svg = Svg::new(3.0 * WIDE, 2.0 * tall, "Maps of the sweep");
    svg.describe(&format!("{}. {}", region(sweep).join("; "), behind(sweep)));
    for (index, map) in MAPS.iter().enumerate() {
        let (column, row) = (index % 3, index / 3);
        let corner = [70.0 + WIDE * column as f64, 45.0 + tall * row as f64];
        one(&mut svg, sweep, map, corner, size, rows);
    }
    svg.finish()
}

fn one(svg: &mut Svg, sweep: &Sweep, map: &Map, corner: [f64; 2], size: [f64; 2], rows: usize) {
    let [left, top] = corner;
    svg.text(left, top - 14.0, Anchor::Start, "unit", &titled(sweep, map));
    let place = |point: &Point| {
        let row = rows - 1 - point.at.get(1).copied().unwrap_or(0);
        [
            left + size[0] * point.at[0] as f64,
            top + size[1] * row as f64,
        ]
    };
    cells(svg, sweep, map, &place, size);
    outline(svg, sweep, place, size);
    words(svg, sweep, corner, size, rows);
}

/// The title of a map with its unit.
fn titled(sweep: &Sweep, (title, of, _): &Map) -> String {
    of.map_or_else(
        || (*title).to_owned(),
        |of| format!("{title}, {}", sweep.shown.symbol(of)),
    )
}

/// The points of a map: shaded by its number, feasible ones with it, the others with the letter of what binds.
fn cells(
    svg: &mut Svg,
    sweep: &Sweep,
    map: &Map,
    place: &impl Fn(&Point) -> [f64; 2],
    size: [f64; 2],
) {
    let (_, of, value) = map;
    let title = titled(sweep, map);
    let number = |found| told(&sweep.shown, *of, found, 3);
    let [least, most] = sweep
        .points
        .iter()
        .filter_map(value)
        .fold([f64::INFINITY, f64::NEG_INFINITY], |[low, high], v| {
            [min(low, v), max(high, v)]
        });
    for point in &sweep.points {
        let [x, y] = place(point);
        let found = value(point);
        let share = match found {
            Some(v) if most > least => (v - least) / (most - least),
            Some(_) | None => 0.0,
        };
        // Between the two greys.
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        let grey = (GREYS[0] + (GREYS[1] - GREYS[0]) * share) as u8;
        let binds = letter(sweep, point);
        let words = format!(
            "{}: {} {}{}",
            point.values.join(", "),
            title,
            number(found),
            point
                .binding
                .as_ref()
                .map_or_else(String::new, |b| format!(", binds: {}", b.what))
        );
        svg.shade([x, y], size, grey, &words);
        let told = match binds {
            // An infeasible cell shows what binds; its number stands in the table and under the pointer.
            Some(letter) => letter.to_string(),
            None => number(found),
        };
        if size[0] >= 30.0 || binds.is_some() && size[0] >= 9.0 {
            svg.text(
                x + 0.5 * size[0],
                y + 0.5 * size[1] + 4.0,
                Anchor::Middle,
                "unit cell",
                &told,
            );
        }
    }
}

/// What stands beside and under a map.
fn words(svg: &mut Svg, sweep: &Sweep, corner: [f64; 2], size: [f64; 2], rows: usize) {
    let [left, top] = corner;
    let bottom = top + size[1] * rows as f64;
    let across = &sweep.axes[0];
    let right = left + size[0] * across.values.len() as f64;
    svg.text(
        left,
        bottom + 16.0,
        Anchor::Start,
        "unit",
        &across.values[0],
    );
    svg.text(
        right,
        bottom + 16.0,
        Anchor::End,
        "unit",
        &across.values[across.values.len() - 1],
    );
    svg.text(
        0.5 * (left + right),
        bottom + 32.0,
        Anchor::Middle,
        "unit",
        &across.label,
    );
    if let Some(along) = sweep.axes.get(1) {
        svg.text(
            left - 6.0,
            bottom - 4.0,
            Anchor::End,
            "unit",
            &along.values[0],
        );
        svg.text(
            left - 6.0,
            top + 10.0,
            Anchor::End,
            "unit",
            &along.values[rows - 1],
        );
        svg.text(
            0.5 * (left + right),
            bottom + 47.0,
            Anchor::Middle,
            "unit",
            &format!("up: {}", along.label),
        );
    }
}

/// The border of the feasible region: between a feasible point and a neighbour that is not, or the end of a sweep.
fn outline(svg: &mut Svg, sweep: &Sweep, place: impl Fn(&Point) -> [f64; 2], size: [f64; 2]) {
    for point in sweep.feasible() {
        let [x, y] = place(point);
        let beside = sweep.beside(&point.at);
        let good = |axis: usize, up: bool| {
            let next = beside.iter().find(|at| {
                let (own, other) = (
                    point.at.get(axis).copied().unwrap_or(0),
                    at.get(axis).copied().unwrap_or(0),
                );
                if up {
                    other == own + 1
                } else {
                    other + 1 == own
                }
            });
            next.and_then(|at| sweep.point(at))
                .is_some_and(Point::feasible)
        };
        let (right, below) = (x + size[0], y + size[1]);
        for (open, from, to) in [
            (good(0, false), [x, y], [x, below]),
            (good(0, true), [right, y], [right, below]),
            (good(1, true), [x, y], [right, y]),
            (good(1, false), [x, below], [right, below]),
        ] {
            if !open {
                svg.line(from, to, "edge");
            }
        }
    }
}

fn points(html: &mut String, sweep: &Sweep) {
    let shown = &sweep.shown;
    let [size, finish, flat] = OF.map(|of| shown.symbol(of));
    let [size, finish, flat] = [
        format!("size error {size}"),
        format!("Ra {finish}"),
        format!("flatness {flat}"),
    ];
    let mut heads: Vec<&str> = sweep.axes.iter().map(|axis| axis.label.as_str()).collect();
    heads.extend([
        "time s",
        &size,
        &finish,
        &flat,
        "load left %",
        "harm",
        "runs",
        "failed",
        "verdict",
        "binds",
        "nearest to its bound",
    ]);
    let rows: Vec<Vec<String>> = sweep
        .points
        .iter()
        .map(|point| {
            let mut row = point.values.clone();
            row.extend([
                format!("{:.0}", point.time_s),
                told(shown, Some(OF[0]), point.size_um, 3),
                told(shown, Some(OF[1]), point.finish_um, 3),
                told(shown, Some(OF[2]), point.flatness_um, 3),
                point
                    .load_margin_pct
                    .map_or_else(|| "–".to_owned(), |p| significant(p, 2)),
                point.harm.to_string(),
                point.runs.to_string(),
                point.failed.to_string(),
                point.verdict.word().to_owned(),
                point
                    .binding
                    .as_ref()
                    .map_or_else(String::new, |b| format!("{}: {}", b.code, b.what)),
                point.nearest.clone().unwrap_or_default(),
            ]);
            row
        })
        .collect();
    table(
        html,
        "Points: worst of the runs, time of the nominal machine",
        &heads,
        &rows,
    );
    let _ = write!(
        html,
        "<p>Where no run was made, what the closed form foretells.</p>"
    );
}
