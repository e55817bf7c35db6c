# session: the words of this room. Messages are in the order of the code that asks for them.

## What comes next (advice.rs): the line of the panel

# $doing: what is under way, a whole line without its full stop. $minutes: a whole number
advice-at-work = { $doing }. Locked off for { $minutes } min at most.
advice-locked-out = Your lock holds the machine off. Take it off as the last, when nobody is near.
advice-estop = The emergency stop is pressed. Release it when nobody is in danger and its reason is gone.
advice-setup = Setup: choose a movement and hold it to run. Automatic, and the key off, when it is done.
advice-plate-change = Plate change: Automatic when the plates are in.
# Stands behind what is to be done about a row
advice-then-reset = Then Reset.
advice-standstill = Waits for standstill.
# Stands behind what could be done next
advice-but-only = But only once the cause of row { $row } ({ $name }) is found and put right.
advice-held = Held: Restart goes on, Stop ends the batch.
advice-home = Reset brings the machine home.
advice-raise = Raise the plate.
# Parts on the bench that nobody has judged
advice-unjudged = Parts lie on the bench: measure them, lay the optical flat on, and judge them.
advice-batch-ends = Reset ends the batch.
advice-take-out = Take the parts out.
advice-take-out-measure = Take the parts out and have them measured.
advice-not-parked = The plate is not parked. Raise it in Setup.
advice-recall = Recall the recipe of the work order.
advice-rejected = The parts were rejected. Lay others in once the cause is found and put right.
advice-lay-in = Lay the carriers with their parts in.
advice-count = Count the parts where they lie, if nobody has, and confirm the count.
advice-count-again = { $confirmed } confirmed, and the recipe is for { $wanted }: count again.
advice-check-slurry = Check tank, agitator and line.
advice-start-counted = Start, if the parts were counted where they lie.
advice-report-form = Report the form of the plates, if it was measured; then Start.
advice-start-recipe = Start, if { $recipe } is the recipe of the work order.
advice-start = Start.
advice-vent = Waits for standstill, and for the cylinder to vent.
advice-unlock = Unlock the guard.
advice-open = Open the guard.
advice-close = See that nobody is near, and close the guard.
advice-lock = Lock the guard.

## What a machine that is under way waits for (words.rs)

waits-coast = Waits for the drives to coast to standstill.
waits-rest = Waits for the machine to come to rest.
waits-precheck = Waits for everything that must be proven before anything moves.
waits-lower = Waits for the plate to come down to the parts.
waits-touch-down = Waits for the initial load to settle.
waits-slurry-prestart = Waits for slurry to flow and the gap to be wet.
waits-run-up = Waits for all four drives to come to speed together.
waits-load-ramp = Waits for the load to come to the step's setpoint.
waits-dwell = Waits for the step's end: its time, its stock or its size.
waits-load-release = Waits for the load to come down to the initial load.
waits-rinse = Waits for the rinse to end.
waits-run-down = Waits for the drives to come to standstill.
waits-slurry-stop = Waits for the line to stop flowing.
waits-lift = Waits for the plate to be raised and pinned.
waits-manual = Waits for the hold-to-run control to be let go.

# What each category of stop does (IEC 60204-1)
stop-category-0 = power off at once
stop-category-1 = to rest, then power off
stop-category-2 = to rest, load stays under control
# An alarm that was acknowledged and is gone, but whose row waits for a Reset (ANSI/ISA-18.2: latched)
alarm-is-latched = latched: needs Reset

## What a tick has brought (ticks.rs)

told-power-away = The power was away. The controller has started anew and knows nothing of the parts.
told-mode = Mode: { $mode }
# Where the controller has come to: $state and $phase are the machine's words
told-phase = { $state }: { $phase }
told-step = { $state }: { $phase }, step { $step }
# $items: what Precheck misses, with commas between
told-missing = Not ready to start. Missing: { $items }.
told-reset = Reset: no latch is left.
told-reset-left = { $left ->
    [one] Reset: { $left } latch stays, its cause is still there.
   *[other] Reset: { $left } latches stay, their causes are still there.
    }
# Stands for the name of a row that is not known
told-interlock = interlock
told-departed = The cycle left its course: { $row } came first.
# Stands for what was done, where that is not known
told-controller-refused = The controller refused
# $what: what was done. $why begins with a small letter
told-refused = { $what }: refused: { $why }

## The guide of a guided exercise (guide.rs)

told-guide-step = Step { $number } of { $of } done.

## How the pin rings turn, as the panel shows it (frame.rs)

rings-programmed = as programmed
rings-reversed = reversed
# $trim: with its sign
rings-trimmed = trimmed by { $trim } %
rings-reversed-trimmed = reversed, trimmed by { $trim } %

## What eyes and hands find out beside the panel (looks.rs)

refused-nothing-to-count = there are no carriers in the machine: load them first
seen-pockets-filled = { $present } of { $pockets } pockets filled; each part lies flat.
seen-pockets-empty = { $present } of { $pockets } pockets filled; { $empty } empty.
seen-pockets-doubled = { $parts } parts in { $pockets } pockets; { $doubled } pocket(s) with two parts, one on the other: they do not lie flat.
# Sentences of one line: the tank, that the abrasive has settled, the agitator, the line
seen-tank = The tank is { $level } % full.
seen-settled = The abrasive has settled: the top of the tank is clear.
seen-agitator-off = The agitator's switch at the tank is off: it does not turn.
seen-agitator-blade = The agitator's motor turns, but its blade stands still.
seen-agitator-fits = The agitator turns by fits and starts.
seen-agitator-turns = The agitator turns.
seen-agitator-ready = The agitator is switched on at the tank and turns with the cycle.
seen-line-blocked = The hose is tight as a drum and nothing comes out of it: blocked.
seen-line-plug = There is a dry plug in the end of the line.
seen-line-uneven = Slurry comes unevenly.
seen-line-runs = Slurry runs as it should.
seen-line-clear = The line is clear.

## What is found when parts are taken out (found.rs)

# Stands as $which in the line below, and over the pictures
found-which = part { $part } (carrier { $carrier }, pocket { $pocket })
found-flat-laid = flat laid on
found-flat-tipped = flat tipped by { $bands } bands
# $faces: what shows on both faces, with a semicolon between
found-under-the-flat = Under the optical flat the worst is { $which }: { $faces }.
found-untouched = The parts are as they came: nothing has touched them.
found-unmeasured = { $whole } whole parts lie on the bench, unmeasured. Measure them, lay the optical flat on, and judge them.
# All but $whole are sizes; $least and $target come without their unit, which follows at once
found-measured = { $whole } whole parts measured: mean { $mean }, from { $least } to { $most } (± { $uncertainty }), for { $target } ± { $tolerance }.
found-off-size = { $under } too thin, { $over } too thick.
found-scratched = { $parts } scratched: fine lines across their faces, which the finish does not hide.
found-cracked = { $parts } cracked: they bore more than they can.
found-scored = The plates are scored: they turned without slurry between them.
found-carriers = Carriers are damaged: worn teeth or marks of the plate on them.
found-no-marks = No cracks, no marks on plates or carriers.

## The operator inspects the parts (inspect.rs)

refused-parts-to-measure = { $there } whole parts lie on the bench: measure from 1 to { $there } of them
# $sizes: five sizes, with a semicolon between
found-readings = Part { $part } (carrier { $carrier }): { $sizes }.
refused-unknown-verdict = `{ $verdict }` is no verdict; one of { $known }
refused-gauge-room = in this exercise the parts are measured for you when they are taken out
refused-no-parts = no lapped parts lie on the bench: take them out of the machine first

## Hands on the machine and its panel (hands.rs). What is refused stands behind a colon: small letter, no full stop

seen-locked-out = Nothing moves: power and air are isolated, and your lock holds them off.
refused-too-many-wait = { $acts } acts wait for the controller already: let time pass
refused-guard-locked = the guard's bolt holds it: unlock it first, where that is allowed at standstill
refused-loaded = carriers with parts lie in the machine already
refused-empty = there are no carriers in the machine
refused-proves-nothing = nothing moves, but with an open guard that proves nothing of your lock: shut and lock the guard, then press
refused-unknown-statement = `{ $id }` is nothing that can be handed over here; one of: { $known }
refused-guard-shut = the guard is closed: unlock it, then open it
refused-not-parked = the plate is not parked: nobody reaches under a plate that is not held by its pin
refused-no-such-slot = there is no recipe in slot { $slot }: no slot has this number; recipes are in slots 1 to { $last }
refused-empty-slot = there is no recipe in slot { $slot }: nothing is stored there; recipes are in slots 1 to { $last }
# $why: in English; a flash that fails
refused-unread-slot = there is no recipe in slot { $slot }: { $why }; recipes are in slots 1 to { $last }
refused-no-flatness-control = recall a recipe that keeps the plates flat first: it says by what their form is reported
refused-other-than-straightedge = this recipe reckons in µm by the straightedge: report those
refused-other-than-bands = this recipe reckons in light bands on the parts: report those
seen-loaded = Carriers and parts lie in the machine. Count them before you close the guard.
refused-unknown-mode = `{ $mode }` is no mode; one of { $known }
refused-unknown-movement = `{ $movement }` is no movement; one of { $known }

## The hold-to-run control (grip.rs)

# $why: one of those below
grip-in-vain = Hold to run: nothing moves: { $why }
# $time: in s or min
grip-lowers = Lowers at creep speed: { $time } to the parts.
grip-not-setup = it is for Setup, which is not chosen
grip-no-movement = no movement is chosen
grip-key-off = the setup key is off
grip-guard = the guard is not shut and locked
grip-not-reset = something that stopped the machine is not reset
grip-row-not-reset = row { $row } ({ $name }) is not reset
grip-not-at-rest = the machine is not at rest yet; let go, and hold again
grip-plate-up = the plate is up and pinned
grip-plate-down = the plate is down
grip-jog-dry = the plate rests on the parts, and nothing turns dry; raise it first
grip-not-on-rings = the plate is not down on its rings
grip-no-recipe = no recipe is recalled
