//! What the panel shows, as it goes to the pages.

use super::Pace;
use firmware_core::process_image::{DRIVES, FACES};
use serde::{Deserialize, Serialize};

/// The machine as the panel shows it. Measured values, never true ones.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Frame {
    /// Tick of the session.
    pub tick: u32,
    /// Simulated time, s.
    pub time_s: f64,
    /// Pace that is asked for.
    pub pace: Pace,
    /// Pace that is kept, as a multiple of the clock, over the last second.
    pub kept: f64,
    /// Name of the procedural state. Names are the core's, here and below; the vocabulary has the words.
    pub state: String,
    /// Name of the phase.
    pub phase: String,
    /// Step, from 0.
    pub step: u8,
    /// Name of the mode.
    pub mode: String,
    /// Name of where the plate is.
    pub plate: String,
    /// Name of how the load is held.
    pub load_mode: String,
    /// What comes next, for people: what the phase waits for, or what is to be done.
    pub waits: String,
    /// The act that is to be done, by its word, where the panel can know that it is right; empty where it cannot.
    pub advised: String,
    /// Time the present phase has lasted, s.
    pub phase_s: f64,
    /// In-band time of the step that is spent, and that is asked for (0 where the step does not end by time), s.
    pub step_s: [f64; 2],
    /// Measured load, N.
    pub load_n: f64,
    /// Reference of the loop, N.
    pub reference_n: f64,
    /// Load limit in force, N; 0 for none.
    pub limit_n: f64,
    /// Least and most measured load since the frame before, N.
    pub load_range_n: [f64; 2],
    /// Height of the upper plate over the lower, m.
    pub height_m: f64,
    /// Measured speeds, rpm.
    pub speeds_rpm: [f64; DRIVES],
    /// What follows from them for the carriers, rpm: how fast they go round the machine, and how fast they turn.
    pub carriers_rpm: [f64; 2],
    /// Speeds that the step asks for, rpm; 0 when nothing turns.
    pub speeds_asked_rpm: [f64; DRIVES],
    /// Motor torques, share of the largest.
    pub torques: [f64; DRIVES],
    /// Slurry and rinse flow, L/min.
    pub flow_l_min: [f64; 2],
    /// Tank level, 0..1.
    pub tank: f64,
    /// Plate temperatures, lower and upper, °C.
    pub plates_c: [f64; FACES],
    /// Size by gauge, m; 0 when unknown.
    pub size_m: f64,
    /// Air supply, Pa.
    pub supply_pa: f64,
    /// Name of the response in force.
    pub response: String,
    /// Category of the stop in force (IEC 60204-1): 0, 1 or 2; `None` when there is none.
    pub stop_category: Option<u8>,
    /// Row of the first-out cause; 0 for none.
    pub cause: u16,
    /// Alarms that are not normal (ANSI/ISA-18.2).
    pub alarms: Vec<Alarm>,
    /// What Precheck still misses, for people.
    pub missing: Vec<String>,
    /// Lamps and switches.
    pub switches: Switches,
    /// Recalled recipe's slot; 0 for none.
    pub recipe: u8,
    /// Pieces confirmed.
    pub confirmed: u16,
    /// Time until what is being put right is done, s; `None` where nothing is.
    pub at_work_s: Option<f64>,
    /// What the controller makes of the plates' form; `None` where the recalled recipe does not keep them flat.
    pub form: Option<Form>,
    /// The step of a guided exercise; `None` when there is none.
    pub guide: Option<Guide>,
    /// The attempt can be finished: the machine is at rest.
    pub can_finish: bool,
}

/// The plates' form as the controller reckons it, and what follows from it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Form {
    /// What it is reported by: `straightedge` or `bands`.
    pub by: String,
    /// Lower and upper plate, m, + convex: reported, and reckoned on.
    pub plates_m: [f64; FACES],
    /// Batches since the report; `None` where there is none to reckon from.
    pub age: Option<u16>,
    /// Batches after which it is too old.
    pub longest: u32,
    /// Ring setting in force, 0 as programmed.
    pub setting: u8,
    /// How the rings turn with it, for people.
    pub rings: String,
}

/// Lamps and switches of the station, as the operator sees them.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[allow(clippy::struct_excessive_bools)] // they are lamps
pub struct Switches {
    /// Emergency stop pressed.
    pub estop: bool,
    /// Guard open.
    pub guard_open: bool,
    /// Guard proven locked.
    pub guard_locked: bool,
    /// Setup key turned.
    pub setup_key: bool,
    /// Hold-to-run control held.
    pub hold_to_run: bool,
    /// Carriers with parts lie in the machine.
    pub loaded: bool,
    /// Agitator proven turning.
    pub agitator: bool,
    /// Parking pin proven in.
    pub pin: bool,
    /// Slurry pump runs.
    pub pump: bool,
    /// Rinse valve open.
    pub rinse: bool,
    /// Drives powered.
    pub drives: bool,
    /// Standstill proven.
    pub standstill: bool,
    /// The trainee's own lock hangs on the isolated power and air: no lamp of the machine's, but to be seen.
    pub own_lock: bool,
}

/// One alarm in one of the states of ANSI/ISA-18.2 that are not normal.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Alarm {
    /// Row.
    pub row: u16,
    /// Name of the alarm's state, or `latched`: returned and acknowledged, waits for a reset.
    pub state: String,
    /// Simulated time at which it came, s.
    pub since_s: f64,
    /// It was the first-out cause.
    pub first_out: bool,
}

/// The step of a guided exercise that is waited for.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Guide {
    /// Number from 1.
    pub number: u32,
    /// Of how many.
    pub of: u32,
    /// What to do, and why.
    pub text: String,
    /// Control that is meant: the word of an act (`start`, `count-parts`, …); empty where one only waits.
    pub control: String,
}
