//! The slips of the pen that make a line no TOML, told from the line itself: in words of our own, with the line as it should be.

use std::ops::Range;

/// What is wrong with a line, and how it should read.
pub(super) struct Slip {
    /// The bytes of the line to mark.
    pub(super) span: Range<usize>,
    pub(super) message: String,
    pub(super) expected: &'static str,
    /// The line, mended.
    pub(super) line: String,
}

/// What a word processor makes of quotes.
const CURLY: [char; 8] = ['“', '”', '„', '‟', '‘', '’', '«', '»'];

/// The slip on a line that the parser gave up at byte `at` of it; `None` where it is another.
pub(super) fn of(line: &str, at: usize) -> Option<Slip> {
    let code = code(line);
    if let Some((index, sign)) = code.iter().copied().find(|(_, c)| CURLY.contains(c)) {
        return Some(Slip {
            span: index..index + sign.len_utf8(),
            message: format!("curly quotes `{sign}`: to the program they are letters"),
            expected: "straight quotes",
            line: line.replace(CURLY, "\""),
        });
    }
    let value = value(line, &code, at)?;
    let text = line.get(value.clone())?;
    let with = |new: String| {
        let (before, after) = (line.get(..value.start)?, line.get(value.end..)?);
        Some(format!("{before}{new}{after}").trim().to_owned())
    };
    if let Some(comma) = decimal_comma(text) {
        let mut point = text.to_owned();
        point.replace_range(comma..=comma, ".");
        // A number alone needs no quotes; with its unit it does.
        let new = if point.parse::<f64>().is_ok() {
            point
        } else {
            format!("\"{point}\"")
        };
        return Some(Slip {
            span: value.clone(),
            message: format!("`{text}` has a decimal comma"),
            expected: "a decimal point",
            line: with(new)?,
        });
    }
    if text.is_empty() {
        // Nothing but a comment follows the sign of equality.
        let comment = line.get(value.end..)?.trim();
        let text = comment.strip_prefix('#')?;
        // `#1000` is a grade, `# of the pump` a comment.
        return text
            .starts_with(|c: char| c.is_alphanumeric())
            .then(|| Slip {
                span: value.end..line.trim_end().len(),
                message: "there is no value: `#` begins a comment".to_owned(),
                expected: "quotes around a text that begins so",
                line: format!("{}\"{comment}\"", line.get(..value.end).unwrap_or("")),
            });
    }
    let truth = match text.to_lowercase().as_str() {
        "true" | "yes" | "on" => Some("true"),
        "false" | "no" | "off" => Some("false"),
        _ => None,
    };
    if let Some(truth) = truth {
        return Some(Slip {
            span: value.clone(),
            message: format!(
                "`{text}` is neither text in quotes nor true or false in small letters"
            ),
            expected: "a text in quotes, or the line",
            line: with(truth.to_owned())?,
        });
    }
    let word = text.chars().any(char::is_alphabetic) && !text.contains(['"', '\'', '[', '{', '=']);
    word.then(|| {
        Some(Slip {
            span: value.clone(),
            message: format!("`{text}` is not in quotes"),
            expected: "quotes around it",
            line: with(format!("\"{text}\""))?,
        })
    })?
}

/// Bytes and characters of a line that stand in no closed text and in no comment. A quote that nothing closes belongs to them.
fn code(line: &str) -> Vec<(usize, char)> {
    let mut code = Vec::new();
    let mut letters = line.char_indices();
    while let Some((at, c)) = letters.next() {
        let rest = &line[at + c.len_utf8()..];
        match c {
            '#' => break,
            '"' | '\'' if rest.contains(c) => {
                // What is escaped inside does not matter here: the line is mended by a person.
                for (_, inner) in letters.by_ref() {
                    if inner == c {
                        break;
                    }
                }
            }
            _ => code.push((at, c)),
        }
    }
    code
}

/// The value that byte `at` belongs to: from after its sign of equality to the end of the line, or in an inline table to the
/// next comma that no digit follows, or bracket.
fn value(line: &str, code: &[(usize, char)], at: usize) -> Option<Range<usize>> {
    let (equals, _) = code
        .iter()
        .rev()
        .find(|(index, c)| *c == '=' && *index <= at)?;
    let inline = code.iter().any(|(index, c)| *c == '{' && index < equals);
    let after = &line[equals + 1..];
    let start = equals + 1 + (after.len() - after.trim_start().len());
    let digit = |index: usize| line.as_bytes().get(index).is_some_and(u8::is_ascii_digit);
    let ends = |&&(index, c): &&(usize, char)| {
        inline && (matches!(c, '}' | ']') || (c == ',' && !digit(index + 1)))
    };
    let end = code
        .iter()
        .filter(|(index, _)| *index >= start)
        .find(ends)
        .map_or_else(|| comment(line, code), |(index, _)| *index);
    let end = end.max(start);
    Some(start..start + line.get(start..end)?.trim_end().len())
}

/// Where the comment of a line begins, or the line ends.
fn comment(line: &str, code: &[(usize, char)]) -> usize {
    let from = code.last().map_or(0, |(index, c)| index + c.len_utf8());
    line.get(from..)
        .and_then(|rest| rest.find('#'))
        .map_or(line.len(), |at| from + at)
}

/// The comma in "0,25" or "-0,25 mm".
fn decimal_comma(text: &str) -> Option<usize> {
    let comma = text.find(',')?;
    let whole = text.get(..comma)?.trim_start_matches(['+', '-']);
    let part = text.get(comma + 1..)?;
    let digits = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    let after = part
        .find(|c: char| !c.is_ascii_digit())
        .unwrap_or(part.len());
    (digits(whole) && after > 0 && !part[after..].starts_with([',', '.'])).then_some(comma)
}

/// A number that is too large for any computer's, as the largest there is, in as many bytes; `None` for anything else. It is then
/// out of the range of its key, and the reader says so.
pub(super) fn largest(text: &str) -> Option<String> {
    let digits = text.trim_start_matches(['+', '-']).replace('_', "");
    let whole = |digits: &str, radix| {
        !digits.is_empty()
            && digits.chars().all(|c| c.is_digit(radix))
            && i64::from_str_radix(digits, radix).is_err()
    };
    let radix = |prefix: &str| digits.strip_prefix(prefix);
    let held = if whole(&digits, 10) {
        if text.starts_with('-') {
            i64::MIN.to_string()
        } else {
            i64::MAX.to_string()
        }
    } else if radix("0x").is_some_and(|digits| whole(digits, 16)) {
        format!("{:#x}", i64::MAX)
    } else if radix("0o").is_some_and(|digits| whole(digits, 8))
        || radix("0b").is_some_and(|digits| whole(digits, 2))
    {
        i64::MAX.to_string()
    } else if digits.parse::<f64>().is_ok_and(f64::is_infinite)
        && digits.starts_with(|c: char| c.is_ascii_digit())
    {
        "inf".to_owned()
    } else {
        return None;
    };
    // Not by a width of the format: it takes no more than sixteen bits, and a number may have more digits.
    let blanks = text.len().checked_sub(held.len())?;
    Some(held + &" ".repeat(blanks))
}

/// The words of a text that could be keys.
pub(super) fn words(text: &str) -> impl Iterator<Item = String> + '_ {
    text.split(|c: char| !c.is_ascii_alphanumeric() && !matches!(c, '-' | '_'))
        .filter(|word| word.chars().any(char::is_alphabetic))
        .map(str::to_owned)
}
