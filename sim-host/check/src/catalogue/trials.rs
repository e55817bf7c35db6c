//! The entries of what the closed loop shows: in its frequencies, numbers from 101 on, and in runs, from 200 on.

/// Hands the entries given to it, and those of the closed loop behind them, on to another macro.
macro_rules! with_trials {
    ($to:ident { $($entries:tt)* }) => {
        $to! {
            $($entries)*
            LoopUnstable = 101, "loop-unstable", Error,
                "Load loop is unstable somewhere in the envelope",
                "With the declared line and its worst gain, lag and dead time, the loop must have a gain margin above 1.",
                "An unstable load loop hunts. Farther beyond the edge it never holds its initial load, and touch-down times out (row 42, phase-timeout).",
                "Leave the gains out (the default rule applies), or tune them.",
                "gain margin 0.8 at +5 % gain, +30 % dead time";
            LoopMarginThin = 102, "loop-margin-thin", Warning,
                "Load loop has a thin margin",
                "The largest sensitivity Ms of the declared line's loop should not exceed 2.",
                "The loop overshoots and rings when the machine is a little different from its file.",
                "Lower the proportional gain or lengthen the integral time.",
                "Ms 2.6";
            ProofLoadLimit = 200, "proof-load-limit", Error,
                "Trials: load passed the step's limit",
                "In every closed-loop run the true load (runout taken out) must stay under the step's limit.",
                "The limit is what the parts can bear.",
                "Raise the limit if the parts bear it, slow the ramp, or tune the loop. Replay the run to see it.",
                "run 37: 356 N, limit 350 N";
            ProofOvershoot = 201, "proof-overshoot", Error,
                "Trials: load overshot its reference",
                "From the load ramp on, the true load may pass its reference by 2 % of the setpoint or 5 N, whichever is more.",
                "Overshoot is load that the recipe did not ask for.",
                "Tune the loop, or slow the ramp.",
                "run 12: 9 N over 265 N";
            ProofRatedLoad = 202, "proof-rated-load", Error,
                "Trials: rated load passed",
                "In no run may the load pass the machine's rated load.",
                "The machine is not built for it.",
                "Replay the run and see what happens in it.",
                "run 5: 910 N, rated 900 N";
            ProofFirstContact = 203, "proof-first-contact", Error,
                "Trials: first contact too hard",
                "The peak at first contact must stay under its limit in every run.",
                "Touch-down would trip the machine or damage the parts.",
                "Lower the creep speed.",
                "run 8: 210 N, limit 200 N";
            ProofPartStrength = 204, "proof-part-strength", Error,
                "Trials: a part was overloaded",
                "No single part may carry more than its strength, at any time of any run.",
                "It may crack.",
                "Lower the creep speed or the first step's pressure, or sort the parts by thickness.",
                "run 61: 1.2 times the strength";
            ProofHarm = 205, "proof-harm", Error,
                "Trials: the machine came to harm",
                "No run may do harm: lift while turning, pressing or moving with the guard open, drives out of ratio under load, plate too hot, plate fallen, plate on the carriers.",
                "Each of these damages the machine or endangers people.",
                "Replay the run and see what happens in it.",
                "run 3: drives out of ratio under load";
            ProofNotCompleted = 206, "proof-not-completed", Error,
                "Trials: a cycle did not complete",
                "Every run must end in the state Complete.",
                "A recipe that stops on a sound machine stops production.",
                "Replay the run and look at the first cause of its stop.",
                "run 19: Stopped, load out of band";
            ProofSize = 207, "proof-size", Error,
                "Trials: a part is out of size",
                "Every part of every run must end within target ± tolerance.",
                "Parts out of size are scrap.",
                "End by gauge, lap longer, or sort the parts by thickness.",
                "run 44: 0.5336 mm, 0.530 ± 0.003 mm";
            ProofDry = 208, "proof-dry", Error,
                "Trials: plates turned dry",
                "In no run may the plates turn without a film in the gap.",
                "Plates and parts would be scored.",
                "Lengthen the pre-start or raise the flow.",
                "run 2: dry for 0.4 s";
            ProofFinish = 210, "proof-finish", Error,
                "Trials: finish not reached",
                "Roughness at the end of every run must be at or below the target.",
                "The batch would need another process.",
                "Use a finer abrasive, or remove more.",
                "run 7: Ra 0.34 µm, target 0.30 µm";
            ProofSkipped = 211, "proof-skipped", Note,
                "Trials were not run",
                "No closed-loop run was made, because the static findings contain an error.",
                "Running a recipe with errors would only show what is already known.",
                "Correct the errors above and check again.",
                "3 errors, 0 runs";
            ProofRefused = 212, "proof-refused", Error,
                "Trials: the controller refuses the machine or the recipe",
                "Every rule of the controller's own check of limits must hold, or it does not load the recipe.",
                "What the controller refuses cannot be run. Here it refuses by a rule that no static finding covers.",
                "Change what the message names, and check again.",
                "the controller refuses the recipe: the ramp is faster than the machine allows (step 2)";
            WaiverIdle = 213, "waiver-idle", Note,
                "A waiver has no finding",
                "Every waived code should have a finding.",
                "A waiver that stays after its finding is gone would hide the finding when it comes back.",
                "Remove the waiver.",
                "--waive creep-too-fast, and the creep speed is sound";
            ProofSpread = 214, "proof-spread", Error,
                "Trials: parts differ too much",
                "Six standard deviations of the finished parts' thickness must stay within the whole width of the size tolerance in every run (a process capability of 1; common practice, no source).",
                "Most parts are in size, but the spread is too wide for the tolerance: another batch of the same parts would have some outside it.",
                "Lap longer, or sort the parts by thickness.",
                "run 90: 7.1 µm, width of the tolerance 6 µm";
            ProofCarrierTeeth = 217, "proof-carrier-teeth", Error,
                "Trials: teeth of a carrier overloaded",
                "In no run may the friction of the parts put more on a carrier's tooth than it bears, on whichever carrier has most of the load.",
                "It may break or climb the pins, and the parts break with it.",
                "Use thicker carriers or a stronger material, or lower the pressure or the friction.",
                "run 17: 240 N, limit 200 N";
            ProofDamage = 219, "proof-damage", Error,
                "Trials: damage left in a part",
                "At the end of every run the damage left in every face of every part must be no deeper than the batch allows; where the batch says nothing, no deeper than the process's own.",
                "The thinnest parts lose least, and keep what the process before did to them.",
                "Remove more, or sort the parts by thickness.",
                "run 31: 2.4 µm, process's own 2 µm";
            ProofFlatness = 215, "proof-flatness", Error,
                "Trials: a face is not flat enough",
                "Every face of every part must be as flat as the batch asks in every run, peak to valley and free of the plates, the bound of the roll-off at its rim in it.",
                "Parts take the form that both plates have along their path; thin parts keep the bow they came with.",
                "Flatten or cool the plates, choose ring speeds that wear them evenly, lap at less pressure at the end, or ask for what the process can do.",
                "run 12: 0.22 µm, target 0.01 µm";
            ProofParallelism = 216, "proof-thickness-within", Error,
                "Trials: thickness differs within a part",
                "The thickness of every part may differ within it by no more than the batch's parallelism in every run, the bound of the roll-off at its rim in it.",
                "What is left of an incoming taper, and how the plates come together under a part, stay in it.",
                "Remove more, flatten or cool the plates, or lap at less pressure at the end.",
                "run 12: 0.45 µm, target 0.1 µm";
            AssumedDecides = 220, "assumed-decides", Error,
                "What the machine file leaves out decides the verdict",
                "With any one assumed key at either end of its envelope, the static rules and one run must find no error; with all of them at ends, in 48 ways, the static rules must find none.",
                "The recipe is good on the machine as it is assumed, and bad on one that it may well be.",
                "Measure the key and write it into the machine file, or change the recipe so that both machines bear it.",
                "`slurry.film-life` is assumed to be 45 s; with 30 s it fails: film-short-for-stop";
        }
    };
}
