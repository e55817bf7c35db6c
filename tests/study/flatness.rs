//! Flatness control over many batches, on plates that wear.

use firmware_core::plate_form::RingSetting;
use firmware_core::units::{Micrometres, Ratio};
use twinplate_sim::bench::{InProcess, Job, NoRecorder, run_after};
use twinplate_sim::demo;
use twinplate_sim::flatness;
use twinplate_sim::plant::Lasting;

#[test]
fn probe() {
    for name in demo::recipes() {
        for (reversed, trim) in [
            (false, 0.0),
            (true, 0.0),
            (false, 0.3),
            (false, -0.3),
            (true, 0.3),
        ] {
            let (mut machine, batch, mut recipe) = demo::set(&name);
            machine.thermal.slurry_share = 1.0;
            let setting = RingSetting {
                reversed,
                trim: Ratio::new(trim),
                change: [Micrometres::ZERO; 2],
            };
            let change = flatness::change(&machine, &batch, &recipe, &setting);
            for step in &mut recipe.steps {
                step.speeds = setting
                    .speeds(step.speeds.map(twinplate_sim::compile::rpm))
                    .map(twinplate_sim::compile::rad_s);
            }
            let job = match Job::new(machine, batch, recipe) {
                Ok(j) => j,
                Err(e) => {
                    println!("{name} {reversed} {trim}: {e}");
                    continue;
                }
            };
            let setup = job.nominal(1);
            let mut machine = Lasting::new(&job.machine, &setup.deviations, setup.seed);
            let mut forms = vec![];
            for _ in 0..5 {
                let port = InProcess::new(job.params.clone());
                let (run, after) =
                    run_after(machine, port, &setup, None, NoRecorder).expect("a run");
                forms.push(run.summary.form.cold.map(|f| (f * 1e8).round() / 100.0));
                machine = after;
            }
            println!(
                "{name} {reversed} {trim}: predicted {:?} ran {forms:?}",
                change.map(|f| (f * 1e8).round() / 100.0)
            );
        }
    }
}
