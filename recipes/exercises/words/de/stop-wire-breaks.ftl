# Deutsch.

title = Ein Draht des Not-Halts bricht (erfunden)
brief = Arbeitsauftrag: 15 Übungsronden auf 538 µm läppen. Läuferscheiben und Teile sind eingelegt, 15 sind gezählt, das Rezept ist abgerufen. Stückzahl bestätigen und starten. Wenn die Maschine von selbst stoppt: die Ursache finden, sie in Ordnung bringen lassen, den Not-Halt prüfen, die Maschine in Grundstellung bringen, die Teile entnehmen und messen lassen.
practise = Üben: der Weg in die Grundstellung aus Abgebrochen, und das Rücksetzen eines zweikanaligen Kreises: in Ordnung bringen lassen, drücken, entriegeln, Rücksetzen.
expected-confirm = Stückzahl bestätigen.
expected-start = Zyklus starten.
expected-acknowledge = Quittieren und lesen. Niemand hat gedrückt: die beiden Kanäle widersprechen sich, also ist ein Kanal ausgefallen, und die Energie wurde weggenommen.
expected-cure = Kanal B bei Stillstand in Ordnung bringen lassen.
expected-press = Taster drücken: beide Kanäle müssen sichtbar öffnen.
expected-release = Taster entriegeln: beide Kanäle müssen sichtbar schließen.
expected-reset = Die Sperren zurücksetzen, jetzt, da der Kreis geprüft ist.
expected-raise = Läppscheibe von den Teilen heben.
expected-home = Maschine mit Rücksetzen in Grundstellung bringen: Inaktiv.
expected-unload = Teile entnehmen und messen lassen.
forbidden-blind-reset = Zwei Kanäle, die sich widersprochen haben, müssen vor dem Rücksetzen beide sichtbar öffnen und schließen: ein verschweißter bliebe unerkannt.
forbidden-reach-in = Nach einem Stopp der Kategorie 0 trudeln die Läppscheiben ohne Antrieb aus. Die Schutztür bleibt zu, bis der Stillstand nachgewiesen ist.
