//! Findings about pockets on several circles.

use super::*;
use twinplate_sim::model::Circle;

/// 25 mm parts on circles of 1, 6 and 12 in a carrier of 90 mm.
fn with_circles(radii: [f64; 3], phase: f64) -> Vec<Finding> {
    let (machine, mut batch, recipe) = demo::set("glass-f800");
    batch.outline = Outline::Disc { diameter: 0.025 };
    batch.strength = 1e4;
    batch.circles = radii
        .iter()
        .zip([1, 6, 12])
        .map(|(radius, pockets)| Circle {
            pockets,
            radius: *radius,
            phase: if pockets == 6 { phase } else { 0.0 },
        })
        .collect();
    batch.parts = 95;
    let case = Case {
        machine: &machine,
        batch: &batch,
        recipe: &recipe,
    };
    let mut findings = check(&case, &predict(&case, 1.0));
    findings.retain(|finding| {
        let about = finding.place.path.starts_with("carrier.circles");
        about && finding.code != Code::PlateEdgeUnused
    });
    findings
}

/// By hand, for parts of 25 mm: circles of 29 and 42 mm are 13 mm apart in line, so that their pockets run 12 mm into each other. On
/// 27.5 and 57.5 mm webs of 2.5 mm and more are left.
#[test]
fn circles_that_run_into_each_other_or_leave_a_thin_web_are_found() {
    let found = with_circles([0.0, 0.029, 0.042], 0.0);
    assert_eq!(codes(&found), [Code::PocketsOverlap], "{found:#?}");
    assert_eq!(found[0].place.path, "carrier.circles[2].pockets");
    assert_eq!(found[1].place.path, "carrier.circles[2].radius");
    assert!((found[1].measured.expect("a number") + 12.0).abs() < 1e-9);
    // A phase between two pockets outside takes them out of each other's way.
    let web = |phase: f64| {
        let found = with_circles([0.0, 0.029, 0.0525], phase);
        found.iter().find_map(|finding| finding.measured)
    };
    let [x, y] = [
        0.0525 * (PI / 12.0).cos() - 0.029,
        0.0525 * (PI / 12.0).sin(),
    ];
    let by_hand = (x.hypot(y) - 0.025) * 1e3;
    // In line 23.5 mm apart: they overlap. Turned by half a pitch of the outer circle they do not, but the web is thin.
    assert!((web(0.0).expect("overlap") + 1.5).abs() < 1e-9);
    assert!(by_hand > 0.0 && by_hand < 1.5, "{by_hand}");
    assert!((web(PI / 12.0).expect("a web") - by_hand).abs() < 1e-9);
    let found = with_circles([0.0, 0.0275, 0.0575], 0.0);
    assert_eq!(codes(&found), [], "{found:#?}");
    // The outermost leaves the carrier.
    let found = with_circles([0.0, 0.029, 0.0726], 0.0);
    assert!(codes(&found).contains(&Code::PocketOutsideCarrier));
    assert_eq!(found[0].place.path, "carrier.circles[2].radius");
}

/// Rectangles of 30 by 20 mm lie with their narrow side along their circle: one in the middle, two at 25.5 mm.
#[test]
fn rectangles_on_two_circles_are_apart_by_their_sides() {
    let web = |phase: f64| {
        let (machine, mut batch, recipe) = demo::set("glass-f800");
        batch.outline = Outline::Rectangle {
            length: 0.03,
            width: 0.02,
        };
        let circle = |pockets, radius, phase| Circle {
            pockets,
            radius,
            phase,
        };
        batch.circles = vec![circle(1, 0.0, 0.0), circle(2, 0.0255, phase)];
        let case = Case {
            machine: &machine,
            batch: &batch,
            recipe: &recipe,
        };
        let found = check(&case, &predict(&case, 1.0));
        let web = [Code::PocketWebThin, Code::PocketsOverlap];
        found
            .iter()
            .find(|finding| web.contains(&finding.code))
            .and_then(|finding| finding.measured)
    };
    // In line, long sides radial: 25.5 - 15 - 15. Across, 25.5 - 15 - 10.
    assert!((web(0.0).expect("they overlap") + 4.5).abs() < 1e-9);
    assert!((web(PI / 2.0).expect("a thin web") - 0.5).abs() < 1e-9);
}
