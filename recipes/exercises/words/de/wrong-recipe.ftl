# Deutsch.

title = Das Rezept für die falsche Charge: drei, die gleich aussehen (erfunden)
brief = Arbeitsauftrag: 15 Übungsronden auf 538 µm läppen, ± 3 µm. Die Maschine ist inaktiv und leer; Läuferscheiben und Teile liegen daneben. Auf Platz 1 ist, was zuletzt lief: dünne Übungsronden, 528 µm. Dicke, 542 µm, sind auf Platz 3. Die Rohlinge sehen gleich aus. Charge und Sollmaß eines Rezepts ansehen, bevor damit gestartet wird.
practise = Üben: Charge und Sollmaß des abgerufenen Rezepts mit dem Arbeitsauftrag vergleichen, nicht nur die Stückzahl.
expected-load = Läuferscheiben einlegen.
expected-count = Teile zählen.
expected-recall = Rezept des Arbeitsauftrags abrufen: Platz 2.
expected-confirm = 15 Stück bestätigen.
expected-complete = Zyklus zu Ende bringen.
expected-unload = Teile entnehmen und messen lassen.
forbidden-wrong-start = Der Zyklus wurde mit einem Rezept gestartet, das nicht das des Arbeitsauftrags war. Die Stückzahl ist dieselbe, das Maß nicht.
forbidden-uncounted = Niemand startet einen Zyklus mit Teilen, die niemand gezählt hat: ein doppeltes Teil reißt.
