# server: the words of this room. Messages are in the order of the code that asks for them.

# Answers to requests that are not done.
refused-no-exercise = there is no such exercise
refused-seed-assessed = an assessment is drawn by a seed that nobody chooses: leave out `seed`
refused-full = there are { $most } stations, as many as the server takes: finish one
refused-stopping = the server is stopping
# $why is a sentence of the controller's own, in English.
refused-no-controller = { $why }
refused-no-thread = the system gave the server no thread; see its log
refused-name-empty = a name is needed
refused-name-long = a name has at most { $most } characters
refused-name-unprintable = a name has printable characters only
refused-no-number = an attempt has a number
refused-no-attempt = there is no attempt { $attempt } in the records
refused-records-busy = another program holds the records: close them there, and try again
refused-records-ended = the records are closed: start the server again
# $error is the database's own sentence, in English.
refused-records-database = the records cannot be used: { $error }: see that the disk is not full and that the file is whole; a backup can be named with --records
# $error is a whole sentence in English.
refused-records = { $error }
refused-debrief-assessed = an assessment has no debrief before it is over
refused-debrief-not-there = this debrief is for who was at its station: follow the link at the end of your own attempt, or ask your instructor
refused-no-file = there is no such file
refused-nothing = there is nothing under this address
refused-no-method = this address is not asked in this way
refused-passing = these exercises are the demonstration set's, and in no folder: write it out with `twinplate demo FOLDER`, and start with `--exercises FOLDER/exercises`
# $error is the system's own sentence.
refused-folder = the folder of exercises refuses: { $error }
refused-there = there is an exercise `{ $exercise }` already: give this one an identifier of its own
refused-changed = `{ $exercise }` was changed by somebody else meanwhile: open it again, or give this one an identifier of its own
# $why is a sentence of the program's, in English: what is wrong with what was sent.
refused-not-understood = { $why }
refused-no-host = a request names one host, once
refused-other-host = this server is not the host that was asked for: use the address that it printed
refused-other-origin = only a page of this server may do this
refused-no-token = this needs the server's token: open the page with the address that has it, or load it again
refused-not-instructor = this is for instructors: it needs the token that the server printed for them when it started
refused-failed = the server failed at this; see its log

# The trainer's own rule: who is ready has passed each exercise so often in a row.
rule-passes = { $passes } passes in a row; expected 1 to { $most }
rule-no-exercise = there is no exercise `{ $exercise }`

# Why a connection to a station is closed.
closing-busy = the station has more to do than it can; come back
closing-no-station = there is no such station; it may have been closed
closing-join-late = the first message, a join, did not come in time
closing-join-first = the first message must be a join
closing-protocol = this server speaks version { $ours }, the page { $theirs }: load the page again
closing-token = the token is not this server's: load the page again
closing-instructor = this token is the class's, and an instructor's is needed: the server printed it when it started
closing-unreadable = a message that is no websocket message, or far too long
closing-not-text = messages are text; this one was binary
closing-too-long = a message of { $bytes } bytes; the longest may have { $most }
# $error is a sentence of the program's, in English.
closing-not-understood = a message that is not understood: { $error }
closing-lost = no sign of life from this page
closing-too-many = more than { $most } messages a second
closing-joined-already = this connection has joined already
closing-full = this station has { $most } connections, as many as it takes
closing-no-seat = the server cannot give a seat
closing-replaced = this seat was taken again from another connection
closing-station-closed = the station is closed; its attempt is in the records

# What a station refuses. Control: one operator holds it and works the machine's panel; the others watch.
station-take-control-first = only whoever holds control of this station acts on it: take control first
station-not-leading = this is for whoever holds control, and for instructors
station-not-instructor = this is for instructors
station-assessed = an assessment goes by the clock, and only the trainee's hand is in it
station-no-time = { $seconds } s is no time of this session
station-not-held = the hold-to-run control was let go: hold it again
station-over = the attempt is over: nothing more is done to it
station-operators-only = only operators take control
station-control-held = somebody else holds control: ask them to let it go
station-control-kept = whoever held control has lost the connection and keeps it for { $seconds } s more
