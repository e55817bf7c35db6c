//! A real server that is killed: finished attempts are kept, of a running one at most a second is lost.

use crate::browser::{Answered, Browser};
use crate::house::{EXERCISE, House};
use crate::root;
use crate::server::{Folder, Server, command};
use std::process::Command;
use twinplate_server::visit::PING_EVERY;
use twinplate_sim::training::act::Act;
use twinplate_train::log::FIRST_TICK;
use twinplate_train::protocol::{Ask, Tell};

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_killed_server_loses_no_finished_attempt_and_a_second_of_a_running_one() {
    let folder = Folder::new("killed");
    let records = folder.0.join("training.sqlite");
    let server = Server::start(&records);
    let house = server.house().await;

    let done = house.station(EXERCISE, "Ana").await;
    let mut ana = Browser::operator(&house, &done).await;
    ana.frame_with(|frame| frame.tick > FIRST_TICK + 300).await;
    ana.say(Ask::Finish).await;
    while !matches!(ana.next().await, Tell::Ended { .. }) {}

    let cut = house.station(EXERCISE, "Ben").await;
    let mut ben = Browser::operator(&house, &cut).await;
    assert_eq!(ben.act(Act::CheckSlurry).await, Answered::Done);
    let last = ben.frame_with(|frame| frame.time_s > 5.0).await;
    let said = server.kill();
    assert!(!said.contains(&house.token), "the token is in the log");

    let again = Server::start(&records);
    let house = again.house().await;
    let listed = house.get("/api/attempts").await.json();
    let of = |trainee: &str| {
        let mut all = listed.as_array().expect("a list").iter();
        let found = all.find(|record| record["trainee"] == trainee);
        found.expect("is in the records").clone()
    };
    assert_eq!(of("Ana")["state"], "finished");
    assert!(of("Ana")["points"].is_number());
    let ben = of("Ben");
    assert_eq!(ben["state"], "unfinished");
    assert_eq!(ben["finished"], false);
    let looked = house
        .get(&format!("/api/attempts/{}", ben["attempt"]))
        .await
        .json();
    let end_s = looked["debrief"]["end_s"]
        .as_f64()
        .expect("is looked at: an end");
    assert!(
        end_s > last.time_s - 1.0 && end_s < last.time_s + 1.0,
        "saved until {end_s} s, seen until {} s",
        last.time_s
    );
    let csv = house.get("/api/acts.csv").await.body;
    assert!(csv.contains("check-slurry"), "{csv}");
    again.kill();
}

#[test]
fn a_port_that_is_taken_is_told_clearly() {
    let folder = Folder::new("taken");
    let taken = std::net::TcpListener::bind("127.0.0.1:0").expect("listens");
    let port = taken.local_addr().expect("bound").port().to_string();
    let output = Command::new(env!("CARGO_BIN_EXE_twinplate"))
        .current_dir(root())
        .args(["train", "--port", &port, "--records"])
        .arg(folder.0.join("training.sqlite"))
        .output()
        .expect("runs");
    assert_eq!(output.status.code(), Some(2));
    let said = String::from_utf8_lossy(&output.stderr);
    let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(said.contains("another program listens there"), "{said}");
    assert!(said.contains("--port"), "{said}");
    assert!(output.stdout.is_empty());
}

#[test]
fn records_that_are_in_use_are_told_clearly() {
    let folder = Folder::new("in-use");
    let records = folder.0.join("training.sqlite");
    let server = Server::start(&records);
    let second = command(&records, "trace").output().expect("runs");
    assert_eq!(second.status.code(), Some(2));
    let said = String::from_utf8_lossy(&second.stderr);
    assert!(said.contains("in use by another server"), "{said}");
    server.kill();
}

#[cfg(unix)]
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_server_that_is_asked_to_stop_saves_what_runs() {
    let folder = Folder::new("stopped");
    let records = folder.0.join("training.sqlite");
    let mut server = Server::start(&records);
    let house = server.house().await;
    let station = house.station(EXERCISE, "Ana").await;
    let mut ana = Browser::operator(&house, &station).await;
    ana.frame_with(|frame| frame.tick > FIRST_TICK + 300).await;
    let pid = server.child.id().to_string();
    let sent = Command::new("kill").args(["-INT", &pid]).status();
    assert!(sent.expect("kill runs").success());
    assert_eq!(ana.farewell().await.as_deref(), Some("station-closed"));
    let status = server.child.wait().expect("ends");
    assert_eq!(status.code(), Some(0));

    let again = Server::start(&records);
    let house = again.house().await;
    let listed = house.get("/api/attempts").await.json();
    assert_eq!(listed[0]["state"], "unfinished");
    assert!(listed[0]["points"].is_number(), "scored as it stood");
    again.kill();
}

/// Signs of life that wait for an answer when the server ends: whoever answers them on a line that is gone already never reads what
/// was said last.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn who_reads_late_still_hears_that_the_server_ends() {
    let house = House::open().await;
    let station = house.station(EXERCISE, "Ana").await;
    let ana = Browser::operator(&house, &station).await;
    tokio::time::sleep(3 * PING_EVERY).await;
    let ending = tokio::spawn(house.close());
    tokio::time::sleep(PING_EVERY / 2).await;
    assert!(
        !ending.is_finished(),
        "the server went while somebody was still to hear it"
    );
    assert_eq!(ana.farewell().await.as_deref(), Some("station-closed"));
    ending.await.expect("no panic");
}
