//! `--on-board` without what it takes: told, with what to do, and nothing is run. With it: `tests/board`.

use crate::{command, text};

#[test]
fn without_an_image_it_says_how_to_make_one() {
    for verb in ["run", "check"] {
        let told = command()
            .args([
                verb,
                "recipes/recipes/zirconia-fixed.toml",
                "--on-board",
                "no/such/image",
            ])
            .args(
                (verb == "check")
                    .then_some(["--runs", "0", "--no-report"])
                    .iter()
                    .flatten(),
            )
            .output()
            .expect("the binary starts");
        assert_eq!(told.status.code(), Some(2), "{verb}");
        let error = text(&told.stderr);
        assert!(
            error.contains("no image of the board at no/such/image"),
            "{error}"
        );
        assert!(error.contains("firmware-core/board/build"), "{error}");
        assert!(told.stdout.is_empty(), "{}", text(&told.stdout));
    }
}
