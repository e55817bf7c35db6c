//! An emergency stop acts in the next simulated tick after its arrival, whatever the pace and the load.

use crate::browser::{Answered, Browser};
use crate::house::{EXERCISE, House};
use std::time::Duration;
use twinplate_sim::training::act::Act;
use twinplate_train::log::FIRST_TICK;
use twinplate_train::protocol::{Ask, Pace, Role};

/// Presses and releases at a pace; the ticks in which it acted, by the server's log, must be those of the session's own.
async fn presses(house: &House, station: &str, browser: &mut Browser, pace: Pace, times: usize) {
    let mut instructor = Browser::join(house, station, Role::Instructor).await;
    browser.pace(pace).await;
    let inside = house.inside(station);
    let before = inside.presses().len();
    for time in 0..times {
        if pace == Pace::Fastest {
            // Its longest time would be over in no time.
            let back = Ask::GoBack { to_s: 1.0 };
            assert_eq!(instructor.ask(back).await, Answered::Done);
            browser.pace(pace).await;
        }
        if time % 2 == 0 {
            // Something else in front of it; every other time it has to get in by itself.
            for act in [Act::Acknowledge, Act::Hold] {
                browser.say(Ask::Operate { act }).await;
            }
        }
        let asked = browser
            .say(Ask::Operate {
                act: Act::PressEmergencyStop,
            })
            .await;
        assert_eq!(browser.answer(asked).await, Answered::Done, "{time}");
        assert_eq!(browser.act(Act::ReleaseEmergencyStop).await, Answered::Done);
        tokio::time::sleep(Duration::from_micros(700 * (time as u64 % 7))).await;
    }
    let presses = inside.presses();
    assert_eq!(presses.len(), before + times);
    for press in &presses[before..] {
        let ticks = press.acted.wrapping_sub(press.arrived);
        assert!(ticks <= 1, "{pace:?}: {press:?}");
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn it_acts_in_the_next_tick_at_each_pace() {
    let house = House::open().await;
    for pace in [Pace::Paused, Pace::Real, Pace::Twenty, Pace::Fastest] {
        let station = house.station(EXERCISE, "Ana").await;
        let mut operator = Browser::operator(&house, &station).await;
        presses(&house, &station, &mut operator, pace, 10).await;
    }
    house.close().await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn it_acts_in_the_next_tick_while_twenty_sessions_run_as_fast_as_they_can() {
    let house = House::open().await;
    let mut others = Vec::new();
    for number in 0..19 {
        let station = house.station(EXERCISE, &format!("Trainee {number}")).await;
        let mut operator = Browser::operator(&house, &station).await;
        operator.pace(Pace::Fastest).await;
        others.push(operator);
    }
    let station = house.station(EXERCISE, "Ana").await;
    let mut operator = Browser::operator(&house, &station).await;
    presses(&house, &station, &mut operator, Pace::Fastest, 10).await;
    house.close().await;
}

#[tokio::test]
async fn the_session_says_the_same_of_the_tick_and_the_panel_shows_it() {
    let house = House::open().await;
    let station = house.station(EXERCISE, "Ana").await;
    // No control is needed to press it; it is to let it go.
    let mut bystander = Browser::join(&house, &station, Role::Operator).await;
    bystander
        .frame_with(|frame| frame.tick > FIRST_TICK + 300)
        .await;
    assert_eq!(bystander.act(Act::PressEmergencyStop).await, Answered::Done);
    let frame = bystander.frame_with(|frame| frame.switches.estop).await;
    let press = house.inside(&station).presses()[0];
    assert!(frame.tick > press.acted, "{} {press:?}", frame.tick);
    assert_eq!(
        bystander.act(Act::ReleaseEmergencyStop).await,
        Answered::Refused("no-control".into())
    );
    let mut instructor = Browser::join(&house, &station, Role::Instructor).await;
    assert_eq!(instructor.ask(Ask::Finish).await, Answered::Done);
    let csv = house.get("/api/acts.csv").await.body;
    let line = csv
        .lines()
        .find(|line| line.contains("press-emergency-stop"))
        .expect("is in the records");
    let time_s: f64 = line
        .split(',')
        .nth(3)
        .and_then(|time| time.parse().ok())
        .expect("a time");
    assert!(
        (time_s * 1000.0 - f64::from(press.acted)).abs() < 0.5,
        "{line} {press:?}"
    );
    house.close().await;
}
