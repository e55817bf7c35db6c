//! Puts gains into the text of a machine file: comments, order and everything else stay as they are.

use super::calibrated::read_back;
use super::edit::{EditError, with_values};
use super::quantity::Dimension;
use super::{Loaded, parse_machine};
use crate::model::{Gains, Machine, Of, Shown};
use toml_edit::value;

/// The text of a machine file with these gains.
///
/// # Errors
/// A text that would not be read back as meant; the file is then to be left alone.
pub fn with_gains(
    file: &Loaded<Machine>,
    gains: &Gains,
    shown: &Shown,
) -> Result<String, EditError> {
    let written = written_gain(gains.kc, shown);
    let kc = read_back(&written, Dimension::PerForce)?;
    let values = vec![
        ("proportional", value(written)),
        ("integral-time", value(format!("{} s", gains.ti))),
        ("setpoint-weight", value(gains.weight)),
    ];
    let wanted = Machine {
        gains: Some(Gains { kc, ..*gains }),
        ..file.value.clone()
    };
    with_values(file, "gains", values, &wanted, |text| {
        parse_machine(&file.path, text)
    })
}

/// A proportional gain (1/N) as it is written into a file: in the answers' unit, to the digits that it has there or to six.
#[must_use]
pub fn written_gain(kc: f64, shown: &Shown) -> String {
    let number = shown.again(Of::Gain, kc);
    let rounded = format!("{number:.5e}").parse().unwrap_or(number);
    let number = if number == kc { kc } else { rounded };
    shown.with(Of::Gain, &number.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::path::Path;

    const TEXT: &str = include_str!("../../../../recipes/machines/machine-a.toml");

    fn gains() -> Gains {
        Gains {
            kc: 0.002_013_7,
            ti: 0.105_12,
            weight: 1.0,
        }
    }

    fn read(text: &str) -> Loaded<Machine> {
        parse_machine(Path::new("machine.toml"), text).expect("reads")
    }

    #[test]
    fn a_file_without_gains_gets_a_block_and_keeps_every_line() {
        let text = with_gains(&read(TEXT), &gains(), &Shown::default()).expect("written");
        assert_eq!(read(&text).value.gains, Some(gains()));
        let rest = text.replace(
            "\n[gains]\nproportional = \"0.0020137 1/N\"\nintegral-time = \"0.10512 s\"\nsetpoint-weight = 1.0\n",
            "",
        );
        assert_eq!(rest, TEXT);
    }

    #[test]
    fn a_file_with_gains_keeps_comments_and_order() {
        let before = "# mine\n[gains] # the loop\nintegral-time = \"0.2 s\" # slow\n# why\nproportional   = \"0.001 1/N\"\nsetpoint-weight = 0.5 # half\n\n[envelope]";
        let old = TEXT.replace("[envelope]", before);
        let text = with_gains(&read(&old), &gains(), &Shown::default()).expect("written");
        let after = before
            .replace("0.2 s", "0.10512 s")
            .replace("0.001 1/N", "0.0020137 1/N")
            .replace("0.5 #", "1.0 #");
        assert_eq!(text, TEXT.replace("[envelope]", &after));
    }

    #[test]
    fn line_ends_stay_as_they_were() {
        let old = TEXT.replace('\n', "\r\n");
        let text = with_gains(&read(&old), &gains(), &Shown::default()).expect("written");
        assert_eq!(text.matches('\n').count(), text.matches("\r\n").count());
        let bare = with_gains(&read(TEXT), &gains(), &Shown::default()).expect("written");
        assert_eq!(text.replace("\r\n", "\n"), bare);
        assert!(!bare.contains('\r'));
    }

    /// Whatever editor a file came from, its other lines stay as they are, byte for byte.
    #[test]
    fn a_byte_order_mark_and_mixed_line_ends_stay() {
        let mixed = |text: &str| -> String {
            let ends = ["\r\n", "\n", "\r\n"];
            text.lines()
                .enumerate()
                .map(|(n, line)| format!("{line}{}", ends[n % 3]))
                .collect()
        };
        for old in [TEXT.to_owned(), TEXT.replace('\n', "\r\n"), mixed(TEXT)] {
            let old = format!("\u{feff}{old}");
            let text = with_gains(&read(&old), &gains(), &Shown::default()).expect("written");
            assert!(text.starts_with("\u{feff}# Invented"));
            assert_eq!(text.matches('\u{feff}').count(), 1);
            assert_eq!(read(&text).value.gains, Some(gains()));
            let block = text.find("[gains]").expect("a block");
            let before = text[..block].trim_end();
            assert!(old.starts_with(before), "the head has changed");
            // Written again with other gains, every line but theirs is the same.
            let other = Gains {
                kc: 0.001,
                ..gains()
            };
            let again = with_gains(&read(&text), &other, &Shown::default()).expect("written");
            let differ: Vec<(&str, &str)> = text
                .split_inclusive('\n')
                .zip(again.split_inclusive('\n'))
                .filter(|(a, b)| a != b)
                .collect();
            assert_eq!(differ.len(), 1, "{differ:?}");
            let end = |line: &str| line.ends_with("\r\n");
            assert_eq!(end(differ[0].0), end(differ[0].1));
        }
    }
}
