//! Why each error in a file matters and what to do about it; what it means, `files::error` says itself.

/// Why a file error matters and what to do. Every code of [`twinplate_sim::files::error::CODES`] has its line, as a test demands.
pub fn about(code: &str) -> (&'static str, &'static str) {
    const NOT_READ: &str = "What cannot be read cannot be checked; nothing runs.";
    const GUESS: &str =
        "A guess about a machine's number could cost parts or plates, so nothing is guessed.";
    match code {
        "unreadable-file" => (NOT_READ, "Check the path and the permissions of the file."),
        "file-too-large" => (
            "A file of this kind has a few kilobytes; this is something else.",
            "Name the right file.",
        ),
        "empty-file" => (
            NOT_READ,
            "Fill it in. The demonstration set in recipes/ shows how.",
        ),
        "not-utf8" => (
            "Letters such as µ would be read as something else.",
            "Save the file as UTF-8, or write `um`, which needs no special letter.",
        ),
        "not-text" => (
            NOT_READ,
            "Remove the control characters, or name the right file.",
        ),
        "syntax" => (
            NOT_READ,
            "Correct the marked place. Usual causes are text without quotes or with curly ones, a decimal comma, or a missing bracket.",
        ),
        "duplicate-key" => (
            "Nobody can tell which of the two was meant.",
            "Remove one of them.",
        ),
        "wrong-kind" => (
            "A recipe read as a machine would only give errors about everything.",
            "Name a file whose `format` is of the kind asked for.",
        ),
        "unknown-key" => (
            "A misspelt key would be a value silently ignored.",
            "Correct the spelling, or remove the key; the JSON Schemas in docs/schema list all keys.",
        ),
        "missing-key" => (
            GUESS,
            "Add the keys that are named; the lines under the error can be pasted, with your numbers in them.",
        ),
        "conflicting-key" => (
            "The two keys say different things about the same quantity.",
            "Keep the one that is meant.",
        ),
        "wrong-type" => (
            GUESS,
            "Write the value as the error says, text in quotation marks.",
        ),
        "missing-unit" => (
            "14 could be kPa or psi: a factor of seven on the parts.",
            "Write the number with its unit in quotation marks, such as \"14 kPa\".",
        ),
        "unknown-unit" => (
            GUESS,
            "Use a unit that the error names; capitals matter (mN is not MN).",
        ),
        "wrong-dimension" => (
            "The number is of another quantity than the key.",
            "Use a unit of the right dimension. To get a load from a pressure, multiply by the area of all pieces.",
        ),
        "bad-number" => (
            GUESS,
            "Write digits with a decimal point, no comma and no thousands separator, then the unit: \"1361.5 N\".",
        ),
        "not-finite" => (
            "NaN makes every comparison wrong, so it is refused on reading.",
            "Write an ordinary number.",
        ),
        "out-of-range" => (
            "No machine of this kind has such a value; a unit or a digit is probably wrong.",
            "Compare the number and its unit with the range in the error.",
        ),
        "unknown-word" => (GUESS, "Use one of the words that the error lists."),
        "bad-identifier" => (
            "Identifiers become file names and are shown on a panel.",
            "Use lower-case letters, digits and hyphens, 24 at most.",
        ),
        "bad-text" => (
            "The text is shown in one line of a report.",
            "Write one short line.",
        ),
        "too-few-items" => (
            "There is nothing to run or to do.",
            "Add the missing entries.",
        ),
        "too-many-items" => (
            "The controller stores a fixed number of them.",
            "Leave some out, or split the file in two.",
        ),
        "duplicate-name" => (
            "Reports name entries by it; two of the same name cannot be told apart.",
            "Rename one of them.",
        ),
        "inconsistent" => (
            "One of the two numbers is wrong, and both would affect the load.",
            "Compare both with the machine or the part, and correct the wrong one.",
        ),
        "not-found" => (
            "A recipe is checked on its own machine with its own batch.",
            "Put the file where the error says, correct the id, or use --machine or --batch.",
        ),
        "no-such-step" => (
            "An event that waits for a step that never comes would never happen, and the run would show nothing.",
            "Name a step that the recipe has, counted from 1, or leave the step out for any.",
        ),
        "grade-mismatch" => (
            "Removal, finish and damage depend on the grain; a wrong grade scratches a batch.",
            "Correct the grade or the grain size.",
        ),
        "id-mismatch" => (
            "The file is not what its name says: another machine's limits would be used, or the reports of a copied recipe would \
             replace those of the original.",
            "Rename the file, or correct the id in it.",
        ),
        _ => ("", ""),
    }
}
