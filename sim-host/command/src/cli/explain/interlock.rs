//! An interlock row as a page.

use super::{KINDS, Page};
use firmware_core::interlock::{Debounce, Effect, ResetRule, Respond, Row};
use firmware_core::status::Response;

/// The page of a row.
#[must_use]
pub fn page(row: &Row) -> Page {
    let (level, why) = match row.respond {
        Respond::With(response) => (
            match response.stop_category() {
                Some(category) => format!("{} (category {category})", response.word()),
                None => response.word().to_owned(),
            },
            why(response),
        ),
        Respond::EstopCategory => (
            format!("stop, {}", row.respond.word()),
            "Somebody saw danger. The category of the stop, 1 or 0, is a parameter of the machine. By default the machine stops under \
             control within its monitored time, because coasting from full speed takes longer.",
        ),
    };
    let mut text = vec![
        ("What", row.happened.to_owned()),
        ("Rule", format!("Watched {}: {}, {}.", row.watch.text(), row.inputs, debounce(row.debounce))),
        ("Why", why.to_owned()),
        ("Remedy", row.cure.to_owned()),
        (
            "Reset",
            match row.reset {
                ResetRule::Follows => "Clears with its condition; nothing starts by itself.",
                ResetRule::Reset => "Latched: the condition must be gone, then Reset, then a fresh Start.",
                ResetRule::CycleBoth => {
                    "Latched: both channels must be seen off and on again, then Reset, then a fresh Start."
                }
            }
            .to_owned(),
        ),
    ];
    match row.effect {
        Effect::None => {}
        Effect::EndByTime => text.push((
            "Also",
            "A step that would end by gauge ends at its longest time.".to_owned(),
        )),
        Effect::DisarmRemote => text.push(("Also", "Remote start is disarmed.".to_owned())),
    }
    Page {
        kind: KINDS[1],
        id: Some(row.id),
        code: row.name,
        level,
        text,
    }
}

fn debounce(debounce: Debounce) -> String {
    match debounce {
        Debounce::Ticks(0 | 1) => "at once".to_owned(),
        Debounce::Ticks(ticks) => format!("for {ticks} ms"),
        Debounce::StopTime => "for the machine's monitored stop time".to_owned(),
        Debounce::CoastTime => "for the machine's longest coast (its film life)".to_owned(),
        Debounce::SettleLimit => "for the machine's settling limit".to_owned(),
    }
}

/// Why a response is given.
const fn why(response: Response) -> &'static str {
    match response {
        Response::None => "It is recorded.",
        Response::Alarm => "The cycle can go on, but somebody should know before it gets worse.",
        Response::StartInhibit => "Nothing is moving, and nothing may start while this is so.",
        Response::Hold => {
            "The batch can be saved: the load goes to initial load, the plates run down wet, and the cycle waits. A hold that \
             lasts too long becomes a stop."
        }
        Response::StopAtStepEnd => "The step can still be finished in order; the next one cannot.",
        Response::ControlledStop => {
            "Going on could harm parts, plates or people. The load is released at once and the plates are braked wet within the \
             monitored time, which is faster than letting them coast."
        }
        Response::ImmediateStop => {
            "The machine can no longer be trusted to stop itself: power goes off, the cylinder is dumped, the plates coast."
        }
    }
}
