//! What a setup card has to say: a recipe on its machine with its batch, for the operator.

use firmware_core::process_image::{ALL_DRIVES, DRIVES};
use twinplate_sim::bench::Job;
use twinplate_sim::files::{FileKind, Set, hash};
use twinplate_sim::model::{End, Of, Process, Shown, micrometres};
use twinplate_sim::plant::abrasion::Mix;
use twinplate_sim::plant::part_form::bands;

/// What is known of the check of exactly these files.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Checked {
    /// It passed, on so many machines drawn from the envelope.
    Passed(u32),
    /// It passed with warnings, on so many.
    Warned(u32),
    /// It failed.
    Failed,
    /// Nobody ran it.
    Not,
}

impl Checked {
    /// The words for it.
    #[must_use]
    pub fn words(self) -> String {
        match self {
            Self::Passed(draws) => format!("checked: passed ({draws} machines drawn)"),
            Self::Warned(draws) => {
                format!("checked: passed with warnings ({draws} machines drawn)")
            }
            Self::Failed => "CHECK FAILED: do not run".to_owned(),
            Self::Not => "NOT CHECKED".to_owned(),
        }
    }
}

/// One of the files a card is made from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Named {
    /// Recipe, machine or batch.
    pub kind: FileKind,
    /// Its identifier.
    pub id: String,
    /// Hash of its text.
    pub hash: u64,
}

/// A step.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// Name, as the engineer gave it.
    pub name: String,
    /// Pressure on the parts, Pa.
    pub pressure: f64,
    /// Load, N, as the controller has it.
    pub load: f64,
    /// What the gauge of the load regulator shows at that load, Pa; none where the resting load alone is as much.
    pub gauge: Option<f64>,
    /// Load limit, N.
    pub limit: f64,
    /// Speeds, rad/s, in the order of the drives.
    pub speeds: [f64; DRIVES],
    /// Slurry flow, m³/s.
    pub flow: f64,
    /// What ends it.
    pub end: End,
    /// Its longest time, s.
    pub longest: f64,
}

/// How the slurry is mixed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Slurry {
    /// Grains to a kilogram of vehicle, kg; none where the slurry carries none.
    pub to_a_kilogram: Option<f64>,
    /// Grains to a cubic metre of vehicle, kg, by the handbook's density of the vehicle.
    pub to_a_volume: Option<f64>,
    /// What fills the tank: grains, kg, and vehicle, m³.
    pub tank: [f64; 2],
}

/// A card.
#[derive(Clone, Debug, PartialEq)]
pub struct Card {
    /// Recipe, machine and batch.
    pub files: [Named; 3],
    /// Hash over the three: another file, another hash.
    pub hash: u64,
    /// Title of the recipe.
    pub title: String,
    /// The day, ISO 8601.
    pub date: String,
    /// What is known of its check.
    pub checked: Checked,
    /// Steps.
    pub steps: Vec<Row>,
    /// What the gauge of the counterbalance regulator shows, Pa.
    pub counterbalance: f64,
    /// Load of the plate at rest, N.
    pub resting: f64,
    /// Slurry.
    pub slurry: Slurry,
    /// What to look at before, during and after the cycle.
    pub look: [Vec<String>; 3],
}

/// When [`Card::look`] is.
pub const WHEN: [&str; 3] = ["Before", "During", "After"];

impl Card {
    /// The card of a recipe's files and the job made of them.
    #[must_use]
    pub fn of(set: &Set, job: &Job, checked: Checked, date: &str) -> Self {
        let files = [
            (FileKind::Recipe, &job.recipe.id, set.recipe.hash),
            (FileKind::Machine, &job.machine.id, set.machine.hash),
            (FileKind::Batch, &job.batch.id, set.batch.hash),
        ]
        .map(|(kind, id, hash)| Named {
            kind,
            id: id.clone(),
            hash,
        });
        let text: Vec<u8> = files
            .iter()
            .flat_map(|file| file.hash.to_be_bytes())
            .collect();
        let actuator = &job.machine.actuator;
        let steps = job.recipe.steps.iter().zip(&job.compiled.steps);
        Self {
            hash: hash(&text),
            files,
            title: job.recipe.title.clone(),
            date: date.to_owned(),
            checked,
            steps: steps
                .map(|(step, compiled)| {
                    let load = f64::from(compiled.load.get());
                    // The cap side presses with what the resting load lacks.
                    let gauge = (load - actuator.resting_load()) / actuator.area_cap();
                    Row {
                        name: step.name.clone(),
                        pressure: step.pressure,
                        load,
                        gauge: (gauge > 0.0).then_some(gauge),
                        limit: f64::from(compiled.load_limit.get()),
                        speeds: step.speeds,
                        flow: step.flow,
                        end: step.end,
                        longest: step.longest,
                    }
                })
                .collect(),
            counterbalance: actuator.counterbalance,
            resting: actuator.resting_load(),
            slurry: Slurry::of(job),
            look: look(job),
        }
    }
}

impl Slurry {
    fn of(job: &Job) -> Self {
        let consumables = &job.recipe.consumables;
        let share = consumables.concentration;
        let mix = Mix::of(consumables);
        let tank = job.machine.slurry.tank;
        let some = share > 0.0 && share < 1.0;
        Self {
            to_a_kilogram: some.then(|| share / (1.0 - share)),
            to_a_volume: some.then(|| mix.grains / mix.vehicle),
            tank: [tank * mix.grains, tank * mix.vehicle],
        }
    }
}

/// What an operator looks at, from what recipe, machine and batch say.
fn look(job: &Job) -> [Vec<String>; 3] {
    [before(job), during(job), after(job)]
}

fn before(job: &Job) -> Vec<String> {
    let (machine, batch, recipe) = (&job.machine, &job.batch, &job.recipe);
    let shown = &recipe.shown;
    let mut before = vec![
        format!(
            "{} parts{} in {} carriers, each part lying in its pocket",
            batch.parts,
            match batch.dummies {
                0 => String::new(),
                1 => " and a dummy".to_owned(),
                n => format!(" and {n} dummies"),
            },
            machine.geometry.carriers
        ),
        format!(
            "incoming {} in the mean, one standard deviation {}; no thinner part than {}",
            thickness(shown, batch.thickness),
            shown.fixed_with(Of::Size, micrometres(batch.spread), 2),
            thickness(shown, batch.target - batch.tolerance)
        ),
        format!(
            "carriers {} thick, teeth whole; plates clean, no grain of another grade",
            shown.fixed_with(Of::Length, batch.carrier_thickness * 1e3, 3)
        ),
    ];
    if recipe.consumables.concentration > 0.0 {
        before.push(format!(
            "{} in the tank and on the plates, stirred; it settles in {:.0} s",
            recipe.consumables.named(),
            machine.slurry.settle_time
        ));
    }
    if recipe.gauge {
        before.push("size gauge set on its master".to_owned());
    }
    before
}

fn during(job: &Job) -> Vec<String> {
    let (machine, recipe) = (&job.machine, &job.recipe);
    let least = machine.slurry.flow_min;
    let mut during = vec![format!(
        "slurry flows {:.0} s before the plates turn, then never under {}",
        recipe.prestart,
        recipe.shown.fixed_with(Of::Flow, least * 60e3, 2)
    )];
    during.push(
        "load follows its step and stays under the limit; noise and drag as always".to_owned(),
    );
    for step in &recipe.steps {
        if let End::Size { thickness: size } = step.end {
            during.push(format!(
                "step {} ends as the gauge shows {}",
                step.name,
                thickness(&recipe.shown, size)
            ));
        }
    }
    if recipe.consumables.process == Process::PadPolishing {
        during.push("the pads stay wet".to_owned());
    }
    during
}

fn after(job: &Job) -> Vec<String> {
    let (batch, recipe) = (&job.batch, &job.recipe);
    let shown = &recipe.shown;
    // Who typed bands has them once.
    let flat = if shown.is_of_bands(Of::Flatness) {
        String::new()
    } else {
        let depth = shown.fixed_with(Of::Flatness, micrometres(batch.flatness), 2);
        format!("{depth}: ")
    };
    let mut after = vec![
        format!(
            "thickness {} ± {} on every part, within a part {}",
            shown.fixed(Of::Thickness, batch.target * 1e3, 4),
            thickness(shown, batch.tolerance),
            shown.fixed_with(Of::Parallelism, micrometres(batch.parallelism), 2)
        ),
        format!(
            "each face flat to {}{:.1} light bands at {:.1} nm",
            flat,
            bands(batch.flatness, batch.wavelength),
            batch.wavelength * 1e9
        ),
        format!(
            "roughness Ra {} or less",
            shown.fixed_with(Of::Finish, micrometres(batch.finish), 3)
        ),
    ];
    if let Some(damage) = batch.damage_left {
        after.push(format!(
            "damage {} deep at most",
            shown.fixed_with(Of::Depth, micrometres(damage), 2)
        ));
    }
    if recipe.rinse > 0.0 {
        after.push(format!(
            "rinsed {:.0} s; parts wet until they are cleaned",
            recipe.rinse
        ));
    }
    after
}

/// A thickness as a gauge is read.
fn thickness(shown: &Shown, metres: f64) -> String {
    shown.fixed_with(Of::Thickness, metres * 1e3, 4)
}

/// Names of the drives, in their order.
pub fn drives() -> impl Iterator<Item = &'static str> {
    ALL_DRIVES.into_iter().map(|drive| drive.name())
}
