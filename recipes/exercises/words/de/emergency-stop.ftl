# Deutsch.

title = Jemand aus der Schicht drückt den Not-Halt (erfunden)
brief = Arbeitsauftrag: 15 Übungsronden auf 538 µm läppen. Läuferscheiben und Teile sind eingelegt, 15 sind gezählt, das Rezept ist abgerufen. Stückzahl bestätigen und starten. Sollte jemand den Not-Halt drücken: die Maschine zum Stillstand kommen lassen, klären, warum er gedrückt wurde (hier: ein Handschuh schien eingezogen; er war es nicht), dann entriegeln, zurücksetzen, die Maschine in Grundstellung bringen und die Charge fertig läppen.
practise = Üben: die Regel des Not-Halts: Stillstand, Grund, Entriegeln, Rücksetzen; nichts startet von selbst.
expected-confirm = Stückzahl bestätigen.
expected-start = Zyklus starten.
expected-acknowledge = Alarm quittieren. Die Stopp-Kategorie steht auf dem Bedienfeld.
expected-release = Taster entriegeln. Die Maschine steht dann still, und der Grund ist bekannt.
expected-reset = Zurücksetzen. Das löscht die Sperre und startet nichts.
expected-raise = Läppscheibe von den Teilen heben.
expected-home = Maschine mit Rücksetzen in Grundstellung bringen: Inaktiv.
expected-complete = Bestätigen, neu starten und die Charge fertig läppen.
expected-unload = Teile entnehmen und messen lassen.
forbidden-early-release = Die Läppscheiben drehten noch, und niemand wusste, warum der Taster gedrückt war.
forbidden-blind-reset = Der Taster war noch gedrückt: erst der Grund, dann das Entriegeln, dann Rücksetzen.
forbidden-reach-in = Die Läppscheiben drehen noch. Die Schutztür bleibt zu, bis der Stillstand nachgewiesen ist.
