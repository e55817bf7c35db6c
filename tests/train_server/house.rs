//! A server of its own for a test, on a port of its own.

use crate::root;
use std::net::SocketAddr;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::TcpStream;
use tokio::sync::oneshot;
use tokio::task::JoinHandle;
use twinplate_server::exercises::Exercises;
use twinplate_server::floor::Floor;
use twinplate_server::gate::Gate;
use twinplate_server::records::{Clerk, Records};
use twinplate_server::station::Station;
use twinplate_server::{Shared, listen, new_token, serve};
use twinplate_train::protocol::Role;

/// The exercise that most tests open.
pub const EXERCISE: &str = "plain-cycle";

/// A running server.
pub struct House {
    pub address: SocketAddr,
    /// Of the class.
    pub token: String,
    /// Of its instructors.
    pub instructor: String,
    pub floor: Floor,
    /// Of a server in this process.
    serving: Option<(oneshot::Sender<()>, JoinHandle<std::io::Result<()>>)>,
}

/// An answer over HTTP.
#[derive(Debug)]
pub struct Answer {
    pub status: u16,
    pub head: String,
    pub body: String,
}

impl Answer {
    pub fn header(&self, name: &str) -> Option<&str> {
        self.head.lines().find_map(|line| {
            let (key, value) = line.split_once(':')?;
            key.eq_ignore_ascii_case(name).then(|| value.trim())
        })
    }

    pub fn json(&self) -> serde_json::Value {
        serde_json::from_str(&self.body).unwrap_or_else(|error| panic!("{error}: {}", self.body))
    }
}

/// Where the exercises of the demonstration set are.
pub fn exercises() -> PathBuf {
    root().join("recipes/exercises")
}

impl House {
    /// On loopback.
    pub async fn open() -> Self {
        Self::open_on("127.0.0.1:0").await
    }

    /// On an address.
    pub async fn open_on(address: &str) -> Self {
        Self::open_with(address, |floor| floor).await
    }

    /// On an address, with a floor as it is made here.
    pub async fn open_with(address: &str, made: impl FnOnce(Floor) -> Floor) -> Self {
        let demo = Exercises::open(&exercises(), false).expect("a folder");
        Self::open_of(address, demo, made).await
    }

    /// On loopback, with the exercises of a folder, which may get new ones.
    pub async fn open_in(folder: &Path) -> Self {
        let own = Exercises::open(folder, true).expect("a folder");
        Self::open_of("127.0.0.1:0", own, |floor| floor).await
    }

    async fn open_of(
        address: &str,
        exercises: Exercises,
        made: impl FnOnce(Floor) -> Floor,
    ) -> Self {
        let listener = listen(address.parse().expect("an address"))
            .await
            .expect("listens");
        let bound = listener.local_addr().expect("is bound");
        let (clerk, _) = Clerk::start(Records::in_memory().expect("opens")).expect("starts");
        let [token, instructor] = [(); 2].map(|()| new_token().expect("made"));
        let floor = made(Floor::new(clerk.clone()));
        let shared = Shared {
            gate: Arc::new(Gate::new(bound, [token.clone(), instructor.clone()])),
            exercises: Arc::new(exercises),
            floor: floor.clone(),
            clerk,
        };
        let (stop, stopped) = oneshot::channel();
        let serving = tokio::spawn(serve(listener, shared, async {
            let _ = stopped.await;
        }));
        Self {
            address: SocketAddr::from(([127, 0, 0, 1], bound.port())),
            token,
            instructor,
            floor,
            serving: Some((stop, serving)),
        }
    }

    /// One that another process serves; the tokens are those of its pages.
    pub async fn elsewhere(address: SocketAddr) -> Self {
        let (clerk, _) = Clerk::start(Records::in_memory().expect("opens")).expect("starts");
        let mut house = Self {
            address,
            token: String::new(),
            instructor: String::new(),
            floor: Floor::new(clerk),
            serving: None,
        };
        let of = |page: String| {
            let (_, rest) = page
                .split_once("name=\"twinplate-token\" content=\"")
                .expect("the page has a token");
            rest.split('"').next().unwrap_or_default().to_owned()
        };
        house.token = of(house.get("/").await.body);
        house.instructor = of(house.get("/instructor").await.body);
        house
    }

    /// Stops the server as Ctrl-C does, and waits for it.
    pub async fn close(self) {
        if let Some((stop, serving)) = self.serving {
            let _ = stop.send(());
            serving.await.expect("no panic").expect("no error");
        }
    }

    /// What somebody in this role shows.
    pub fn token_of(&self, role: Role) -> &str {
        match role {
            Role::Instructor => &self.instructor,
            Role::Operator | Role::Watcher => &self.token,
        }
    }

    pub fn host(&self) -> String {
        self.address.to_string()
    }

    pub fn origin(&self) -> String {
        format!("http://{}", self.address)
    }

    /// Bytes as they are, and the answer to them.
    pub async fn raw(&self, request: &[u8]) -> Answer {
        self.try_raw(request).await.expect("the server answers")
    }

    /// The same where the server may be gone.
    pub async fn try_raw(&self, request: &[u8]) -> std::io::Result<Answer> {
        let mut stream = TcpStream::connect(self.address).await?;
        // A server that has heard enough closes while we still write.
        let _ = stream.write_all(request).await;
        let mut answer = Vec::new();
        let _ = tokio::time::timeout(
            std::time::Duration::from_secs(20),
            stream.read_to_end(&mut answer),
        )
        .await?;
        let text = String::from_utf8_lossy(&answer).into_owned();
        let (head, body) = text.split_once("\r\n\r\n").unwrap_or((&text, ""));
        let status = head.split(' ').nth(1).and_then(|code| code.parse().ok());
        Ok(Answer {
            status: status.unwrap_or(0),
            head: head.to_owned(),
            body: body.to_owned(),
        })
    }

    /// A request of a line, headers and a body.
    pub async fn ask(&self, line: &str, headers: &[(&str, &str)], body: &str) -> Answer {
        let asked = self.try_ask(line, headers, body).await;
        asked.expect("the server answers")
    }

    /// The same where the server may be gone.
    pub async fn try_ask(
        &self,
        line: &str,
        headers: &[(&str, &str)],
        body: &str,
    ) -> std::io::Result<Answer> {
        let mut request = format!("{line} HTTP/1.1\r\nconnection: close\r\n");
        for (name, value) in headers {
            request.push_str(&format!("{name}: {value}\r\n"));
        }
        if !body.is_empty() {
            request.push_str(&format!("content-length: {}\r\n", body.len()));
        }
        request.push_str("\r\n");
        request.push_str(body);
        self.try_raw(request.as_bytes()).await
    }

    /// A GET as the instructor's page makes it.
    pub async fn get(&self, path: &str) -> Answer {
        self.try_get(path).await.expect("the server answers")
    }

    /// The same where the server may be gone.
    pub async fn try_get(&self, path: &str) -> std::io::Result<Answer> {
        let headers = [
            ("host", self.host()),
            ("x-twinplate-token", self.instructor.clone()),
        ];
        let headers = headers
            .each_ref()
            .map(|(name, value)| (*name, value.as_str()));
        self.try_ask(&format!("GET {path}"), &headers, "").await
    }

    /// Opens a station as a page of ours does.
    pub async fn station(&self, exercise: &str, trainee: &str) -> String {
        let body = serde_json::json!({ "exercise": exercise, "trainee": trainee, "seed": 7 });
        let answer = self.post(&body.to_string()).await;
        assert_eq!(answer.status, 200, "{answer:?}");
        let station = answer.json()["station"].as_str().map(str::to_owned);
        station.expect("a name")
    }

    /// Posts a station's body as a page of ours does.
    pub async fn post(&self, body: &str) -> Answer {
        self.try_post(body).await.expect("the server answers")
    }

    /// The same where the server may be gone.
    pub async fn try_post(&self, body: &str) -> std::io::Result<Answer> {
        self.try_post_as(&self.token, "/api/stations", body).await
    }

    /// Posts as an instructor's page does.
    pub async fn instruct(&self, path: &str, body: &str) -> Answer {
        let posted = self.try_post_as(&self.instructor, path, body).await;
        posted.expect("the server answers")
    }

    /// Posts as a page of ours does that has this token.
    pub async fn try_post_as(
        &self,
        token: &str,
        path: &str,
        body: &str,
    ) -> std::io::Result<Answer> {
        let (host, origin) = (self.host(), self.origin());
        let headers = [
            ("host", host.as_str()),
            ("origin", &origin),
            ("x-twinplate-token", token),
            ("content-type", "application/json"),
        ];
        self.try_ask(&format!("POST {path}"), &headers, body).await
    }

    /// What connections share with the thread of a station.
    pub fn inside(&self, station: &str) -> Arc<Station> {
        self.floor.find(station).expect("the station is there")
    }
}
