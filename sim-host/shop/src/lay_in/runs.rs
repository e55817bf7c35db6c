//! One load on the simulated machine, with those very thicknesses.

use firmware_core::process_image::FACES;
use firmware_core::sequence::State;
use twinplate_sim::bench::summary::PartsSummary;
use twinplate_sim::bench::{Drawn, Job, NoRecorder, run_cycle};
use twinplate_sim::files::Set;
use twinplate_sim::math::max;
use twinplate_sim::model::Batch;
use twinplate_sim::requirements::judge;

/// What a load's run came to.
#[derive(Clone, Debug, PartialEq)]
pub struct Ran {
    /// It holds everything that a cycle by the book must hold.
    pub holds: bool,
    /// How it ended.
    pub state: State,
    /// How it ended and what was not held, in words.
    pub ending: String,
    /// Largest first contact on one part (closed form of the plant), N.
    pub first_contact: f64,
    /// Largest load on one part, first contacts apart, N.
    pub largest: f64,
    /// The piece that bore it, from 0.
    pub bore: Option<usize>,
    /// Largest lean of the plate under load, m over the whole plate.
    pub lean: f64,
    /// Parts at the end, m.
    pub thickness: PartsSummary,
    /// Largest thickness difference within a part at the end, m.
    pub within: f64,
    /// Deepest damage left in a face, m.
    pub damage: f64,
    /// Mean removal of the lower and the upper face, m.
    pub removed: [f64; FACES],
    /// Time of the cycle, s; none where the batch was not finished.
    pub time: Option<f64>,
}

/// Runs a load on the machine as its file says; `thickness` is that of each piece, m. The error says why the controller will not.
pub(super) fn run(
    set: &Set,
    mut batch: Batch,
    thickness: Vec<f64>,
    seed: u64,
) -> Result<Ran, String> {
    batch.measured = thickness;
    let (machine, recipe) = (set.machine.value.clone(), set.recipe.value.clone());
    let job = Job::new(machine, batch, recipe).map_err(|error| error.to_string())?;
    let setup = job.drawn(Drawn { seed, index: 0 });
    let outcome = run_cycle(&setup, None, NoRecorder).map_err(|error| error.to_string())?;
    let judged = judge(&job, &outcome);
    let summary = &outcome.summary;
    let broken: Vec<&str> = judged
        .items
        .iter()
        .filter(|item| !item.holds())
        .map(|item| item.requirement.what())
        .collect();
    let mut ending = judged.ending.clone();
    if !broken.is_empty() {
        ending = format!("{ending}; not held: {}", broken.join(", "));
    }
    let product = outcome.parts.iter().filter(|part| !part.dummy);
    let count = max(product.clone().count() as f64, 1.0);
    let mean = |of: fn(&twinplate_sim::plant::PartTruth) -> f64| {
        product.clone().map(of).sum::<f64>() / count
    };
    Ok(Ran {
        holds: judged.holds(),
        state: summary.state,
        ending,
        first_contact: summary.first_contact_part,
        largest: summary.largest_part.map_or(0.0, |(most, _)| most.load),
        bore: summary.largest_part.map(|(most, _)| most.part),
        lean: summary.leaning.slope * job.machine.geometry.plate_outer,
        thickness: summary.parts,
        within: summary.form.variation,
        damage: summary.damage_left.map_or(0.0, |left| left.depth),
        removed: [
            mean(|part| part.removed_lower),
            mean(|part| part.removed_upper),
        ],
        time: summary.cycle,
    })
}
