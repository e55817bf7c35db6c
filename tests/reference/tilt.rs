//! Height and tilts of the plate against an independent solution: scipy on 200 batches of random layout, heights, stiffness and load,
//! by the complementary energy of the springs (`scripts/tilt.py`).

use crate::table::{number, rows};
use std::f64::consts::TAU;
use twinplate_sim::demo;
use twinplate_sim::model::Outline;
use twinplate_sim::plant::footing::Footing;
use twinplate_sim::plant::paths::{RINGS, Rings};
use twinplate_sim::plant::tilt::{Plane, Points};

/// One batch of the table.
#[derive(Default)]
struct Batch {
    load: f64,
    x: Vec<f64>,
    y: Vec<f64>,
    top: Vec<f64>,
    k: Vec<f64>,
    parts: Vec<f64>,
    /// Height and slopes.
    plane: [f64; 3],
}

impl Batch {
    fn points(&self) -> Points<'_> {
        Points {
            x: &self.x,
            y: &self.y,
            top: &self.top,
            k: &self.k,
        }
    }

    fn reach(&self) -> f64 {
        let arms = self.x.iter().zip(&self.y).map(|(x, y)| x.hypot(*y));
        arms.fold(0.0, f64::max)
    }
}

fn batches() -> Vec<Batch> {
    let mut all: Vec<Batch> = Vec::new();
    for row in rows(include_str!("data/tilt.csv")) {
        let index: usize = row[0].parse().expect("a number");
        if index == all.len() {
            all.push(Batch {
                load: number(row[1]),
                plane: [7, 8, 9].map(|cell| number(row[cell])),
                ..Batch::default()
            });
        }
        let batch = &mut all[index];
        let lists = [
            &mut batch.x,
            &mut batch.y,
            &mut batch.top,
            &mut batch.k,
            &mut batch.parts,
        ];
        for (list, cell) in lists.into_iter().zip(&row[2..7]) {
            list.push(number(cell));
        }
    }
    all
}

/// The largest deviation of a part's load, share of the largest of its batch.
pub fn deviation() -> f64 {
    let mut worst = 0.0_f64;
    for batch in batches() {
        let points = batch.points();
        let plane = Plane::default()
            .under(&points, batch.load, batch.reach())
            .expect("it balances");
        let mut loads = vec![0.0; batch.x.len()];
        points.loads(&plane, 1.0, &mut loads);
        let most = batch.parts.iter().copied().fold(0.0, f64::max);
        for (found, expected) in loads.iter().zip(&batch.parts) {
            worst = worst.max((found - expected).abs() / most);
        }
    }
    worst
}

/// Every part's load within 1 % of the largest of its batch, the tilt within 1 % of what it is with what the parts give.
#[test]
fn loads_and_plane_agree_with_an_independent_solution() {
    let all = batches();
    assert_eq!(all.len(), 200);
    let mut leaning = 0;
    for (index, batch) in all.iter().enumerate() {
        let (points, reach) = (batch.points(), batch.reach());
        let plane = Plane::default()
            .under(&points, batch.load, reach)
            .expect("it balances");
        let mut loads = vec![0.0; batch.x.len()];
        points.loads(&plane, 1.0, &mut loads);
        let most = batch.parts.iter().copied().fold(0.0, f64::max);
        for (found, expected) in loads.iter().zip(&batch.parts) {
            assert!(
                (found - expected).abs() < 0.01 * most,
                "batch {index}: {found} N, not {expected}"
            );
        }
        // Two opposite parts may carry all: then the plate is free to turn about the line through them, and any plane will do.
        if batch.parts.iter().filter(|load| **load > 0.0).count() < 3 {
            continue;
        }
        let [height, slope_x, slope_y] = batch.plane;
        let give = most / batch.k.iter().copied().fold(f64::INFINITY, f64::min);
        let rise = slope_x.hypot(slope_y) * reach;
        let near = |a: f64, b: f64| (a - b).abs() < 0.01 * (give + rise);
        assert!(near(plane.height, height), "batch {index}");
        assert!(
            near(plane.slope[0] * reach, slope_x * reach)
                && near(plane.slope[1] * reach, slope_y * reach),
            "batch {index}: {plane:?}"
        );
        leaning += usize::from(loads.iter().filter(|load| **load > 0.0).count() <= 3);
    }
    // Both kinds came up: plates that lean on three and plates that lie on many.
    assert!((20..180).contains(&leaning), "{leaning}");
}

/// The same between plates of a form, 100 batches (`scripts/tilt_form.py`): what the form adds is there a double integral over what the
/// part covers. Every part's load within 1 % of the largest of its batch, the worst part's within 1 % of itself.
#[test]
fn loads_between_plates_of_a_form_agree_with_an_independent_solution() {
    let mut rows: Vec<Vec<&str>> = rows(include_str!("data/tilt_form.csv")).collect();
    let (mut batches, mut moved) = (0, 0);
    while !rows.is_empty() {
        let index = rows[0][0];
        let count = rows.iter().take_while(|row| row[0] == index).count();
        let batch: Vec<Vec<&str>> = rows.drain(..count).collect();
        let plates: Vec<f64> = batch[0][1..10].iter().map(|cell| number(cell)).collect();
        let [load, inner, outer, part, bore, bend, wave, from, length] = plates[..] else {
            panic!("nine columns");
        };
        let column = |at: usize| -> Vec<f64> { batch.iter().map(|row| number(row[at])).collect() };
        let (x, y, thickness, k) = (column(10), column(11), column(12), column(13));
        let mut geometry = demo::machine("machine-a").geometry;
        (geometry.plate_inner, geometry.plate_outer) = (2.0 * inner, 2.0 * outer);
        let outline = if bore > 0.0 {
            Outline::Ring {
                outer: 2.0 * part,
                inner: 2.0 * bore,
            }
        } else {
            Outline::Disc {
                diameter: 2.0 * part,
            }
        };
        let rings = Rings::new(&geometry);
        let together = std::array::from_fn(|j| {
            let r = rings.middle(j);
            bend * r * r + wave * (TAU * (r - from) / length).cos()
        });
        let rise = Footing::new(&geometry, outline).rise(&together, &[1.0; RINGS]);
        let solved = |top: &[f64]| {
            let points = Points {
                x: &x,
                y: &y,
                top,
                k: &k,
            };
            let reach = x
                .iter()
                .zip(&y)
                .map(|(x, y)| x.hypot(*y))
                .fold(0.0, f64::max);
            let plane = Plane::default().under(&points, load, reach);
            let mut loads = vec![0.0; x.len()];
            points.loads(&plane.expect("it balances"), 1.0, &mut loads);
            loads
        };
        let raised: Vec<f64> = (0..x.len())
            .map(|i| thickness[i] + rise.at(x[i] * x[i] + y[i] * y[i]))
            .collect();
        let (loads, expected) = (solved(&raised), column(14));
        let most = expected.iter().copied().fold(0.0, f64::max);
        let found = loads.iter().copied().fold(0.0, f64::max);
        assert!(
            (found / most - 1.0).abs() < 0.01,
            "batch {index}: {found} N, not {most}"
        );
        for (found, expected) in loads.iter().zip(&expected) {
            assert!(
                (found - expected).abs() < 0.01 * most,
                "batch {index}: {found} N, not {expected}"
            );
        }
        let even = solved(&thickness);
        let off = |(even, with): (&f64, &f64)| (even - with).abs() > 0.05 * most;
        moved += usize::from(even.iter().zip(&expected).any(off));
        batches += 1;
    }
    assert_eq!(batches, 100);
    assert!(moved > 70, "the form matters in {moved} batches");
}
