//! Random jobs as other shops might have them: a demonstration job of which about every third number is another one, as far as `check`
//! finds no error in it. All of it is invented.

use twinplate_check::Case;
use twinplate_check::check::{Request, check, static_errors};
use twinplate_check::trials::TrialPlan;
use twinplate_check::verdict::Verdict;
use twinplate_sim::bench::Job;
use twinplate_sim::demo;
use twinplate_sim::math::{exp, log, max};
use twinplate_sim::model::{Batch, End, Machine, Recipe};
use twinplate_sim::plant::seed::substream;

/// Seed of the jobs: a date, chosen before any result was seen.
const SEED: u64 = 20_261_129;
/// Tries until a job is without an error; the numbers are near to what holds together, so that far fewer are needed.
const TRIES: u64 = 400;
/// Share of the numbers that are other ones.
const CHANGED: f64 = 0.35;
/// Trials beside the nominal one that a job must pass.
const TRIALS: usize = 4;

/// A job, and what is other than in the demonstration job.
pub struct Random {
    /// The job.
    pub job: Job,
    /// Key and factor, in the order of the tables.
    pub changed: Vec<(&'static str, f64)>,
    /// How many were drawn until it was without an error.
    pub tries: u64,
}

struct Files {
    machine: Machine,
    batch: Batch,
    recipe: Recipe,
}

/// A number of the files, and between which factors it is drawn.
type Number = (&'static str, f64, f64, fn(&mut Files, f64));

macro_rules! scaled {
    ($($key:literal $low:literal $high:literal $file:ident . $($field:ident).+;)*) => {
        &[$(($key, $low, $high, |files, factor| files.$file.$($field).+ *= factor)),*]
    };
}

/// Numbers that stand for themselves.
const PLAIN: &[Number] = scaled! {
    "actuator.dead-time" 0.5 1.8 machine.actuator.dead_time;
    "actuator.lag" 0.5 1.8 machine.actuator.lag;
    "actuator.slew" 0.6 1.7 machine.actuator.slew;
    "actuator.speed-fast" 0.4 1.7 machine.actuator.speed_fast;
    "actuator.speed-creep" 0.5 1.1 machine.actuator.speed_creep;
    "actuator.speed-lift" 0.4 1.7 machine.actuator.speed_lift;
    "actuator.height-raised" 0.7 2.2 machine.actuator.height_raised;
    "actuator.approach" 0.7 4.0 machine.actuator.approach;
    "actuator.supply-pressure" 0.95 1.4 machine.actuator.supply_pressure;
    "actuator.supply-minimum" 0.9 1.15 machine.actuator.supply_minimum;
    "actuator.dog-friction" 0.5 1.5 machine.actuator.dog_friction;
    "control.stop-time" 0.8 1.8 machine.control.stop_time;
    "control.drive-ramp" 0.5 1.3 machine.control.drive_ramp;
    "control.speed-tolerance" 0.7 2.0 machine.control.speed_tolerance;
    "control.band" 0.8 2.0 machine.control.band_newtons;
    "control.band-share" 0.8 2.0 machine.control.band_share;
    "control.filter" 0.7 1.5 machine.control.filter;
    "control.first-contact-limit" 0.95 1.3 machine.control.first_contact_limit;
    "control.initial-load" 0.95 1.3 machine.control.initial_load;
    "control.settle-limit" 0.5 1.5 machine.control.settle_limit;
    "control.contact-tolerance" 0.7 1.6 machine.control.contact_tolerance;
    "cell.noise" 0.5 2.0 machine.cell.noise;
    "slurry.flow-min" 0.4 1.7 machine.slurry.flow_min;
    "slurry.line-lag" 0.4 4.0 machine.slurry.line_lag;
    "slurry.film-life" 0.8 3.0 machine.slurry.film_life;
    "slurry.wet-time" 0.6 1.5 machine.slurry.wet_time;
    "slurry.settle-time" 0.4 2.0 machine.slurry.settle_time;
    "slurry.stir-time" 0.5 2.0 machine.slurry.stir_time;
    "slurry.rinse-flow" 0.8 1.3 machine.slurry.rinse_flow;
    "thermal.capacity" 0.7 1.5 machine.thermal.capacity;
    "thermal.cooling" 0.8 1.5 machine.thermal.cooling;
    "part.strength" 0.8 2.0 batch.strength;
    "part.stiffness-per-area" 0.4 1.5 batch.stiffness_per_area;
    "part.density" 0.6 1.6 batch.density;
    "target.tolerance" 0.9 1.6 batch.tolerance;
    "consumables.friction" 0.7 1.1 recipe.consumables.friction;
    "consumables.friction-dry" 0.8 1.1 recipe.consumables.friction_dry;
    "slurry.prestart" 0.9 2.0 recipe.prestart;
    "slurry.prestart-flow" 0.8 1.0 recipe.prestart_flow;
    "slurry.rinse" 0.0 1.5 recipe.rinse;
};

/// A number of each drive, or of each step.
macro_rules! each {
    ($key:literal $low:literal $high:literal $file:ident . $list:ident $field:ident) => {
        ($key, $low, $high, |files, factor| {
            for one in &mut files.$file.$list {
                one.$field *= factor;
            }
        })
    };
}

/// Numbers that others go along with.
const JOINT: &[Number] = &[
    ("actuator.mass", 0.8, 1.3, |files, factor| {
        // What is lighter or heavier hangs on the counterbalance.
        let actuator = &mut files.machine.actuator;
        let more = (factor - 1.0) * actuator.weight();
        actuator.mass *= factor;
        actuator.counterbalance += more / actuator.area_rod();
    }),
    ("actuator.seal-friction", 0.4, 1.1, |files, factor| {
        files.machine.actuator.seal_friction *= factor;
        files.machine.actuator.seal_breakaway *= factor;
    }),
    ("actuator.dump-lag", 0.5, 2.5, |files, factor| {
        files.machine.actuator.dump_lag *= factor;
        files.machine.control.dump_time *= max(factor, 1.0);
    }),
    each!("drives.torque" 0.95 3.0 machine.drives torque),
    each!("drives.inertia" 0.5 3.0 machine.drives inertia),
    each!("drives.drag" 0.5 2.0 machine.drives drag),
    ("drives.upper", 0.7, 2.0, |files, factor| {
        files.machine.drives[3].torque *= factor;
        files.machine.drives[3].inertia *= factor;
    }),
    each!("steps.pressure" 0.7 1.1 recipe.steps pressure),
    each!("steps.limit" 0.95 1.3 recipe.steps load_limit),
    each!("steps.ramp" 0.4 1.2 recipe.steps ramp),
    ("steps.speeds", 0.5, 1.15, |files, factor| {
        for step in &mut files.recipe.steps {
            step.speeds = step.speeds.map(|speed| speed * factor);
        }
    }),
    each!("steps.flow" 0.8 1.2 recipe.steps flow),
    each!("steps.longest" 0.9 1.5 recipe.steps longest),
    ("steps.end.time", 0.7, 1.4, |files, factor| {
        for step in &mut files.recipe.steps {
            if let End::Time { seconds } = &mut step.end {
                *seconds *= factor;
            }
        }
    }),
    ("part.thickness", 0.8, 1.4, |files, factor| {
        // Carriers go with the parts; what is taken off stays.
        let batch = &mut files.batch;
        let more = (factor - 1.0) * batch.thickness;
        batch.thickness += more;
        batch.target += more;
        batch.carrier_thickness *= factor;
        for step in &mut files.recipe.steps {
            if let End::Size { thickness } = &mut step.end {
                *thickness += more;
            }
        }
    }),
    (
        "control.emergency-stop-category",
        0.2,
        2.0,
        |files, factor| {
            // No number that is scaled: one machine in a few has the other category.
            let control = &mut files.machine.control;
            if factor < 0.5 {
                control.estop_category = 1 - control.estop_category;
            }
        },
    ),
];

/// The job of a number.
pub fn job(number: u64) -> Random {
    for attempt in 0..TRIES {
        if let Some(found) = draw(number, attempt) {
            return found;
        }
    }
    panic!("job {number}: no draw of {TRIES} is without an error");
}

fn draw(number: u64, attempt: u64) -> Option<Random> {
    let share = |key: &str, purpose: &str| {
        let bits = substream(SEED, key, purpose, number * TRIES + attempt);
        (bits >> 11) as f64 / (1_u64 << 53) as f64
    };
    let bases = demo::recipes();
    let base = &bases[usize::try_from(number).expect("a small number") % bases.len()];
    let (machine, batch, recipe) = demo::set(base);
    let mut files = Files {
        machine,
        batch,
        recipe,
    };
    let mut changed = Vec::new();
    for (key, low, high, change) in PLAIN.iter().chain(JOINT) {
        if share(key, "changed") >= CHANGED {
            continue;
        }
        // Nought is drawn as one number among the others: none of it.
        let factor = if *low == 0.0 {
            if share(key, "none") < 0.3 {
                0.0
            } else {
                1.0 + share(key, "factor") * (high - 1.0)
            }
        } else {
            exp(log(*low) + share(key, "factor") * (log(*high) - log(*low)))
        };
        change(&mut files, factor);
        changed.push((*key, factor));
    }
    let case = Case {
        machine: &files.machine,
        batch: &files.batch,
        recipe: &files.recipe,
    };
    // The controller's own check first: what it refuses has no prediction.
    let job = Job::new(
        files.machine.clone(),
        files.batch.clone(),
        files.recipe.clone(),
    )
    .ok()?;
    if !static_errors(&case).is_empty() {
        return None;
    }
    let request = Request::plain(TrialPlan {
        draws: TRIALS,
        threads: 1,
        seed: SEED,
    });
    let checked = check(&case, &request).expect("in process");
    (checked.report.verdict != Verdict::Fail).then_some(Random {
        job,
        changed,
        tries: attempt + 1,
    })
}
