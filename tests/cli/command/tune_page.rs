//! The page of `tune` from outside: where it goes, when it is not written, what is said of it.

use crate::{command, names, root, scratch, text, twinplate};

const MACHINE: &str = "recipes/machines/machine-a.toml";
const BATCH: &str = "recipes/batches/glass-discs.toml";
const LOG: &str = "recipes/logs/clean.csv";

#[test]
fn a_log_alone_is_drawn_where_it_was_asked() {
    let folder = scratch("tune-page");
    let path = folder.join("page.html");
    let ran = twinplate(&["tune", "--from", LOG, "--report", text(&path)]);
    assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
    let mut last = ran.out.lines().rev();
    assert!(
        last.next()
            .is_some_and(|line| line.starts_with("verdict: "))
    );
    assert!(
        ran.out.contains(&format!("report: {}\n", path.display())),
        "{}",
        ran.out
    );
    let page = std::fs::read_to_string(&path).expect("the page");
    assert!(page.starts_with("<!DOCTYPE html>") && page.ends_with("</html>\n"));
    assert!(page.contains("The log") && page.contains("Plane of gains"));
    assert_eq!(names(&folder), ["page.html"], "something was left behind");

    // The same numbers in both, as the machine file would have them.
    let line = ran
        .out
        .lines()
        .find(|line| line.starts_with("proportional gain "))
        .expect("a gain");
    let gain = line.split(' ').nth(2).expect("a number");
    assert!(page.contains(&format!(">{gain}<")), "{line}");
}

#[test]
fn the_page_has_its_own_place_unless_told() {
    let folder = scratch("tune-page-default");
    let log = root().join(LOG);
    let ran = command()
        .current_dir(&folder)
        .args(["tune", "--from", text(&log), "--format", "json"])
        .output()
        .expect("the binary starts");
    let err = String::from_utf8_lossy(&ran.stderr).into_owned();
    assert_eq!(ran.status.code(), Some(0), "{err}");
    // stdout is a program's; a person hears of the page on stderr.
    assert!(serde_json::from_slice::<serde_json::Value>(&ran.stdout).is_ok());
    assert!(err.contains("clean-tune.html"), "{err}");
    assert_eq!(names(&folder.join("out")), ["clean-tune.html"]);
    let ran = command()
        .current_dir(&folder)
        .args(["tune", "--from", text(&log), "--no-report"])
        .output()
        .expect("the binary starts");
    assert!(!String::from_utf8_lossy(&ran.stdout).contains("report:"));
    assert_eq!(names(&folder.join("out")), ["clean-tune.html"]);
}

#[test]
fn a_bad_path_is_an_error_before_the_work_and_inputs_stay() {
    let folder = scratch("tune-page-bad");
    let nowhere = folder.join("missing/page.html");
    for (path, word) in [
        (text(&nowhere), "does not exist"),
        (text(&folder), "is a folder"),
        ("/dev/null", "not a regular file"),
        (MACHINE, "overwrite"),
        ("recipes/../recipes/batches/glass-discs.toml", "overwrite"),
        (LOG, "overwrite"),
    ] {
        let read = || [MACHINE, BATCH, LOG].map(|file| std::fs::read(root().join(file)).ok());
        let before = read();
        let call = [
            "tune",
            MACHINE,
            "--batch",
            BATCH,
            "--from",
            LOG,
            "--unit",
            "command=%",
            "--report",
            path,
        ];
        let ran = twinplate(&call);
        assert_eq!(ran.code, 2, "{path}");
        assert!(
            ran.complaint().contains(word),
            "no `{word}` in\n{}",
            ran.err
        );
        // The work would have drawn something.
        assert_eq!(ran.out, "", "{path}");
        assert_eq!(read(), before, "{path}");
    }
    assert!(names(&folder).is_empty());
}

#[test]
fn where_no_model_is_found_an_older_page_stays_whole() {
    let folder = scratch("tune-page-refused");
    let path = folder.join("page.html");
    std::fs::write(&path, "older").expect("written");
    let log = folder.join("flat.csv");
    let flat: String = (0..100).fold("time,command,load\n".into(), |log, n| {
        format!("{log}{},20,100\n", f64::from(n) * 0.1)
    });
    std::fs::write(&log, flat).expect("written");
    let ran = twinplate(&["tune", "--from", text(&log), "--report", text(&path)]);
    assert_eq!(ran.code, 2, "{}", ran.out);
    assert_eq!(std::fs::read_to_string(&path).expect("read"), "older");
    assert_eq!(names(&folder), ["flat.csv", "page.html"]);
}
