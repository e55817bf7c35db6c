//! `link`: asks a controller at the other end of a TCP line, and follows it.

use super::args::Format;
use super::args::link::{At, Get, Link, LinkAsk, Put, Slot, Start, Watch};
use super::output::{say, show};
use super::serve::told;
use super::stored::{beside, compiled, difference, seconds, shown, value};
use super::terminal::Terminal;
use super::told::pretty;
use super::{Answer, Failure};
use firmware_core::link::message::{LinkRefusal, Reason, Report};
use firmware_core::sequence::{Command, Phase, State};
use serde_json::{Value, json};
use std::fmt::Write as _;
use std::net::{SocketAddr, TcpStream};
use std::time::{Duration, Instant, SystemTime, UNIX_EPOCH};
use twinplate_link::client::{Client, LinkError};

/// Version of the JSON.
const SCHEMA: u16 = 1;
/// Clock time between two looks.
const LOOK: Duration = Duration::from_millis(50);
/// Ticks between two reports that a cycle is followed by after a start.
const FOLLOWED: u16 = 100;

type Line = Client<TcpStream>;

/// Asks what was typed.
///
/// # Errors
/// Nobody there, bad files. What the controller refuses is the answer no.
pub fn link(typed: Link, terminal: Terminal) -> Result<Answer, Failure> {
    let width = terminal.out.width;
    let order = |at: &At, command| order(at, command, width);
    match &typed.ask {
        LinkAsk::List(at) => list(at, width),
        LinkAsk::Put(put) => self::put(put, width),
        LinkAsk::Get(get) => self::get(get, width),
        LinkAsk::Erase(slot) => slotted(slot, "erased", width, Line::erase),
        LinkAsk::Recall(slot) => slotted(slot, "recalled", width, Line::recall),
        LinkAsk::State(at) => state(at, width),
        LinkAsk::Watch(typed) => watch(typed, width),
        LinkAsk::Start(typed) => start(typed, width),
        LinkAsk::Restart(at) => order(at, Command::Restart),
        LinkAsk::Reset(at) => order(at, Command::Reset),
        LinkAsk::Hold(at) => order(at, Command::Hold),
        LinkAsk::Stop(at) => order(at, Command::Stop),
        LinkAsk::Abort(at) => order(at, Command::Abort),
        LinkAsk::Acknowledge(at) => {
            let mut line = connect(at.address)?;
            done(at, line.acknowledge(), "acknowledged", width)
        }
    }
}

fn connect(address: SocketAddr) -> Result<Line, Failure> {
    let now = SystemTime::now().duration_since(UNIX_EPOCH);
    let nonce = now.map_or(0, |since| since.subsec_nanos());
    Client::connect(address, nonce).map_err(|error| failed(address, &error))
}

fn failed(address: SocketAddr, error: &LinkError) -> Failure {
    let cure = match error {
        LinkError::Line { .. } | LinkError::NoAnswer => {
            "see that `serve` or the controller runs there, and that the address is its own"
        }
        LinkError::Version { .. } | LinkError::Strange => {
            "use the program that was built with the controller"
        }
        LinkError::Refused { .. } => "see what the controller says",
    };
    Failure::new(format!("{address}: {error}"), cure)
}

/// What came back, or the refusal: that is an answer.
enum Came<T> {
    Back(T),
    Refused(Reason),
}

fn came<T>(at: &At, result: Result<T, LinkError>) -> Result<Came<T>, Failure> {
    match result {
        Ok(back) => Ok(Came::Back(back)),
        Err(LinkError::Refused { reason, .. }) => Ok(Came::Refused(reason)),
        Err(error) => Err(failed(at.address, &error)),
    }
}

/// Says the result in its form; `verdict` is the last line of the text.
fn answer(at: &At, text: &str, json: Value, width: usize, yes: bool) -> Result<Answer, Failure> {
    match at.format {
        Format::Text => show(text, width)?,
        Format::Json => say(&pretty(&json))?,
    }
    Ok(if yes { Answer::Yes } else { Answer::No })
}

fn no(at: &At, reason: Reason, width: usize) -> Result<Answer, Failure> {
    let text = format!("refused: {}\n", reason.word());
    let refused = json!({ "number": reason.number(), "name": reason.name(), "why": reason.word() });
    let json = json!({ "schema": SCHEMA, "done": false, "refused": refused });
    answer(at, &text, json, width, false)
}

fn done(
    at: &At,
    result: Result<(), LinkError>,
    what: &str,
    width: usize,
) -> Result<Answer, Failure> {
    match came(at, result)? {
        Came::Refused(reason) => no(at, reason, width),
        Came::Back(()) => {
            let json = json!({ "schema": SCHEMA, "done": true });
            answer(at, &format!("{what}\n"), json, width, true)
        }
    }
}

fn order(at: &At, command: Command, width: usize) -> Result<Answer, Failure> {
    let mut line = connect(at.address)?;
    done(at, line.command(command), command.word(), width)
}

fn slotted(
    slot: &Slot,
    what: &str,
    width: usize,
    act: impl FnOnce(&mut Line, u8) -> Result<(), LinkError>,
) -> Result<Answer, Failure> {
    let mut line = connect(slot.at.address)?;
    let result = act(&mut line, slot.slot);
    done(
        &slot.at,
        result,
        &format!("slot {}: {what}", slot.slot),
        width,
    )
}

fn list(at: &At, width: usize) -> Result<Answer, Failure> {
    let mut line = connect(at.address)?;
    let slots = line.welcome().slots;
    let entries = match came(at, line.list())? {
        Came::Refused(reason) => return no(at, reason, width),
        Came::Back(entries) => entries,
    };
    let mut text = String::new();
    for entry in &entries {
        let _ = writeln!(text, "{:>4}  {}", entry.slot, entry.name);
    }
    let _ = writeln!(text, "{} of {slots} slots hold a recipe", entries.len());
    let stored: Vec<Value> = entries
        .iter()
        .map(|entry| json!({ "slot": entry.slot, "name": entry.name.as_str() }))
        .collect();
    let json = json!({ "schema": SCHEMA, "slots": slots, "stored": stored });
    answer(at, &text, json, width, true)
}

fn put(typed: &Put, width: usize) -> Result<Answer, Failure> {
    let recipe = compiled(typed.files.clone())?;
    let (at, slot) = (&typed.slot.at, typed.slot.slot);
    let what = format!("slot {slot}: {} stored", recipe.name);
    let mut line = connect(at.address)?;
    done(at, line.put(slot, recipe), &what, width)
}

fn get(typed: &Get, width: usize) -> Result<Answer, Failure> {
    let (at, slot) = (&typed.slot.at, typed.slot.slot);
    let other = typed.beside.as_deref().map(beside).transpose()?;
    let mut line = connect(at.address)?;
    let recipe = match came(at, line.get(slot))? {
        Came::Refused(reason) => return no(at, reason, width),
        Came::Back(recipe) => recipe,
    };
    let mut text = shown(slot, &recipe);
    let mut json = json!({ "schema": SCHEMA, "slot": slot, "recipe": value(&recipe) });
    let Some(other) = other else {
        return answer(at, &text, json, width, true);
    };
    let (told, list, same) = difference(&recipe, &other);
    text += &told;
    json["different"] = list;
    answer(at, &text, json, width, same)
}

fn place(report: &Report) -> String {
    let status = &report.status;
    format!("{}, {}", status.state.word(), status.phase.word())
}

fn state(at: &At, width: usize) -> Result<Answer, Failure> {
    let mut line = connect(at.address)?;
    let report = match came(at, line.state())? {
        Came::Refused(reason) => return no(at, reason, width),
        Came::Back(report) => report,
    };
    let status = &report.status;
    let text = format!(
        "{}\nstep {}, load {:.1} N of {:.1} N, {} batches\nremote start {}\n",
        place(&report),
        u32::from(status.step) + 1,
        status.load.get(),
        status.reference.get(),
        report.batches,
        if report.armed { "armed" } else { "not armed" }
    );
    let json = json!({ "schema": SCHEMA, "report": report });
    answer(at, &text, json, width, true)
}

fn start(typed: &Start, width: usize) -> Result<Answer, Failure> {
    let at = &typed.at;
    let mut line = connect(at.address)?;
    let next = line.state().map_err(|error| failed(at.address, &error))?;
    let until = Instant::now() + Duration::from_secs_f64(typed.wait);
    let started = loop {
        let result = line.command(Command::Start);
        let not_armed = LinkError::Refused {
            reason: Reason::Link(LinkRefusal::NotArmed),
            detail: 0,
        };
        // The session must stand when the panel arms: it waits here, and is heard of.
        if result == Err(not_armed) && Instant::now() < until {
            std::thread::sleep(LOOK);
            continue;
        }
        break result;
    };
    if !typed.watch || started.is_err() {
        return done(at, started, Command::Start.word(), width);
    }
    let followed = Followed {
        at,
        every: FOLLOWED,
        until: None,
        width,
    };
    followed.follow(&mut line, next.next_event)
}

fn watch(typed: &Watch, width: usize) -> Result<Answer, Failure> {
    let at = &typed.at;
    let mut line = connect(at.address)?;
    let report = line.state().map_err(|error| failed(at.address, &error))?;
    let longest = typed.longest.map(Duration::from_secs_f64);
    let followed = Followed {
        at,
        every: typed.every,
        until: longest.map(|longest| Instant::now() + longest),
        width,
    };
    followed.follow(&mut line, report.next_event)
}

/// How a controller is followed.
struct Followed<'a> {
    at: &'a At,
    every: u16,
    until: Option<Instant>,
    width: usize,
}

impl Followed<'_> {
    /// Until the cycle that runs, or the next one, ends: yes where it completes.
    fn follow(&self, line: &mut Line, mut next: u32) -> Result<Answer, Failure> {
        let lost = |error: LinkError| failed(self.at.address, &error);
        line.subscribe(self.every).map_err(lost)?;
        let (mut last, mut ran) = (None, false);
        loop {
            let now = line.state().map_err(lost)?;
            let (events, _, after) = line.events(next).map_err(lost)?;
            next = after;
            for event in events.iter().filter_map(|event| event.event()) {
                ran |= event.state == State::Running && event.phase != Phase::Rest;
                self.print(event.tick.0, "event", &told(&event))?;
            }
            let reports: Vec<Report> = line.reports().chain([now]).collect();
            for report in &reports {
                let status = &report.status;
                let step = (status.state, status.phase, status.step);
                ran |= matches!(
                    status.state,
                    State::Running | State::Holding | State::Held | State::Restarting
                );
                if last != Some(step) {
                    last = Some(step);
                    let load = status.load.get();
                    let text = format!("{}, load {load:.0} N", place(report));
                    self.print(status.tick.0, "state", &text)?;
                }
            }
            match now.status.state {
                State::Complete if ran => return Ok(Answer::Yes),
                State::Stopped | State::Aborted if ran => return Ok(Answer::No),
                _ if self.until.is_some_and(|until| Instant::now() >= until) => {
                    return Ok(Answer::Yes);
                }
                _ => std::thread::sleep(LOOK),
            }
        }
    }

    fn print(&self, tick: u32, kind: &str, text: &str) -> Result<(), Failure> {
        match self.at.format {
            Format::Text => show(&format!("{:9.1} s  {text}\n", seconds(tick)), self.width),
            Format::Json => say(&format!(
                "{}\n",
                json!({ "schema": SCHEMA, "tick": tick, "kind": kind, "text": text })
            )),
        }
    }
}
