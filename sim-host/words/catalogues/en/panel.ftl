# What every page of the machine shows, for operator and instructor alike. Messages are in the order of the files that ask for them.

# --- say.js: the key of light and dark, which names what a press leads to

theme-light = Light
theme-dark = Dark

# --- api.js

api-answered = the server answered { $status }

# --- link.js: the line to the server

link-connecting = Connecting…
link-again = Connection lost. Connecting again…
link-not-connected = Not connected: nothing was done.
link-no-answer = The connection was lost before an answer came. Look at the machine before you try again.
link-closed = The connection is closed.
link-lost = Connection lost. What you see is out of date; nothing you press has any effect.

# --- words.js

# A category of stop (IEC 60204-1), 0 to 2, and with what it does.
words-category = category { $category }
words-category-does = category { $category }: { $does }
# Keys of the pace of time, beside "1×" and "5×".
words-pause = Pause
words-fastest = Max
# At the end of a demonstration's title; it is taken off there.
words-invented = (invented)

# --- panel.js: state, view and what is in force

panel-state = State
panel-cut = Section and plan
panel-lamps = Lamps and switches
panel-instruments = Speeds, slurry, size, services
panel-scale = Across not to scale; heights by the scale at the left.
# Two keys, and what they choose.
panel-section = Section
panel-plan = Plan
panel-view = View
panel-missing = Missing: { $what }.
panel-time-stopped = time stopped
# The pace of time that is reached, "4.8".
panel-kept = { $pace }× kept
panel-step = step { $n } of { $all } "{ $name }"
panel-recipe = recipe { $slot } { $id }
panel-recipe-slot = recipe { $slot }
panel-no-recipe = no recipe
panel-confirmed = { $n } of { $all } parts confirmed
# Times that a step has held its load within the band, "1:30".
panel-spent-of = { $spent } of { $asked } in band
panel-spent = { $spent } in band
# The interlock row that came first; "row" stands in for a name that is not known.
panel-cause = First cause: { $name } (row { $row })
panel-row = row
panel-stop = stop
panel-no-force = No stop, hold or inhibit in force.

# --- ladder.js

ladder-title = Phase ladder
# Where the cycle left the ladder.
ladder-left = left
ladder-beside = Off the ladder: { $phase }

# --- load.js

# The whole time, beside "1 min" and "5 min".
load-all = all
load-windows = Length of the trend
load-chart = Load over the last minutes with phases, reference and limit
load-title = Load
load-reference = reference
load-limit = limit
load-ribbon = Cycle ribbon
load-gauge = Load gauge
load-over = ▲ above the limit
load-weight = weight of { $mass }
load-no-reference = none
load-no-limit = none
load-since = load since { $time }

# --- section.js

section-picture = Section through the plates
section-scale = gap, { $unit }
section-on-parts = on the parts
section-gap = gap { $height }

# --- plan.js

plan-picture = Plan: the machine from above
plan-nothing-turns = From above. Nothing turns.
plan-from-above = From above.
# Speeds with an arrow for the way round.
plan-carriers = Carriers: orbit { $orbit }, spin { $spin } rpm.
plan-slowed = Shown at 1×.

# --- instruments.js

instruments-speeds = Speeds, rpm; torque
instruments-inner = inner
instruments-outer = outer
instruments-lower = lower
instruments-upper = upper
instruments-slurry = Slurry
instruments-flow = flow
instruments-rinse = rinse
instruments-tank = tank
instruments-size = Size, { $target } ± { $tolerance }
instruments-gauge = gauge
instruments-services = Services
instruments-air = air supply
instruments-pump-on = pump on
instruments-pump-off = pump off
instruments-valve-open = valve open
instruments-stirred = stirred
instruments-not-stirred = not stirred
# The size by the gauge: below, within and above its tolerance, and not measured.
instruments-under = ▼ under
instruments-in-size = in size
instruments-above = above
instruments-unknown = unknown
# Lamps, each with "yes" or "no" behind it for who does not see it.
instruments-guard-open = guard open
instruments-guard-locked = guard locked
instruments-loaded = parts inside
instruments-pin = parking pin in
instruments-drives = drives on
instruments-standstill = standstill
instruments-pump = slurry pump
instruments-agitator = agitator turns
instruments-own-lock = own lock hangs
instruments-lamps = Lamps
instruments-yes = yes
instruments-no = no

# --- alarms.js

alarms-title = Alarms
alarms-all = All interlocks
alarms-no-alarm = No alarm. Every interlock is satisfied.
# How many there are, and how many of them wait for acknowledgement.
alarms-tally = { $all } · { $fresh } new
alarms-none = none
# Read out when an alarm comes.
alarms-line = Alarm { $row }: { $happened }
alarms-first = first cause
# Heads of the table of interlocks.
alarms-state = State
alarms-interlock = Interlock
alarms-watched = Watched
alarms-response = Response
alarms-released = Released by
alarms-what = What happened; what to do
alarms-close = Close
alarms-table = Table of interlocks
# A row that is not known.
alarms-unknown-name = row { $row }
alarms-unknown = Interlock { $row }

# --- sound.js

sound-on = ♪ on
sound-off = ♪ off
sound-named-on = Sound of alarms, on
sound-named-off = Sound of alarms, off

# --- news.js: the log, each line with the kind of what happened

news-done = done
news-moved = moved
news-interlock = interlock
news-refused = refused
news-seen = seen
news-instructor = instructor
news-exercise = exercise
news-found = found
news-list = Log, newest first
news-title = Log
