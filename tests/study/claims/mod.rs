//! Every finding that says what the controller or the machine will do is held against a run on the bench, on both sides of its
//! limit: just inside there is no finding and the run does not do it, just outside there is the finding and the run does.

mod held;
mod machine;
mod ran;
mod recipe;

use ran::{Change, Deed, Ran, changed, found, run};
use std::collections::BTreeSet;
use twinplate_check::catalogue::ALL_CODES;
use twinplate_check::{Code, Severity};
use twinplate_sim::model::{Deviations, Envelope};

/// A finding's claim.
struct Claim {
    code: Code,
    /// The machine of the envelope that the finding speaks of.
    worst: fn(&Envelope) -> Deviations,
    /// What is done from outside in both runs.
    deed: Option<Deed>,
    /// Takes the short job just inside the limit.
    inside: Change,
    /// Takes it just outside.
    outside: Change,
    /// The run ends well inside the limit: completed, or with the stop that the deed asks for.
    well: fn(&Ran) -> bool,
    /// What the finding says has happened.
    seen: fn(&Ran) -> bool,
}

/// The machine as its file says.
const fn nominal(_: &Envelope) -> Deviations {
    Deviations::NOMINAL
}

/// A claim of the nominal machine that nobody touches.
const fn claim(code: Code, inside: Change, outside: Change, seen: fn(&Ran) -> bool) -> Claim {
    Claim {
        code,
        worst: nominal,
        deed: None,
        inside,
        outside,
        well: Ran::completed,
        seen,
    }
}

fn claims() -> impl Iterator<Item = &'static Claim> {
    machine::CLAIMS.iter().chain(recipe::CLAIMS)
}

#[test]
fn every_claim_is_true_on_both_sides_of_its_limit() {
    let mut wrong = Vec::new();
    for claim in claims() {
        let name = claim.code.entry().code;
        for (side, change, outside) in [
            ("inside", claim.inside, false),
            ("outside", claim.outside, true),
        ] {
            let set = changed(change);
            let codes = found(&set);
            if codes.contains(&claim.code) != outside {
                wrong.push(format!("{name}, just {side}: found {codes:?}"));
            }
            let ran = run(&set, claim.worst, claim.deed);
            if (claim.seen)(&ran) != outside || (!outside && !(claim.well)(&ran)) {
                wrong.push(format!("{name}, just {side}: the run: {ran}"));
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

/// Codes that say nothing of a run, and why.
const SILENT: &[(Code, &str)] = &[
    (Code::ToothRelation, "geometry: the carrier does not fit"),
    (
        Code::CarrierSpacing,
        "geometry: the carriers cannot be put in",
    ),
    (
        Code::CarrierTipGap,
        "geometry: the carriers cannot be put in",
    ),
    (
        Code::PocketOutsideCarrier,
        "geometry: the carrier cannot be made",
    ),
    (Code::PocketsOverlap, "geometry: the carrier cannot be made"),
    (
        Code::CarrierTooThick,
        "of carrier and plates; the controller sees neither",
    ),
    (
        Code::CarrierTeethWeak,
        "of the strength of carriers; the controller does not know it",
    ),
    (Code::LotInOrder, "of the parts that come in"),
    (Code::PlateOverrun, "common practice on the edges of parts"),
    (
        Code::PlateEdgeUnused,
        "common practice on the wear of plates",
    ),
    (Code::PartsExceedPockets, "the batch cannot be loaded"),
    (
        Code::PocketsUneven,
        "common practice on the balance of a plate",
    ),
    (Code::TooFewPieces, "the batch cannot be loaded"),
    (
        Code::LayoutOneSided,
        "geometry: what balances the plate; shown by hand with the places",
    ),
    (Code::PocketWebThin, "common practice, no source"),
    (
        Code::MachineMismatch,
        "names of files; what is run is compiled for the machine it is run on",
    ),
    (
        Code::BatchMismatch,
        "names of files; what is run is compiled for the batch it is run with",
    ),
    (
        Code::FullCommandAboveRated,
        "of the relief and the plate's weight alone; the property no_single_fault_takes_the_load_above_rated runs it",
    ),
    (
        Code::DumpTimeShort,
        "of a declaration: the controller does not know it",
    ),
    (
        Code::FirstContactLimitLow,
        "of the blow, which is over before anything could answer it",
    ),
    (
        Code::FirstContactBreaksPart,
        "of the strength of parts; the controller does not know it",
    ),
    (
        Code::LoadBreaksPart,
        "of the strength of parts; the controller does not know it",
    ),
    (
        Code::NoSliding,
        "of the parts' paths; the controller does not know them",
    ),
    (
        Code::PathRepeats,
        "of the parts' paths; the controller does not know them",
    ),
    (
        Code::FaceBalance,
        "of stock on two faces; the controller does not know it",
    ),
    (
        Code::SpeedSpread,
        "of the parts' paths; the controller does not know them",
    ),
    (Code::SizeMissed, "of the parts that come out"),
    (Code::SizeUncertain, "of the parts that come out"),
    (Code::SpreadTooWide, "of the parts that come out"),
    (Code::StockBelowDamage, "of the parts that come out"),
    (Code::DamageAdded, "of the parts that come out"),
    (Code::FinishMissed, "of the parts that come out"),
    (Code::ConcentrationUnusual, "common practice on slurries"),
    (Code::ProcessAssumed, "of what was not measured"),
    (Code::GrainUnpublished, "of what was published"),
    (Code::RemovalUnusual, "of what was published"),
    (Code::FinishUnusual, "of what was published"),
    (Code::DamageUnusual, "of what was published"),
    (Code::FinishImpossible, "of what was published"),
    (Code::NoStock, "of the parts that come in"),
    (
        Code::PressureUneven,
        "of the plates' form with its heat settled, which one cycle does not reach",
    ),
    (
        Code::EnvelopeNarrow,
        "of a declaration: the floor is the project's",
    ),
    (
        Code::LoopMarginThin,
        "a measure (Ms) that says more or less, not yes or no; the suite tune compares it with python-control",
    ),
    (Code::ProofLoadLimit, "found in runs"),
    (Code::ProofOvershoot, "found in runs"),
    (Code::ProofRatedLoad, "found in runs"),
    (Code::ProofFirstContact, "found in runs"),
    (Code::ProofPartStrength, "found in runs"),
    (Code::ProofCarrierTeeth, "found in runs"),
    (Code::ProofHarm, "found in runs"),
    (Code::ProofNotCompleted, "found in runs"),
    (Code::ProofSize, "found in runs"),
    (Code::ProofDry, "found in runs"),
    (Code::ProofSpread, "found in runs"),
    (Code::ProofFlatness, "found in runs"),
    (Code::ProofParallelism, "found in runs"),
    (Code::ProofFinish, "found in runs"),
    (Code::ProofDamage, "found in runs"),
    (
        Code::AssumedDecides,
        "found in runs and in static rules that have their own claims",
    ),
    (Code::ProofSkipped, "says that there was no run"),
    (Code::ProofRefused, "found by asking the controller"),
    (Code::WaiverIdle, "of the command line"),
];

/// Codes whose claim is run on both sides of its limit elsewhere: in `refusals.rs`, and over all setpoints in `held.rs`.
const RUN_ELSEWHERE: [Code; 3] = [Code::DaylightShort, Code::NothingTurns, Code::BandNarrow];

#[test]
fn every_code_has_its_claim_or_says_why_it_makes_none() {
    let claiming: BTreeSet<Code> = claims()
        .map(|claim| claim.code)
        .chain(RUN_ELSEWHERE)
        .collect();
    let silent: BTreeSet<Code> = SILENT.iter().map(|(code, _)| *code).collect();
    assert_eq!(silent.len(), SILENT.len());
    for code in ALL_CODES {
        let name = code.entry().code;
        assert_ne!(
            claiming.contains(code),
            silent.contains(code),
            "{name} stands in both lists or in none"
        );
    }
}

/// What a text says of the controller must be run: a silent code's text does not speak of it.
#[test]
fn a_code_that_makes_no_claim_names_no_row_and_no_refusal() {
    for (code, why) in SILENT {
        let entry = code.entry();
        // What comes from runs may say what a run did.
        if entry.id >= 200 || entry.severity == Severity::Note {
            continue;
        }
        for word in ["controller", "(row ", "times out", "refuse"] {
            assert!(
                !entry.why.contains(word) && !entry.meaning.contains(word),
                "{}: \"{word}\" in its text, and no claim because {why}",
                entry.code
            );
        }
    }
}
