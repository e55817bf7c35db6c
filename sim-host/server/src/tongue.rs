//! The language of a request: what was chosen on a page, else what the browser likes best of those that there are, else English.

use axum::http::header::{ACCEPT_LANGUAGE, COOKIE};
use axum::http::{HeaderMap, HeaderName};
use twinplate_words::{Language, Told, Words};

/// The cookie that holds the tag of the language that was chosen.
const CHOSEN: &str = "language=";

/// The language of a request.
#[must_use]
pub fn language(headers: &HeaderMap) -> Language {
    chosen(headers)
        .or_else(|| liked(headers))
        .unwrap_or_default()
}

/// The words of a request's language.
pub(crate) fn words(headers: &HeaderMap) -> &'static Words {
    Words::of(language(headers))
}

/// What headers of a name say, cut into pieces.
fn pieces(headers: &HeaderMap, name: HeaderName, at: char) -> impl Iterator<Item = &str> {
    let all = headers.get_all(name).into_iter();
    all.filter_map(|value| value.to_str().ok())
        .flat_map(move |text| text.split(at))
        .map(str::trim)
}

fn chosen(headers: &HeaderMap) -> Option<Language> {
    pieces(headers, COOKIE, ';')
        .filter_map(|pair| pair.strip_prefix(CHOSEN))
        .find_map(Language::tagged)
}

/// Of several that are liked as well, the first.
fn liked(headers: &HeaderMap) -> Option<Language> {
    pieces(headers, ACCEPT_LANGUAGE, ',')
        .filter_map(liking)
        .reduce(|best, next| if next.1 > best.1 { next } else { best })
        .map(|(language, _)| language)
}

/// The language of a range as `de-CH;q=0.8`, and how well it is liked; `None` for one that is not there or not liked.
fn liking(range: &str) -> Option<(Language, f32)> {
    let (tag, rest) = range.split_once(';').unwrap_or((range, "q=1"));
    let main = tag.split('-').next()?.trim().to_ascii_lowercase();
    let weight: f32 = rest.trim().strip_prefix("q=")?.parse().ok()?;
    let liked = weight > 0.0 && weight <= 1.0;
    Some((Language::tagged(&main)?, weight)).filter(|_| liked)
}

/// A message that is told once the language is known.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    id: &'static str,
    told: Vec<(&'static str, Told<'static>)>,
}

impl Line {
    /// A message of this name.
    #[must_use]
    pub const fn say(id: &'static str) -> Self {
        Self {
            id,
            told: Vec::new(),
        }
    }

    /// A message with what is told in it.
    #[must_use]
    pub fn tell<const N: usize>(
        id: &'static str,
        told: [(&'static str, Told<'static>); N],
    ) -> Self {
        Self {
            id,
            told: told.into(),
        }
    }

    /// In a language.
    #[must_use]
    pub fn told(&self, words: &Words) -> String {
        words.tell(self.id, &self.told)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use axum::http::HeaderValue;

    fn of(pairs: &[(HeaderName, &'static str)]) -> Language {
        let mut headers = HeaderMap::new();
        for (name, value) in pairs {
            headers.append(name, HeaderValue::from_static(value));
        }
        language(&headers)
    }

    #[test]
    fn the_best_of_what_a_browser_likes_is_taken_and_english_else() {
        for (likes, wanted) in [
            ("de", Language::German),
            ("de-CH, en;q=0.5", Language::German),
            ("en-GB,de;q=0.9", Language::English),
            ("en;q=0.3, es ; q=0.7, de;q=0.7", Language::Spanish),
            ("fr, DE-at;q=0.2", Language::German),
            ("de;q=0, es;q=0.1", Language::Spanish),
            ("de;q=2, es;q=x, fr, *", Language::English),
            ("deu, german", Language::English),
            ("", Language::English),
        ] {
            assert_eq!(of(&[(ACCEPT_LANGUAGE, likes)]), wanted, "{likes}");
        }
        let twice = [(ACCEPT_LANGUAGE, "fr"), (ACCEPT_LANGUAGE, "es")];
        assert_eq!(of(&twice), Language::Spanish);
        assert_eq!(of(&[]), Language::English);
    }

    #[test]
    fn what_was_chosen_goes_before_what_is_liked() {
        for (cookies, wanted) in [
            ("language=es", Language::Spanish),
            ("theme=dark; language=en", Language::English),
            ("language=fr", Language::German),
            ("language=", Language::German),
            ("xlanguage=es", Language::German),
            ("language=xx; language=es", Language::Spanish),
        ] {
            let told = of(&[(COOKIE, cookies), (ACCEPT_LANGUAGE, "de")]);
            assert_eq!(told, wanted, "{cookies}");
        }
    }

    #[test]
    fn a_line_is_told_with_what_it_was_given() {
        let words = Words::of(Language::English);
        let line = Line::tell("rule-no-exercise", [("exercise", "a-b".into())]);
        assert_eq!(line.told(words), "there is no exercise `a-b`");
        assert_eq!(
            Line::say("refused-stopping").told(words),
            "the server is stopping"
        );
    }
}
