//! Parts of any polygon against the standard formulas of plane figures, and against the outlines that were there before.
//!
//! Formulas from memory, as in any handbook of mechanics: regular polygon of n corners, radius R, side s: area n/2 R² sin(2π/n), second
//! moment A (6R² − s²)/24 about each axis; triangle of base b and height h: area b h/2, centroid at h/3, second moment b h³/36;
//! polygon: the sums over the corners that Green's theorem gives.

use std::f64::consts::{PI, TAU};
use std::path::Path;
use twinplate_sim::bench::{Job, NoRecorder, run_cycle};
use twinplate_sim::demo;
use twinplate_sim::files::parse_batch;
use twinplate_sim::model::{NoPolygon, Outline, Polygon};
use twinplate_sim::plant::paths::{Footprint, filled};
use twinplate_sim::plant::torque::Rubbing;

fn near(found: f64, due: f64, share: f64) {
    assert!(
        (found / due - 1.0).abs() < share,
        "{found} instead of {due}"
    );
}

fn regular(corners: u32, radius: f64) -> Polygon {
    let at = |i: u32| {
        let angle = TAU * f64::from(i) / f64::from(corners);
        // Off the origin, as a drawing would have it.
        [0.3 + radius * angle.cos(), radius * angle.sin() - 0.1]
    };
    Polygon::new(&(0..corners).map(at).collect::<Vec<_>>()).expect("simple")
}

fn rectangle(length: f64, width: f64) -> Polygon {
    Polygon::new(&[[0.0, 0.0], [length, 0.0], [length, width], [0.0, width]]).expect("simple")
}

/// An L of three squares of this side.
const ANGLE: [[f64; 2]; 6] = [
    [0.0, 0.0],
    [0.02, 0.0],
    [0.02, 0.01],
    [0.01, 0.01],
    [0.01, 0.02],
    [0.0, 0.02],
];

/// Area and polar second moment as the plant sees the part: by the share of each circle about its middle that it fills.
fn seen(outline: Outline) -> [f64; 2] {
    let (radius, steps) = (outline.outer_radius(), 20_000);
    let mut sum = [0.0; 2];
    for i in 0..steps {
        let s = radius * (f64::from(i) + 0.5) / f64::from(steps);
        let ring = TAU * s * filled(outline, s) * radius / f64::from(steps);
        sum[0] += ring;
        sum[1] += ring * s * s;
    }
    sum
}

#[test]
fn regular_polygons_have_their_closed_forms() {
    for corners in [3, 4, 5, 6, 8, 12, 24] {
        let (n, radius) = (f64::from(corners), 0.015);
        let polygon = regular(corners, radius);
        let area = 0.5 * n * radius * radius * (TAU / n).sin();
        near(polygon.area(), area, 1e-12);
        near(polygon.outer_radius(), radius, 1e-12);
        // The circle inside it.
        near(polygon.depth([0.0; 2]), radius * (PI / n).cos(), 1e-12);
        let side = 2.0 * radius * (PI / n).sin();
        let polar = area * (6.0 * radius * radius - side * side) / 12.0;
        let [found, moment] = seen(Outline::Polygon(polygon));
        near(found, area, 1e-5);
        near(moment, polar, 1e-5);
    }
}

#[test]
fn a_triangle_lies_about_its_third_and_an_angle_about_its_squares() {
    let (base, height) = (0.03, 0.02);
    let triangle = Polygon::new(&[[0.0, 0.0], [base, 0.0], [0.0, height]]).expect("simple");
    near(triangle.area(), 0.5 * base * height, 1e-12);
    assert!((triangle.corners()[0][0] + base / 3.0).abs() < 1e-15);
    assert!((triangle.corners()[0][1] + height / 3.0).abs() < 1e-15);
    let polar = (base * height.powi(3) + height * base.powi(3)) / 36.0;
    near(seen(Outline::Polygon(triangle))[1], polar, 1e-5);
    // Three squares of side a: middle at 5/6 a of either side; each square's own a⁴/6 and its area times its distance squared.
    let (angle, a) = (Polygon::new(&ANGLE).expect("simple"), 0.01_f64);
    near(angle.area(), 3.0 * a * a, 1e-12);
    let middle = 5.0 / 6.0 * a;
    let away = |x: f64, y: f64| (x * a - middle).powi(2) + (y * a - middle).powi(2);
    let squares = away(0.5, 0.5) + away(1.5, 0.5) + away(0.5, 1.5);
    let polar = 3.0 * a.powi(4) / 6.0 + a * a * squares;
    let [area, moment] = seen(Outline::Polygon(angle));
    near(area, 3.0 * a * a, 1e-4);
    near(moment, polar, 1e-4);
}

/// Order, first corner, origin and turning of the drawing change nothing that the plant takes from an outline.
#[test]
fn the_drawing_does_not_matter() {
    let angle = Outline::Polygon(Polygon::new(&ANGLE).expect("simple"));
    let changed = |change: &dyn Fn(usize) -> [f64; 2]| {
        let corners: Vec<[f64; 2]> = (0..ANGLE.len()).map(change).collect();
        Outline::Polygon(Polygon::new(&corners).expect("simple"))
    };
    let (s, c) = 0.7_f64.sin_cos();
    let others = [
        changed(&|i| ANGLE[(i + 2) % ANGLE.len()]),
        changed(&|i| ANGLE[ANGLE.len() - 1 - i]),
        changed(&|i| [ANGLE[i][0] + 0.25, ANGLE[i][1] - 0.5]),
        changed(&|i| {
            let [x, y] = ANGLE[i];
            [c * x - s * y, s * x + c * y]
        }),
    ];
    for other in others {
        near(other.area(), angle.area(), 1e-12);
        near(other.outer_radius(), angle.outer_radius(), 1e-12);
        for i in 1..40 {
            // Between the radii at which a side begins, where the share jumps.
            let radius = angle.outer_radius() * (f64::from(i) + 0.37) / 41.0;
            let apart = filled(other, radius) - filled(angle, radius);
            assert!(apart.abs() < 1e-9, "{apart} at {radius}");
        }
    }
}

/// A rectangle given by its corners is that rectangle: to the plant, and in a whole cycle.
#[test]
fn a_rectangle_by_its_corners_is_a_rectangle() {
    let (machine, mut batch, recipe) = demo::set("zirconia-fixed");
    let Outline::Rectangle { length, width } = batch.outline else {
        panic!("the tiles are rectangles");
    };
    let polygon = Outline::Polygon(rectangle(length, width));
    near(polygon.area(), batch.outline.area(), 1e-14);
    near(polygon.outer_radius(), batch.outline.outer_radius(), 1e-14);
    for i in 1..500 {
        let radius = polygon.outer_radius() * (f64::from(i) + 0.5) / 501.0;
        let apart = filled(polygon, radius) - filled(batch.outline, radius);
        assert!(apart.abs() < 1e-12, "{apart} at {radius}");
    }
    let run = |batch: &twinplate_sim::model::Batch| {
        let speeds = recipe.steps[0].speeds;
        let footprint = Footprint::of_batch(&machine.geometry, batch);
        let mut rubbing = Rubbing::new(&machine.geometry, &footprint, 0.0);
        let arms = rubbing.arms(&speeds).lower;
        let job = Job::new(machine.clone(), batch.clone(), recipe.clone()).expect("compiles");
        let outcome = run_cycle(&job.nominal(1), None, NoRecorder).expect("a run");
        let parts = outcome.summary.parts;
        (
            [parts.mean, parts.min, parts.max],
            outcome.summary.form.flatness,
            arms,
        )
    };
    let ours = run(&batch);
    batch.outline = polygon;
    let theirs = run(&batch);
    for (one, other) in ours.0.iter().zip(theirs.0) {
        near(*one, other, 1e-9);
    }
    near(ours.1, theirs.1, 1e-6);
    for (one, other) in ours.2.iter().zip(theirs.2) {
        assert!((one - other).abs() < 1e-9, "{one} and {other}");
    }
}

/// What is left between two pockets, by hand: squares side by side and corner to corner.
#[test]
fn the_web_between_two_parts_is_what_lies_between_their_sides() {
    let square = rectangle(0.02, 0.02);
    // Across the carrier: half a side each of 60 mm.
    near(square.web([0.03, 0.03], [0.0, PI]), 0.04, 1e-9);
    // In the middle and beside it.
    near(square.web([0.0, 0.03], [0.0, 0.0]), 0.01, 1e-9);
    // A quarter turn apart both lie square, corner to corner: 10 mm along either axis.
    let apart = square.web([0.03, 0.03], [0.0, PI / 2.0]);
    near(apart, 0.01 * 2.0_f64.sqrt(), 1e-9);
    // They run into each other by what is missing.
    near(square.web([0.0, 0.015], [0.0, 0.0]), -0.005, 1e-9);
}

/// Corners that make no part are refused, each for its own reason.
#[test]
fn corners_that_cross_or_coincide_are_no_polygon() {
    let bow_tie = [[0.0, 0.0], [0.01, 0.01], [0.01, 0.0], [0.0, 0.01]];
    assert_eq!(Polygon::new(&bow_tie), Err(NoPolygon::Crossing(0, 2)));
    let twice = [[0.0, 0.0], [0.01, 0.0], [0.01, 0.01], [0.0, 0.0]];
    assert_eq!(Polygon::new(&twice), Err(NoPolygon::Twice(0, 3)));
    let flat = [[0.0, 0.0], [0.01, 0.0], [0.02, 0.0]];
    assert!(matches!(Polygon::new(&flat), Err(NoPolygon::Crossing(..))));
    let spike = [
        [0.0, 0.0],
        [0.01, 0.0],
        [0.01, 0.02],
        [0.01, 0.01],
        [0.0, 0.01],
    ];
    assert!(matches!(Polygon::new(&spike), Err(NoPolygon::Crossing(..))));
    assert_eq!(Polygon::new(&bow_tie[..2]), Err(NoPolygon::Count));
}

/// A hexagon of the file, in inches, is the hexagon of the drawing.
#[test]
fn a_batch_file_takes_corners_with_units() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../recipes/batches/glass-discs.toml");
    let text = std::fs::read_to_string(path).expect("a batch of the set");
    // One inch across flats.
    let r = 0.5 / (PI / 6.0).cos();
    let corner = |i: u32| {
        let angle = TAU * f64::from(i) / 6.0;
        format!(
            "{{ x = \"{} in\", y = \"{} in\" }}",
            r * angle.cos(),
            r * angle.sin()
        )
    };
    let corners: Vec<String> = (0..6).map(corner).collect();
    let text = text.replace(
        "{ diameter = \"50 mm\" }",
        &format!("{{ corners = [{}] }}", corners.join(", ")),
    );
    let batch = parse_batch(Path::new("hexagons"), &text)
        .expect("a batch")
        .value;
    let flats = 0.0254;
    near(
        batch.outline.area(),
        3.0_f64.sqrt() / 2.0 * flats * flats,
        1e-12,
    );
    near(batch.outline.outer_radius(), flats / 3.0_f64.sqrt(), 1e-12);
}
