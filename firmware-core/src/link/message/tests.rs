//! Messages against the page: every row with bytes, every number, every field in its order.

use super::*;
use crate::link::frame::{MAX_BODY, MAX_FRAME, write};
use crate::link::page::{bytes, field, table};
use crate::plate_form::{FormControl, MAX_SETTINGS, RingSetting};
use crate::process_image::ALL_DRIVES;
use crate::recipe::{ALL_PROCESS_KINDS, EndWire, MAX_STEPS, ProcessKind, StepWire};
use crate::sequence::{ALL_COMMANDS, ALL_MODES, ALL_PHASES, ALL_REFUSALS, ALL_STATES};
use crate::status::{ALL_LOAD_MODES, ALL_RESPONSES};
use crate::units::{Micrometres, MillilitresPerMinute, Newtons, NewtonsPerSecond, Rpm};
use serde::de::DeserializeOwned;
use std::format;
use std::string::String as Text;
use std::vec::Vec as List;

/// A value of a row: from bytes with nothing left over, and back to the same bytes.
fn row<T: Serialize + DeserializeOwned + PartialEq + core::fmt::Debug>(data: &[u8]) -> Option<T> {
    let (value, rest) = postcard::take_from_bytes::<T>(data).ok()?;
    assert!(rest.is_empty(), "{data:?}");
    let mut out = [0; 32];
    assert_eq!(postcard::to_slice(&value, &mut out).expect("room"), data);
    Some(value)
}

/// The format is the published one: rows of its specification, on the page.
#[test]
fn values_are_as_published() {
    let rows = table("values");
    assert!(rows.len() >= 20);
    for cells in rows {
        let data = bytes(&cells[2]);
        let shown = |text: Option<Text>| text.unwrap_or_default();
        let found = match cells[0].as_str() {
            "u16" => shown(row::<u16>(&data).map(|v| format!("{v}"))),
            "i16" => shown(row::<i16>(&data).map(|v| format!("{v}"))),
            "f32" => shown(row::<f32>(&data).map(|v| format!("{v:.9}"))),
            "bool" => shown(row::<bool>(&data).map(|v| format!("{v}"))),
            other => panic!("{other}"),
        };
        assert_eq!(found, cells[1], "{cells:?}");
        assert_eq!(!found.is_empty(), cells[3] == "yes", "{cells:?}");
    }
}

fn sample() -> RecipeWire {
    let params = crate::params::tests::sample().check().expect("valid");
    RecipeWire {
        machine_id: 1,
        params_hash: 2,
        ..crate::recipe::sample(&params, 265.0, 350.0)
    }
}

/// The request that a row of the page names.
fn request(name: &str, fields: &str) -> Ask {
    let number = |name| field(fields, name).parse::<u32>().expect("a number");
    let small = |name| u8::try_from(number(name)).expect("a byte");
    let float = |name| field(fields, name).parse::<f32>().expect("a number");
    match name {
        "hello" => Ask::Hello {
            version: u16::from(small("version")),
            nonce: number("nonce"),
        },
        "read-state" => Ask::ReadState,
        "list" => Ask::List {
            from: small("from"),
        },
        "recall" => Ask::Recall {
            slot: small("slot"),
        },
        "put" => Ask::Put {
            slot: small("slot"),
            recipe: sample(),
        },
        "get" => Ask::Get {
            slot: small("slot"),
        },
        "erase" => Ask::Erase {
            slot: small("slot"),
        },
        "do" => Ask::Do {
            command: small("command"),
        },
        "acknowledge" => Ask::Acknowledge,
        "read-events" => Ask::ReadEvents {
            since: number("since"),
        },
        "set-gains" => Ask::SetGains {
            kc: PerNewton::new(float("kc")),
            ti: Seconds::new(float("ti")),
            setpoint_weight: Ratio::new(float("setpoint_weight")),
        },
        "subscribe" => Ask::Subscribe {
            every: u16::from(small("every")),
        },
        other => panic!("{other}"),
    }
}

#[test]
fn bodies_are_taken_or_refused_as_the_page_says() {
    let rows = table("bodies");
    let requests = table("ask");
    for (number, cells) in requests.iter().enumerate() {
        assert_eq!(cells[0], format!("{number}"));
        let tried = rows.iter().any(|row| row[0] == cells[1] && row[3] == "yes");
        assert!(tried, "{} has no row with bytes", cells[1]);
    }
    for cells in rows {
        let data = bytes(&cells[2]);
        let understood = postcard::take_from_bytes::<Head>(&data)
            .ok()
            .filter(|(head, _)| head.role == ROLE_REQUEST)
            .and_then(|(head, rest)| Some((head, postcard::take_from_bytes::<Ask>(rest).ok()?)))
            .filter(|(_, (_, left))| left.is_empty());
        if cells[3] != "yes" {
            assert!(understood.is_none(), "{cells:?}: {understood:?}");
            continue;
        }
        let (head, (ask, _)) = understood.expect(&cells[0]);
        let number = |name| field(&cells[1], name).parse::<u32>().expect("a number");
        assert_eq!(
            (head.session, head.number),
            (number("session"), number("number"))
        );
        assert_eq!(ask, request(&cells[0], &cells[1]), "{cells:?}");
        let mut out = [0; MAX_BODY];
        let again = postcard::to_slice(&(head, ask), &mut out).expect("room");
        assert_eq!(again, data, "{cells:?}");
    }
}

/// Every number with its name, as the page lists them; those that the line carries as places in their list are their own places.
#[test]
fn numbers_are_those_of_the_page() {
    let listed = |pairs: &[(u16, &str)]| {
        let pairs: List<Text> = pairs
            .iter()
            .map(|(n, name)| format!("{n} {name}"))
            .collect();
        pairs.join(", ")
    };
    macro_rules! pairs {
        ($all:expr) => {
            $all.map(|m| (m as u16, m.name()))
        };
    }
    let mut expected: List<(&str, Text)> = List::new();
    macro_rules! by_place {
        ($of:literal, $all:expr) => {
            for (place, member) in (0_u16..).zip($all) {
                assert_eq!(member as u16, place, "{}", $of);
            }
            expected.push(($of, listed(&pairs!($all))));
        };
    }
    by_place!("state", ALL_STATES);
    by_place!("phase", ALL_PHASES);
    by_place!("mode", ALL_MODES);
    by_place!("plate", crate::sequence::ALL_PLATES);
    by_place!("load-mode", ALL_LOAD_MODES);
    by_place!("response", ALL_RESPONSES);
    by_place!("process-kind", ALL_PROCESS_KINDS);
    expected.push(("command", listed(&pairs!(ALL_COMMANDS))));
    expected.push((
        "event-kind",
        listed(&pairs!(crate::events::ALL_EVENT_KINDS)),
    ));
    let reasons = [pairs!(ALL_REFUSALS).as_slice(), &pairs!(ALL_LINK_REFUSALS)].concat();
    expected.push(("reason", listed(&reasons)));
    let found = table("numbers");
    let found: List<(&str, Text)> = found
        .iter()
        .map(|r| (r[0].as_str(), r[1].clone()))
        .collect();
    assert_eq!(found, expected);
    for (number, name) in reasons {
        let reason = Reason::numbered(number).expect(name);
        assert_eq!((reason.number(), reason.name()), (number, name));
        assert!(!reason.word().is_empty());
    }
    assert_eq!(Reason::numbered(99), None);
    assert!(
        ALL_REFUSALS
            .iter()
            .all(|r| (*r as u16) < LinkRefusal::WrongVersion as u16)
    );
}

/// Names of the outermost fields in the order in which they are declared, and so sent: what `Debug` shows.
fn fields(shown: &str) -> List<Text> {
    let (mut depth, mut names) = (0, List::new());
    let (_, inside) = shown.split_once('{').expect("a structure");
    for piece in inside.split_inclusive([',', '{', '}', '(', ')', '[', ']']) {
        if depth == 0
            && let Some((name, _)) = piece.split_once(':')
        {
            names.push(Text::from(name.trim()));
        }
        match piece.chars().last() {
            Some('{' | '(' | '[') => depth += 1,
            Some('}' | ')' | ']') => depth -= 1,
            _ => {}
        }
    }
    names
}

fn longest() -> RecipeWire {
    let change = [Micrometres::new(-1.5); 2];
    let setting = RingSetting {
        reversed: true,
        trim: Ratio::new(0.1),
        change,
    };
    let step = StepWire {
        load: Newtons::new(1.0),
        load_limit: Newtons::new(1.0),
        ramp: NewtonsPerSecond::new(1.0),
        speeds: ALL_DRIVES.map(|_| Rpm::new(1.0)),
        flow: MillilitresPerMinute::new(1.0),
        end: EndWire::Time(Ticks(u32::MAX)),
        longest: Ticks(u32::MAX),
    };
    RecipeWire {
        schema: u16::MAX,
        name: String::try_from("MMMMMMMMMMMMMMMMMMMMMMMM").expect("24 letters"),
        machine_id: u32::MAX,
        params_hash: u32::MAX,
        process: ProcessKind::FixedAbrasive,
        pieces: u16::MAX,
        contact_height: Micrometres::new(1.0),
        prestart: Ticks(u32::MAX),
        prestart_flow: MillilitresPerMinute::new(1.0),
        rinse: Ticks(u32::MAX),
        size_lower: Micrometres::new(1.0),
        flatness: Some(FormControl {
            settings: [setting; MAX_SETTINGS].into_iter().collect(),
            deadband: Micrometres::new(1.0),
            limit: Micrometres::new(1.0),
            longest: u16::MAX,
        }),
        steps: [step; MAX_STEPS].into_iter().collect(),
    }
}

#[test]
fn structures_have_the_fields_of_the_page_in_its_order() {
    let recipe = longest();
    let control = recipe.flatness.clone().expect("just made");
    let report = Report {
        status: Status::blank(1),
        armed: false,
        batches: 0,
        next_event: 0,
    };
    let event = EventWire {
        tick: Ticks::ZERO,
        kind: 1,
        cause: 0,
        detail: 0,
        state: State::Idle,
        phase: Phase::Rest,
    };
    let head = Head {
        role: ROLE_REQUEST,
        session: 0,
        number: 0,
    };
    let telemetry = Telemetry {
        role: ROLE_TELEMETRY,
        session: 0,
        report,
    };
    let entry = Entry {
        slot: 1,
        name: String::new(),
    };
    let page = table("layouts");
    for (structure, shown) in [
        ("request", format!("{head:?}")),
        ("reply", format!("{head:?}")),
        ("telemetry", format!("{telemetry:?}")),
        ("entry", format!("{entry:?}")),
        ("event", format!("{event:?}")),
        ("report", format!("{report:?}")),
        ("status", format!("{:?}", report.status)),
        ("recipe", format!("{recipe:?}")),
        ("form-control", format!("{control:?}")),
        ("ring-setting", format!("{:?}", control.settings[0])),
        ("step", format!("{:?}", recipe.steps[0])),
    ] {
        let mut on_page: List<Text> = page
            .iter()
            .filter(|row| row[0] == structure)
            .map(|row| row[1].clone())
            .collect();
        on_page.retain(|field| field != "ask" && field != "answer");
        assert_eq!(fields(&shown), on_page, "{structure}");
    }
}

/// No message of the core is longer than a body: nothing is lost for want of room.
#[test]
fn the_longest_messages_fit() {
    let head = Head {
        role: ROLE_REPLY,
        session: u32::MAX,
        number: u32::MAX,
    };
    let event = EventWire {
        tick: Ticks(u32::MAX),
        kind: u16::MAX,
        cause: u16::MAX,
        detail: i32::MIN,
        state: State::Complete,
        phase: Phase::Manual,
    };
    let entry = Entry {
        slot: u8::MAX,
        name: longest().name,
    };
    let mut frame = [0; MAX_FRAME];
    let recipe = longest();
    let put = Ask::Put { slot: 255, recipe };
    assert!(write(&(head, put), &mut frame).is_ok());
    for reply in [
        Reply::Recipe { recipe: longest() },
        Reply::Listed {
            entries: (0..MAX_LISTED).map(|_| entry.clone()).collect(),
        },
        Reply::Events {
            next: u32::MAX,
            lost: u32::MAX,
            events: [event; MAX_EVENTS].into_iter().collect(),
        },
    ] {
        let len = write(&(head, &reply), &mut frame).expect("room");
        assert!(len <= MAX_FRAME);
    }
}
