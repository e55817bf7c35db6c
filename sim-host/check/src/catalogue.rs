//! The one table of everything that `check` can say: number, name, severity, meaning, why it matters, what to do, an example.
//!
//! It feeds `explain` and the generated page `docs/findings.md`. Numbers are grouped by subject with room between them and
//! are never reused; a retired one moves to [`RETIRED`].

#[macro_use]
mod entry;
#[macro_use]
mod trials;
mod page;
mod severity;

pub use entry::{Entry, RETIRED};
pub use page::{explain, find, page, wrap};
pub use severity::Severity;

with_trials! { catalogue {
    ToothRelation = 1, "tooth-relation", Error,
        "Teeth do not mesh",
        "The outer ring must have as many teeth as the inner ring plus twice those of a carrier: z_r - z_s = 2 z_c.",
        "A carrier with other teeth does not fit between the rings, or runs with play on one of them and breaks teeth.",
        "Count the teeth of the machine and correct the machine file.",
        "inner 40, carrier 45, outer 131: one tooth too many, 130 is right";
    CarrierSpacing = 2, "carrier-spacing", Error,
        "Carriers cannot be spaced evenly",
        "Equal spacing of q carriers needs (z_s + z_r)/q to be a whole number.",
        "Carriers that mesh only at uneven angles load the plate off centre, and it tilts.",
        "Use a number of carriers that divides z_s + z_r.",
        "z_s + z_r = 170: 5 carriers fit, 4 do not (42.5)";
    CarrierTipGap = 3, "carrier-tip-gap", Error,
        "Neighbouring carriers touch",
        "The gap between the tooth tips of neighbours, 2 e sin(pi/q) - 2 r_tip, must be positive.",
        "Carriers that touch jam the train and break.",
        "Use fewer carriers.",
        "7 carriers of 94 mm tip radius on a 170 mm orbit overlap by 40 mm";
    PocketOutsideCarrier = 4, "pocket-outside-carrier", Error,
        "Pocket reaches the carrier's teeth",
        "A pocket must end inside the root circle of the carrier's teeth (pitch radius less 1.25 modules).",
        "A pocket that cuts the rim leaves nothing to push the part with.",
        "Move the pockets inwards or use a larger carrier.",
        "pocket at 70 mm with a 25 mm part reaches 95 mm; the root circle is at 85 mm";
    PocketsOverlap = 5, "pockets-overlap", Error,
        "Pockets overlap",
        "Pocket centres on one circle must be farther apart than a part is wide, and pockets of two circles must leave a web between them.",
        "Overlapping pockets cannot be cut.",
        "Use fewer pockets or a larger pocket circle.",
        "6 pockets of 50 mm on a 40 mm circle: centres 40 mm apart";
    CarrierTooThick = 6, "carrier-too-thick", Error,
        "Carrier is thicker than the finished part allows",
        "The carrier must stay clear of both plates when the parts are at their smallest allowed size: target less tolerance less a grain layer on each face.",
        "A carrier that touches both plates carries the load and is lapped instead of the parts.",
        "Use a thinner carrier, or a larger target.",
        "carrier 0.60 mm under a 0.53 mm part";
    PlateOverrun = 7, "plate-overrun", Error,
        "Parts run too far over the plate's edge",
        "A part may leave the plate by at most a third of its width (common practice, no source).",
        "A part that overhangs loses its support and tips, and its edge is rounded.",
        "Move the pockets inwards.",
        "a 50 mm part runs 30 mm over the outer edge";
    PlateEdgeUnused = 8, "plate-edge-unused", Warning,
        "Parts do not reach the plate's edge",
        "Parts should run a little over both edges of the plate (common practice, no source).",
        "An edge that no part reaches does not wear and stands up as a ridge.",
        "Move the pockets outwards, or plan to dress the plate more often.",
        "parts reach 230 mm on a plate of 240 mm radius";
    PartsExceedPockets = 9, "parts-exceed-pockets", Error,
        "More pieces than pockets",
        "Parts and dummies together cannot exceed pockets times carriers.",
        "The batch cannot be loaded.",
        "Load fewer pieces, or carriers with more pockets.",
        "16 pieces, 5 carriers of 3 pockets";
    PocketsUneven = 10, "pockets-uneven", Warning,
        "Pieces do not share out evenly over the carriers",
        "The number of pieces should be a multiple of the number of carriers.",
        "The plate is loaded off centre and tilts.",
        "Fill the carriers up with dummies.",
        "14 pieces in 5 carriers";
    TooFewPieces = 11, "too-few-pieces", Error,
        "Fewer than three pieces",
        "The upper plate is gimballed and needs at least three pieces around the centre to rest on.",
        "On fewer pieces the plate tips onto its edge.",
        "Load more parts or dummies.",
        "2 parts";
    DaylightShort = 12, "daylight-short", Error,
        "Raised plate leaves no room for the parts",
        "The parts and the approach above them must fit under the raised plate.",
        "The plate would begin its descent below the height at which it must creep. The controller refuses the recipe.",
        "Raise the plate higher, or shorten the approach.",
        "parts 18 mm and approach 2 mm under a plate raised to 19 mm";
    LayoutOneSided = 13, "layout-one-sided", Error, "Parts come to lie on one side of the centre",
        "At every turn of the carriers the pieces must surround the machine's centre: no gap of half a turn or more between their directions from it.",
        "Nothing balances the gimballed plate then. It tips onto a carrier's rim on the empty side.", "Load more parts or dummies on all sides of the centre.", "4 pieces in 2 carriers";
    PocketWebThin = 14, "pocket-web-thin", Warning, "Web beside a pocket is thin",
        "Between two pockets, and between a pocket and the roots of the teeth, 1.5 mm of the carrier should be left (common practice, no source).",
        "A thin web bends and tears, and lets parts into the next pocket.", "Cut fewer pockets, or move their circles apart.", "12 pockets of 25 mm on a 50 mm circle: a web of 0.9 mm";
    MachineMismatch = 15, "machine-mismatch", Error,
        "Recipe was written for another machine",
        "The recipe names its machine. It must be checked with that machine.",
        "Loads, limits and speeds that suit one machine are wrong on another.",
        "Check with the named machine, or review every number and then change the name.",
        "recipe names machine-a, checked with machine-b";
    BatchMismatch = 16, "batch-mismatch", Error,
        "Recipe was written for another batch",
        "The recipe names its batch. It must be checked with that batch.",
        "Pressure, size and time were chosen for other parts.",
        "Check with the named batch, or review every number and then change the name.",
        "recipe names a1, checked with a2";
    CarrierTeethWeak = 17, "carrier-teeth-weak", Error,
        "Teeth of a carrier may break or lift",
        "The force with which both rings hold a carrier against the friction of its parts must stay under what one of its teeth bears: in bending (Lewis, s b m Y) and against turning aside. The load is at the top of its band, the two faces rub as differently as the envelope lets them, and one tooth holds all of its carrier's.",
        "A thin carrier's teeth bend or climb the pins. The carrier jams and breaks, and the parts with it.",
        "Use thicker carriers or a stronger material, or lower the pressure or the friction.",
        "2 N on a tooth of a 0.05 mm foil that lifts at 0.8 N";
    LoadAboveCellRange = 20, "load-above-cell-range", Error,
        "Rod force leaves the load cell's range",
        "The cell in the rod sees from minus the plate's weight (hanging) to the highest load less that weight; both ends must lie within its range, span error included.",
        "Outside its range the cell reads wrong, and loop and trip act on what it reads.",
        "Use a cell with a larger range, or less load.",
        "plate 569 N hanging on a cell of ±500 N";
    LimitAboveRated = 21, "limit-above-rated", Error,
        "Step limit is above the rated load",
        "The load limit of a step may not exceed the machine's rated load.",
        "The machine is not built to bear that load. The controller refuses the recipe.",
        "Lower the step's limit, and its pressure with it.",
        "limit 950 N, rated 900 N";
    FullCommandAboveRated = 22, "full-command-above-rated", Error,
        "Full command exceeds the rated load",
        "On the heaviest machine of the envelope, resting load plus the full cap-side force at relief pressure must not exceed the rated load: N_rest + A_cap p_relief <= rated load.",
        "Then a regulator stuck wide open overloads nothing; otherwise this one fault overloads the machine.",
        "Lower the relief pressure, or correct the rated load.",
        "82 N + 825 N > 900 N";
    LoadNotReachable = 23, "load-not-reachable", Error,
        "Load cannot be reached on every machine of the envelope",
        "At full command the weakest machine of the envelope must still reach the setpoint's band against its seal friction.",
        "The step would wait in its load ramp until the ramp times out (row 42, phase-timeout).",
        "Lower the pressure, load fewer pieces, or raise the relief pressure (and with it the rated load, if the machine bears it).",
        "setpoint 850 N, reachable 802 N";
    SupplyShort = 24, "supply-short", Error,
        "Air supply falls below the machine's minimum",
        "The lowest supply pressure of the envelope must stay above the pressure at which the machine stops.",
        "The machine would stop in the middle of a cycle for lack of air (row 28, supply-low).",
        "Raise the supply pressure, or lower the minimum if the machine allows it.",
        "6 bar - 15 % = 5.1 bar, minimum 5.5 bar";
    LiftShort = 25, "lift-short", Error,
        "Lift cannot raise the plate",
        "Rod-side area times lift pressure (or the lowest supply) must exceed the heaviest plate, its seal breakaway and the drag of its guides.",
        "The plate would stay on the parts, or rise too slowly, and the lift would time out (row 42, phase-timeout).",
        "Raise the lift pressure.",
        "lift 500 N, plate 580 N";
    RestingLoadLow = 26, "resting-load-low", Error,
        "Resting load is too low for the seals",
        "On the lightest plate of the envelope the resting load must exceed the seal breakaway.",
        "The plate would hang in its seals instead of coming down. The controller refuses the machine.",
        "Lower the counterbalance pressure, or use seals with less breakaway.",
        "resting load 18 N, breakaway 20 N";
    InitialLoadLow = 27, "initial-load-low", Error,
        "Initial load is too close to the resting load",
        "With no command, the heaviest plate of the envelope must rest with at most 5 N more than the initial load, and with no more than its band above it.",
        "The loop cannot take away what the plate rests with. Touch-down would be held too high, or time out (row 42, phase-timeout).",
        "Raise the initial load or lower the resting load.",
        "initial 75 N; the heaviest plate rests with 86 N";
    LimitBelowSetpoint = 29, "limit-below-setpoint", Error,
        "Step limit is not above the setpoint",
        "The load limit must lie above the step's setpoint.",
        "The step would trip as soon as it reaches its load. The controller refuses the recipe.",
        "Raise the limit (limit-inside-governor says how far).",
        "setpoint 265 N, limit 265 N";
    LimitInsideGovernor = 30, "limit-inside-governor", Error,
        "Step limit is inside the governor's margin",
        "The limit less the setpoint, or less the initial load where that is higher, must be at least twice the governor's half-width: gain envelope x (limit - initial load) + seal friction at its worst.",
        "The governor bounds the command so that no machine of the envelope can pass the limit. If the limit is too near, the governor would hold the load below its setpoint. The controller refuses the recipe.",
        "Raise the limit or lower the setpoint.",
        "setpoint 265 N, limit 280 N, needs 309 N";
    RampTooFast = 31, "ramp-too-fast", Error,
        "Load ramp is faster than the machine allows",
        "A step's load ramp may not exceed the machine's fastest.",
        "The controller refuses the recipe. A faster ramp would overshoot.",
        "Slow the ramp down.",
        "200 N/s on a machine that allows 100 N/s";
    RodForceReversal = 32, "rod-force-reversal", Warning,
        "Setpoint sits where the rod force changes sign",
        "At a load equal to the plate's weight the rod carries no force, and the lash of the cell shows.",
        "Within the lash the reading stands still while the load moves. The loop holds the load wrong by up to the lash and does not see it.",
        "Move the pressure so that the load differs from the plate's weight by more than the lash.",
        "setpoint 568 N, plate 569 N, lash 2 N";
    BandNarrow = 33, "band-narrow", Warning,
        "Load band is narrower than the regulator can hold",
        "At the envelope's worst, the load band must be wider than half a step of the regulator's resolution plus three standard deviations of the cell's filtered noise.",
        "A regulator that moves in jumps comes no nearer. The load may never count as in band, and the phase times out (row 42, phase-timeout).",
        "Widen the band, or use a regulator of finer resolution.",
        "band ±1 N, regulator steps of 1.7 N";
    BandAboveLimit = 34, "band-above-limit", Error,
        "Load band reaches the step limit",
        "A load within its band must still be under the limit.",
        "A load that counts as good would trip the machine (row 10, load-above-step-limit).",
        "Raise the limit or narrow the band.",
        "265 N ± 90 N, limit 350 N";
    DumpTimeShort = 35, "dump-time-short", Error,
        "Declared dump time is shorter than the dump takes",
        "From the highest load the dump valve must bring the load to resting load ± seal breakaway within the declared time.",
        "A stop is judged by the declared time. After a power cut the drives would coast under load for longer than declared.",
        "Declare the computed time, or fit a faster dump valve.",
        "declared 0.4 s, computed 0.76 s";
    FirstContactAboveRated = 36, "first-contact-above-rated", Error,
        "First-contact limit is above the rated load",
        "The limit at first contact must be under the rated load.",
        "Such a limit would guard nothing. The controller refuses the machine.",
        "Lower the limit.",
        "1000 N on a machine rated 900 N";
    ContactToleranceWide = 37, "contact-tolerance-wide", Error,
        "A doubled part would go unnoticed",
        "The tolerance on the contact height must be under what a doubled part lifts the plate's middle by: the plate leans on it and two others, so the middle rises by the share of the load that it takes, times the part's incoming thickness. That share is least, some 0.4, where the part lies outermost.",
        "Two parts in one pocket show only in the height at which the plate meets them (row 40, contact-high).",
        "Tighten the contact tolerance.",
        "tolerance 0.2 mm, parts 0.55 mm";
    LoadTooLow = 38, "load-too-low", Error,
        "Load is lower than the machine can hold",
        "A step's load must be more than any plate of the envelope rests with, and enough that dead band, noise, span error and runout stay within 5 N or 2 % of it, whichever is more.",
        "Below that load the loop has nothing to take away, or cannot hold the load where it should be. The controller refuses the recipe.",
        "Raise the pressure, load more pieces, or improve what the message names.",
        "step of 90 N; the heaviest plate rests with 106 N";
    NothingHeld = 39, "nothing-held", Error,
        "The machine can hold no load accurately",
        "Under its rated load a machine must have loads at which dead band, noise, span error and runout together stay within 5 N or 2 %, whichever is more.",
        "The controller refuses such a machine.",
        "Improve what the message names: true the plates, or fit a regulator of finer resolution or a better cell.",
        "runout ripple 2 %, which the loop amplifies to 2.6 %";
    CreepTooFast = 40, "creep-too-fast", Error,
        "Creep speed is too high for touch-down",
        "Creep speed must stay under (initial load - resting load)/sqrt(k m), with k the stiffness of the parts and m the mass of the plate.",
        "First contact is a collision that no loop can soften. At a higher speed its peak passes the initial load.",
        "Lower the creep speed.",
        "0.5 mm/s allowed, 2 mm/s asked";
    FirstContactLimitLow = 41, "first-contact-limit-low", Error,
        "First-contact limit is too low for a good touch-down",
        "On the stiffest parts of the envelope the peak N_rest + v_creep sqrt(k m) must stay under the first-contact limit.",
        "The impact is over before an interlock can see it, and the parts bear it.",
        "Raise the limit, or lower the creep speed.",
        "peak 173 N, limit 160 N";
    FirstContactBreaksPart = 42, "first-contact-breaks-part", Error,
        "First contact may crack a part",
        "Three of the parts may take the first contact alone, and one of them most of it. The largest share that one part can have by where the parts lie, with the stiffest parts of the envelope, must stay under the strength of one part.",
        "Thin parts crack at touch-down, before the first load ramp.",
        "Lower the creep speed or the resting load.",
        "37 N on a part that cracks at 30 N";
    LoadBreaksPart = 43, "load-breaks-part", Error,
        "Load may crack a part",
        "At the top of the load band, the load that one part may carry must stay under its strength: its even share and what it stands out by, at most the largest share that it can have by where the parts lie (0.6 and more in layouts of five carriers).",
        "The highest parts carry more than the average until they are lapped down to the others.",
        "Lower the pressure of the first step, sort the parts by thickness, or load more pieces.",
        "share 60 N on a part that cracks at 50 N";
    ApproachShort = 44, "approach-short", Warning,
        "Approach is too short to brake in",
        "The descent should change to creep at a distance greater than the plate needs to brake, and greater than the contact height may vary.",
        "Otherwise the plate meets the parts faster than at creep speed.",
        "Lengthen the approach.",
        "approach 0.8 mm, braking from 20 mm/s takes 1 mm";
    FirstContactNearInitial = 45, "first-contact-near-initial", Error,
        "First-contact limit leaves no room for the initial load",
        "Until the plate is seated the governor bounds the command under the first-contact limit, on the declared line and less the seals' worst friction. Under that bound the weakest machine of the envelope must still come into the band of the initial load.",
        "The touch-down would wait for an initial load that the governor does not allow, and time out (row 42, phase-timeout). A limit under the initial load is refused.",
        "Raise the first-contact limit, or lower the initial load.",
        "limit 517 N lets the weakest machine press with 290 N; the initial load of 450 N begins at 420 N";
    DescentFeltAsContact = 46, "descent-felt-as-contact", Error,
        "Drag of the descent looks like contact",
        "While the plate descends fast, the drag of its guides must stay under the load that the controller takes for contact: half of what the lightest plate of the envelope rests with when its seals hold it up.",
        "The load cell cannot tell drag from load. The controller would see contact far above the parts and stop (row 40, contact-high), as it does for a doubled or foreign part; a plate that hardly comes down would be stopped by row 47, plate-not-following.",
        "Descend more slowly, reduce the drag of the guides, or lower the counterbalance.",
        "40 mm/s on guides of 800 N·s/m hold the plate with 32 N; contact begins at 17 N";
    LotInOrder = 47, "lot-in-order", Warning,
        "A lot laid in by thickness tilts the plate",
        "Laid in carrier after carrier from a lot whose thickness runs from one end to the other, one side of the machine is thicker. It should not leave the parts more different than a mixed lot by over a tenth of the size tolerance's width (six standard deviations; a tenth is the gauge maker's rule, common practice, no source).",
        "The gimballed plate leans on the thick side and goes round with it, so both sides lose alike. What it leans on is levelled at a fraction of the rate only.",
        "Mix the lot before it is laid in, or deal it round the carriers.",
        "six standard deviations 2.5 µm at the end, of a mixed lot 1.2 µm";
    SpeedAboveDrive = 50, "speed-above-drive", Error,
        "Speed is above the drive's largest",
        "No speed may exceed the largest speed of its drive.",
        "A drive that cannot keep up loses its ratio, and the carriers jam. The controller refuses the recipe.",
        "Lower all speeds in the same ratio.",
        "80 rpm on a drive of 60 rpm";
    FixedRingTurned = 51, "fixed-ring-turned", Error,
        "A fixed ring is told to turn",
        "A ring without a drive stands still, so its speed must be zero.",
        "The speed ratios that the recipe relies on would not exist. The controller refuses the recipe.",
        "Set its speed to zero and choose the other three speeds anew.",
        "outer ring fixed, speed 5 rpm";
    TorqueShort = 52, "torque-short", Error,
        "Drive torque is too small",
        "Drag and friction at the highest friction coefficient of the envelope, with acceleration and breakaway at the initial load, must stay within each drive's torque.",
        "The drive falls behind under load, and the carriers bear the difference until the controller stops the machine (row 24, 26 or 27).",
        "Lower the pressure or the friction, or use a stronger drive.",
        "needs 70 N·m, drive gives 60 N·m";
    NoSliding = 53, "no-sliding", Error,
        "Parts do not slide on a plate",
        "Parts must slide on both plates.",
        "A face that does not slide is pressed and not lapped.",
        "Choose speeds so that both plates turn against the carriers.",
        "lower plate turns with the orbit";
    PathRepeats = 54, "path-repeats", Warning,
        "Parts run in the same track again and again",
        "The ratio of a carrier's turning to its orbit, seen from a plate, should not be a ratio of small whole numbers.",
        "The plate wears in the pattern of the track, and the parts take its shape.",
        "Change one speed by a few percent.",
        "ratio 1.5: the track closes after two turns";
    FaceBalance = 55, "face-balance", Warning,
        "The two faces lose unequal amounts of stock",
        "Over the whole recipe the two faces should lose stock within a ratio of 1.25 (common practice, no source).",
        "Unequal removal leaves unequal stress and damage, and thin parts bow.",
        "Bring the speeds of the two plates against the carriers closer together.",
        "upper 12 µm, lower 18 µm";
    SpeedSpread = 56, "speed-spread", Warning,
        "Sliding speed differs too much over a part",
        "Mean sliding speed from the inside to the outside of a part should differ by less than 15 % (common practice, no source).",
        "The faster side loses more stock; flatness and parallelism suffer.",
        "Choose speeds with less spin of the carrier against the plates, or a smaller pocket circle.",
        "0.36 to 0.44 m/s over one part";
    CoastOutlastsFilm = 57, "coast-outlasts-film", Error,
        "Coasting outlasts the film",
        "After a power cut the drives coast at resting load. The film in the gap must last a quarter longer than the longest coast of the envelope.",
        "The plates would turn dry and score. The controller allows a coast as long as the film life and reports a longer one (row 48, coast-overrun).",
        "Lower the speeds, or make the film last longer (more flow, another vehicle).",
        "coast 14 s, film 16 s";
    StopTimeShort = 58, "stop-time-short", Error,
        "Run-down takes longer than the monitored stop time",
        "From the fastest speed of the recipe, a controlled stop with proven standstill must end within the monitored stop time of the machine.",
        "The monitor would cut the power in the middle of a sound stop (row 3, stop-time-overrun).",
        "Lower the speeds, brake faster, or declare a longer stop time if the machine allows it.",
        "run-down 6 s, monitored 5 s";
    FilmShortForStop = 59, "film-short-for-stop", Error,
        "Film does not outlast a controlled stop",
        "When the flow is lost while turning, detection and run-down together must end within the film life, at the speed and load of the step.",
        "The plates would turn dry before they stop.",
        "Brake faster, lower the speeds, or make the film last longer.",
        "a stop spends 17 s of film life, film 12 s";
    SpeedToleranceWide = 60, "speed-tolerance-wide", Warning,
        "A slow drive could stop unnoticed",
        "The speed tolerance should be smaller than the slowest turning drive's speed.",
        "A ring that stands still would count as in band.",
        "Tighten the tolerance or turn the ring faster.",
        "tolerance 2 rpm, outer ring 1.5 rpm";
    DirectionChange = 61, "direction-change", Note,
        "A drive changes direction between steps",
        "A change of direction passes through initial load and standstill.",
        "It costs a run-down and a run-up; both are in the prediction.",
        "Nothing, if it is meant.",
        "upper plate -14 rpm, then +14 rpm";
    NothingTurns = 62, "nothing-turns", Error,
        "No drive turns faster than the speed tolerance",
        "In every step some drive must turn faster than the speed tolerance.",
        "Within the tolerance a drive that turns cannot be told from one that stands still. The controller refuses the recipe.",
        "Raise the speeds, or tighten the tolerance.",
        "fastest drive 1.5 rpm, tolerance 2 rpm";
    PrestartShort = 70, "prestart-short", Error,
        "Slurry pre-start is shorter than the line needs",
        "The pump must run until the line is full and the gap carries a full film. The controller waits for the programmed time and for 5 s of proven flow, whichever ends later, and no longer.",
        "The plates would start to turn before the gap is wet.",
        "Lengthen the pre-start or raise its flow.",
        "pre-start 25 s; the line fills in 10 s and the gap needs 21 s more";
    PrestartTimesOut = 71, "prestart-times-out", Error,
        "Slurry does not arrive within the pre-start",
        "The line must be full and the flow proven for 5 s no later than 30 s after the programmed pre-start. The controller waits no longer.",
        "The cycle would stop before it turns (row 42, phase-timeout).",
        "Raise the pre-start's flow, or lengthen it.",
        "pre-start 5 s, line fills in 31 s";
    FlowBelowMinimum = 72, "flow-below-minimum", Error,
        "Flow is too small to be proven",
        "Slurry and rinse flow must exceed the smallest flow that counts as flow by at least the resolution of pump and meter.",
        "The controller refuses the recipe, or never sees its flow: pre-start and rinse time out, or the cycle stops for lack of flow (row 18, flow-low).",
        "Raise the flow.",
        "0.02 L/min, minimum 0.05 L/min";
    FlowAbovePump = 73, "flow-above-pump", Error,
        "Flow is more than the pump delivers",
        "No flow may exceed the pump's largest flow.",
        "The pump would run flat out and still deliver less than the recipe asks for. The controller refuses the recipe.",
        "Lower the flow.",
        "0.5 L/min on a pump of 0.3 L/min";
    TankShort = 74, "tank-short", Error,
        "Tank is too small for the cycle",
        "A cycle may not draw a full tank down below 5 %, where it counts as empty.",
        "The controller stops the cycle at the end of the step (row 22, tank-empty), and at once when the flow fails.",
        "Lower the flow, or use a larger tank.",
        "uses 4.8 L of a 5 L tank";
    SettleLimitLong = 75, "settle-limit-long", Warning,
        "Slurry settles before the machine holds",
        "The longest time with the agitator stopped should be shorter than the settling time.",
        "Most of the abrasive would be on the bottom of the tank before the controller holds (row 20, agitator-settled).",
        "Shorten the limit.",
        "limit 300 s, settling time 120 s";
    NoAbrasive = 76, "no-abrasive", Error,
        "No abrasive, no removal",
        "A process with loose grains, with diamond or on a pad needs abrasive in its slurry. Only a plate with bound grains works without.",
        "The parts would be pressed and rubbed, and lose nothing.",
        "Mix abrasive into the slurry, or name the process that works without.",
        "loose abrasive, 0 %";
    ConcentrationUnusual = 77, "concentration-unusual", Warning,
        "Concentration of the slurry is unusual",
        "Loose abrasive is used at 10 to 30 % by mass, diamond at 0.5 to 5 %, a polish at 2 to 30 % (common practice, no source).",
        "Removal rises with the number of grains that cut, up to an optimum. In a crowd they lie on one another, and it falls again; a thin slurry lets the plate touch the parts.",
        "Mix the slurry within the usual range, or measure what this one does.",
        "60 % of F800, usual 10 to 30 %";
    ProcessAssumed = 78, "process-assumed", Warning,
        "What the abrasive does was not measured",
        "Removal, roughness and damage that a recipe leaves out are taken from published results, whose spread is far wider than the envelope: removal alone differs by a factor of 4 either way.",
        "Time, size, finish and damage of the prediction are then no better than that.",
        "Lap a trial batch, and write what was measured into the recipe.",
        "removal not given: 9.5e-12 1/Pa, from 2.1e-12 to 4.3e-11";
    GrainUnpublished = 79, "grain-unpublished", Warning,
        "Grain is outside what was published",
        "Results of lapping are published for grains of 3 to 80 µm; the forms for finish and damage were fitted there. On a pad 0.02 to 5 µm polish, and coarser grains scratch (common practice, no source).",
        "Beyond, nothing says whether removal, finish or damage of a recipe are likely.",
        "Use a grain within the range, or measure what this one does.",
        "grain 150 µm";
    GaugeMissing = 80, "gauge-missing", Error,
        "Step ends by gauge, but the gauge is not used",
        "An end by stock or by size needs the size gauge.",
        "The step could only run to its longest time. The controller refuses the recipe.",
        "Set gauge = true, or end the step by time.",
        "end = { stock = \"8 µm\" }, gauge = false";
    LongestShort = 81, "longest-short", Error,
        "Longest time is shorter than the step needs",
        "The longest time must cover the load ramp and the step itself, at the slowest removal of the envelope where stock ends it.",
        "The step would always end with an alarm (row 44, step-overtime) before its work is done.",
        "Lengthen the longest time.",
        "longest 2 min, expected 2.6 min";
    SizeMissed = 82, "size-missed", Error,
        "Predicted size is outside the tolerance",
        "The predicted mean thickness at the end must lie within target ± tolerance.",
        "The batch would be scrap or need another run.",
        "Change the time or the end condition of the last step.",
        "predicted 0.524 mm, 0.530 ± 0.003 mm";
    SizeUncertain = 83, "size-uncertain", Warning,
        "Size depends on the removal coefficient",
        "Steps that end by time must hit the tolerance at both edges of the removal envelope.",
        "The removal coefficient is the least certain number of all, and a clock does not see the part.",
        "End the last step by gauge, or widen the tolerance.",
        "± 30 % removal is ± 4 µm, tolerance ± 3 µm";
    SpreadTooWide = 84, "spread-too-wide", Error,
        "Thickness spread stays too wide",
        "At the envelope's widest spread, plus and minus three standard deviations of the predicted thickness must fit within the tolerance.",
        "Single parts would be out of size although the mean is right.",
        "Sort the parts by thickness, or lap longer.",
        "± 4 µm, tolerance ± 3 µm";
    StockBelowDamage = 85, "stock-below-damage", Error,
        "Stock is less than the incoming damage",
        "Each face must lose more than the depth of its incoming damage; where time ends the steps, at the slowest removal of the envelope.",
        "Cracks from the process before would stay in the parts.",
        "Remove more: begin with thicker parts, or choose a smaller target.",
        "4 µm a face, damage 6 µm";
    DamageAdded = 86, "damage-added", Warning,
        "The process leaves deeper damage than the parts came with",
        "The damage that the process leaves should be no deeper than the incoming damage.",
        "The parts would leave worse than they came, although their size is right.",
        "Use a finer abrasive.",
        "leaves 8 µm, came with 5 µm";
    FinishMissed = 87, "finish-missed", Error,
        "Predicted roughness is above the target",
        "With the depth removed, roughness approaches what the abrasive leaves. At the end it must be at or below the target.",
        "The batch would need another process.",
        "Use a finer abrasive, or remove more.",
        "Ra 0.35 µm, target 0.30 µm";
    NoStock = 88, "no-stock", Error,
        "Parts come in at or under their target",
        "Incoming thickness must exceed the target.",
        "There is nothing to remove.",
        "Correct the thickness or the target.",
        "0.53 mm in, 0.53 mm target";
    EndAlreadyMet = 89, "end-already-met", Error,
        "Step would end before it begins",
        "An end by size must be below the thickness with which the step starts.",
        "The step would do nothing.",
        "Lower the size, or take the step out.",
        "step ends at 0.54 mm, starts at 0.538 mm";
    PlateHot = 90, "plate-hot", Warning,
        "Plates get hot",
        "At the highest friction of the envelope the plates should stay under their alarm temperature over one cycle.",
        "Hot plates bow, and the parts with them. The controller raises an alarm (row 30, temperature-high).",
        "Lower the pressure or the speeds, or improve the cooling.",
        "predicted 42 °C, alarm 40 °C";
    RemovalUnusual = 95, "removal-unusual", Warning,
        "Removal is outside what was published",
        "A measured removal coefficient should lie within a factor of 4.5 of what is published for grain, slurry and material (1.7e-11 1/Pa for 11.5 µm on LiTaO3, in proportion to the grain; next to nothing by grains softer than the part: Rabinowicz 1977, from memory), and between 1e-12 and 2e-11 1/Pa for loose abrasive.",
        "A mistake in units or in the measured path shows like this, and makes every time and size wrong.",
        "Measure it again: weigh parts before and after a known path at a known pressure.",
        "8e-10 1/Pa given, usual 2.2e-12 to 4.3e-11";
    FinishUnusual = 96, "finish-unusual", Warning,
        "Roughness is outside what was published",
        "Grains leave about Ra = 0.083 d^0.54 (both in µm; fitted to glass lapped with alumina of 7 to 80 µm, Tribology International 40 (2007) 498-502), within a factor of 2 on glass and 3 on other materials; diamond and bound grains up to 30 times smoother.",
        "A roughness that the grain does not leave is a finish that the batch will not have.",
        "Measure the roughness again, or choose the grain that leaves it.",
        "Ra 0.05 µm given for 6.5 µm on glass, usual 0.11 to 0.46 µm";
    DamageUnusual = 97, "damage-unusual", Warning,
        "Damage is outside what was published",
        "Grains leave damage between 0.3 d^0.68 and 2 d^0.85 in glass (both in µm; Lambropoulos and others, from memory), and in proportion to the root of the modulus over the hardness in other brittle materials (Optical Engineering 58 (2019) 092604).",
        "Damage that is thought shallower than it is stays in the parts after the next process.",
        "Measure the damage: polish a taper or etch step by step. Or take the published range and remove so much next.",
        "0.5 µm given for 6.5 µm on glass, usual 1.1 to 9.8 µm";
    FinishImpossible = 98, "finish-impossible", Error,
        "No process leaves such a face",
        "Roughness may not be under a hundredth of what the grain usually leaves: three times smoother than the smoothest result published. In a brittle material the damage may not be shallower than the roughness: it reaches below the valleys. And no roughness settles over less depth than that with which the parts come.",
        "A job with such numbers would be found good, and no machine could do it.",
        "Measure roughness and damage, or correct the grain.",
        "Ra 1 nm from grains of 40 µm";
    DamageLeft = 99, "damage-left", Error,
        "Damage may be left in the thinnest parts",
        "The thinnest part of the envelope's widest spread loses least. The damage left in each of its faces may be no deeper than the batch allows; where the batch says nothing, no deeper than the process's own.",
        "The batch's mean can be sound while single parts keep cracks from the process before.",
        "Remove more, sort the parts by thickness, or use a finer abrasive.",
        "3.3 µm left of 5.5 µm, the process's own 2 µm";
    PressureUneven = 91, "pressure-uneven", Warning,
        "Plates lose the parts along their path",
        "Once the heat of the envelope's highest friction is settled, the form of the two plates should leave every part under pressure all along its path: how far the plates come together must differ by less than the parts sink in.",
        "Heat bows both plates towards each other. Where they gape by more than the elastic sink, parts go without load, and the others carry theirs.",
        "Cool the plates nearer to their face, take thicker plates, lower speed or pressure, or give the plates a form that the heat straightens.",
        "least pressure −0.6 of the mean";
    EnvelopeNarrow = 100, "envelope-narrow", Error,
        "Envelope is too narrow",
        "No width of a machine's envelope may be narrower than the smallest that this project accepts.",
        "Trials over a narrow envelope show little: 'the loop is safe' only ever means over the envelope.",
        "Declare at least the smallest accepted width.",
        "regulator gain ±2 %, smallest accepted ±5 %";
} }

#[cfg(test)]
mod tests;
