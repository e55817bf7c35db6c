//! What a station tells its connections: frames, news, answers.

use super::super::desk::{Client, NoControl};
use super::super::station::{Out, text};
use super::{FRAME_EVERY, FRAME_SOONEST, Runner, STILL_EVERY};
use axum::extract::ws::Utf8Bytes;
use twinplate_train::protocol::{Pace, Tell};
use twinplate_train::session::Refused;
use twinplate_words::Words;

impl Runner {
    /// The words of its exercise's language, which everybody at the station reads.
    pub(super) fn words(&self) -> &'static Words {
        self.opening.exercise.words
    }

    /// Hands on what is new: news at once, a frame when it is due.
    pub(super) fn hand_on(&mut self) {
        self.hand_on_news();
        let now = self.now();
        let since = now.saturating_sub(self.framed);
        let still = self.pacer.pace() == Pace::Paused;
        let due = if still { STILL_EVERY } else { FRAME_EVERY };
        let acted = still || self.session.tick() != self.touched_at;
        if since < due && !(self.touched && acted && since >= FRAME_SOONEST) {
            return;
        }
        self.framed = now;
        self.touched &= !acted;
        let kept = self.pacer.kept(now);
        let frame = self.session.frame(self.pacer.pace(), kept);
        let station = &self.opening.station;
        station.summarize(|summary| {
            summary.state.clone_from(&frame.state);
            summary.phase.clone_from(&frame.phase);
            summary.response.clone_from(&frame.response);
            summary.time_s = frame.time_s;
            summary.load_n = frame.load_n;
            summary.alarms = frame.alarms.len();
            summary.pace = frame.pace;
            summary.kept = frame.kept;
            summary.present = self.desk.present();
            summary.control = self.desk.controlled();
        });
        if station.is_watched() {
            station.show(text(&Tell::Frame(Box::new(frame))));
        }
    }

    pub(super) fn hand_on_news(&mut self) {
        for news in self.session.news(self.told) {
            self.opening.station.tell_news(news);
            self.told = news.number;
        }
    }

    pub(super) fn close_all(&mut self) {
        let last = text(&Tell::Closing {
            code: "station-closed".into(),
            why: self.words().say("closing-station-closed"),
        });
        for chair in std::mem::take(&mut self.chairs).into_values() {
            let _ = chair.try_send(Out::Last(last.clone()));
        }
    }

    pub(super) fn taken(&mut self, client: Client, id: u32, taken: Result<(), Refused>) {
        match taken {
            Ok(()) => self.done(client, id),
            Err(Refused { code, why }) => self.refuse(client, id, code, why),
        }
    }

    pub(super) fn done(&mut self, client: Client, id: u32) {
        self.tell(client, &Tell::Done { id });
    }

    pub(super) fn over(&mut self, client: Client, id: u32) {
        let why = self.words().say("station-over");
        self.refuse(client, id, "over", why);
    }

    pub(super) fn refuse(&mut self, client: Client, id: u32, code: &str, why: String) {
        let code = code.to_owned();
        self.tell(client, &Tell::Refused { id, code, why });
    }

    pub(super) fn tell(&mut self, client: Client, what: &Tell) {
        self.put(client, text(what));
    }

    pub(super) fn tell_all(&mut self, what: &Tell) {
        let text = text(what);
        let clients: Vec<Client> = self.chairs.keys().copied().collect();
        for client in clients {
            self.put(client, text.clone());
        }
    }

    pub(super) fn tell_seats(&mut self) {
        let clients: Vec<Client> = self.chairs.keys().copied().collect();
        for client in clients {
            let seats = Tell::Seats(self.desk.seats(client));
            self.tell(client, &seats);
        }
    }

    /// Puts a message into a connection's box. One that does not empty its box is dropped, it alone.
    pub(super) fn put(&mut self, client: Client, text: Utf8Bytes) {
        let full = self
            .chairs
            .get(&client)
            .is_some_and(|chair| chair.try_send(Out::Tell(text)).is_err());
        if full {
            // Without this sender the writing half ends; the connection's task then says that it has left.
            tracing::debug!(station = self.opening.station.name, client, "does not read");
            self.drop_client(client);
        }
    }

    pub(super) fn drop_client(&mut self, client: Client) {
        self.chairs.remove(&client);
        let now = self.now();
        if self.desk.leave(client, now) {
            self.let_go();
        }
        if self.desk.present() == 0 {
            self.alone = Some(now);
        }
    }
}

pub(super) fn no_control(words: &Words, why: NoControl) -> String {
    match why {
        NoControl::NotAnOperator => words.say("station-operators-only"),
        NoControl::Held => words.say("station-control-held"),
        NoControl::Kept(left) => {
            let seconds = left.as_secs() + 1;
            words.tell("station-control-kept", &[("seconds", seconds.into())])
        }
    }
}
