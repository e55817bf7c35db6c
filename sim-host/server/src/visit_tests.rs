//! Connections over channels instead of sockets, on a clock that the test moves; the test plays the thread of the station.

use super::*;
use crate::station::{MOST_CLIENTS, Summary};
use futures_util::stream;
use std::pin::Pin;
use std::task::{Context, Poll};
use tokio::task::JoinHandle;
use twinplate_train::protocol::{News, NewsKind, Pace, UnitCards};
use twinplate_words::Language;

const TOKEN: &str = "token-of-the-test";

/// Where a connection writes to; while it is shut, it takes nothing.
struct Line {
    out: mpsc::UnboundedSender<Message>,
    open: Arc<std::sync::atomic::AtomicBool>,
}

impl Sink<Message> for Line {
    type Error = ();

    fn poll_ready(self: Pin<&mut Self>, _: &mut Context<'_>) -> Poll<Result<(), ()>> {
        if self.open.load(std::sync::atomic::Ordering::SeqCst) {
            Poll::Ready(Ok(()))
        } else {
            // Whoever shut it does not open it again: nothing need be woken.
            Poll::Pending
        }
    }

    fn start_send(self: Pin<&mut Self>, message: Message) -> Result<(), ()> {
        self.out.send(message).map_err(|_| ())
    }

    fn poll_flush(self: Pin<&mut Self>, _: &mut Context<'_>) -> Poll<Result<(), ()>> {
        Poll::Ready(Ok(()))
    }

    fn poll_close(self: Pin<&mut Self>, _: &mut Context<'_>) -> Poll<Result<(), ()>> {
        Poll::Ready(Ok(()))
    }
}

/// A connection and both its ends.
struct Visit {
    station: Arc<Station>,
    say: mpsc::UnboundedSender<Result<Message, ()>>,
    hear: mpsc::UnboundedReceiver<Message>,
    open: Arc<std::sync::atomic::AtomicBool>,
    task: JoinHandle<()>,
    out: Option<mpsc::Sender<Out>>,
}

fn station() -> Arc<Station> {
    Arc::new(Station::new(Summary {
        station: "test".into(),
        exercise: String::new(),
        title: String::new(),
        trainee: String::new(),
        state: String::new(),
        phase: String::new(),
        time_s: 0.0,
        load_n: 0.0,
        rated_load_n: 0.0,
        units: UnitCards::new(),
        response: String::new(),
        alarms: 0,
        present: 0,
        control: false,
        pace: Pace::Paused,
        kept: 0.0,
        ended: None,
    }))
}

fn news(number: u64, kind: NewsKind) -> News {
    News {
        number,
        time_s: 0.0,
        kind,
        text: format!("news {number}"),
        row: 0,
        place: None,
        seen: None,
    }
}

impl Visit {
    fn start(station: &Arc<Station>) -> Self {
        let (say, mut said) = mpsc::unbounded_channel();
        let (out, hear) = mpsc::unbounded_channel();
        let open = Arc::new(std::sync::atomic::AtomicBool::new(true));
        let line = Line {
            out,
            open: Arc::clone(&open),
        };
        let incoming = stream::poll_fn(move |context| said.poll_recv(context));
        let shared = Arc::clone(station);
        let task = tokio::spawn(async move {
            let gate = Gate::new(
                ([127, 0, 0, 1], 80).into(),
                ["of-the-class".into(), TOKEN.into()],
            );
            let words = Words::of(Language::English);
            attend(&gate, &shared, words, incoming, line).await;
        });
        Self {
            station: Arc::clone(station),
            say,
            hear,
            open,
            task,
            out: None,
        }
    }

    /// Joins, and is welcomed by the test.
    async fn joined(station: &Arc<Station>, role: Role, seen: u64) -> Self {
        let mut visit = Self::start(station);
        visit.ask(Ask::Join {
            protocol: PROTOCOL,
            role,
            token: TOKEN.into(),
            seat: None,
            seen,
        });
        let Order::Join(joining) = visit.order().await else {
            panic!("no join");
        };
        let welcome = Out::Tell(Utf8Bytes::from_static("welcome"));
        joining.out.try_send(welcome).expect("taken");
        visit.out = Some(joining.out);
        assert_eq!(visit.text().await, "welcome");
        visit
    }

    fn ask(&self, ask: Ask) {
        let said = Said { id: 1, ask };
        let text = serde_json::to_string(&said).expect("written");
        self.say.send(Ok(Message::Text(text.into()))).expect("sent");
    }

    /// The next order that the station gets.
    async fn order(&self) -> Order {
        for _ in 0..20_000 {
            if let Some(order) = self.station.orders(Duration::ZERO).pop_front() {
                return order;
            }
            tokio::time::sleep(Duration::from_millis(1)).await;
        }
        panic!("no order came");
    }

    /// The next text that the browser gets.
    async fn text(&mut self) -> String {
        loop {
            match self.hear.recv().await.expect("open") {
                Message::Text(text) => return text.as_str().to_owned(),
                Message::Close(_) => panic!("closed"),
                _ => {}
            }
        }
    }
}

#[tokio::test(start_paused = true)]
async fn whoever_takes_nothing_can_still_press_and_is_then_let_go() {
    let station = station();
    let visit = Visit::joined(&station, Role::Operator, 0).await;
    visit.open.store(false, std::sync::atomic::Ordering::SeqCst);
    station.show(Utf8Bytes::from_static("frame"));
    tokio::time::sleep(Duration::from_secs(1)).await;
    visit.ask(Ask::Operate {
        act: Act::PressEmergencyStop,
    });
    assert!(matches!(visit.order().await, Order::Press(_, 1, 0)));
    let since = Instant::now();
    assert!(matches!(visit.order().await, Order::Leave(_)));
    assert!(since.elapsed() <= WRITE_WITHIN, "{:?}", since.elapsed());
    visit.task.await.expect("ends");
}

#[tokio::test(start_paused = true)]
async fn frames_are_dropped_for_a_slow_reader_and_news_never() {
    let station = station();
    let mut visit = Visit::joined(&station, Role::Operator, 0).await;
    for number in 1..=1000 {
        station.show(format!("frame {number}").into());
        station.tell_news(&news(number, NewsKind::Moved));
    }
    let mut numbers = 0;
    let mut frames = Vec::new();
    while numbers < 1000 || frames.is_empty() {
        let text = visit.text().await;
        if text.starts_with("frame") {
            frames.push(text);
        } else {
            numbers += 1;
            assert!(text.contains(&format!("\"news {numbers}\"")), "{text}");
        }
    }
    assert_eq!(frames, ["frame 1000"], "the newest alone");
}

#[tokio::test(start_paused = true)]
async fn news_is_told_from_where_it_was_left_and_to_whom_it_is_for() {
    for (role, seen, wanted) in [
        (Role::Operator, 0, vec![1, 3, 5, 7, 9]),
        (Role::Operator, 7, vec![9]),
        (Role::Instructor, 7, vec![8, 9, 10]),
        (Role::Instructor, 10, vec![]),
        (Role::Instructor, u64::MAX, vec![]),
    ] {
        let station = station();
        for number in 1..=10 {
            let kind = if number % 2 == 0 {
                NewsKind::Instructor
            } else {
                NewsKind::Seen
            };
            station.tell_news(&news(number, kind));
        }
        let mut visit = Visit::joined(&station, role, seen).await;
        for number in wanted {
            let text = visit.text().await;
            assert!(text.contains(&format!("\"news {number}\"")), "{text}");
        }
        let more = timeout(Duration::from_millis(500), visit.text()).await;
        assert!(more.is_err(), "{role:?} {seen}: {more:?}");
    }
}

#[tokio::test(start_paused = true)]
async fn silence_ends_the_connection() {
    let station = station();
    let visit = Visit::joined(&station, Role::Operator, 0).await;
    let since = Instant::now();
    assert!(matches!(visit.order().await, Order::Leave(_)));
    assert!(since.elapsed() < LOST + Duration::from_secs(1));
    let lively = Visit::joined(&station, Role::Operator, 0).await;
    for _ in 0..30 {
        tokio::time::sleep(Duration::from_secs(1)).await;
        let pong = Message::Pong(Vec::new().into());
        lively.say.send(Ok(pong)).expect("open");
    }
    assert!(
        station.orders(Duration::ZERO).is_empty(),
        "nothing is amiss"
    );
}

#[tokio::test(start_paused = true)]
async fn a_connection_that_ends_has_left() {
    let station = station();
    let visit = Visit::joined(&station, Role::Operator, 0).await;
    drop(visit.say);
    visit.task.await.expect("ends");
    let mut orders = station.orders(Duration::ZERO);
    assert!(matches!(orders.pop_front(), Some(Order::Leave(_))));
    // So has one whose task is ended from outside.
    let visit = Visit::joined(&station, Role::Operator, 0).await;
    visit.task.abort();
    assert!(visit.task.await.is_err());
    let mut orders = station.orders(Duration::ZERO);
    assert!(matches!(orders.pop_front(), Some(Order::Leave(_))));
}

#[test]
fn an_emergency_stop_goes_in_front_and_knows_the_tick_that_is_made() {
    let station = station();
    assert!(!station.about_to_make(41), "nobody wants it");
    for client in 0..u64::from(MOST_CLIENTS) {
        assert!(station.order(Order::Ask(client, 1, Ask::Finish)));
    }
    station.press(7, 3);
    station.press(8, 4);
    assert!(station.about_to_make(42), "somebody does");
    let orders = station.orders(Duration::ZERO);
    assert!(matches!(orders[0], Order::Press(7, 3, 41)));
    assert!(matches!(orders[1], Order::Press(8, 4, 41)));
    assert!(matches!(orders[2], Order::Ask(0, 1, Ask::Finish)));
    assert!(!station.about_to_make(43), "all is taken");
}

#[test]
fn orders_are_limited_but_an_end_and_an_emergency_stop_are_always_taken() {
    let station = station();
    let taken = (0..100_000)
        .take_while(|_| station.order(Order::Ask(1, 1, Ask::Finish)))
        .count();
    assert_eq!(taken, 8192);
    assert!(station.order(Order::Leave(1)));
    station.press(2, 1);
    assert!(matches!(
        station.orders(Duration::ZERO)[0],
        Order::Press(..)
    ));
}
