# Deutsch.

title = Die Kraftmessdose stirbt in der Läppzeit (erfunden)
brief = Arbeitsauftrag: 15 Übungsronden auf 538 µm läppen. Läuferscheiben und Teile sind eingelegt, 15 sind gezählt, das Rezept ist abgerufen. Stückzahl bestätigen und starten. Fällt etwas aus: mit diesen Teilen nicht wieder starten. Es in Ordnung bringen lassen, die Maschine in Grundstellung bringen, die Teile entnehmen und messen lassen.
practise = Üben: der Weg in die Grundstellung aus Gestoppt: Ursache in Ordnung bringen lassen, Rücksetzen, Heben, Rücksetzen.
expected-confirm = Stückzahl bestätigen.
expected-start = Zyklus starten.
expected-acknowledge = Quittieren und lesen. Der Alarm nennt die Kraftmessdose; eine Last weit über dem, was diese Maschine drücken kann, ist die tote Messdose, keine Last.
expected-cure = Kraftmessdose bei Stillstand in Ordnung bringen lassen.
expected-reset = Die Sperren zurücksetzen, jetzt, da ihre Ursache behoben ist.
expected-raise = Läppscheibe von den Teilen heben.
expected-home = Maschine mit Rücksetzen in Grundstellung bringen: Inaktiv.
expected-unload = Teile entnehmen und messen lassen. Niemand kennt die Last des letzten Augenblicks.
forbidden-blind-reset = Die Messdose ist noch tot: die Sperren bleiben. Erst die Ursache, dann Rücksetzen.
forbidden-blind-raise = Ohne Messdose weiß niemand, ob die Läppscheibe noch auf den Teilen liegt.
forbidden-reach-in = In einem gesteuerten Stopp bremsen die Läppscheiben noch ab. Die Schutztür bleibt zu, bis der Stillstand nachgewiesen ist.
