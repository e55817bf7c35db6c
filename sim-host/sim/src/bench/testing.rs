//! What the bench's own tests share: a status, and a controller that follows a script.

use super::port::{Answer, ControllerPort, PortError};
use crate::demo;
use crate::model::{Control, Deviations};
use crate::plant::{FastTruth, Plant};
use firmware_core::events::Event;
use firmware_core::interlock::Alarms;
use firmware_core::process_image::{DRIVES, Inputs, Outputs};
use firmware_core::recipe::{EndWire, ProcessKind, RECIPE_SCHEMA, RecipeWire, StepWire};
use firmware_core::sequence::{Command, Plate, Refusal, Request, State};
use firmware_core::status::Status;
use firmware_core::units::{
    Micrometres, MillilitresPerMinute, Newtons, NewtonsPerSecond, Rpm, Ticks,
};

/// An idle status.
pub fn status() -> Status {
    Status {
        state: State::Idle,
        plate: Plate::Parked,
        standstill: true,
        ..Status::blank(0)
    }
}

/// What a scripted controller does at a tick with its inputs.
pub type Script = fn(u32, &Inputs) -> (Outputs, Status);

/// Does nothing, for ever.
pub fn quiet(_: u32, _: &Inputs) -> (Outputs, Status) {
    (Outputs::default(), status())
}

/// A controller that does what `script` says and keeps what it was given.
#[derive(Clone, Debug)]
pub struct Scripted {
    script: Script,
    tick: u32,
    answer: Option<(Outputs, Status, Alarms)>,
    /// Commands and requests with their ticks.
    pub heard: Vec<(u32, Option<Command>, Option<Request>)>,
    /// Refuses every request with this.
    pub refuses: Option<Refusal>,
    /// Fails at this tick.
    pub fails: Option<u32>,
}

impl Scripted {
    pub fn new(script: Script) -> Self {
        Self {
            script,
            tick: 0,
            answer: None,
            heard: Vec::new(),
            refuses: None,
            fails: None,
        }
    }
}

impl ControllerPort for Scripted {
    fn exchange(
        &mut self,
        inputs: &Inputs,
        command: Option<Command>,
        request: Option<&Request>,
    ) -> Result<Answer<'_>, PortError> {
        if self.fails == Some(self.tick) {
            return Err(PortError::Lost { at: "test".into() });
        }
        if command.is_some() || request.is_some() {
            self.heard.push((self.tick, command, request.cloned()));
        }
        let (outputs, mut status) = (self.script)(self.tick, inputs);
        status.tick = Ticks(self.tick);
        self.tick += 1;
        let answer = (outputs, status, Alarms::default());
        let (outputs, status, alarms) = self.answer.insert(answer);
        Ok(Answer {
            outputs,
            status,
            alarms,
            refusal: self.refuses.filter(|_| request.is_some()),
        })
    }

    fn answer(&self) -> Option<Answer<'_>> {
        let answer = self.answer.as_ref();
        answer.map(|(outputs, status, alarms)| Answer {
            outputs,
            status,
            alarms,
            refusal: None,
        })
    }

    fn events(&mut self, _: &mut dyn FnMut(&Event)) -> Result<u32, PortError> {
        Ok(0)
    }
}

/// Machine A of the demonstration set with its glass discs.
pub fn plant() -> Plant {
    Plant::new(
        &demo::machine("machine-a"),
        &demo::batch("glass-discs"),
        &demo::recipe("glass-f800").consumables,
        &Deviations::NOMINAL,
        1,
    )
}

/// Fast true values of no load and no motion.
pub const STILL: FastTruth = FastTruth {
    load: 0.0,
    load_without_runout: 0.0,
    cap_pressure: 0.0,
    speeds: [0.0; DRIVES],
    torques: [0.0; DRIVES],
    first_contact: [0.0; 2],
    turned: true,
};

/// A controller's configuration, invented.
pub fn control() -> Control {
    Control {
        rated_load: 900.0,
        initial_load: 150.0,
        first_contact_limit: 300.0,
        band_newtons: 5.0,
        band_share: 0.02,
        filter: 15.0,
        ramp_max: 100.0,
        drive_ramp: 1.0,
        speed_tolerance: 0.1,
        estop_category: 1,
        stop_time: 15.0,
        dump_time: 1.5,
        hold_time: 300.0,
        settle_limit: 60.0,
        contact_tolerance: 1e-4,
        remote: false,
    }
}

/// A recipe of one step of 200 N, invented.
pub fn recipe() -> RecipeWire {
    let mut recipe = RecipeWire {
        schema: RECIPE_SCHEMA,
        name: heapless::String::new(),
        machine_id: 0,
        params_hash: 0,
        process: ProcessKind::LooseAbrasive,
        pieces: 3,
        contact_height: Micrometres::new(550.0),
        prestart: Ticks(20_000),
        prestart_flow: MillilitresPerMinute::new(300.0),
        rinse: Ticks::ZERO,
        size_lower: Micrometres::ZERO,
        flatness: None,
        steps: heapless::Vec::new(),
    };
    let step = StepWire {
        load: Newtons::new(200.0),
        load_limit: Newtons::new(260.0),
        ramp: NewtonsPerSecond::new(50.0),
        speeds: [Rpm::new(10.0); DRIVES],
        flow: MillilitresPerMinute::new(300.0),
        end: EndWire::Time(Ticks(60_000)),
        longest: Ticks(120_000),
    };
    assert!(recipe.steps.push(step).is_ok());
    recipe
}
