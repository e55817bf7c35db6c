//! Four jobs as a shop gets them, `tests/jobs`: a drawing, and what is typed of it and of the machine's plate.

use std::path::{Path, PathBuf};
use twinplate_check::Case;
use twinplate_check::assumed::{AssumedReport, FIRST};
use twinplate_check::check::{Request, check, static_errors};
use twinplate_check::trials::TrialPlan;
use twinplate_check::verdict::Waiver;
use twinplate_sim::assumed::rules;
use twinplate_sim::demo;
use twinplate_sim::files::{load_batch, load_machine, render_errors};
use twinplate_sim::model::End;

const JOBS: [&str; 4] = [
    "sapphire-windows",
    "steel-seal-rings",
    "silicon-wafers",
    "ferrite-tiles",
];
/// Most values that a person is to type for a machine and a batch.
const TYPED: usize = 40;

fn folder(job: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("jobs").join(job)
}

/// Values in a file that are no names: numbers, and quantities, whose text begins with one.
fn values(text: &str) -> usize {
    let code = text.lines().filter(|line| !line.starts_with('#'));
    code.flat_map(|line| line.split(" = ").skip(1))
        .filter(|value| {
            value
                .trim_start_matches(['"', '-'])
                .starts_with(|first: char| first.is_ascii_digit())
        })
        .count()
}

/// Machine and batch of each job are whole files, and no more is typed in both than a person will bear.
#[test]
fn machine_and_batch_of_a_job_are_forty_values() {
    for job in JOBS {
        let files = ["machine.toml", "batch.toml"].map(|name| folder(job).join(name));
        load_machine(&files[0])
            .unwrap_or_else(|errors| panic!("{}", render_errors(&errors, false)));
        load_batch(&files[1]).unwrap_or_else(|errors| panic!("{}", render_errors(&errors, false)));
        let typed: usize = files
            .iter()
            .map(|file| values(&std::fs::read_to_string(file).expect("just read")))
            .sum();
        assert!(typed <= TYPED, "{job}: {typed} values");
        assert!(folder(job).join("drawing.txt").is_file());
    }
}

/// A recipe that somebody makes by hand for a job: that of a demonstration job which is like it, its loads by the machine's plate, its steps ended by the
/// clock.
const BY_HAND: [(&str, &str); 4] = [
    ("sapphire-windows", "steel-f400"),
    ("steel-seal-rings", "glass-f800"),
    ("silicon-wafers", "silicon-f1000"),
    ("ferrite-tiles", "alumina-diamond"),
];

/// The machine of a job is a short file: it lists what it assumes and how each key is measured, and a check of a recipe made by hand says
/// which to measure first, whatever else it has against that recipe.
#[test]
fn machines_of_the_jobs_say_what_to_measure_first() {
    for (job, like) in BY_HAND {
        let machine = load_machine(&folder(job).join("machine.toml"))
            .expect("reads")
            .value;
        let batch = load_batch(&folder(job).join("batch.toml"))
            .expect("reads")
            .value;
        let listed = AssumedReport::listed(&machine).expect("a short file");
        // Of one the regulator's smallest step has been measured.
        let measured = usize::from(job == "silicon-wafers");
        assert_eq!(listed.keys.len() + measured, rules().count(), "{job}");
        assert!(
            listed
                .keys
                .iter()
                .all(|key| !key.how.is_empty() && !key.measured_by.is_empty())
        );
        let (_, _, mut recipe) = demo::set(like);
        recipe.machine.clone_from(&machine.id);
        recipe.batch.clone_from(&batch.id);
        recipe.gauge = false;
        (recipe.prestart, recipe.prestart_flow) = (60.0, machine.slurry.flow_max);
        for step in &mut recipe.steps {
            step.end = End::Time { seconds: 40.0 };
            step.pressure = 0.45 * machine.control.rated_load / batch.area();
            step.load_limit = 0.75 * machine.control.rated_load;
            step.ramp = 0.5 * machine.control.ramp_max;
            step.flow = 0.8 * machine.slurry.flow_max;
        }
        let case = Case {
            machine: &machine,
            batch: &batch,
            recipe: &recipe,
        };
        // Whoever has a first try on the table waives what is wrong with it, and asks what to measure.
        let waivers: Vec<Waiver> = static_errors(&case)
            .into_iter()
            .map(|code| Waiver {
                code: code.to_owned(),
                reason: "a first try".to_owned(),
            })
            .collect();
        let request = Request {
            waivers: &waivers,
            ..Request::plain(TrialPlan {
                draws: 0,
                threads: 2,
                seed: 1,
            })
        };
        let checked = check(&case, &request).expect("a controller in this process");
        let list = checked.report.assumed.expect("a short file");
        let first: Vec<&str> = list.first().map(|key| key.key).collect();
        assert_eq!(first.len(), FIRST, "{job}: {:?}", checked.report.findings);
        println!("{job}: {first:?}");
    }
}
