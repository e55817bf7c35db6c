//! A port that lies to the controller: the way to trip one interlock row at a moment of our choosing.

use firmware_core::events::Event;
use firmware_core::params::ParamsWire;
use firmware_core::process_image::Inputs;
use firmware_core::sequence::{Command, Request};
use std::sync::Arc;
use twinplate_sim::bench::{ControllerPort, InProcess, PortError, port::Answer};

/// What a lie may look at.
#[derive(Clone, Debug)]
pub struct Scene {
    /// Parameters of the machine.
    pub params: ParamsWire,
    /// The last honest inputs before the lie began.
    pub before: Inputs,
    /// Ticks since the lie began.
    pub since: u32,
    /// Load limit, taught height and tare that the lie aims at: step limit N, height µm, tare N.
    pub limit: f32,
    /// Height of the taught contact, µm.
    pub taught: f32,
}

/// Changes one tick's inputs.
pub type Lie = fn(&mut Inputs, &Scene);

/// A lie that is being told, with what it has taken along.
type Told = Arc<dyn Fn(&mut Inputs, &Scene) + Send + Sync>;

/// The controller in this process behind an honest wire, until told to lie.
#[derive(Clone)]
pub struct Tamper {
    inner: InProcess,
    lie: Option<Told>,
    scene: Scene,
    shown: Inputs,
}

impl Tamper {
    pub fn new(inner: InProcess, limit: f32, taught: f32) -> Self {
        let params = inner.controller().params().get().clone();
        Self {
            inner,
            lie: None,
            scene: Scene {
                params,
                before: Inputs::default(),
                since: 0,
                limit,
                taught,
            },
            shown: Inputs::default(),
        }
    }
    pub fn begin(&mut self, lie: impl Fn(&mut Inputs, &Scene) + Send + Sync + 'static) {
        self.lie = Some(Arc::new(lie));
        self.scene.since = 0;
    }
    /// What the controller was shown last, the lie worked in.
    pub const fn shown(&self) -> &Inputs {
        &self.shown
    }
    pub fn end(&mut self) {
        self.lie = None;
    }
}

impl ControllerPort for Tamper {
    fn exchange(
        &mut self,
        inputs: &Inputs,
        command: Option<Command>,
        request: Option<&Request>,
    ) -> Result<Answer<'_>, PortError> {
        let mut seen = *inputs;
        match &self.lie {
            Some(lie) => {
                lie(&mut seen, &self.scene);
                self.scene.since += 1;
            }
            None => self.scene.before = *inputs,
        }
        self.shown = seen;
        self.inner.exchange(&seen, command, request)
    }
    fn answer(&self) -> Option<Answer<'_>> {
        self.inner.answer()
    }
    fn events(&mut self, take: &mut dyn FnMut(&Event)) -> Result<u32, PortError> {
        self.inner.events(take)
    }
}
