# Die Seiten der Ausbilder: Stationen und Aufzeichnungen, die Klasse und das Formular der Übungen.


## Seite der Ausbilder; und was die Köpfe dieser Seiten und der Nachbesprechung gemeinsam haben

instructor-title = twinplate: Schulung, Ausbilder
instructor-heading = twinplate · Ausbilder
instructor-pages =
    .aria-label = Seiten
instructor-records = Aufzeichnungen
instructor-to-instructor = Ausbilder
instructor-to-class = Klasse
instructor-to-exercises = Übungen
instructor-to-operator = Bediener
instructor-print = Drucken
instructor-stations = Stationen
instructor-station = Station
instructor-close = Schließen
instructor-faults =
    .aria-label = Störungen
instructor-fault-title = Störung beginnen oder beenden
instructor-component = Komponente
instructor-how = Wie sie ausfällt
instructor-how-much = Wie stark
instructor-inject = Störung beginnen
instructor-repair = Komponente in Ordnung bringen
instructor-time = Zeit
instructor-paces =
    .aria-label = Tempo der Zeit
instructor-go-back-to = Zurückgehen zu
instructor-moment =
    .aria-label = Zeitpunkt, Minuten:Sekunden
# Eine Taste; und in der Antwort darunter das, was abgelehnt wurde.
instructor-go-back = Zurückgehen
instructor-then-stops = Die Zeit steht dann. Was später kam, gilt als nicht geschehen; die Ereignisliste behält es.
instructor-finish = Versuch beenden und aufzeichnen
instructor-filter-label = Nur Versuche zeigen mit
instructor-filter =
    .placeholder = Teilnehmer oder Übung
instructor-result = Ergebnis
instructor-every = jedes Ergebnis
instructor-passed = bestanden
instructor-not-passed = nicht bestanden
instructor-not-finished = nicht beendet
instructor-running = läuft
# Die zwei Dateien, als die die Aufzeichnungen gespeichert werden.
instructor-csv = Versuche als CSV
instructor-csv-acts = Handlungen als CSV
instructor-table =
    .aria-label = Tabelle der Versuche
# Köpfe der Tabelle der Versuche. „Nr.“ ist die Nummer des Versuchs.
instructor-number = Nr.
instructor-trainee = Teilnehmer
instructor-exercise = Übung
instructor-began = Begonnen
instructor-points = Punkte
instructor-debrief = Nachbesprechung
instructor-caution = Schulungssimulator, keine Sicherheitsfunktion. Wer ihn beherrscht, beherrscht den Simulator: die ersten Zyklen an einer Maschine werden mit jemandem gefahren, der sie kennt.

instructor-no-answer = Der Server antwortet nicht: { $why }
instructor-stations-unread = Die Stationen konnten nicht gelesen werden: { $why }
instructor-nobody = Niemand ist an einer Maschine. Ein Bediener beginnt auf der Seite der Bediener.
# Auf der Karte einer Station, zwischen Punkten: Alarme und was die Maschine ihretwegen tut; offene Seiten; das Tempo der Zeit.
instructor-alarms =
    { $n ->
        [one] { $n } Alarm, { $response }
       *[other] { $n } Alarme, { $response }
    }
instructor-no-alarm = kein Alarm
instructor-present =
    { $n ->
        [one] { $n } Seite
       *[other] { $n } Seiten
    }
instructor-present-without-control =
    { $n ->
        [one] { $n } Seite, niemand bedient
       *[other] { $n } Seiten, niemand bedient
    }
instructor-pace-of =
    { $pace ->
        [paused] Zeit angehalten
        [fastest] schnellstens
       *[other] { $pace }
    }
instructor-recorded = Der Versuch ist vorbei und unter Nummer { $attempt } aufgezeichnet.
# Worum gebeten wurde, wie die Antwort es nennt: „{ $what }: getan.“ Die Komponente heißt dort wie in Dateien.
instructor-fault = Störung
instructor-no-number = „{ $text }“ ist keine Zahl; für die übliche Größe leer lassen.
instructor-fault-of = { $component } { $mode }
instructor-put-right = { $component } in Ordnung gebracht
# Wie eine Komponente ausfällt.
instructor-mode =
    { $mode ->
        [off] ausgefallen
        [stuck] hängt
        [garbage] zufällig
        [wrong] falsch
        [slow] träge
        [delayed] verzögert
        [intermittent] aussetzend
       *[other] { $mode }
    }
instructor-needs-none = (braucht keine)
# Was eine Störung bewirkt: im Deutschen ganz, wie es kommt.
instructor-meaning = Wirkung: { $meaning }.
instructor-meaning-of-part = Wirkung: { $meaning }.
instructor-pace = Tempo
instructor-no-moment = den Zeitpunkt als Minuten:Sekunden schreiben, wie 1:30, oder als Sekunden.
instructor-back-to = Zurück zu { $moment }
instructor-end = Beenden
instructor-done = { $what }: getan.
instructor-refused = { $what } abgelehnt: { $why }
instructor-unsaved = Die Aufzeichnungen konnten nicht gespeichert werden: { $why }
instructor-records-unread = Die Aufzeichnungen konnten nicht gelesen werden: { $why }
# Von Punkten und von den gezeigten Versuchen.
instructor-of = { $part } von { $whole }
instructor-debrief-of = Nachbesprechung { $attempt }


## Die Klasse

class-title = twinplate: Schulung, Klasse
class-heading = twinplate · Klasse
class-rule = Wer bereit ist
# Ein Satz um eine Auswahl aus „einmal“, „zweimal“, „3-mal“ herum (class-times).
class-rule-before = hat jede unten angekreuzte Übung
class-passes = Wie oft hintereinander
class-rule-after = hintereinander bestanden, bis zum letzten Versuch.
class-keep = Diese Regel speichern
class-nobody = Noch hat niemand einen Versuch beendet.
class-table =
    .aria-label = Tabelle der Klasse
class-cell = Ein Feld: Punkte des letzten Versuchs, wie er gegen den vorigen ausfiel, der beste, und wie viele beendet wurden. Der Verweis führt zur letzten Nachbesprechung.
class-caution = Schulungssimulator, keine Sicherheitsfunktion. Bereit heißt hier: bereit für die Einweisung an der Maschine, durch jemanden, der sie kennt, nach den örtlichen Vorschriften und durch befähigte, dazu zugelassene Personen.

class-unread = Die Klasse konnte nicht gelesen werden: { $why }
class-times =
    { $n ->
        [1] einmal
        [2] zweimal
       *[other] { $n }-mal
    }
class-exercise = Übung
# Kopf der Kästchen, die sagen, welche Übungen dafür zählen, wer bereit ist.
class-counts = zählt
class-ready = Bereit
class-exercise-counts = { $title } zählt
class-no-rule = noch keine Regel
# Übungen, die noch zu bestehen sind.
class-to-go = noch { $n }
class-is-ready = bereit
class-best =
    { $n ->
        [one] bester { $best }, { $n } Versuch
       *[other] bester { $best }, { $n } Versuche
    }
class-changed = Geändert, noch nicht gespeichert.
class-kept = Gespeichert.
class-not-kept = nicht gespeichert: { $why }


## Das Formular der Übungen

form-title = twinplate: Schulung, Übungen
form-heading = twinplate · Übungen
form-broken = Dateien, die weggelassen sind
form-from = Beginnen mit
form-open = Öffnen
form-where = Hier gemachte Übungen werden an ihrem Platz geändert. Von allen anderen wird eine Kopie gemacht, unter eigener Kennung.
form-exercise =
    .aria-label = Übung
form-check = Prüfen
form-keep = Speichern und anbieten
form-errors =
    .aria-label = Was nicht stimmt
form-caution = Schulungssimulator, keine Sicherheitsfunktion. Eine Übung lehrt, was sie erwartet: jemand, der die Maschine kennt, soll sie ansehen, bevor andere mit ihr lernen.

form-unread = Die Übungen konnten nicht gelesen werden: { $why }
# Folgt auf „Beginnen mit“.
form-blank = einem leeren Formular
form-line = Zeile { $line }: { $told }
# Was in einer Datei nicht stimmt, wird auf Englisch gesagt, wie in einem Terminal.
form-expected = { $message }; erwartet { $expected }
form-nearest = { $told }. War „{ $nearest }“ gemeint?
form-leave = Was hier geändert wurde, ist nicht gespeichert. Trotzdem verlassen?
form-own = Diese Übung wurde hier gemacht: sie wird an ihrem Platz geändert.
form-copy = Eine Kopie, unter eigener Kennung.
form-not-opened = nicht geöffnet: { $why }
form-wrong =
    { $n ->
        [one] { $n } Angabe stimmt nicht.
       *[other] { $n } Angaben stimmen nicht.
    }
form-kept = Gespeichert als „{ $id }“, { $points } Punkte. Bediener finden sie in ihrer Liste.
form-right = Alles stimmt: { $points } Punkte sind zu erreichen.

# Köpfe der Teile einer Übung.
form-events = Was geschieht
form-training = Die Übung
form-good = Was ein guter Bediener tut
form-forbidden = Was niemand tun soll
form-guide = Anleitung, Schritt für Schritt
form-stored = Gespeicherte Rezepte
form-book = Schichtbuch
form-statements = Was bei der Übergabe gesagt werden kann
form-found = Wie die Maschine vorgefunden wird
form-harm = Was Schaden kostet
# Wozwischen zu wählen ist.
form-when = Wann
form-what = Was
form-from-when = Ab wann
form-place = Wo
form-identifier = Kennung
# Zwei Schlüssel einer Datei, die sich ausschließen.
form-or = { $one } oder { $other }
# Folgen auf die Beschreibung eines Schlüssels, die englisch ist.
form-range = Von { $least } bis { $most }.
form-left-out = Wenn weggelassen: { $usual }.
form-up = Nach oben
form-down = Nach unten
form-take-out = Entfernen
form-add = Zu „{ $list }“ hinzufügen
