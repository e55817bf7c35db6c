//! Four jobs from a drawing to a setup card, as a new user types them: `tests/jobs`, told in `docs/jobs.md`. They are the longest sessions
//! of the book, so that the release types them.

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

    /// The draft that was tried before this line of a file was known: there was none.
    fn bound_without(&self, file: &str, line: &str) {
        let file = format!("tests/jobs/{}/{file}", self.name);
        let whole = std::fs::read_to_string(self.desk.0.join(&file)).expect("the file");
        self.desk.edit(&file, line, "");
        let command = self.draft();
        let shown = self.desk.types(&command, 1);
        self.shows("bound", &command, &shown);
        std::fs::write(self.desk.0.join(&file), whole).expect("written");
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
#[ignore = "minutes: tests/run has it done by the release"]
fn sapphire_windows() {
    let job = Job::new("sapphire-windows");
    job.bound_without("batch.toml", "strength = \"1.2 kN\"\n");
    job.drafted();
}

#[test]
#[ignore = "minutes: tests/run has it done by the release"]
fn steel_seal_rings() {
    Job::new("steel-seal-rings").drafted();
}

/// The same the other way round: what a wafer bears was pressed before, and the regulator's smallest step is measured.
#[test]
#[ignore = "minutes: tests/run has it done by the release"]
fn silicon_wafers() {
    let job = Job::new("silicon-wafers");
    job.bound_without("machine.toml", "resolution = \"0.2 %\"\n");
    job.drafted();
}

#[test]
#[ignore = "minutes: tests/run has it done by the release"]
fn ferrite_tiles() {
    Job::new("ferrite-tiles").drafted();
}
