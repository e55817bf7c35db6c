//! Cautions for the operator: the first sentences of those of the book, which is their home.

/// The page of cautions.
const PAGE: &str = include_str!("../../../../../docs/cautions.md");

/// Which of them are for whoever stands at the machine: how each begins.
const LEADS: [&str; 7] = [
    "The raised plate kills.",
    "Pinch points.",
    "Coasting.",
    "Compressed air.",
    "Abrasives, vehicles, coolants, solvents, dusts.",
    "Broken parts are sharp",
    "First use of a recipe on a machine:",
];

/// Each: how it begins, and the rest of its first sentences with what parts them.
pub(super) fn for_the_operator() -> Vec<(&'static str, String)> {
    let text = PAGE.replace("\n  ", " ");
    LEADS
        .iter()
        .filter_map(|lead| {
            let start = format!("- **{lead}**");
            let line = text.lines().find_map(|line| line.strip_prefix(&start))?;
            Some((*lead, first(line)))
        })
        .collect()
}

/// Its first two sentences: what is the matter, and what to do.
fn first(text: &str) -> String {
    let mut ends = text.match_indices(". ").map(|(at, _)| at + 1);
    let end = ends.nth(1).unwrap_or(text.len());
    text[..end].trim_end().to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A caution that is worded anew in the book must not drop from the card.
    #[test]
    fn every_caution_of_a_card_stands_in_the_book() {
        let found = for_the_operator();
        assert_eq!(found.len(), LEADS.len(), "{found:?}");
        for (lead, rest) in found {
            assert!(rest.len() > 20 && rest.len() < 300, "{lead}: {rest}");
        }
    }
}
