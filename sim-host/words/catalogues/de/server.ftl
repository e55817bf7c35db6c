# Was der Server sagt. Die Reihenfolge ist die des Codes, der danach fragt.

# Antworten auf Anfragen, die nicht ausgeführt werden.
refused-no-exercise = diese Übung gibt es nicht
refused-seed-assessed = eine Prüfung wird mit einem Startwert gezogen, den niemand wählt: `seed` weglassen
refused-full = es gibt { $most } Stationen, so viele, wie der Server aufnimmt: erst eine beenden
refused-stopping = der Server wird beendet
# $why ist ein Satz der Steuerung selbst, auf Englisch.
refused-no-controller = { $why }
refused-no-thread = das System gab dem Server keinen Thread; siehe sein Protokoll
refused-name-empty = ein Name ist nötig
refused-name-long = ein Name hat höchstens { $most } Zeichen
refused-name-unprintable = ein Name hat nur druckbare Zeichen
refused-no-number = ein Versuch hat eine Nummer
refused-no-attempt = in den Aufzeichnungen gibt es keinen Versuch { $attempt }
refused-records-busy = ein anderes Programm hält die Aufzeichnungen: sie dort schließen und es noch einmal versuchen
refused-records-ended = die Aufzeichnungen sind geschlossen: den Server neu starten
# $error ist der Satz der Datenbank selbst, auf Englisch.
refused-records-database = die Aufzeichnungen sind nicht benutzbar: { $error }: prüfen, dass der Datenträger nicht voll und die Datei heil ist; mit --records lässt sich eine Sicherung nennen
# $error ist ein ganzer Satz auf Englisch.
refused-records = { $error }
refused-debrief-assessed = eine Prüfung hat keine Nachbesprechung, bevor sie vorbei ist
refused-debrief-not-there = diese Nachbesprechung ist für alle, die an ihrer Station waren: folgen Sie dem Link am Ende Ihres Versuchs, oder fragen Sie Ihren Ausbilder
refused-no-file = diese Datei gibt es nicht
refused-nothing = unter dieser Adresse gibt es nichts
refused-no-method = diese Adresse wird nicht auf diese Weise angefragt
refused-passing = diese Übungen gehören zum Vorführsatz und liegen in keinem Ordner: ihn mit `twinplate demo ORDNER` schreiben und mit `--exercises ORDNER/exercises` starten
# $error ist der Satz des Systems selbst.
refused-folder = der Ordner der Übungen lehnt ab: { $error }
refused-there = eine Übung `{ $exercise }` gibt es schon: dieser eine eigene Kennung geben
refused-changed = `{ $exercise }` wurde inzwischen von jemand anderem geändert: neu öffnen oder dieser eine eigene Kennung geben
# $why ist ein Satz des Programms, auf Englisch: was an dem Gesendeten nicht stimmt.
refused-not-understood = { $why }
refused-no-host = eine Anfrage nennt einen Host, einmal
refused-other-host = dieser Server ist nicht der angefragte Host: die Adresse benutzen, die er ausgegeben hat
refused-other-origin = nur eine Seite dieses Servers darf das
refused-no-token = das braucht das Token des Servers: die Seite mit der Adresse öffnen, die es enthält, oder neu laden
refused-not-instructor = das ist für Ausbilder: es braucht das Token, das der Server beim Start für sie ausgegeben hat
refused-failed = der Server ist daran gescheitert; siehe sein Protokoll

# Die Regel des Ausbilders: wer bereit ist, hat jede Übung so oft hintereinander bestanden.
rule-passes = { $passes }-mal hintereinander bestanden; erwartet 1 bis { $most }
rule-no-exercise = eine Übung `{ $exercise }` gibt es nicht

# Warum eine Verbindung zu einer Station geschlossen wird.
closing-busy = die Station hat mehr zu tun, als sie kann; später wiederkommen
closing-no-station = diese Station gibt es nicht; sie kann geschlossen worden sein
closing-join-late = die erste Nachricht, ein `join`, kam nicht rechtzeitig
closing-join-first = die erste Nachricht muss ein `join` sein
closing-protocol = dieser Server spricht Version { $ours }, die Seite { $theirs }: die Seite neu laden
closing-token = das Token ist nicht das dieses Servers: die Seite neu laden
closing-instructor = dieses Token ist das der Klasse, und nötig ist das eines Ausbilders: der Server hat es beim Start ausgegeben
closing-unreadable = eine Nachricht, die keine Websocket-Nachricht oder viel zu lang ist
closing-not-text = Nachrichten sind Text; diese war binär
closing-too-long = eine Nachricht von { $bytes } Byte; die längste darf { $most } haben
# $error ist ein Satz des Programms, auf Englisch.
closing-not-understood = eine Nachricht, die nicht verstanden wird: { $error }
closing-lost = kein Lebenszeichen von dieser Seite
closing-too-many = mehr als { $most } Nachrichten je Sekunde
closing-joined-already = diese Verbindung ist schon beigetreten
closing-full = diese Station hat { $most } Verbindungen, so viele, wie sie aufnimmt
closing-no-seat = der Server kann keinen Platz vergeben
closing-replaced = dieser Platz wurde von einer anderen Verbindung aus wieder eingenommen
closing-station-closed = die Station ist geschlossen; ihr Versuch steht in den Aufzeichnungen

# Was eine Station ablehnt. Bedienung: ein Bediener hat sie und bedient die Maschine; die anderen sehen zu.
station-take-control-first = an dieser Station handelt nur, wer die Bedienung hat: erst die Bedienung nehmen
station-not-leading = das ist für den, der die Bedienung hat, und für Ausbilder
station-not-instructor = das ist für Ausbilder
station-assessed = eine Prüfung läuft nach der Uhr, und nur die Hand des Teilnehmers ist im Spiel
station-no-time = { $seconds } s ist keine Zeit dieser Sitzung
station-not-held = der Tipptaster wurde losgelassen: noch einmal halten
station-over = der Versuch ist vorbei: nichts mehr geschieht in ihm
station-operators-only = nur Bediener nehmen die Bedienung
station-control-held = jemand anders hat die Bedienung: darum bitten, sie abzugeben
station-control-kept = wer die Bedienung hatte, hat die Verbindung verloren und behält die Bedienung noch { $seconds } s
