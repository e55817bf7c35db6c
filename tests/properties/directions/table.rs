//! Which way an outcome goes when there is more of something: one table that the properties try and the book shows.

/// What is turned up.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Knob {
    Pressure,
    Speed,
    Grain,
    /// Of a slurry with fewer grains than cut fastest.
    Thin,
    /// Of a slurry with more grains than cut fastest.
    Crowded,
    /// Of a slurry, where that is neither of the two.
    Concentration,
    Flow,
    Stiffness,
    Spread,
    Heat,
    Batches,
}

impl Knob {
    pub const fn word(self) -> &'static str {
        match self {
            Self::Pressure => "pressure",
            Self::Speed => "speed",
            Self::Grain => "grain size",
            Self::Thin => "concentration, up to its optimum",
            Self::Crowded => "concentration, past its optimum",
            Self::Concentration => "concentration",
            Self::Flow => "flow",
            Self::Stiffness => "stiffness of the contact",
            Self::Spread => "incoming spread",
            Self::Heat => "share of the heat that goes into the plates",
            Self::Batches => "batches on the same plates and slurry",
        }
    }
}

/// What comes of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Outcome {
    /// To a given size.
    Time,
    /// Mean thickness after a given time.
    Size,
    /// Of the parts, after a given time.
    Spread,
    /// Of the worst face, at a given size.
    Flatness,
    /// Ra on the way from a rough face, after a given time.
    OldFinish,
    /// Ra that the process settles at.
    Finish,
    /// What is left of deep incoming damage in the worst face, after a given time.
    OldDamage,
    /// Damage that the process leaves.
    Damage,
}

pub const OUTCOMES: [Outcome; 8] = [
    Outcome::Time,
    Outcome::Size,
    Outcome::Spread,
    Outcome::Flatness,
    Outcome::OldFinish,
    Outcome::Finish,
    Outcome::OldDamage,
    Outcome::Damage,
];

impl Outcome {
    pub const fn word(self) -> &'static str {
        match self {
            Self::Time => "time to a size",
            Self::Size => "size after a time",
            Self::Spread => "spread after a time",
            Self::Flatness => "flatness at a size",
            Self::OldFinish => "roughness on its way",
            Self::Finish => "roughness, settled",
            Self::OldDamage => "old damage left",
            Self::Damage => "damage of the process",
        }
    }
}

/// Where it goes. Less is better for every outcome; a smaller size is a thinner part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    Up,
    Down,
    /// By less than a fifth of the change, in shares.
    Still,
}

/// How the grains are held, as far as a direction depends on it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    Any,
    /// Loose grains that roll, diamond among them.
    Rolling,
    /// Loose or bound, but no pad.
    Plate,
    Pad,
    /// Loose grains, on a plate or a pad.
    Loose,
    Bound,
}

impl Kind {
    pub const fn word(self) -> &'static str {
        match self {
            Self::Any => "any",
            Self::Rolling => "loose grains",
            Self::Plate => "loose or bound grains",
            Self::Pad => "pad",
            Self::Loose => "loose grains or pad",
            Self::Bound => "bound grains",
        }
    }
}

/// Outcomes that go one way, with the source of it, or the reason why they do not move.
pub type Group = (Way, &'static [Outcome], &'static str);

/// One knob on one kind of process.
pub struct Row {
    pub knob: Knob,
    pub kind: Kind,
    pub groups: &'static [Group],
}

use Kind::{Any, Bound, Loose, Pad, Plate, Rolling};
use Outcome::{Damage, Finish, Flatness, OldDamage, OldFinish, Size, Spread, Time};
use Way::{Down, Still, Up};

const PRESTON: &str = "Preston, J. Society of Glass Technology 11 (1927) 214";
const PROPORTION: &str = "all in proportion to the grain: study of LiTaO₃ (abstract)";
const PRACTICE: &str =
    "more grains cut, in a crowd they lie on one another: common practice, no source";
const CLEARING: &str = "clearing waste slurry decides: Le and Peterson, J. Manufacturing Processes 1 (1999) 71–78 (abstract)";
const AGEING: &str = "the rate falls with time: Le and Peterson, J. Manufacturing Processes 1 (1999) 71–78 (abstract)";
const COLUMNS: &str =
    "linear columns under Preston's law: spread falls as exp(-k_p (v_l + v_u) k t/A), at any load";
const SUNK: &str = "the rim rolls off by its extra pressure over the stiffness: linear columns; light at the end, or on a hard plate, keeps \
                    it flat: common practice, no source";
const BOW: &str = "heat q = μ p v bows a plate by α ΔT D²/(8 t): handbook form";
const FORM: &str = "settled, a face has the form of plates and rim, however fast it came to it";
const FOLLOWS: &str = "finish and damage follow the grain, not pressure or speed: Applied Optics 53 (2014) 5841 (abstract)";
const COARSE: &str = "glass and alumina of 7 to 80 µm: Tribology International 40 (2007) 498–502; damage: Applied Optics 53 (2014) 5841 \
                      (abstract)";
const MEAN: &str = "of the mean: all parts share one load";
const NO_GRAINS: &str = "no grains in the slurry: bound ones come out of the plate";
const COLD: &str = "left out: what warmth does to removal and grains";

pub const TABLE: &[Row] = &[
    Row {
        knob: Knob::Pressure,
        kind: Any,
        groups: &[
            (Down, &[Time, Size, OldFinish, OldDamage], PRESTON),
            (Still, &[Spread], COLUMNS),
            (Up, &[Flatness], SUNK),
            (Still, &[Finish, Damage], FOLLOWS),
        ],
    },
    Row {
        knob: Knob::Speed,
        kind: Loose,
        groups: &[
            (Down, &[Time, Size, OldFinish, OldDamage], PRESTON),
            (Down, &[Spread], COLUMNS),
            (Up, &[Flatness], BOW),
            (Still, &[Finish, Damage], FOLLOWS),
        ],
    },
    Row {
        knob: Knob::Speed,
        kind: Bound,
        groups: &[
            (Down, &[Time, Size, OldFinish, OldDamage], PRESTON),
            (Down, &[Spread], COLUMNS),
            (
                Still,
                &[Flatness],
                "small tiles show little of the bow, and what they show the unloading takes off their rims: of the demonstration job alone",
            ),
            (Still, &[Finish, Damage], FOLLOWS),
        ],
    },
    Row {
        knob: Knob::Grain,
        kind: Plate,
        groups: &[
            (Down, &[Time, Size, OldFinish, OldDamage], PROPORTION),
            (Down, &[Spread], COLUMNS),
            (Still, &[Flatness], FORM),
            (Up, &[Finish, Damage], COARSE),
        ],
    },
    Row {
        knob: Knob::Grain,
        kind: Pad,
        groups: &[
            (
                Still,
                &[Time, Size, Spread, Flatness, OldFinish, Finish, OldDamage],
                "a pad levels the grains: no published form with the grain",
            ),
            (
                Up,
                &[Damage],
                "coarse grains scratch: common practice, no source",
            ),
        ],
    },
    Row {
        knob: Knob::Thin,
        kind: Rolling,
        groups: &[
            (Down, &[Time, Size, OldFinish, OldDamage], PRACTICE),
            (Down, &[Spread], COLUMNS),
            (Still, &[Flatness], FORM),
            (Still, &[Finish, Damage], FOLLOWS),
        ],
    },
    Row {
        knob: Knob::Crowded,
        kind: Rolling,
        groups: &[
            (Up, &[Time, Size, OldFinish, OldDamage], PRACTICE),
            (Up, &[Spread], COLUMNS),
            (Still, &[Flatness], FORM),
            (Still, &[Finish, Damage], FOLLOWS),
        ],
    },
    Row {
        knob: Knob::Concentration,
        kind: Pad,
        groups: &[
            (
                Down,
                &[Time, Size, OldFinish, OldDamage],
                "a pad fills with grains: common practice, no source",
            ),
            (Down, &[Spread], COLUMNS),
            (Still, &[Flatness], FORM),
            (Still, &[Finish, Damage], FOLLOWS),
        ],
    },
    Row {
        knob: Knob::Concentration,
        kind: Bound,
        groups: &[(
            Still,
            &[
                Time, Size, Spread, Flatness, OldFinish, Finish, OldDamage, Damage,
            ],
            NO_GRAINS,
        )],
    },
    Row {
        knob: Knob::Flow,
        kind: Any,
        groups: &[
            (Down, &[Time, Size, OldFinish, OldDamage], CLEARING),
            (Down, &[Spread], COLUMNS),
            (Still, &[Flatness], FORM),
            (Still, &[Finish, Damage], FOLLOWS),
        ],
    },
    Row {
        knob: Knob::Stiffness,
        kind: Any,
        groups: &[
            (Still, &[Time, Size, OldFinish], MEAN),
            (Down, &[Spread], COLUMNS),
            (Down, &[Flatness], SUNK),
            (
                Up,
                &[OldDamage],
                "linear columns: the sooner parts are level, the less the thinnest loses",
            ),
            (Still, &[Finish, Damage], FOLLOWS),
        ],
    },
    Row {
        knob: Knob::Spread,
        kind: Any,
        groups: &[
            (Still, &[Time, Size, OldFinish], MEAN),
            (Up, &[Spread], COLUMNS),
            (Still, &[Flatness], "of each part by itself"),
            (
                Up,
                &[OldDamage],
                "linear columns: the thinnest part loses least",
            ),
            (Still, &[Finish, Damage], FOLLOWS),
        ],
    },
    Row {
        knob: Knob::Heat,
        kind: Any,
        groups: &[
            (Still, &[Time, Size, OldFinish, OldDamage], COLD),
            (
                Still,
                &[Spread],
                "of the levelling: bowed plates set the floor under it, a lag along the path",
            ),
            (Up, &[Flatness], BOW),
            (Still, &[Finish, Damage], COLD),
        ],
    },
    Row {
        knob: Knob::Batches,
        kind: Any,
        groups: &[
            (Up, &[Time, Size, OldFinish, OldDamage], AGEING),
            (Up, &[Spread], COLUMNS),
            (
                Up,
                &[Flatness],
                "plates wear by pressure × path out of their form: Preston; that they must be dressed: common practice, no source",
            ),
            (Still, &[Finish, Damage], FOLLOWS),
        ],
    },
];
