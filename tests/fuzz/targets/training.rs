//! What reaches the training server: messages of a page, bytes of a connection; and scripts for a station without a page.

use axum::serve::Listener;
use std::future::pending;
use std::io;
use std::net::SocketAddr;
use std::sync::{Arc, OnceLock};
use tokio::io::{AsyncReadExt, AsyncWriteExt, DuplexStream, duplex};
use tokio::runtime::{Builder, Runtime};
use tokio::sync::mpsc::{UnboundedReceiver, UnboundedSender, unbounded_channel};
use twinplate_server::Shared;
use twinplate_server::app::app;
use twinplate_server::floor::Floor;
use twinplate_server::gate::Gate;
use twinplate_server::records::{Clerk, Records};
use twinplate_sim::{compile, demo};
use twinplate_train::exercise::{self, Exercise};
use twinplate_train::headless::Script;
use twinplate_train::protocol::{Ask, LONGEST_SAID, Said};
use twinplate_train::session::{Refused, Session};

/// Ticks between two messages.
const TICKS: u32 = 20;
/// Most messages of one execution.
const MESSAGES: usize = 64;
/// Longest answer to one connection, bytes: the largest file of the pages, and some of them in a row.
const LONGEST_ANSWER: usize = 4 << 20;
/// Room between both ends of a connection, bytes.
const ROOM: usize = 64 << 10;
/// Address and token of the server.
const BOUND: SocketAddr =
    SocketAddr::new(std::net::IpAddr::V4(std::net::Ipv4Addr::LOCALHOST), 8080);
const TOKEN: &str = "token-of-the-fuzzing";

/// A plain exercise.
pub fn exercise() -> &'static Arc<Exercise> {
    static EXERCISE: OnceLock<Arc<Exercise>> = OnceLock::new();
    EXERCISE.get_or_init(|| {
        let path = demo::folder().join("exercises/plain-cycle.toml");
        Arc::new(exercise::load(&path).expect("the exercise"))
    })
}

/// A script, or the line that is wrong.
pub fn script(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else {
        return;
    };
    if let Err(error) = Script::read(text) {
        assert!(
            (1..=text.lines().count().max(1)).contains(&error.line),
            "{error}"
        );
        assert!(!error.what.is_empty() && !error.expected.is_empty());
    }
}

/// Messages of a page, one a line, done in a session one after another.
pub fn said(bytes: &[u8]) {
    static BEGIN: OnceLock<Session> = OnceLock::new();
    let Ok(text) = std::str::from_utf8(bytes) else {
        return;
    };
    let mut session = None;
    let messages = text.lines().filter(|line| line.len() <= LONGEST_SAID);
    for line in messages.take(MESSAGES) {
        let Ok(said) = serde_json::from_str::<Said>(line) else {
            continue;
        };
        let again = serde_json::to_string(&said).expect("what was read can be written");
        assert_eq!(
            serde_json::from_str::<Said>(&again).ok().as_ref(),
            Some(&said)
        );
        let session = session.get_or_insert_with(|| {
            BEGIN
                .get_or_init(|| Session::new(Arc::clone(exercise()), 1))
                .clone()
        });
        if let Err(refused) = done(session, said.ask) {
            assert!(!refused.code.is_empty() && !refused.why.is_empty());
        }
        session.advance(TICKS);
    }
    if let Some(session) = session {
        let debrief = session.debrief();
        assert!(debrief.score.points <= debrief.score.of);
    }
}

fn done(session: &mut Session, ask: Ask) -> Result<(), Refused> {
    match ask {
        Ask::Operate { act } => session.operate(&act),
        Ask::Inject {
            component,
            mode,
            magnitude,
        } => session.inject(&component, &mode, magnitude),
        Ask::Repair { component } => session.repair(&component),
        Ask::GoBack { to_s } => session.go_back(compile::ticks(to_s).0).map(drop),
        Ask::Finish => {
            session.finish();
            Ok(())
        }
        // The desk's, not the session's.
        Ask::Join { .. }
        | Ask::TakeControl
        | Ask::ReleaseControl
        | Ask::StillHeld
        | Ask::SetPace { .. } => Ok(()),
    }
}

/// Connections that come through a channel instead of a port.
struct Door(UnboundedReceiver<DuplexStream>);

impl Listener for Door {
    type Io = DuplexStream;
    type Addr = SocketAddr;

    async fn accept(&mut self) -> (DuplexStream, SocketAddr) {
        match self.0.recv().await {
            Some(stream) => (stream, BOUND),
            None => pending().await,
        }
    }

    fn local_addr(&self) -> io::Result<SocketAddr> {
        Ok(BOUND)
    }
}

/// A server without exercises, so that no station is opened, and the way to it.
struct Server {
    runtime: Runtime,
    connect: UnboundedSender<DuplexStream>,
}

impl Server {
    fn new() -> Self {
        let runtime = Builder::new_current_thread()
            .enable_all()
            .build()
            .expect("a runtime");
        let records = Records::in_memory().expect("records");
        let (clerk, _) = Clerk::start(records).expect("a thread");
        let shared = Shared {
            gate: Arc::new(Gate::new(BOUND, ["of-the-class".into(), TOKEN.into()])),
            exercises: Arc::default(),
            floor: Floor::new(clerk.clone()),
            clerk,
        };
        let (connect, door) = unbounded_channel();
        let served = axum::serve(Door(door), app(shared));
        runtime.spawn(async move { served.await });
        Self { runtime, connect }
    }
}

thread_local! {
    static SERVER: Server = Server::new();
}

/// The bytes of one connection: the server answers and ends it, and what it answers is HTTP.
pub fn request(bytes: &[u8]) {
    let answer = SERVER.with(|server| {
        server.runtime.block_on(async {
            let (near, far) = duplex(ROOM);
            server.connect.send(far).expect("the server is there");
            let (answers, mut asks) = tokio::io::split(near);
            let asking = async {
                // A server that has heard enough does not take the rest.
                let _ = asks.write_all(bytes).await;
                let _ = asks.shutdown().await;
            };
            let mut answer = Vec::new();
            let most = LONGEST_ANSWER as u64 + 1;
            let mut answers = answers.take(most);
            let hearing = answers.read_to_end(&mut answer);
            let (heard, ()) = tokio::join!(hearing, asking);
            heard.map(|_| answer)
        })
    });
    let answer = answer.expect("a connection ends");
    assert!(answer.len() <= LONGEST_ANSWER, "{} bytes", answer.len());
    assert!(
        answer.is_empty() || answer.starts_with(b"HTTP/1."),
        "no HTTP"
    );
    let failed = answer.windows(12).any(|window| window == b"HTTP/1.1 500");
    assert!(
        !failed,
        "the server failed: {}",
        String::from_utf8_lossy(&answer)
    );
}
