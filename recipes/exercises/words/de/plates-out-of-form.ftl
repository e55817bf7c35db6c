# Deutsch.

title = Läppscheiben außer Form: die Stiftkränze drehen nach der Meldung (erfunden)
brief = Arbeitsauftrag: 15 Übungsronden auf 538 µm läppen, ± 3 µm. Die Maschine ist inaktiv und leer; Läuferscheiben und Teile liegen daneben. Jemand hat das Lineal über die Läppscheiben gelegt: der innere Rand der unteren steht 2,4 µm höher als ihr äußerer Rand, der der oberen 1,8 µm niedriger. Dieses Rezept, auf Platz 1, lässt die Stiftkränze das abtragen, wenn es ihm gemeldet wird. + ist konvex: der innere Rand höher, zu den Teilen hin.
practise = Üben: die Form beider Läppscheiben vor einem Start melden, und welche Richtung konvex ist: ein falsches Vorzeichen bringt die Läppscheiben weiter aus der Form.
expected-load = Läuferscheiben einlegen.
expected-count = Teile zählen.
expected-recall = Rezept des Arbeitsauftrags abrufen: Platz 1.
expected-report = Form beider Läppscheiben melden: die untere konvex, die obere konkav. Die Steuerung kehrt die Stiftkränze um.
expected-confirm = 15 Stück bestätigen.
expected-complete = Zyklus zu Ende bringen.
expected-unload = Teile entnehmen und messen lassen.
forbidden-unreported = Der Zyklus wurde mit Läppscheiben gestartet, deren Form nicht gemeldet war, oder nicht so, wie sie ist: die Stiftkränze drehten wie programmiert oder falsch herum, und die Läppscheiben kamen weiter aus der Form.
forbidden-uncounted = Niemand startet einen Zyklus mit Teilen, die niemand gezählt hat: ein doppeltes Teil reißt.
