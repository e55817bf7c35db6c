//! The clients: at each session one who works, and one who vanishes, stalls, floods or lies.

use super::world::{Dice, World, held};
use crate::browser::{Answered, Browser, connect};
use crate::house::House;
use std::sync::Arc;
use std::sync::atomic::Ordering;
use std::time::Duration;
use tokio::io::AsyncWriteExt;
use tokio::net::TcpStream;
use tokio::time::{Instant, sleep, timeout};
use tokio_tungstenite::tungstenite::Message;
use twinplate_server::rate::{BURST, MESSAGES_A_SECOND};
use twinplate_sim::training::act::Act;
use twinplate_train::protocol::{Ask, PROTOCOL, Pace, Role, Tell};

/// Exercises that are opened, in turn: with a machine that runs, fails, stops and waits.
const EXERCISES: [&str; 5] = [
    "plain-cycle",
    "slurry-line-blocks",
    "drive-trips",
    "emergency-stop",
    "parts-stuck",
];
/// Paces of the sessions, in turn. Few of the fast ones: the machine that runs the test has other work.
const PACES: [Pace; 5] = [Pace::Real, Pace::Five, Pace::Real, Pace::Five, Pace::Twenty];
/// A session of the long run lasts so long, s, at least and at most; one of the short run a tenth of it.
const LASTS_S: [u64; 2] = [30, 240];
/// One in so many goes away without finishing. Such a station is kept for a quarter of an hour, and there is room for 64: were it more,
/// soon nobody would work.
const ABANDONED: u64 = 20;
/// Longest that somebody who stalls holds his connection, ms. Longer than the server waits for a sign of life.
const STALLS_MS: u64 = 20_000;
/// A flood that breaks the limit, and one that keeps it.
const FLOOD: u32 = 4 * BURST;
const STEADY: Duration = Duration::from_millis(1000 / (MESSAGES_A_SECOND as u64 * 8 / 10));
/// A station that cannot be had is asked for again after.
const AGAIN: Duration = Duration::from_millis(200);

/// One session after the other.
pub async fn slot(world: Arc<World>, slot: usize) {
    let mut number = 0;
    while !world.over() {
        let Some(house) = world.house() else {
            sleep(AGAIN).await;
            continue;
        };
        number += 1;
        let mut dice = Dice::new(world.seed, &format!("slot {slot}"), number);
        let trainee = format!("Trainee {slot}-{number}");
        let body = serde_json::json!({
            "exercise": EXERCISES[(slot + number as usize) % EXERCISES.len()],
            "trainee": trainee,
            "seed": dice.below(1 << 32),
        });
        let Some(station) = opened(&world, &house, &trainee, &body.to_string()).await else {
            sleep(AGAIN).await;
            continue;
        };
        world.count("session");
        let [least, most] = LASTS_S.map(|s| s * if world.short { 100 } else { 1000 });
        let until = Instant::now() + Duration::from_millis(least) + dice.up_to_ms(most - least);
        let until = until.min(world.until);
        let session = Session {
            world: &world,
            house,
            station,
            trainee,
            pace: PACES[slot % PACES.len()],
            until,
        };
        let other = Dice::new(world.seed, &format!("pest {slot}"), number);
        world.working.fetch_add(1, Ordering::Relaxed);
        tokio::join!(session.works(dice), session.is_disturbed(other));
        world.working.fetch_sub(1, Ordering::Relaxed);
    }
}

/// Opens a station: its name, unless the server is full or gone.
async fn opened(world: &World, house: &Arc<House>, trainee: &str, body: &str) -> Option<String> {
    let answer = house.try_post(body).await.ok()?;
    if answer.status == 503 {
        return None;
    }
    world.unless_killed(house, answer.status == 200, || {
        format!("opening: {answer:?}")
    });
    if answer.status != 200 {
        return None;
    }
    let station = answer.json()["station"].as_str().map(str::to_owned)?;
    held(&world.ledger).opened(trainee);
    Some(station)
}

struct Session<'a> {
    world: &'a World,
    house: Arc<House>,
    station: String,
    trainee: String,
    pace: Pace,
    until: Instant,
}

/// The connection or the server is gone.
struct Gone;

impl<E: std::error::Error> From<E> for Gone {
    fn from(_: E) -> Self {
        Self
    }
}

fn acts() -> Vec<Act> {
    use Act::{
        Acknowledge, CheckSlurry, CloseGuard, ConfirmParts, CountParts, Hold, LoadCarriers,
        LockGuard, OpenGuard, PressEmergencyStop, Raise, RecallRecipe, ReleaseEmergencyStop, Reset,
        Restart, Start, Stop, UnlockGuard,
    };
    vec![
        UnlockGuard,
        OpenGuard,
        LoadCarriers,
        CountParts,
        CloseGuard,
        LockGuard,
        CheckSlurry,
        RecallRecipe { slot: 1 },
        ConfirmParts { pieces: 15 },
        Start,
        Hold,
        Restart,
        Acknowledge,
        PressEmergencyStop,
        ReleaseEmergencyStop,
        Reset,
        Raise,
        Reset,
        Stop,
    ]
}

impl Session<'_> {
    /// Whoever works: acts, answered one by one; at the end finishes, or goes away without a word.
    async fn works(&self, mut dice: Dice) {
        let ended = self.operates(&mut dice).await;
        // A connection that works is closed by nobody but its end.
        let fair = ended.is_ok();
        self.world.unless_killed(&self.house, fair, || {
            format!("{}: the connection was lost", self.trainee)
        });
    }

    async fn operates(&self, dice: &mut Dice) -> Result<(), Gone> {
        let mut one = self.join(Role::Operator).await?;
        self.ask(&mut one, Ask::TakeControl).await?;
        self.ask(&mut one, Ask::SetPace { pace: self.pace }).await?;
        if dice.below(4) == 0 {
            return self.never_rests(one, dice).await;
        }
        let acts = acts();
        let mut next = 0;
        while Instant::now() < self.until {
            let pause = Instant::now() + dice.up_to_ms(1500);
            while let Ok(heard) = tokio::time::timeout_at(pause, one.heard()).await {
                if let Tell::Ended { .. } = heard.map_err(|_| Gone)? {
                    held(&self.world.ledger).ended(&self.trainee);
                    return Ok(());
                }
            }
            let act = if dice.below(4) == 0 {
                dice.one(&acts)
            } else {
                next += 1;
                acts[(next - 1) % acts.len()].clone()
            };
            let press = act == Act::PressEmergencyStop;
            let asked = Instant::now();
            let answered = self.ask(&mut one, Ask::Operate { act }).await?;
            if press {
                let ms = asked.elapsed().as_secs_f64() * 1e3;
                let mut counts = held(&self.world.counts);
                counts.slowest_press_ms = twinplate_sim::math::max(counts.slowest_press_ms, ms);
            }
            if answered == Answered::Done {
                held(&self.world.ledger).answered(&self.trainee);
                self.world.count("act");
            }
        }
        self.finishes(one, dice).await
    }

    /// Ends the attempt, or goes away without a word.
    async fn finishes(&self, mut one: Browser, dice: &mut Dice) -> Result<(), Gone> {
        if dice.below(ABANDONED) == 0 {
            return Ok(());
        }
        one.try_say(Ask::Finish).await?;
        loop {
            if let Tell::Ended { .. } = one.heard().await.map_err(|_| Gone)? {
                held(&self.world.ledger).ended(&self.trainee);
                return Ok(());
            }
        }
    }

    /// Has control and does as much as may be done a second, to the end: what a session keeps of it must stay small.
    async fn never_rests(&self, mut one: Browser, dice: &mut Dice) -> Result<(), Gone> {
        while Instant::now() < self.until {
            let act = Act::RecallRecipe { slot: 1 };
            one.try_say(Ask::Operate { act }).await?;
            let pause = Instant::now() + STEADY;
            while let Ok(heard) = tokio::time::timeout_at(pause, one.heard()).await {
                match heard.map_err(|_| Gone)? {
                    Tell::Done { .. } => {
                        held(&self.world.ledger).answered(&self.trainee);
                        self.world.count("act");
                    }
                    Tell::Ended { .. } => {
                        held(&self.world.ledger).ended(&self.trainee);
                        return Ok(());
                    }
                    _ => {}
                }
            }
        }
        self.finishes(one, dice).await
    }

    async fn join(&self, role: Role) -> Result<Browser, Gone> {
        let mut one = Browser::try_silent(&self.house, &self.station).await?;
        let token = self.house.token_of(role).to_owned();
        one.try_say(joining(role, token)).await?;
        while one.welcome.is_none() {
            one.heard().await.map_err(|_| Gone)?;
        }
        Ok(one)
    }

    /// Asks, and waits for the answer; the end of the attempt may come before it.
    async fn ask(&self, one: &mut Browser, ask: Ask) -> Result<Answered, Gone> {
        let asked = one.try_say(ask).await?;
        loop {
            match one.heard().await.map_err(|_| Gone)? {
                Tell::Done { id } if id == asked => return Ok(Answered::Done),
                Tell::Refused { id, code, .. } if id == asked => {
                    return Ok(Answered::Refused(code));
                }
                Tell::Ended { .. } => held(&self.world.ledger).ended(&self.trainee),
                _ => {}
            }
        }
    }

    /// Whoever does not work, one after the other.
    async fn is_disturbed(&self, mut dice: Dice) {
        while Instant::now() < self.until && self.world.lives(&self.house) {
            let what = dice.one(&["vanish", "stall", "flood", "lie"]);
            let _ = match what {
                "vanish" => self.vanishes(&mut dice).await,
                "stall" => self.stalls(&mut dice).await,
                "flood" => self.floods(&mut dice).await,
                _ => self.lies(&mut dice).await,
            };
            self.world.count(what);
            sleep(dice.up_to_ms(500)).await;
        }
    }

    /// Is there, and then is not: without a farewell, in the middle of a message or of a request.
    async fn vanishes(&self, dice: &mut Dice) -> Result<(), Gone> {
        if dice.below(3) == 0 {
            let mut stream = TcpStream::connect(self.house.address).await?;
            stream.write_all(b"GET / HTTP/1.1\r\nhost: ").await?;
            return Ok(());
        }
        let mut one = self
            .join(dice.one(&[Role::Watcher, Role::Operator]))
            .await?;
        let _ = timeout(dice.up_to_ms(1000), async {
            while one.heard().await.is_ok() {}
        })
        .await;
        if dice.below(2) == 0 {
            // A masked text of 126 bytes or more, of which the first two come.
            one.socket.get_mut().write_all(&[0x81, 0xfe]).await?;
        }
        Ok(())
    }

    /// Is there, and reads nothing.
    async fn stalls(&self, dice: &mut Dice) -> Result<(), Gone> {
        let held = dice.up_to_ms(STALLS_MS);
        let until = (Instant::now() + held).min(self.until);
        if dice.below(3) == 0 {
            let mut stream = TcpStream::connect(self.house.address).await?;
            stream.write_all(b"POST /api/stations HTTP/1.1\r\n").await?;
            self.waits(until).await;
            return Ok(());
        }
        let one = self.join(Role::Watcher).await?;
        self.waits(until).await;
        drop(one);
        Ok(())
    }

    /// Until then, or until the server is gone.
    async fn waits(&self, until: Instant) {
        while Instant::now() < until && self.world.lives(&self.house) {
            sleep(AGAIN).await;
        }
    }

    /// Says more than may be said, or as much as may be and hears no answer.
    async fn floods(&self, dice: &mut Dice) -> Result<(), Gone> {
        let mut one = self.join(Role::Operator).await?;
        let ask = dice.one(&[
            Ask::TakeControl,
            Ask::Operate {
                act: Act::PressEmergencyStop,
            },
            Ask::Operate {
                act: Act::RecallRecipe { slot: 1 },
            },
        ]);
        if dice.below(2) == 0 {
            for _ in 0..FLOOD {
                one.try_say(ask.clone()).await?;
            }
            let code = one.farewell().await;
            // Where its own messages are still on their way, the farewell may be lost.
            let right = code.is_none() || code.as_deref() == Some("too-many");
            self.world
                .unless_killed(&self.house, right, || format!("a flood: {code:?}"));
            return Ok(());
        }
        let until = (Instant::now() + dice.up_to_ms(5000)).min(self.until);
        while Instant::now() < until {
            one.try_say(ask.clone()).await?;
            sleep(STEADY).await;
        }
        Ok(())
    }

    /// Says what is not so. Each lie is refused, and by itself.
    async fn lies(&self, dice: &mut Dice) -> Result<(), Gone> {
        let house = &self.house;
        let host = house.host();
        match dice.below(6) {
            0 => {
                let token = dice.one(&[String::new(), "guess".into(), house.token[1..].into()]);
                let mut one = Browser::try_silent(house, &self.station).await?;
                one.try_say(joining(Role::Operator, token)).await?;
                self.sent_away(one, "token").await;
            }
            1 => {
                let forged = dice.one(&[None, Some("http://example.invalid"), Some("null")]);
                let opened = connect(house, &self.station, forged).await.is_ok();
                self.world.unless_killed(house, !opened, || {
                    format!("the origin {forged:?} was let in")
                });
            }
            2 => {
                let forged = dice.one(&["guess", "", &house.token[1..]]);
                let origin = house.origin();
                let headers = [
                    ("host", host.as_str()),
                    ("origin", &origin),
                    ("x-twinplate-token", forged),
                    ("content-type", "application/json"),
                ];
                let body = r#"{"exercise":"plain-cycle","trainee":"Nobody"}"#;
                let answer = house.try_ask("POST /api/stations", &headers, body).await?;
                self.world.unless_killed(house, answer.status == 401, || {
                    format!("a false token: {answer:?}")
                });
            }
            3 => {
                let answer = house
                    .try_ask("GET /", &[("host", "example.invalid")], "")
                    .await?;
                let refused = (400..500).contains(&answer.status);
                self.world
                    .unless_killed(house, refused, || format!("another host: {answer:?}"));
            }
            4 => {
                let mut one = self.join(Role::Watcher).await?;
                let ask = dice.one(&[
                    Ask::Operate { act: Act::Start },
                    Ask::Finish,
                    Ask::SetPace {
                        pace: Pace::Fastest,
                    },
                    Ask::GoBack { to_s: 0.0 },
                ]);
                let answered = self.ask(&mut one, ask.clone()).await?;
                self.world
                    .unless_killed(house, answered != Answered::Done, || {
                        format!("a watcher did {ask:?}")
                    });
            }
            _ => {
                let mut one = self.join(Role::Operator).await?;
                let tampered = dice.one(&[
                    "",
                    "{",
                    "[1,2",
                    r#"{"id":1,"ask":{"ask":"operate","act":{"act":"explode"}}}"#,
                    r#"{"id":1,"ask":{"ask":"operate","act":{"act":"confirm-parts","pieces":1e9}}}"#,
                    r#"{"id":1,"ask":{"ask":"operate","act":{"act":"confirm-parts","pieces":-1}}}"#,
                    r#"{"id":-1,"ask":{"ask":"finish"}}"#,
                    r#"{"id":1,"ask":{"ask":"finish"},"role":"instructor"}"#,
                ]);
                one.send(Message::text(tampered)).await;
                self.sent_away(one, "not-understood").await;
            }
        }
        Ok(())
    }

    async fn sent_away(&self, one: Browser, wanted: &str) {
        let code = one.farewell().await;
        self.world
            .unless_killed(&self.house, code.as_deref() == Some(wanted), || {
                format!("{wanted}: sent away with {code:?}")
            });
    }
}

fn joining(role: Role, token: String) -> Ask {
    Ask::Join {
        protocol: PROTOCOL,
        role,
        token,
        seat: None,
        seen: 0,
    }
}
