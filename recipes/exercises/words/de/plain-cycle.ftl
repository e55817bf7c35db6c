# Deutsch.

title = Ein ganzer Zyklus ohne Anleitung (erfunden)
brief = Arbeitsauftrag: 15 Übungsronden auf 538 µm läppen, Rezept auf Platz 1. Die Maschine ist inaktiv und leer; Läuferscheiben und Teile liegen daneben. Einlegen, zählen, nach dem Läppmittel sehen, abrufen, bestätigen, starten und die gemessenen Teile übergeben. Die Maschine leer und geschlossen hinterlassen. Niemand leitet Sie an.
practise = Üben: den geführten ersten Zyklus, bis seine Reihenfolge von selbst kommt: einlegen, zählen, schließen, Läppmittel, Rezept, bestätigen, starten.
expected-load = Läuferscheiben einlegen. Die Schutztür ist offen und die Läppscheibe geparkt.
expected-count = Teile zählen. Jedes muss flach liegen, bevor die Schutztür geschlossen wird.
expected-slurry = Nach Läppmittel und Rührwerk sehen. Was sich abgesetzt hat, läppt nicht.
expected-recall = Rezept des Arbeitsauftrags abrufen.
expected-confirm = 15 Stück bestätigen. Die Stückzahl gehört zum Rezept: sie kommt nach dem Abrufen.
expected-start = Zyklus starten.
expected-complete = Zyklus zu Ende bringen.
expected-unload = Teile entnehmen und messen lassen.
expected-shut = Schutztür nach der Charge schließen.
forbidden-uncounted = Niemand startet einen Zyklus mit Teilen, die niemand gezählt hat: ein doppeltes Teil reißt.
forbidden-wrong-count = 15 Stück gehören in die Aussparungen. Die bestätigte Stückzahl muss die gezählte sein.
forbidden-by-force = Die Schutztür ist verriegelt, weil sich die Maschine bewegt. Erst stoppen, dann das Entriegeln der Schutztür anfordern.
forbidden-needless-stop = Es war nichts falsch. Ein gestoppter Zyklus hinterlässt halb bearbeitete Teile.
