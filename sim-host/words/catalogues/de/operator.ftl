# Die Seite der Bediener. Die Reihenfolge ist die des Codes, der danach fragt.

## Der Vorraum, in dem eine Übung gewählt wird.

# Titel der Seite.
lobby-title = twinplate: Schulung, Bediener
lobby-heading = twinplate · Bedienerschulung
lobby-pages =
    .aria-label = Seiten
lobby-instructor = Ausbilder
lobby-language =
    .aria-label = Sprache
lobby-choose = Übung wählen
lobby-exercises = Übungen
lobby-chosen =
    .aria-label = Die gewählte Übung
lobby-none-chosen = Keine Übung gewählt
lobby-trainee = Ihr Name, wie er in den Aufzeichnungen stehen soll
lobby-begin = An die Maschine gehen
lobby-running = Benutzte Maschinen
lobby-caution = Schulungssimulator mit erfundenen Maschinen und Teilen. Er ist keine Sicherheitsfunktion. An einer wirklichen Maschine entscheiden die örtlichen Vorschriften, die Anleitung der Maschine und befähigte, dazu zugelassene Personen.
lobby-unread = Die Übungen konnten nicht gelesen werden: { $why }
# Neben dem Titel einer Übung: eine Anleitung führt hindurch.
lobby-guided = ▸ geführt
# Neben dem Titel einer Übung: sie ist eine Prüfung.
lobby-assessment = ◇ Prüfung
lobby-no-exercise = Keine Übung gefunden. Den Server im Ordner des Projekts starten oder mit --exercises einen Ordner nennen.
lobby-guided-fact = Jeder Schritt wird erklärt, und die Anleitung wartet auf ihn.
lobby-assessment-fact = Eine Prüfung: was nicht stimmt, wenn überhaupt etwas, wird jedes Mal neu gezogen. Sie läuft nach der Uhr ohne Pause, nichts sagt, wie Sie stehen, und vor der ersten Abhilfe kommt eine Diagnose.
# $machine ist der Titel der Maschine; $pass sind die Punkte, die zum Bestehen nötig sind.
lobby-facts =
    { $points ->
        [one] { $machine }. { $points } Punkt, bestanden ab { $pass }.
       *[other] { $machine }. { $points } Punkte, bestanden ab { $pass }.
    }
# $state und $phase sind die der Maschine.
lobby-station-held = { $state }, { $phase }; jemand bedient sie
lobby-station-free = { $state }, { $phase }; niemand bedient sie
# $title ist der der Übung.
lobby-station = { $trainee }: { $title }
lobby-choose-first = Erst eine Übung wählen.
lobby-name-first = Erst Ihren Namen eingeben.
lobby-not-set-up = Die Maschine konnte nicht eingerichtet werden: { $why }

## An der Maschine.

station-shortcuts =
    .aria-label = Sprungziele
station-to-emergency = Zum Not-Halt
station-to-controls = Zu den Bedienelementen
station-heading = Bedienfeld
station-exercise =
    .aria-label = Übung
station-paces =
    .aria-label = Tempo der Zeit
station-take-control = Übernehmen
station-finish = Beenden
station-leave = Gehen
station-task =
    .aria-label = Aufgabe
station-read-all = Alles lesen
station-understood = Verstanden
station-found = Befund
station-close = Schließen
station-caution = Schulungssimulator, keine Sicherheitsfunktion: an der Maschine entscheiden örtliche Vorschriften, ihre Anleitung und befähigte Personen.
station-ended = Der Versuch ist vorbei
station-to-debrief = Nachbesprechung öffnen
station-another = Andere Übung
station-no-answer = Der Server antwortet nicht: { $why }
# Titel der Seite; $title ist der der Übung.
station-title = twinplate: { $title }
# Was abgelehnt wurde, der $name von controls-refused: ein anderes Tempo der Zeit; die Bedienung zu nehmen oder abzugeben.
station-pace = Tempo
station-control = Bedienung
station-step = ▶ Schritt { $number } von { $of }
station-work-order = Arbeitsauftrag
# Jemand anders bedient; $seat ist ein kurzes Zeichen für ihn.
station-watching = ◎ Sie sehen zu: Platz { $seat } bedient
station-watching-free = ◎ Sie sehen zu: niemand bedient
station-release-control = Abgeben
# $title ist der der Übung; $attempt die Nummer des Versuchs in den Aufzeichnungen.
station-recorded = „{ $title }“ ist als Versuch { $attempt } aufgezeichnet. Die Nachbesprechung zeigt, was getan wurde, neben dem, was zu tun war.
station-recorded-untitled = Die Übung ist als Versuch { $attempt } aufgezeichnet. Die Nachbesprechung zeigt, was getan wurde, neben dem, was zu tun war.

## Die Hände des Bedieners: Tasten haben wenig Platz, und die einer Gruppe stehen nebeneinander. \u00AD trennt ein Wort nur, wo es muss.

# $name steht auf der Taste; $why ist ein Satz oder das Ende eines Satzes, wie in den Meldungen hier, deren Namen auf -missing enden.
controls-refused = ✕ { $name } abgelehnt: { $why }
controls-emergency-stop = Not-Halt
controls-release-stop = Zum Entriegeln drehen
controls-operator-panel = Bedienfeld
controls-acknowledge = Alarme quittieren
# Die Stopp-Kategorie (IEC 60204-1).
controls-category = Kategorie { $category }
controls-raise = Scheibe heben
controls-confirm-count = Zahl be{"\u00AD"}stätigen
controls-pieces = Gezählte Stückzahl
controls-pieces-short = Stück
controls-pieces-missing = erst die gezählte Stückzahl eingeben, 0 bis 999.
controls-unload = Entnehmen
controls-unload-and-measure = Entnehmen und messen
controls-machine =
    { $carriers ->
        [one] Tür und Teile ({ $carriers } Läufer)
       *[other] Tür und Teile ({ $carriers } Läufer)
    }
controls-unlock-guard = Tür ent{"\u00AD"}riegeln
controls-open-guard = Tür öffnen
controls-close-guard = Tür schlie{"\u00AD"}ßen
controls-lock-guard = Tür ver{"\u00AD"}riegeln
controls-load-carriers = Läufer ein{"\u00AD"}legen
controls-count-parts = Teile zählen
controls-work = Ausführen
controls-tending = Was an der Maschine zu tun ist
controls-tending-none = an der Maschine…
controls-tending-missing = erst wählen, was an der Maschine zu tun ist.
controls-at-machine = An der Maschine
controls-hand-over = Sagen
controls-statement = Was zu übergeben ist
controls-statement-none = übergeben…
controls-statement-missing = erst wählen, was zu übergeben ist.
controls-handover = Übergabe
controls-measure = An fünf Stellen messen
controls-measured = Zu messende Teile
controls-measured-short = Teile
controls-measured-missing = erst eingeben, wie viele Teile zu messen sind, ab 1.
controls-inspection = Prüfen der Teile
controls-lay-flat = Planglas auflegen
controls-judge = Urteil
controls-verdict = Ihr Urteil über die Teile
controls-verdict-none = diese Teile sind…
controls-verdict-missing = erst ein Urteil über die Teile wählen.
controls-recall = Ab­rufen
controls-slot = Gespeichertes Rezept
controls-slot-none = Rezept…
controls-slot-missing = erst ein gespeichertes Rezept wählen.
# $title ist der des Rezepts, $batch nennt, was geläppt wird, $steps sind die Namen der Schritte mit ihren Lasten.
controls-stored =
    { $pieces ->
        [one] ◉ Platz { $slot }, { $title }, für { $batch }, { $pieces } Stück: { $steps }.
       *[other] ◉ Platz { $slot }, { $title }, für { $batch }, { $pieces } Stück: { $steps }.
    }
controls-diagnose = Nennen
controls-diagnosis = Was Ihrer Meinung nach nicht stimmt
controls-diagnosis-none = Diagnose…
controls-nothing-wrong = alles stimmt
controls-diagnosis-missing = erst wählen, was Ihrer Meinung nach nicht stimmt.
controls-stores = Mittel und Rezept
controls-check-slurry = Tank, Rührwerk, Leitung prüfen
controls-have-done = Machen lassen
controls-remedy = Was in Ordnung zu bringen ist
controls-remedy-none = Was…
controls-remedy-missing = erst wählen, was in Ordnung zu bringen ist.
controls-form-lower = Form der unteren Läppscheibe, + konvex
controls-form-lower-short = unten
controls-form-upper = Form der oberen Läppscheibe, + konvex
controls-form-upper-short = oben
controls-report-form = Form melden
controls-form-missing = erst eingeben, was Sie an beiden Läppscheiben abgelesen haben, + für eine konvexe, − für eine konkave.
controls-form = Form der Läppscheiben
# Womit die Form abgelesen wird, vor den Feldern dafür: Interferenzstreifen unter einem Planglas oder der Spalt unter einem Lineal.
controls-by-bands = Interferenzstreifen, + konkav:
controls-by-straightedge = Lineal, { $unit }, + innerer Rand höher:
controls-recall-first = Erst das Rezept abrufen.
# $rings sagt, wie die Stiftkränze drehen; $lower und $upper sind die Formen der Läppscheiben, mit Vorzeichen, in $unit.
controls-form-unreported = Stiftkränze: { $rings }. ⚠ Nicht gemeldet.
controls-form-too-old =
    { $longest ->
        [one] Stiftkränze: { $rings }. Unten { $lower }, oben { $upper } { $unit }, ⚠ zu alt, { $age } von { $longest } Charge alt.
       *[other] Stiftkränze: { $rings }. Unten { $lower }, oben { $upper } { $unit }, ⚠ zu alt, { $age } von { $longest } Chargen alt.
    }
controls-form-reported =
    { $longest ->
        [one] Stiftkränze: { $rings }. Unten { $lower }, oben { $upper } { $unit }, { $age } von { $longest } Charge alt.
       *[other] Stiftkränze: { $rings }. Unten { $lower }, oben { $upper } { $unit }, { $age } von { $longest } Chargen alt.
    }
controls-setup-key = Schlüs{"\u00AD"}sel
controls-key-off = aus
controls-setup = Einrichten, Tippbetrieb
controls-hold = Tipp­taster
controls-hold-note = bewegt nur, solange gehalten
# Unter dem Taster des Not-Halts.
controls-pressed = GEDRÜCKT
controls-key-on = ein
# Eine Fahne an dem Bedienelement, das ein geführter Schritt meint.
controls-here = ▶ hier
