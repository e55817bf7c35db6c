//! The pages and what they load, compiled in. Nothing is read from the disk or from elsewhere, so there is no path to get astray on.

use twinplate_words::Language;

/// A file that is served.
#[derive(Clone, Copy, Debug)]
pub struct Asset {
    /// Name under `/assets/`.
    pub name: &'static str,
    /// Content type.
    pub kind: &'static str,
    /// What is in it.
    pub bytes: &'static [u8],
}

macro_rules! assets {
    ($($name:literal),* $(,)?) => {
        &[$(Asset {
            name: $name,
            kind: kind($name),
            bytes: include_bytes!(concat!("assets/", $name)),
        }),*]
    };
}

/// What stands under `/assets/`.
pub const ASSETS: &[Asset] = assets![
    "alarms.js",
    "api.js",
    "base.css",
    "class.css",
    "class.js",
    "controls.js",
    "debrief.css",
    "debrief.js",
    "dom.js",
    "exercises.css",
    "exercises.js",
    "fields.js",
    "fluent-licence.txt",
    "fluent.js",
    "fringes.js",
    "icon.svg",
    "instructor.css",
    "instructor.js",
    "instruments.js",
    "ladder.js",
    "link.js",
    "load.js",
    "news.js",
    "operator.css",
    "operator.js",
    "panel.css",
    "panel.js",
    "plan.js",
    "say.js",
    "section.js",
    "sound.js",
    "theme.js",
    "timeline.js",
    "tongue.js",
    "uplot-licence.txt",
    "uplot.css",
    "uplot.js",
    "words.js",
];

/// The operator page.
pub const OPERATOR: &str = include_str!("assets/operator.html");
/// The instructor page.
pub const INSTRUCTOR: &str = include_str!("assets/instructor.html");
/// The class.
pub const CLASS: &str = include_str!("assets/class.html");
/// The form of exercises.
pub const EXERCISES: &str = include_str!("assets/exercises.html");
/// The debrief.
pub const DEBRIEF: &str = include_str!("assets/debrief.html");
/// Where a page gets the token.
pub const TOKEN_PLACE: &str = "{{token}}";
/// Where a page gets the tag of its language.
pub const LANGUAGE_PLACE: &str = "{{language}}";
/// Where a page gets the languages that can be chosen.
pub const LANGUAGES_PLACE: &str = "<!-- languages -->";
/// Content type of a catalogue.
pub const CATALOGUE: &str = "text/plain; charset=utf-8";

/// The languages that can be chosen, each by its own name.
#[must_use]
pub(crate) fn languages() -> String {
    Language::ALL
        .map(|one| {
            let (tag, name) = (one.tag(), one.name());
            format!("<option value=\"{tag}\" lang=\"{tag}\">{name}</option>")
        })
        .concat()
}

/// A file, by its exact name.
#[must_use]
pub fn find(name: &str) -> Option<&'static Asset> {
    ASSETS.iter().find(|asset| asset.name == name)
}

/// The catalogue of the pages' words, by its exact name as `de.ftl`.
#[must_use]
pub fn catalogue(name: &str) -> Option<String> {
    let language = Language::tagged(name.strip_suffix(".ftl")?)?;
    Some(twinplate_words::of_pages(language))
}

/// Content type by the end of the name. A name with another end does not compile.
const fn kind(name: &str) -> &'static str {
    const KINDS: [(&str, &str); 5] = [
        (".css", "text/css; charset=utf-8"),
        (".js", "text/javascript; charset=utf-8"),
        (".svg", "image/svg+xml"),
        (".png", "image/png"),
        (".txt", "text/plain; charset=utf-8"),
    ];
    let mut at = 0;
    while at < KINDS.len() {
        if ends_with(name.as_bytes(), KINDS[at].0.as_bytes()) {
            return KINDS[at].1;
        }
        at += 1;
    }
    panic!("no content type is known for this name")
}

const fn ends_with(name: &[u8], end: &[u8]) -> bool {
    if name.len() < end.len() {
        return false;
    }
    let from = name.len() - end.len();
    let mut at = 0;
    while at < end.len() {
        if name[from + at] != end[at] {
            return false;
        }
        at += 1;
    }
    true
}

#[cfg(test)]
mod tests {
    use super::*;
    use twinplate_words::Words;

    #[test]
    fn every_page_has_one_place_for_the_token_and_one_for_the_language() {
        for page in [OPERATOR, INSTRUCTOR, CLASS, EXERCISES, DEBRIEF] {
            assert_eq!(page.matches(TOKEN_PLACE).count(), 1);
            assert_eq!(page.matches(LANGUAGE_PLACE).count(), 1);
            assert_eq!(page.matches(LANGUAGES_PLACE).count(), 1);
            assert!(page.contains(&format!("<html lang=\"{LANGUAGE_PLACE}\"")));
        }
    }

    #[test]
    fn every_language_has_a_catalogue_by_its_own_name_alone() {
        for language in Language::ALL {
            let told = catalogue(&format!("{}.ftl", language.tag()));
            assert_eq!(told, Some(twinplate_words::of_pages(language)));
        }
        for wrong in ["fr.ftl", "en", ".ftl", "EN.ftl", "../en.ftl"] {
            assert_eq!(catalogue(wrong), None, "{wrong}");
        }
    }

    #[test]
    fn names_are_plain_and_unique() {
        for (at, asset) in ASSETS.iter().enumerate() {
            let plain = |c: char| c.is_ascii_alphanumeric() || "-_.".contains(c);
            assert!(asset.name.chars().all(plain), "{}", asset.name);
            assert!(!asset.bytes.is_empty(), "{}", asset.name);
            assert!(ASSETS[..at].iter().all(|other| other.name != asset.name));
        }
    }

    /// The words of the machine in English.
    fn vocabulary() -> serde_json::Value {
        twinplate_train::vocabulary::json(Words::of(Language::English))
    }

    /// The scripts that are ours, with their names.
    fn scripts() -> Vec<(&'static str, &'static str)> {
        let theirs = ["fluent.js", "uplot.js"];
        let ours = |asset: &&Asset| asset.name.ends_with(".js") && !theirs.contains(&asset.name);
        let all = ASSETS.iter().filter(ours);
        all.map(|asset| (asset.name, std::str::from_utf8(asset.bytes).expect("UTF-8")))
            .collect()
    }

    /// A page has the core's words from the server. A word that is also its name is left out: there it may be a name.
    #[test]
    fn no_page_has_a_word_of_the_core_of_its_own() {
        let told = vocabulary();
        let kinds = told.as_object().expect("an object").values();
        let members = kinds.filter_map(serde_json::Value::as_array).flatten();
        let mut words = 0;
        for member in members {
            let (Some(name), Some(word)) = (member["name"].as_str(), member["word"].as_str())
            else {
                continue;
            };
            if name == word {
                continue;
            }
            words += 1;
            for (script, text) in scripts() {
                for quote in ['"', '\'', '`'] {
                    assert!(
                        !text.contains(&format!("{quote}{word}{quote}")),
                        "{script}: {word}"
                    );
                }
            }
        }
        assert!(words > 30, "only {words} words were looked for");
    }

    /// What a page compares a name with is a name, and so is what the browser is told.
    #[test]
    fn pages_ask_for_names_that_the_core_has() {
        let told = vocabulary();
        let kinds = [
            ("state", &["states", "alarm_states"][..]),
            ("phase", &["phases"]),
            ("mode", &["modes"]),
            ("plate", &["plates"]),
            ("load_mode", &["load_modes"]),
            ("response", &["responses"]),
        ];
        let mut asked = 0;
        for (script, text) in scripts() {
            for (field, kinds) in kinds {
                for sign in ["===", "!=="] {
                    for rest in text.split(&format!(".{field} {sign} \"")).skip(1) {
                        let name = rest.split('"').next().unwrap_or_default();
                        let known = kinds
                            .iter()
                            .filter_map(|kind| told[*kind].as_array())
                            .flatten();
                        let mut names = known.filter_map(|member| member["name"].as_str());
                        assert!(
                            names.any(|known| known == name),
                            "{script}: {field} `{name}`"
                        );
                        asked += 1;
                    }
                }
            }
        }
        assert!(asked > 4, "only {asked} comparisons were found");
    }

    /// A name that one script takes from another is there: without it the whole page stays blank.
    #[test]
    fn what_scripts_import_is_exported() {
        let mut taken = 0;
        for (script, text) in scripts() {
            for import in text.split("\nimport {").skip(1) {
                let (names, rest) = import.split_once("} from \"./").expect("an import of ours");
                let (from, _) = rest.split_once('"').expect("a name of a file");
                let exporter = find(from).unwrap_or_else(|| panic!("{script}: {from}"));
                let exporter = std::str::from_utf8(exporter.bytes).expect("UTF-8");
                for name in names.split(',') {
                    // What is called otherwise here is exported under its own name.
                    let name = name.split(" as ").next().unwrap_or(name).trim();
                    let there = ["const", "function", "async function", "class", "let"]
                        .iter()
                        .any(|kind| {
                            exporter
                                .split(&format!("\nexport {kind} {name}"))
                                .skip(1)
                                .any(|rest| rest.starts_with(|c: char| !c.is_alphanumeric()))
                        });
                    assert!(there, "{script}: {name} of {from}");
                    taken += 1;
                }
            }
        }
        assert!(taken > 40, "only {taken} imports were found");
    }

    /// The page says which protocol it speaks, so that an old page in a browser's store is told to load anew.
    #[test]
    fn the_page_speaks_the_protocol_of_this_server() {
        let link = find("link.js").expect("it is there");
        let text = std::str::from_utf8(link.bytes).expect("UTF-8");
        let protocol = twinplate_train::protocol::PROTOCOL;
        assert!(text.contains(&format!("const PROTOCOL = {protocol};")));
    }

    #[test]
    fn every_file_of_the_folder_is_served() {
        let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("src/assets");
        let mut names: Vec<String> = std::fs::read_dir(folder)
            .expect("the folder is there")
            .map(|entry| entry.expect("an entry").file_name())
            .map(|name| name.to_string_lossy().into_owned())
            .filter(|name| !name.ends_with(".html"))
            .collect();
        names.sort();
        let served: Vec<&str> = ASSETS.iter().map(|asset| asset.name).collect();
        assert_eq!(served, names);
    }

    #[test]
    fn what_the_pages_ask_for_is_there() {
        for page in [OPERATOR, INSTRUCTOR, CLASS, DEBRIEF] {
            for part in page.split("/assets/").skip(1) {
                let name: String = part.chars().take_while(|c| !"\"'?#".contains(*c)).collect();
                assert!(find(&name).is_some(), "{name}");
            }
        }
    }
}
