//! The thread of one station: owns the session, makes its ticks at the pace asked for, does what it is ordered between two of them.

mod hold;
mod told;

use super::controllers::Controller;
use super::desk::{Client, Desk};
use super::pace::{Pacer, SLICE};
use super::station::{Joining, MOST_CLIENTS, Order, Out, Press, Station, text};
use super::{random, roll};
use crate::records::Clerk;
use firmware_core::units::TICKS_PER_SECOND;
use hold::HELD_FOR;
use std::collections::BTreeMap;
use std::sync::Arc;
use std::time::{Duration, Instant};
use tokio::sync::mpsc;
use told::no_control;
use twinplate_sim::training::act::Act;
use twinplate_train::exercise::Exercise;
use twinplate_train::protocol::{Ask, Frame, HELD_EVERY_MS, PROTOCOL, Pace, Role, Tell, Welcome};
use twinplate_train::session::Session;

/// Between two frames while time passes: 20 a second.
pub const FRAME_EVERY: Duration = Duration::from_millis(50);
/// The soonest after a frame that what somebody did is shown.
const FRAME_SOONEST: Duration = Duration::from_millis(10);
/// Between two frames, or two looks at what is due, while time stands still.
const STILL_EVERY: Duration = Duration::from_millis(500);
/// Between two savings of a running attempt. Half of what may be lost.
const SAVE_EVERY: Duration = Duration::from_millis(500);
/// Simulated time stands still when nobody was there for so long.
pub const NOBODY_STILL: Duration = Duration::from_secs(60);
/// The station is taken away when nobody was there for so long.
pub const NOBODY_GONE: Duration = Duration::from_secs(15 * 60);
/// So it is when its attempt is over.
pub const NOBODY_GONE_ENDED: Duration = Duration::from_secs(2 * 60);
/// Letters of a seat, five bits each.
const SEAT: usize = 26;

/// What a station is opened with.
#[derive(Debug)]
pub struct Opening {
    /// What its connections share with it.
    pub station: Arc<Station>,
    /// The exercise.
    pub exercise: Arc<Exercise>,
    /// Seed.
    pub seed: u64,
    /// Number of the attempt in the records.
    pub attempt: i64,
    /// Name of the trainee.
    pub trainee: String,
    /// Who keeps the records.
    pub clerk: Clerk,
}

/// How the attempt stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Stage {
    Running,
    /// Over, and not yet in the records: they refused.
    Unrecorded {
        finished: bool,
    },
    Recorded,
}

/// One station at work.
pub struct Runner {
    opening: Opening,
    session: Session<Controller>,
    desk: Desk,
    pacer: Pacer,
    /// Where each connection's answers go.
    chairs: BTreeMap<Client, mpsc::Sender<Out>>,
    clock: Instant,
    stage: Stage,
    /// News that was handed on.
    told: u64,
    framed: Duration,
    /// Something was done: a frame is due as soon as it has acted.
    touched: bool,
    /// Tick that was the next one then.
    touched_at: u32,
    saved: Duration,
    saved_at: Option<(u32, u64)>,
    /// Since when nobody is there.
    alone: Option<Duration>,
    /// An operator has come: time may pass.
    begun: bool,
    /// When it was last heard that the hold-to-run control is held; none once it was let go.
    held: Option<Duration>,
    shut: bool,
}

impl Runner {
    /// Before the first tick, on a controller just powered up with the parameters of the exercise's job.
    #[must_use]
    pub fn new(opening: Opening, controller: Controller) -> Self {
        let session = Session::on(controller, Arc::clone(&opening.exercise), opening.seed);
        opening.station.about_to_make(session.tick());
        Self {
            session,
            opening,
            desk: Desk::default(),
            pacer: Pacer::new(Duration::ZERO),
            chairs: BTreeMap::new(),
            clock: Instant::now(),
            stage: Stage::Running,
            told: 0,
            framed: Duration::ZERO,
            touched: true,
            touched_at: 0,
            saved: Duration::ZERO,
            saved_at: None,
            alone: Some(Duration::ZERO),
            begun: false,
            held: None,
            shut: false,
        }
    }

    /// Works until the station is taken away.
    pub fn run(mut self) {
        loop {
            let wait = self.wait();
            for order in self.station().orders(wait) {
                self.obey(order);
            }
            self.watch_the_hold();
            self.make_ticks();
            self.hand_on();
            self.keep_house();
            if self.is_over() {
                break;
            }
        }
        if self.stage == Stage::Running && self.session.tick() > 0 {
            self.end(false);
        }
        self.close_all();
    }

    fn station(&self) -> Arc<Station> {
        Arc::clone(&self.opening.station)
    }

    fn now(&self) -> Duration {
        self.clock.elapsed()
    }

    /// How long nothing need be done unless somebody orders it.
    fn wait(&self) -> Duration {
        match self.pacer.pace() {
            Pace::Paused if self.touched => FRAME_SOONEST,
            Pace::Paused if self.held.is_some() => HELD_FOR / 4,
            Pace::Paused => STILL_EVERY,
            Pace::Fastest => Duration::ZERO,
            Pace::Real | Pace::Five | Pace::Twenty => SLICE,
        }
    }

    /// Makes what is due, unless somebody wants the session: then what is left stays due.
    fn make_ticks(&mut self) {
        let now = self.now();
        let due = self.pacer.due(now);
        if due == 0 || self.stage != Stage::Running {
            return;
        }
        let station = self.station();
        let mut tick = self.session.tick();
        let mut wanted = false;
        let made = self.session.advance_while(due, || {
            wanted = station.about_to_make(tick);
            tick = tick.wrapping_add(1);
            !wanted
        });
        self.pacer.note(made, now);
        if !wanted {
            // Between two stretches the next tick is the one that is about to be made.
            station.about_to_make(self.session.tick());
            if made < due {
                // The session would not go on: nothing is owed.
                self.pacer.forget(now);
            }
        }
        if self.session.finished() {
            self.end(self.session.failure().is_none());
        }
    }

    fn obey(&mut self, order: Order) {
        match order {
            Order::Join(joining) => self.seat(joining),
            Order::Leave(client) => self.unseat(client),
            Order::Press(client, id, arrived) => {
                let acted = self.session.tick();
                if self.operate(client, id, &Act::PressEmergencyStop) {
                    let press = Press { arrived, acted };
                    tracing::info!(
                        station = self.opening.station.name,
                        ?press,
                        "emergency stop"
                    );
                    self.opening.station.note_press(press);
                }
            }
            Order::Ask(client, id, ask) => self.answer(client, id, ask),
            Order::Shut => self.shut = true,
        }
        self.touch();
    }

    fn set_pace(&mut self, pace: Pace) {
        let now = self.now();
        self.pacer.set(pace, now);
        let clock_ms = u64::try_from(now.as_millis()).unwrap_or(u64::MAX);
        self.session.note_pace(clock_ms, pace);
    }

    /// Something was done that is to be shown soon.
    fn touch(&mut self) {
        self.touched = true;
        self.touched_at = self.session.tick();
    }

    fn answer(&mut self, client: Client, id: u32, ask: Ask) {
        let Some(role) = self.desk.role(client) else {
            return;
        };
        let words = self.words();
        let may_lead = role == Role::Instructor || self.desk.holds(client);
        match ask {
            // The connection sees to it that this comes once, and first.
            Ask::Join { .. } => {}
            Ask::TakeControl => match self.desk.take(client, self.now()) {
                Ok(changed) => {
                    self.done(client, id);
                    if changed {
                        self.tell_seats();
                    }
                }
                Err(why) => self.refuse(client, id, "no-control", no_control(words, why)),
            },
            Ask::ReleaseControl => {
                if self.desk.release(client) {
                    self.let_go();
                    self.tell_seats();
                }
                self.done(client, id);
            }
            Ask::Operate { act } => {
                if self.desk.holds(client) {
                    self.operate(client, id, &act);
                } else {
                    let why = words.say("station-take-control-first");
                    self.refuse(client, id, "no-control", why);
                }
            }
            Ask::StillHeld => self.still_held(client, id),
            _ if !may_lead => {
                self.refuse(client, id, "not-allowed", words.say("station-not-leading"));
            }
            Ask::Inject { .. } | Ask::Repair { .. } | Ask::GoBack { .. }
                if role != Role::Instructor =>
            {
                let why = words.say("station-not-instructor");
                self.refuse(client, id, "not-allowed", why);
            }
            _ if self.stage != Stage::Running => self.over(client, id),
            Ask::SetPace { .. } | Ask::Inject { .. } | Ask::Repair { .. } | Ask::GoBack { .. }
                if self.opening.exercise.assessed() =>
            {
                self.refuse(client, id, "assessed", words.say("station-assessed"));
            }
            Ask::SetPace { pace } => {
                self.set_pace(pace);
                self.done(client, id);
            }
            Ask::Finish => {
                self.end(true);
                self.done(client, id);
            }
            Ask::Inject {
                component,
                mode,
                magnitude,
            } => {
                let taken = self.session.inject(&component, &mode, magnitude);
                self.taken(client, id, taken);
            }
            Ask::Repair { component } => {
                let taken = self.session.repair(&component);
                self.taken(client, id, taken);
            }
            Ask::GoBack { to_s } => self.go_back(client, id, to_s),
        }
    }

    /// Does an act. True if it was taken.
    fn operate(&mut self, client: Client, id: u32, act: &Act) -> bool {
        if self.stage != Stage::Running {
            self.over(client, id);
            return false;
        }
        let taken = self.session.operate(act);
        let done = taken.is_ok();
        if let (Act::HoldToRun { on }, true) = (act, done) {
            self.held = on.then(|| self.now());
        }
        self.taken(client, id, taken);
        done
    }

    fn go_back(&mut self, client: Client, id: u32, to_s: f64) {
        if !(0.0..=f64::from(u32::MAX) / f64::from(TICKS_PER_SECOND)).contains(&to_s) {
            let words = self.words();
            let told = [("seconds", words.written(&to_s.to_string()).into())];
            let why = words.tell("station-no-time", &told);
            return self.refuse(client, id, "not-understood", why);
        }
        // In range by the check above; a snapshot is at or before it.
        let tick = (to_s * f64::from(TICKS_PER_SECOND)) as u32;
        self.set_pace(Pace::Paused);
        let tick = match self.session.go_back(tick) {
            Ok(tick) => tick,
            Err(refused) => return self.taken(client, id, Err(refused)),
        };
        self.opening.station.about_to_make(tick);
        self.saved_at = None;
        // Nobody's hand is on a control at the moment that was gone back to.
        self.let_go();
        self.done(client, id);
    }

    fn seat(&mut self, joining: Joining) {
        let Joining {
            client,
            role,
            seat,
            out,
        } = joining;
        let words = self.words();
        let last = |code: &str, why: String| {
            let code = code.into();
            Out::Last(text(&Tell::Closing { code, why }))
        };
        if self.desk.present() >= MOST_CLIENTS {
            let why = words.tell("closing-full", &[("most", MOST_CLIENTS.into())]);
            let _ = out.try_send(last("full", why));
            return;
        }
        let new = match random::word(SEAT) {
            Ok(word) => word,
            Err(error) => {
                tracing::error!("no seat can be given: {error}");
                let _ = out.try_send(last("no-seat", words.say("closing-no-seat")));
                return;
            }
        };
        let seated = self.desk.sit(client, role, seat.as_deref(), new);
        if let Some(old) = seated.replaces.and_then(|old| self.chairs.remove(&old)) {
            let _ = old.try_send(last("replaced", words.say("closing-replaced")));
        }
        if seated.let_go || seated.replaces.is_some() {
            self.let_go();
        }
        let welcome = Tell::Welcome(Box::new(self.welcome(client, role, seated.seat)));
        let _ = out.try_send(Out::Tell(text(&welcome)));
        if self.stage == Stage::Recorded {
            let ended = Tell::Ended {
                attempt: self.opening.attempt,
            };
            let _ = out.try_send(Out::Tell(text(&ended)));
        }
        self.chairs.insert(client, out);
        if role == Role::Operator && !self.begun {
            self.begun = true;
            self.set_pace(Pace::Real);
        }
        self.alone = None;
        self.tell_seats();
    }

    fn welcome(&self, client: Client, role: Role, seat: String) -> Welcome {
        let exercise = &self.opening.exercise;
        Welcome {
            protocol: PROTOCOL,
            station: self.opening.station.name.clone(),
            seat,
            role,
            trainee: self.opening.trainee.clone(),
            exercise: exercise.card(),
            job: exercise.job_card(),
            stored: exercise.stored_cards(),
            remedies: exercise.remedies(),
            held_every_ms: HELD_EVERY_MS,
            seats: self.desk.seats(client),
        }
    }

    fn unseat(&mut self, client: Client) {
        if self.chairs.remove(&client).is_none() {
            return;
        }
        let now = self.now();
        if self.desk.leave(client, now) {
            self.let_go();
        }
        if self.desk.present() == 0 {
            self.alone = Some(now);
        }
        self.tell_seats();
    }

    /// Ends the attempt and writes it down.
    fn end(&mut self, finished: bool) {
        self.set_pace(Pace::Paused);
        self.session.finish();
        self.stage = Stage::Unrecorded { finished };
        self.hand_on_news();
        self.record(finished);
    }

    fn record(&mut self, finished: bool) {
        let attempt = self.opening.attempt;
        let closing = roll::closing(&self.session, finished);
        let recorded = self
            .opening
            .clerk
            .ask(move |records| records.close(attempt, &closing));
        match recorded {
            Ok(()) => {
                self.stage = Stage::Recorded;
                // The records have it all, and the station may stay for a while.
                self.session.forget();
                self.opening
                    .station
                    .summarize(|summary| summary.ended = Some(attempt));
                self.tell_all(&Tell::Ended { attempt });
            }
            Err(error) => tracing::error!(
                station = self.opening.station.name,
                "the attempt is over and not recorded; the server tries again: {error}"
            ),
        }
        self.saved = self.now();
    }

    fn picture(&self) -> Frame {
        self.session
            .picture(self.pacer.pace(), self.pacer.kept(self.now()))
    }

    fn keep_house(&mut self) {
        let now = self.now();
        if self.desk.lapse(now) {
            self.tell_seats();
        }
        if now.saturating_sub(self.saved) >= SAVE_EVERY {
            match self.stage {
                Stage::Running => self.save(now),
                Stage::Unrecorded { finished } => self.record(finished),
                Stage::Recorded => {}
            }
        }
        let alone = self.alone.map(|since| now.saturating_sub(since));
        // Who is assessed does not think beside a machine that waits.
        let stills = self.pacer.pace() != Pace::Paused && !self.opening.exercise.assessed();
        if alone.is_some_and(|alone| alone >= NOBODY_STILL) && stills {
            self.set_pace(Pace::Paused);
        }
    }

    fn save(&mut self, now: Duration) {
        self.saved = now;
        let at = (self.session.tick(), self.told);
        if self.saved_at == Some(at) {
            return;
        }
        self.saved_at = Some(at);
        self.opening
            .clerk
            .save(self.opening.attempt, roll::attempt(&self.session));
    }

    fn is_over(&self) -> bool {
        let gone = if self.stage == Stage::Running {
            NOBODY_GONE
        } else {
            NOBODY_GONE_ENDED
        };
        let alone = self.alone.map(|since| self.now().saturating_sub(since));
        self.shut || alone.is_some_and(|alone| alone >= gone)
    }
}
