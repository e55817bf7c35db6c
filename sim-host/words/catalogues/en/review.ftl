# review: the debrief, for reading on the page and on paper, and its time line.


## The debrief

debrief-title = twinplate: training, debrief
debrief-heading = twinplate · debrief
debrief-caution = Training simulator with invented machines and parts, no safety function. A trainee who masters it has mastered the simulator: the first cycles on a machine are made with someone who knows it, under local codes and licensed practice.

# Why there is nothing to show: told in debrief-unread.
debrief-none = this attempt has none, because it was not ended properly. Its actions are in the records.
debrief-title-of = Debrief { $attempt }: { $title }, { $trainee }
debrief-unread = The debrief of attempt { $attempt } could not be read: { $why }

# Between dots: trainee, attempt, when it began, how long it took, whether it was finished.
debrief-attempt = attempt { $attempt }
debrief-machine-time = { $time } of machine time
debrief-not-finished = not finished
debrief-passed = passed
debrief-not-passed = not passed
# Stands below "97 of 100" (debrief-points-of).
debrief-pass = points; passed from { $pass }
debrief-drawn = Drawn for this attempt: { $drawn }.

# On paper only.
debrief-signatures = Signatures
debrief-paper-of-run = Attempt { $attempt }, exercise { $exercise }, seed { $seed }, run { $run }. Printed { $date }.
debrief-paper = Attempt { $attempt }, exercise { $exercise }, seed { $seed }. Printed { $date }.
debrief-trainee = Trainee: { $trainee }
debrief-instructor = Instructor, date

# How long the attempt took by the clock, how often time was stopped, and how long it ran faster.
debrief-clock-fast =
    { $pauses ->
        [0] { $lasted } by the clock; time never stopped; faster than the clock for { $fast }.
        [1] { $lasted } by the clock; time stopped once, for { $paused }; faster than the clock for { $fast }.
       *[other] { $lasted } by the clock; time stopped { $pauses } times, for { $paused }; faster than the clock for { $fast }.
    }
debrief-clock =
    { $pauses ->
        [0] { $lasted } by the clock; time never stopped.
        [1] { $lasted } by the clock; time stopped once, for { $paused }.
       *[other] { $lasted } by the clock; time stopped { $pauses } times, for { $paused }.
    }
debrief-nothing = Nothing in particular: go on to the next exercise.
debrief-practise = What to practise next

# The signs of the time line.
debrief-load = measured load
debrief-reference = reference
debrief-limit = step limit
debrief-due = from when it was due to when it had to be done
# Of a thing that was done; also the head of the column that tells when.
debrief-done = done
debrief-undone = not done, or wrong
debrief-happened = what happened
debrief-line = What was done, beside what should have been done

debrief-points-of = { $points } of { $of }

# What a good operator does: when it was due, by when it had to be done, when it was done, how long it took, how it is judged.
debrief-number = No.
debrief-good = What a good operator does
debrief-due-at = due
debrief-by = by
debrief-took = took
debrief-judged = judged
debrief-points = points
debrief-steps = Step by step
debrief-table-steps = Table: step by step
debrief-not-called-for = was not called for
debrief-not-done = not done
debrief-late = late

# Seconds, with their unit as written here.
debrief-reaction-stopped = { $seconds } s, and { $stopped } s with time stopped
debrief-cause = Cause
debrief-answer = Answer
debrief-seen = seen
debrief-answered = answered
debrief-reaction = reaction
debrief-reactions = Reaction times
debrief-table-reactions = Table: reaction times

debrief-lost = Points lost
debrief-lost-none = None.
debrief-when = when
debrief-what = what
debrief-why = why it matters
debrief-table-lost = Table: points lost

debrief-harm-points = { $text } (−{ $points } points)
debrief-no-harm = No harm to parts, plates or carriers was found.
debrief-harm = Harm and parts
debrief-unmeasured = No parts were measured: they were not unloaded.
debrief-measured-broken = { $n } parts measured, mean { $mean }; wanted { $target } ± { $tolerance }; { $broken } broken.
debrief-measured = { $n } parts measured, mean { $mean }; wanted { $target } ± { $tolerance }.
debrief-picture = Measured parts, sorted, against the tolerance

debrief-refused = refused: { $why }
debrief-all = Everything that was done
debrief-table-all = Table: everything that was done


## The time line

line-picture = Time line: phases and load, what should have been done, what was done. The tables below say the same in words.
line-should = Should have been done
# Behind what should have been done, in the picture.
line-not-done = (not done)
line-late = (late)
line-done = Done
