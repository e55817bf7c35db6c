//! One connection to a station: reads what a browser says, writes what the station tells. Generic over what it reads from and
//! writes to, so that channels stand in for a socket in tests.
//!
//! Reading and writing wait for nothing of each other: whoever does not read can still press the emergency stop. Frames come from
//! a place that holds the newest alone, so that a slow reader gets fewer; news comes from the station's own list, so that it gets all;
//! a reader that does not take a message within [`WRITE_WITHIN`] is dropped, it alone.

use super::desk::Client;
use super::gate::{Gate, Who};
use super::rate::{Bucket, MESSAGES_A_SECOND};
use super::station::{Joining, OUTBOX, Order, Out, Station, text};
use axum::extract::ws::{CloseFrame, Message, Utf8Bytes, close_code};
use futures_util::{Sink, SinkExt, Stream, StreamExt};
use std::sync::Arc;
use std::time::Duration;
use tokio::sync::mpsc;
use tokio::time::{Instant, MissedTickBehavior, interval, timeout, timeout_at};
use twinplate_sim::training::act::Act;
use twinplate_train::protocol::{Ask, LONGEST_SAID, PROTOCOL, Role, Said, Tell};
use twinplate_words::Words;

/// The first message comes within this.
pub const JOIN_WITHIN: Duration = Duration::from_secs(5);
/// A message is taken by its reader within this.
pub const WRITE_WITHIN: Duration = Duration::from_secs(5);
/// How often a sign of life is asked for.
pub const PING_EVERY: Duration = Duration::from_secs(1);
/// After so long without a sign of life the connection counts as lost.
pub const LOST: Duration = Duration::from_secs(10);
/// Whoever is sent away has so long to hear why.
const LINGER: Duration = Duration::from_secs(1);
/// News handed to the socket in one go.
const NEWS_AT_ONCE: usize = 64;

/// Why a connection is closed: a word, and a sentence for people.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Farewell {
    code: &'static str,
    why: String,
}

impl Farewell {
    const fn new(code: &'static str, why: String) -> Self {
        Self { code, why }
    }

    fn text(self) -> Utf8Bytes {
        text(&Tell::Closing {
            code: self.code.into(),
            why: self.why,
        })
    }
}

/// Sees the connection gone, however its task ends.
struct Leaves<'a>(&'a Station, Client);

impl Drop for Leaves<'_> {
    fn drop(&mut self) {
        self.0.order(Order::Leave(self.1));
    }
}

/// Serves one connection until its end.
pub(crate) async fn attend<I, O, E>(
    gate: &Gate,
    station: &Arc<Station>,
    words: &Words,
    mut incoming: I,
    mut outgoing: O,
) where
    I: Stream<Item = Result<Message, E>> + Unpin,
    O: Sink<Message> + Unpin,
{
    let last = match join(gate, words, &mut incoming).await {
        Ok((said, role, seat, seen)) => {
            let (out, mut outbox) = mpsc::channel(OUTBOX);
            let client = station.next_client();
            // Subscribed before the station knows of it: nothing falls in between.
            let writer = Writer {
                station,
                role,
                seen,
                outgoing: &mut outgoing,
            };
            let joining = Joining {
                client,
                role,
                seat,
                out,
            };
            if station.order(Order::Join(joining)) {
                let _leaves = Leaves(station, client);
                tracing::debug!(station = station.name, client, said, "joined");
                tokio::select! {
                    farewell = read(station, words, (client, role), &mut incoming) => {
                        farewell.map(Farewell::text)
                    }
                    last = writer.write(&mut outbox) => last,
                }
            } else {
                Some(busy(words).text())
            }
        }
        Err(farewell) => farewell.map(Farewell::text),
    };
    if let Some(last) = last {
        tracing::debug!(station = station.name, last = last.as_str(), "closing");
        part(&mut incoming, &mut outgoing, last).await;
    }
}

fn busy(words: &Words) -> Farewell {
    Farewell::new("busy", words.say("closing-busy"))
}

/// Tells a connection that there is no such station, and closes it. A browser cannot see why a socket was not opened.
pub(crate) async fn turn_away<I, O, E>(words: &Words, mut incoming: I, mut outgoing: O)
where
    I: Stream<Item = Result<Message, E>> + Unpin,
    O: Sink<Message> + Unpin,
{
    let last = Farewell::new("no-station", words.say("closing-no-station")).text();
    part(&mut incoming, &mut outgoing, last).await;
}

/// Says the last word and closes.
async fn part<I, O, E>(incoming: &mut I, outgoing: &mut O, last: Utf8Bytes)
where
    I: Stream<Item = Result<Message, E>> + Unpin,
    O: Sink<Message> + Unpin,
{
    let close = Message::Close(Some(CloseFrame {
        code: close_code::POLICY,
        reason: Utf8Bytes::from_static(""),
    }));
    let _ = timeout(WRITE_WITHIN, async {
        if outgoing.send(Message::Text(last)).await.is_ok() {
            let _ = outgoing.send(close).await;
        }
    })
    .await;
    // A socket that is closed while messages come takes the farewell back. Some are read for nothing, then.
    let _ = timeout(LINGER, async {
        while let Some(Ok(_)) = incoming.next().await {}
    })
    .await;
}

type Joined = (u32, Role, Option<String>, usize);

/// The first message must be a join, of our protocol, with our token.
async fn join<I, E>(
    gate: &Gate,
    words: &Words,
    incoming: &mut I,
) -> Result<Joined, Option<Farewell>>
where
    I: Stream<Item = Result<Message, E>> + Unpin,
{
    let farewell = |code, why| Err(Some(Farewell::new(code, why)));
    let deadline = Instant::now() + JOIN_WITHIN;
    let said = loop {
        let Ok(next) = timeout_at(deadline, incoming.next()).await else {
            return farewell("join-first", words.say("closing-join-late"));
        };
        if let Some(said) = understand(words, next)? {
            break said;
        }
    };
    let Ask::Join {
        protocol,
        role,
        token,
        seat,
        seen,
    } = said.ask
    else {
        return farewell("join-first", words.say("closing-join-first"));
    };
    if protocol != PROTOCOL {
        let (ours, theirs) = (PROTOCOL.to_string(), protocol.to_string());
        let told = [("ours", ours.into()), ("theirs", theirs.into())];
        return farewell("protocol", words.tell("closing-protocol", &told));
    }
    let Ok(who) = gate.check(token.as_bytes()) else {
        return farewell("token", words.say("closing-token"));
    };
    if role == Role::Instructor && who.may(Who::Instructor).is_err() {
        return farewell("instructor", words.say("closing-instructor"));
    }
    Ok((
        said.id,
        role,
        seat,
        usize::try_from(seen).unwrap_or(usize::MAX),
    ))
}

/// A message of the socket: what was said, `None` for a mere sign of life.
///
/// # Errors
/// The end of the connection, with a farewell where there is a reason to give.
fn understand<E>(
    words: &Words,
    next: Option<Result<Message, E>>,
) -> Result<Option<Said>, Option<Farewell>> {
    let farewell = |code, why| Err(Some(Farewell::new(code, why)));
    match next {
        None | Some(Ok(Message::Close(_))) => Err(None),
        // Too long for the socket's own limit, or broken; where the line is dead, nobody hears it.
        Some(Err(_)) => farewell("unreadable", words.say("closing-unreadable")),
        Some(Ok(Message::Ping(_) | Message::Pong(_))) => Ok(None),
        Some(Ok(Message::Binary(_))) => farewell("not-text", words.say("closing-not-text")),
        Some(Ok(Message::Text(said))) if said.len() > LONGEST_SAID => {
            let (bytes, most) = (said.len().to_string(), LONGEST_SAID.to_string());
            let told = [("bytes", bytes.into()), ("most", most.into())];
            farewell("too-long", words.tell("closing-too-long", &told))
        }
        Some(Ok(Message::Text(said))) => match serde_json::from_str(&said) {
            Ok(said) => Ok(Some(said)),
            Err(error) => {
                let told = [("error", error.to_string().into())];
                let why = words.tell("closing-not-understood", &told);
                farewell("not-understood", why)
            }
        },
    }
}

/// Reads until the connection ends. `None` where nobody is there to be told why.
async fn read<I, E>(
    station: &Station,
    words: &Words,
    (client, role): (Client, Role),
    incoming: &mut I,
) -> Option<Farewell>
where
    I: Stream<Item = Result<Message, E>> + Unpin,
{
    let start = Instant::now();
    let mut bucket = Bucket::new(Duration::ZERO);
    let mut heard = start;
    loop {
        let Ok(next) = timeout_at(heard + LOST, incoming.next()).await else {
            return Some(Farewell::new("lost", words.say("closing-lost")));
        };
        heard = Instant::now();
        if next.is_some() && !bucket.take(heard - start) {
            let why = words.tell("closing-too-many", &[("most", MESSAGES_A_SECOND.into())]);
            return Some(Farewell::new("too-many", why));
        }
        let said = match understand(words, next) {
            Ok(Some(said)) => said,
            Ok(None) => continue,
            Err(farewell) => return farewell,
        };
        match said.ask {
            Ask::Join { .. } => {
                let why = words.say("closing-joined-already");
                return Some(Farewell::new("joined-already", why));
            }
            // Whoever stands at the machine may press it; no control is asked for.
            Ask::Operate {
                act: Act::PressEmergencyStop,
            } if role == Role::Operator => station.press(client, said.id),
            ask => {
                if !station.order(Order::Ask(client, said.id, ask)) {
                    return Some(busy(words));
                }
            }
        }
    }
}

/// The writing half.
struct Writer<'a, O> {
    station: &'a Station,
    role: Role,
    /// News that this reader has seen.
    seen: usize,
    outgoing: &'a mut O,
}

impl<O: Sink<Message> + Unpin> Writer<'_, O> {
    /// Writes until the station closes the connection or the reader does not take it; gives what the station has to say last.
    async fn write(mut self, outbox: &mut mpsc::Receiver<Out>) -> Option<Utf8Bytes> {
        // The first is the welcome, or a refusal.
        match outbox.recv().await? {
            Out::Tell(first) => {
                if !self.send(Message::Text(first)).await {
                    return None;
                }
            }
            Out::Last(last) => return Some(last),
        }
        let mut newest = self.station.newest();
        let mut frames = self.station.frames();
        self.seen = self.seen.min(*newest.borrow());
        newest.mark_changed();
        if !frames.borrow().is_empty() {
            frames.mark_changed();
        }
        let mut ping = interval(PING_EVERY);
        ping.set_missed_tick_behavior(MissedTickBehavior::Delay);
        loop {
            let going_on = tokio::select! {
                biased;
                out = outbox.recv() => match out? {
                    Out::Tell(text) => self.send(Message::Text(text)).await,
                    Out::Last(last) => return Some(last),
                },
                Ok(()) = newest.changed() => {
                    let until = *newest.borrow_and_update();
                    self.news(until).await
                }
                _ = ping.tick() => self.send(Message::Ping(Vec::new().into())).await,
                Ok(()) = frames.changed() => {
                    let frame = frames.borrow_and_update().clone();
                    self.send(Message::Text(frame)).await
                }
            };
            if !going_on {
                return None;
            }
        }
    }

    /// All news up to a number.
    async fn news(&mut self, until: usize) -> bool {
        while self.seen < until {
            let (news, seen) = self.station.news_after(self.seen, NEWS_AT_ONCE, self.role);
            for text in news {
                if !self.send(Message::Text(text)).await {
                    return false;
                }
            }
            if seen == self.seen {
                break;
            }
            self.seen = seen;
        }
        true
    }

    /// Sends one message. `false` when the reader is gone or does not take it.
    async fn send(&mut self, message: Message) -> bool {
        matches!(
            timeout(WRITE_WITHIN, self.outgoing.send(message)).await,
            Ok(Ok(()))
        )
    }
}

#[cfg(test)]
#[path = "visit_tests.rs"]
mod tests;
