# Deutsch.

title = Der Antrieb des Außenstiftkranzes löst aus (erfunden)
brief = Arbeitsauftrag: 15 Übungsronden auf 538 µm läppen. Läuferscheiben und Teile sind eingelegt, 15 sind gezählt, das Rezept ist abgerufen. Stückzahl bestätigen und starten. Die Elektrowerkstatt sagt, dass der Antrieb des Außenstiftkranzes (Antrieb außen) zuletzt heiß lief. Löst ein Antrieb aus, können Läuferscheiben reißen: den Antrieb in Ordnung bringen lassen, die Maschine in Grundstellung bringen, Teile und Läuferscheiben ansehen, sie entnehmen und messen lassen.
practise = Üben: der Weg in die Grundstellung nach einer Antriebsstörung, und Teile und Läuferscheiben ansehen, bevor sonst etwas mit ihnen geschieht.
expected-confirm = Stückzahl bestätigen.
expected-start = Zyklus starten.
expected-acknowledge = Alarm quittieren und lesen. Ein Antrieb ist gestört, die Last wird weggenommen, die anderen bremsen mit ihm ab.
expected-cure = Antrieb bei Stillstand in Ordnung bringen lassen.
expected-reset = Die Sperre zurücksetzen, jetzt, da der Antrieb in Ordnung ist.
expected-raise = Läppscheibe von den Teilen heben.
expected-home = Maschine mit Rücksetzen in Grundstellung bringen: Inaktiv.
expected-look = Jedes Teil und seine Aussparung ansehen, bevor etwas bewegt wird.
expected-unload = Teile entnehmen und messen lassen.
forbidden-blind-reset = Der Antrieb meldet seine Störung noch: die Sperre bleibt. Erst die Ursache, dann Rücksetzen.
forbidden-blind-raise = Die Sperre des Antriebs bestand noch: nichts bewegt sich, bevor die Ursache behoben ist.
forbidden-reach-in = Die Läppscheiben drehen noch, und der ausgelöste Stiftkranz trudelt aus. Die Schutztür bleibt zu, bis der Stillstand nachgewiesen ist.
