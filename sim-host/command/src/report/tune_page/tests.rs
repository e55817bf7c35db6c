//! The page is whole, true to its report, and stays a page whatever the files are called.

use super::gain_plane::{frame_for_tests, grey, place};
use super::{draw, shown_index};
use std::sync::OnceLock;
use twinplate_linear::Sweep;
use twinplate_sim::demo;
use twinplate_sim::model::{Gains, Machine};
use twinplate_tune::candidates::Lines;
use twinplate_tune::demo_log::DemoLog;
use twinplate_tune::effort::Effort;
use twinplate_tune::experiment::Kind;
use twinplate_tune::free::Freeing;
use twinplate_tune::import::{ImportOptions, import};
use twinplate_tune::recommend::Nothing;
use twinplate_tune::work::{Request, Source, TuneReport, tune};

fn few() -> Effort {
    Effort {
        runs: 2,
        compare: 1,
        shade: 1,
        plane: [14, 12],
        shades: [4, 3],
        ..Effort::usual(2)
    }
}

fn report(machine: Option<&Machine>, source: Source) -> TuneReport {
    let request = Request {
        machine,
        batch: None,
        source,
        filter: None,
        dead_time: None,
        options: few(),
    };
    tune(&request, &|_, _| ()).expect("a report")
}

/// Judged on a machine.
fn of_machine() -> &'static TuneReport {
    static MADE: OnceLock<TuneReport> = OnceLock::new();
    MADE.get_or_init(|| report(Some(&demo::machine("machine-a")), Source::Declared))
}

/// From a log alone.
fn of_log() -> &'static TuneReport {
    static MADE: OnceLock<TuneReport> = OnceLock::new();
    MADE.get_or_init(|| {
        let text = DemoLog::Noisy.text(1);
        let log = import(text.as_bytes(), &ImportOptions::default()).expect("a log");
        report(None, Source::Log(Box::new(log)))
    })
}

/// From the relay experiment: a recording without a log.
fn of_relay() -> &'static TuneReport {
    static MADE: OnceLock<TuneReport> = OnceLock::new();
    MADE.get_or_init(|| {
        let machine = demo::machine("machine-b");
        report(Some(&machine), Source::Experiment(Kind::Relay))
    })
}

/// The same report with the answer that nothing passes: to find one in earnest takes a minute, and is the study's own test.
fn of_nothing() -> TuneReport {
    let mut report = of_machine().clone();
    let found = &mut report.recommendation;
    let nearest = found
        .candidates
        .iter()
        .position(|candidate| !candidate.passes())
        .expect("a set that breaks a limit");
    let binds = found.candidates[nearest].broken[0].clone();
    let freeing = [
        ("half the seal friction", false),
        ("a <faster> filter", true),
    ];
    found.answer = Err(Nothing {
        nearest,
        binds,
        freeing: freeing
            .map(|(change, frees)| Freeing {
                change: change.to_owned(),
                frees,
            })
            .into(),
    });
    report
}

#[test]
fn the_page_needs_nothing_from_outside_and_is_whole() {
    for report in [of_machine(), of_log(), of_relay(), &of_nothing()] {
        let page = draw(report);
        for outside in [
            "http:", "https:", "<script", "src=", "href=", "@import", "url(", "<link", "<iframe",
        ] {
            assert!(!page.contains(outside), "the page has {outside}");
        }
        for tag in [
            "svg", "div", "table", "ul", "section", "tr", "td", "style", "main",
        ] {
            let opened = page.matches(&format!("<{tag}>")).count()
                + page.matches(&format!("<{tag} ")).count();
            assert_eq!(opened, page.matches(&format!("</{tag}>")).count(), "{tag}");
        }
        // In a number: words such as "dominant" have no digit or quote beside them.
        for none in ["NaN", "\"inf", ">inf", " inf", "-inf"] {
            assert!(!page.contains(none), "a number is none: {none}");
        }
        assert!(page.ends_with("</html>\n"));
    }
}

#[test]
fn the_answers_stand_on_top() {
    let told = |report: &TuneReport| {
        let page = draw(report);
        let end = page.find("</section>").expect("answers");
        page[..end].to_owned()
    };
    let good = told(of_machine());
    let gains = of_machine().recommendation.gains().expect("gains");
    for wanted in [
        "Recommended".to_owned(),
        format!(">{}<", gains.ti),
        "1/N".to_owned(),
        "Why these".to_owned(),
        "What limits them".to_owned(),
        "all 3 machines held".to_owned(),
        "worst corner".to_owned(),
    ] {
        assert!(good.contains(&wanted), "{wanted} is missing in {good}");
    }
    assert!(!good.contains("out\""), "red on a page where all is well");
    let nothing_report = of_nothing();
    let bad = told(&nothing_report);
    let Err(nothing) = &nothing_report.recommendation.answer else {
        panic!("something passed");
    };
    assert!(bad.contains("Nothing passes") && bad.contains("not recommended"));
    assert!(bad.contains(&nothing.binds.what), "{bad}");
    for tried in &nothing.freeing {
        assert!(bad.contains(&super::escape(&tried.change)), "{tried:?}");
    }
    assert!(told(of_log()).contains("nothing ran on the controller"));
    let page = draw(of_log());
    let warnings = &of_log().log.as_ref().expect("a log").found.warnings;
    assert!(!warnings.is_empty());
    for warning in warnings {
        let at = page.find(&super::escape(&format!("Caution: {warning}")));
        assert!(at.is_some() && at < page.find("<h2>The log</h2>"));
    }
}

#[test]
fn what_a_report_has_is_drawn() {
    for (report, pictures) in [
        // Plane, two responses, Bode, Nyquist; a log or a recording before them.
        (of_machine(), 5),
        (of_log(), 6),
        (of_relay(), 6),
        (&of_nothing(), 5),
    ] {
        assert_eq!(draw(report).matches("<svg ").count(), pictures);
    }
    let page = draw(of_log());
    assert!(page.contains("log minus model, N"));
    // The curve, and its sample in the key.
    assert_eq!(page.matches("class=\"model\"/>").count(), 2);
    let mut unstable = of_nothing();
    unstable.recommendation.linear = None;
    let page = draw(&unstable);
    assert_eq!(page.matches("<svg ").count(), 3);
    assert!(page.contains("None can be drawn"));
    let page = draw(of_log());
    // One path each for the range and for the line in it.
    assert_eq!(page.matches("class=\"spread-area\"/>").count(), 4);
}

#[test]
fn hostile_names_stay_text() {
    let hostile = "<script>alert(1)</script> & \"quotes\" 'too'";
    for report in [of_machine(), of_log()] {
        let mut report = report.clone();
        let wanted = draw(&report).matches("<svg ").count();
        if let Some(machine) = &mut report.machine {
            *machine = [hostile.to_owned(), hostile.to_owned()];
        }
        report.batch = Some(hostile.to_owned());
        if let Some(plan) = &mut report.plan {
            plan.stand_in = false;
        }
        report.tuned_for = hostile.to_owned();
        report.notes.push(hostile.to_owned());
        report.units = [hostile.to_owned(), hostile.to_owned()];
        if let Some(study) = &mut report.log {
            study.log.notes.push(hostile.to_owned());
            for column in &mut study.log.columns {
                column.log_unit = Some(hostile.to_owned());
                column.name = hostile.to_owned();
            }
        }
        report.recommendation.no_optimum = Some(hostile.to_owned());
        for candidate in &mut report.recommendation.candidates {
            candidate.named.name = hostile.to_owned();
            candidate.named.from = hostile.to_owned();
            candidate.on_lines.worst_at = hostile.to_owned();
            for broken in &mut candidate.broken {
                broken.what = hostile.to_owned();
                broken.at = hostile.to_owned();
            }
        }
        if let Ok(chosen) = &mut report.recommendation.answer {
            chosen.reasons.push(hostile.to_owned());
            chosen.limited_by.insert(0, hostile.to_owned());
        }
        let page = draw(&report);
        assert!(!page.contains("<script"), "a name became an element");
        assert!(!page.contains("\"quotes\"") && !page.contains("'too'"));
        assert!(page.contains("&lt;script&gt;alert(1)&lt;/script&gt; &amp; &quot;quotes&quot;"));
        assert_eq!(page.matches("<svg ").count(), wanted);
    }
}

#[test]
fn every_candidates_mark_is_inside_the_frame_and_none_covers_another() {
    for report in [of_machine(), of_log(), of_relay()] {
        let found = &report.recommendation;
        let frame = frame_for_tests(&found.plane);
        let mut candidates = found.candidates.clone();
        // Far beyond every border, and twice on one place.
        for (kc, ti) in [
            (1e-9, 1e-9),
            (1e9, 1e9),
            (1e-9, 1e9),
            (1.0, 1.0),
            (1.0, 1.0),
        ] {
            let mut other = candidates[0].clone();
            let shown = found.shown().named.gains;
            other.named.gains = Gains {
                kc: shown.kc * kc,
                ti: shown.ti * ti,
                weight: 1.0,
            };
            candidates.push(other);
        }
        let marks = place(&frame, &candidates, shown_index(found));
        assert_eq!(marks.len(), candidates.len());
        for mark in &marks {
            for (point, room) in [(mark.dot, 2.5), (mark.bubble, 9.0)] {
                assert!(point[0] >= frame.left + room && point[0] <= frame.right() - room);
                assert!(point[1] >= frame.top + room && point[1] <= frame.bottom() - room);
            }
        }
        for (n, a) in marks.iter().enumerate() {
            for b in &marks[..n] {
                let gap = (a.bubble[0] - b.bubble[0]).hypot(a.bubble[1] - b.bubble[1]);
                assert!(gap >= 18.0, "two numbers cover each other: {a:?} {b:?}");
            }
        }
        let outside = marks.iter().rev().take(5).map(|mark| mark.outside);
        assert_eq!(
            outside.collect::<Vec<_>>(),
            [false, false, true, true, true]
        );
        let page = draw(report);
        assert_eq!(
            page.matches("class=\"bubble").count(),
            found.candidates.len(),
            "one mark for each candidate"
        );
    }
}

#[test]
fn a_mark_stands_at_its_gains() {
    // The plane is logarithmic about the shown set, which therefore stands in its middle.
    let found = &of_machine().recommendation;
    let frame = frame_for_tests(&found.plane);
    let shown = shown_index(found);
    let mark = &place(&frame, &found.candidates, shown)[shown];
    assert!((mark.dot[0] - frame.left - 0.5 * frame.width).abs() < 0.5);
    assert!((mark.dot[1] - frame.top - 0.5 * frame.height).abs() < 0.5);
    assert_eq!(mark.dot, mark.bubble);
}

/// Fills of the shaded cells of a page's plane, with their words, in the order drawn.
fn cells(page: &str) -> Vec<(String, String)> {
    page.split("<rect ")
        .filter(|part| part.contains(" machines hold</title>"))
        .map(|part| {
            let fill = part.split("fill=\"#").nth(1).expect("a fill");
            let words = part.split("<title>").nth(1).expect("a title");
            (
                fill[..6].to_owned(),
                words.split("</title>").next().expect("words").to_owned(),
            )
        })
        .collect()
}

#[test]
fn the_shade_of_a_cell_is_its_pass_rate() {
    let mut report = of_machine().clone();
    let plane = &mut report.recommendation.plane;
    plane.machines = 8;
    for (n, rate) in plane.pass.iter_mut().enumerate() {
        *rate = (n % 9) as f64 / 8.0;
    }
    let rates = plane.pass.clone();
    let page = draw(&report);
    let drawn = cells(&page);
    assert_eq!(drawn.len(), rates.len());
    for ((fill, words), rate) in drawn.iter().zip(&rates) {
        // By hand: none is 135 of 255, all is white, in between on a straight line.
        let grey = (135.0 + 120.0 * rate).round() as u8;
        assert_eq!(*fill, format!("{grey:02x}").repeat(3), "{words}");
        assert!(
            words.contains(&format!(": {:.0} of 8 machines hold", 8.0 * rate)),
            "{words} at {rate}"
        );
    }
    assert_eq!((grey(0.0), grey(1.0)), (135, 255));
    assert!(cells(&draw(of_log())).is_empty(), "nothing was judged");
}

#[test]
fn what_is_hatched_is_unstable_and_nothing_else() {
    // Against the margins' own count of closed-loop roots, at points that the plane's grid does not have.
    let machine = demo::machine("machine-a");
    let found = &of_machine().recommendation;
    let mut sweep = Sweep::new(&Lines::declared(&machine).nominal).expect("a line");
    let rows: Vec<f64> = found.plane.ti.iter().map(|ti| ti.log10()).collect();
    let edges = super::contour::stability_rows(&found.plane);
    let (first, last) = (found.plane.kc[0].log10(), found.plane.kc[13].log10());
    let (mut stable, mut unstable) = (0, 0);
    for n in 0..200_u32 {
        let share = |step: f64| (f64::from(n) * step).fract();
        let kc = first + (last - first) * share(0.618_034);
        let ti = rows[0] + (rows[11] - rows[0]) * share(0.754_878);
        let edge = super::contour::between(&rows, &edges, ti);
        // Nearer to the edge than two pixels either answer is as good.
        if (kc - edge).abs() < 2.0 * (last - first) / 362.0 {
            continue;
        }
        let gains = Gains {
            kc: 10_f64.powf(kc),
            ti: 10_f64.powf(ti),
            weight: 1.0,
        };
        let truth = sweep.margins(&gains).expect("margins").stable;
        assert_eq!(kc < edge, truth, "at {gains:?}");
        *(if truth { &mut stable } else { &mut unstable }) += 1;
    }
    assert!(stable > 50 && unstable > 20, "{stable} {unstable}");
}
