//! Control, seats, coming back, pace.

use crate::browser::{Answered, Browser};
use crate::house::{EXERCISE, House};
use std::time::{Duration, Instant};
use twinplate_sim::training::act::Act;
use twinplate_train::log::FIRST_TICK;
use twinplate_train::protocol::{Ask, HELD_EVERY_MS, NewsKind, Pace, Role, Tell};

fn refused(code: &str) -> Answered {
    Answered::Refused(code.into())
}

#[tokio::test]
async fn one_holds_control_and_hands_it_over() {
    let house = House::open().await;
    let station = house.station(EXERCISE, "Ana").await;
    let mut one = Browser::operator(&house, &station).await;
    let mut two = Browser::join(&house, &station, Role::Operator).await;
    assert_eq!(two.act(Act::Start).await, refused("no-control"));
    assert_eq!(two.ask(Ask::TakeControl).await, refused("no-control"));
    let pace = Ask::SetPace { pace: Pace::Five };
    assert_eq!(two.ask(pace.clone()).await, refused("not-allowed"));
    assert_eq!(one.act(Act::CheckSlurry).await, Answered::Done);
    assert_eq!(one.ask(Ask::ReleaseControl).await, Answered::Done);
    assert_eq!(one.act(Act::CheckSlurry).await, refused("no-control"));
    assert_eq!(two.ask(Ask::TakeControl).await, Answered::Done);
    assert_eq!(two.act(Act::CheckSlurry).await, Answered::Done);
    assert_eq!(two.ask(pace).await, Answered::Done);
    // The other one is told who holds it now.
    let short: String = two.seat().chars().take(6).collect();
    loop {
        if let Tell::Seats(seats) = one.next().await
            && seats.control.as_deref() == Some(&short)
        {
            assert!(!seats.yours);
            break;
        }
    }
    house.close().await;
}

#[tokio::test]
async fn each_role_may_do_its_own() {
    let house = House::open().await;
    let station = house.station(EXERCISE, "Ana").await;
    let mut operator = Browser::operator(&house, &station).await;
    let mut watcher = Browser::join(&house, &station, Role::Watcher).await;
    let mut instructor = Browser::join(&house, &station, Role::Instructor).await;
    let inject = Ask::Inject {
        component: "agitator".into(),
        mode: "off".into(),
        magnitude: None,
    };
    let back = Ask::GoBack { to_s: 0.0 };
    for ask in [
        Ask::Operate { act: Act::Start },
        Ask::Operate {
            act: Act::PressEmergencyStop,
        },
        Ask::TakeControl,
    ] {
        assert_eq!(watcher.ask(ask.clone()).await, refused("no-control"));
        assert_eq!(instructor.ask(ask).await, refused("no-control"));
    }
    for ask in [
        Ask::SetPace { pace: Pace::Paused },
        inject.clone(),
        back.clone(),
        Ask::Finish,
    ] {
        assert_eq!(watcher.ask(ask).await, refused("not-allowed"));
    }
    assert_eq!(operator.ask(inject.clone()).await, refused("not-allowed"));
    assert_eq!(operator.ask(back.clone()).await, refused("not-allowed"));

    assert_eq!(instructor.ask(inject).await, Answered::Done);
    operator
        .frame_with(|frame| frame.tick > FIRST_TICK + 500)
        .await;
    assert_eq!(instructor.ask(back).await, Answered::Done);
    let frame = instructor
        .frame_with(|frame| frame.pace == Pace::Paused)
        .await;
    assert_eq!(frame.tick, FIRST_TICK, "gone back, and time stands still");
    assert_eq!(
        instructor.ask(Ask::GoBack { to_s: -1.0 }).await,
        refused("not-understood")
    );
    // What the instructor did is for instructors.
    instructor.listen(Duration::from_millis(300)).await;
    operator.listen(Duration::from_millis(300)).await;
    let kind = NewsKind::Instructor;
    assert!(instructor.news.iter().any(|news| news.kind == kind));
    assert!(operator.news.iter().all(|news| news.kind != kind));
    house.close().await;
}

#[tokio::test]
async fn coming_back_with_seat_and_seen_gives_control_and_exactly_the_missed_news() {
    let house = House::open().await;
    let station = house.station(EXERCISE, "Ana").await;
    let mut one = Browser::operator(&house, &station).await;
    let mut other = Browser::join(&house, &station, Role::Operator).await;
    for _ in 0..3 {
        assert_eq!(one.act(Act::CheckSlurry).await, Answered::Done);
    }
    one.listen(Duration::from_millis(300)).await;
    let (seat, seen) = (one.seat(), one.seen());
    assert!(seen >= 3, "{seen}");
    drop(one);
    // While it is gone, others may not take control, and something happens.
    loop {
        if let Tell::Seats(seats) = other.next().await
            && seats.present == 1
        {
            assert!(seats.control.is_some());
            break;
        }
    }
    assert_eq!(other.ask(Ask::TakeControl).await, refused("no-control"));
    let press = Act::PressEmergencyStop;
    assert_eq!(other.act(press).await, Answered::Done);
    other.listen(Duration::from_millis(300)).await;

    let mut back =
        Browser::rejoin(&house, &station, Role::Operator, Some(seat.clone()), seen).await;
    assert_eq!(back.seat(), seat);
    assert!(back.welcome.as_ref().is_some_and(|told| told.seats.yours));
    back.listen(Duration::from_millis(300)).await;
    other.listen(Duration::from_millis(300)).await;
    let numbers: Vec<u64> = back.news.iter().map(|news| news.number).collect();
    let missed: Vec<u64> = (seen + 1..=other.seen()).collect();
    assert!(!missed.is_empty());
    assert_eq!(numbers, missed);
    assert_eq!(back.act(Act::ReleaseEmergencyStop).await, Answered::Done);

    // Whoever comes without having seen anything gets all.
    let mut fresh = Browser::join(&house, &station, Role::Watcher).await;
    fresh.listen(Duration::from_millis(300)).await;
    let all: Vec<u64> = fresh.news.iter().map(|news| news.number).collect();
    assert_eq!(all, (1..=fresh.seen()).collect::<Vec<u64>>());
    assert!(fresh.seen() >= other.seen());
    house.close().await;
}

#[tokio::test]
async fn the_same_seat_twice_closes_the_older_connection() {
    let house = House::open().await;
    let station = house.station(EXERCISE, "Ana").await;
    let one = Browser::operator(&house, &station).await;
    let seat = Some(one.seat());
    let mut two = Browser::rejoin(&house, &station, Role::Operator, seat, 0).await;
    assert_eq!(one.farewell().await.as_deref(), Some("replaced"));
    assert_eq!(two.act(Act::CheckSlurry).await, Answered::Done);
    house.close().await;
}

/// In Setup with the hold-to-run control held.
async fn holding(house: &House, station: &str) -> Browser {
    let mut operator = Browser::operator(house, station).await;
    operator
        .frame_with(|frame| frame.tick > FIRST_TICK + 100)
        .await;
    for act in [
        Act::SetupKey { on: true },
        Act::SetMode {
            mode: "setup".into(),
        },
        Act::HoldToRun { on: true },
    ] {
        assert_eq!(operator.act(act).await, Answered::Done);
    }
    operator
        .frame_with(|frame| frame.switches.hold_to_run)
        .await;
    operator
}

#[tokio::test]
async fn hold_to_run_is_let_go_with_the_connection() {
    let house = House::open().await;
    let station = house.station(EXERCISE, "Ana").await;
    let mut other = Browser::join(&house, &station, Role::Watcher).await;
    let operator = holding(&house, &station).await;
    let held = other.frame_with(|frame| frame.switches.hold_to_run).await;
    drop(operator);
    let free = other.frame_with(|frame| !frame.switches.hold_to_run).await;
    let ms = free.tick - held.tick;
    assert!(ms < 2000, "{ms} ms at the clock's pace");
    house.close().await;
}

#[tokio::test]
async fn hold_to_run_is_let_go_with_control_and_when_nothing_is_heard_of_the_hand() {
    let house = House::open().await;
    let station = house.station(EXERCISE, "Ana").await;
    let mut other = Browser::join(&house, &station, Role::Watcher).await;
    let mut operator = holding(&house, &station).await;
    assert_eq!(operator.ask(Ask::ReleaseControl).await, Answered::Done);
    other.frame_with(|frame| !frame.switches.hold_to_run).await;

    assert_eq!(operator.ask(Ask::TakeControl).await, Answered::Done);
    assert_eq!(
        operator.act(Act::HoldToRun { on: true }).await,
        Answered::Done
    );
    other.frame_with(|frame| frame.switches.hold_to_run).await;
    // As long as its page says that it is held, it is.
    let every = Duration::from_millis(HELD_EVERY_MS.into());
    for _ in 0..15 {
        tokio::time::sleep(every).await;
        assert_eq!(operator.ask(Ask::StillHeld).await, Answered::Done);
    }
    // A page that hangs, or a line that is dead without being closed, says nothing: it is let go within half a second.
    // The operator has read along: its next frame is of now.
    let held = operator
        .frame_with(|frame| frame.switches.hold_to_run)
        .await;
    let gone = other.frame_with(|frame| !frame.switches.hold_to_run).await;
    let ms = gone.tick.saturating_sub(held.tick);
    assert!(ms < 1000, "{ms} ms at the clock's pace");
    // What comes too late does not hold it again.
    assert!(matches!(
        operator.ask(Ask::StillHeld).await,
        Answered::Refused(_)
    ));
    drop(operator);
    house.close().await;
}

/// Simulated against clock time over two seconds of the clock. The bounds leave room for a busy computer: a pace that is not
/// kept at all, or raced, is far outside.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn pace_is_kept() {
    let house = House::open().await;
    let station = house.station(EXERCISE, "Ana").await;
    let mut operator = Browser::operator(&house, &station).await;
    for (pace, factor) in [(Pace::Real, 1.0), (Pace::Five, 5.0), (Pace::Twenty, 20.0)] {
        operator.pace(pace).await;
        operator.listen(Duration::from_millis(300)).await;
        let first = operator.frame_with(|frame| frame.pace == pace).await;
        let clock = Instant::now();
        operator.listen(Duration::from_secs(2)).await;
        let last = operator.frame_with(|_| true).await;
        let clock = clock.elapsed().as_secs_f64();
        let kept = (last.time_s - first.time_s) / clock / factor;
        assert!((0.85..1.15).contains(&kept), "{pace:?}: {kept}");
        let told = last.kept / factor;
        assert!((0.7..1.3).contains(&told), "{pace:?}: told {told}");
    }
    operator.pace(Pace::Paused).await;
    let still = operator
        .frame_with(|frame| frame.pace == Pace::Paused)
        .await;
    let frames = operator.frames;
    operator.listen(Duration::from_secs(2)).await;
    let later = operator.frame.clone().expect("a frame");
    assert_eq!(later.tick, still.tick);
    assert!(operator.frames > frames, "a sign of life while time stands");
    operator.pace(Pace::Fastest).await;
    let racing = operator
        .frame_with(|frame| frame.pace == Pace::Fastest)
        .await;
    operator.listen(Duration::from_secs(1)).await;
    let raced = operator.frame.clone().expect("a frame");
    // Even the unoptimised build is far faster than twenty times the clock, unless the exercise is over by then.
    let passed = raced.time_s - racing.time_s;
    assert!(
        passed > 25.0 || raced.pace == Pace::Paused,
        "{passed} s in a second"
    );
    house.close().await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn frames_come_twenty_a_second() {
    let house = House::open().await;
    let station = house.station(EXERCISE, "Ana").await;
    let mut operator = Browser::operator(&house, &station).await;
    operator.listen(Duration::from_millis(300)).await;
    let before = operator.frames;
    operator.listen(Duration::from_secs(3)).await;
    let rate = f64::from(operator.frames - before) / 3.0;
    assert!((10.0..22.0).contains(&rate), "{rate} frames a second");
    house.close().await;
}
