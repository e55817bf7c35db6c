# teacher: the pages of instructors: stations and records, the class, and the form of exercises.


## Instructor's page; and what the heads of these pages and of the debrief share

instructor-title = twinplate: training, instructor
instructor-heading = twinplate · instructor
instructor-pages =
    .aria-label = Pages
instructor-records = Records
instructor-to-instructor = Instructor
instructor-to-class = Class
instructor-to-exercises = Exercises
instructor-to-operator = Operator
instructor-print = Print
instructor-stations = Stations
instructor-station = Station
instructor-close = Close
instructor-faults =
    .aria-label = Faults
instructor-fault-title = Begin or end a fault
instructor-component = Component
instructor-how = How it fails
instructor-how-much = How much
instructor-inject = Begin the fault
instructor-repair = Put the component right
instructor-time = Time
instructor-paces =
    .aria-label = Pace of time
instructor-go-back-to = Go back to
instructor-moment =
    .aria-label = Moment, minutes:seconds
# A key; and in the answer below it what was refused.
instructor-go-back = Go back
instructor-then-stops = Time then stops. What came later counts as not having happened; the log keeps it.
instructor-finish = End the attempt and record it
instructor-filter-label = Show only attempts with
instructor-filter =
    .placeholder = trainee or exercise
instructor-result = Result
instructor-every = every result
instructor-passed = passed
instructor-not-passed = not passed
instructor-not-finished = not finished
instructor-running = running
# The two files that the records are saved as.
instructor-csv = Attempts as CSV
instructor-csv-acts = Actions as CSV
instructor-table =
    .aria-label = Table of attempts
# Heads of the table of attempts. "No." is the attempt's number.
instructor-number = No.
instructor-trainee = Trainee
instructor-exercise = Exercise
instructor-began = Began
instructor-points = Points
instructor-debrief = Debrief
instructor-caution = Training simulator, no safety function. A trainee who masters it has mastered the simulator: the first cycles on a machine are made with someone who knows it.

instructor-no-answer = The server does not answer: { $why }
instructor-stations-unread = The stations could not be read: { $why }
instructor-nobody = Nobody is at a machine. An operator begins on the operator page.
# On a station's card, between dots: alarms and what the machine does about them; pages that are open; the pace of time.
instructor-alarms =
    { $n ->
        [one] { $n } alarm, { $response }
       *[other] { $n } alarms, { $response }
    }
instructor-no-alarm = no alarm
instructor-present =
    { $n ->
        [one] { $n } page
       *[other] { $n } pages
    }
instructor-present-without-control =
    { $n ->
        [one] { $n } page, no control
       *[other] { $n } pages, no control
    }
instructor-pace-of =
    { $pace ->
        [paused] time stopped
        [fastest] fastest
       *[other] { $pace }
    }
instructor-recorded = The attempt is over and recorded as number { $attempt }.
# What was asked for, as the answer names it: "{ $what }: done." The component goes by its word in files.
instructor-fault = Fault
instructor-no-number = "{ $text }" is not a number; leave it empty for the usual magnitude.
instructor-fault-of = { $component } { $mode }
instructor-put-right = { $component } put right
# How a component fails.
instructor-mode =
    { $mode ->
        [off] off
        [stuck] stuck
        [garbage] garbage
        [wrong] wrong
        [slow] slow
        [delayed] delayed
        [intermittent] intermittent
       *[other] { $mode }
    }
instructor-needs-none = (needs none)
# What a fault does, in words that follow "it", as in "reads zero", or that name a part, as in "coil dead". Words of other languages than
# English are whole as they come, and need nothing before them.
instructor-meaning = It { $meaning }.
instructor-meaning-of-part = The { $meaning }.
instructor-pace = Pace
instructor-no-moment = write the moment as minutes:seconds, like 1:30, or as seconds.
instructor-back-to = Back to { $moment }
instructor-end = End
instructor-done = { $what }: done.
instructor-refused = { $what } refused: { $why }
instructor-unsaved = The records could not be saved: { $why }
instructor-records-unread = The records could not be read: { $why }
# Of points, and of the attempts that are shown.
instructor-of = { $part } of { $whole }
instructor-debrief-of = Debrief { $attempt }


## The class

class-title = twinplate: training, class
class-heading = twinplate · class
class-rule = Who is ready
# One sentence around a list of "once", "twice", "3 times" (class-times).
class-rule-before = has passed each exercise ticked below
class-passes = times in a row
class-rule-after = in a row, to the last attempt.
class-keep = Keep this rule
class-nobody = Nobody has finished an attempt yet.
class-table =
    .aria-label = Table of the class
class-cell = A cell: points of the last attempt, how it went against the one before, the best, and how many were finished. The link leads to the last debrief.
class-caution = Training simulator, no safety function. Ready here is ready for instruction at the machine, by someone who knows it, under local codes and licensed practice.

class-unread = The class could not be read: { $why }
class-times =
    { $n ->
        [1] once
        [2] twice
       *[other] { $n } times
    }
class-exercise = Exercise
# Head of the boxes that tell which exercises count for who is ready.
class-counts = counts
class-ready = Ready
class-exercise-counts = { $title } counts
class-no-rule = no rule yet
# Exercises that are still to be passed.
class-to-go = { $n } to go
class-is-ready = ready
class-best =
    { $n ->
        [one] best { $best }, { $n } try
       *[other] best { $best }, { $n } tries
    }
class-changed = Changed, not kept yet.
class-kept = Kept.
class-not-kept = not kept: { $why }


## The form of exercises

form-title = twinplate: training, exercises
form-heading = twinplate · exercises
form-broken = Files that are left out
form-from = Begin with
form-open = Open
form-where = Exercises that were made here are changed in their place. Of all others a copy is made, under an identifier of its own.
form-exercise =
    .aria-label = Exercise
form-check = Check
form-keep = Keep and offer it
form-errors =
    .aria-label = What is wrong
form-caution = Training simulator, no safety function. An exercise trains what it expects: have someone who knows the machine look at it before others learn by it.

form-unread = The exercises could not be read: { $why }
# Follows "Begin with".
form-blank = a blank form
form-line = line { $line }: { $told }
# What is wrong in a file is told in English, as on a terminal; so is what is added to it here.
form-expected = { $message }; expected { $expected }
form-nearest = { $told }. Did you mean "{ $nearest }"?
form-leave = What was changed here is not kept. Leave it?
form-own = This exercise was made here: it is changed in its place.
form-copy = A copy, under an identifier of its own.
form-not-opened = not opened: { $why }
form-wrong =
    { $n ->
        [one] { $n } thing is wrong.
       *[other] { $n } things are wrong.
    }
form-kept = Kept as "{ $id }", { $points } points. Operators find it in their list.
form-right = Nothing is wrong: { $points } points can be had.

# Heads of the parts of an exercise.
form-events = What happens
form-training = The exercise
form-good = What a good operator does
form-forbidden = What nobody should do
form-guide = Guide, step by step
form-stored = Stored recipes
form-book = Shift book
form-statements = What can be said at the handover
form-found = How the machine is found
form-harm = What harm costs
# What there is to choose between.
form-when = When
form-what = What
form-from-when = From when
form-place = Where
form-identifier = Identifier
# Two keys of a file that exclude each other.
form-or = { $one } or { $other }
# Follow a key's description, which is in English.
form-range = From { $least } to { $most }.
form-left-out = Left out: { $usual }.
form-up = Up
form-down = Down
form-take-out = Take out
form-add = Add to "{ $list }"
