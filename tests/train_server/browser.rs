//! A connection to a station as a page has it.

use crate::house::House;
use futures_util::{SinkExt, StreamExt};
use std::time::Duration;
use tokio::net::TcpStream;
use tokio::time::{Instant, timeout, timeout_at};
use tokio_tungstenite::tungstenite::client::IntoClientRequest;
use tokio_tungstenite::tungstenite::{Error, Message};
use tokio_tungstenite::{MaybeTlsStream, WebSocketStream, connect_async};
use twinplate_sim::training::act::Act;
use twinplate_train::protocol::{Ask, Frame, News, PROTOCOL, Pace, Role, Said, Tell, Welcome};

/// Nothing a server tells takes longer, on a machine with much else to do.
pub const PATIENCE: Duration = Duration::from_secs(20);

/// An answer to one request.
#[derive(Clone, Debug, PartialEq)]
pub enum Answered {
    Done,
    Refused(String),
}

/// A page's connection.
pub struct Browser {
    pub socket: WebSocketStream<MaybeTlsStream<TcpStream>>,
    pub welcome: Option<Welcome>,
    /// All news so far.
    pub news: Vec<News>,
    /// The newest frame.
    pub frame: Option<Frame>,
    /// Frames so far.
    pub frames: u32,
    ids: u32,
}

/// Connects, with an origin.
pub async fn connect(
    house: &House,
    station: &str,
    origin: Option<&str>,
) -> Result<WebSocketStream<MaybeTlsStream<TcpStream>>, Error> {
    let mut request = format!("ws://{}/ws/{station}", house.address).into_client_request()?;
    if let Some(origin) = origin {
        let value = origin.parse().expect("a header's value");
        request.headers_mut().insert("origin", value);
    }
    connect_async(request).await.map(|(socket, _)| socket)
}

impl Browser {
    /// Connects, and says nothing yet.
    pub async fn silent(house: &House, station: &str) -> Self {
        let browser = Self::try_silent(house, station).await;
        browser.expect("the socket opens")
    }

    /// The same where the server may be gone.
    pub async fn try_silent(house: &House, station: &str) -> Result<Self, Error> {
        let origin = house.origin();
        Ok(Self {
            socket: connect(house, station, Some(&origin)).await?,
            welcome: None,
            news: Vec::new(),
            frame: None,
            frames: 0,
            ids: 0,
        })
    }

    /// Connects and joins.
    pub async fn join(house: &House, station: &str, role: Role) -> Self {
        Self::rejoin(house, station, role, None, 0).await
    }

    /// Connects and joins with an earlier seat.
    pub async fn rejoin(
        house: &House,
        station: &str,
        role: Role,
        seat: Option<String>,
        seen: u64,
    ) -> Self {
        let mut browser = Self::silent(house, station).await;
        let token = house.token_of(role).to_owned();
        let ask = Ask::Join {
            protocol: PROTOCOL,
            role,
            token,
            seat,
            seen,
        };
        browser.say(ask).await;
        while browser.welcome.is_none() {
            browser.next().await;
        }
        browser
    }

    /// Joins as an operator and takes control.
    pub async fn operator(house: &House, station: &str) -> Self {
        let mut browser = Self::join(house, station, Role::Operator).await;
        assert_eq!(browser.ask(Ask::TakeControl).await, Answered::Done);
        browser
    }

    /// Seat that was given.
    pub fn seat(&self) -> String {
        self.welcome.as_ref().expect("has joined").seat.clone()
    }

    /// Number of the last news.
    pub fn seen(&self) -> u64 {
        self.news.last().map_or(0, |news| news.number)
    }

    /// Says something, and gives its number.
    pub async fn say(&mut self, ask: Ask) -> u32 {
        self.try_say(ask).await.expect("sent")
    }

    /// The same where the server may be gone.
    pub async fn try_say(&mut self, ask: Ask) -> Result<u32, Error> {
        self.ids += 1;
        let said = Said { id: self.ids, ask };
        let text = serde_json::to_string(&said).expect("can be written");
        self.socket.send(Message::text(text)).await?;
        Ok(self.ids)
    }

    /// Sends text as it is.
    pub async fn send(&mut self, message: Message) {
        // The other side may have closed already.
        let _ = self.socket.send(message).await;
    }

    /// Asks, and waits for the answer.
    pub async fn ask(&mut self, ask: Ask) -> Answered {
        let asked = self.say(ask).await;
        self.answer(asked).await
    }

    /// Waits for the answer to a request.
    pub async fn answer(&mut self, asked: u32) -> Answered {
        loop {
            match self.next().await {
                Tell::Done { id } if id == asked => return Answered::Done,
                Tell::Refused { id, code, .. } if id == asked => return Answered::Refused(code),
                _ => {}
            }
        }
    }

    pub async fn act(&mut self, act: Act) -> Answered {
        self.ask(Ask::Operate { act }).await
    }

    pub async fn pace(&mut self, pace: Pace) {
        assert_eq!(self.ask(Ask::SetPace { pace }).await, Answered::Done);
    }

    /// The next message.
    pub async fn next(&mut self) -> Tell {
        match self.heard().await {
            Ok(tell) => tell,
            Err(error) => panic!("the connection ended: {error}"),
        }
    }

    /// The next message, or how the connection ended.
    pub async fn heard(&mut self) -> Result<Tell, String> {
        loop {
            let next = timeout(PATIENCE, self.socket.next()).await;
            let message = match next {
                Err(_) => return Err("nothing came for a long time".into()),
                Ok(None) => return Err("closed".into()),
                Ok(Some(Err(error))) => return Err(error.to_string()),
                Ok(Some(Ok(Message::Close(_)))) => return Err("closed".into()),
                Ok(Some(Ok(Message::Text(text)))) => text,
                Ok(Some(Ok(_))) => continue,
            };
            let tell: Tell =
                serde_json::from_str(&message).unwrap_or_else(|error| panic!("{error}: {message}"));
            self.note(&tell);
            return Ok(tell);
        }
    }

    fn note(&mut self, tell: &Tell) {
        match tell {
            Tell::Welcome(welcome) => self.welcome = Some(*welcome.clone()),
            Tell::News(news) => self.news.push(news.clone()),
            Tell::Frame(frame) => {
                self.frame = Some(*frame.clone());
                self.frames += 1;
            }
            _ => {}
        }
    }

    /// Listens for a while.
    pub async fn listen(&mut self, time: Duration) {
        let until = Instant::now() + time;
        while let Ok(next) = timeout_at(until, self.heard()).await {
            if let Err(error) = next {
                panic!("the connection ended: {error}");
            }
        }
    }

    /// Waits for a frame that is as wanted.
    pub async fn frame_with(&mut self, wanted: impl Fn(&Frame) -> bool) -> Frame {
        let until = Instant::now() + PATIENCE;
        loop {
            assert!(Instant::now() < until, "no such frame: {:?}", self.frame);
            if let Tell::Frame(frame) = self.next().await
                && wanted(&frame)
            {
                return *frame;
            }
        }
    }

    /// Listens until the connection ends; gives the code of the farewell, if there was one.
    pub async fn farewell(mut self) -> Option<String> {
        let mut code = None;
        while let Ok(tell) = self.heard().await {
            if let Tell::Closing { code: said, .. } = tell {
                code = Some(said);
            }
        }
        code
    }
}
