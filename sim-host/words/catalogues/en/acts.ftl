# acts: the words of this room. Messages are in the order of the code that asks for them.

# What is done. An act is a short heading without a full stop.
act-press-emergency-stop = Emergency stop pressed
act-release-emergency-stop = Emergency stop released
act-unlock-guard = Guard: unlock
act-lock-guard = Guard: lock
act-open-guard = Guard opened
act-close-guard = Guard closed
act-load-carriers = Carriers and parts laid in
act-unload-carriers = Carriers and parts taken out
act-count-parts = Parts counted
act-lay-flat = Optical flat laid on
act-check-slurry = Slurry, agitator and line checked
act-raise = Raise
act-acknowledge = Alarms acknowledged
act-understood = Understood
act-measure-parts =
    { $parts ->
        [one] One part measured at five places
       *[other] { $parts } parts measured at five places
    }
# The verdict is one of the machine's words: "accepted: they may go on", "rejected: too thick".
act-judge-parts = Parts { $verdict }
act-confirm-parts = Confirmed: { $pieces } pieces
act-recall-recipe = Recipe recalled from slot { $slot }
act-set-mode = Mode: { $mode }
act-setup-key-on = Setup key on
act-setup-key-off = Setup key off
act-select-move = Setup movement: { $movement }
act-hold-to-run = Hold-to-run held
act-let-go = Hold-to-run let go
act-diagnose-nothing = Diagnosis: nothing
act-diagnose = Diagnosis: { $component }
act-remedy = Had put right: { $component }
act-hand-over = Handed over: { $statement }
# The numbers are already written, with their signs.
act-report-by-straightedge = Form of the plates by straightedge: lower { $lower }, upper { $upper }
act-report-by-bands = Form of the plates by bands: lower { $lower }, upper { $upper }
act-report-form = Form of the plates by { $by }: lower { $lower }, upper { $upper }

# What was done between cycles, likewise.
done-lay-straightedge = Straightedge laid across both plates
done-condition-plates = Plates conditioned
done-sample-slurry = Slurry sampled
done-mix-slurry = Slurry brought to its grains
done-change-slurry = Slurry changed, tank and line rinsed
done-wash-machine = Plates, carriers and rings washed
done-hang-lock = Power and air isolated, own lock and tag hung
done-take-lock-off = Own lock taken off, power and air back

# Ways in which a component fails, one word each, behind the component's name and a colon.
failing-off = off
failing-stuck = stuck
failing-garbage = garbage
failing-wrong = wrong
failing-slow = slow
failing-delayed = delayed
failing-intermittent = intermittent

# How something is put right: what (below), how many minutes, and where.
remedy-outside = { $what } ({ $minutes } min, outside the guard)
remedy-inside = { $what } ({ $minutes } min, guard open, plate parked)
remedy-regulator = have the pressure regulator exchanged
remedy-dump-valve = have the dump valve exchanged
remedy-dump-feedback = have the dump valve's feedback switch exchanged
remedy-counterbalance = have the counterbalance regulator set
remedy-rod-valve = have the check valve of the rod side exchanged
remedy-rod-switch = have the rod-pressure switch exchanged
remedy-air-supply = have the air supply restored
remedy-load-cell = have the load cell and its amplifier exchanged and checked
remedy-cap-transmitter = have the cap-pressure transmitter exchanged
remedy-height-transmitter = have the height transmitter exchanged
remedy-parking-pin = have the parking pin repaired
remedy-swing-arm = have the swing arm's switch set
remedy-emergency-stop-a = have channel A of the emergency stop repaired
remedy-emergency-stop-b = have channel B of the emergency stop repaired
remedy-guard-a = have channel A of the guard switch repaired
remedy-guard-b = have channel B of the guard switch repaired
remedy-guard-lock = have the guard lock repaired
remedy-drive-inner = have the inner ring's drive checked and its trip reset
remedy-drive-outer = have the outer ring's drive checked and its trip reset
remedy-drive-lower = have the lower plate's drive checked and its trip reset
remedy-drive-upper = have the upper plate's drive checked and its trip reset
remedy-pump = have the slurry pump repaired
remedy-slurry-line = free and flush the slurry line
remedy-flow-switch = have the flow switch exchanged
remedy-agitator = put the agitator right and switch it on at the tank
remedy-tank-level = have the level transmitter exchanged
remedy-rinse-water = have the rinse water restored
remedy-cooling = have the plate cooling restored
remedy-temperature-lower = have the lower plate's temperature sensor exchanged
remedy-temperature-upper = have the upper plate's temperature sensor exchanged
remedy-gauge = have the size gauge put right
remedy-parts = free or lay right the parts, by the safe procedure for this machine
remedy-drive-dog = have the upper plate's drive dog put right
remedy-tick = have the controller checked

# What an operator does between cycles, said like the remedies above.
task-lay-straightedge = lay the straightedge across both plates
task-condition-plates = lay the conditioning rings in, shut the guard, wear both plates flat
task-sample-slurry = sample the slurry
task-mix-slurry = bring the slurry to its grains
task-change-slurry = change the slurry, rinse tank and line
task-wash-machine = wash plates, carriers and rings
task-hang-lock = isolate power and air, hang your own lock and tag
task-take-lock-off = take your own lock off, give power and air back

# The attempt.
attempt-broken-off = The attempt is broken off here: { $why }.
# Why a controller cannot be reached; stands behind a colon, before a full stop.
port-lost = the connection to the controller at { $at } was lost; check that it is running and start the run again
port-timeout = the controller at { $at } did not answer a tick within { $waited } ms; check that it is not stopped in a debugger and that nothing else holds the line
port-protocol = the controller at { $at } answered with { $what }; check that both sides were built from the same version
# Why something is refused begins with a small letter and has no full stop: it stands behind a colon.
attempt-over = the attempt is over
attempt-full = more acts than an attempt can hold
act-refused = { $act }: refused: { $why }
attempt-time-up = The time of the exercise is up.
cannot-go-back = the controller of this session cannot be taken back in time: begin a new session
attempt-went-back = Went back to { $seconds } s.

# Faults that an instructor sets.
fault-unknown-mode = `{ $mode }` is no way to fail
unknown-component = `{ $component }` is no component; one of { $known }
instructed-put-right = { $component }: put right
fault-unsupported = { $component } cannot fail as '{ $mode }'; it can be: { $known }
fault-magnitude = magnitude { $given } of { $component } '{ $mode }' cannot be used; give { $wanted }
fault-plate-down = parts can only be misplaced while the plate is off them; inject this fault before touch-down or after lift
magnitude-finite = a finite number in the unit of the table
magnitude-time = more than 0 s and at most 600 s
magnitude-count = a count of at least 1

# How the exercise stands, told as it goes.
progress-done = Done: { $what }
progress-late = Done, but late: { $what }
progress-missed = Not done in time: { $what }
progress-wrong = Not so: { $what }. { $why }

# Tasks between cycles: why one cannot be begun.
unknown-task = `{ $task }` is no task; one of { $known }
tend-held = a cycle is held: end it first, and have the plate parked
tend-lock-hangs = your lock hangs there already
tend-no-lock = no lock of yours hangs on the machine
tend-lock-holds = it takes the drives or the pump, and your lock holds them off
tend-loaded = carriers with parts lie on the plate: take them out first
tend-no-rings = there are no conditioning rings for this machine
tend-not-shut = the plates turn under load for it: shut and lock the guard

# What came of them.
tended-condition-plates = Both plates are conditioned. Lay the straightedge across them to see what it did.
tended-mix-slurry = The slurry is brought to the grains of the recipe. Worn grains stay in it.
tended-change-slurry = Tank and line are emptied, rinsed, and filled with fresh slurry.
tended-wash-machine = Plates, carriers and rings are washed.
tended-hang-lock = The drives' isolator is off, the air behind its valve is shut off and vented; your lock and tag hang on both. Panel and gauges keep their supply. Prove it before you reach in: guard shut and locked, press Start, and see that nothing moves.
tended-take-lock-off = Your lock is off, power and air are back.
straightedge-lower = inner edge { $amount } lower than the outer edge
straightedge-higher = inner edge { $amount } higher than the outer edge
tended-straightedge = By the straightedge: lower plate: { $lower }; upper plate: { $upper }. Higher is towards the parts.
sample-sharp = By weight the slurry holds { $percent } % of grains. Under the magnifier they are sharp.
sample-rounded = By weight the slurry holds { $percent } % of grains. Under the magnifier they are rounded at their edges.
sample-worn = By weight the slurry holds { $percent } % of grains. Under the magnifier they are worn round.
sample-coarse = Some or all of them are several times as large as the recipe's.
sample-dark = The slurry is dark with swarf.

# Somebody is at work. What is under way is a remedy or a task, as above.
work-being-put-right = Being put right: { $what }
work-under-way = Under way: { $what }
work-no-diagnosis = say first what you think is wrong, then have it put right
remedy-under-way = Under way: { $what }. Isolate, lock off, prove dead; whoever does it is trained for it.
work-not-at-rest = the machine is not at rest: nothing is done to it while something may move
work-locked-off = somebody is at work on it ({ $what }) and has locked the machine off
work-nothing-wrong = { $component }: looked at, and nothing was wrong with it.
work-put-right = { $component }: put right.

# A line of the shift book, behind the work order.
shift-book = Shift book: { $line }
