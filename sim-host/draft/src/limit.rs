//! What can bind a draft: the limits that keep a target from being met, and which finding of a check speaks of which.

use twinplate_check::Code;

macro_rules! limits {
    ($($(#[$doc:meta])* $name:ident = $word:literal, $told:literal;)*) => {
        /// A limit that may bind.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Limit { $($(#[$doc])* $name,)* }

        impl Limit {
            /// Every limit.
            pub const ALL: &[Self] = &[$(Self::$name,)*];

            /// Its stable name.
            #[must_use]
            pub const fn name(self) -> &'static str {
                match self { $(Self::$name => $word,)* }
            }

            /// What it is, for people.
            #[must_use]
            pub const fn words(self) -> &'static str {
                match self { $(Self::$name => $told,)* }
            }
        }
    };
}

limits! {
    /// Load that one part bears.
    Strength = "strength", "the load that one part bears";
    /// Least load that the machine holds.
    LeastLoad = "least-load", "the least load that the machine holds";
    /// Rated load of the machine.
    RatedLoad = "rated-load", "the rated load of the machine";
    /// Load that the air reaches on the weakest machine of the envelope.
    AirLoad = "air-load", "the load that the cylinder reaches";
    /// Range of the load cell.
    CellRange = "cell-range", "the range of the load cell";
    /// Torque of a drive.
    Torque = "torque", "the torque of a drive";
    /// Top speed of a drive.
    DriveSpeed = "drive-speed", "the top speed of a drive";
    /// Slowest speed that a drive is told from standing still.
    SlowDrive = "slow-drive", "the slowest speed that is told from standing still";
    /// Longest cycle that was asked for.
    LongestCycle = "longest-cycle", "the longest cycle asked for";
    /// Stock against damage, finish and what a cycle takes off at least.
    Stock = "stock", "the stock";
    /// Grain, too coarse for finish or damage.
    Grain = "grain", "the grain: the finest on the shelf is too coarse";
    /// Size tolerance against gauge and spread.
    Tolerance = "tolerance", "the size tolerance";
    /// Flatness.
    Flatness = "flatness", "the flatness";
    /// Thickness within a part.
    Parallelism = "parallelism", "the thickness within a part";
    /// Heat in the plates.
    Heat = "heat", "the heat in the plates";
    /// Parts, pockets and carriers.
    PartsFit = "parts-fit", "how parts, pockets and carriers fit";
    /// Thickness of the carriers.
    CarrierThickness = "carrier-thickness", "the thickness of the carriers";
    /// Teeth of the carriers.
    CarrierTeeth = "carrier-teeth", "the strength of the carriers' teeth";
    /// Life of the film without slurry.
    FilmLife = "film-life", "the life of the film";
    /// Slurry tank.
    Tank = "tank", "the slurry tank";
    /// Slurry flow.
    Flow = "flow", "the slurry flow";
    /// First contact.
    FirstContact = "first-contact", "the first contact of the plate";
    /// Anything else of the machine that no recipe changes.
    Machine = "machine", "the machine, whatever the recipe";
    /// Nothing on the shelf.
    Shelf = "shelf", "the shelf: nothing on it is for this material";
}

impl Limit {
    /// The limit that a finding speaks of.
    #[must_use]
    pub const fn of(code: Code) -> Self {
        use Code as C;
        match code {
            C::LoadBreaksPart | C::FirstContactBreaksPart | C::ProofPartStrength => Self::Strength,
            C::LoadTooLow | C::NothingHeld => Self::LeastLoad,
            C::LimitAboveRated
            | C::FullCommandAboveRated
            | C::FirstContactAboveRated
            | C::LimitBelowSetpoint
            | C::LimitInsideGovernor
            | C::BandAboveLimit
            | C::ProofLoadLimit
            | C::ProofRatedLoad => Self::RatedLoad,
            C::LoadNotReachable => Self::AirLoad,
            C::LoadAboveCellRange => Self::CellRange,
            C::TorqueShort => Self::Torque,
            C::SpeedAboveDrive => Self::DriveSpeed,
            C::NothingTurns | C::SpeedToleranceWide | C::NoSliding => Self::SlowDrive,
            C::LongestShort => Self::LongestCycle,
            C::StockBelowDamage
            | C::DamageLeft
            | C::NoStock
            | C::EndAlreadyMet
            | C::ProofDamage => Self::Stock,
            C::FinishMissed | C::DamageAdded | C::FinishImpossible | C::ProofFinish => Self::Grain,
            C::SizeMissed
            | C::SizeUncertain
            | C::SpreadTooWide
            | C::LotInOrder
            | C::ProofSize
            | C::ProofSpread => Self::Tolerance,
            C::ProofFlatness => Self::Flatness,
            C::ProofParallelism => Self::Parallelism,
            C::PlateHot | C::PressureUneven => Self::Heat,
            C::PocketOutsideCarrier
            | C::PocketsOverlap
            | C::PlateOverrun
            | C::PlateEdgeUnused
            | C::PartsExceedPockets
            | C::PocketsUneven
            | C::TooFewPieces
            | C::DaylightShort
            | C::LayoutOneSided
            | C::PocketWebThin => Self::PartsFit,
            C::CarrierTooThick => Self::CarrierThickness,
            C::CarrierTeethWeak | C::ProofCarrierTeeth => Self::CarrierTeeth,
            C::CoastOutlastsFilm | C::FilmShortForStop | C::ProofDry => Self::FilmLife,
            C::TankShort => Self::Tank,
            C::FlowBelowMinimum | C::FlowAbovePump | C::PrestartShort | C::PrestartTimesOut => {
                Self::Flow
            }
            C::CreepTooFast
            | C::FirstContactLimitLow
            | C::FirstContactNearInitial
            | C::DescentFeltAsContact
            | C::ApproachShort
            | C::ContactToleranceWide
            | C::RestingLoadLow
            | C::InitialLoadLow
            | C::ProofFirstContact => Self::FirstContact,
            _ => Self::Machine,
        }
    }
}
