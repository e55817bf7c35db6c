//! What a batch file leaves out and what stands for it: a list beside that of the machine. The reader of batch files has the values; here is
//! where they come from, how far off they may be, and how to measure them.
//!
//! They do not vary in drawn machines: parts are no machine's. A check says what each decides at both ends.

use super::Width;
use crate::math::{exp, log};
use crate::model::{Batch, Of};

/// What stands for a key that is left out.
pub struct BatchRule {
    /// The key, by its path in the file.
    pub key: &'static str,
    /// How its value comes about, in words.
    pub rule: &'static str,
    /// Source of the rule, or that it is typical and invented.
    pub source: &'static str,
    /// Unit in which it is shown; none for a number of pieces.
    pub unit: &'static str,
    /// What it is of, where that is answered in the unit typed.
    pub of: Option<Of>,
    /// How far off it may be.
    pub width: Width,
    /// What measures it.
    pub by: &'static str,
    /// What to do, in a sentence or two.
    pub how: &'static str,
    value: fn(&Batch) -> f64,
    put: fn(&mut Batch, f64),
}

impl std::fmt::Debug for BatchRule {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_tuple("BatchRule").field(&self.key).finish()
    }
}

impl BatchRule {
    /// The value of the key in a batch, in SI units.
    #[must_use]
    pub fn value(&self, batch: &Batch) -> f64 {
        (self.value)(batch)
    }

    /// Whether assuming it makes the batch uncertain.
    #[must_use]
    pub fn varies(&self) -> bool {
        self.width != Width::Setting
    }

    /// The batch with this key at a place of its envelope, -1 to 1, all else as it is. A length that is assumed to be nothing has no lower
    /// end.
    #[must_use]
    pub fn end(&self, batch: &Batch, place: f64) -> Batch {
        let value = self.value(batch);
        let at = match self.width {
            Width::Factor(factor) => value * exp(log(factor) * place),
            Width::Share(share) => value * (1.0 + share * place),
            Width::Plus(half) => crate::math::max(value + half * place, 0.0),
            _ => value,
        };
        let mut changed = batch.clone();
        (self.put)(&mut changed, at);
        changed
    }
}

/// Where the handbook's values stand.
const HANDBOOK: &str = "handbook value of the material named, from memory; the manual lists them";

/// Every key of a batch file that may be left out and is no choice of the shop's.
const RULES: &[BatchRule] = &[
    BatchRule {
        key: "part.density",
        rule: "that of the material",
        source: HANDBOOK,
        unit: "kg/m³",
        of: None,
        width: Width::Share(0.05),
        by: "scale and calliper",
        how: "Weigh ten parts and divide by their volume.",
        value: |b| b.density,
        put: |b, value| b.density = value,
    },
    BatchRule {
        key: "part.elastic-modulus",
        rule: "that of the material",
        source: HANDBOOK,
        unit: "GPa",
        of: None,
        width: Width::Share(0.15),
        by: "the supplier's sheet",
        how: "Ask for the modulus of this sort and its temper, or load a strip on two supports and measure how far it bends.",
        value: |b| b.elastic_modulus,
        put: |b, value| b.elastic_modulus = value,
    },
    BatchRule {
        key: "part.strength",
        rule: "the load at which a part of the material cracks over a clump of grains",
        source: "bending of a plate over a clump, from handbook formulas, from memory; the clump, a hundredth of a millimetre high, is invented",
        unit: "N",
        of: Some(Of::Load),
        width: Width::Factor(3.0),
        by: "a press with a load cell",
        how: "Press scrap parts one by one on a plate with a grain of the coarsest grade under their middle until they crack, behind a \
              shield; take the least of ten.",
        value: |b| b.strength,
        put: |b, value| b.strength = value,
    },
    BatchRule {
        key: "part.stiffness-per-area",
        rule: "1e10 N/m³",
        source: "typical, invented",
        unit: "N/m³",
        of: None,
        width: Width::Factor(3.0),
        by: "load cell and height",
        how: "Lower the plate onto a full load at rest and write down load and height at several loads: load over height, divided by the \
              area of the parts.",
        value: |b| b.stiffness_per_area,
        put: |b, value| b.stiffness_per_area = value,
    },
    BatchRule {
        key: "part.bow",
        rule: "parts come in flat",
        source: "as if measured so",
        unit: "µm",
        of: Some(Of::Flatness),
        width: Width::Plus(10e-6),
        by: "dial gauge or optical flat",
        how: "Lay ten parts on three points and read edge over middle on both faces; write down the largest.",
        value: |b| b.bow,
        put: |b, value| b.bow = value,
    },
    BatchRule {
        key: "part.taper",
        rule: "parts come in parallel",
        source: "as if measured so",
        unit: "µm",
        of: Some(Of::Parallelism),
        width: Width::Plus(10e-6),
        by: "micrometer",
        how: "Measure ten parts at four places of their edge; write down the largest difference within a part.",
        value: |b| b.taper,
        put: |b, value| b.taper = value,
    },
    BatchRule {
        key: "loaded.dummies",
        rule: "none",
        source: "a full load of parts",
        unit: "",
        of: None,
        width: Width::Setting,
        by: "counting",
        how: "Count what lies in pockets and is no part.",
        value: |b| f64::from(b.dummies),
        put: |_, _| (),
    },
];

/// Every rule.
pub fn rules() -> impl Iterator<Item = &'static BatchRule> {
    RULES.iter()
}

/// Rules whose keys a batch's file left out.
pub fn assumed(batch: &Batch) -> impl Iterator<Item = &'static BatchRule> + '_ {
    let left_out = |rule: &&BatchRule| batch.assumed.contains(&rule.key);
    RULES.iter().filter(left_out)
}
