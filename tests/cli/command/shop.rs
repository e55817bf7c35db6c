//! `lay-in`, `card` and `cost` from outside: what they answer, what they write, what they refuse and what they then leave alone.

use crate::{json, names, root, scratch, text, twinplate};

const RECIPE: &str = "recipes/recipes/glass-f800.toml";
const PARTS: &str = "recipes/shop/glass-parts.csv";
const PRICES: &str = "recipes/shop/prices.csv";
const RECORD: &str = "recipes/shop/record.csv";
const DEMO: [&str; 6] = [
    "alumina-diamond",
    "glass-f800",
    "glass-polish",
    "silicon-f1000",
    "steel-f400",
    "zirconia-fixed",
];

/// A page that fetches nothing and runs nothing.
fn page(path: &std::path::Path) -> String {
    let page = std::fs::read_to_string(path).expect("page");
    assert!(!page.contains("<script") && !page.contains("http"));
    page
}

#[test]
fn parts_are_laid_in_and_the_list_of_pockets_is_written() {
    let folder = scratch("lay-in");
    let (html, list) = (folder.join("lay-in.html"), folder.join("pockets.csv"));
    let call = [
        "lay-in",
        RECIPE,
        PARTS,
        "--report",
        text(&html),
        "--write",
        text(&list),
    ];
    let ran = twinplate(&call);
    assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
    assert_eq!(ran.out.lines().last(), Some("verdict: pass"));
    assert_eq!(ran.err, format!("written: {}\n", list.display()));
    let page = page(&html);
    for what in [
        "Plan of load 3",
        "D37",
        "Three ways to lay them in",
        "Caution",
    ] {
        assert!(page.contains(what), "{what}");
    }
    let written = std::fs::read_to_string(&list).expect("list");
    assert_eq!(
        written.lines().next(),
        Some("load,carrier,pocket,part,thickness [mm]")
    );
    // Three loads of fifteen pockets, each once; every part once, and dummies.
    let mut places: Vec<&str> = written
        .lines()
        .skip(1)
        .map(|line| line.rsplitn(3, ',').nth(2).expect("a place"))
        .collect();
    places.sort_unstable();
    places.dedup();
    assert_eq!(places.len(), 45);
    for id in 1..=37 {
        assert_eq!(written.matches(&format!(",D{id:02},")).count(), 1);
    }
    assert_eq!(written.matches(",dummy,").count(), 8);
    assert_eq!(names(&folder), ["lay-in.html", "pockets.csv"]);
    let (code, found) = json(&["lay-in", RECIPE, PARTS, "--no-report", "--format", "json"]);
    assert_eq!(
        (code, &found["schema"], &found["verdict"]),
        (0, &1.into(), &"pass".into())
    );
    assert_eq!(
        found["loads"][0]["pockets"].as_array().map(Vec::len),
        Some(15)
    );
    assert_eq!(found["ways"][2]["way"], "balanced");
}

/// Parts that the recipe cannot bring to size in one cycle: the run says so, and so does the exit code.
#[test]
fn loads_that_fail_are_told() {
    let folder = scratch("lay-in-fails");
    let list = folder.join("thick.csv");
    let mut rows = String::from("part,thickness [mm]\n");
    for i in 0..15 {
        rows += &format!("p{i},0.{}\n", 600 + i);
    }
    std::fs::write(&list, rows).expect("written");
    let ran = twinplate(&["lay-in", RECIPE, text(&list), "--no-report"]);
    assert_eq!(ran.code, 1, "{}{}", ran.out, ran.err);
    assert_eq!(ran.out.lines().last(), Some("verdict: fail"));
    assert!(ran.out.contains("- load 1: "), "{}", ran.out);
}

#[test]
fn a_card_says_what_is_known_of_its_check() {
    let folder = scratch("card");
    let html = folder.join("card.html");
    let call = |more: &[&str]| {
        let mut call = vec![
            "card",
            RECIPE,
            "--date",
            "2026-03-02",
            "--report",
            text(&html),
        ];
        call.extend(more);
        let ran = twinplate(&call);
        assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
        let page = page(&html);
        assert!(page.contains("2026-03-02") && page.contains("glass-f800"));
        (ran.out, page)
    };
    let (out, unchecked) = call(&["--unchecked"]);
    assert_eq!(out.lines().last(), Some("NOT CHECKED"));
    assert!(unchecked.contains("class=\"checked not\""));
    let (out, checked) = call(&["--runs", "2"]);
    assert_eq!(
        out.lines().last(),
        Some("checked: passed (2 machines drawn)")
    );
    assert!(checked.contains("class=\"checked pass\"") && !checked.contains("NOT CHECKED"));
    let again = call(&["--runs", "2"]).1;
    assert_eq!(again, checked, "one day, one card");
    let bad = [
        "card",
        "recipes/bad/damage-left.toml",
        "--no-report",
        "--date",
        "2026-03-02",
    ];
    let ran = twinplate(&bad);
    assert_eq!(
        (ran.code, ran.out.lines().last()),
        (1, Some("CHECK FAILED: do not run"))
    );
    let (_, found) = json(&[
        "card",
        RECIPE,
        "--unchecked",
        "--no-report",
        "--format",
        "json",
    ]);
    assert_eq!(found["steps"][0]["name"], "seat");
    assert_eq!(found["files"][2]["id"], "glass-discs");
}

/// Every demonstration recipe has its card: steps as they were named, the pockets, what to look at.
#[test]
fn every_demonstration_recipe_has_its_card() {
    let folder = scratch("cards");
    for recipe in DEMO {
        let html = folder.join(format!("{recipe}.html"));
        let path = format!("recipes/recipes/{recipe}.toml");
        let ran = twinplate(&[
            "card",
            &path,
            "--unchecked",
            "--date",
            "2026-03-02",
            "--report",
            text(&html),
        ]);
        assert_eq!(ran.code, 0, "{recipe}: {}{}", ran.out, ran.err);
        let (page, source) = (
            page(&html),
            std::fs::read_to_string(root().join(&path)).expect("recipe"),
        );
        for name in source
            .lines()
            .filter_map(|line| line.strip_prefix("name = "))
        {
            let name = name.trim_matches('"');
            assert!(
                page.contains(&format!("<td>{name}</td>")),
                "{recipe}: {name}"
            );
        }
        for what in [
            "plan-part",
            "<h2>Before</h2>",
            "<h2>After</h2>",
            "The raised plate kills.",
        ] {
            assert!(page.contains(what), "{recipe}: {what}");
        }
    }
}

#[test]
fn cost_and_order_come_from_run_prices_and_record() {
    let folder = scratch("cost");
    let html = folder.join("cost.html");
    let mut call = vec![
        "cost", RECIPE, "--prices", PRICES, "--record", RECORD, "--order", "300", "--by", "9.5 h",
    ];
    call.extend(["--report", text(&html)]);
    let ran = twinplate(&call);
    assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
    let last = ran.out.lines().last().unwrap_or_default();
    assert!(
        last.starts_with("verdict: ") && last.contains("EUR a part"),
        "{last}"
    );
    assert!(page(&html).contains("When the order is done"));
    // Exactly 0.9377, by the joint distribution (tests/shop/reference/make.py).
    call.truncate(10);
    call.extend(["--no-report", "--format", "json"]);
    let (code, found) = json(&call);
    let chance = found["order"]["odds"]["chance"].as_f64().expect("a chance");
    assert!(code == 0 && (chance - 0.9377).abs() < 0.007, "{chance}");
    // Eight hours are too few, and the exit code says so.
    call[9] = "8 h";
    assert_eq!(json(&call).0, 1);
    // Two days of sixteen hours are thirty-two; a machine more halves the time.
    call[9] = "2026-03-03";
    call.extend(["--from", "2026-03-02", "--shift", "16 h", "--machines", "2"]);
    let (_, found) = json(&call);
    assert_eq!(found["order"]["within_s"], 32.0 * 3600.0);
    assert_eq!(found["order"]["machines"], 2);
}

#[test]
fn what_is_wrong_is_told_with_its_place_and_nothing_is_written() {
    let folder = scratch("shop-bad");
    let list = folder.join("bad.csv");
    std::fs::write(&list, "part,thickness [mm]\na,0.55\nb,thin\n").expect("written");
    let html = folder.join("page.html");
    let cases: [(&[&str], &str); 6] = [
        (
            &["lay-in", RECIPE, text(&list), "--report", text(&html)],
            ":3:3",
        ),
        (
            &[
                "cost",
                RECIPE,
                "--prices",
                text(&list),
                "--report",
                text(&html),
            ],
            ":1:1",
        ),
        (
            &["cost", RECIPE, "--order", "5", "--by", "soon"],
            "neither a working time nor a day",
        ),
        (
            &[
                "cost",
                RECIPE,
                "--order",
                "5",
                "--by",
                "2026-03-01",
                "--from",
                "2026-03-02",
            ],
            "before the first day",
        ),
        (&["cost", RECIPE, "--loading", "9"], "a time with its unit"),
        (
            &["card", RECIPE, "--date", "2026-02-30"],
            "a day of the calendar",
        ),
    ];
    for (call, what) in cases {
        let ran = twinplate(call);
        assert_eq!(ran.code, 2, "{call:?}: {}", ran.out);
        assert!(ran.complaint().contains(what), "{call:?}: {}", ran.err);
    }
    // The list of pockets goes over none of what was read.
    let ran = twinplate(&["lay-in", RECIPE, PARTS, "--no-report", "--write", PARTS]);
    assert_eq!(ran.code, 2, "{}", ran.err);
    assert_eq!(names(&folder), ["bad.csv"]);
}
