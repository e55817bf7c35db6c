//! The plain data every part of the host shares, all in SI units (`f64`). `files` fills these from TOML and alone checks them. Speeds are
//! rad/s, counter-clockwise positive seen from above; pressures are gauge; four-element arrays are in
//! [`firmware_core::process_image::Drive`] order (inner ring, outer ring, lower, upper).

mod carrier;
mod deviations;
mod polygon;
mod recipe;
mod scenario;
mod shape;
mod shelf;
mod shown;

pub use crate::fault_words::{Component, FaultMode};
pub use carrier::{CarrierMaterial, LoadingOrder};
pub use deviations::{Deviations, Envelope, Varied};
use firmware_core::process_image::DRIVES;
/// Kind of process: the controller's own.
pub use firmware_core::recipe::ProcessKind as Process;
pub(crate) use polygon::MAX_CORNERS;
pub use polygon::{NoPolygon, Polygon};
pub use recipe::{Consumables, End, MeasuredAt, Recipe, RemovalRate, Sliding, Step};
pub use scenario::{Fault, Scenario, ScenarioEvent, StationAct, What, When};
pub use shape::{Conditioning, FlatnessControl, Measured, Outline, Plates, Rings};
pub use shelf::{Shelf, Shelved};
pub(crate) use shown::{AnswerUnit, BANDS, HOUSE};
pub use shown::{Of, Shown, significant};
use std::f64::consts::PI;

/// Standard gravity, m/s² (ISO 80000-3, exact by definition).
pub const G: f64 = 9.806_65;

/// m to µm, for reports.
#[must_use]
pub fn micrometres(length: f64) -> f64 {
    length * 1e6
}

/// A size, m to µm, no finer than a size gauge sees: to 0.01 µm, a third of its noise.
#[must_use]
pub fn gauged_micrometres(length: f64) -> f64 {
    // The zero takes the sign from a negative zero.
    crate::math::round(length * 1e8) / 100.0 + 0.0
}

/// A two-sided planetary lapping machine as its file declares it. [`Envelope`] says how wrong these numbers may be.
#[derive(Clone, Debug, PartialEq)]
pub struct Machine {
    /// Identifier that recipes name, `[a-z0-9-]{1,24}`.
    pub id: String,
    /// One line for people.
    pub title: String,
    /// Plates, rings and carriers.
    pub geometry: Geometry,
    /// The air cylinder over the upper plate and its valves.
    pub actuator: Actuator,
    /// Load cell in the rod and its amplifier.
    pub cell: Cell,
    /// Four drives in `Drive` order.
    pub drives: [DriveSpec; DRIVES],
    /// Slurry system.
    pub slurry: SlurrySystem,
    /// Lumped thermal model of the plates.
    pub thermal: Thermal,
    /// What the plates are made of and how flat they are.
    pub plates: Plates,
    /// How the plates are conditioned between batches, where they are.
    pub conditioning: Option<Conditioning>,
    /// What the controller is configured with, gains apart.
    pub control: Control,
    /// Load-loop gains; `None` means the default rule (SIMC on the declared line).
    pub gains: Option<Gains>,
    /// How wrong the numbers above may be.
    pub envelope: Envelope,
    /// Keys that the file leaves out and that are [assumed](crate::assumed), by their paths in the file.
    pub assumed: Vec<&'static str>,
}

/// Plates, pin rings and carriers.
#[derive(Clone, Debug, PartialEq)]
pub struct Geometry {
    /// Outer diameter of both plates, m.
    pub plate_outer: f64,
    /// Inner diameter of both plates, m.
    pub plate_inner: f64,
    /// Thickness of one plate, m.
    pub plate_thickness: f64,
    /// Module of the pin and carrier teeth, m.
    pub module: f64,
    /// Teeth (pins) of the inner ring.
    pub teeth_inner: u32,
    /// Teeth (pins) of the outer ring.
    pub teeth_outer: u32,
    /// Teeth of a carrier.
    pub teeth_carrier: u32,
    /// Carriers in the machine.
    pub carriers: u32,
    /// Runout of the plates as a ripple on the contact load at the relative turning rate: amplitude as a share of the load.
    pub runout_ripple: f64,
}

impl Geometry {
    /// Inner ring pitch radius `R_s`, m.
    #[must_use]
    pub(crate) fn radius_inner(&self) -> f64 {
        self.module * f64::from(self.teeth_inner) / 2.0
    }
    /// Outer ring pitch radius `R_r`, m.
    #[must_use]
    pub(crate) fn radius_outer(&self) -> f64 {
        self.module * f64::from(self.teeth_outer) / 2.0
    }
    /// Carrier pitch radius `r_c`, m, from the rings.
    #[must_use]
    pub fn radius_carrier(&self) -> f64 {
        (self.radius_outer() - self.radius_inner()) / 2.0
    }
    /// Radius `e` on which carrier centres travel, m.
    #[must_use]
    pub fn radius_orbit(&self) -> f64 {
        (self.radius_outer() + self.radius_inner()) / 2.0
    }
}

/// The double-acting air cylinder over the upper plate, its regulators and valves.
#[derive(Clone, Debug, PartialEq)]
pub struct Actuator {
    /// Mass of upper plate and everything that hangs on the rod, kg.
    pub mass: f64,
    /// Cylinder bore, m.
    pub bore: f64,
    /// Rod diameter, m.
    pub rod: f64,
    /// Cap-side relief pressure, Pa: pressure at full command, and the mechanical relief.
    pub relief_pressure: f64,
    /// Rod-side pressure while lifting, Pa.
    pub lift_pressure: f64,
    /// Air supply pressure, Pa.
    pub supply_pressure: f64,
    /// Supply pressure below which the machine stops, Pa.
    pub supply_minimum: f64,
    /// Counterbalance regulator pressure, Pa.
    pub counterbalance: f64,
    /// Seal friction while sliding slowly (Coulomb level), N.
    pub seal_friction: f64,
    /// Seal breakaway (static level), N, at least `seal_friction`.
    pub seal_breakaway: f64,
    /// Stribeck speed of the seals, m/s.
    pub stribeck_speed: f64,
    /// Presliding distance of the seals, m.
    pub presliding: f64,
    /// Dead time of the cap-side regulator, s.
    pub dead_time: f64,
    /// First-order lag of the cap-side regulator, s.
    pub lag: f64,
    /// Fastest change of the regulator's pressure, full scales per second.
    pub slew: f64,
    /// Play of the regulator, share of full scale.
    pub play: f64,
    /// Resolution (stick-jump) of the regulator, share of full scale.
    pub resolution: f64,
    /// Time constant of venting through the dump valve, s.
    pub dump_lag: f64,
    /// Fast descent, m/s.
    pub speed_fast: f64,
    /// Creep descent and creep lift, m/s.
    pub speed_creep: f64,
    /// Lift, m/s.
    pub speed_lift: f64,
    /// Height of the raised, parked plate over the lower plate, m.
    pub height_raised: f64,
    /// Height above the expected contact at which descent changes to creep, m.
    pub approach: f64,
    /// Guide drag, N·s/m.
    pub guide_drag: f64,
    /// Coefficient of friction of the drive dog on the upper plate; its vertical friction is unseen by the cell.
    pub dog_friction: f64,
    /// Radius at which the drive dog acts, m.
    pub dog_radius: f64,
}

impl Actuator {
    /// Cap-side area, m².
    #[must_use]
    pub fn area_cap(&self) -> f64 {
        PI / 4.0 * self.bore * self.bore
    }
    /// Rod-side (annulus) area, m².
    #[must_use]
    pub fn area_rod(&self) -> f64 {
        PI / 4.0 * (self.bore * self.bore - self.rod * self.rod)
    }
    /// Weight of the upper plate, N.
    #[must_use]
    pub fn weight(&self) -> f64 {
        self.mass * G
    }
    /// Resting load `W - A_rod p_cb`, N.
    #[must_use]
    pub fn resting_load(&self) -> f64 {
        self.weight() - self.area_rod() * self.counterbalance
    }
    /// Static gain of the actuator line: newtons for a full command, `A_cap p_relief`.
    #[must_use]
    pub fn line_gain(&self) -> f64 {
        self.area_cap() * self.relief_pressure
    }
}

/// Load cell in the rod and its amplifier.
#[derive(Clone, Debug, PartialEq)]
pub struct Cell {
    /// Rated range, N, both signs.
    pub range: f64,
    /// Counts at `range`; the converter saturates at ±(2^23 - 1).
    pub counts_at_range: f64,
    /// Second-order analogue bandwidth, Hz (damping ratio 0.7).
    pub bandwidth: f64,
    /// Gaussian noise after the amplifier, N standard deviation.
    pub noise: f64,
    /// Creep as a share of a lasting load: fast and slow part.
    pub creep: [f64; 2],
    /// Time constants of the two creep parts, s.
    pub creep_time: [f64; 2],
    /// Zero drift, N/K.
    pub zero_drift: f64,
    /// Nonlinearity at full range, share of range (parabolic).
    pub nonlinearity: f64,
    /// Lash where the rod force changes sign, N.
    pub lash: f64,
}

/// One drive and what it turns.
#[derive(Clone, Debug, PartialEq)]
pub struct DriveSpec {
    /// Largest torque, N·m.
    pub torque: f64,
    /// Largest speed, rad/s.
    pub speed: f64,
    /// Inertia at the driven part, kg·m².
    pub inertia: f64,
    /// Bearing and gear drag while turning, N·m.
    pub drag: f64,
    /// The ring is mechanically fixed and has no drive: its speed is always zero.
    pub fixed: bool,
}

/// Slurry system.
#[derive(Clone, Debug, PartialEq)]
pub struct SlurrySystem {
    /// Largest pump flow, m³/s.
    pub flow_max: f64,
    /// Smallest flow that counts as flow, m³/s.
    pub flow_min: f64,
    /// Volume of the line between pump and plate, m³.
    pub line_volume: f64,
    /// First-order lag of the flow after the line is full, s.
    pub line_lag: f64,
    /// Time for which a wetted gap stays lubricated without flow at resting load and full speed, s.
    pub film_life: f64,
    /// Time in which a flow of `flow_max` wets a dry gap (first-order constant), s.
    pub wet_time: f64,
    /// Settling time constant of the suspended fraction with the agitator off, s.
    pub settle_time: f64,
    /// Stirring-up time constant with the agitator on, s.
    pub stir_time: f64,
    /// Tank volume, m³.
    pub tank: f64,
    /// Share of the pumped slurry that runs back into the tank, 0..=1.
    pub returned: f64,
    /// Rinse water flow, m³/s.
    pub rinse_flow: f64,
}

/// Lumped thermal model: two plates, each with one capacity and cooling to the room and to the slurry.
#[derive(Clone, Debug, PartialEq)]
pub struct Thermal {
    /// Room and starting temperature, °C.
    pub ambient: f64,
    /// Heat capacity of one plate, J/K.
    pub capacity: f64,
    /// Cooling of one plate to its water-cooled base and the room, W/K.
    pub cooling: f64,
    /// Share of the friction power that the slurry carries away, 0..1.
    pub slurry_share: f64,
    /// Alarm temperature, °C.
    pub high: f64,
    /// Hold temperature, °C.
    pub very_high: f64,
}

/// Controller configuration other than gains.
#[derive(Clone, Debug, PartialEq)]
pub struct Control {
    /// Rated load of the machine, N.
    pub rated_load: f64,
    /// Initial load taken at touch-down, N.
    pub initial_load: f64,
    /// First-contact limit on the total load, N.
    pub first_contact_limit: f64,
    /// Load band: the larger of this, N …
    pub band_newtons: f64,
    /// … and this share of the setpoint.
    pub band_share: f64,
    /// Load filter, second-order low-pass, Hz.
    pub filter: f64,
    /// Fastest load ramp a recipe may ask for, N/s.
    pub ramp_max: f64,
    /// Acceleration of the fastest drive at run-up and run-down, rad/s².
    pub drive_ramp: f64,
    /// Speed tolerance, rad/s, against the fastest drive's scale.
    pub speed_tolerance: f64,
    /// Category of the emergency stop: 0 or 1.
    pub estop_category: u8,
    /// Monitored stop time of a category 1 stop, s.
    pub stop_time: f64,
    /// Declared time in which a dump brings the highest load to resting load ± seal breakaway, s.
    pub dump_time: f64,
    /// Longest hold before a hold becomes a stop, s.
    pub hold_time: f64,
    /// Longest time with the agitator stopped before a hold, s.
    pub settle_limit: f64,
    /// Tolerance of the contact height against the taught height, m.
    pub contact_tolerance: f64,
    /// Remote start fitted.
    pub remote: bool,
}

/// Load-loop gains.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gains {
    /// Proportional gain, command share per newton.
    pub kc: f64,
    /// Integral time, s.
    pub ti: f64,
    /// Setpoint weight, 0..=1.
    pub weight: f64,
}

/// Most circles of pockets that a carrier can have.
pub const CIRCLES: usize = 8;

/// A circle of pockets in a carrier, spread evenly.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Circle {
    /// Pockets on it.
    pub pockets: u32,
    /// Radius of the pocket centres, m; zero for a pocket in the middle.
    pub radius: f64,
    /// Angle to its first pocket from the line outwards through the carrier's centre, as the carrier is laid in, rad,
    /// counter-clockwise.
    pub phase: f64,
}

/// A batch of parts.
#[derive(Clone, Debug, PartialEq)]
pub struct Batch {
    /// Identifier that recipes name.
    pub id: String,
    /// One line for people.
    pub title: String,
    /// Material name, free text.
    pub material: String,
    /// Density, kg/m³.
    pub density: f64,
    /// Outline of a part.
    pub outline: Outline,
    /// Incoming mean thickness, m.
    pub thickness: f64,
    /// Incoming thickness spread, m, one standard deviation.
    pub spread: f64,
    /// Incoming damage depth per face, m.
    pub damage: f64,
    /// Incoming roughness Ra, m.
    pub roughness: f64,
    /// Load on one part at which it may crack, N.
    pub strength: f64,
    /// Contact stiffness per area of the column film–grains–part, N/m³.
    pub stiffness_per_area: f64,
    /// Elastic modulus of the part, Pa: how much a part springs back.
    pub elastic_modulus: f64,
    /// Largest incoming bow, edge over middle of both faces alike, ±m.
    pub bow: f64,
    /// Largest incoming thickness difference across a part, m.
    pub taper: f64,
    /// Target mean thickness, m.
    pub target: f64,
    /// Size tolerance, ±m, on every part.
    pub tolerance: f64,
    /// Parallelism target, m (0 < value).
    pub parallelism: f64,
    /// Flatness target, m.
    pub flatness: f64,
    /// Finish target Ra, m.
    pub finish: f64,
    /// Damage depth that may be left in a face, m; where nothing is said, no more than the process's own.
    pub damage_left: Option<f64>,
    /// Wavelength of the lamp under which light bands are read, m.
    pub wavelength: f64,
    /// Carrier thickness, m.
    pub carrier_thickness: f64,
    /// Circles of pockets in each carrier, 1 to [`CIRCLES`].
    pub circles: Vec<Circle>,
    /// What the carriers are cut from.
    pub carrier_material: CarrierMaterial,
    /// Bending stress that the carriers' teeth bear, Pa.
    pub carrier_strength: f64,
    /// Real parts loaded in the whole machine.
    pub parts: u32,
    /// Dummies loaded beside them to carry load (same outline and thickness; not counted as product).
    pub dummies: u32,
    /// In which order all of them are laid in.
    pub order: LoadingOrder,
    /// Measured thickness of each piece, m, in the order of [`crate::plant::places::laid_in`]; empty where nobody measured them, and
    /// they are drawn. No file has it: it comes from a list of parts.
    pub measured: Vec<f64>,
    /// Keys that the file left out and that have a [rule](crate::assumed::batch).
    pub assumed: Vec<&'static str>,
}

impl Batch {
    /// Pieces that carry load: parts and dummies.
    #[must_use]
    pub fn pieces(&self) -> u32 {
        self.parts + self.dummies
    }
    /// Pockets per carrier.
    #[must_use]
    pub fn pockets(&self) -> u32 {
        let all = self.circles.iter().map(|circle| circle.pockets);
        all.fold(0, u32::saturating_add)
    }
    /// Radius of the largest circle of pockets, m.
    #[must_use]
    pub fn outermost(&self) -> f64 {
        let radii = self.circles.iter().map(|circle| circle.radius);
        radii.fold(0.0, crate::math::max)
    }
    /// Loaded area, m².
    #[must_use]
    pub fn area(&self) -> f64 {
        self.outline.area() * f64::from(self.pieces())
    }
    /// Nominal contact stiffness of all pieces, N/m.
    #[must_use]
    pub fn stiffness(&self) -> f64 {
        self.stiffness_per_area * self.area()
    }
}
