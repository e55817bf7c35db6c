//! Stations whose controllers run elsewhere, as on a board.

use crate::browser::{Answered, Browser};
use crate::house::{EXERCISE, House};
use std::sync::Arc;
use twinplate_server::controllers::Maker;
use twinplate_sim::bench::InProcess;
use twinplate_sim::training::act::Act;
use twinplate_train::log::FIRST_TICK;
use twinplate_train::protocol::{Ask, Pace, Role};

const LOOPBACK: &str = "127.0.0.1:0";

/// Guards: a station must act, see and be watched the same wherever its controller runs; a moment to go back to there is not.
#[tokio::test]
async fn a_controller_elsewhere_is_operated_and_watched_and_does_not_go_back() {
    let maker: Maker =
        Arc::new(|exercise| Ok(Box::new(InProcess::new(exercise.job.params.clone()))));
    let house = House::open_with(LOOPBACK, |floor| floor.with_controllers(maker)).await;
    let station = house.station(EXERCISE, "Ana").await;
    let mut operator = Browser::operator(&house, &station).await;
    let mut watcher = Browser::join(&house, &station, Role::Watcher).await;
    let mut instructor = Browser::join(&house, &station, Role::Instructor).await;
    assert_eq!(operator.act(Act::CheckSlurry).await, Answered::Done);
    let fast = Ask::SetPace {
        pace: Pace::Fastest,
    };
    assert_eq!(operator.ask(fast).await, Answered::Done);
    watcher
        .frame_with(|frame| frame.tick > FIRST_TICK + 500)
        .await;
    assert_eq!(
        instructor.ask(Ask::GoBack { to_s: 0.0 }).await,
        Answered::Refused("cannot-go-back".into())
    );
    house.close().await;
}

/// Guards: where there is no controller to be had, the page is told why, and no attempt is left behind in the records.
#[tokio::test]
async fn without_a_controller_no_station_is_opened_and_the_page_is_told_why() {
    let maker: Maker = Arc::new(|_| Err("no board is connected".into()));
    let house = House::open_with(LOOPBACK, |floor| floor.with_controllers(maker)).await;
    let body = serde_json::json!({ "exercise": EXERCISE, "trainee": "Ana", "seed": 7 });
    let answer = house.post(&body.to_string()).await;
    assert_eq!(answer.status, 503, "{answer:?}");
    assert!(answer.body.contains("no board is connected"), "{answer:?}");
    assert!(house.floor.list().is_empty());
    let records = house.get("/api/attempts").await;
    assert_eq!(records.json(), serde_json::json!([]));
    house.close().await;
}
