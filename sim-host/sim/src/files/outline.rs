//! The batch file's table of a part's outline: disc, ring, rectangle, or any polygon.

use super::quantity::{self, Dimension as D};
use super::table::Table;
use crate::model::{MAX_CORNERS, NoPolygon, Outline, Polygon};

pub(super) fn read(t: &mut Table<'_, '_>) -> Outline {
    t.one_of(&[
        ("diameter", disc),
        ("outer", ring),
        ("length", rectangle),
        ("corners", polygon),
    ])
    .unwrap_or(NO_OUTLINE)
}

const SIZE: [&str; 2] = ["1 mm", "2 m"];

/// Stands in for an outline that could not be read.
const NO_OUTLINE: Outline = Outline::Disc { diameter: f64::NAN };

fn disc(t: &mut Table<'_, '_>) -> Outline {
    Outline::Disc {
        diameter: t.quantity("diameter", D::Length, SIZE, "Diameter of a disc."),
    }
}

fn ring(t: &mut Table<'_, '_>) -> Outline {
    let outer = t.quantity("outer", D::Length, SIZE, "Outer diameter of a ring.");
    let inner = t.quantity(
        "inner",
        D::Length,
        ["0.5 mm", "2 m"],
        "Inner diameter of a ring.",
    );
    t.require_order(("inner", inner), ("outer", outer), true);
    Outline::Ring { outer, inner }
}

fn rectangle(t: &mut Table<'_, '_>) -> Outline {
    Outline::Rectangle {
        length: t.quantity("length", D::Length, SIZE, "Length of a rectangle."),
        width: t.quantity("width", D::Length, SIZE, "Width of a rectangle."),
    }
}

fn polygon(t: &mut Table<'_, '_>) -> Outline {
    let corners = t.list(
        "corners",
        [3, MAX_CORNERS],
        "Corners of a polygon in order, either way round, from any origin. It turns in its pocket about its centroid.",
        corner,
    );
    // A corner that could not be read has its own error.
    let read = corners.iter().flatten().all(|at| at.is_finite());
    if !read || corners.len() < 3 {
        return NO_OUTLINE;
    }
    let polygon = match Polygon::new(&corners) {
        Ok(polygon) => polygon,
        Err(defect) => {
            no_polygon(t, defect);
            return NO_OUTLINE;
        }
    };
    let [least, most] = SIZE.map(|end| quantity::parse(end, D::Length).unwrap_or(f64::NAN));
    if !(least..=most).contains(&(2.0 * polygon.outer_radius())) {
        t.error_at(
            "out-of-range",
            "corners",
            "the polygon is too small or too large".into(),
            format!("corners that lie {} to {} apart", SIZE[0], SIZE[1]),
        );
    }
    Outline::Polygon(polygon)
}

fn corner(t: &mut Table<'_, '_>) -> [f64; 2] {
    let range = ["-2 m", "2 m"];
    [
        t.quantity(
            "x",
            D::Length,
            range,
            "Along the first axis: as parts are laid in it points away from the carrier's centre.",
        ),
        t.quantity("y", D::Length, range, "Along the second axis."),
    ]
}

/// The error of corners that make no polygon, at the later of the two that it is about.
fn no_polygon(t: &mut Table<'_, '_>, defect: NoPolygon) {
    let (at, message, due) = match defect {
        NoPolygon::Count => return,
        NoPolygon::Twice(one, other) => (
            other,
            format!("corners {} and {} are one place", one + 1, other + 1),
            "each corner once: the last side closes the part",
        ),
        NoPolygon::Crossing(one, other) => (
            other,
            format!(
                "the sides that begin at corners {} and {} cross or touch",
                one + 1,
                other + 1
            ),
            "corners in their order round the part",
        ),
    };
    t.error_at(
        "inconsistent",
        &format!("corners[{at}]"),
        message,
        due.into(),
    );
}
