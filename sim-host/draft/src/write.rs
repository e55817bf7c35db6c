//! A plan as the text of a recipe file: each number with its reason, rule or equation beside it.

use crate::plan::{Ground, Plan, fives};
use crate::speeds::rpm;
use std::fmt::Write as _;
use twinplate_check::Case;
use twinplate_check::case::Wetting;
use twinplate_check::finding::significant;
use twinplate_check::predict::predict;
use twinplate_sim::math::{floor, max};
use twinplate_sim::model::{Consumables, Of, micrometres};

/// One number of a draft with the reason for it.
#[derive(Clone, Debug, PartialEq)]
pub struct Choice {
    /// Key in the recipe file.
    pub key: String,
    /// Value as written.
    pub value: String,
    /// Reason, rule or equation.
    pub why: String,
}

/// A text under way.
struct Text {
    text: String,
    choices: Vec<Choice>,
    table: String,
}

/// Widest comment line: what a terminal shows without a fold.
const WIDE: usize = 78;

impl Text {
    fn line(&mut self, line: &str) {
        self.text.push_str(line);
        self.text.push('\n');
    }

    fn table(&mut self, head: &str, path: &str) {
        self.line("");
        self.line(head);
        path.clone_into(&mut self.table);
    }

    /// A key with its reason in the lines above it.
    fn key(&mut self, key: &str, value: &str, why: &str) {
        let mut line = String::from("#");
        for word in why.split_whitespace() {
            if line.chars().count() + word.chars().count() + 1 > WIDE {
                self.line(&line.clone());
                line = String::from("#");
            }
            line.push(' ');
            line.push_str(word);
        }
        self.line(&line);
        self.line(&format!("{key} = {value}"));
        self.choices.push(Choice {
            key: format!("{}{key}", self.table),
            value: value.trim_matches('"').to_owned(),
            why: why.to_owned(),
        });
    }

    fn plain(&mut self, key: &str, value: &str) {
        self.line(&format!("{key} = {value}"));
    }
}

/// A text as TOML has it.
pub(crate) fn quoted(text: &str) -> String {
    let mut out = String::from("\"");
    for c in text.chars() {
        match c {
            '"' | '\\' => {
                out.push('\\');
                out.push(c);
            }
            c if c.is_control() => {
                let _ = write!(out, "\\u{:04X}", u32::from(c));
            }
            c => out.push(c),
        }
    }
    out.push('"');
    out
}

/// A quantity with its unit, quoted.
pub(crate) fn quantity(value: f64, digits: usize, unit: &str) -> String {
    format!("\"{} {unit}\"", significant(value, digits))
}

/// Names of what is written.
#[derive(Clone, Debug)]
pub(crate) struct Names {
    pub id: String,
    pub title: String,
}

/// The recipe file of a plan, and why its numbers are what they are.
pub(crate) fn recipe(plan: &Plan, names: &Names) -> (String, Vec<Choice>) {
    let Ground {
        machine,
        batch,
        abrasive,
        gauge,
        ..
    } = plan.ground;
    let mut t = Text {
        text: String::new(),
        choices: Vec::new(),
        table: String::new(),
    };
    t.line("# Drafted by twinplate from machine, batch and shelf; proved in simulation alone.");
    t.line("# Before it runs: check it with your own files, begin at the lowest load, keep\n# to the machine's limits and the local code.");
    t.line("");
    t.plain("format", "\"recipe-1\"");
    t.plain("id", &quoted(&names.id));
    t.plain("title", &quoted(&names.title));
    t.plain("machine", &quoted(&machine.id));
    t.plain("batch", &quoted(&batch.id));
    t.plain("process", &quoted(abrasive.consumables.process.name()));
    let why = if gauge {
        "a size gauge is fitted: it ends the lapping at a size, whatever the removal does"
    } else {
        "no size gauge: the lapping ends by time, and every error of the removal is an error of the size"
    };
    t.key("gauge", if gauge { "true" } else { "false" }, why);
    consumables(&mut t, &abrasive.consumables, &abrasive.material);
    let like = plan.recipe_like();
    let case = Case {
        machine,
        batch,
        recipe: &like,
    };
    slurry(&mut t, plan, &case);
    steps(&mut t, plan, &case);
    (t.text, t.choices)
}

fn consumables(t: &mut Text, c: &Consumables, material: &str) {
    t.table("[consumables]", "consumables.");
    t.line(&format!("# From the shelf, for {material}."));
    t.plain("abrasive", &quoted(&c.abrasive));
    t.plain("grade", &quoted(&c.grade));
    let um = |length: f64| quantity(micrometres(length), 12, "µm");
    t.plain("grain", &um(c.grain));
    t.plain("vehicle", &quoted(&c.vehicle));
    let percent = |share: f64| quantity(share * 100.0, 12, "%");
    t.plain("concentration", &percent(c.concentration));
    if let Some(rate) = c.removal_rate
        && let twinplate_sim::model::Sliding::Mean(sliding) = rate.sliding
    {
        t.line(&format!(
            "removal-rate = {{ thickness = {}, pressure = {}, sliding = {} }}",
            quantity(micrometres(rate.thickness) * 60.0, 12, "µm/min"),
            quantity(rate.pressure / 1e3, 12, "kPa"),
            quantity(sliding, 12, "m/s")
        ));
    } else if let Some(removal) = c.removal {
        t.plain("removal", &format!("\"{removal:e} 1/Pa\""));
    }
    t.plain("friction", &significant(c.friction, 12));
    t.plain("friction-dry", &significant(c.friction_dry, 12));
    t.plain(
        "breakdown-work",
        &quantity(c.breakdown_work / 1e6, 12, "MJ/m²"),
    );
    if let Some(roughness) = c.roughness {
        t.plain("roughness", &um(roughness));
    }
    if let Some(damage) = c.damage {
        t.plain("damage", &um(damage));
    }
    if let Some(at) = c.measured_at {
        t.line(&format!(
            "measured-at = {{ grain = {}, concentration = {} }}",
            um(at.grain),
            percent(at.concentration)
        ));
    }
    t.plain("settle-depth", &um(c.settle_depth));
}

fn slurry(t: &mut Text, plan: &Plan, case: &Case) {
    let slurry = &plan.ground.machine.slurry;
    let shown = plan.ground.shown;
    t.table("[slurry]", "slurry.");
    let wetting = Wetting::of(case);
    let seconds = -floor(-plan.prestart * max(wetting.full, wetting.proven()));
    t.key(
        "prestart",
        &quantity(seconds, 6, "s"),
        &format!(
            "the line's {} fill in {} s at this flow, the gap carries a full film after {} s; {} times that",
            shown.say(Of::Volume, slurry.line_volume, 3),
            significant(slurry.line_volume / slurry.flow_max, 2),
            significant(wetting.full, 3),
            significant(plan.prestart, 3)
        ),
    );
    t.key(
        "prestart-flow",
        &quoted(&shown.say(Of::Flow, case.recipe.prestart_flow, 3)),
        "the most that the pump gives: the film is there soonest",
    );
    t.key(
        "rinse",
        &quantity(plan.rinse, 4, "s"),
        if plan.rinse > 0.0 {
            "water washes the grains off before the plate lifts (common practice, no source)"
        } else {
            "none: water does not wash off this slurry, or its flow cannot be proven"
        },
    );
}

fn steps(t: &mut Text, plan: &Plan, case: &Case) {
    let predicted = predict(case, 1.0);
    let slow = predict(case, 1.0 - plan.ground.machine.envelope.removal);
    for (index, load) in [plan.seat.value, plan.lap.value].into_iter().enumerate() {
        let step = &case.recipe.steps[index];
        t.table("[[steps]]", &format!("steps[{index}]."));
        t.plain("name", &quoted(&step.name));
        loads(t, plan, case, index, load);
        speeds(t, plan, case, index);
        t.key(
            "flow",
            &quoted(&plan.ground.shown.say(Of::Flow, step.flow, 3)),
            &format!(
                "{} % of what the pump gives: over the least that counts as flow, with room for the pump to do more",
                significant(plan.flow * 100.0, 3)
            ),
        );
        end(t, plan, index);
        let wanted = slow.wanted.get(index).copied().unwrap_or(0.0);
        let nominal = predicted.wanted.get(index).copied().unwrap_or(0.0);
        t.key(
            "longest",
            &quantity(longest(plan, wanted), 6, "s"),
            &format!(
                "by prediction the step takes {} s, at the envelope's slowest removal {} s; {} times that",
                significant(nominal, 3),
                significant(wanted, 3),
                significant(plan.patience, 3)
            ),
        );
    }
}

/// Longest time of a step that may take so long, s.
fn longest(plan: &Plan, wanted: f64) -> f64 {
    fives(max(plan.patience * wanted + 5.0, 20.0))
}

fn loads(t: &mut Text, plan: &Plan, case: &Case, index: usize, load: f64) {
    let ground = plan.ground;
    let Ground {
        machine,
        batch,
        shown,
        ..
    } = ground;
    let pressure = quoted(&shown.say(Of::Pressure, load / batch.area(), 4));
    let one = load / f64::from(batch.pieces());
    let why = if index == 0 {
        format!(
            "{} in all, gentle while the parts differ: the machine holds {} or more and takes {} at touch-down; by plan at most \
             {} come on one part, which bears {}",
            ground.load(load, 3),
            ground.load(plan.seat.low().0, 3),
            ground.load(machine.control.initial_load, 3),
            ground.load(case.share_on_one(load + case.band(load)), 3),
            ground.load(batch.strength, 3)
        )
    } else {
        let (high, by) = plan.lap.high();
        format!(
            "{} in all, {} a part once they are even; {} would be the most, by {}",
            ground.load(load, 3),
            ground.load(one, 3),
            ground.load(high, 3),
            by.words()
        )
    };
    t.key("pressure", &pressure, &why);
    let limit = plan.limit(case, load);
    t.key(
        "limit",
        &quoted(&ground.load(limit, 6)),
        &format!(
            "at least {}, twice the governor's half-width over the load; the machine is rated {}",
            ground.load(case.least_limit(max(load, machine.control.initial_load)), 4),
            ground.load(machine.control.rated_load, 4)
        ),
    );
    let ramp = plan.ramp * machine.control.ramp_max;
    t.key(
        "ramp",
        &quoted(&shown.say(Of::Ramp, ramp, 3)),
        &format!(
            "{} % of the fastest that the machine allows: a ramp that the loop follows without overshoot",
            significant(plan.ramp * 100.0, 3)
        ),
    );
}

fn speeds(t: &mut Text, plan: &Plan, case: &Case, index: usize) {
    let step = &case.recipe.steps[index];
    let [inner, outer, lower, upper] = step.speeds.map(|speed| significant(rpm(speed), 5));
    let faces = case.face_speeds(step);
    let shape = plan.shapes.get(plan.shape);
    let why = if index == 0 {
        format!(
            "the parts slide at {} below and {} above: the carriers' orbit lies between the plates' speeds, so that both faces lose \
             alike; of the ways to turn the rings this one wears the plates least out of form, {} a batch",
            plan.ground.sliding(faces[0]),
            plan.ground.sliding(faces[1]),
            plan.ground
                .shown
                .say(Of::Form, shape.map_or(0.0, |shape| shape.wear), 2)
        )
    } else {
        "as in the step before: no drive changes its direction".to_owned()
    };
    t.key(
        "speeds",
        &format!(
            "{{ inner = \"{inner} rpm\", outer = \"{outer} rpm\", lower = \"{lower} rpm\", upper = \"{upper} rpm\" }}"
        ),
        &why,
    );
}

fn end(t: &mut Text, plan: &Plan, index: usize) {
    let Ground { batch, shown, .. } = plan.ground;
    if index == 0 {
        let levels = 1.0 / (plan.removal() * 2.0 * plan.speed.value * batch.stiffness_per_area);
        t.key(
            "end",
            &format!("{{ time = {} }}", quantity(plan.seat_time, 6, "s")),
            &format!(
                "the parts' spread falls to its 1/e in {} s, by 1 / (removal × both sliding speeds × contact stiffness)",
                significant(levels, 2)
            ),
        );
    } else if plan.ground.gauge {
        t.key(
            "end",
            &format!(
                "{{ size = {} }}",
                quoted(&shown.fixed_with(Of::Thickness, (batch.target + plan.trim) * 1e3, 4))
            ),
            &format!(
                "the target of {} and {} that still come off after the gauge has spoken, while the load is let go",
                shown.say(Of::Thickness, batch.target, 7),
                shown.say(Of::Size, plan.trim, 2)
            ),
        );
    } else {
        let share = plan.ground.machine.envelope.removal;
        let stock = batch.thickness - batch.target;
        t.key(
            "end",
            &format!("{{ time = {} }}", quantity(plan.lap_time, 4, "s")),
            &format!(
                "stock over removal rate; a removal that is off by {} % makes the size wrong by up to {}, for ± {} allowed",
                significant(share * 100.0, 3),
                shown.say(Of::Size, share * stock, 2),
                shown.say(Of::Size, batch.tolerance, 3)
            ),
        );
    }
}
