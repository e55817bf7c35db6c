//! What changed in a text, for people.

use std::fmt::Write as _;

/// Lines that differ between two texts, old ones with `-`, new ones with `+`, as they come between the equal head and tail.
#[must_use]
pub fn difference(old: &str, new: &str) -> String {
    let (old, new): (Vec<&str>, Vec<&str>) = (old.lines().collect(), new.lines().collect());
    let head = old.iter().zip(&new).take_while(|(a, b)| a == b).count();
    let tail = old[head..]
        .iter()
        .rev()
        .zip(new[head..].iter().rev())
        .take_while(|(a, b)| a == b)
        .count();
    let mut text = String::new();
    for (sign, lines) in [
        ('-', &old[head..old.len() - tail]),
        ('+', &new[head..new.len() - tail]),
    ] {
        for line in lines {
            let _ = writeln!(text, "{sign} {line}");
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::difference;

    #[test]
    fn only_what_lies_between_the_equal_head_and_tail_is_shown() {
        assert_eq!(
            difference("a\nb\n# why\nc\nd\n", "a\nB\n# why\nC\nd\n"),
            "- b\n- # why\n- c\n+ B\n+ # why\n+ C\n"
        );
        assert_eq!(difference("a\nb\n", "a\nx\nb\n"), "+ x\n");
    }

    #[test]
    fn equal_texts_have_no_difference() {
        assert_eq!(difference("a\nb\n", "a\nb\n"), "");
    }
}
