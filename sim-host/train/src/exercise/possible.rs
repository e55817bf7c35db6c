//! What no single line of an exercise's file shows: what can never come with the recipes, the faults and the inspection that it has.
//! Whether a row's alarm can come is not judged: hands can bring most of them.

use twinplate_sim::fault_words;
use twinplate_sim::files::{FileError, Loaded, step_there, steps_there};
use twinplate_sim::model::{Component, Fault, Recipe, Scenario, What};
use twinplate_sim::plant::{FaultRefused, magnitude};
use twinplate_sim::training::rules::{
    ActPattern, Inspection, Training, Trigger, Until, Wanted, While,
};

/// Acts that a gauge room does in the operator's place.
const OF_THE_GAUGE_ROOM: [&str; 3] = ["measure-parts", "lay-flat", "judge-parts"];

/// All that can never come. `recipe` is the right one, of `slots` that are stored.
pub(super) fn check(
    loaded: &Loaded<Scenario>,
    training: &Training,
    recipe: &Recipe,
    slots: usize,
) -> Vec<FileError> {
    let mut found = Found {
        loaded,
        training,
        recipe,
        slots,
        failing: Vec::new(),
        errors: steps_there(loaded, recipe),
    };
    for (index, event) in loaded.value.events.iter().enumerate() {
        if let What::Fault(fault) = event.what {
            found.fault(index, &fault);
        }
    }
    for (index, expected) in training.expected.iter().enumerate() {
        let at = format!("training.expected[{index}]");
        if let Wanted::Act(pattern) = &expected.wanted {
            found.act(&at, pattern);
            // What is whole is not put right, and is not the diagnosis.
            if let Some(component) = pattern.component {
                found.fails(&at, "component", component);
            }
        }
        match expected.from {
            Trigger::Phase(_, Some(step)) => found.step(&at, step),
            Trigger::Fault(component) => found.fails(&at, "fault", component),
            _ => {}
        }
    }
    for (index, forbidden) in training.forbidden.iter().enumerate() {
        let at = format!("training.forbidden[{index}]");
        found.act(&at, &forbidden.act);
        if let While::Failing(component) = forbidden.when {
            found.fails(&at, "failing", component);
        }
    }
    for (index, step) in training.guide.iter().enumerate() {
        if let Until::Act(pattern) = &step.until {
            found.act(&format!("training.guide[{index}]"), pattern);
        }
    }
    found.errors
}

struct Found<'a> {
    loaded: &'a Loaded<Scenario>,
    training: &'a Training,
    recipe: &'a Recipe,
    slots: usize,
    /// Components that an event makes fail.
    failing: Vec<Component>,
    errors: Vec<FileError>,
}

impl Found<'_> {
    fn wrong(&mut self, code: &'static str, key: &str, message: String, expected: String) {
        let error = self.loaded.error(code, key, message, expected);
        self.errors.push(error);
    }

    /// A failure that the simulator would refuse when it is due.
    fn fault(&mut self, index: usize, fault: &Fault) {
        self.failing.push(fault.component);
        if let Err(refused) = magnitude(fault) {
            let key = match refused {
                FaultRefused::Magnitude { .. } if fault.magnitude.is_some() => "magnitude",
                _ => "mode",
            };
            self.wrong(
                "out-of-range",
                &format!("events[{index}].{key}"),
                refused.to_string(),
                "a failure of the table in docs/faults.md".into(),
            );
        }
    }

    fn step(&mut self, at: &str, step: u8) {
        let missing = step_there(self.loaded, &format!("{at}.step"), step, self.recipe);
        self.errors.extend(missing);
    }

    fn fails(&mut self, at: &str, key: &str, component: Component) {
        if !self.failing.contains(&component) {
            self.wrong(
                "inconsistent",
                &format!("{at}.{key}"),
                format!(
                    "`{}` never fails in this exercise",
                    fault_words::component(component)
                ),
                "a component that one of the `events` makes fail".into(),
            );
        }
    }

    /// An act that the panel does not offer here.
    fn act(&mut self, at: &str, pattern: &ActPattern) {
        for (key, slot) in [("slot", pattern.slot), ("not-slot", pattern.not_slot)] {
            if slot.is_some_and(|slot| slot as usize > self.slots) {
                self.wrong(
                    "inconsistent",
                    &format!("{at}.{key}"),
                    format!("the panel has {} stored recipes here", self.slots),
                    format!("a slot from 1 to {}", self.slots),
                );
            }
        }
        let by_operator = self.training.inspection == Inspection::Operator;
        if OF_THE_GAUGE_ROOM.contains(&pattern.word) && !by_operator {
            self.wrong(
                "inconsistent",
                &format!("{at}.act"),
                format!(
                    "a gauge room inspects the parts: nobody can `{}`",
                    pattern.word
                ),
                "inspection = \"operator\", or another act".into(),
            );
        }
    }
}
