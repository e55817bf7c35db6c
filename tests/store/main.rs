//! The recipe store with what is stored on a machine: the demonstration recipes, their machines' parameters, and the progress of a cycle.
//! That nothing is lost when the power goes is tried in the core, `firmware-core/src/store/tests`.

#[allow(dead_code)] // its cuts are for the core
#[path = "../../firmware-core/src/store/tests/nor.rs"]
mod nor;

use firmware_core::recipe::RecipeRule;
use firmware_core::store::{
    Checked, Image, PROGRESS_EVERY, Progress, RecallError, SLOTS, Store, StoreError, StoredRecipe,
    Verdict, fingerprint,
};
use firmware_core::units::Ticks;
use nor::{Nor, Twice};
use twinplate_sim::bench::{Ended, Job, NoRecorder, Recorder, TickView, run_cycle};
use twinplate_sim::demo;
use twinplate_sim::model::End;

/// Two banks of 32 KiB.
type Flash = Nor<8, 4096>;

fn blank() -> Store<Flash> {
    Store::open(Nor::new(64 * 1024, Twice::Refused, 1)).expect("a flash that suits")
}

fn job(name: &str) -> Job {
    let (machine, batch, recipe) = demo::set(name);
    Job::new(machine, batch, recipe).expect("the controller takes it")
}

fn stored(job: &Job) -> StoredRecipe {
    StoredRecipe {
        recipe: job.compiled.clone(),
        checked: Checked {
            verdict: Verdict::Pass,
            program: env!("CARGO_PKG_VERSION").try_into().expect("short"),
            inputs: 1,
            recipe: fingerprint(&job.compiled).expect("a recipe"),
        },
    }
}

/// All demonstration recipes, one a slot.
fn demonstration() -> (Store<Flash>, Vec<Job>) {
    let jobs: Vec<Job> = demo::recipes().iter().map(|name| job(name)).collect();
    let mut store = blank();
    for (slot, job) in (0..).zip(&jobs) {
        store.put(slot, &stored(job)).expect("room");
    }
    (store, jobs)
}

#[test]
fn each_machine_recalls_its_own_recipes_and_refuses_the_others() {
    let (store, jobs) = demonstration();
    let bytes = store.into_flash().bytes;
    let mut store = Store::open(Image(&bytes)).expect("a store");
    for machine in &jobs {
        for (slot, job) in (0..).zip(&jobs) {
            let own = job.machine.id == machine.machine.id;
            match store.recall(slot, &machine.params) {
                Ok(recalled) => assert!(own && *recalled.get() == job.compiled),
                Err(RecallError::Refused(why)) => {
                    assert!(!own && why.iter().any(|v| v.rule == RecipeRule::Machine));
                }
                Err(RecallError::Store(error)) => panic!("slot {slot}: {error:?}"),
            }
        }
    }
    let kept = store.recipe(0).expect("stored");
    assert_eq!((kept.verdict(), kept), (Verdict::Pass, stored(&jobs[0])));
    assert_eq!(store.recipe(SLOTS - 1), Err(StoreError::Empty));
}

/// Shortened to two seconds of its last step.
fn short(name: &str) -> Job {
    let (machine, batch, mut recipe) = demo::set(name);
    recipe.steps.drain(..recipe.steps.len() - 1);
    recipe.steps[0].end = End::Time { seconds: 2.0 };
    recipe.rinse = 0.0;
    Job::new(machine, batch, recipe).expect("the controller takes it")
}

/// What was checked on the bench is what runs: recipe and parameters from the flash make the same run, bit for bit.
#[test]
fn a_recalled_recipe_runs_as_the_one_from_its_file() {
    for name in demo::recipes() {
        let job = short(&name);
        let mut store = blank();
        store.put_params(&job.params).expect("room");
        store.put(9, &stored(&job)).expect("room");
        let mut store = Store::open(store.into_flash()).expect("a store");
        let params = store.params().expect("stored").check().expect("valid");
        let recalled = store.recall(9, &params).expect("stored");
        let from_flash = Job {
            params,
            compiled: recalled.get().clone(),
            ..job.clone()
        };
        let run = |job: &Job| run_cycle(&job.nominal(3), None, NoRecorder).expect("in process");
        let (file, flash) = (run(&job), run(&from_flash));
        assert_eq!(file.ended, Ended::Complete, "{name}");
        assert_eq!(file.control_hash, flash.control_hash, "{name}");
    }
}

/// Notes the progress of a cycle as a board does, and looks every second what a loss of power would leave.
struct Board<'a> {
    store: &'a mut Store<Flash>,
    last: Option<Progress>,
    recipe: u32,
    records: &'a mut u32,
    in_dwell: &'a mut u32,
}

impl Recorder for Board<'_> {
    fn record(&mut self, view: &TickView<'_>) {
        let now = Progress::of(view.status, Some(4), self.recipe);
        if now.is_due(self.last.as_ref()) {
            self.store.note(&now).expect("room was made");
            self.last = Some(now);
            *self.records += 1;
        }
        if view.tick.is_multiple_of(1000) && now.in_cycle() {
            let bytes = &self.store_bytes();
            let mut after = Store::open(Image(bytes)).expect("a store");
            let found = after.progress().expect("noted");
            assert!(found.in_cycle() && found.step == now.step, "{found:?}");
            assert_eq!((found.slot, found.recipe), (Some(4), self.recipe));
            let since = now.step_time.since(found.step_time);
            assert!(since < PROGRESS_EVERY, "{found:?} and {now:?}");
            *self.in_dwell += u32::from(now.phase.in_step() && found.step_time > Ticks::ZERO);
        }
    }
}

impl Board<'_> {
    fn store_bytes(&self) -> Vec<u8> {
        self.store.flash().bytes.clone()
    }
}

#[test]
fn after_a_loss_of_power_the_step_and_how_much_of_it_was_done_are_known() {
    let job = job("glass-f800");
    let mut store = blank();
    store.put(4, &stored(&job)).expect("room");
    store.make_room(4_000).expect("room");
    let (erases, room) = (store.erases(), store.room());
    let (mut records, mut in_dwell) = (0, 0);
    let board = Board {
        store: &mut store,
        last: None,
        recipe: fingerprint(&job.compiled).expect("a recipe"),
        records: &mut records,
        in_dwell: &mut in_dwell,
    };
    let outcome = run_cycle(&job.nominal(1), None, board).expect("in process");
    assert_eq!(outcome.ended, Ended::Complete);
    assert!(in_dwell > 60, "{in_dwell} seconds with part of a step done");
    let ended = store.progress().expect("noted");
    assert!(!ended.in_cycle(), "{ended:?}");
    // What the page reckons with: about 20 records of 40 bytes a cycle, and no erase.
    assert!((10..=30).contains(&records), "{records} records");
    assert!(room - store.room() <= 40 * records);
    assert_eq!(store.erases(), erases);
}
