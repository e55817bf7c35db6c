//! Records in files of a folder of their own.

use super::*;

/// A folder that is taken away afterwards.
struct Folder(PathBuf);

impl Folder {
    fn new(name: &str) -> Self {
        let path =
            std::env::temp_dir().join(format!("twinplate-records-{name}-{}", std::process::id()));
        let _ = std::fs::remove_dir_all(&path);
        std::fs::create_dir_all(&path).expect("made");
        Self(path)
    }

    fn file(&self) -> PathBuf {
        self.0.join("out").join("training.sqlite")
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

fn new(trainee: &str) -> NewAttempt {
    NewAttempt {
        exercise: "first-cycle".into(),
        trainee: trainee.into(),
        station: "s1".into(),
        seed: u64::MAX,
    }
}

fn closing(score: f64) -> Closing {
    Closing {
        finished: true,
        score,
        points: 100.0,
        passed: score > 50.0,
        attempt: "{\"acts\":[1,2]}".into(),
        debrief: "{\"score\":1}".into(),
    }
}

#[test]
fn an_attempt_begins_is_saved_and_closed() {
    let mut records = Records::in_memory().expect("opens");
    let id = records.begin(&new("Ana")).expect("begins");
    records.save([(id, "half")]).expect("saves");
    let running = records.whole(id).expect("there");
    assert_eq!(running.listed.state, "running");
    assert_eq!(running.attempt.as_deref(), Some("half"));
    assert_eq!(running.listed.seed, u64::MAX.to_string());

    records.close(id, &closing(80.0)).expect("closes");
    let closed = records.whole(id).expect("there");
    assert_eq!(closed.listed.state, "finished");
    assert_eq!(closed.listed.score, Some(80.0));
    assert_eq!(closed.listed.passed, Some(true));
    assert_eq!(closed.debrief.as_deref(), Some("{\"score\":1}"));

    records.save([(id, "late")]).expect("is no error");
    let still = records.whole(id).expect("there");
    assert_eq!(still, closed, "what is closed stays as it is");
    assert!(matches!(
        records.close(id, &closing(1.0)),
        Err(RecordsError::NoAttempt(_))
    ));
}

#[test]
fn a_person_has_one_name_however_it_is_typed() {
    let mut records = Records::in_memory().expect("opens");
    for typed in ["Ada Ödland", "ada ödland", "  ADA   ÖDLAND ", "Ada Ö."] {
        records.begin(&new(typed)).expect("begins");
    }
    let all = records.list(&Filter::default()).expect("listed");
    let names: Vec<&str> = all.iter().map(|one| one.trainee.as_str()).collect();
    assert_eq!(names, ["Ada Ö.", "Ada Ödland", "Ada Ödland", "Ada Ödland"]);
}

#[cfg(unix)]
#[test]
fn nobody_but_the_owner_reads_the_file_and_what_lies_beside_it() {
    use std::os::unix::fs::PermissionsExt;
    let folder = Folder::new("private");
    std::fs::create_dir_all(folder.file().parent().expect("a folder")).expect("made");
    // One from before, that everybody may read.
    std::fs::write(folder.file(), "").expect("made");
    std::fs::set_permissions(folder.file(), std::fs::Permissions::from_mode(0o644)).expect("set");
    let (mut records, _) = Records::open(&folder.file()).expect("opens");
    records.begin(&new("Ana")).expect("begins");
    for end in ["", "-wal", "-shm"] {
        let mut name = folder.file().into_os_string();
        name.push(end);
        let mode = std::fs::metadata(&name)
            .expect("there")
            .permissions()
            .mode();
        assert_eq!(mode & 0o777, 0o600, "{}", PathBuf::from(name).display());
    }
}

#[test]
fn a_database_that_another_program_holds_is_told_of_within_two_seconds() {
    let folder = Folder::new("busy");
    let (mut records, _) = Records::open(&folder.file()).expect("opens");
    let other = Connection::open(folder.file()).expect("opens");
    other.execute_batch("BEGIN IMMEDIATE").expect("held");
    let since = std::time::Instant::now();
    let error = records.begin(&new("Ana")).expect_err("held by another");
    assert!(
        since.elapsed() < Duration::from_secs(2),
        "{:?}",
        since.elapsed()
    );
    assert_eq!(error.to_string(), "another program holds the records");
    other.execute_batch("ROLLBACK").expect("let go");
    records.begin(&new("Ana")).expect("begins");
}

#[test]
fn lists_are_filtered_and_newest_first() {
    let mut records = Records::in_memory().expect("opens");
    for trainee in ["Ana", "Ben", "Ana"] {
        records.begin(&new(trainee)).expect("begins");
    }
    let ids = |filter: &Filter| -> Vec<i64> {
        let list = records.list(filter).expect("lists");
        list.iter().map(|listed| listed.id).collect()
    };
    assert_eq!(ids(&Filter::default()), [3, 2, 1]);
    let ana = Filter {
        trainee: Some("Ana".into()),
        ..Filter::default()
    };
    assert_eq!(ids(&ana), [3, 1]);
    let page = Filter {
        before: Some(3),
        limit: Some(1),
        ..Filter::default()
    };
    assert_eq!(ids(&page), [2]);
    let other = Filter {
        exercise: Some("other".into()),
        ..Filter::default()
    };
    assert!(ids(&other).is_empty());
}

#[test]
fn what_ran_when_the_file_was_left_is_unfinished_afterwards() {
    let folder = Folder::new("left");
    let (mut records, left) = Records::open(&folder.file()).expect("opens");
    assert_eq!(left, 0);
    let kept = records.begin(&new("Ana")).expect("begins");
    records.close(kept, &closing(70.0)).expect("closes");
    let cut = records.begin(&new("Ben")).expect("begins");
    records.save([(cut, "half")]).expect("saves");
    drop(records);

    let (mut records, left) = Records::open(&folder.file()).expect("opens again");
    assert_eq!(left, 1);
    assert_eq!(records.whole(kept).expect("there").listed.state, "finished");
    let found = records.whole(cut).expect("there");
    assert_eq!(found.listed.state, "unfinished");
    assert_eq!(found.attempt.as_deref(), Some("half"));
    assert_eq!(found.debrief, None);
    records.add_debrief(cut, &closing(10.0)).expect("adds");
    let looked = records.whole(cut).expect("there");
    assert_eq!(looked.listed.score, Some(10.0));
    assert_eq!(looked.listed.state, "unfinished");
}

#[test]
fn two_servers_do_not_share_a_file() {
    let folder = Folder::new("two");
    let first = Records::open(&folder.file()).expect("opens");
    assert!(matches!(
        Records::open(&folder.file()),
        Err(RecordsError::InUse(_))
    ));
    drop(first);
    assert!(Records::open(&folder.file()).is_ok());
}

#[test]
fn foreign_and_newer_files_are_left_alone() {
    let folder = Folder::new("foreign");
    std::fs::create_dir_all(folder.file().parent().expect("has one")).expect("made");
    let text = "this is no database, but it is long enough to have a head of a hundred bytes, which is what is looked at first";
    std::fs::write(folder.file(), text).expect("written");
    assert!(matches!(
        Records::open(&folder.file()),
        Err(RecordsError::Foreign(_))
    ));
    assert_eq!(std::fs::read_to_string(folder.file()).expect("read"), text);

    std::fs::remove_file(folder.file()).expect("removed");
    let other = Connection::open(folder.file()).expect("opens");
    other
        .execute_batch("CREATE TABLE theirs (x); PRAGMA user_version = 1;")
        .expect("made");
    drop(other);
    assert!(matches!(
        Records::open(&folder.file()),
        Err(RecordsError::Foreign(_))
    ));

    std::fs::remove_file(folder.file()).expect("removed");
    drop(Records::open(&folder.file()).expect("opens"));
    let later = Connection::open(folder.file()).expect("opens");
    later
        .execute_batch("PRAGMA user_version = 99;")
        .expect("set");
    drop(later);
    match Records::open(&folder.file()) {
        Err(RecordsError::Newer(_, 99, ours)) => assert_eq!(ours, schema::VERSION),
        other => panic!("{other:?}"),
    }
}

#[test]
fn csv_has_a_row_for_each_attempt_and_each_act() {
    let mut records = Records::in_memory().expect("opens");
    let id = records.begin(&new("=Ana, \"A\"")).expect("begins");
    records.close(id, &closing(80.0)).expect("closes");
    records.begin(&new("Ben")).expect("begins");
    let text = export::attempts(&records).expect("exports");
    let lines: Vec<&str> = text.lines().collect();
    assert_eq!(lines.len(), 3, "{text}");
    assert!(
        lines[1].starts_with("1,first-cycle,\"'=Ana, \"\"A\"\"\",s1,18446744073709551615,"),
        "{text}"
    );
    assert!(lines[1].ends_with(",finished,80,100,yes"), "{text}");
    assert!(lines[2].ends_with(",running,,,"), "{text}");

    let acts = export::acts(&records, |json| {
        assert_eq!(json, "{\"acts\":[1,2]}");
        vec![export::ActRow {
            time_s: 1.25,
            by: "operator".into(),
            act: "start".into(),
        }]
    })
    .expect("exports");
    assert_eq!(acts.lines().count(), 2);
    assert!(acts.ends_with(",1.25,operator,start\n"), "{acts}");
}

#[test]
fn the_clerk_keeps_the_order_and_writes_what_it_was_given_before_it_ends() {
    let folder = Folder::new("clerk");
    let (records, _) = Records::open(&folder.file()).expect("opens");
    let (clerk, thread) = Clerk::start(records).expect("starts");
    let id = clerk
        .ask(|records| records.begin(&new("Ana")))
        .expect("begins");
    for save in 0..100 {
        clerk.save(id, format!("{save}"));
    }
    let seen = clerk.ask(move |records| records.whole(id)).expect("there");
    assert_eq!(seen.attempt.as_deref(), Some("99"));
    clerk.save(id, "last".into());
    drop(clerk);
    thread.join().expect("ends");
    let (records, _) = Records::open(&folder.file()).expect("opens again");
    let kept = records.whole(id).expect("there");
    assert_eq!(kept.attempt.as_deref(), Some("last"));
}

/// What is asked for a class: finished attempts alone, each under the name that was typed first.
#[test]
fn finished_attempts_are_told_for_the_class_and_its_rule_is_kept() {
    let folder = Folder::new("class");
    let (mut records, _) = Records::open(&folder.file()).expect("opens");
    for (trainee, score) in [("Ana", 80.0), ("ana ", 40.0), ("Bo", 90.0)] {
        let id = records.begin(&new(trainee)).expect("begins");
        records.close(id, &closing(score)).expect("closes");
    }
    let left = records.begin(&new("Bo")).expect("begins");
    let given_up = Closing {
        finished: false,
        ..closing(90.0)
    };
    records.close(left, &given_up).expect("closes");
    records.begin(&new("Cy")).expect("begins");
    let tried = records.tried().expect("reads");
    let told: Vec<_> = tried
        .iter()
        .map(|one| (one.trainee.as_str(), one.score, one.points, one.passed))
        .collect();
    assert_eq!(
        told,
        [
            ("Ana", 80.0, 100.0, true),
            ("Ana", 40.0, 100.0, false),
            ("Bo", 90.0, 100.0, true)
        ]
    );
    assert_eq!(records.rule().expect("reads"), None);
    for rule in ["first", "second"] {
        records.keep_rule(rule).expect("keeps");
    }
    drop(records);
    let (records, _) = Records::open(&folder.file()).expect("opens");
    assert_eq!(records.rule().expect("reads").as_deref(), Some("second"));
}

/// A file of the version before has all that is in it, and takes what is new.
#[test]
fn a_file_of_version_1_is_brought_to_ours() {
    let folder = Folder::new("older");
    let (mut records, _) = Records::open(&folder.file()).expect("opens");
    let id = records.begin(&new("Ana")).expect("begins");
    records.close(id, &closing(80.0)).expect("closes");
    records
        .db
        .execute_batch("DROP TABLE settings; PRAGMA user_version = 1;")
        .expect("as it was");
    drop(records);
    let (mut records, _) = Records::open(&folder.file()).expect("opens");
    assert_eq!(records.tried().expect("reads").len(), 1);
    records.keep_rule("kept").expect("keeps");
    assert_eq!(records.rule().expect("reads").as_deref(), Some("kept"));
}
