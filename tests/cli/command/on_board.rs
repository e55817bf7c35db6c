//! `--on-board` without what it takes: told, with what to do, and nothing is run. With it: `tests/board`.

use crate::twinplate;

#[test]
fn without_an_image_it_says_how_to_make_one() {
    for verb in ["run", "check"] {
        let mut arguments = vec![
            verb,
            "recipes/recipes/zirconia-fixed.toml",
            "--on-board",
            "no/such/image",
        ];
        if verb == "check" {
            arguments.extend(["--runs", "0", "--no-report"]);
        }
        let told = twinplate(&arguments);
        assert_eq!(told.code, 2, "{verb}");
        let error = told.complaint();
        assert!(
            error.contains("no image of the board at no/such/image"),
            "{error}"
        );
        assert!(error.contains("firmware-core/board/build"), "{error}");
        assert!(told.out.is_empty(), "{}", told.out);
    }
}
