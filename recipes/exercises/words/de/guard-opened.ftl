# Deutsch.

title = Die Schutztür wird aufgerissen, während die Läppscheiben drehen (erfunden)
brief = Arbeitsauftrag: 15 Übungsronden auf 538 µm läppen. Läuferscheiben und Teile sind eingelegt, 15 sind gezählt, das Rezept ist abgerufen. Stückzahl bestätigen und starten. Heute ist Besuch in der Halle. Sollte jemand die Schutztür aufbekommen: sicherstellen, dass niemand nahe ist, sie schließen, ihre Zuhaltung in Ordnung bringen lassen, die Maschine in Grundstellung bringen und die Charge fertig läppen. Diese Maschine ist simuliert; an einer wirklichen wird eine Schutztür, deren Zuhaltung nicht hält, außer Betrieb genommen, bis eine befähigte Person sie freigegeben hat.
practise = Üben: die Reihenfolge nach einer geöffneten Schutztür: schließen, Zuhaltung in Ordnung bringen lassen, Rücksetzen, Heben, Rücksetzen.
expected-confirm = Stückzahl bestätigen.
expected-start = Zyklus starten.
expected-acknowledge = Alarm quittieren und lesen. Die Schutztür wurde geöffnet, und die Maschine stoppt von selbst.
expected-shut = Schutztür schließen, sobald niemand nahe ist.
expected-cure = Zuhaltung in Ordnung bringen lassen. Ein Riegel, der nicht hält, hält auch das nächste Mal nicht.
expected-reset = Die Sperre zurücksetzen, bei geschlossener und verriegelter Schutztür.
expected-raise = Läppscheibe von den Teilen heben.
expected-home = Maschine mit Rücksetzen in Grundstellung bringen: Inaktiv.
expected-complete = Bestätigen, neu starten und die Charge fertig läppen.
expected-unload = Teile entnehmen und messen lassen.
forbidden-open-reset = Die Schutztür war noch offen. Erst schließen: nichts wird bereit gemacht, solange jemand hineingreifen kann.
forbidden-open-raise = Die Schutztür war noch offen: nichts wird bewegt, solange jemand hineingreifen kann.
forbidden-hands-in = Niemand greift zwischen Läppscheiben, die nur aufeinander liegen. Erst wird die Läppscheibe gehoben und geparkt.
forbidden-lock-broken = Die Zuhaltung war noch defekt: die Schutztür hätte jeden Augenblick wieder aufgerissen werden können.
