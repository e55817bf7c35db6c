# Deutsch.

title = Eine Charge, die schon eingelegt ist (erfunden)
brief = Arbeitsauftrag: 15 Übungsronden auf 538 µm läppen. Läuferscheiben und Teile sind eingelegt, 15 sind gezählt, das Rezept ist abgerufen. Stückzahl bestätigen, starten, den Zyklus bis zu seinem Ende beobachten, die Teile entnehmen und messen lassen. Die Maschine leer und geschlossen hinterlassen.
practise = Üben: ein Zyklus, den jemand anders eingelegt hat: bestätigen, starten, bis zum Ende beobachten, entnehmen, schließen.
expected-confirm = Stückzahl bestätigen.
expected-start = Zyklus starten.
expected-complete = Zyklus zu Ende bringen.
expected-unload = Teile entnehmen und messen lassen.
expected-shut = Schutztür nach der Charge schließen.
forbidden-wrong-count = 15 Stück sind gezählt. Die bestätigte Stückzahl muss die gezählte sein.
forbidden-by-force = Die Schutztür ist verriegelt, weil sich die Maschine bewegt. Erst stoppen, dann das Entriegeln der Schutztür anfordern.
forbidden-needless-hold = Es war nichts falsch: ein Halt kostet Minuten, und das Läppmittel setzt sich ab.
forbidden-needless-stop = Es war nichts falsch. Ein gestoppter Zyklus hinterlässt halb bearbeitete Teile.
