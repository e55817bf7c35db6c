# debrief: the words of this room. Messages are in the order of the code that asks for them.

# Why points were lost.
lost-needless-remedy = It was whole: first find the cause, then have it put right.
lost-needless-stop = Nobody was in danger: it costs the batch, and it finds no cause.
lost-no-diagnosis = No diagnosis was given.
lost-nothing-wrong = Nothing was wrong.
# Names of components, with commas between them.
lost-truth = It was: { $components }.
lost-late = It was done { $seconds } s too late.
lost-not-in-time = It was not done in time.
lost-not-come = It did not come to that.

# Harm, and why it costs.
harm-cracked = Parts are cracked.
harm-cracked-why = They bore more than they can.
harm-scored = The plates are scored.
harm-scored-why = They turned under load without slurry between them.
harm-carriers = Carriers are damaged.
harm-carriers-why = The drives left their ratio under load, or the plate came down on the carriers or rose while they turned.
harm-undersize = Parts are too thin.
harm-undersize-why = They were worked on too long: nothing brings them back.
harm-oversize = Parts are too thick.
harm-oversize-why = The batch was given as complete and is not.
harm-scratched = Parts are scratched.
harm-scratched-why = Grains of another abrasive were left in the machine or its slurry.
harm-danger = Somebody could have been hurt.
harm-danger-why = Something moved, pressed or fell with the guard open.

# What happened.
event-mode = Mode: { $mode }
event-whole-again = { $component }: whole again
event-power = The power was away.
event-found = Parts taken out: { $whole } whole, { $cracked } cracked.

# What could be seen before somebody reacted; stands at the beginning of a line or alone.
cause-fault = { $component } began to fail
cause-state = the machine was { $state }
cause-phase = phase { $phase }

# What to practise next. "What" is a whole sentence of the exercise, with its full stop.
practise-think = Think about: { $what } { $why }
practise-faster = Faster: { $what }
practise-missed = Do not leave out: { $what }
practise-slow = In time, but only just: { $what }
practise-nothing = Nothing was lost: go on to the next exercise.

# What an instructor did.
acted-inject = Instructor: { $component } { $mode }
acted-repair = Instructor: { $component } put right
