//! What the browser and the server say to each other, as JSON text over a websocket. One message, one object.
//!
//! Browser → server: [`Said`], answered by exactly one [`Tell::Done`] or [`Tell::Refused`] with the same `id`.
//! Server → browser: [`Tell`]. Frames may be dropped for a slow reader; news never is: it is numbered, and a reader that comes back
//! says the last number it has seen and gets what it missed.
//!
//! Words for states, phases, components, modes of failing and findings are those of the files and the book, in kebab case. Numbers are
//! SI, with the unit in the name where it is not the base unit; the page alone rounds and converts.

mod panel;
mod plan;

pub use super::units::{UnitCard, UnitCards, unit_cards};
use firmware_core::process_image::{DRIVES, FACES};
pub use panel::{Alarm, Form, Frame, Guide, Switches};
pub use plan::{PiecePlan, PlanCard};
use serde::{Deserialize, Serialize};
use twinplate_sim::fringes::Picture;
use twinplate_sim::training::act::Act;

/// Version of everything here; a page of another version is told to load itself again.
pub const PROTOCOL: u16 = 8;
/// How often a page says that the hold-to-run control is still held, ms.
pub const HELD_EVERY_MS: u32 = 100;
/// After so long without such a word the control counts as let go, ms: whatever hangs, and wherever, the machine stops within half a
/// second.
pub const HELD_FOR_MS: u32 = 400;
/// Longest message that a browser may send, bytes.
pub const LONGEST_SAID: usize = 4096;

/// Who somebody at a station is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Role {
    /// Sees what the operator sees; may take control when nobody holds it.
    Operator,
    /// Sees the same and acts on nothing.
    Watcher,
    /// Sets faults, stops time and goes back in it; never operates.
    Instructor,
}

/// A message from a browser.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Said {
    /// Number of the sender's own, repeated in the answer.
    pub id: u32,
    /// What is asked.
    pub ask: Ask,
}

/// What a browser can ask. The first message of a connection is [`Ask::Join`].
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "ask", rename_all = "kebab-case", deny_unknown_fields)]
pub enum Ask {
    /// Comes to the station, or comes back to it.
    Join {
        /// [`PROTOCOL`].
        protocol: u16,
        /// As whom.
        role: Role,
        /// The server's token, which the page that it served carries.
        token: String,
        /// Seat to take again after a lost connection, from an earlier [`Welcome`].
        #[serde(default)]
        seat: Option<String>,
        /// Number of the last news seen; 0 for none.
        #[serde(default)]
        seen: u64,
    },
    /// Takes control of the station. An operator whose connection was lost keeps it for some seconds.
    TakeControl,
    /// Lets control go.
    ReleaseControl,
    /// A hand on the machine or its panel. Needs control.
    Operate {
        /// What is done.
        act: Act,
    },
    /// The hand is still on the hold-to-run control: said every [`HELD_EVERY_MS`] while it is held. A control of which nothing was heard
    /// for [`HELD_FOR_MS`] counts as let go. Needs control.
    StillHeld,
    /// Sets the pace of simulated time. For whoever holds control, and for instructors.
    SetPace {
        /// The pace.
        pace: Pace,
    },
    /// A component begins to fail. Instructors.
    Inject {
        /// Word of the component.
        component: String,
        /// Word of the mode.
        mode: String,
        /// How much, in the unit that the vocabulary gives; left out, the component's default.
        #[serde(default)]
        magnitude: Option<f64>,
    },
    /// A component's fault ends. Instructors.
    Repair {
        /// Word of the component.
        component: String,
    },
    /// Goes back to the last snapshot at or before a simulated time; time stands still then. Instructors.
    GoBack {
        /// Simulated time, s.
        to_s: f64,
    },
    /// Ends the attempt: what was done is scored and recorded. For whoever holds control, and for instructors.
    Finish,
}

/// Pace of simulated time.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Pace {
    /// Time stands still.
    #[serde(rename = "paused")]
    Paused,
    /// As the clock.
    #[serde(rename = "1x")]
    Real,
    /// Five times as fast.
    #[serde(rename = "5x")]
    Five,
    /// Twenty times as fast.
    #[serde(rename = "20x")]
    Twenty,
    /// As fast as the computer can.
    #[serde(rename = "fastest")]
    Fastest,
}

/// A message from the server.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "tell", rename_all = "kebab-case")]
pub enum Tell {
    /// The first answer to a join.
    Welcome(Box<Welcome>),
    /// The request with this number was taken.
    Done {
        /// Its number.
        id: u32,
    },
    /// The request with this number was refused, and nothing has changed.
    Refused {
        /// Its number.
        id: u32,
        /// One word for why, for programs: `no-control`, `not-allowed`, `wrong-state`, …
        code: String,
        /// Why and what would help, for people.
        why: String,
    },
    /// The machine as it is now.
    Frame(Box<Frame>),
    /// Something happened.
    News(News),
    /// Who holds control has changed, or how many watch.
    Seats(Seats),
    /// The attempt is over and recorded.
    Ended {
        /// Its number in the records.
        attempt: i64,
    },
    /// The connection is closed by the server after this.
    Closing {
        /// One word.
        code: String,
        /// Why, for people.
        why: String,
    },
}

/// Everything about a station that does not change while it lasts.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Welcome {
    /// [`PROTOCOL`].
    pub protocol: u16,
    /// Station.
    pub station: String,
    /// Seat to give again after a lost connection.
    pub seat: String,
    /// As whom one has joined.
    pub role: Role,
    /// Name of the trainee.
    pub trainee: String,
    /// The exercise.
    pub exercise: ExerciseCard,
    /// The machine and the batch.
    pub job: JobCard,
    /// Stored recipes for recall, by slot from 1.
    pub stored: Vec<StoredRecipe>,
    /// What a remedy can be asked for: (component word, what is done, where and how long it takes, for people).
    pub remedies: Vec<(String, String)>,
    /// How often to say that the hold-to-run control is still held, ms.
    pub held_every_ms: u32,
    /// Who sits where.
    pub seats: Seats,
}

/// An exercise as it is offered and introduced.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ExerciseCard {
    /// Identifier.
    pub id: String,
    /// One line.
    pub title: String,
    /// What the trainee is told before it begins: the work order and what to reach.
    pub brief: String,
    /// Each step is explained and waited for.
    pub guided: bool,
    /// Nobody knows what was drawn: 1× without a pause, nothing told on the way, a diagnosis before the first remedy.
    pub assessed: bool,
    /// The operator inspects the parts that are taken out.
    pub inspected: bool,
    /// It is about what is done at the machine between cycles.
    pub tended: bool,
    /// What can be handed over: identifier, and what is said.
    pub statements: Vec<(String, String)>,
    /// Machine file's title.
    pub machine: String,
    /// Points that can be had.
    pub points: u32,
    /// Points from which it is passed.
    pub pass: u32,
}

/// What the panel needs to know of machine and batch.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct JobCard {
    /// Title of the machine.
    pub machine: String,
    /// Title of the batch.
    pub batch: String,
    /// Pieces that belong into the pockets: parts and dummies.
    pub pieces: u32,
    /// Carriers.
    pub carriers: u32,
    /// Rated load, N.
    pub rated_load_n: f64,
    /// Resting load of the lowered plate, N.
    pub resting_load_n: f64,
    /// Initial load, N.
    pub initial_load_n: f64,
    /// Least and largest load of the picture, N.
    pub load_scale_n: [f64; 2],
    /// Fastest speed of each drive, rpm: inner ring, outer ring, lower plate, upper plate.
    pub speed_scale_rpm: [f64; DRIVES],
    /// Largest slurry flow, L/min.
    pub flow_scale_l_min: f64,
    /// Least flow that counts as flow, L/min.
    pub flow_min_l_min: f64,
    /// Target size, m, and its ± tolerance, m.
    pub size_m: [f64; 2],
    /// Incoming thickness, m.
    pub incoming_m: f64,
    /// Category of the emergency stop, 0 or 1 (IEC 60204-1).
    pub estop_category: u8,
    /// The machine from above.
    pub plan: PlanCard,
    /// Units that the pages show.
    #[serde(default)]
    pub units: UnitCards,
}

/// A stored recipe in its slot.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct StoredRecipe {
    /// Slot, from 1.
    pub slot: u8,
    /// Identifier.
    pub id: String,
    /// One line.
    pub title: String,
    /// Batch it was written for, by title.
    pub batch: String,
    /// Pieces it expects.
    pub pieces: u32,
    /// Names of its steps, with the load of each, N.
    pub steps: Vec<(String, f64)>,
    /// What the form of the plates is reported by, `straightedge` or `bands`, where it keeps them flat.
    pub form_by: Option<String>,
}

/// Who sits where.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Seats {
    /// Seat that holds control, in short form; `None` when nobody does.
    pub control: Option<String>,
    /// Whoever reads this holds control.
    pub yours: bool,
    /// Connections.
    pub present: u32,
}

/// Something that happened.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct News {
    /// Running number, from 1, without gaps. Goes on counting when an instructor goes back in time.
    pub number: u64,
    /// Simulated time, s.
    pub time_s: f64,
    /// Kind.
    pub kind: NewsKind,
    /// For people, one line.
    pub text: String,
    /// Interlock row, where there is one; else 0.
    pub row: u16,
    /// Where the controller has come to, in news of that.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub place: Option<Place>,
    /// What an optical flat shows of a part, in news of that.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub seen: Option<Box<Seen>>,
}

/// The faces of a part under an optical flat.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Seen {
    /// Which part it is, for people.
    pub part: String,
    /// Its lower and its upper face.
    pub faces: [SeenFace; FACES],
}

/// A face under an optical flat.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct SeenFace {
    /// Which, for people.
    pub face: String,
    /// What the bands tell, for people.
    pub words: String,
    /// How it looks, and how the flat lies, for people: laid on, then tipped.
    pub pictures: [(String, Picture); 2],
}

/// A place of the sequence, by names.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Place {
    /// Name of the procedural state.
    pub state: String,
    /// Name of the phase.
    pub phase: String,
    /// Step, from 0, where the phase belongs to one.
    pub step: Option<u8>,
}

/// Kinds of news.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum NewsKind {
    /// The operator did something.
    Operated,
    /// The controller moved on: state, phase or step.
    Moved,
    /// An interlock row became effective, or the cycle left the ladder.
    Interlock,
    /// The controller or the machine refused something.
    Refused,
    /// What a look, a count or a measurement showed.
    Seen,
    /// An instructor did something. Operators do not get this kind.
    Instructor,
    /// A step of the exercise was reached or missed.
    Exercise,
    /// What was found at unload: cracked parts, scored plates, sizes.
    Found,
}
