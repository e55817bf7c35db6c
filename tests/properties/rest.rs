//! Rest and stops of a whole run: the rules of [`crate::stop_rules`], tick by tick on the bench.

use crate::stop_rules::{Given, Tick, judge};
use firmware_core::process_image::{DRIVES, Outputs};
use firmware_core::sequence::Request;
use firmware_core::status::Status;
use proptest::prelude::*;
use twinplate_sim::bench::{Action, Bench, ControllerPort, Recorder};

/// Follows a run tick by tick.
#[derive(Default)]
pub struct Follower {
    before: Option<(Status, Outputs)>,
    /// Drives that told of a fault after the tick before: what this tick was made with.
    faults: [bool; DRIVES],
    /// Ticks in which something had to be let go.
    looked: u32,
}

impl Follower {
    /// Looks at the tick that was just made.
    pub fn look<C: ControllerPort, R: Recorder>(
        &mut self,
        bench: &Bench<C, R>,
    ) -> Result<(), TestCaseError> {
        let view = bench.view().expect("ran");
        let s = *view.status;
        if let Some((was, outputs)) = &self.before {
            let mut given = Given::default();
            let entries = bench.journal().entries.iter().rev();
            for entry in entries.take_while(|entry| entry.tick == view.tick) {
                match &entry.action {
                    Action::Command(command) => given.command = Some(*command),
                    Action::Request(request) => given.raise |= **request == Request::Raise,
                    Action::Station(_)
                    | Action::Fault(_)
                    | Action::Clear(_)
                    | Action::PowerReturns => {}
                }
            }
            let tick = Tick {
                tick: view.tick,
                inputs: view.inputs,
                outputs: view.outputs,
                status: view.status,
                faults: self.faults,
            };
            if judge(was, outputs, &tick, given).map_err(TestCaseError::fail)? {
                self.looked += 1;
            }
        }
        self.before = Some((s, *view.outputs));
        self.faults = view.inputs.drives.map(|drive| drive.fault);
        Ok(())
    }

    /// Ticks in which something had to be let go.
    pub const fn looked(&self) -> u32 {
        self.looked
    }
}
