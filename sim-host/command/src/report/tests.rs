//! What every report must be: right width, right last line, self-contained, true to its `CheckReport`.

use super::{Cycle, Style, html, junit, ribbon, text};
use twinplate_check::Case;
use twinplate_check::catalogue::Severity;
use twinplate_check::finding::Place;
use twinplate_check::predict::predict;
use twinplate_check::static_check;
use twinplate_check::trials::Results;
use twinplate_check::verdict::targets::TARGETS;
use twinplate_check::verdict::{CheckReport, Parts, assemble};
use twinplate_sim::demo;
use twinplate_sim::model::Shown;
use twinplate_sim::requirements::{Judged, Requirement, RunJudgement};

/// A report of demo recipe `glass-f800` with `runs` runs, of which those past 5 N overshoot fail.
fn report(overshoots: &[f64], prestart: f64, title: &str) -> (CheckReport, Cycle, String) {
    let (mut machine, batch, mut recipe) = demo::set("glass-f800");
    // A gap that is wet 20 s after the pump starts.
    machine.slurry.wet_time = 25.0;
    recipe.prestart = prestart;
    recipe.title = title.into();
    let case = Case {
        machine: &machine,
        batch: &batch,
        recipe: &recipe,
    };
    let prediction = predict(&case, 1.0);
    let mut findings = static_check::check(&case, &prediction);
    let results = (!overshoots.is_empty()).then(|| {
        let runs = (0..)
            .zip(overshoots)
            .map(|(index, overshoot)| RunJudgement {
                index,
                warm: false,
                items: vec![Judged {
                    requirement: Requirement::Overshoot,
                    value: *overshoot,
                    limit: 5.0,
                    step: None,
                }],
                ending: "complete in rest".into(),
                control_hash: index,
            })
            .collect();
        Results::of(1, runs)
    });
    if let Some(results) = &results {
        findings.extend(results.findings(&Shown::default(), &|run| {
            format!("twinplate run a1.toml --draw {run}")
        }));
    }
    let report = assemble(Parts {
        case: &case,
        findings,
        prediction: &prediction,
        nominal: None,
        assumed: None,
        results,
        targets: &TARGETS,
        locate: &|_: &Place| None,
        waivers: &[],
    });
    let cycle = Cycle::planned(&case, &prediction);
    let page = html::draw(&html::Page {
        of: html::Of::Check,
        report: &report,
        cycle: &cycle,
        machine: &machine,
        batch: &batch,
    });
    (report, cycle, page)
}

#[test]
fn text_fits_eighty_columns_and_ends_with_the_verdict() {
    for (overshoots, prestart, verdict) in [
        (&[1.0, 2.0][..], 20.0, "pass"),
        (&[1.0, 9.0][..], 20.0, "fail"),
        (&[][..], 10.0, "fail"),
    ] {
        let (report, cycle, _) = report(overshoots, prestart, "A title of some length (invented)");
        for ascii in [false, true] {
            let style = Style {
                color: false,
                ascii,
                ..Style::PLAIN
            };
            let told = text::draw(&report, Some(&cycle), style);
            for line in told.lines() {
                assert!(line.chars().count() <= 80, "{line}");
            }
            assert_eq!(
                told.lines().last(),
                Some(format!("verdict: {verdict}").as_str())
            );
            assert!(!told.contains('\u{1b}'), "colour without being asked");
        }
    }
}

#[test]
fn colour_comes_only_when_asked_and_never_alone() {
    let (report, cycle, _) = report(&[9.0], 20.0, "t");
    let plain = text::draw(&report, Some(&cycle), Style::PLAIN);
    let style = Style {
        color: true,
        ascii: false,
        ..Style::PLAIN
    };
    let coloured = text::draw(&report, Some(&cycle), style);
    assert!(coloured.contains("\u{1b}[31;1m"));
    let mut bare = String::new();
    let mut rest = coloured.as_str();
    while let Some(at) = rest.find('\u{1b}') {
        bare.push_str(&rest[..at]);
        let end = rest[at..].find('m').expect("an escape ends with m");
        rest = &rest[at + end + 1..];
    }
    bare.push_str(rest);
    assert_eq!(bare, plain, "a colour says something that no word says");
}

#[test]
fn the_ascii_ribbon_is_ascii() {
    let (_, cycle, _) = report(&[], 20.0, "t");
    let style = Style {
        color: false,
        ascii: true,
        ..Style::PLAIN
    };
    let drawn = ribbon::draw(&cycle, style);
    assert!(drawn.is_ascii(), "{drawn}");
    assert!(
        drawn.contains("dwell 1") && drawn.contains("dwell 2"),
        "{drawn}"
    );
}

#[test]
fn the_page_needs_nothing_from_outside() {
    let (_, _, page) = report(&[1.0, 9.0], 20.0, "t");
    for outside in [
        "http://", "https://", "<script", "src=", "href=", "@import", "url(",
    ] {
        assert!(!page.contains(outside), "the page has {outside}");
    }
    assert_eq!(page.matches("<svg").count(), page.matches("</svg>").count());
    assert_eq!(page.matches("<div").count(), page.matches("</div>").count());
    assert_eq!(
        page.matches("<table").count(),
        page.matches("</table>").count()
    );
    for question in [
        "Verdict",
        "What fails",
        "Worst load margin",
        "Predicted result",
        "Trials covered",
    ] {
        assert!(page.contains(question), "{question} is missing");
    }
    assert!(
        !page.contains("NaN") && !page.contains("inf\""),
        "a number is none"
    );
}

#[test]
fn hostile_names_stay_text() {
    let (_, _, page) = report(&[1.0], 20.0, "<script>alert(1)</script> & \"quotes\"");
    assert!(!page.contains("<script>"));
    assert!(page.contains("&lt;script&gt;alert(1)&lt;/script&gt; &amp; &quot;quotes&quot;"));
}

#[test]
fn junit_fails_exactly_the_cases_of_its_findings() {
    let (report, _, _) = report(&[1.0, 9.0], 10.0, "t");
    let xml = junit::draw(&report, Severity::Error).expect("XML can be written");
    assert_eq!(xml.matches("<failure").count(), 2, "{xml}");
    let failing = |name: &str| {
        let at = xml
            .find(&format!("name=\"{name}\""))
            .expect("the case is there");
        let end = xml[at..].find("<testcase").unwrap_or(xml.len() - at);
        xml[at..at + end].contains("<failure")
    };
    assert!(failing("prestart-short") && failing("proof-overshoot"));
    assert!(!failing("creep-too-fast"));
}

/// A real run drawn: the pictures hold the numbers of the report, say themselves in words, and are whole.
#[test]
fn pictures_of_parts_and_plates_hold_the_numbers_of_the_report() {
    use super::{fringes, plan};
    use twinplate_check::inspection::{FacesReport, MapReport};
    use twinplate_sim::bench::{NoRecorder, run_cycle};
    use twinplate_sim::fringes::{Laid, Picture};
    use twinplate_sim::plant::plate_form::PlateForm;

    // Discs, rings and rectangles.
    for name in ["glass-f800", "steel-f400", "zirconia-fixed"] {
        let job = demo::job(name);
        let run = run_cycle(&job.nominal(1), None, NoRecorder).expect("a run");
        let (machine, batch) = (&job.machine, &job.batch);
        let faces = FacesReport::of(machine, batch, &run).expect("product");
        let drawn = fringes::figures(&faces, &Shown::default());
        assert_eq!(drawn.matches("<svg").count(), 3);
        for side in &faces.sides {
            let said = format!("<b>{}</b>: {}", side.side, side.words);
            let read_out = format!("Light bands, {}: {}", side.side, side.words);
            assert!(drawn.contains(&said) && drawn.contains(&read_out), "{said}");
            let seen = Picture::new(&side.face, batch.wavelength, Laid::Touching);
            for shade in &seen.shades {
                assert!(drawn.contains(&shade.rows), "{name}: every shade is drawn");
            }
        }
        let map = MapReport::of(machine, batch, &run, &PlateForm::new(machine));
        let drawn = plan::draw(machine, batch, &map, &Shown::default());
        assert!(!drawn.contains("NaN") && drawn.contains("<desc>"));
        for (part, bore) in map.pockets.iter().zip(&run.parts) {
            let told = format!(
                "<title>{:.1} N, {:.2} times the mean, on part {} (",
                bore.pressed,
                bore.pressed / bore.pressed_mean,
                part.part
            );
            assert!(drawn.contains(&told), "{name}: {told}");
        }
        for ring in &map.rings {
            let told = format!(
                "at {:.0} mm: {:.4} µm worn off",
                ring.radius_mm, ring.worn_um[1]
            );
            assert!(drawn.contains(&told), "{name}: {told}");
        }
    }
}
