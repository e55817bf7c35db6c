//! An instructor's hand: a component begins to fail, or is whole again.

use super::{Refused, Session};
use crate::acts;
use crate::log::Done;
use twinplate_sim::bench::{Action, ControllerPort};
use twinplate_sim::fault_words::{COMPONENTS, FAULT_MODES};
use twinplate_sim::model::{Component, Fault, FaultMode};
use twinplate_sim::plant::FaultRefused;
use twinplate_sim::plant::fault_table::SUPPORTED;
use twinplate_words::{Told, Words};

impl<C: ControllerPort> Session<C> {
    /// A component begins to fail: an instructor's hand.
    ///
    /// # Errors
    /// Words that are not known, and what the component cannot do.
    pub fn inject(
        &mut self,
        component: &str,
        mode: &str,
        magnitude: Option<f64>,
    ) -> Result<(), Refused> {
        self.take(Done::Inject {
            component: component.into(),
            mode: mode.into(),
            magnitude,
        })
    }

    /// A component's fault ends: an instructor's hand.
    ///
    /// # Errors
    /// A word that is not known.
    pub fn repair(&mut self, component: &str) -> Result<(), Refused> {
        self.take(Done::Repair {
            component: component.into(),
        })
    }

    pub(super) fn fault(
        &mut self,
        component: &str,
        mode: &str,
        magnitude: Option<f64>,
    ) -> Result<(), Refused> {
        let words = self.words();
        let component = word(words, component)?;
        let Some((_, mode)) = FAULT_MODES.iter().find(|(word, _)| *word == mode) else {
            return Err(Refused::new(
                "unknown-mode",
                words.tell("fault-unknown-mode", &[("mode", mode.into())]),
            ));
        };
        let fault = Fault {
            component,
            mode: *mode,
            magnitude,
        };
        // Tried on a copy: a refusal comes at once, and nothing has changed then.
        self.bench
            .plant()
            .clone()
            .inject(&fault)
            .map_err(|refused| Refused::new("cannot-fail", why_not(words, &refused)))?;
        self.act(Action::Fault(fault));
        Ok(())
    }
}

/// A component by its word.
pub(crate) fn word(words: &Words, component: &str) -> Result<Component, Refused> {
    let found = COMPONENTS.iter().find(|(word, _)| *word == component);
    found.map(|(_, component)| *component).ok_or_else(|| {
        Refused::new(
            "unknown-component",
            words.tell(
                "unknown-component",
                &[
                    ("component", component.into()),
                    ("known", COMPONENTS.map(|(word, _)| word).join(", ").into()),
                ],
            ),
        )
    })
}

/// That a component fails in a way, by their words, for people.
pub(super) fn failing(words: &Words, component: &str, mode: &str) -> String {
    format!(
        "{}: {}",
        acts::named(words, component),
        acts::failing(words, mode)
    )
}

/// That a component was put right, by its word, for people.
pub(super) fn put_right(words: &Words, component: &str) -> String {
    let component = Told::Text(acts::named(words, component));
    words.tell("instructed-put-right", &[("component", component)])
}

/// Why a component cannot be made to fail so, for people.
fn why_not(words: &Words, refused: &FaultRefused) -> String {
    let named = |component: Component| Told::Text(acts::component(words, component));
    match refused {
        FaultRefused::Unsupported { component, mode } => {
            let rows = SUPPORTED.iter().filter(|row| row.component == *component);
            let known: Vec<String> = rows.map(|row| acts::fails(words, row.mode)).collect();
            words.tell(
                "fault-unsupported",
                &[
                    ("component", named(*component)),
                    ("mode", acts::fails(words, *mode).into()),
                    ("known", known.join(", ").into()),
                ],
            )
        }
        FaultRefused::Magnitude {
            component,
            mode,
            given,
            ..
        } => words.tell(
            "fault-magnitude",
            &[
                ("component", named(*component)),
                ("mode", acts::fails(words, *mode).into()),
                ("given", words.written(&given.to_string()).into()),
                ("wanted", wanted(words, *mode, *given).into()),
            ],
        ),
        FaultRefused::PlateDown => words.say("fault-plate-down"),
    }
}

/// What a magnitude that was refused should have been, for people.
fn wanted(words: &Words, mode: FaultMode, given: f64) -> String {
    let timed = matches!(
        mode,
        FaultMode::Slow | FaultMode::Delayed | FaultMode::Intermittent
    );
    words.say(if !given.is_finite() || given.abs() > 1e6 {
        "magnitude-finite"
    } else if timed {
        "magnitude-time"
    } else {
        "magnitude-count"
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use twinplate_sim::plant::magnitude;
    use twinplate_words::Language;

    /// What a page says of a fault that cannot be is what a command line says of it.
    #[test]
    fn a_page_says_of_a_refused_fault_what_a_file_is_told() {
        let fault = |component, mode, magnitude| Fault {
            component,
            mode,
            magnitude: Some(magnitude),
        };
        let mut all = vec![FaultRefused::PlateDown];
        for wrong in [
            fault(Component::Parts, FaultMode::Garbage, 1.0),
            fault(Component::Regulator, FaultMode::Slow, -1.5),
            fault(Component::Regulator, FaultMode::Slow, 1e7),
            fault(Component::Parts, FaultMode::Wrong, 0.5),
        ] {
            all.push(magnitude(&wrong).expect_err("refused"));
        }
        for refused in all {
            let told = why_not(Words::of(Language::English), &refused);
            assert_eq!(told, refused.to_string());
        }
    }
}
