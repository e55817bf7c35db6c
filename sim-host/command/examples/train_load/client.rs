//! A page's half of the wire, for measuring.

use crate::Fallible;
use futures_util::{SinkExt, StreamExt};
use std::time::{Duration, Instant};
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::TcpStream;
use tokio_tungstenite::tungstenite::Message;
use tokio_tungstenite::tungstenite::client::IntoClientRequest;
use tokio_tungstenite::{MaybeTlsStream, WebSocketStream, connect_async};
use twinplate_train::protocol::{Ask, Frame, PROTOCOL, Role, Said, Tell};

/// The exercise that is opened.
const EXERCISE: &str = "plain-cycle";

/// What opens stations.
pub struct Post {
    host: String,
    token: String,
}

impl Post {
    /// Reads the server's token from its page.
    pub async fn new(host: &str) -> Fallible<Self> {
        let page = ask(
            host,
            &format!("GET / HTTP/1.1\r\nhost: {host}\r\nconnection: close\r\n\r\n"),
        )
        .await?;
        let token = page
            .split_once("name=\"twinplate-token\" content=\"")
            .and_then(|(_, rest)| rest.split_once('"'))
            .map(|(token, _)| token.to_owned())
            .ok_or("the page has no token")?;
        Ok(Self {
            host: host.to_owned(),
            token,
        })
    }

    /// Opens a station.
    pub async fn station(&self, trainee: &str) -> Fallible<String> {
        let Self { host, token } = self;
        let body =
            serde_json::json!({ "exercise": EXERCISE, "trainee": trainee, "seed": 7 }).to_string();
        let request = format!(
            "POST /api/stations HTTP/1.1\r\nhost: {host}\r\norigin: http://{host}\r\nx-twinplate-token: {token}\r\n\
             content-type: application/json\r\ncontent-length: {}\r\nconnection: close\r\n\r\n{body}",
            body.len()
        );
        let answer = ask(host, &request).await?;
        let (_, body) = answer.split_once("\r\n\r\n").ok_or("no answer")?;
        let told: serde_json::Value = serde_json::from_str(body)?;
        let station = told["station"].as_str();
        Ok(station
            .ok_or_else(|| format!("no station: {body}"))?
            .to_owned())
    }
}

async fn ask(host: &str, request: &str) -> Fallible<String> {
    let mut stream = TcpStream::connect(host).await?;
    stream.write_all(request.as_bytes()).await?;
    let mut answer = String::new();
    stream.read_to_string(&mut answer).await?;
    Ok(answer)
}

/// A connection to a station.
pub struct Page {
    socket: WebSocketStream<MaybeTlsStream<TcpStream>>,
    ids: u32,
}

impl Page {
    /// Connects and joins.
    pub async fn join(post: &Post, station: &str, role: Role) -> Fallible<Self> {
        let mut request = format!("ws://{}/ws/{station}", post.host).into_client_request()?;
        let origin = format!("http://{}", post.host).parse()?;
        request.headers_mut().insert("origin", origin);
        let (socket, _) = connect_async(request).await?;
        if let MaybeTlsStream::Plain(stream) = socket.get_ref() {
            stream.set_nodelay(true)?;
        }
        let mut page = Self { socket, ids: 0 };
        page.say(Ask::Join {
            protocol: PROTOCOL,
            role,
            token: post.token.clone(),
            seat: None,
            seen: 0,
        })
        .await?;
        while !matches!(page.next().await?, Tell::Welcome(_)) {}
        Ok(page)
    }

    /// Says something.
    pub async fn say(&mut self, ask: Ask) -> Fallible<u32> {
        self.ids += 1;
        let said = Said { id: self.ids, ask };
        let text = serde_json::to_string(&said)?;
        self.socket.send(Message::text(text)).await?;
        Ok(self.ids)
    }

    /// Asks, and waits until it is done.
    pub async fn ask(&mut self, ask: Ask) -> Fallible<()> {
        let asked = self.say(ask).await?;
        loop {
            match self.next().await? {
                Tell::Done { id } if id == asked => return Ok(()),
                Tell::Refused { id, why, .. } if id == asked => return Err(why.into()),
                _ => {}
            }
        }
    }

    async fn next(&mut self) -> Fallible<Tell> {
        loop {
            match self.socket.next().await.ok_or("the server has closed")?? {
                Message::Text(text) => return Ok(serde_json::from_str(&text)?),
                Message::Close(_) => return Err("the server has closed".into()),
                _ => {}
            }
        }
    }

    /// Waits for a frame that is as wanted.
    pub async fn frame_with(&mut self, wanted: impl Fn(&Frame) -> bool) -> Fallible<Frame> {
        loop {
            if let Tell::Frame(frame) = self.next().await?
                && wanted(&frame)
            {
                return Ok(*frame);
            }
        }
    }

    /// Listens for a while, and counts the frames.
    pub async fn listen(&mut self, time: Duration) -> Fallible<u32> {
        let until = tokio::time::Instant::now() + time;
        let mut frames = 0;
        while let Ok(told) = tokio::time::timeout_at(until, self.next()).await {
            frames += u32::from(matches!(told?, Tell::Frame(_)));
        }
        Ok(frames)
    }

    /// The same, for a task of its own.
    pub async fn count_frames(mut self, time: Duration) -> Fallible<u32> {
        self.listen(time).await
    }

    /// Simulated time against the clock over a while.
    pub async fn pace_kept(mut self, time: Duration) -> Fallible<(Self, f64)> {
        let first = self.frame_with(|_| true).await?;
        let clock = Instant::now();
        self.listen(time).await?;
        let last = self.frame_with(|_| true).await?;
        let kept = (last.time_s - first.time_s) / clock.elapsed().as_secs_f64();
        Ok((self, kept))
    }
}
