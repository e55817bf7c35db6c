//! Formats and defects.

use super::*;

fn read(text: &str) -> Log {
    import(text.as_bytes(), &ImportOptions::default())
        .unwrap_or_else(|error| panic!("{error}: {}", error.cure()))
}

fn refuse(text: &[u8], options: &ImportOptions) -> ImportError {
    match import(text, options) {
        Ok(log) => panic!("taken: {:?}", log.notes),
        Err(error) => error,
    }
}

/// One log in many spellings: 0, 0.5, 1, 1.5 s; 20, 20, 40, 40 %; 150, 150.5, 200.25, 310 N.
const PLAIN: &str = "time,command [%],load [N]\n0,20,150\n0.5,20,150.5\n1,40,200.25\n1.5,40,310\n";

#[test]
fn spellings_of_one_log_give_one_log() {
    let plain = read(PLAIN);
    assert_eq!(plain.time_s, [0.0, 0.5, 1.0, 1.5]);
    assert_eq!(plain.command, [0.2, 0.2, 0.4, 0.4]);
    assert_eq!(plain.output, [150.0, 150.5, 200.25, 310.0]);
    assert_eq!(plain.rows, [2, 3, 4, 5]);
    for (what, text) in [
        (
            "semicolons and decimal commas",
            "time;command [%];load [N]\n0;20;150\n0,5;20;150,5\n1;40;200,25\n1,5;40;310\n",
        ),
        (
            "tabs, units below the names",
            "t\tu\ty\ns\t%\tN\n0\t20\t150\n0.5\t20\t150.5\n1\t40\t200.25\n1.5\t40\t310\n",
        ),
        (
            "blanks",
            "time command_% load_N\n0    20 150\n0.5  20  150.5\n1 40  200.25\n1.5 40 310\n",
        ),
        (
            "blanks and decimal commas",
            "time command_% load_N\n0    20 150\n0,5  20  150,5\n1 40  200,25\n1,5 40 310\n",
        ),
        (
            "quoted decimal commas",
            "time,command [%],load [N]\n0,20,150\n\"0,5\",20,\"150,5\"\n1,40,\"200,25\"\n\"1,5\",40,310\n",
        ),
        (
            "ms, kN and an index",
            ",Time (ms),cmd/%,Force_kN\n0,0,20,0.15\n1,500,20,0.1505\n2,1000,40,0.20025\n3,1500,40,0.31\n",
        ),
        (
            "calendar",
            "timestamp,u_%,y_N\n2030-01-31T08:15:00Z,20,150\n2030-01-31T08:15:00.5Z,20,150.5\n2030-01-31T08:15:01Z,40,200.25\n2030-01-31T08:15:01.5Z,40,310\n",
        ),
        (
            "clock over midnight",
            "time,u_%,y_N\n23:59:59,20,150\n23:59:59.5,20,150.5\n00:00:00,40,200.25\n00:00:00.5,40,310\n",
        ),
        (
            "ms since 1970",
            "time,u_%,y_N\n1896077700000,20,150\n1896077700500,20,150.5\n1896077701000,40,200.25\n1896077701500,40,310\n",
        ),
        (
            "mark, CRLF, comments, trailing separators",
            "\u{feff}# a\r\ntime,command [%],load [N],\r\n0,20,150,\r\n# b\r\n0.5,20,150.5,\r\n1,40,200.25,\r\n1.5,40,310,\r\n",
        ),
        (
            "a preamble",
            "Recorder seven\ntime,command [%],load [N]\n0,20,150\n0.5,20,150.5\n1,40,200.25\n1.5,40,310\n",
        ),
        (
            "carriage returns alone",
            "time,command [%],load [N]\r0,20,150\r0.5,20,150.5\r1,40,200.25\r1.5,40,310\r",
        ),
    ] {
        let log = import(text.as_bytes(), &ImportOptions::default())
            .unwrap_or_else(|error| panic!("{what}: {error}"));
        let close = |a: &[f64], b: &[f64]| {
            a.len() == b.len() && a.iter().zip(b).all(|(a, b)| (a - b).abs() < 1e-9)
        };
        assert!(
            close(&log.time_s, &plain.time_s),
            "{what}: {:?}",
            log.time_s
        );
        assert!(
            close(&log.command, &plain.command),
            "{what}: {:?}",
            log.command
        );
        assert!(
            close(&log.output, &plain.output),
            "{what}: {:?}",
            log.output
        );
        assert_eq!(log.columns[2].log_unit.as_deref(), Some("N"), "{what}");
    }
}

#[test]
fn without_a_header_columns_are_told_by_what_they_hold() {
    let mut text = String::new();
    for i in 0..60 {
        let load = 150.0 + f64::from(i * i % 17) + if i > 30 { 80.0 } else { 0.0 };
        text.push_str(&format!(
            "{i} {load} {:.2} {}\n",
            0.05 * f64::from(i),
            if i < 30 { 20 } else { 40 }
        ));
    }
    let log = read(&text);
    assert_eq!(
        log.columns.clone().map(|c| c.number),
        [3, 4, 2],
        "{:?}",
        log.notes
    );
}

#[test]
fn options_win_and_mistakes_in_them_are_told() {
    let mut options = ImportOptions {
        before: Some(10.0),
        ..ImportOptions::default()
    };
    options.column("output=3").expect("a number");
    options.unit("time=ms").expect("a unit");
    let log = import(PLAIN.as_bytes(), &options).expect("a log");
    assert_eq!(log.time_s[1], 0.0005);
    assert_eq!(log.before(), 0.1, "in the column's unit");
    assert!(
        options.column("load").is_err()
            && options.column("speed=1").is_err()
            && options.unit("time=").is_err()
    );

    let mut wrong = ImportOptions::default();
    wrong.column("output=laod").expect("a name");
    let error = refuse(PLAIN.as_bytes(), &wrong);
    assert!(
        error.cure().contains("output=load"),
        "{error}: {}",
        error.cure()
    );
    let mut wrong = ImportOptions::default();
    wrong.unit("time=N").expect("a word");
    assert_eq!(refuse(PLAIN.as_bytes(), &wrong).code(), "log-unit");
    let mut wrong = ImportOptions::default();
    wrong.column("output=time").expect("a name");
    wrong.column("time=time").expect("a name");
    assert_eq!(refuse(PLAIN.as_bytes(), &wrong).code(), "log-same-column");
}

#[test]
fn errors_name_line_and_column() {
    for (text, code, place) in [
        ("", "log-empty", None),
        ("# only\n\n", "log-empty", None),
        (
            "time,command,load\n0,1,2\n1,1,x3\n2,1,4\n3,1,5\n",
            "log-not-a-number",
            Some((3, 3)),
        ),
        (
            "# c\ntime,command,load\n0,1,2\n1,1\n2,1,4\n3,1,5\n",
            "log-ragged",
            Some((4, 0)),
        ),
        (
            "time,command,load\n0,1,2\n1,1,3\n",
            "log-too-few-rows",
            None,
        ),
        (
            "time,command,load\n08:00:00,1,2\n08:00:01,1,3\n8 o'clock,1,4\n08:00:03,1,4\n",
            "log-not-a-time",
            Some((4, 1)),
        ),
        (
            "time,command,load,force\n0,1,2,1\n1,1,3,1\n2,1,4,1\n",
            "log-column-unclear",
            None,
        ),
        ("alpha\nbeta\ngamma\n", "log-no-columns", Some((1, 0))),
        (
            "time,command,load\n0,1,2\n1,1,3\n2,1,4\n0,1,4\n1,1,4\n",
            "log-time-not-rising",
            Some((5, 0)),
        ),
        (
            "time,command,load\n0,1,2\n0,1,3\n1,1,4\n1,1,5\n2,1,4\n",
            "log-time-coarse",
            Some((3, 0)),
        ),
        (
            "time,command,load\n0,1,\"1.234,5\"\n1,1,3.5\n2,1,4.5\n",
            "log-not-a-number",
            Some((2, 3)),
        ),
    ] {
        let error = refuse(text.as_bytes(), &ImportOptions::default());
        assert_eq!(
            (error.code(), error.place()),
            (code, place),
            "{text:?}: {error}"
        );
        assert!(!error.cure().is_empty() && !error.to_string().is_empty());
    }
    let error = refuse(b"time,u,y\n0,1,2\n1,1,\xb0C\n", &ImportOptions::default());
    assert_eq!(
        (error.code(), error.place()),
        ("log-encoding", Some((3, 0)))
    );
    let error = refuse(&[0xff, 0xfe, b't', 0, b'\n', 0], &ImportOptions::default());
    assert!(error.to_string().contains("UTF-16"), "{error}");
    assert_eq!(
        refuse(&vec![b'1'; SIZE_LIMIT + 1], &ImportOptions::default()).code(),
        "log-too-large"
    );
}

#[test]
fn no_bytes_make_it_panic() {
    let mut state = 1_u64;
    for round in 0..3000 {
        let mut bytes = PLAIN.as_bytes().to_vec();
        for _ in 0..1 + round % 9 {
            // Knuth's multiplier (from memory): any source of disorder will do.
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            let place = (state >> 33) as usize % bytes.len();
            bytes[place] =
                b"0123456789,;.\t \n\r\"#-eET:+/[]()\xff\xc3\x00"[(state >> 20) as usize % 33];
        }
        let _ = import(&bytes, &ImportOptions::default());
    }
}

/// A log of noise around a step, with something done to it.
fn with(change: impl Fn(usize, f64) -> Option<(f64, f64)>) -> Log {
    let mut text = String::from("time,command,load\n");
    for i in 0..300 {
        let t = 0.01 * i as f64;
        let rise = if i > 100 {
            100.0 * (1.0 - (-(t - 1.0) / 0.2_f64).exp())
        } else {
            0.0
        };
        let noise = (12_345.678 * t).sin() + (0.7 * (i * i) as f64).sin();
        if let Some((t, y)) = change(i, rise + noise) {
            text.push_str(&format!("{t:.4},{},{y:.3}\n", if i < 100 { 1 } else { 2 }));
        }
    }
    read(&text)
}

#[test]
fn defects_are_named_where_they_are() {
    let time = |i: usize| 0.01 * i as f64;
    assert_eq!(with(|i, y| Some((time(i), y))).defects, []);

    let log = with(|i, y| (!(150..170).contains(&i)).then_some((time(i), y)));
    assert!(
        matches!(log.defects[..], [Defect::Gap { row: 152, .. }]),
        "{:?}",
        log.defects
    );

    let log = with(|i, y| Some((time(i), y.min(60.0))));
    let [
        Defect::Clipped {
            at,
            time: [from, _],
            ..
        },
        ..,
    ] = log.defects[..]
    else {
        panic!("{:?}", log.defects)
    };
    assert!(at == 60.0 && (from - 1.18).abs() < 0.03, "{from}");
    assert!(log.usable().iter().filter(|usable| !**usable).count() > 100);

    let log = with(|i, y| Some((time(i), if (40..60).contains(&i) { 0.5 } else { y })));
    assert!(
        matches!(
            log.defects[..],
            [Defect::Stuck {
                row: 42,
                from: 40,
                to: 59,
                ..
            }]
        ),
        "{:?}",
        log.defects
    );

    let log = with(|i, y| Some((if i == 50 { time(49) } else { time(i) }, y)));
    assert!(
        matches!(
            log.defects[..],
            [Defect::Repeat {
                row: 52,
                same: false,
                ..
            }]
        ),
        "{:?}",
        log.defects
    );

    let log = with(|i, y| Some((if i == 50 { time(40) } else { time(i) }, y)));
    assert!(
        matches!(log.defects[..], [Defect::OutOfOrder { row: 52, .. }]),
        "{:?}",
        log.defects
    );
}

/// Header, then whole milliseconds (or seconds) every `step`.
fn whole(step: u32, header: &str) -> String {
    (0..40).fold(format!("{header}\n"), |text, n| {
        format!("{text}{},{},{}.5\n", n * step, 20 + n / 20, 100 + n)
    })
}

#[test]
fn whole_times_in_large_steps_want_a_unit() {
    let options = |unit: &str| {
        let mut options = ImportOptions::default();
        options.unit(unit).expect("a unit");
        options
    };
    let text = whole(50, "time,command,load");
    let error = import(text.as_bytes(), &ImportOptions::default()).expect_err("no unit");
    assert_eq!(error.code(), "log-time-unit");
    assert!(error.to_string().contains("steps of 50"), "{error}");
    assert!(error.cure().contains("`--unit time=ms` or `--unit time=s`"));
    for (unit, last) in [("time=ms", 1.95), ("time=s", 1950.0)] {
        let log = import(text.as_bytes(), &options(unit)).expect("a log");
        assert_eq!(log.time_s.last(), Some(&last));
    }
    // Named in the header, in small steps, or with parts of a second: as before.
    for (text, last) in [
        (whole(50, "time [ms],command,load"), 1.95),
        (whole(1, "time,command,load"), 39.0),
        (whole(4, "time,command,load"), 156.0),
        (
            whole(5, "time,command,load").replacen("\n5,", "\n5.5,", 1),
            195.0,
        ),
    ] {
        assert_eq!(read(&text).time_s.last(), Some(&last), "{text}");
    }
    assert!(
        import(
            whole(5, "time,command,load").as_bytes(),
            &ImportOptions::default()
        )
        .is_err()
    );
}

#[test]
fn decimal_commas_between_commas_are_named() {
    let rows = |row: fn(u32) -> String| {
        (0..10).fold("time,command,load\n".to_owned(), |text, n| {
            format!("{text}{}\n", row(n))
        })
    };
    for (text, cells) in [
        (
            rows(|n| format!("0,{:03},20,160,{:03}", n * 50, 9 + n)),
            "5 cells",
        ),
        (rows(|n| format!("{n},20,160,{:03}", 9 + n)), "4 cells"),
        (rows(|n| format!("0,{n:03},20,5,160,{n:03}")), "6 cells"),
    ] {
        let error = import(text.as_bytes(), &ImportOptions::default()).expect_err("refused");
        assert_eq!(error.code(), "log-decimal-commas", "{error}");
        let said = error.to_string();
        assert!(
            said.contains(cells) && said.contains("3 headings"),
            "{said}"
        );
        assert!(said.contains("line 2"), "{said}");
        assert!(error.cure().contains("semicolons"));
    }
    // A comma at the end of each row is no number, and points are decimal points.
    for text in [
        rows(|n| format!("{n},20,{},", 160 + n)),
        rows(|n| format!("{n}.0,20,{},7", 160 + n)),
    ] {
        let read = import(text.as_bytes(), &ImportOptions::default());
        assert!(
            !matches!(read, Err(ImportError::DecimalCommas { .. })),
            "{read:?}"
        );
    }
}
