//! What a run is made of: a job (machine, batch, recipe, compiled once) and one draw of it.

use super::Bench;
use super::journal::{Action, Drawn, FileHash, Journal};
use super::port::{ControllerPort, InProcess};
use super::recorder::{DEFAULT_EVERY, Recorder, TraceRecorder};
use super::summary::{Tally, Targets};
use crate::assumed;
use crate::compile::{self, CompileError};
use crate::files::quantity::{self, Dimension};
use crate::files::{LONGEST_SCENARIO, Loaded, Set};
use crate::flatness;
use crate::model::{Batch, Deviations, Machine, Recipe, Scenario, Varied};
use crate::plant::envelope::draw;
use crate::plant::seed::substream;
use crate::plant::{Lasting, Plant, Substeps};
use crate::training::rules::Found;
use firmware_core::params::CheckedParams;
use firmware_core::process_image::FACES;
use firmware_core::recipe::RecipeWire;
use firmware_core::sequence::Request;
use std::borrow::Cow;

/// Tick at which the compiled recipe is sent to the controller.
pub const RECIPE_TICK: u32 = 10;
/// Simulated time allowed for what a recipe does not limit itself (descent, touch-down, run-up and run-down, holds, lift), s.
const ALLOWANCE: f64 = 600.0;
/// Rows of a trace at most; a longer run gets coarser rows. About 250 MB.
const ROWS: u32 = 350_000;

/// A recipe on a machine with a batch, compiled for the controller. Shared by all runs of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Job {
    /// Machine as its file says.
    pub machine: Machine,
    /// Batch as its file says.
    pub batch: Batch,
    /// Recipe as its file says.
    pub recipe: Recipe,
    /// The machine's parameters as compiled.
    pub params: CheckedParams,
    /// The recipe as compiled, checked against the parameters.
    pub compiled: RecipeWire,
    /// Files it was made from, for the journal.
    pub files: Vec<FileHash>,
}

impl Job {
    /// Compiles a job.
    ///
    /// # Errors
    /// What the controller's limits refuse.
    pub fn new(machine: Machine, batch: Batch, recipe: Recipe) -> Result<Self, CompileError> {
        let params = compile::params(&machine)?;
        let compiled = compile::recipe(&recipe, &machine, &batch, &params)?
            .get()
            .clone();
        Ok(Self {
            machine,
            batch,
            recipe,
            params,
            compiled,
            files: Vec::new(),
        })
    }

    /// Compiles the job of a recipe's files; the journal of a run notes which they were. `scenario` is the file of the scenario that
    /// is played in the run, if any.
    ///
    /// # Errors
    /// What the controller's limits refuse.
    pub fn of(set: &Set, scenario: Option<&Loaded<Scenario>>) -> Result<Self, CompileError> {
        let mut job = Self::new(
            set.machine.value.clone(),
            set.batch.value.clone(),
            set.recipe.value.clone(),
        )?;
        job.files = FileHash::of(set, scenario);
        Ok(job)
    }

    /// The job that a journal runs: with fewer parts where shortening took some out.
    ///
    /// # Errors
    /// What the controller's limits refuse.
    pub fn of_journal(&self, journal: &Journal) -> Result<Self, CompileError> {
        let Some(pieces) = journal.pieces else {
            return Ok(self.clone());
        };
        let batch = Batch {
            parts: pieces.parts,
            dummies: pieces.dummies,
            ..self.batch.clone()
        };
        if batch == self.batch {
            return Ok(self.clone());
        }
        let mut changed = Self::new(self.machine.clone(), batch, self.recipe.clone())?;
        changed.files.clone_from(&self.files);
        Ok(changed)
    }

    /// The setup that a journal runs, on its job ([`Job::of_journal`]).
    #[must_use]
    pub fn setup_of_journal(&self, journal: &Journal) -> Setup<'_> {
        let mut setup = match (journal.deviations, journal.drawn) {
            (Some(deviations), _) => self.setup(deviations, journal.seed),
            (None, Some(drawn)) => self.drawn(drawn),
            (None, None) => self.nominal(journal.seed),
        };
        setup.plates = journal.plates;
        setup.finer(journal.substeps)
    }

    /// One numbered draw of the machine file's envelope, noise included, so that seed and number give it again. Draw 0 is the machine
    /// and the batch as their files say.
    #[must_use]
    pub fn drawn(&self, drawn: Drawn) -> Setup<'_> {
        let Drawn { seed, index } = drawn;
        let noise = substream(seed, "proof", "run", index);
        let deviations = if index == 0 {
            Deviations::NOMINAL
        } else {
            let drawn = draw(&self.machine.envelope, seed, index);
            // A file that gives everything has nothing else to draw.
            if self.machine.assumed.is_empty() {
                drawn
            } else {
                let assumed = Varied::Drawn { seed, index };
                Deviations { assumed, ..drawn }
            }
        };
        Setup {
            drawn: Some(drawn),
            ..self.setup(deviations, noise)
        }
    }

    /// Batch `number`, from 1, on one drawn machine: other parts and other noise each time. The first is [`Self::drawn`].
    pub(super) fn nth_batch(&self, drawn: Drawn, number: u32) -> Setup<'_> {
        let first = self.drawn(drawn);
        if number <= 1 {
            return first;
        }
        Setup {
            seed: substream(first.seed, "batches", "batch", u64::from(number)),
            ..first
        }
    }

    /// The job on a machine that differs so from its file, with this seed of all randomness.
    #[must_use]
    pub const fn setup(&self, deviations: Deviations, seed: u64) -> Setup<'_> {
        Setup {
            job: self,
            deviations,
            seed,
            drawn: None,
            substeps: Substeps::ONE,
            plates: None,
        }
    }

    /// The job with machine and batch exactly as their files say.
    #[must_use]
    pub const fn nominal(&self, seed: u64) -> Setup<'_> {
        self.setup(Deviations::NOMINAL, seed)
    }
}

/// Everything a run is made from.
#[derive(Clone, Copy, Debug)]
pub struct Setup<'a> {
    /// The job.
    pub job: &'a Job,
    /// How this machine and batch differ from their files.
    pub deviations: Deviations,
    /// Seed of all randomness.
    pub seed: u64,
    /// The numbered draw that it is, where it is one.
    pub drawn: Option<Drawn>,
    /// Steps of the plant's fast physics in a tick of the controller.
    pub substeps: Substeps,
    /// Temperatures of the lower and the upper plate before the cycle, °C; as cold as the room where nothing is said.
    pub plates: Option<[f64; FACES]>,
}

impl Setup<'_> {
    /// The same with so many steps of the plant's fast physics in a tick of the controller.
    #[must_use]
    pub const fn finer(mut self, substeps: Substeps) -> Self {
        self.substeps = substeps;
        self
    }

    /// The machine that runs: the file's, its assumed keys where this draw has them. The controller knows the file alone.
    fn machine(&self) -> Cow<'_, Machine> {
        assumed::varied(&self.job.machine, self.deviations.assumed)
    }

    /// The machine before its first batch; its plates may be warm.
    #[must_use]
    pub fn unused(&self) -> Lasting {
        let unused = Lasting::new(&self.machine(), &self.deviations, self.seed, self.substeps);
        match self.plates {
            Some(plates) => unused.warmed(plates),
            None => unused,
        }
    }

    /// The machine before its first batch, loaded.
    #[must_use]
    pub fn plant(&self) -> Plant {
        self.plant_after(self.unused())
    }

    /// The same in the condition that an exercise has it found.
    #[must_use]
    pub fn plant_found(&self, found: &Found) -> Plant {
        self.plant_after(self.unused().found(&self.machine(), found))
    }

    fn plant_after(&self, before: Lasting) -> Plant {
        Plant::after(
            before,
            &self.machine(),
            &self.job.batch,
            &self.job.recipe.consumables,
            &self.deviations,
            self.seed,
            self.substeps,
        )
    }

    /// A controller in this process, just powered up.
    #[must_use]
    pub fn controller(&self) -> InProcess {
        InProcess::new(self.job.params.clone())
    }

    /// A bench before its first tick, with nothing to come from outside.
    #[must_use]
    pub(crate) fn bare_bench<C: ControllerPort, R: Recorder>(
        &self,
        port: C,
        recorder: R,
    ) -> Bench<C, R> {
        self.bench_with(self.plant(), port, recorder)
    }

    /// As [`Setup::bare_bench`], with a machine that was changed before.
    #[must_use]
    pub fn bench_with<C: ControllerPort, R: Recorder>(
        &self,
        plant: Plant,
        port: C,
        recorder: R,
    ) -> Bench<C, R> {
        let tally = Tally::new(Targets::new(&self.job.compiled, &self.job.machine.control));
        let mut journal = Journal::new(self.seed, self.job.files.clone());
        journal.drawn = self.drawn;
        journal.substeps = self.substeps;
        journal.plates = self.plates;
        Bench::new(port, plant, recorder, tally, journal)
    }

    /// A bench before its first tick with a machine that was not used before; the recipe goes to the controller at [`RECIPE_TICK`], and
    /// after it the form of the plates where the recipe controls it.
    #[must_use]
    pub fn bench<C: ControllerPort, R: Recorder>(&self, port: C, recorder: R) -> Bench<C, R> {
        let before = self.unused();
        let form = self.report(&before);
        self.bench_after(before, port, recorder, form)
    }

    /// The report of the plates' form that an operator makes before a batch, where the recipe controls it.
    pub(super) fn report(&self, before: &Lasting) -> Option<Request> {
        let Job {
            machine,
            batch,
            recipe,
            ..
        } = self.job;
        let control = recipe.flatness.as_ref()?;
        let measured = control.measured;
        Some(flatness::report(
            machine,
            batch,
            recipe,
            measured,
            before.plates(),
        ))
    }

    /// As [`Setup::bench`], after other batches, with this report of the plates' form.
    pub(super) fn bench_after<C: ControllerPort, R: Recorder>(
        &self,
        before: Lasting,
        port: C,
        recorder: R,
        form: Option<Request>,
    ) -> Bench<C, R> {
        let mut bench = self.bench_with(self.plant_after(before), port, recorder);
        let recipe = Request::LoadRecipe(self.job.compiled.clone());
        for request in std::iter::once(recipe).chain(form) {
            bench.act_at(RECIPE_TICK, Action::Request(Box::new(request)));
        }
        bench
    }

    /// Longest simulated time of a run, ticks: the scenario's, or else what the recipe's own limits add up to and ten minutes.
    #[must_use]
    pub fn longest(&self, scenario: Option<&Scenario>) -> u32 {
        if let Some(scenario) = scenario {
            return compile::ticks(scenario.longest).0;
        }
        let recipe = &self.job.compiled;
        let steps = recipe.steps.iter().map(|step| step.longest.0);
        steps
            .chain([recipe.prestart.0, recipe.rinse.0])
            .fold(compile::ticks(ALLOWANCE).0, u32::saturating_add)
    }

    /// Longest simulated time of any run that a journal can tell of, ticks: it does not carry the scenario that was played.
    #[must_use]
    pub fn longest_of_any(&self) -> u32 {
        let scenario = quantity::parse(LONGEST_SCENARIO, Dimension::Time).unwrap_or(0.0);
        self.longest(None).max(compile::ticks(scenario).0)
    }

    /// A trace recorder with room for such a run.
    #[must_use]
    pub fn recorder(&self, scenario: Option<&Scenario>) -> TraceRecorder {
        Self::recorder_for(self.longest(scenario))
    }

    /// A trace recorder with room for so many ticks.
    #[must_use]
    pub(crate) fn recorder_for(ticks: u32) -> TraceRecorder {
        TraceRecorder::new(ticks, DEFAULT_EVERY.max(ticks.div_ceil(ROWS)))
    }
}
