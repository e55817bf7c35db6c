# Deutsch.

title = Vor dem nächsten Start hängen Teile an der Läppscheibe (erfunden)
brief = Arbeitsauftrag: zwei Chargen von 15 Übungsronden nacheinander auf 538 µm läppen. Läuferscheiben und Teile der ersten sind eingelegt, 15 sind gezählt, das Rezept ist abgerufen. Sollten Teile an der gehobenen Läppscheibe hängen, sie bei geschlossener Schutztür nach dem sicheren Verfahren der Maschine lösen lassen (hier: die Teile in Ordnung bringen lassen). An einer wirklichen Maschine entscheiden das örtliche Verfahren und eine befähigte Person, wie das geschieht.
practise = Üben: was ein Start sagt, der in der Vorprüfung stoppt: die Läppscheibe wiegt nicht, was sie wog. Erst was hängt, dann Rücksetzen, zählen, Start.
expected-confirm = Stückzahl bestätigen.
expected-start = Den ersten Zyklus starten.
expected-unload = Teile entnehmen und messen lassen.
expected-load = Die nächste Charge einlegen.
expected-count = Sie zählen.
expected-acknowledge = Alarm quittieren und lesen. Die Läppscheibe ist schwerer als beim ersten Start: die Lastanzeige zeigt, was hängt.
expected-free = Teile nach dem sicheren Verfahren lösen lassen. Die Schutztür ist geschlossen.
expected-reset = Die Sperre zurücksetzen. Nichts hängt mehr an der Läppscheibe, und die Anzeige steht auf null.
expected-again = Den zweiten Zyklus starten.
expected-complete = Ihn zu Ende bringen.
forbidden-hands-under = Teile hängen an der gehobenen Läppscheibe und können fallen: Hände sind darunter.
forbidden-taken-as-new = Scheibenwechsel nimmt, was auch immer dort hängt, als Gewicht der neuen Läppscheibe: mit Teilen daran hätte die Last der nächsten Charge um deren Gewicht nicht gestimmt.
