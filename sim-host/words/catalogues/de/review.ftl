# Die Nachbesprechung, zum Lesen auf der Seite und auf Papier, und ihre Zeitachse.


## Die Nachbesprechung

debrief-title = twinplate: Schulung, Nachbesprechung
debrief-heading = twinplate · Nachbesprechung
debrief-caution = Schulungssimulator mit erfundenen Maschinen und Teilen, keine Sicherheitsfunktion. Wer ihn beherrscht, beherrscht den Simulator: die ersten Zyklen an einer Maschine werden mit jemandem gefahren, der sie kennt, nach den örtlichen Vorschriften und durch befähigte, dazu zugelassene Personen.

# Warum es nichts zu zeigen gibt: wird in debrief-unread gesagt.
debrief-none = für diesen Versuch gibt es keine, weil er nicht ordentlich beendet wurde. Seine Handlungen stehen in den Aufzeichnungen.
debrief-title-of = Nachbesprechung { $attempt }: { $title }, { $trainee }
debrief-unread = Die Nachbesprechung von Versuch { $attempt } konnte nicht gelesen werden: { $why }

# Zwischen Punkten: Teilnehmer, Versuch, wann er begann, wie lange er dauerte, ob er beendet wurde.
debrief-attempt = Versuch { $attempt }
debrief-machine-time = { $time } Maschinenzeit
debrief-not-finished = nicht beendet
debrief-passed = bestanden
debrief-not-passed = nicht bestanden
# Steht unter „97 von 100“ (debrief-points-of).
debrief-pass = Punkte; bestanden ab { $pass }
debrief-drawn = Für diesen Versuch gezogen: { $drawn }.

# Nur auf Papier.
debrief-signatures = Unterschriften
debrief-paper-of-run = Versuch { $attempt }, Übung { $exercise }, Startwert { $seed }, Lauf { $run }. Gedruckt { $date }.
debrief-paper = Versuch { $attempt }, Übung { $exercise }, Startwert { $seed }. Gedruckt { $date }.
debrief-trainee = Teilnehmer: { $trainee }
debrief-instructor = Ausbilder, Datum

# Wie lange der Versuch nach der Uhr dauerte, wie oft die Zeit angehalten war und wie lange sie schneller lief.
debrief-clock-fast =
    { $pauses ->
        [0] { $lasted } nach der Uhr; Zeit nie angehalten; { $fast } lang schneller als die Uhr.
        [1] { $lasted } nach der Uhr; Zeit einmal angehalten, { $paused } lang; { $fast } lang schneller als die Uhr.
       *[other] { $lasted } nach der Uhr; Zeit { $pauses }-mal angehalten, { $paused } lang; { $fast } lang schneller als die Uhr.
    }
debrief-clock =
    { $pauses ->
        [0] { $lasted } nach der Uhr; Zeit nie angehalten.
        [1] { $lasted } nach der Uhr; Zeit einmal angehalten, { $paused } lang.
       *[other] { $lasted } nach der Uhr; Zeit { $pauses }-mal angehalten, { $paused } lang.
    }
debrief-nothing = Nichts Besonderes: weiter mit der nächsten Übung.
debrief-practise = Was als Nächstes zu üben ist

# Die Zeichen der Zeitachse.
debrief-load = gemessene Last
debrief-reference = Sollwert
debrief-limit = Grenze des Schritts
debrief-due = von der Fälligkeit bis zur Frist
# Von etwas, was getan wurde; auch der Kopf der Spalte, die sagt, wann.
debrief-done = getan
debrief-undone = nicht getan oder falsch
debrief-happened = was geschah
debrief-line = Was getan wurde, neben dem, was zu tun war

debrief-points-of = { $points } von { $of }

# Was ein guter Bediener tut: wann es fällig war, bis wann es zu tun war, wann es getan wurde, wie lange es dauerte, wie es beurteilt ist.
debrief-number = Nr.
debrief-good = Was ein guter Bediener tut
debrief-due-at = fällig
debrief-by = bis
debrief-took = Dauer
debrief-judged = Urteil
debrief-points = Punkte
debrief-steps = Schritt für Schritt
debrief-table-steps = Tabelle: Schritt für Schritt
debrief-not-called-for = war nicht verlangt
debrief-not-done = nicht getan
debrief-late = zu spät

# Sekunden, mit ihrer Einheit, wie sie hier steht.
debrief-reaction-stopped = { $seconds } s, und { $stopped } s bei angehaltener Zeit
debrief-cause = Ursache
debrief-answer = Antwort
debrief-seen = gesehen
debrief-answered = beantwortet
debrief-reaction = Reaktion
debrief-reactions = Reaktionszeiten
debrief-table-reactions = Tabelle: Reaktionszeiten

debrief-lost = Verlorene Punkte
debrief-lost-none = Keine.
debrief-when = wann
debrief-what = was
debrief-why = warum es zählt
debrief-table-lost = Tabelle: verlorene Punkte

debrief-harm-points = { $text } (−{ $points } Punkte)
debrief-no-harm = An Teilen, Läppscheiben und Läuferscheiben wurde kein Schaden gefunden.
debrief-harm = Schaden und Teile
debrief-unmeasured = Keine Teile wurden gemessen: sie wurden nicht entnommen.
debrief-measured-broken = { $n } Teile gemessen, Mittel { $mean }; verlangt { $target } ± { $tolerance }; { $broken } gebrochen.
debrief-measured = { $n } Teile gemessen, Mittel { $mean }; verlangt { $target } ± { $tolerance }.
debrief-picture = Gemessene Teile, sortiert, gegen die Toleranz

debrief-refused = abgelehnt: { $why }
debrief-all = Alles, was getan wurde
debrief-table-all = Tabelle: alles, was getan wurde


## Die Zeitachse

line-picture = Zeitachse: Phasen und Last, was zu tun war, was getan wurde. Die Tabellen darunter sagen dasselbe in Worten.
line-should = War zu tun
# Hinter dem, was zu tun war, im Bild.
line-not-done = (nicht getan)
line-late = (zu spät)
line-done = Getan
