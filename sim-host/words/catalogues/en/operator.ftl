# operator: the words of this room. Messages are in the order of the code that asks for them.

## The lobby, where an exercise is chosen.

# The page's title.
lobby-title = twinplate: training, operator
lobby-heading = twinplate · operator training
lobby-pages =
    .aria-label = Pages
lobby-instructor = Instructor
lobby-language =
    .aria-label = Language
lobby-choose = Choose an exercise
lobby-exercises = Exercises
lobby-chosen =
    .aria-label = The chosen exercise
lobby-none-chosen = No exercise chosen
lobby-trainee = Your name, as it should appear in the records
lobby-begin = Go to the machine
lobby-running = Machines in use
lobby-caution = Training simulator with invented machines and parts. It is no safety function. On a real machine local codes, the machine's own instructions and licensed practice decide.
lobby-unread = The exercises could not be read: { $why }
# Beside an exercise's title: a guide leads through it.
lobby-guided = ▸ guided
# Beside an exercise's title: it is an assessment.
lobby-assessment = ◇ assessment
lobby-no-exercise = No exercise was found. Start the server in the project's folder, or name a folder with --exercises.
lobby-guided-fact = Each step is explained, and the guide waits for it.
lobby-assessment-fact = An assessment: what is wrong, if anything is, is drawn anew each time. It runs by the clock without a pause, nothing tells how you stand, and a diagnosis comes before the first remedy.
# $machine is the machine's title; $pass the points that are needed to pass.
lobby-facts =
    { $points ->
        [one] { $machine }. { $points } point, passed from { $pass }.
       *[other] { $machine }. { $points } points, passed from { $pass }.
    }
# $state and $phase are the machine's.
lobby-station-held = { $state }, { $phase }; somebody holds control
lobby-station-free = { $state }, { $phase }; nobody holds control
# $title is the exercise's.
lobby-station = { $trainee }: { $title }
lobby-choose-first = Choose an exercise first.
lobby-name-first = Type your name first.
lobby-not-set-up = The machine could not be set up: { $why }

## At the machine.

station-shortcuts =
    .aria-label = Shortcuts
station-to-emergency = To the emergency stop
station-to-controls = To the controls
station-heading = Operator panel
station-exercise =
    .aria-label = Exercise
station-paces =
    .aria-label = Pace of time
station-take-control = Take control
station-finish = Finish
station-leave = Leave
station-task =
    .aria-label = Task
station-read-all = Read all
station-understood = Understood
station-found = Found
station-close = Close
station-caution = Training simulator, no safety function: on a real machine local codes, the machine's own instructions and licensed practice decide.
station-ended = The attempt is over
station-to-debrief = Open the debrief
station-another = Another exercise
station-no-answer = The server does not answer: { $why }
# The page's title; $title is the exercise's.
station-title = twinplate: { $title }
# What was refused, the $name of controls-refused: another pace of time; to take control or to release it.
station-pace = Pace
station-control = Control
station-step = ▶ Step { $number } of { $of }
station-work-order = Work order
# Somebody else operates; $seat is a short sign for who it is.
station-watching = ◎ Watching: seat { $seat } holds control
station-watching-free = ◎ Watching: nobody holds control
station-release-control = Release control
# $title is the exercise's; $attempt the attempt's number in the records.
station-recorded = "{ $title }" is recorded as attempt { $attempt }. The debrief shows what was done beside what should have been done.
station-recorded-untitled = The exercise is recorded as attempt { $attempt }. The debrief shows what was done beside what should have been done.

## The operator's hands: keys have little room, and those of one group stand side by side.

# $name is what is written on the key; $why is a sentence or the end of one, as in the messages here whose names end in -missing.
controls-refused = ✕ { $name } refused: { $why }
controls-emergency-stop = Emergency stop
controls-release-stop = Turn to release
controls-operator-panel = Operator panel
controls-acknowledge = Acknowledge alarms
# The stop category (IEC 60204-1).
controls-category = category { $category }
controls-raise = Raise plate
controls-confirm-count = Confirm count
controls-pieces = Pieces counted
controls-pieces-short = count
controls-pieces-missing = type the number of pieces that you counted, 0 to 999.
controls-unload = Unload
controls-unload-and-measure = Unload and measure
controls-machine =
    { $carriers ->
        [one] Guard and parts ({ $carriers } carrier)
       *[other] Guard and parts ({ $carriers } carriers)
    }
controls-unlock-guard = Unlock guard
controls-open-guard = Open guard
controls-close-guard = Close guard
controls-lock-guard = Lock guard
controls-load-carriers = Load carriers
controls-count-parts = Count parts
controls-work = Do it
controls-tending = What to do at the machine
controls-tending-none = at the machine…
controls-tending-missing = choose what to do at the machine first.
controls-at-machine = At the machine
controls-hand-over = Say it
controls-statement = What to hand over
controls-statement-none = hand over…
controls-statement-missing = choose what to hand over first.
controls-handover = Handover
controls-measure = Measure at five places
controls-measured = Parts to measure
controls-measured-short = parts
controls-measured-missing = type how many parts to measure, from 1.
controls-inspection = Inspection of the parts
controls-lay-flat = Lay optical flat on
controls-judge = Judge
controls-verdict = What you find of the parts
controls-verdict-none = these parts are…
controls-verdict-missing = choose what you find of the parts first.
controls-recall = Recall
controls-slot = Stored recipe
controls-slot-none = recipe…
controls-slot-missing = choose a stored recipe first.
# $title is the recipe's, $batch names what is lapped, $steps are the steps' names with their loads.
controls-stored =
    { $pieces ->
        [one] ◉ Slot { $slot }, { $title }, for { $batch }, { $pieces } piece: { $steps }.
       *[other] ◉ Slot { $slot }, { $title }, for { $batch }, { $pieces } pieces: { $steps }.
    }
controls-diagnose = Say so
controls-diagnosis = What you think is wrong
controls-diagnosis-none = diagnosis…
controls-nothing-wrong = nothing is wrong
controls-diagnosis-missing = choose what you think is wrong first.
controls-stores = Slurry and stores
controls-check-slurry = Check tank, agitator, line
controls-have-done = Have it done
controls-remedy = What to put right
controls-remedy-none = put right…
controls-remedy-missing = choose what to put right first.
controls-form-lower = Form of the lower plate, + convex
controls-form-lower-short = lower
controls-form-upper = Form of the upper plate, + convex
controls-form-upper-short = upper
controls-report-form = Report form
controls-form-missing = type what you read of both plates, + for a convex plate, − for a hollow one.
controls-form = Form of the plates
# What the form is read with, before the fields for it: interference bands under an optical flat, or the gap under a straightedge.
controls-by-bands = light bands, + hollow face:
controls-by-straightedge = straightedge, { $unit }, + inner edge high:
controls-recall-first = Recall the recipe first.
# $rings says how the conditioning rings are set; $lower and $upper are the forms of the plates, signed, in $unit.
controls-form-unreported = Rings: { $rings }. ⚠ Not reported.
controls-form-too-old =
    { $longest ->
        [one] Rings: { $rings }. Lower { $lower }, upper { $upper } { $unit }, ⚠ too old, { $age } of { $longest } batch old.
       *[other] Rings: { $rings }. Lower { $lower }, upper { $upper } { $unit }, ⚠ too old, { $age } of { $longest } batches old.
    }
controls-form-reported =
    { $longest ->
        [one] Rings: { $rings }. Lower { $lower }, upper { $upper } { $unit }, { $age } of { $longest } batch old.
       *[other] Rings: { $rings }. Lower { $lower }, upper { $upper } { $unit }, { $age } of { $longest } batches old.
    }
controls-setup-key = Setup key
controls-key-off = off
controls-setup = Setup, hold-to-run
controls-hold = Hold to run
controls-hold-note = moves only while held
# Under the emergency stop's button.
controls-pressed = PRESSED
controls-key-on = on
# A flag on the control that a guided step means.
controls-here = ▶ here
