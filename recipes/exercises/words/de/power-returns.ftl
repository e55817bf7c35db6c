# Deutsch.

title = Der Strom war mitten in der Läppzeit weg und kommt wieder (erfunden)
brief = Arbeitsauftrag: 15 Übungsronden auf 538 µm läppen. Läuferscheiben und Teile sind eingelegt, 15 sind gezählt, das Rezept ist abgerufen. Stückzahl bestätigen und starten. Sollte der Strom ausfallen: niemand weiß, was die Teile erlebt haben. Die Maschine in Grundstellung bringen, die Teile entnehmen und messen lassen und sie leer und geschlossen hinterlassen; über den Rest entscheidet die Schichtleitung.
practise = Üben: was eine neu angelaufene Steuerung weiß: nichts. Heben, Rücksetzen, Teile entnehmen, messen.
expected-confirm = Stückzahl bestätigen.
expected-start = Zyklus starten.
expected-raise = Läppscheibe von den Teilen heben. Die Steuerung ist in Gestoppt und startet nichts von selbst.
expected-home = Maschine mit Rücksetzen in Grundstellung bringen: Inaktiv.
expected-look = Nach Läppmittel und Rührwerk sehen. Sie standen, solange der Strom weg war.
expected-unload = Teile entnehmen und messen lassen. Ihr Zustand ist unbekannt.
expected-shut = Schutztür schließen und die Maschine leer hinterlassen.
forbidden-goes-on = Der Zyklus sollte mit Teilen weiterlaufen, von denen niemand weiß, was sie erlebt haben.
forbidden-start-stopped = Nach der Rückkehr des Stroms wird nichts gestartet: die Läppscheibe liegt auf halb bearbeiteten Teilen.
