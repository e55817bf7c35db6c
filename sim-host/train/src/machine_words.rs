//! The words of the machine in a language. The English ones are the core's and the fault table's own, at home there; those of another
//! language stand in its catalogue `machine.ftl`, each by the name that is made here.

use firmware_core::interlock::{AlarmState, Row, TABLE};
use firmware_core::judge::PRECHECK_ITEMS;
use firmware_core::process_image::Drive;
use firmware_core::sequence::{Command, Mode, Phase, Plate, Refusal, SetupMove, State};
use firmware_core::status::{LoadMode, Response};
use std::borrow::Cow;
use twinplate_sim::fault_words::COMPONENTS;
use twinplate_sim::plant::fault_table::{SUPPORTED, Supported, mode_name, name};
use twinplate_sim::training::act::VERDICTS;
use twinplate_words::Words;

type Word = Cow<'static, str>;

/// Units of magnitudes that are words; all others are signs.
const MAGNITUDES: [&str; 5] = ["factor", "opening", "parts", "pockets", "share"];

/// A function that gives the word of an enum's member.
macro_rules! word {
    ($(#[$doc:meta])* $of:ident, $type:ident, $kind:literal) => {
        $(#[$doc])*
        pub(crate) fn $of(words: &Words, member: $type) -> Word {
            words.translated(&format!(concat!($kind, "-{}"), member.name()), member.word())
        }
    };
}

word!(
    /// Of a procedural state.
    state, State, "state"
);
word!(
    /// Of a phase.
    phase, Phase, "phase"
);
word!(
    /// Of a mode.
    mode, Mode, "mode"
);
word!(
    /// Of where the plate is.
    plate, Plate, "plate"
);
word!(
    /// Of how the load is held.
    load_mode, LoadMode, "load-mode"
);
word!(
    /// Of a Setup movement.
    setup_move, SetupMove, "move"
);
word!(
    /// Of a drive.
    drive, Drive, "drive"
);
word!(
    /// Of a command.
    command, Command, "command"
);
word!(
    /// Of a response.
    response, Response, "response"
);
word!(
    /// Of an alarm's state.
    alarm_state, AlarmState, "alarm"
);
word!(
    /// Of why the controller refuses something.
    refusal, Refusal, "refusal"
);

/// Of a phase, where there is little room: ten letters at most.
pub(crate) fn phase_short(words: &Words, phase: Phase) -> Word {
    words.translated(&format!("phase-{}-short", phase.name()), phase.short())
}

/// Name of a row.
pub(crate) fn row_name(words: &Words, row: &Row) -> Word {
    words.translated(&format!("row-{}", row.id), row.name)
}

/// What a row looks at.
pub(crate) fn row_inputs(words: &Words, row: &Row) -> Word {
    words.translated(&format!("row-{}-inputs", row.id), row.inputs)
}

/// Where a row is watched.
pub(crate) fn row_watched(words: &Words, row: &Row) -> Word {
    words.translated(&format!("row-{}-watched", row.id), row.watch.text())
}

/// What has happened where a row asks.
pub(crate) fn row_happened(words: &Words, row: &Row) -> Word {
    words.translated(&format!("row-{}-happened", row.id), row.happened)
}

/// What is to be done about a row.
pub(crate) fn row_cure(words: &Words, row: &Row) -> Word {
    words.translated(&format!("row-{}-cure", row.id), row.cure)
}

/// How a row is released.
pub(crate) fn row_released(words: &Words, row: &Row) -> Word {
    words.translated(&format!("reset-{}", row.reset.name()), row.reset.word())
}

/// An item of the precheck, by its English words.
pub(crate) fn precheck_item(words: &Words, item: &'static str) -> Word {
    let number = PRECHECK_ITEMS.iter().position(|one| *one == item);
    number.map_or(Cow::Borrowed(item), |number| {
        words.translated(&format!("precheck-{}", number + 1), item)
    })
}

/// A component, by its word in files.
pub(crate) fn component(words: &Words, word: &str) -> String {
    words
        .translated(&format!("component-{word}"), &word.replace('-', " "))
        .into_owned()
}

/// What happens where a component fails in a way.
pub(crate) fn fault(words: &Words, row: &Supported) -> Word {
    words.translated(
        &format!("fault-{}-{}", name(row.component), mode_name(row.mode)),
        row.meaning,
    )
}

/// Unit of a fault's magnitude.
pub(crate) fn magnitude_unit(words: &Words, unit: &'static str) -> Word {
    if MAGNITUDES.contains(&unit) {
        words.translated(&format!("magnitude-{unit}"), unit)
    } else {
        Cow::Borrowed(unit)
    }
}

/// What is found of parts, by the word for it.
pub(crate) fn verdict<'a>(words: &Words, word: &'a str) -> Cow<'a, str> {
    let found = VERDICTS.iter().find(|(name, _)| *name == word);
    found.map_or(Cow::Borrowed(word), |(name, english)| {
        words.translated(&format!("verdict-{name}"), english)
    })
}

/// Every name that is made here, with its English words: what the catalogue of another language must have, and no more.
#[must_use]
pub fn all() -> Vec<(String, String)> {
    let mut all: Vec<(String, String)> = Vec::new();
    let mut add = |id: String, english: &str| all.push((id, english.to_owned()));
    macro_rules! words {
        ($($type:ident as $kind:literal),*) => {$(
            for (name, member) in $type::NAMES {
                add(format!(concat!($kind, "-{}"), name), member.word());
            }
        )*};
    }
    words!(
        State as "state", Phase as "phase", Mode as "mode", Plate as "plate", LoadMode as "load-mode", SetupMove as "move",
        Drive as "drive", Command as "command", Response as "response", AlarmState as "alarm", Refusal as "refusal"
    );
    for (name, phase) in Phase::NAMES {
        add(format!("phase-{name}-short"), phase.short());
    }
    for row in &TABLE {
        add(format!("row-{}", row.id), row.name);
        add(format!("row-{}-inputs", row.id), row.inputs);
        add(format!("row-{}-watched", row.id), row.watch.text());
        add(format!("row-{}-happened", row.id), row.happened);
        add(format!("row-{}-cure", row.id), row.cure);
        let reset = format!("reset-{}", row.reset.name());
        add(reset, row.reset.word());
    }
    for (number, item) in PRECHECK_ITEMS.iter().enumerate() {
        add(format!("precheck-{}", number + 1), item);
    }
    for (word, _) in COMPONENTS {
        add(format!("component-{word}"), &word.replace('-', " "));
    }
    for row in SUPPORTED {
        add(
            format!("fault-{}-{}", name(row.component), mode_name(row.mode)),
            row.meaning,
        );
    }
    for unit in MAGNITUDES {
        add(format!("magnitude-{unit}"), unit);
    }
    for (name, english) in VERDICTS {
        add(format!("verdict-{name}"), english);
    }
    all.sort();
    all.dedup();
    all
}
