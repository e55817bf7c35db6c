//! The controller as the bench sees it, wherever it runs: in process, at the end of a link, on an emulated board.

use firmware_core::controller::Controller;
use firmware_core::events::Event;
use firmware_core::interlock::Alarms;
use firmware_core::params::CheckedParams;
use firmware_core::process_image::{Inputs, Outputs};
use firmware_core::sequence::{Command, Refusal, Request};
use firmware_core::status::Status;
use std::fmt;

/// What a controller answers to one tick. Borrowed from the port: copying two hundred bytes that were written a moment ago costs
/// more than reading them.
#[derive(Clone, Copy, Debug)]
pub struct Answer<'a> {
    /// Outputs for the machine.
    pub outputs: &'a Outputs,
    /// Status after the tick.
    pub status: &'a Status,
    /// Alarms after the tick.
    pub alarms: &'a Alarms,
    /// Why the request was refused; `None` if it was accepted or there was none.
    pub refusal: Option<Refusal>,
}

/// One controller, one tick at a time.
///
/// An exchange is one tick: the request, if any, acts before the tick, the command in it. Whoever implements this does not judge,
/// delay or repeat what it carries.
pub trait ControllerPort {
    /// Gives the controller one tick's inputs and takes its outputs and status.
    ///
    /// # Errors
    /// Only when the controller could not be reached or did not answer in its own format. What the controller refuses is not an
    /// error of the port: see [`Answer::refusal`].
    fn exchange(
        &mut self,
        inputs: &Inputs,
        command: Option<Command>,
        request: Option<&Request>,
    ) -> Result<Answer<'_>, PortError>;

    /// The last answer again; `None` before the first. A failed exchange changes nothing of it.
    fn answer(&self) -> Option<Answer<'_>>;

    /// Gives the controller's events since the last call, oldest first, and says how many were lost in between.
    ///
    /// A training session asks after every tick: a link does well to carry the events with the answer.
    ///
    /// # Errors
    /// As [`ControllerPort::exchange`].
    fn events(&mut self, take: &mut dyn FnMut(&Event)) -> Result<u32, PortError>;

    /// Switches the controller's power off and on: it boots anew, knowing only its parameters.
    ///
    /// # Errors
    /// Where the controller's power is not in this port's hands.
    fn power_returns(&mut self) -> Result<(), PortError> {
        Err(PortError::Protocol {
            at: "the other end of this port".into(),
            what: "no way to switch its power".into(),
        })
    }

    /// A second controller in the state of this one, behind a port of its own: a moment to go back to. `None` where there can be no
    /// second one, as of a board.
    ///
    /// # Errors
    /// As [`ControllerPort::exchange`].
    fn fork(&mut self) -> Result<Option<Self>, PortError>
    where
        Self: Sized,
    {
        Ok(None)
    }
}

/// A port that is lent: whoever lends it looks at it after the run.
impl<C: ControllerPort> ControllerPort for &mut C {
    fn exchange(
        &mut self,
        inputs: &Inputs,
        command: Option<Command>,
        request: Option<&Request>,
    ) -> Result<Answer<'_>, PortError> {
        (**self).exchange(inputs, command, request)
    }

    fn answer(&self) -> Option<Answer<'_>> {
        (**self).answer()
    }

    fn events(&mut self, take: &mut dyn FnMut(&Event)) -> Result<u32, PortError> {
        (**self).events(take)
    }

    fn power_returns(&mut self) -> Result<(), PortError> {
        (**self).power_returns()
    }
}

/// The controller in this process.
#[derive(Clone, Debug, PartialEq)]
pub struct InProcess {
    controller: Controller,
    answered: bool,
    refusal: Option<Refusal>,
    /// Running number of the next event to give.
    read: u32,
}

impl InProcess {
    /// Powers a controller up for the first time.
    #[must_use]
    pub fn new(params: CheckedParams) -> Self {
        Self::with(Controller::new(params, 1))
    }

    /// Takes a controller as it stands.
    #[must_use]
    pub fn with(controller: Controller) -> Self {
        Self {
            read: controller.events().written(),
            controller,
            answered: false,
            refusal: None,
        }
    }

    /// The controller, to look at.
    #[must_use]
    pub const fn controller(&self) -> &Controller {
        &self.controller
    }

    /// The controller, for whoever speaks with it between ticks over a line of its own.
    pub const fn controller_mut(&mut self) -> &mut Controller {
        &mut self.controller
    }

    const fn last(&self) -> Answer<'_> {
        Answer {
            outputs: self.controller.outputs(),
            status: self.controller.status(),
            alarms: self.controller.alarms(),
            refusal: self.refusal,
        }
    }
}

impl ControllerPort for InProcess {
    #[inline]
    fn exchange(
        &mut self,
        inputs: &Inputs,
        command: Option<Command>,
        request: Option<&Request>,
    ) -> Result<Answer<'_>, PortError> {
        self.refusal = request.and_then(|request| self.controller.request(request).err());
        self.controller.tick(inputs, command);
        self.answered = true;
        Ok(self.last())
    }

    fn answer(&self) -> Option<Answer<'_>> {
        self.answered.then(|| self.last())
    }

    fn events(&mut self, take: &mut dyn FnMut(&Event)) -> Result<u32, PortError> {
        let log = self.controller.events();
        let wanted = log.written().wrapping_sub(self.read);
        if wanted == 0 {
            return Ok(0);
        }
        let mut given = 0;
        for event in log.since(self.read) {
            take(event);
            given += 1;
        }
        self.read = log.written();
        Ok(wanted.saturating_sub(given))
    }

    fn power_returns(&mut self) -> Result<(), PortError> {
        let boots = self.controller.status().boots.wrapping_add(1);
        *self = Self::with(Controller::new(self.controller.params().clone(), boots));
        Ok(())
    }

    fn fork(&mut self) -> Result<Option<Self>, PortError> {
        Ok(Some(self.clone()))
    }
}

/// Why an exchange did not happen. The run cannot go on: the machine keeps its de-energised outputs.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum PortError {
    /// The connection is gone.
    Lost {
        /// Where the controller was expected, in the words of whoever opened the port.
        at: String,
    },
    /// No answer in time.
    Timeout {
        /// Where the controller was expected.
        at: String,
        /// How long was waited, ms.
        waited_ms: u32,
    },
    /// An answer that is not of this protocol or version.
    Protocol {
        /// Where the controller was expected.
        at: String,
        /// What was wrong with it.
        what: String,
    },
}

impl fmt::Display for PortError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Lost { at } => write!(
                out,
                "the connection to the controller at {at} was lost; check that it is running and start the run again"
            ),
            Self::Timeout { at, waited_ms } => write!(
                out,
                "the controller at {at} did not answer a tick within {waited_ms} ms; check that it is not stopped in a debugger \
                 and that nothing else holds the line"
            ),
            Self::Protocol { at, what } => write!(
                out,
                "the controller at {at} answered with {what}; check that both sides were built from the same version"
            ),
        }
    }
}

impl std::error::Error for PortError {}
