//! The recipe as it travels and is stored: SI-compatible fixed units, fixed size, not yet believed.

use crate::plate_form::FormControl;
use crate::process_image::DRIVES;
use crate::units::{Micrometres, MillilitresPerMinute, Newtons, NewtonsPerSecond, Rpm, Ticks};
use crate::words::words;
use heapless::{String, Vec};
use serde::{Deserialize, Serialize};

/// Version of this layout. 2: flatness control.
pub const RECIPE_SCHEMA: u16 = 2;

/// Most steps in a recipe.
pub const MAX_STEPS: usize = 16;

/// Kind of process; it decides nothing in the controller but is shown and recorded.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[repr(u8)]
pub enum ProcessKind {
    /// Loose abrasive in a vehicle.
    #[default]
    LooseAbrasive = 0,
    /// Diamond suspension.
    Diamond = 1,
    /// Polishing on pads.
    PadPolishing = 2,
    /// Fine grinding on fixed-abrasive plates.
    FixedAbrasive = 3,
}

words!(ProcessKind, ALL_PROCESS_KINDS {
    LooseAbrasive => "loose-abrasive", "loose abrasive";
    Diamond => "diamond", "diamond suspension";
    PadPolishing => "pad-polishing", "polishing on pads";
    FixedAbrasive => "fixed-abrasive", "fine grinding";
});

/// What ends a step. A longest time ends it always.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub enum EndWire {
    /// In-band time.
    Time(Ticks),
    /// Stock removed since the dwell began, by gauge, both faces together.
    Stock(Micrometres),
    /// Mean thickness by gauge at or below this.
    Size(Micrometres),
}

/// One step.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct StepWire {
    /// Total load on the parts.
    pub load: Newtons,
    /// Load that is never exceeded in this step.
    pub load_limit: Newtons,
    /// Load ramp towards `load`.
    pub ramp: NewtonsPerSecond,
    /// Drive speeds in [`crate::process_image::Drive`] order.
    pub speeds: [Rpm; DRIVES],
    /// Slurry flow.
    pub flow: MillilitresPerMinute,
    /// What ends the step.
    pub end: EndWire,
    /// Longest time of the step from entering its load ramp; ends it with an alarm.
    pub longest: Ticks,
}

/// A compiled recipe.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct RecipeWire {
    /// [`RECIPE_SCHEMA`].
    pub schema: u16,
    /// Name for the operator.
    pub name: String<24>,
    /// Machine it was compiled for.
    pub machine_id: u32,
    /// Hash of the parameters it was compiled against.
    pub params_hash: u32,
    /// Kind of process.
    pub process: ProcessKind,
    /// Pieces (parts and dummies) that must be confirmed before start.
    pub pieces: u16,
    /// Expected plate height at contact (the taught stack height).
    pub contact_height: Micrometres,
    /// Pump time before rotation.
    pub prestart: Ticks,
    /// Flow during the pre-start.
    pub prestart_flow: MillilitresPerMinute,
    /// Rinse time; zero for none.
    pub rinse: Ticks,
    /// Smallest allowed mean thickness by gauge; zero when the gauge is not used.
    pub size_lower: Micrometres,
    /// Flatness control; none: the rings always turn as programmed.
    pub flatness: Option<FormControl>,
    /// Steps, 1 to 16.
    pub steps: Vec<StepWire, MAX_STEPS>,
}

/// What a recipe begins with, as it travels: everything before the flatness control.
type Head = (
    u16,
    String<24>,
    u32,
    u32,
    ProcessKind,
    u16,
    Micrometres,
    Ticks,
    MillilitresPerMinute,
    Ticks,
    Micrometres,
);

impl RecipeWire {
    /// No recipe: a place to read one into.
    pub const EMPTY: Self = Self {
        schema: 0,
        name: String::new(),
        machine_id: 0,
        params_hash: 0,
        process: ProcessKind::LooseAbrasive,
        pieces: 0,
        contact_height: Micrometres::ZERO,
        prestart: Ticks::ZERO,
        prestart_flow: MillilitresPerMinute::ZERO,
        rinse: Ticks::ZERO,
        size_lower: Micrometres::ZERO,
        flatness: None,
        steps: Vec::new(),
    };

    /// Reads a recipe from the front of its postcard bytes into this place, and gives what is left of them. It takes what deserialising
    /// takes; but a recipe that is handed from call to call lies on the stack several times, and a controller has no kilobytes to spare.
    ///
    /// # Errors
    /// No recipe; the place then holds none that passes a check.
    pub fn read<'a>(&mut self, bytes: &'a [u8]) -> postcard::Result<&'a [u8]> {
        self.steps.clear();
        let (head, bytes) = postcard::take_from_bytes::<Head>(bytes)?;
        (
            self.schema,
            self.name,
            self.machine_id,
            self.params_hash,
            self.process,
            self.pieces,
            self.contact_height,
            self.prestart,
            self.prestart_flow,
            self.rinse,
            self.size_lower,
        ) = head;
        let (flatness, bytes) = postcard::take_from_bytes(bytes)?;
        self.flatness = flatness;
        let (steps, mut bytes) = postcard::take_from_bytes::<u32>(bytes)?;
        for _ in 0..steps {
            let (step, left) = postcard::take_from_bytes(bytes)?;
            bytes = left;
            if self.steps.push(step).is_err() {
                self.steps.clear();
                return Err(postcard::Error::SerdeDeCustom);
            }
        }
        Ok(bytes)
    }

    /// Takes another recipe's values, in place.
    pub(super) fn copy(&mut self, from: &Self) {
        self.steps.clear();
        for step in &from.steps {
            // As many fit here as there.
            let _ = self.steps.push(*step);
        }
        self.flatness.clone_from(&from.flatness);
        self.name.clone_from(&from.name);
        (self.schema, self.machine_id) = (from.schema, from.machine_id);
        (self.params_hash, self.process) = (from.params_hash, from.process);
        (self.pieces, self.contact_height) = (from.pieces, from.contact_height);
        (self.prestart, self.prestart_flow) = (from.prestart, from.prestart_flow);
        (self.rinse, self.size_lower) = (from.rinse, from.size_lower);
    }
}
