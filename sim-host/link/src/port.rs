//! The bench's controller with lines to it: what hosts say reaches it as on the machine, between its ticks and in them.

use crate::hub::Lines;
use firmware_core::controller::Controller;
use firmware_core::events::Event;
use firmware_core::link::session::Session;
use firmware_core::link::slots::Slots as _;
use firmware_core::params::CheckedParams;
use firmware_core::process_image::Inputs;
use firmware_core::sequence::{Command, Refusal, Request};
use firmware_core::store::{Progress, Shelf, Store, StoreError};
use firmware_core::units::Ticks;
use twinplate_sim::bench::{Answer, ControllerPort, InProcess, PortError};
use twinplate_sim::flash::Flash;

/// Session numbers that a line may use before the next line's begin.
const APART: u16 = 16;

/// One line.
#[derive(Clone, Debug)]
struct Line {
    id: u32,
    /// Number of its first session.
    first: u16,
    session: Session,
    heard: Vec<u8>,
    said: Vec<u8>,
}

/// The controller in this process, with lines. The bench's own commands and requests are the panel's.
#[derive(Debug)]
pub struct Linked {
    inner: InProcess,
    shelf: Shelf<Flash>,
    lines: Vec<Line>,
    opened: u16,
    silence: Ticks,
    refusal: Option<Refusal>,
}

impl Linked {
    /// Powers a controller up for the first time. A session ends after `silence` ticks without a request.
    #[must_use]
    pub fn new(params: CheckedParams, store: Store<Flash>, silence: Ticks) -> Self {
        Self {
            inner: InProcess::new(params),
            shelf: Shelf::on(store),
            lines: Vec::new(),
            opened: 0,
            silence,
            refusal: None,
        }
    }

    /// The controller, to look at.
    #[must_use]
    pub const fn controller(&self) -> &Controller {
        self.inner.controller()
    }

    /// How far its last cycle got.
    #[must_use]
    pub const fn progress(&self) -> Option<&Progress> {
        self.shelf.progress()
    }

    /// Its flash, if what is in it may have changed since this was asked last.
    pub fn changes(&mut self) -> Option<&Flash> {
        let changed = self.shelf.has_changed();
        changed.then(|| self.shelf.store().flash())
    }

    /// Notes in the store how far the cycle has got, where that is due.
    ///
    /// # Errors
    /// The flash failed, or is full.
    pub fn note(&mut self) -> Result<(), StoreError> {
        self.shelf.note(self.inner.controller().status())
    }

    /// Lets the lines speak before a tick.
    fn hear(&mut self) {
        let controller = self.inner.controller_mut();
        for line in &mut self.lines {
            let Line { session, said, .. } = line;
            let heard = std::mem::take(&mut line.heard);
            session.hear(
                &heard,
                controller,
                &mut self.shelf,
                &mut |frame: &[u8]| {
                    said.extend_from_slice(frame);
                },
            );
        }
    }
}

impl Lines for Linked {
    fn open(&mut self) -> Option<u32> {
        let first = self.opened.wrapping_mul(APART).wrapping_add(1);
        self.opened = self.opened.wrapping_add(1);
        let id = u32::from(self.opened);
        self.lines.push(Line {
            id,
            first,
            session: Session::new(self.inner.controller(), first, self.silence),
            heard: Vec::new(),
            said: Vec::new(),
        });
        Some(id)
    }

    fn bring(&mut self, line: u32, bytes: &[u8]) {
        if let Some(line) = self.lines.iter_mut().find(|l| l.id == line) {
            line.heard.extend_from_slice(bytes);
        }
    }

    fn take(&mut self, line: u32) -> Vec<u8> {
        let line = self.lines.iter_mut().find(|l| l.id == line);
        line.map(|line| std::mem::take(&mut line.said))
            .unwrap_or_default()
    }

    fn close(&mut self, line: u32) {
        if let Some(at) = self.lines.iter().position(|l| l.id == line) {
            let mut line = self.lines.swap_remove(at);
            line.session.lost(self.inner.controller_mut());
        }
    }
}

impl ControllerPort for Linked {
    fn exchange(
        &mut self,
        inputs: &Inputs,
        command: Option<Command>,
        request: Option<&Request>,
    ) -> Result<Answer<'_>, PortError> {
        self.hear();
        let controller = self.inner.controller_mut();
        self.refusal = request.and_then(|request| controller.request(request).err());
        if let (Some(Request::LoadRecipe(recipe)), None) = (request, self.refusal) {
            self.shelf.place().clone_from(recipe);
            self.shelf.loaded_otherwise();
        }
        // The panel comes first; a line's command waits for the next tick then.
        let command = command.or_else(|| {
            let mut lines = self.lines.iter_mut();
            lines.find_map(|line| line.session.command(controller))
        });
        let alive = self.lines.iter().any(|line| line.session.is_open());
        let inputs = Inputs {
            // Where no remote start is fitted there is no line to it.
            link_alive: inputs.link_alive && alive,
            ..*inputs
        };
        self.inner.exchange(&inputs, command, None)?;
        let controller = self.inner.controller_mut();
        for line in &mut self.lines {
            let Line { session, said, .. } = line;
            session.ticked(controller, &mut |frame: &[u8]| {
                said.extend_from_slice(frame)
            });
        }
        // By name: a port that is lent answers too, and would borrow too short.
        Self::answer(self).ok_or_else(|| PortError::Lost {
            at: "this process".into(),
        })
    }

    fn answer(&self) -> Option<Answer<'_>> {
        let answer = self.inner.answer()?;
        Some(Answer {
            refusal: self.refusal,
            ..answer
        })
    }

    fn events(&mut self, take: &mut dyn FnMut(&Event)) -> Result<u32, PortError> {
        self.inner.events(take)
    }

    fn power_returns(&mut self) -> Result<(), PortError> {
        self.inner.power_returns()?;
        // Its side of every session is gone too: hosts are told by the first thing that they ask.
        let controller = self.inner.controller();
        for line in &mut self.lines {
            line.session = Session::new(controller, line.first, self.silence);
        }
        Ok(())
    }
}
