# Deutsch.

title = Die Läppmittelleitung verstopft, während die Läppscheiben drehen (erfunden)
brief = Arbeitsauftrag: 15 Übungsronden auf 538 µm läppen. Läuferscheiben und Teile sind eingelegt, Sie haben 15 gezählt und nach dem Läppmittel gesehen, das Rezept ist abgerufen. Stückzahl bestätigen und starten. Wenn die Maschine stoppt: die Ursache finden, sie in Ordnung bringen lassen, die Maschine in Grundstellung bringen und die Charge fertig läppen. Der Dickentaster beendet den Schritt, deshalb dürfen dieselben Teile nach einem nassen Stopp neu gestartet werden.
practise = Üben: erst den Alarm lesen und nach Tank, Rührwerk und Leitung sehen, bevor etwas in Ordnung gebracht wird.
expected-confirm = Stückzahl bestätigen.
expected-start = Zyklus starten.
expected-acknowledge = Alarm quittieren. Er wird gelesen: der Durchfluss fehlt, und die Maschine stoppt von selbst.
expected-look = Nach Tank, Rührwerk und Leitung sehen. Die Leitung ist verstopft.
expected-cure = Leitung frei machen lassen. Vorher kann kein Start gelingen.
expected-raise = Läppscheibe von den Teilen heben. Erst Rücksetzen, dann Heben.
expected-home = Maschine mit Rücksetzen in Grundstellung bringen: Inaktiv.
expected-complete = Bestätigen, neu starten und die Charge fertig läppen.
expected-unload = Teile entnehmen und messen lassen.
forbidden-blind-reset = Rücksetzen, bevor die Ursache gefunden ist, leert nur die Liste. Die Leitung ist noch verstopft.
forbidden-blind-start = Die Leitung ist noch verstopft: die Läppscheiben würden trocken drehen und Riefen bekommen.
forbidden-reach-in = Die Läppscheiben drehen noch. Die Schutztür bleibt zu, bis der Stillstand nachgewiesen ist.
