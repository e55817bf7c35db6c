//! Words: each enum that leaves the core gives every member one name for files, traces and links, and one word for the operator.
//! They stand beside the enum, and nowhere else: the host, its pages and the book take them from there.

/// Gives an enum its names and words, its list in order of its numbers, and the way back from a name or a number.
///
/// The matches have no wildcard: a member without words does not compile, and what compiles is in the list.
macro_rules! words {
    ($type:ident, $all:ident { $($member:ident => $name:literal, $word:literal;)+ }) => {
        #[doc = concat!("All of [`", stringify!($type), "`], in order of their numbers.")]
        pub const $all: [$type; [$($name),+].len()] = [$($type::$member),+];

        // Indices come from the length itself, and a wrong one would end the build.
        #[allow(clippy::indexing_slicing, clippy::arithmetic_side_effects)]
        const _: () = {
            let mut next = 1;
            while next < $all.len() {
                assert!(($all[next - 1] as u16) < $all[next] as u16, "listed in the order of the numbers");
                next += 1;
            }
        };

        impl $type {
            /// Every name with what it names, in order of the numbers.
            pub const NAMES: [(&'static str, Self); $all.len()] = [$(($name, Self::$member)),+];

            /// The name in files, traces and links: kebab case, never changed without a new version of what carries it.
            #[must_use]
            pub const fn name(self) -> &'static str {
                match self {
                    $(Self::$member => $name,)+
                }
            }

            /// The word for the operator.
            #[must_use]
            pub const fn word(self) -> &'static str {
                match self {
                    $(Self::$member => $word,)+
                }
            }

            /// Serialises the name.
            ///
            /// # Errors
            /// What the serializer reports.
            pub fn by_name<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                serializer.serialize_str(self.name())
            }

            /// What a name means, if it is one.
            #[must_use]
            pub fn named(name: &str) -> Option<Self> {
                $all.into_iter().find(|member| member.name() == name)
            }

            /// What a number means, if it is one.
            #[must_use]
            pub fn numbered(number: u16) -> Option<Self> {
                $all.into_iter().find(|member| *member as u16 == number)
            }
        }
    };
}

pub(crate) use words;

#[cfg(test)]
mod tests {
    use crate::events::EventKind;
    use crate::interlock::{AlarmState, Effect, ResetRule};
    use crate::link::message::LinkRefusal;
    use crate::process_image::{Drive, RodValve};
    use crate::recipe::{ProcessKind, RecipeRule};
    use crate::sequence::{Command, Mode, Phase, Plate, Refusal, SetupMove, State};
    use crate::status::{ALL_RESPONSES, LoadMode, Response};
    use crate::store::{StoreError, Verdict};
    use std::collections::BTreeSet;
    use std::vec::Vec;

    fn is_kebab(name: &str) -> bool {
        let letters = name.bytes().all(|b| b.is_ascii_lowercase() || b == b'-');
        letters && !name.is_empty() && name.split('-').all(|part| !part.is_empty())
    }

    /// A word can stand in a sentence or at its head: no space around it, no stop after it.
    fn is_word(word: &str) -> bool {
        !word.is_empty() && word.trim() == word && !word.ends_with('.')
    }

    macro_rules! every {
        ($($type:ident),+) => {
            $({
                let members = $type::NAMES;
                let names: BTreeSet<&str> = members.iter().map(|(name, _)| *name).collect();
                let words: BTreeSet<&str> = members.iter().map(|(_, member)| member.word()).collect();
                let whole = members.len();
                assert_eq!((names.len(), words.len()), (whole, whole), "{} is told apart", stringify!($type));
                for (name, member) in members {
                    assert!(is_kebab(name), "{name}");
                    assert!(is_word(member.word()), "{}", member.word());
                    assert_eq!(member.name(), name);
                    assert_eq!($type::named(name), Some(member));
                    assert_eq!($type::numbered(member as u16), Some(member));
                }
                assert_eq!($type::named("no such name"), None);
                assert_eq!($type::numbered(u16::MAX), None);
            })+
        };
    }

    /// Names and words of one enum are unique and of their shape, and every name and number leads back.
    #[test]
    fn every_member_has_a_name_and_a_word_of_its_own() {
        every!(
            AlarmState,
            Command,
            Drive,
            Effect,
            EventKind,
            LinkRefusal,
            LoadMode,
            Mode,
            Phase,
            Plate,
            ProcessKind,
            RecipeRule,
            Refusal,
            ResetRule,
            Response,
            RodValve,
            SetupMove,
            State,
            StoreError,
            Verdict
        );
    }

    /// From mild to grave, which is the type's own order: the list, the numbers and `Ord` agree.
    #[test]
    fn responses_are_listed_from_mild_to_grave() {
        let mut sorted = ALL_RESPONSES;
        sorted.sort();
        assert_eq!(ALL_RESPONSES, sorted);
        let numbers: Vec<u16> = ALL_RESPONSES.iter().map(|r| *r as u16).collect();
        assert_eq!(numbers, [0, 1, 2, 3, 4, 5, 6]);
        assert!(Response::StopAtStepEnd < Response::Hold);
    }

    /// IEC 60204-1, 9.2.2 (from memory): category 0 takes power away at once, 1 after the stop, 2 leaves it on.
    #[test]
    fn only_stops_have_a_category() {
        let categories = ALL_RESPONSES.map(Response::stop_category);
        assert_eq!(
            categories,
            [None, None, None, None, Some(2), Some(1), Some(0)]
        );
    }
}
