//! Four jobs from a drawing to a setup card, as a new user types them: `tests/jobs`, told in `docs/jobs.md`.

use crate::pages::{check, read, root};
use crate::sessions::{Desk, copy, cut, session};

const PAGE: &str = "docs/jobs.md";
/// Machines drawn: the page is read by people who have not all day. The draft's own default is ten times as many.
const RUNS: &str = "--runs 20";

/// A desk with the files of a job, and the commands of its session.
struct Job {
    name: &'static str,
    desk: Desk,
}

impl Job {
    fn new(name: &'static str) -> Self {
        let desk = Desk::new(name);
        let folder = format!("tests/jobs/{name}");
        copy(&root().join(&folder), &desk.0.join(&folder));
        std::fs::create_dir_all(desk.0.join("out")).expect("folder");
        for (file, block) in [
            ("drawing.txt", "text"),
            ("machine.toml", "toml"),
            ("batch.toml", "toml"),
        ] {
            let text = read(&format!("{folder}/{file}"));
            let stem = file.split('.').next().expect("a name");
            let body = format!("```{block}\n{}\n```\n", text.trim_end());
            check(PAGE, &format!("{name}-{stem}"), &body);
        }
        Self { name, desk }
    }

    /// What was typed and shown, on the page; the options in a line of their own, as a shell takes them too.
    fn shows(&self, what: &str, command: &str, shown: &str) {
        let command = command.replacen(" --", " \\\n    --", 1);
        let block = format!("{}-{what}", self.name);
        check(PAGE, &block, &session(&command, shown));
    }

    fn draft(&self) -> String {
        let Self { name, .. } = self;
        format!(
            "draft tests/jobs/{name}/machine.toml tests/jobs/{name}/batch.toml --no-compare {RUNS} --write out/{name}.toml"
        )
    }

    fn card(&self) -> String {
        let Self { name, .. } = self;
        format!(
            "card out/{name}.toml --machine tests/jobs/{name}/machine.toml --batch tests/jobs/{name}/batch.toml --date 2026-03-02 {RUNS}"
        )
    }

    /// Drafts and prints the card, with no edit between: both pass.
    fn drafted(&self) {
        let command = self.draft();
        let shown = self.desk.types(&command, 0);
        let shown = cut(&shown, "Each number", "caution:");
        self.shows("draft", &command, &shown);
        let command = self.card();
        let shown = self.desk.types(&command, 0);
        let shown = cut(&shown, "Cautions", "report:");
        self.shows("card", &command, &shown);
        let card = self.desk.0.join(format!("out/{}-card.html", self.name));
        assert!(card.exists(), "the card as a page to print");
    }
}

/// As the drawing says no load that a window bears, one is assumed, and the draft says which two limits leave no room. Pressed on the
/// bench, typed in, drafted again.
#[test]
fn sapphire_windows() {
    let job = Job::new("sapphire-windows");
    let file = "tests/jobs/sapphire-windows/batch.toml";
    let pressed = "strength = \"1.2 kN\"\n";
    job.desk.edit(file, pressed, "");
    let command = job.draft();
    let shown = job.desk.types(&command, 1);
    job.shows("bound", &command, &shown);
    job.desk.edit(
        file,
        "roughness = \"0.6 µm\"\n",
        &format!("roughness = \"0.6 µm\"\n{pressed}"),
    );
    job.drafted();
}

#[test]
fn steel_seal_rings() {
    Job::new("steel-seal-rings").drafted();
}

#[test]
fn silicon_wafers() {
    Job::new("silicon-wafers").drafted();
}

#[test]
fn ferrite_tiles() {
    Job::new("ferrite-tiles").drafted();
}
