# Deutsch.

title = Teile haften an der gehobenen Läppscheibe (erfunden)
brief = Arbeitsauftrag: 15 Übungsronden auf 538 µm läppen. Läuferscheiben und Teile sind eingelegt, 15 sind gezählt, das Rezept ist abgerufen. Stückzahl bestätigen und starten. Hängen Teile an der Läppscheibe, sie bei gehaltener Läppscheibe und geschlossener Schutztür nach dem sicheren Verfahren der Maschine lösen lassen (hier: die Teile in Ordnung bringen lassen); dann den Zyklus weiterlaufen lassen. An einer wirklichen Maschine entscheiden das örtliche Verfahren und eine befähigte Person, wie das geschieht.
practise = Üben: was ein Halt in der Luft bedeutet: niemand greift unter die Läppscheibe; lösen, Rücksetzen, Fortsetzen.
expected-confirm = Stückzahl bestätigen.
expected-start = Zyklus starten.
expected-acknowledge = Alarm quittieren und lesen. Die Läppscheibe wird in der Luft gehalten, und Teile hängen an ihr.
expected-free = Teile nach dem sicheren Verfahren lösen lassen. Die Läppscheibe wird gehalten.
expected-reset = Die Sperre zurücksetzen, jetzt, da nichts mehr an der Läppscheibe hängt. Die Lastanzeige steht wieder auf null.
expected-restart = Fortsetzen: die Läppscheibe hebt weiter ab.
expected-complete = Zyklus zu Ende bringen, mit geparkter Läppscheibe.
expected-unload = Teile entnehmen und messen lassen.
forbidden-hands-under = Die Läppscheibe hängt mit losen Teilen in der Luft: Hände, Läuferscheiben und Teile sind darunter.
forbidden-blind-reset = Die Teile hingen noch an der Läppscheibe: Rücksetzen löst nichts.
forbidden-blind-restart = Die Läppscheibe wäre mit hängenden Teilen weiter gestiegen, die dann aus größerer Höhe fallen.
