//! Pages, lists and records over HTTP.

use crate::browser::{Answered, Browser};
use crate::house::{EXERCISE, House, exercises};
use std::time::Duration;
use twinplate_server::assets::ASSETS;
use twinplate_train::log::FIRST_TICK;
use twinplate_train::protocol::{Ask, Pace, Tell};
use twinplate_train::vocabulary;
use twinplate_words::{Language, Words, of_pages};

#[tokio::test]
async fn the_pages_and_all_they_load_are_served_with_their_types() {
    let house = House::open().await;
    for (page, token) in [
        ("/", &house.token),
        ("/instructor", &house.instructor),
        ("/class", &house.instructor),
        ("/debrief/1", &house.token),
    ] {
        let answer = house.get(page).await;
        assert_eq!(answer.status, 200, "{page}");
        assert_eq!(
            answer.header("content-type"),
            Some("text/html; charset=utf-8")
        );
        assert!(answer.body.contains(&format!("content=\"{token}\"")));
        assert!(answer.body.contains("<html lang=\"en\">"), "{page}");
        assert!(!answer.body.contains("{{"), "{page}");
    }
    for asset in ASSETS {
        let answer = house.get(&format!("/assets/{}", asset.name)).await;
        assert_eq!(answer.status, 200, "{}", asset.name);
        assert_eq!(answer.header("content-type"), Some(asset.kind));
        for token in [&house.token, &house.instructor] {
            assert!(!answer.body.contains(token), "{}", asset.name);
        }
    }
    house.close().await;
}

/// What a browser takes packed goes packed, and unpacked is the same; nobody else gets it so.
#[tokio::test]
async fn pages_go_over_the_line_packed() {
    let house = House::open().await;
    let host = house.host();
    let asset = ASSETS.iter().find(|asset| asset.name == "panel.js");
    let asset = asset.expect("the panel");
    let line = format!("GET /assets/{}", asset.name);
    let plain = house.ask(&line, &[("host", &host)], "").await;
    assert_eq!(plain.header("content-encoding"), None);
    assert_eq!(plain.body.as_bytes(), asset.bytes);
    let wants = [("host", host.as_str()), ("accept-encoding", "gzip")];
    let packed = house.ask(&line, &wants, "").await;
    assert_eq!(packed.header("content-encoding"), Some("gzip"));
    assert_eq!(packed.header("content-type"), Some(asset.kind));
    // A byte that is no text has become one character.
    let bytes = packed.body.chars().count();
    assert!(bytes * 2 < plain.body.len(), "{bytes}");
    house.close().await;
}

/// A page, its catalogue, the machine's words and a refusal come in the language that was chosen, or else in the browser's.
#[tokio::test]
async fn everything_comes_in_the_language_of_who_asks() {
    let house = House::open().await;
    let host = house.host();
    for language in Language::ALL {
        let catalogue = house.get(&format!("/assets/{}.ftl", language.tag())).await;
        assert_eq!(catalogue.status, 200, "{language:?}");
        let kind = catalogue.header("content-type");
        assert_eq!(kind, Some("text/plain; charset=utf-8"));
        assert_eq!(catalogue.body, of_pages(language));
        let words = Words::of(language);
        let tag = language.tag();
        let chosen = format!("theme=dark; language={tag}");
        let likes = format!("fr, {tag}-x;q=0.8, en;q=0.5");
        for asks in [
            [("cookie", chosen.as_str()), ("accept-language", "es, de")],
            [
                ("cookie", "language=fr"),
                ("accept-language", likes.as_str()),
            ],
        ] {
            let headers = [&[("host", host.as_str())][..], &asks].concat();
            let page = house.ask("GET /", &headers, "").await;
            let told = page.body.contains(&format!("<html lang=\"{tag}\">"));
            assert!(told, "{asks:?}");
            let told = house.ask("GET /api/vocabulary", &headers, "").await;
            assert_eq!(told.json(), vocabulary::json(words), "{asks:?}");
            let refused = house.ask("GET /api/stations", &headers, "").await;
            assert_eq!(refused.status, 401);
            assert_eq!(refused.json()["error"], words.say("refused-no-token"));
        }
    }
    assert_eq!(house.get("/assets/fr.ftl").await.status, 404);
    house.close().await;
}

/// Units come with the job card: none is typed behind a number in a page's own script.
#[test]
fn no_unit_of_a_machine_is_typed_in_a_page() {
    let theirs = ["fluent.js", "uplot.js"];
    let own = ASSETS
        .iter()
        .filter(|asset| asset.name.ends_with(".js") && !theirs.contains(&asset.name));
    for asset in own {
        for unit in ["N", "kg", "µm", "mm", "L/min", "bar", "°C"] {
            for typed in [
                format!("}} {unit}`"),
                format!("}} {unit}$"),
                format!("}} {unit};"),
                format!("\"{unit}\""),
                format!("\" {unit}\""),
            ] {
                let text = String::from_utf8_lossy(asset.bytes);
                // A bar of a gauge is a word of the style sheet.
                let word = typed == "\"bar\"";
                assert!(word || !text.contains(&typed), "{}: `{typed}`", asset.name);
            }
        }
    }
}

#[tokio::test]
async fn exercises_and_words_are_listed() {
    let house = House::open().await;
    let listed = house.get("/api/exercises").await.json();
    let ids: Vec<&str> = listed
        .as_array()
        .expect("a list")
        .iter()
        .map(|card| card["id"].as_str().expect("an identifier"))
        .collect();
    let files = std::fs::read_dir(exercises()).expect("a folder");
    let files = files.filter(|entry| {
        let path = entry.as_ref().expect("an entry").path();
        path.extension().is_some_and(|end| end == "toml")
    });
    assert_eq!(ids.len(), files.count());
    assert!(ids.contains(&EXERCISE), "{ids:?}");
    let words = house.get("/api/vocabulary").await.json();
    assert_eq!(words, vocabulary::json(Words::of(Language::English)));
    assert!(words["rows"].as_array().is_some_and(|rows| rows.len() > 10));
    assert!(
        words["components"]
            .as_array()
            .is_some_and(|all| all.len() > 5)
    );
    house.close().await;
}

#[tokio::test]
async fn a_station_is_opened_for_a_name_and_an_exercise_that_exist() {
    let house = House::open().await;
    let long = "a".repeat(61);
    for (body, status) in [
        (r#"{"exercise":"none","trainee":"Ana"}"#.to_owned(), 404),
        (
            format!(r#"{{"exercise":"{EXERCISE}","trainee":"  "}}"#),
            422,
        ),
        (
            format!(r#"{{"exercise":"{EXERCISE}","trainee":"{long}"}}"#),
            422,
        ),
        (
            format!(r#"{{"exercise":"{EXERCISE}","trainee":"a\nb"}}"#),
            422,
        ),
        (format!(r#"{{"exercise":"{EXERCISE}"}}"#), 422),
        (
            format!(r#"{{"exercise":"{EXERCISE}","trainee":"Ana","seed":-1}}"#),
            422,
        ),
    ] {
        let answer = house.post(&body).await;
        assert_eq!(answer.status, status, "{body}: {answer:?}");
        let told = answer.json();
        assert!(told["error"].as_str().is_some_and(|why| !why.is_empty()));
        assert!(told["code"].as_str().is_some_and(|code| !code.is_empty()));
    }
    assert!(house.floor.list().is_empty());
    house.close().await;
}

#[tokio::test]
async fn a_finished_attempt_is_in_the_records_with_its_debrief() {
    let house = House::open().await;
    let station = house.station(EXERCISE, "=Ana").await;
    let running = house.get("/api/attempts").await.json();
    assert_eq!(running[0]["state"], "running");
    assert_eq!(running[0]["finished"], false);
    assert_eq!(running[0]["seed"], "7");

    let mut browser = Browser::operator(&house, &station).await;
    browser
        .frame_with(|frame| frame.tick > FIRST_TICK + 200)
        .await;
    // Stopped once to think, and then faster.
    for (pace, thinks) in [(Pace::Paused, 300), (Pace::Five, 100)] {
        assert_eq!(browser.ask(Ask::SetPace { pace }).await, Answered::Done);
        tokio::time::sleep(Duration::from_millis(thinks)).await;
    }
    let asked = browser.say(Ask::Finish).await;
    let mut ended = None;
    let mut answered = None;
    while ended.is_none() || answered.is_none() {
        match browser.next().await {
            Tell::Ended { attempt } => ended = Some(attempt),
            Tell::Done { id } if id == asked => answered = Some(()),
            Tell::Refused { why, .. } => panic!("{why}"),
            _ => {}
        }
    }
    let id = ended.expect("ended");
    let again = browser.ask(Ask::Finish).await;
    assert_eq!(again, Answered::Refused("over".into()));

    let listed = house.get("/api/attempts?trainee=%3DAna").await.json();
    assert_eq!(listed[0]["attempt"], id);
    assert_eq!(listed[0]["state"], "finished");
    assert_eq!(listed[0]["passed"], false);
    assert!(listed[0]["ended"].is_string());
    let none = house.get("/api/attempts?trainee=Ben").await.json();
    assert_eq!(none.as_array().map(Vec::len), Some(0));
    let whole = house.get(&format!("/api/attempts/{id}")).await.json();
    assert_eq!(whole["record"]["attempt"], id);
    assert!(
        whole["debrief"]["score"]["of"]
            .as_f64()
            .is_some_and(|of| of > 0.0)
    );
    let clock = &whole["debrief"]["clock"];
    let [lasted, paused, fast] =
        ["lasted_s", "paused_s", "fast_s"].map(|key| clock[key].as_f64().expect("seconds"));
    assert_eq!(clock["pauses"], 1, "{clock}");
    assert!(paused >= 0.3 && fast >= 0.1, "{clock}");
    assert!(lasted >= paused + fast && lasted < 60.0, "{clock}");
    assert_eq!(house.get("/api/attempts/999").await.status, 404);
    assert_eq!(house.get("/api/attempts?limit=x").await.status, 400);

    let csv = house.get("/api/attempts.csv").await;
    assert_eq!(csv.header("content-type"), Some("text/csv; charset=utf-8"));
    assert!(csv.body.contains(",'=Ana,"), "no formula: {}", csv.body);
    house.close().await;
}

#[tokio::test]
async fn no_more_stations_than_sixty_four_and_a_closed_server_has_saved_them() {
    let house = House::open().await;
    for number in 0..64 {
        house.station(EXERCISE, &format!("Trainee {number}")).await;
    }
    let body = format!(r#"{{"exercise":"{EXERCISE}","trainee":"One more"}}"#);
    let answer = house.post(&body).await;
    assert_eq!(answer.status, 503, "{answer:?}");
    assert_eq!(answer.json()["code"], "full");
    house.close().await;
}

#[tokio::test]
async fn the_rule_of_a_class_is_an_instructors_to_keep_and_a_wrong_one_is_refused() {
    let house = House::open().await;
    let post = async |token: &str, body: &str| {
        let posted = house.try_post_as(token, "/api/class/rule", body).await;
        posted.expect("the server answers")
    };
    let rule = format!(r#"{{"exercises":["{EXERCISE}"],"passes":2}}"#);
    assert_eq!(post(&house.token, &rule).await.status, 403);
    assert_eq!(post(&house.instructor, &rule).await.status, 200);
    for (wrong, told) in [
        (r#"{"exercises":["none-such"],"passes":2}"#, "none-such"),
        (r#"{"exercises":[],"passes":0}"#, "1 to 5"),
        (r#"{"exercises":[],"passes":1,"more":1}"#, "more"),
        ("{", "JSON"),
    ] {
        let answer = post(&house.instructor, wrong).await;
        assert!((400..500).contains(&answer.status), "{wrong}: {answer:?}");
        assert!(answer.body.contains(told), "{wrong}: {answer:?}");
    }
    let kept = house.get("/api/class").await.json();
    assert_eq!(kept["rule"]["passes"], 2);
    assert_eq!(kept["rule"]["exercises"][0], EXERCISE);
    assert_eq!(kept["trainees"].as_array().map(Vec::len), Some(0));
    house.close().await;
}
