//! Where the controllers of the stations run: in this process, or wherever whoever starts the server makes them.

use firmware_core::events::Event;
use firmware_core::process_image::Inputs;
use firmware_core::sequence::{Command, Request};
use std::sync::Arc;
use twinplate_sim::bench::{Answer, ControllerPort, InProcess, Job, PortError};
use twinplate_train::exercise::Exercise;

/// A controller at the end of a line.
pub type Elsewhere = Box<dyn ControllerPort + Send>;

/// Makes a controller for an exercise, just powered up with its parameters, its recipes in the store; or says why there is none. It may
/// take its time.
pub type Maker = Arc<dyn Fn(&Exercise) -> Result<Elsewhere, String> + Send + Sync>;

/// The controller of a station.
pub enum Controller {
    /// In this process.
    Here(Box<InProcess>),
    /// Anywhere else. There is one: nobody goes back in time.
    There(Elsewhere),
}

impl Controller {
    /// In this process, just powered up for a job.
    #[must_use]
    pub fn here(job: &Job) -> Self {
        Self::Here(Box::new(InProcess::new(job.params.clone())))
    }

    fn port(&self) -> &(dyn ControllerPort + Send) {
        match self {
            Self::Here(port) => port.as_ref(),
            Self::There(port) => port.as_ref(),
        }
    }

    fn port_mut(&mut self) -> &mut (dyn ControllerPort + Send) {
        match self {
            Self::Here(port) => port.as_mut(),
            Self::There(port) => port.as_mut(),
        }
    }
}

impl ControllerPort for Controller {
    fn exchange(
        &mut self,
        inputs: &Inputs,
        command: Option<Command>,
        request: Option<&Request>,
    ) -> Result<Answer<'_>, PortError> {
        self.port_mut().exchange(inputs, command, request)
    }

    fn answer(&self) -> Option<Answer<'_>> {
        self.port().answer()
    }

    fn events(&mut self, take: &mut dyn FnMut(&Event)) -> Result<u32, PortError> {
        self.port_mut().events(take)
    }

    fn power_returns(&mut self) -> Result<(), PortError> {
        self.port_mut().power_returns()
    }

    fn fork(&mut self) -> Result<Option<Self>, PortError> {
        match self {
            Self::Here(port) => Ok(port.fork()?.map(|port| Self::Here(Box::new(port)))),
            Self::There(_) => Ok(None),
        }
    }
}
