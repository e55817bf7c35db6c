//! The machine file: every key, its range and where it goes in [`Machine`].

mod cell;

use super::plates;
use super::quantity::Dimension as D;
use super::table::Table;
use crate::model::{
    Actuator, Control, DriveSpec, Envelope, Gains, Geometry, Machine, SlurrySystem,
};
use firmware_core::process_image::{DRIVES, Drive};

pub(super) fn read(t: &mut Table<'_, '_>) -> Machine {
    Machine {
        id: t.identifier("id", "Identifier that recipes name; also the file's name."),
        title: t.text("title", 120, "One line for people."),
        geometry: t.table("geometry", "Plates, pin rings and carriers.", geometry),
        actuator: t.table(
            "actuator",
            "The double-acting air cylinder over the upper plate, its regulators and valves.",
            actuator,
        ),
        cell: t.table(
            "cell",
            "Load cell in the rod and its amplifier.",
            cell::cell,
        ),
        drives: t.table("drives", "The four drives and what they turn.", drives),
        slurry: t.table("slurry", "Slurry system.", slurry),
        thermal: t.table(
            "thermal",
            "Lumped thermal model of the plates.",
            plates::thermal,
        ),
        plates: t.table_or("plates", "The plates themselves.", plates::plates),
        conditioning: t.optional_table(
            "conditioning",
            "Flat ring tools, one in each carrier's place, that flatten both plates between batches.",
            plates::conditioning,
        ),
        control: t.table(
            "control",
            "What the controller is configured with.",
            control,
        ),
        gains: t.optional_table(
            "gains",
            "Load-loop gains; left out, the default rule gives them.",
            gains,
        ),
        envelope: t.table(
            "envelope",
            "Half-widths of what this file admits about itself.",
            envelope,
        ),
    }
}

fn geometry(t: &mut Table<'_, '_>) -> Geometry {
    let value = Geometry {
        plate_outer: t.quantity("plate-outer", D::Length, ["50 mm", "5 m"], "Outer diameter of both plates."),
        plate_inner: t.quantity("plate-inner", D::Length, ["10 mm", "4 m"], "Inner diameter of both plates."),
        plate_thickness: t.quantity("plate-thickness", D::Length, ["5 mm", "300 mm"], "Thickness of one plate."),
        module: t.quantity(
            "module",
            D::Module,
            ["0.5 mm", "30 mm"],
            "Module of the pin and carrier teeth, or their diametral pitch.",
        ),
        teeth_inner: t.integer("teeth-inner", [8, 2000], "Teeth (pins) of the inner ring."),
        teeth_outer: t.integer("teeth-outer", [12, 4000], "Teeth (pins) of the outer ring."),
        teeth_carrier: t.integer("teeth-carrier", [6, 2000], "Teeth of a carrier."),
        carriers: t.integer("carriers", [1, 60], "Carriers in the machine."),
        runout_ripple: t.quantity(
            "runout-ripple",
            D::Ratio,
            ["0 %", "10 %"],
            "Runout of the plates as a ripple on the contact load: amplitude as a share of the load.",
        ),
    };
    t.require_order(
        ("plate-inner", value.plate_inner),
        ("plate-outer", value.plate_outer),
        true,
    );
    t.require_order(
        ("teeth-inner", f64::from(value.teeth_inner)),
        ("teeth-outer", f64::from(value.teeth_outer)),
        true,
    );
    value
}

fn actuator(t: &mut Table<'_, '_>) -> Actuator {
    let pressure = ["0.1 bar", "20 bar"];
    let speed = ["0.05 mm/s", "500 mm/s"];
    let value = Actuator {
        mass: t.quantity(
            "mass",
            D::Mass,
            ["1 kg", "20 t"],
            "Mass of the upper plate and all that hangs on the rod.",
        ),
        bore: t.quantity("bore", D::Length, ["8 mm", "500 mm"], "Cylinder bore."),
        rod: t.quantity("rod", D::Length, ["3 mm", "300 mm"], "Rod diameter."),
        relief_pressure: t.quantity(
            "relief-pressure",
            D::Pressure,
            pressure,
            "Cap-side relief pressure: pressure at full command, and the mechanical relief.",
        ),
        lift_pressure: t.quantity(
            "lift-pressure",
            D::Pressure,
            pressure,
            "Rod-side pressure while lifting.",
        ),
        supply_pressure: t.quantity(
            "supply-pressure",
            D::Pressure,
            pressure,
            "Air supply pressure.",
        ),
        supply_minimum: t.quantity(
            "supply-minimum",
            D::Pressure,
            pressure,
            "Supply pressure below which the machine stops.",
        ),
        counterbalance: t.quantity(
            "counterbalance",
            D::Pressure,
            pressure,
            "Counterbalance regulator pressure.",
        ),
        seal_friction: t.quantity(
            "seal-friction",
            D::Force,
            ["0 N", "5 kN"],
            "Seal friction while sliding slowly (Coulomb level).",
        ),
        seal_breakaway: t.quantity(
            "seal-breakaway",
            D::Force,
            ["0 N", "10 kN"],
            "Seal breakaway (static level).",
        ),
        stribeck_speed: t.quantity(
            "stribeck-speed",
            D::Speed,
            ["0.1 mm/s", "200 mm/s"],
            "Stribeck speed of the seals.",
        ),
        presliding: t.quantity(
            "presliding",
            D::Length,
            ["0.1 µm", "1 mm"],
            "Presliding distance of the seals.",
        ),
        dead_time: t.quantity(
            "dead-time",
            D::Time,
            // The delay line of the controller's model.
            ["0 s", "127 ms"],
            "Dead time of the cap-side regulator.",
        ),
        lag: t.quantity(
            "lag",
            D::Time,
            ["1 ms", "10 s"],
            "First-order lag of the cap-side regulator.",
        ),
        // A slew is full scales per second, which is a frequency.
        slew: t.quantity(
            "slew",
            D::Frequency,
            ["0.05 1/s", "100 1/s"],
            "Fastest change of the regulator's pressure, full scales per second.",
        ),
        play: t.quantity(
            "play",
            D::Ratio,
            ["0 %", "10 %"],
            "Play of the regulator, share of full scale.",
        ),
        resolution: t.quantity(
            "resolution",
            D::Ratio,
            ["0 %", "10 %"],
            "Resolution (stick-jump) of the regulator, share of full scale.",
        ),
        dump_lag: t.quantity(
            "dump-lag",
            D::Time,
            ["1 ms", "10 s"],
            "Time constant of venting through the dump valve.",
        ),
        speed_fast: t.quantity("speed-fast", D::Speed, speed, "Fast descent."),
        speed_creep: t.quantity(
            "speed-creep",
            D::Speed,
            ["0.01 mm/s", "50 mm/s"],
            "Creep descent and creep lift.",
        ),
        speed_lift: t.quantity("speed-lift", D::Speed, speed, "Lift."),
        height_raised: t.quantity(
            "height-raised",
            D::Length,
            ["5 mm", "2 m"],
            "Height of the raised, parked plate over the lower plate.",
        ),
        approach: t.quantity(
            "approach",
            D::Length,
            ["0.1 mm", "200 mm"],
            "Height above the expected contact at which descent changes to creep.",
        ),
        guide_drag: t.quantity(
            "guide-drag",
            D::Damping,
            ["0 N·s/m", "1e6 N·s/m"],
            "Guide drag.",
        ),
        dog_friction: t.quantity(
            "dog-friction",
            D::Ratio,
            ["0", "1"],
            "Coefficient of friction of the drive dog on the upper plate.",
        ),
        dog_radius: t.quantity(
            "dog-radius",
            D::Length,
            ["5 mm", "3 m"],
            "Radius at which the drive dog acts.",
        ),
    };
    t.require_order(("rod", value.rod), ("bore", value.bore), true);
    t.require_order(
        ("seal-friction", value.seal_friction),
        ("seal-breakaway", value.seal_breakaway),
        false,
    );
    t.require_order(
        ("supply-minimum", value.supply_minimum),
        ("supply-pressure", value.supply_pressure),
        true,
    );
    t.require_order(
        ("approach", value.approach),
        ("height-raised", value.height_raised),
        true,
    );
    value
}

fn drives(t: &mut Table<'_, '_>) -> [DriveSpec; DRIVES] {
    [
        t.table(Drive::Inner.name(), "Inner pin ring.", ring),
        t.table(Drive::Outer.name(), "Outer pin ring.", ring),
        t.table(Drive::Lower.name(), "Lower plate.", driven),
        t.table(Drive::Upper.name(), "Upper plate.", driven),
    ]
}

const FIXED: DriveSpec = DriveSpec {
    torque: 0.0,
    speed: 0.0,
    inertia: 0.0,
    drag: 0.0,
    fixed: true,
};

/// A ring is driven or fixed; a plate is always driven.
fn ring(t: &mut Table<'_, '_>) -> DriveSpec {
    t.one_of(&[("torque", driven), ("fixed", fixed)])
        .unwrap_or(FIXED)
}

fn fixed(t: &mut Table<'_, '_>) -> DriveSpec {
    t.yes("fixed", "The ring is mechanically fixed and has no drive.");
    FIXED
}

fn driven(t: &mut Table<'_, '_>) -> DriveSpec {
    DriveSpec {
        torque: t.quantity(
            "torque",
            D::Torque,
            ["0.1 N·m", "100 kN·m"],
            "Largest torque.",
        ),
        speed: t.quantity(
            "speed",
            D::AngularSpeed,
            ["0.5 rpm", "320 rpm"],
            "Largest speed.",
        ),
        inertia: t.quantity(
            "inertia",
            D::Inertia,
            ["1e-4 kg·m²", "1e5 kg·m²"],
            "Inertia at the driven part.",
        ),
        drag: t.quantity(
            "drag",
            D::Torque,
            ["0 N·m", "10 kN·m"],
            "Bearing and gear drag while turning.",
        ),
        fixed: false,
    }
}

fn slurry(t: &mut Table<'_, '_>) -> SlurrySystem {
    let flow = ["1 mL/min", "60 L/min"];
    let time = ["0.1 s", "2 h"];
    let value = SlurrySystem {
        flow_max: t.quantity("flow-max", D::Flow, flow, "Largest pump flow."),
        flow_min: t.quantity("flow-min", D::Flow, flow, "Smallest flow that counts as flow."),
        line_volume: t.quantity("line-volume", D::Volume, ["0.1 mL", "50 L"], "Volume of the line between pump and plate."),
        line_lag: t.quantity("line-lag", D::Time, ["10 ms", "1 min"], "First-order lag of the flow after the line is full."),
        film_life: t.quantity(
            "film-life",
            D::Time,
            time,
            "Time for which a wetted gap stays lubricated without flow at resting load and full speed.",
        ),
        wet_time: t.quantity("wet-time", D::Time, time, "Time constant in which the largest flow wets a dry gap."),
        settle_time: t.quantity(
            "settle-time",
            D::Time,
            ["1 s", "24 h"],
            "Settling time constant of the suspended fraction with the agitator off.",
        ),
        stir_time: t.quantity("stir-time", D::Time, time, "Stirring-up time constant with the agitator on."),
        tank: t.quantity("tank", D::Volume, ["0.1 L", "10 m³"], "Tank volume."),
        returned: t.quantity_or(
            "returned",
            D::Ratio,
            ["0 %", "100 %"],
            "0 %",
            "Share of the pumped slurry that runs back into the tank, with its worn grains and swarf.",
        ),
        rinse_flow: t.quantity("rinse-flow", D::Flow, flow, "Rinse water flow."),
    };
    t.require_order(
        ("flow-min", value.flow_min),
        ("flow-max", value.flow_max),
        true,
    );
    value
}

fn control(t: &mut Table<'_, '_>) -> Control {
    let load = ["1 N", "1000 kN"];
    let value = Control {
        rated_load: t.quantity("rated-load", D::Force, load, "Rated load of the machine."),
        initial_load: t.quantity(
            "initial-load",
            D::Force,
            load,
            "Initial load taken at touch-down.",
        ),
        first_contact_limit: t.quantity(
            "first-contact-limit",
            D::Force,
            load,
            "Limit on the total load at first contact.",
        ),
        band_newtons: t.quantity(
            "band",
            D::Force,
            ["0.1 N", "100 kN"],
            "Load band: the larger of this force …",
        ),
        band_share: t.quantity(
            "band-share",
            D::Ratio,
            ["0.1 %", "50 %"],
            "… and this share of the setpoint.",
        ),
        filter: t.quantity(
            "filter",
            D::Frequency,
            ["0.5 Hz", "200 Hz"],
            "Load filter, second-order low-pass.",
        ),
        ramp_max: t.quantity(
            "ramp-max",
            D::ForceRate,
            ["0.1 N/s", "100 kN/s"],
            "Fastest load ramp a recipe may ask for.",
        ),
        drive_ramp: t.quantity(
            "drive-ramp",
            D::AngularAcceleration,
            ["0.01 rad/s²", "100 rad/s²"],
            "Acceleration of the fastest drive at run-up and run-down.",
        ),
        speed_tolerance: t.quantity(
            "speed-tolerance",
            D::AngularSpeed,
            ["0.05 rpm", "50 rpm"],
            "Speed tolerance, against the fastest drive's scale.",
        ),
        estop_category: estop_category(t),
        stop_time: t.quantity(
            "stop-time",
            D::Time,
            ["0.1 s", "5 min"],
            "Monitored stop time of a category 1 stop.",
        ),
        dump_time: t.quantity(
            "dump-time",
            D::Time,
            ["10 ms", "1 min"],
            "Time in which a dump brings the highest load to resting load.",
        ),
        hold_time: t.quantity(
            "hold-time",
            D::Time,
            ["1 s", "24 h"],
            "Longest hold before it becomes a stop.",
        ),
        settle_limit: t.quantity(
            "settle-limit",
            D::Time,
            ["1 s", "24 h"],
            "Longest time with the agitator stopped before a hold.",
        ),
        contact_tolerance: t.quantity(
            "contact-tolerance",
            D::Length,
            ["1 µm", "50 mm"],
            "Tolerance of the contact height against the taught height.",
        ),
        remote: t.flag("remote", "Remote start is fitted."),
    };
    t.require_order(
        ("initial-load", value.initial_load),
        ("rated-load", value.rated_load),
        true,
    );
    value
}

fn estop_category(t: &mut Table<'_, '_>) -> u8 {
    // IEC 60204-1: an emergency stop is of category 0 or 1.
    let category = t.integer(
        "emergency-stop-category",
        [0, 1],
        "Category of the emergency stop (IEC 60204-1): 0 or 1.",
    );
    u8::from(category == 1)
}

fn gains(t: &mut Table<'_, '_>) -> Gains {
    Gains {
        kc: t.quantity(
            "proportional",
            D::PerForce,
            ["1e-8 1/N", "1 1/N"],
            "Proportional gain, command share per newton.",
        ),
        ti: t.quantity(
            "integral-time",
            D::Time,
            ["2 ms", "100 s"],
            "Integral time.",
        ),
        weight: t.quantity("setpoint-weight", D::Ratio, ["0", "1"], "Setpoint weight."),
    }
}

fn envelope(t: &mut Table<'_, '_>) -> Envelope {
    let share = ["0 %", "90 %"];
    let factor = ["1", "20"];
    let gauge = gauge_widths(t);
    Envelope {
        regulator_gain: t.quantity(
            "regulator-gain",
            D::Ratio,
            share,
            "Regulator gain, ± share.",
        ),
        regulator_offset: t.quantity(
            "regulator-offset",
            D::Ratio,
            share,
            "Regulator offset, ± share of full scale.",
        ),
        weight: t.quantity("weight", D::Ratio, share, "Upper plate weight, ± share."),
        counterbalance: t.quantity(
            "counterbalance",
            D::Ratio,
            share,
            "Counterbalance pressure, ± share.",
        ),
        seal_friction: t.quantity("seal-friction", D::Ratio, share, "Seal friction, ± share."),
        lag: t.quantity("lag", D::Ratio, share, "Regulator lag, ± share."),
        dead_time: t.quantity(
            "dead-time",
            D::Ratio,
            share,
            "Regulator dead time, ± share.",
        ),
        stiffness_factor: t.quantity(
            "stiffness-factor",
            D::Ratio,
            factor,
            "Contact stiffness, divided or multiplied by up to this factor.",
        ),
        supply: t.quantity(
            "supply",
            D::Ratio,
            share,
            "Supply pressure may be lower by this share.",
        ),
        cell_span: t.quantity("cell-span", D::Ratio, share, "Cell span, ± share."),
        noise_factor: t.quantity(
            "noise-factor",
            D::Ratio,
            factor,
            "Cell noise, up to this factor.",
        ),
        friction: t.quantity(
            "friction",
            D::Ratio,
            share,
            "Friction coefficient, ± share.",
        ),
        removal: t.quantity("removal", D::Ratio, share, "Removal coefficient, ± share."),
        spread_factor: t.quantity(
            "spread-factor",
            D::Ratio,
            factor,
            "Part thickness spread, up to this factor.",
        ),
        gauge_bias: gauge[0],
        gauge_drift: gauge[1],
        gauge_temperature: gauge[2],
    }
}

/// Bias, drift and thermal offset of the size gauge.
fn gauge_widths(t: &mut Table<'_, '_>) -> [f64; 3] {
    let length = ["0 µm", "0.5 mm"];
    [
        t.quantity_or(
            "gauge-bias",
            D::Length,
            length,
            "0.5 µm",
            "Zero of the size gauge after it was set, ±.",
        ),
        t.quantity_or(
            "gauge-drift",
            D::Length,
            length,
            "0.5 µm",
            "Drift of the size gauge's zero over a shift of eight hours, ±.",
        ),
        t.quantity_or(
            "gauge-temperature",
            D::Ratio,
            ["0 %", "300 %"],
            "50 %",
            "Thermal offset of the size gauge, ± share.",
        ),
    ]
}
