//! The scenario file: every key, its range, its words, and where it goes in [`Scenario`].

use super::quantity::Dimension as D;
use super::table::Table;
pub use crate::fault_words::{COMPONENTS, FAULT_MODES};
use crate::model::{Component, Fault, FaultMode, Scenario, ScenarioEvent, StationAct, What, When};
use firmware_core::sequence::{Command, Phase};

/// Longest simulated time.
pub const LONGEST: &str = "24 h";

/// Most events in a scenario.
pub const MAX_EVENTS: usize = 256;

/// What a hand on the machine can do, and the words for it.
pub const STATION_ACTS: &[(&str, StationAct)] = &[
    ("press-emergency-stop", StationAct::PressEstop),
    ("release-emergency-stop", StationAct::ReleaseEstop),
    ("open-guard", StationAct::OpenGuard),
    ("close-guard", StationAct::CloseGuard),
    ("setup-key-on", StationAct::SetupKey(true)),
    ("setup-key-off", StationAct::SetupKey(false)),
    ("hold-to-run-press", StationAct::HoldToRun(true)),
    ("hold-to-run-release", StationAct::HoldToRun(false)),
    ("link-up", StationAct::Link(true)),
    ("link-down", StationAct::Link(false)),
    ("local-enable-on", StationAct::LocalEnable(true)),
    ("local-enable-off", StationAct::LocalEnable(false)),
    ("load-carriers", StationAct::LoadCarriers),
    ("unload-carriers", StationAct::UnloadCarriers),
];

pub(super) fn read(t: &mut Table<'_, '_>) -> Scenario {
    if t.has("training") && t.has("assessment") {
        t.error_at(
            "conflicting-key",
            "assessment",
            "a scenario is an exercise or an assessment, not both".to_owned(),
            "`[training]` or `[assessment]`".to_owned(),
        );
    }
    Scenario {
        id: t.identifier("id", "Identifier; also the file's name."),
        title: t.text("title", 120, "One line for people."),
        operator: t
            .word(
                "operator",
                &[("by-the-book", true), ("scripted", false)],
                "Who confirms parts and starts: an operator by the book, or only the events below.",
            )
            .unwrap_or(true),
        longest: t.quantity(
            "longest",
            D::Time,
            ["1 s", LONGEST],
            "Simulated time after which the run ends.",
        ),
        events: t.list("events", [0, MAX_EVENTS], "What happens.", event),
        training: t
            .optional_table(
                "training",
                "Makes the scenario an exercise for operators.",
                super::training::read,
            )
            .map(Box::new),
        assessment: t
            .optional_table(
                "assessment",
                "Makes the scenario an assessment: one of several exercises, drawn unseen.",
                super::assessment::read,
            )
            .map(Box::new),
    }
}

fn event(t: &mut Table<'_, '_>) -> ScenarioEvent {
    ScenarioEvent {
        when: t
            .one_of(&[("at", at), ("phase", after)])
            .unwrap_or(When::At(f64::NAN)),
        what: t
            .one_of(&[
                ("command", command),
                ("confirm-parts", confirm_parts),
                ("raise", raise),
                ("acknowledge", acknowledge),
                ("report-form", report_form),
                ("station", station),
                ("fault", fault),
                ("clear", clear),
                ("power-returns", power_returns),
            ])
            .unwrap_or(What::Acknowledge),
    }
}

fn at(t: &mut Table<'_, '_>) -> When {
    When::At(t.quantity(
        "at",
        D::Time,
        ["0 s", "24 h"],
        "Simulated time since the beginning.",
    ))
}

fn after(t: &mut Table<'_, '_>) -> When {
    let phase = t
        .word(
            "phase",
            &Phase::NAMES,
            "Phase whose first entry starts the delay.",
        )
        .unwrap_or(Phase::Rest);
    let steps = firmware_core::recipe::MAX_STEPS;
    let step = t.optional_integer(
        "step",
        [1, u32::try_from(steps).unwrap_or(1)],
        "Step in which the phase is entered, counted from 1; left out, any.",
    );
    When::After {
        phase,
        // Files count steps from 1, the controller from 0.
        step: step.and_then(|step| u8::try_from(step.saturating_sub(1)).ok()),
        delay: t.quantity_or(
            "after",
            D::Time,
            ["0 s", "24 h"],
            "0 s",
            "Delay after entering the phase.",
        ),
    }
}

fn command(t: &mut Table<'_, '_>) -> What {
    let command = t.word(
        "command",
        &Command::NAMES,
        "The operator gives one of the six commands.",
    );
    What::Command(command.unwrap_or(Command::Stop))
}

fn confirm_parts(t: &mut Table<'_, '_>) -> What {
    let pieces = t.integer(
        "confirm-parts",
        [0, 20_000],
        "The operator confirms this many loaded pieces.",
    );
    What::ConfirmParts(u16::try_from(pieces).unwrap_or(u16::MAX))
}

fn raise(t: &mut Table<'_, '_>) -> What {
    t.yes("raise", "The operator asks for the plate to be raised.");
    What::Raise
}

fn acknowledge(t: &mut Table<'_, '_>) -> What {
    t.yes("acknowledge", "The operator acknowledges all alarms.");
    What::Acknowledge
}

fn report_form(t: &mut Table<'_, '_>) -> What {
    What::ReportForm(t.table(
        "report-form",
        "The operator reports the form of both plates: inner edge over outer edge, + convex.",
        |t| {
            // Wider than the controller believes: a slip of the operator can be played too.
            let range = ["-10 mm", "10 mm"];
            [
                t.quantity("lower", D::Length, range, "Lower plate."),
                t.quantity("upper", D::Length, range, "Upper plate."),
            ]
        },
    ))
}

fn station(t: &mut Table<'_, '_>) -> What {
    let act = t.word("station", STATION_ACTS, "A hand on the machine.");
    What::Station(act.unwrap_or(StationAct::CloseGuard))
}

fn fault(t: &mut Table<'_, '_>) -> What {
    let component = t
        .word("fault", COMPONENTS, "A component begins to fail.")
        .unwrap_or(Component::Regulator);
    let mode = t
        .word("mode", FAULT_MODES, "How it fails.")
        .unwrap_or(FaultMode::Off);
    let timed = matches!(
        mode,
        FaultMode::Slow | FaultMode::Delayed | FaultMode::Intermittent
    );
    let magnitude = t.any_quantity(
        "magnitude",
        timed.then_some(D::Time),
        "How much; meaning and unit are the component's, seconds for slow, delayed and intermittent.",
    );
    if let (true, Some((_, dimension))) = (timed, magnitude)
        && dimension != Some(D::Time)
    {
        t.error_at(
            "wrong-dimension",
            "magnitude",
            "`magnitude` is not a time".into(),
            format!("a time such as \"{}\" for this mode", D::Time.example()),
        );
    }
    What::Fault(Fault {
        component,
        mode,
        magnitude: magnitude.map(|(value, _)| value),
    })
}

fn clear(t: &mut Table<'_, '_>) -> What {
    let component = t.word("clear", COMPONENTS, "A component's fault ends.");
    What::Clear(component.unwrap_or(Component::Regulator))
}

fn power_returns(t: &mut Table<'_, '_>) -> What {
    t.yes(
        "power-returns",
        "The controller's power was away for a moment: it boots anew on the machine as it stands.",
    );
    What::PowerReturns
}
