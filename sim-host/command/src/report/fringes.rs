//! The faces of the worst part under an optical flat, as a person at the bench sees them, with the count of bands in words.

use super::svg::{Svg, escape};
use std::fmt::Write as _;
use twinplate_check::inspection::{FacesReport, SideReport};
use twinplate_sim::fringes::{Laid, Picture, Side, WEDGE};
use twinplate_sim::model::{Of, Outline, Shown};

/// Side of one picture, px, and the space between two.
const SIZE: f64 = 200.0;
const SPACE: f64 = 20.0;
/// Height of the line over a picture that says how the flat lies, px.
const HEAD: f64 = 22.0;

/// A figure for each side of the part.
#[must_use]
pub(crate) fn figures(faces: &FacesReport, shown: &Shown) -> String {
    let mut html = String::from("<div class=\"faces\">");
    for side in &faces.sides {
        // Writing to a String cannot fail.
        let _ = write!(
            html,
            "<figure>{}<figcaption><b>{}</b>: {}.<br>{}</figcaption></figure>",
            picture(side, faces.wavelength_nm * 1e-9, shown),
            escape(side.side),
            escape(&side.words),
            escape(&numbers(side, shown))
        );
    }
    let _ = write!(
        html,
        "</div><p class=\"cure\">Computed from the form of {}: bands as two beams interfere in the air under the flat, dark where it \
         touches and at each half of {:.2} nm. A tipped flat is lifted by {WEDGE:.0} bands at one side: a flat face shows straight bands, \
         and by how much of their distance others bend is how flat they are. The rim is drawn as low as the bound of its roll-off.</p>",
        escape(&faces.which()),
        faces.wavelength_nm
    );
    html
}

/// What stands behind the words.
fn numbers(side: &SideReport, shown: &Shown) -> String {
    let of = match side.face.side {
        Side::Lower | Side::Upper => Of::Flatness,
        Side::Thickness => Of::Parallelism,
    };
    let size = |number| shown.fixed_with(of, number, 2);
    let mut told = format!("{}, {:.1} bands", size(side.valley_um), side.bands);
    if side.across_um > 0.0 {
        let _ = write!(told, "; taper {}", size(side.across_um));
    }
    let _ = write!(
        told,
        "; edge over middle {}; rim at most {} lower",
        shown.with(of, &shown.signed(of, side.edge_um, 2)),
        size(side.rim_um)
    );
    told
}

/// One side, as seen under a flat that touches and, where a face is looked at, under one that is tipped.
fn picture(side: &SideReport, wavelength: f64, shown: &Shown) -> String {
    let ways: &[(Laid, &str)] = match side.face.side {
        Side::Lower | Side::Upper => &[
            (Laid::Touching, "flat laid on"),
            (Laid::Tipped, "flat tipped"),
        ],
        // Both faces together: the part lies on a flat, and another stands parallel over it.
        Side::Thickness => &[(Laid::Touching, "over a flat base")],
    };
    #[allow(clippy::cast_precision_loss)] // one or two
    let width = ways.len() as f64 * (SIZE + SPACE) - SPACE;
    let mut svg = Svg::new(
        width,
        SIZE + HEAD,
        &format!("Light bands, {}: {}", side.side, side.words),
    );
    svg.describe(&numbers(side, shown));
    for (place, (laid, words)) in ways.iter().enumerate() {
        #[allow(clippy::cast_precision_loss)] // one or two
        let left = place as f64 * (SIZE + SPACE);
        svg.text(left, HEAD - 8.0, super::svg::Anchor::Start, "note", words);
        let seen = Picture::new(&side.face, wavelength, *laid);
        let [across, down] = seen
            .size
            .map(|points| f64::from(u32::try_from(points).unwrap_or(1)));
        let scale = SIZE / across;
        let top = HEAD + 0.5 * (SIZE - scale * down);
        svg.shaded([left, top], scale, &seen);
        edge(&mut svg, side.face.outline, [left, top], scale * down);
    }
    svg.finish()
}

/// The part's outline over its picture.
fn edge(svg: &mut Svg, outline: Outline, [left, top]: [f64; 2], height: f64) {
    let middle = [left + 0.5 * SIZE, top + 0.5 * height];
    match outline {
        Outline::Disc { .. } => svg.circle(middle[0], middle[1], 0.5 * SIZE, "edge"),
        Outline::Ring { outer, inner } => {
            svg.circle(middle[0], middle[1], 0.5 * SIZE, "edge");
            svg.circle(middle[0], middle[1], 0.5 * SIZE * inner / outer, "edge");
        }
        Outline::Rectangle { .. } => svg.rect(left, top, SIZE, height, "edge"),
        Outline::Polygon(polygon) => {
            let scale = 0.5 * SIZE / polygon.reach()[0];
            svg.path(&super::plan::round(&polygon, middle, 0.0, scale), "edge");
        }
    }
}
