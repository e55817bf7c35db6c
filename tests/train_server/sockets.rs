//! What a connection may send, and what happens to it, and to it alone, if it sends something else or reads nothing.

use crate::browser::{Answered, Browser};
use crate::house::{EXERCISE, House};
use std::time::Duration;
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::TcpStream;
use tokio::time::timeout;
use tokio_tungstenite::tungstenite::Message;
use twinplate_train::protocol::{Ask, LONGEST_SAID, PROTOCOL, Role};

/// Sends something wrong from one connection; it is closed with the code, and the other one goes on.
async fn closes_it_alone(wrong: Vec<Message>, codes: &[Option<&str>]) {
    let house = House::open().await;
    let station = house.station(EXERCISE, "Ana").await;
    let mut good = Browser::operator(&house, &station).await;
    let mut bad = Browser::join(&house, &station, Role::Operator).await;
    for message in wrong {
        bad.send(message).await;
    }
    let code = bad.farewell().await;
    assert!(codes.contains(&code.as_deref()), "{code:?}");
    let before = good.frame_with(|_| true).await.tick;
    good.frame_with(|frame| frame.tick > before + 200).await;
    assert_eq!(good.ask(Ask::ReleaseControl).await, Answered::Done);
    house.close().await;
}

#[tokio::test]
async fn garbage() {
    for text in [
        "",
        "hello",
        "{",
        "{}",
        "null",
        r#"{"id":1,"ask":{"ask":"fly"}}"#,
        r#"{"id":1,"ask":{"ask":"finish"},"more":1}"#,
        r#"{"id":-1,"ask":{"ask":"finish"}}"#,
        r#"{"id":1,"ask":{"ask":"operate","act":{"act":"explode"}}}"#,
        "\u{0}\u{1}\u{2}",
    ] {
        closes_it_alone(vec![Message::text(text)], &[Some("not-understood")]).await;
    }
    let deep = "[".repeat(LONGEST_SAID);
    closes_it_alone(vec![Message::text(deep)], &[Some("not-understood")]).await;
}

#[tokio::test]
async fn too_long() {
    let just = "a".repeat(LONGEST_SAID + 1);
    closes_it_alone(vec![Message::text(just)], &[Some("too-long")]).await;
    // The socket itself takes no more than four times as much; where the rest of it is still on its way, the farewell may be lost.
    let far = "a".repeat(1 << 20);
    closes_it_alone(vec![Message::text(far)], &[Some("unreadable"), None]).await;
}

#[tokio::test]
async fn binary() {
    let finish = br#"{"id":1,"ask":{"ask":"finish"}}"#.to_vec();
    closes_it_alone(vec![Message::binary(finish)], &[Some("not-text")]).await;
}

#[tokio::test]
async fn too_many_a_second() {
    let ask = r#"{"id":1,"ask":{"ask":"take-control"}}"#;
    closes_it_alone(vec![Message::text(ask); 400], &[Some("too-many")]).await;
    let pings = vec![Message::Ping(Vec::new().into()); 400];
    closes_it_alone(pings, &[Some("too-many")]).await;
}

#[tokio::test]
async fn a_second_join() {
    let ask = r#"{"id":1,"ask":{"ask":"join","protocol":1,"role":"operator","token":""}}"#;
    closes_it_alone(vec![Message::text(ask)], &[Some("joined-already")]).await;
}

#[tokio::test]
async fn whoever_does_not_join_first_is_not_heard() {
    let house = House::open().await;
    let station = house.station(EXERCISE, "Ana").await;
    let mut first = Browser::silent(&house, &station).await;
    first.say(Ask::Finish).await;
    assert_eq!(first.farewell().await.as_deref(), Some("join-first"));
    let mut old = Browser::silent(&house, &station).await;
    let token = house.token.clone();
    old.say(Ask::Join {
        protocol: PROTOCOL + 1,
        role: Role::Operator,
        token,
        seat: None,
        seen: 0,
    })
    .await;
    assert_eq!(old.farewell().await.as_deref(), Some("protocol"));
    let nobody = Browser::silent(&house, "nothere").await;
    assert_eq!(nobody.farewell().await.as_deref(), Some("no-station"));
    let mute = Browser::silent(&house, &station).await;
    assert_eq!(mute.farewell().await.as_deref(), Some("join-first"));
    house.close().await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn whoever_reads_nothing_slows_nobody_and_is_dropped() {
    let house = House::open().await;
    let station = house.station(EXERCISE, "Ana").await;
    let mut good = Browser::operator(&house, &station).await;
    let mut slow = Vec::new();
    for _ in 0..5 {
        slow.push(Browser::join(&house, &station, Role::Watcher).await);
    }
    // Five seconds in which the five read nothing at all.
    let before = good.frames;
    good.listen(Duration::from_secs(5)).await;
    let frames = good.frames - before;
    assert!(frames >= 50, "{frames} frames in 5 s");
    // No sign of life comes from them, so they are let go, each by itself.
    let shared = house.inside(&station);
    for _ in 0..30 {
        if shared.summary().present == 1 {
            break;
        }
        good.listen(Duration::from_millis(500)).await;
    }
    assert_eq!(shared.summary().present, 1);
    drop(slow);
    house.close().await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_station_takes_sixty_four_connections() {
    let house = House::open().await;
    let station = house.station(EXERCISE, "Ana").await;
    let mut all = Vec::new();
    for _ in 0..64 {
        all.push(Browser::join(&house, &station, Role::Watcher).await);
    }
    let mut more = Browser::silent(&house, &station).await;
    let token = house.token.clone();
    more.say(Ask::Join {
        protocol: PROTOCOL,
        role: Role::Operator,
        token,
        seat: None,
        seen: 0,
    })
    .await;
    assert_eq!(more.farewell().await.as_deref(), Some("full"));
    drop(all);
    house.close().await;
}

/// Guards: a request that was begun and never ended held its socket for as long as its other end liked. The clock jumps where nobody
/// has anything to do.
#[tokio::test(start_paused = true)]
async fn whoever_begins_a_request_and_never_ends_it_is_let_go() {
    let house = House::open().await;
    for begun in ["", "GET / HT", "POST /api/stations HTTP/1.1\r\nhost: "] {
        let mut stream = TcpStream::connect(house.address).await.expect("connects");
        stream.write_all(begun.as_bytes()).await.expect("sent");
        let mut said = Vec::new();
        let ended = timeout(Duration::from_secs(600), stream.read_to_end(&mut said)).await;
        assert!(ended.is_ok(), "{begun:?} holds its socket");
    }
    house.close().await;
}
