//! What settled heat does to the plates of every demonstration recipe, cooled at their back and as their machine is.

use crate::pages::{check, table};
use twinplate_check::Case;
use twinplate_check::finding::significant;
use twinplate_check::settled::{gap, power};
use twinplate_sim::demo;

fn rows() -> Vec<Vec<String>> {
    let mut rows = Vec::new();
    for name in demo::recipes() {
        let (mut machine, batch, recipe) = demo::set(&name);
        let (own, back) = (
            machine.plates.cooling_depth,
            machine.geometry.plate_thickness,
        );
        for depth in [back, own] {
            machine.plates.cooling_depth = depth;
            let case = Case {
                machine: &machine,
                batch: &batch,
                recipe: &recipe,
            };
            let step = recipe.steps.last().expect("a recipe has steps");
            let nominal = gap(&case, step, 1.0);
            let most = gap(&case, step, 1.0 + machine.envelope.friction);
            let um = |length: f64| significant(length * 1e6, 2);
            let contact = match (nominal.least < 0.0, most.least < 0.0) {
                (true, _) => "lost",
                (false, true) => "lost with the highest friction",
                (false, false) => "kept",
            };
            rows.push(vec![
                name.clone(),
                format!(
                    "{:.0} mm{}",
                    depth * 1e3,
                    if depth < back { "" } else { ", back" }
                ),
                format!("{:.0}", power(&case, step)[0]),
                significant(nominal.difference[0], 2),
                um(nominal.bow[0]),
                um(nominal.edges),
                um(nominal.sink),
                format!("{:.0}, {:.0}", 100.0 * nominal.least, 100.0 * most.least),
                contact.to_owned(),
            ]);
        }
    }
    rows
}

#[test]
fn the_page_has_what_settled_heat_does_to_every_recipe() {
    let head = [
        "recipe",
        "cooled at",
        "heat, W",
        "through the plate, K",
        "bow, µm",
        "both, inner to outer edge, µm",
        "sink, µm",
        "least pressure, %",
        "contact",
    ];
    check("docs/plates.md", "heat", &table(&head, rows()));
}
