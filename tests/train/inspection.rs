//! The operator inspects what was taken out: nothing is told that was not measured, and what is measured is what lies there.

use crate::{exercise, to_the_end, work};
use twinplate_sim::training::act::{Act, VERDICTS};
use twinplate_train::protocol::News;
use twinplate_train::session::Session;

const PLACES: usize = 5;

fn judge(verdict: &str) -> Act {
    Act::JudgeParts {
        verdict: verdict.into(),
    }
}

/// The first batch lapped, the guard open.
fn lapped() -> Session {
    let mut session = Session::new(exercise("first-piece"), 1);
    work(
        &mut session,
        &[Act::ConfirmParts { pieces: 15 }, Act::Start],
        1000,
    );
    to_the_end(&mut session);
    work(&mut session, &[Act::UnlockGuard, Act::OpenGuard], 2000);
    session
}

fn taken_out() -> Session {
    let mut session = lapped();
    work(&mut session, &[Act::UnloadCarriers], 1000);
    session
}

/// What is told from here on while an act is done.
fn told(session: &mut Session, act: &Act) -> Vec<News> {
    let before = session.news(0).len() as u64;
    work(session, std::slice::from_ref(act), 10);
    session.news(before).to_vec()
}

/// Readings of one part, µm.
fn readings(text: &str) -> Option<Vec<f64>> {
    let (_, numbers) = text.strip_prefix("Part ")?.split_once(": ")?;
    let numbers = numbers.strip_suffix(" µm.")?;
    numbers.split("; ").map(|one| one.parse().ok()).collect()
}

#[test]
fn taking_out_tells_no_size_and_no_flatness() {
    let mut session = lapped();
    let news = told(&mut session, &Act::UnloadCarriers);
    assert!(news.iter().any(|one| one.text.contains("unmeasured")));
    for one in &news {
        assert!(one.seen.is_none(), "{}", one.text);
        assert!(!one.text.contains("µm"), "{}", one.text);
        assert!(!one.text.contains("thin"), "{}", one.text);
    }
}

/// The gauge reads 5 µm too much, so that the parts end 5 µm under the size at which it ends the step. Within one part the readings differ by
/// no more than its taper, its hollow and twice the gauge's uncertainty.
#[test]
fn parts_measure_what_they_are_and_not_what_the_panel_says() {
    let mut session = taken_out();
    let news = told(&mut session, &Act::MeasureParts { parts: 5 });
    let parts: Vec<Vec<f64>> = news.iter().filter_map(|one| readings(&one.text)).collect();
    assert_eq!(parts.len(), 5, "{news:?}");
    for part in &parts {
        assert_eq!(part.len(), PLACES);
        let mean = part.iter().sum::<f64>() / PLACES as f64;
        assert!((mean - 533.0).abs() < 1.5, "{part:?}");
        let most = part.iter().copied().fold(f64::MIN, f64::max);
        let least = part.iter().copied().fold(f64::MAX, f64::min);
        assert!(most - least < 2.0, "{part:?}");
    }
    let flat = told(&mut session, &Act::LayFlat);
    assert!(flat.iter().any(|one| one.seen.is_some()), "{flat:?}");
}

/// One from each of the five carriers before a second from any: one may hide what another shows.
#[test]
fn parts_are_taken_from_as_many_carriers_as_can_be() {
    let mut session = taken_out();
    for (parts, carriers) in [(1, 1), (3, 3), (5, 5), (7, 5), (15, 5)] {
        let news = told(&mut session, &Act::MeasureParts { parts });
        let from: Vec<&str> = news
            .iter()
            .filter_map(|one| one.text.split_once("(carrier ")?.1.split_once(')'))
            .map(|(carrier, _)| carrier)
            .collect();
        assert_eq!(from.len(), usize::from(parts), "{news:?}");
        let apart: std::collections::BTreeSet<&str> = from.into_iter().collect();
        assert_eq!(apart.len(), carriers, "{news:?}");
    }
}

#[test]
fn what_cannot_be_inspected_is_refused_and_says_why() {
    let refused =
        |session: &mut Session, act: &Act| session.operate(act).expect_err("refused").code;
    let mut session = lapped();
    for act in [
        Act::MeasureParts { parts: 3 },
        Act::LayFlat,
        judge("accepted"),
    ] {
        assert_eq!(refused(&mut session, &act), "no-parts", "{act:?}");
    }
    work(&mut session, &[Act::UnloadCarriers], 1000);
    for parts in [0, 16, u16::MAX] {
        let act = Act::MeasureParts { parts };
        assert_eq!(refused(&mut session, &act), "out-of-range");
    }
    assert_eq!(refused(&mut session, &judge("fine")), "unknown-verdict");
    for (verdict, _) in VERDICTS {
        session.operate(&judge(verdict)).expect("taken");
    }
    // Others lie in the machine: those are gone from the bench.
    work(&mut session, &[Act::LoadCarriers], 1000);
    assert_eq!(refused(&mut session, &judge("accepted")), "no-parts");
    // Where a gauge room measures, nobody does so beside it.
    let mut other = Session::new(exercise("laid-in"), 1);
    assert_eq!(refused(&mut other, &Act::LayFlat), "gauge-room");
}

/// The line of the panel sends nobody past parts that nobody judged, nor to the next ones while the reason is not found.
#[test]
fn the_line_asks_for_the_inspection() {
    let mut session = taken_out();
    let advice = session.advice();
    assert!(
        advice.text.starts_with("Parts lie on the bench"),
        "{advice:?}"
    );
    assert_eq!(advice.act, None);
    work(&mut session, &[judge("too-thin")], 1000);
    assert_eq!(session.advice().act, Some(Act::Reset));
    work(&mut session, &[Act::Reset], 1000);
    let advice = session.advice();
    assert!(
        advice.text.starts_with("The parts were rejected"),
        "{advice:?}"
    );
    assert_eq!(advice.act, None);
    work(&mut session, &[judge("accepted")], 1000);
    assert_eq!(session.advice().act, Some(Act::LoadCarriers));
}
